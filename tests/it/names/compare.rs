//! Does every call answer the same whatever things are called?
//!
//! In: [`Names`]. Out: panics that say where an answer under these names differs from the one under plain names.
//! This module never knows an answer: it compares two of them.

use std::path::Path;

use serde_json::{Map, Value};

use super::campaign::{Log, Names, campaign};
use crate::bad_input::cells;
use crate::support::{CampaignFolder, Outcome, residuum, without_links};

/// Every call that answers with JSON.
pub const CALLS: [&str; 9] = [
    "check", "yields", "fit", "routes", "recycle", "settings", "next", "drift", "report",
];

/// What is different because bytes are: digests.
const DIGESTS: [&str; 2] = ["report/manifest", "report/inputs"];

/// So many differences are enough to see what is wrong.
const MOST_TOLD: usize = 12;

/// Plain names, and what each stands for.
pub struct Plain {
    /// The plain names in their places.
    pub names: Names,
    tokens: Vec<Token>,
}

struct Token {
    plain: String,
    stands_for: String,
}

impl Plain {
    /// Plain names that stand for these: each unlike every other word, all in the byte order of what they stand for.
    pub fn instead_of(names: &Names) -> Self {
        let each = names.each();
        let mut order: Vec<usize> = (0..each.len()).collect();
        order.sort_by_key(|place| each[*place]);
        let mut plain = vec![String::new(); each.len()];
        for (rank, place) in order.into_iter().enumerate() {
            plain[place] = in_place_of(each[place], rank);
        }
        // A name at the beginning of a sentence is written with a capital letter.
        let token = |(plain, name): (&String, &&str)| {
            let tokens = [str::to_string, capitalised].map(|written| {
                // In answers an underscore is a blank.
                [str::to_string, with_blanks].map(|spaced| Token {
                    plain: spaced(&written(plain)),
                    stands_for: spaced(&written(name)),
                })
            });
            tokens.into_iter().flatten()
        };
        Plain {
            names: names.with_each(&plain),
            tokens: plain.iter().zip(&each).flat_map(token).collect(),
        }
    }

    /// What a text with plain names says about what they stand for.
    pub fn translated(&self, text: &str) -> String {
        // Plain names are taken apart from left to right, so that a name put in is not looked into again.
        let mut translated = String::new();
        let mut rest = text;
        'rest: while let Some(first) = rest.chars().next() {
            for token in &self.tokens {
                if let Some(after) = rest.strip_prefix(token.plain.as_str()) {
                    translated.push_str(&token.stands_for);
                    rest = after;
                    continue 'rest;
                }
            }
            translated.push(first);
            rest = &rest[first.len_utf8()..];
        }
        translated
    }

    /// The same of a whole answer.
    pub fn translated_value(&self, value: &Value) -> Value {
        match value {
            Value::String(text) => Value::String(self.translated(text)),
            Value::Array(members) => members.iter().map(|m| self.translated_value(m)).collect(),
            Value::Object(object) => {
                let mut translated = Map::new();
                for (key, member) in object {
                    let key = self.translated(key);
                    let before = translated.insert(key.clone(), self.translated_value(member));
                    assert!(before.is_none(), "two members are both called `{key}`");
                }
                Value::Object(translated)
            }
            other => other.clone(),
        }
    }
}

/// A plain name of as many words as the name that it stands in for, parted in the same way: short answers count words.
fn in_place_of(name: &str, rank: usize) -> String {
    let mut plain = format!("q{rank:02}q");
    let name = name.trim_start_matches([' ', '_']);
    for (at, sign) in name
        .char_indices()
        .filter(|(_, sign)| [' ', '_'].contains(sign))
    {
        let behind = name[at + 1..].split([' ', '_']).next().unwrap_or_default();
        plain.push(sign);
        plain.push_str(if behind.is_empty() { "" } else { "w" });
    }
    plain
}

fn with_blanks(text: &str) -> String {
    text.replace('_', " ")
}

fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(letters).collect()
}

/// Asks that these calls answer under these names what they answer under plain ones: in JSON, in words, in files.
#[track_caller]
pub fn check_calls(calls: &[&str], names: &Names, log: Log) {
    let plain = Plain::instead_of(names);
    let [before, now] = [&plain.names, names].map(|names| campaign(names, log));
    let mut told = Vec::new();
    for call in calls {
        let [expected, found] = [&before, &now].map(|folder| asked(call, folder, &["--json"]));
        if expected.exit_code != found.exit_code {
            told.push(format!(
                "{call}: exit code {} instead of {}: {}",
                found.exit_code, expected.exit_code, found.stderr
            ));
            continue;
        }
        let expected = plain.translated_value(&object(call, &expected));
        differences(&expected, &object(call, &found), call, &mut told);
        if *call == "report" {
            differing_pages(&plain, [before.path(), now.path()], &mut told);
            continue;
        }
        let [expected, found] = [&before, &now].map(|folder| asked(call, folder, &[]));
        for (stream, expected, found) in [
            ("stdout", &expected.stdout, &found.stdout),
            ("stderr", &expected.stderr, &found.stderr),
        ] {
            let what = format!("{call} {stream}");
            differing_lines(&plain.translated(expected), found, &what, &mut told);
        }
    }
    let count = told.len();
    told.truncate(MOST_TOLD);
    assert!(
        told.is_empty(),
        "{count} differences under {names:?}:\n{}",
        told.join("\n")
    );
}

/// Asks that every call does.
#[track_caller]
pub fn check(names: &Names) {
    check_calls(&CALLS, names, Log::Rises);
}

fn asked(call: &str, folder: &CampaignFolder, options: &[&str]) -> Outcome {
    let path = |name: &str| {
        folder
            .path()
            .join(name)
            .to_str()
            .expect("UTF-8")
            .to_string()
    };
    let (campaign, out) = (path("campaign"), path("out"));
    let mut arguments = vec![call, &campaign, "--out", &out];
    arguments.extend(options);
    residuum(&arguments)
}

fn object(call: &str, outcome: &Outcome) -> Value {
    let both = format!("{}{}", outcome.stdout, outcome.stderr);
    serde_json::from_str(&outcome.stdout).unwrap_or_else(|e| panic!("{call}: {e}: {both}"))
}

/// Lines of which the words differ; how far they stand apart depends on the length of names.
fn differing_lines(expected: &str, found: &str, what: &str, told: &mut Vec<String>) {
    let words = |line: &str| line.split_whitespace().collect::<Vec<_>>().join(" ");
    let [one, other] = [expected, found].map(|text| text.lines().map(words).collect::<Vec<_>>());
    if one.len() != other.len() {
        told.push(format!(
            "{what}: {} lines instead of {}",
            other.len(),
            one.len()
        ));
    }
    let pairs = one.iter().zip(&other).filter(|(one, other)| one != other);
    told.extend(pairs.map(|(one, other)| format!("{what}: `{other}` instead of `{one}`")));
}

/// The page and the tables of two reports.
fn differing_pages(plain: &Plain, [before, now]: [&Path; 2], told: &mut Vec<String>) {
    let read = |folder: &Path, file: &str| {
        let path = folder.join("out/campaign").join(file);
        // A file that one of the two has not is told as an empty one.
        std::fs::read_to_string(path).unwrap_or_default()
    };
    // What a link leads to is made from names too.
    let page = |folder| without_links(&read(folder, "report.md"));
    let expected = plain.translated(&page(before));
    differing_lines(&expected, &page(now), "report.md", told);
    let tables = before.join("out/campaign/tables");
    for table in std::fs::read_dir(tables).expect("the report has tables") {
        let name = table.expect("the folder can be listed").file_name();
        let file = format!("tables/{}", name.to_str().expect("UTF-8"));
        let [before, now] = [before, now].map(|folder| cells(&read(folder, &file)));
        let translated = |cell: &String| plain.translated(cell);
        let expected: Vec<Vec<String>> = before
            .iter()
            .map(|row| row.iter().map(translated).collect())
            .collect();
        if expected != now {
            let rows = expected.iter().zip(&now).find(|(one, other)| one != other);
            told.push(format!("{file} has other cells: {rows:?}"));
        }
    }
}

/// Where one answer differs from another, path by path.
pub fn differences(expected: &Value, found: &Value, path: &str, told: &mut Vec<String>) {
    match (expected, found) {
        (Value::Object(one), Value::Object(other)) => {
            for (key, value) in one {
                let path = format!("{path}/{key}");
                match other.get(key) {
                    _ if DIGESTS.contains(&path.as_str()) => {}
                    None => told.push(format!("{path} is not there")),
                    Some(found) => differences(value, found, &path, told),
                }
            }
            let added = other.keys().filter(|key| !one.contains_key(*key));
            told.extend(added.map(|key| format!("{path}: `{key}` besides")));
        }
        (Value::Array(one), Value::Array(other)) if one.len() == other.len() => {
            for (position, (value, found)) in one.iter().zip(other).enumerate() {
                differences(value, found, &format!("{path}/{position}"), told);
            }
        }
        (Value::Array(one), Value::Array(other)) => told.push(format!(
            "{path}: {} members instead of {}: {found} instead of {expected}",
            other.len(),
            one.len()
        )),
        _ if expected == found => {}
        _ => told.push(format!("{path}: {found} instead of {expected}")),
    }
}
