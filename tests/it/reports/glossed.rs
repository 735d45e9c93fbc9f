//! Is each word of a report and of the help either ordinary or explained?
//!
//! In: the committed reports, the help of every call, `tests/data/ordinary-words.txt`. Out: one test.
//! This module never asks whether an explanation is right.
//!
//! The list holds what anyone who works in a laboratory reads without asking. A new word that the test names belongs
//! there only if that is so; else it belongs among the words that `residuum explain` knows.

use std::collections::BTreeSet;

use super::{CAMPAIGNS, campaign, committed, text};
use crate::support::{data, residuum, without_links};

/// Small words of letters and apostrophes; what holds a digit is a formula or a name.
fn words(text: &str) -> BTreeSet<String> {
    let pieces = text.split(|c: char| !(c.is_alphanumeric() || c == '\''));
    let pieces = pieces.map(|piece| piece.trim_matches('\'').to_lowercase());
    let is_word = |piece: &String| piece.chars().all(|c| c.is_alphabetic() || c == '\'');
    pieces
        .filter(|piece| !piece.is_empty() && is_word(piece))
        .collect()
}

/// Without code, links and the list of sources.
fn prose(report: &str) -> String {
    let sections = report.split("\n## ");
    let sections = sections.filter(|section| !section.starts_with("Sources"));
    let shown = without_links(&sections.collect::<Vec<_>>().join("\n"));
    let beside_code = shown.lines().flat_map(|line| line.split('`').step_by(2));
    beside_code.collect::<Vec<_>>().join("\n")
}

fn helps() -> String {
    let all = residuum(&["--help"]).stdout;
    let calls = all.lines().filter_map(|line| line.strip_prefix("  "));
    let calls = calls.filter_map(|line| line.split_whitespace().next());
    let calls: Vec<&str> = calls
        .filter(|call| call.chars().all(char::is_alphabetic))
        .collect();
    assert!(calls.contains(&"report") && calls.len() > 12, "{calls:?}");
    let each = calls.iter().map(|call| residuum(&[*call, "--help"]).stdout);
    each.chain([all.clone()]).collect()
}

/// Words that `residuum explain` knows, from what it says of one that it does not know.
fn explained() -> BTreeSet<String> {
    words(&residuum(&["explain", "no such word at all"]).stderr)
}

#[test]
fn no_word_of_a_report_or_of_the_help_is_neither_ordinary_nor_explained() {
    let mut known = words(&data("ordinary-words.txt"));
    known.extend(explained());
    for name in CAMPAIGNS {
        let files = std::fs::read_dir(campaign(name)).expect("a folder of the demo");
        for file in files {
            let file = file.expect("a file of the demo").path();
            let logged = file.is_file().then(|| std::fs::read_to_string(file));
            known.extend(words(
                &logged.transpose().expect("a text").unwrap_or_default(),
            ));
        }
    }
    let reports = CAMPAIGNS.map(|name| prose(text(&committed(name), "report.md")));
    let seen = words(&(reports.concat() + &helps()));
    let is_known = |word: &String| {
        let singular = word.trim_end_matches("'s").trim_end_matches('s');
        let whole = known.contains(word) || known.contains(singular);
        // A single letter is a symbol, which stands where it is explained.
        whole || word.chars().count() == 1
    };
    let strange: Vec<&String> = seen.iter().filter(|word| !is_known(word)).collect();
    assert_eq!(strange, [""; 0], "ordinary, or to be explained?");
}
