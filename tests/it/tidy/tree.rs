//! What stands in the files of the repository?
//!
//! In: the folder of the package. Out: [`Tree`], every text file with its path, and Rust text without what only people read.
//! This module never judges what it finds.

use std::path::Path;

/// Folders that are made, not written.
const NOT_OURS: [&str; 2] = ["target", ".git"];

/// The text files of the repository, in byte order of their paths.
pub struct Tree(pub Vec<SourceFile>);

/// One text file.
pub struct SourceFile {
    /// Path below the repository, with `/` between its parts.
    pub path: String,
    /// The whole text.
    pub text: String,
}

impl Tree {
    /// The repository as it lies on disk.
    pub fn read() -> Self {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut files = Vec::new();
        collect(root, "", &mut files);
        files.sort_by(|a, b| a.path.cmp(&b.path));
        assert!(files.len() > 100, "only {} files were found", files.len());
        Self(files)
    }

    /// A tree made up to break a rule.
    pub fn of(files: &[(&str, &str)]) -> Self {
        let file = |(path, text): &(&str, &str)| SourceFile {
            path: (*path).to_string(),
            text: (*text).to_string(),
        };
        Self(files.iter().map(file).collect())
    }

    /// The text of a file, empty if there is none.
    pub fn text(&self, path: &str) -> &str {
        let found = self.0.iter().find(|file| file.path == path);
        found.map_or("", |file| file.text.as_str())
    }

    /// Whether a file or a folder of that path is there.
    pub fn has(&self, path: &str) -> bool {
        let path = path.trim_end_matches('/');
        let below = format!("{path}/");
        self.0
            .iter()
            .any(|file| file.path == path || file.path.starts_with(&below))
    }

    /// The Rust files below a folder.
    pub fn rust(&self, folder: &str) -> impl Iterator<Item = &SourceFile> {
        let below = format!("{folder}/");
        self.0
            .iter()
            .filter(move |file| file.path.starts_with(&below) && file.path.ends_with(".rs"))
    }

    /// The Rust files of the library that are compiled into it: tests kept in files of their own are not.
    pub fn library(&self) -> impl Iterator<Item = &SourceFile> {
        self.rust("src").filter(|file| {
            !file.path.starts_with("src/cli/") && file.path != "src/main.rs" && !self.is_test(file)
        })
    }

    /// Whether this file, or a folder in which it lies, is declared for tests alone.
    pub fn is_test(&self, file: &SourceFile) -> bool {
        let mut path = file.path.as_str();
        while let Some((folder, name)) = path.rsplit_once('/') {
            let module = name.trim_end_matches(".rs");
            let parent = self.text(&format!("{folder}/mod.rs"));
            let seen = ["", "pub(super) ", "pub(crate) "];
            let is_declared = seen
                .iter()
                .any(|seen| parent.contains(&format!("#[cfg(test)]\n{seen}mod {module};")));
            if is_declared {
                return true;
            }
            path = folder;
        }
        false
    }
}

impl SourceFile {
    /// The Rust text without comments and without what stands between quotes.
    pub fn code(&self) -> String {
        bare(&self.text)
    }

    /// The same without the tests at its end.
    pub fn code_without_tests(&self) -> String {
        let end = self.text.find("#[cfg(test)]\nmod tests {");
        bare(&self.text[..end.unwrap_or(self.text.len())])
    }
}

fn collect(folder: &Path, below: &str, files: &mut Vec<SourceFile>) {
    for entry in std::fs::read_dir(folder).expect("the folder can be listed") {
        let path = entry.expect("the folder can be listed").path();
        let name = path.file_name().expect("a listed file has a name");
        let name = name.to_string_lossy().into_owned();
        if NOT_OURS.contains(&name.as_str()) {
            continue;
        }
        if path.is_dir() {
            collect(&path, &format!("{below}{name}/"), files);
        } else if let Ok(text) = std::fs::read_to_string(&path) {
            files.push(SourceFile {
                path: format!("{below}{name}"),
                text,
            });
        }
    }
}

/// Rust text with its comments taken out and its literals emptied; lines stay where they are.
fn bare(text: &str) -> String {
    let mut code = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let after_word =
            code.ends_with(|last: char| last.is_alphanumeric() || last == '_' || last == '\'');
        let skipped = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if rest.starts_with("/*") {
            rest.find("*/").map_or(rest.len(), |end| end + 2)
        } else if first == '"' {
            quoted(rest)
        } else if first == 'r' && !after_word {
            raw(rest)
        } else if first == '\'' {
            character(rest)
        } else {
            0
        };
        if skipped == 0 {
            code.push(first);
            rest = &rest[first.len_utf8()..];
        } else {
            code.extend(rest[..skipped].chars().filter(|kept| *kept == '\n'));
            rest = &rest[skipped..];
        }
    }
    code
}

/// Length of the literal in double quotes that the text begins with.
pub fn quoted(text: &str) -> usize {
    let mut escaped = false;
    for (position, letter) in text.char_indices().skip(1) {
        match letter {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return position + 1,
            _ => {}
        }
    }
    text.len()
}

/// Length of the raw literal that the text begins with; 0 if it is a word that begins with `r`.
pub fn raw(text: &str) -> usize {
    let hashes = text[1..].chars().take_while(|c| *c == '#').count();
    if !text[1 + hashes..].starts_with('"') {
        return 0;
    }
    let close = format!("\"{}", "#".repeat(hashes));
    let body = 2 + hashes;
    text[body..]
        .find(&close)
        .map_or(text.len(), |end| body + end + close.len())
}

/// Length of the character in single quotes that the text begins with; 0 if it is a lifetime.
pub fn character(text: &str) -> usize {
    let mut letters = text.char_indices().skip(1);
    match (letters.next(), letters.next()) {
        (Some((_, '\\')), Some((at, letter))) => {
            let from = at + letter.len_utf8();
            text[from..].find('\'').map_or(0, |end| from + end + 1)
        }
        (Some(_), Some((at, '\''))) => at + 1,
        _ => 0,
    }
}
