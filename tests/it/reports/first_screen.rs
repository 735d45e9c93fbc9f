//! Is the first screen short, and does each answer say what the section and the tables below it say?
//!
//! In: the committed reports. Out: tests of words, sentences, figures, links and "Do this".
//! This module never takes a figure from `result.json`, which another test compares with the rest.

use std::collections::BTreeSet;

use serde_json::Value;

use super::{CAMPAIGNS, committed, text};
use crate::support::{list, without_links};

/// Most words of the whole first screen of bluestone, of one answer, and of one sentence.
const MOST_WORDS: usize = 450;
const MOST_OF_AN_ANSWER: usize = 50;
const MOST_OF_A_SENTENCE: usize = 30;
/// Most lines under "Do this".
const MOST_TO_DO: usize = 4;

/// The text as it is seen: links by their words, no marks.
fn seen(markdown: &str) -> String {
    without_links(markdown).replace(['*', '`'], "")
}

/// Pieces between blanks with a letter or a digit in them.
fn words(text: &str) -> usize {
    let pieces = text.split_whitespace();
    pieces
        .filter(|piece| piece.contains(char::is_alphanumeric))
        .count()
}

/// The first screen: all before the first section.
fn screen(report: &str) -> &str {
    report.split("\n## ").next().expect("a first screen")
}

fn answers(report: &str) -> Vec<&str> {
    let lines = screen(report).lines();
    lines.filter(|line| line.starts_with("- **")).collect()
}

#[test]
fn the_first_screen_is_read_in_a_minute() {
    for name in CAMPAIGNS {
        let files = committed(name);
        let report = text(&files, "report.md");
        let all = seen(screen(report));
        let count = words(&all);
        println!("{name}: {count} words");
        assert!(count <= MOST_WORDS, "{name}: {count} words");
        for answer in answers(report).into_iter().map(seen) {
            assert!(
                words(&answer) <= MOST_OF_AN_ANSWER,
                "{} words: {answer}",
                words(&answer)
            );
        }
        for line in all.lines() {
            let pieces: Vec<&str> = line.split_whitespace().collect();
            for sentence in pieces.split_inclusive(|piece| piece.ends_with(['.', '?'])) {
                let sentence = sentence.join(" ");
                assert!(words(&sentence) <= MOST_OF_A_SENTENCE, "{name}: {sentence}");
            }
        }
    }
}

#[test]
fn the_first_screen_says_what_to_do_and_only_what_is_settled() {
    for name in CAMPAIGNS {
        let files = committed(name);
        let report = text(&files, "report.md");
        let to_do = screen(report)
            .split_once("**Do this:**")
            .expect("what to do")
            .1;
        let lines: Vec<&str> = to_do
            .lines()
            .filter(|line| line.starts_with("- ") && !line.starts_with("- **"))
            .collect();
        assert!(!lines.is_empty() && lines.len() <= MOST_TO_DO, "{lines:?}");
        let result: Value = serde_json::from_str(text(&files, "result.json")).expect("JSON");
        let is_settled = |number: &str| {
            let mut answers = list(&result, "answers").iter();
            let found = answers.find(|answer| answer["question"] == number);
            found.is_some_and(|answer| answer["status"] == "settled")
        };
        for (begins, number) in [("- Run at", "6"), ("- Take", "4"), ("- Charge", "5")] {
            let says_so = lines.iter().any(|line| line.starts_with(begins));
            assert!(!says_so || is_settled(number), "{name}: {begins}");
        }
    }
}

/// Every figure of an answer: what has a digit in it, without signs and what stands around it.
fn figures(answer: &str) -> BTreeSet<String> {
    let marks = |c: char| !c.is_ascii_digit();
    let pieces = answer
        .split([' ', '/'])
        .map(|piece| piece.trim_matches(marks));
    let figures = pieces.filter(|piece| piece.contains('.') && piece.parse::<f64>().is_ok());
    figures.map(str::to_string).collect()
}

/// Whether a figure of a table is that of an answer, which may have fewer decimals.
fn rounds_to(of_table: &str, of_answer: &str) -> bool {
    let decimals = of_answer
        .split_once('.')
        .map_or(0, |(_, decimals)| decimals.len());
    let [of_table, of_answer] = [of_table, of_answer].map(|figure| figure.parse::<f64>());
    let (Ok(of_table), Ok(of_answer)) = (of_table, of_answer) else {
        return false;
    };
    // Half a unit of the last decimal, and what reading decimals into binary64 adds.
    (of_table - of_answer).abs() <= 0.5 * 10f64.powi(-(decimals as i32)) * (1.0 + 1e-9)
}

/// The sections whose tables an answer sums up, and what stands behind it.
fn below<'a>(report: &'a str, number: &str) -> String {
    let sections: Vec<&'a str> = report.split("\n## ").skip(1).collect();
    let of = |begins: &dyn Fn(&str) -> bool| -> String {
        let wanted = sections.iter().filter(|section| begins(section));
        wanted.copied().collect::<Vec<_>>().join("\n")
    };
    // Ceilings and costs by route stand in the table of the routes.
    let numbers: &[&str] = match number {
        "1" => &["1", "4"],
        "9" => &["9", "4"],
        number => &[number],
    };
    let own = |section: &str| {
        numbers.iter().any(|number| {
            let is_own = section.starts_with(&format!("{number} "));
            is_own || section.starts_with(&format!("Behind answer {number}"))
        })
    };
    of(&own)
}

#[test]
fn every_figure_of_an_answer_stands_in_its_section_or_behind_it() {
    for name in CAMPAIGNS {
        let files = committed(name);
        let report = text(&files, "report.md");
        let mut compared = 0;
        for answer in answers(report).into_iter().map(seen) {
            let number = answer
                .trim_start_matches("- ")
                .chars()
                .take(1)
                .collect::<String>();
            let below = figures(&below(report, &number));
            // How far an effect may reach is the further end of an interval, of which a table holds middle and half width.
            let in_tables = answer.split(", at most ").next().unwrap_or_default();
            for figure in figures(in_tables) {
                let stands = below.iter().any(|other| rounds_to(other, &figure));
                assert!(stands, "{name}: {figure} of {answer}");
                compared += 1;
            }
        }
        println!("{name}: {compared} figures");
        assert!(compared > 20, "{name}: {compared}");
    }
}
