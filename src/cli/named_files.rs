//! The files that a path or a pattern of `[logs]` names.
//!
//! In: the folder of the campaign file, a path or pattern. Out: [`Named`]: files in byte order, and what kept others from being found.
//! This module never opens a file, and never passes over one that the pattern may mean.

use std::fs::{self, DirEntry};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use glob::Pattern;
use residuum::error::Error;

use super::faults::unreadable;

/// How the files begin that some systems, and residuum itself, write beside others to keep what is not their content.
const BESIDE: [&str; 2] = ["._", ".residuum-"];

/// What a path or pattern names.
#[derive(Debug, Default)]
pub(super) struct Named {
    /// Files in byte order.
    pub files: Vec<PathBuf>,
    /// Files that cannot be named and folders that cannot be looked into; any of them stops the work.
    pub faults: Vec<Error>,
}

/// What messages call a file: its path from the campaign file.
pub(super) fn name_of(path: &Path, folder: &Path) -> String {
    let name = path
        .strip_prefix(folder)
        .unwrap_or(path)
        .to_string_lossy()
        .replace('\\', "/");
    if name.is_empty() { ".".into() } else { name }
}

/// The files of one path, or of one pattern where no file has that very name.
///
/// # Errors
/// Why a pattern is none.
pub(super) fn named(folder: &Path, pattern: &str) -> Result<Named, String> {
    let mut walk = Walk {
        folder,
        named: Named::default(),
    };
    let plain = folder.join(pattern);
    let is_pattern = pattern.contains(['*', '?', '[']);
    if !is_pattern || plain.exists() {
        walk.take_if_there(plain);
        return Ok(walk.named);
    }
    let checked = |text: &str| Pattern::new(text).map_err(|error| error.msg.to_string());
    checked(pattern)?;
    let parts = pattern.split('/').filter(|part| !part.is_empty());
    let parts = parts.map(|part| match part {
        "**" => Ok(Part::Below),
        part if part.contains(['*', '?', '[']) => checked(part).map(Part::Like),
        part => Ok(Part::Called(part)),
    });
    let parts: Vec<Part> = parts.collect::<Result<_, String>>()?;
    walk.visit(folder, &parts);
    walk.named.files.sort();
    walk.named.files.dedup();
    Ok(walk.named)
}

/// What stands between two `/` of a pattern.
enum Part<'a> {
    /// A name as it is.
    Called(&'a str),
    /// Any name like this.
    Like(Pattern),
    /// The folder itself and every folder below; links are not followed.
    Below,
}

struct Walk<'a> {
    folder: &'a Path,
    named: Named,
}

impl Walk<'_> {
    fn visit(&mut self, at: &Path, parts: &[Part]) {
        let Some((part, rest)) = parts.split_first() else {
            return self.named.files.push(at.to_path_buf());
        };
        match part {
            Part::Called(name) if rest.is_empty() => self.take_if_there(at.join(name)),
            Part::Called(name) => self.visit(&at.join(name), rest),
            Part::Like(pattern) => {
                for entry in self.listed(at, Some(pattern)) {
                    if rest.is_empty() || entry.path().is_dir() {
                        self.visit(&entry.path(), rest);
                    }
                }
            }
            Part::Below => {
                self.visit(at, rest);
                for entry in self.listed(at, None) {
                    if entry.file_type().is_ok_and(|kind| kind.is_dir()) {
                        self.visit(&entry.path(), parts);
                    }
                }
            }
        }
    }

    fn take_if_there(&mut self, file: PathBuf) {
        match file.try_exists() {
            Ok(true) => self.named.files.push(file),
            Ok(false) => {}
            Err(error) => self.not_looked_into(&file, &error),
        }
    }

    /// What lies in a folder and has such a name; nothing where there is no such folder.
    fn listed(&mut self, at: &Path, like: Option<&Pattern>) -> Vec<DirEntry> {
        let entries = fs::read_dir(at).and_then(Iterator::collect::<io::Result<Vec<DirEntry>>>);
        let entries = entries.unwrap_or_else(|error| {
            self.not_looked_into(at, &error);
            Vec::new()
        });
        let mut kept = Vec::new();
        for entry in entries {
            let name = entry.file_name();
            let shown = name.to_string_lossy();
            if BESIDE.iter().any(|start| shown.starts_with(start))
                || like.is_some_and(|like| !like.matches(&shown))
            {
                continue;
            }
            match name.to_str() {
                Some(_) => kept.push(entry),
                None if like.is_some() => self.without_a_name(&entry.path()),
                None => {}
            }
        }
        kept
    }

    fn without_a_name(&mut self, path: &Path) {
        let name = name_of(path, self.folder);
        let what = format!("the name of `{name}` is not UTF-8");
        let hint = "rename it, or change the pattern in `[logs]` so that it is not meant";
        self.named.faults.push(unreadable(what, hint).in_file(name));
    }

    fn not_looked_into(&mut self, path: &Path, error: &io::Error) {
        if matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) {
            return;
        }
        let name = name_of(path, self.folder);
        let what = format!("`{name}` cannot be looked into: {error}");
        let hint =
            "check who may read it, or change the pattern in `[logs]` so that it is not meant";
        self.named.faults.push(unreadable(what, hint).in_file(name));
    }
}
