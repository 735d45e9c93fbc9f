//! Are sentences for people made in one place, and read by people alone?
//!
//! In: a [`Tree`]. Out: one sentence for each breach of two rules; none when they are kept.
//! This module never reads a file and never panics on what it finds.

use super::exceptions::{Allowed, READING_ALLOWED, SENTENCES_ALLOWED};
use super::literals::{Literal, literals};
use super::tree::Tree;

/// So many words between quotes are a sentence.
const WORDS_OF_A_SENTENCE: usize = 4;

/// What takes a sentence to tell of a fault of the input; `#[` is for those who read the code.
const TAKERS_OF_FAULTS: [&str; 5] = ["Error::new(", ".hint(", "fault(", ".fault(", "#["];

/// Methods that look for a text in another.
const SEEKERS: [&str; 13] = [
    ".contains(",
    ".starts_with(",
    ".ends_with(",
    ".split(",
    ".rsplit(",
    ".split_once(",
    ".rsplit_once(",
    ".strip_prefix(",
    ".strip_suffix(",
    ".find(",
    ".rfind(",
    ".matches(",
    ".trim_start_matches(",
];

/// Parts of names and sentences that the program itself puts together.
const PUT_TOGETHER: [&str; 8] = [
    " with ",
    " to the ",
    ": ",
    "assay of lot ",
    "concentration of ",
    " against ",
    " of lot ",
    "closure",
];

/// Whole names of the program that a user may have given to something else.
const NAMES: [&str; 10] = [
    "yield",
    "purity",
    "closure",
    "cost",
    "cost of further reagents",
    "labour",
    "lot",
    "constant",
    "residue left",
    "run to run",
];

/// A text that stands where a rule forbids it, unless it is excepted.
struct Found<'a> {
    path: &'a str,
    line: usize,
    text: String,
}

impl Found<'_> {
    fn is(&self, allowed: &Allowed) -> bool {
        self.path.starts_with(allowed.path) && self.text.starts_with(allowed.text)
    }
}

/// Sentences for people are written where things are shown; elsewhere only what tells of a fault of the input.
pub fn sentences_are_made_in_one_place(tree: &Tree) -> Vec<String> {
    breaches(written(tree), &SENTENCES_ALLOWED, "writes a sentence")
}

/// Whatever shows or compares results looks at types, never at names or sentences.
pub fn no_sentence_is_read(tree: &Tree) -> Vec<String> {
    breaches(read(tree), &READING_ALLOWED, "reads a name or a sentence")
}

/// Every exception is still needed, and says why.
pub fn exceptions_are_needed(tree: &Tree) -> Vec<String> {
    let needless = |list: &'static [Allowed], found: &[Found]| {
        let is_needless = |allowed: &&Allowed| {
            words(allowed.reason) < WORDS_OF_A_SENTENCE || !found.iter().any(|f| f.is(allowed))
        };
        let told = |allowed: &Allowed| {
            let Allowed { path, text, reason } = allowed;
            format!("{path} {text:?} is allowed for nothing: {reason}")
        };
        list.iter().filter(is_needless).map(told).collect()
    };
    let mut breaches: Vec<String> = needless(&SENTENCES_ALLOWED, &written(tree));
    breaches.extend(needless(&READING_ALLOWED, &read(tree)));
    breaches
}

fn breaches(found: Vec<Found>, list: &[Allowed], what: &str) -> Vec<String> {
    found
        .iter()
        .filter(|found| !list.iter().any(|allowed| found.is(allowed)))
        .map(|found| format!("{} line {} {what}: {}", found.path, found.line, found.text))
        .collect()
}

fn written(tree: &Tree) -> Vec<Found<'_>> {
    let is_taken = |call: &String| TAKERS_OF_FAULTS.iter().any(|taker| call == taker);
    let mut found = Vec::new();
    for file in tree.rust("src").filter(|file| !tree.is_test(file)) {
        for literal in literals(&file.text) {
            if words(&literal.text) >= WORDS_OF_A_SENTENCE && !literal.inside.iter().any(is_taken) {
                found.push(Found {
                    path: &file.path,
                    line: literal.line,
                    text: literal.text,
                });
            }
        }
    }
    found
}

fn read(tree: &Tree) -> Vec<Found<'_>> {
    let constants = constants(tree);
    let mut found = Vec::new();
    let files = ["src/report", "src/history"]
        .into_iter()
        .flat_map(|folder| tree.rust(folder));
    for file in files.filter(|file| !tree.is_test(file)) {
        for literal in literals(&file.text) {
            if seeks(&literal) || compares(&literal) {
                found.push(Found {
                    path: &file.path,
                    line: literal.line,
                    text: literal.text,
                });
            }
        }
        for (number, line) in file.code_without_tests().lines().enumerate() {
            for name in constants.iter().filter(|name| is_compared(line, name)) {
                found.push(Found {
                    path: &file.path,
                    line: number + 1,
                    text: name.clone(),
                });
            }
        }
    }
    found
}

/// Words of a text, places for figures and names not counted.
fn words(text: &str) -> usize {
    let mut depth = 0;
    let outside: String = text
        .chars()
        .map(|c| {
            depth += i32::from(c == '{') - i32::from(c == '}');
            if depth > 0 { ' ' } else { c }
        })
        .collect();
    let is_word = |word: &&str| word.contains(char::is_alphabetic);
    outside.split_whitespace().filter(is_word).count()
}

/// Whether the literal is looked for in another text.
fn seeks(literal: &Literal) -> bool {
    let is_seeker = |call: &String| SEEKERS.iter().any(|seeker| call == seeker);
    let text = literal.text.as_str();
    literal.inside.iter().any(is_seeker)
        && (PUT_TOGETHER.iter().any(|part| text.contains(part)) || NAMES.contains(&text))
}

/// Whether the literal is the name of something and another is held against it.
fn compares(literal: &Literal) -> bool {
    let text = literal.text.trim();
    if !NAMES.contains(&text) && !PUT_TOGETHER.iter().any(|part| part.trim() == text) {
        return false;
    }
    let [before, after] = [literal.before.trim_end(), literal.after.trim_start()];
    let after_bracket = after.trim_start_matches(')').trim_start();
    before.ends_with("==")
        || before.ends_with("!=")
        || after.starts_with("==")
        || after.starts_with("!=")
        || after_bracket.starts_with("=>")
        || after_bracket.starts_with('|') && !after_bracket.starts_with("||")
        || before.ends_with('|') && !before.ends_with("||")
}

/// Constants anywhere in the library that hold such a name.
fn constants(tree: &Tree) -> Vec<String> {
    let mut names = Vec::new();
    for file in tree.rust("src").filter(|file| !tree.is_test(file)) {
        for literal in literals(&file.text) {
            let declared = literal
                .before
                .split_once("const ")
                .and_then(|(_, rest)| rest.strip_suffix(": &str = "));
            if let Some(name) = declared.filter(|_| NAMES.contains(&literal.text.as_str())) {
                names.push(name.to_string());
            }
        }
    }
    names.sort();
    names.dedup();
    names
}

/// Whether a constant is held against something; one that belongs to a type, such as `AimOf::YIELD`, is no text.
fn is_compared(line: &str, name: &str) -> bool {
    let is_whole = |after: &str| !after.starts_with(|c: char| c.is_alphanumeric() || c == '_');
    line.match_indices(name).any(|(place, _)| {
        let before = line[..place].trim_end_matches(|c: char| c.is_alphanumeric() || c == ':');
        let before_word = line[..place].ends_with(|c: char| c.is_alphanumeric() || c == '_');
        let after = &line[place + name.len()..];
        let compares = |code: &str| code.starts_with("==") || code.starts_with("!=");
        !before_word
            && !is_of_type(&line[..place])
            && is_whole(after)
            && (before.trim_end().ends_with("==")
                || before.trim_end().ends_with("!=")
                || compares(after.trim_start())
                || after.trim_start().starts_with("=>"))
    })
}

/// Whether the code ends with the path of a type.
fn is_of_type(code: &str) -> bool {
    let Some(path) = code.strip_suffix("::") else {
        return false;
    };
    let is_word = |c: char| c.is_alphanumeric() || c == '_';
    let of = &path[path.trim_end_matches(is_word).len()..];
    of.starts_with(char::is_uppercase)
}
