//! Tests that the printers keep what they promise, for any table.
//!
//! In: random tables with hostile names. Out: tests of width, of words, and of reading back.
//! This module never looks at how a figure is rounded: `numbers` and `said` have their own tests.

use std::io::Cursor;

use polars::prelude::{CsvReadOptions, SerReader};

use super::columns_and_cells::{Cell, Columns, Table};
use super::terminal::{Width, in_lines, wrapped};
use super::{csv, json, markdown};

const WORDS: [&str; 12] = [
    "route",
    "a|b",
    "<i>x</i>",
    "`y`",
    "=1+1",
    "spirit,",
    "\"quoted\"",
    "±",
    "71.4",
    "[z](q)",
    "Überlauf",
    "a-word-that-is-longer-than-some-terminals",
];

/// Names of several words.
fn random_table(seed: u64) -> Table {
    let mut state = seed;
    // A linear congruential generator, whose upper bits are random enough for names.
    let mut below = |most: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        (state >> 33) as usize % most
    };
    let columns = 2 + below(6);
    let mut name = |most: usize| {
        let words = 1 + below(most);
        let words: Vec<&str> = (0..words).map(|_| WORDS[below(WORDS.len())]).collect();
        words.join(" ")
    };
    let given: Vec<Vec<String>> = (0..4)
        .map(|_| (0..columns).map(|_| name(9)).collect())
        .collect();
    let mut rows = Columns::of(&given);
    for place in 0..columns {
        rows.words(name(5), |row| &row[place])
            .key(format!("{place} {}", name(2)));
    }
    rows.answer("")
}

fn words(text: &str) -> Vec<&str> {
    let mut words: Vec<&str> = text.split_whitespace().collect();
    words.sort_unstable();
    words
}

fn check_fits(text: &str, most: usize) {
    for line in text.lines() {
        let is_one_word = line.split_whitespace().count() == 1;
        assert!(
            line.chars().count() <= most || is_one_word && line.trim_start() == line,
            "{most}: {line}"
        );
    }
}

#[test]
fn no_word_of_a_table_is_split_or_lost_on_any_terminal() {
    for seed in 0..40 {
        let table = random_table(seed);
        let wide = in_lines(&table, Width::Unbounded);
        let headings = table.columns.len();
        for most in 20..=120 {
            let text = in_lines(&table, Width::Columns(most));
            check_fits(&text, most);
            if text == wide {
                continue;
            }
            // A block repeats the headings; its rows hold what the columns held.
            let each: Vec<String> = table
                .rows
                .iter()
                .map(|row| {
                    let rows = vec![row.clone()];
                    in_lines(
                        &Table {
                            rows,
                            ..table.clone()
                        },
                        Width::Unbounded,
                    )
                })
                .collect();
            assert_eq!(words(&text), words(&each.concat()), "{seed}, {most}");
            assert_eq!(text.matches("\n\n").count(), table.rows.len() - 1);
            assert!(text.lines().count() >= headings * table.rows.len());
        }
    }
}

#[test]
fn no_word_of_a_sentence_is_split_or_lost() {
    let text = "doubt: the first of these sentences is rather long, so that it has to go on below\n  hint: and what-stands-below-it-is-set-in-even-where-a-word-is-long\n\nshort\n";
    for most in 20..=120 {
        let narrow = wrapped(text, Width::Columns(most));
        check_fits(&narrow, most);
        assert_eq!(words(&narrow), words(text));
    }
    assert_eq!(wrapped(text, Width::Unbounded), text);
    assert_eq!(
        wrapped("a hint that goes on below\n", Width::Columns(12)),
        "a hint that\n  goes on\n  below\n"
    );
}

#[test]
fn a_wide_table_becomes_a_block_a_row() {
    let mut rows = Columns::of([("a", 70.0), ("b", 9.5)]);
    rows.words("route", |(name, _)| name);
    rows.figures("yield / %", |(_, value)| Cell::fixed(value, 1));
    rows.words("what it is for", |_| "to tell the one from the other");
    let table = rows.answer("");
    assert_eq!(
        in_lines(&table, Width::Columns(36)),
        "route           a\nyield / %       70.0\nwhat it is for  to tell the one from\n                the other\n\n\
         route           b\nyield / %       9.5\nwhat it is for  to tell the one from\n                the other\n"
    );
    assert_eq!(
        in_lines(&table, Width::Columns(60)),
        "route  yield / %  what it is for\na           70.0  to tell the one from the other\nb            9.5  to tell the one from the other\n"
    );
}

#[test]
fn a_csv_reader_finds_every_cell_again() {
    for seed in 0..40 {
        let table = random_table(seed);
        let frame = CsvReadOptions::default()
            .with_has_header(false)
            .with_infer_schema_length(Some(0))
            .into_reader_with_file_handle(Cursor::new(csv::table(&table).into_bytes()))
            .finish()
            .unwrap();
        assert_eq!(frame.height(), table.rows.len() + 1);
        let back = |text: &str| text.strip_prefix('\'').unwrap_or(text).to_string();
        for (place, column) in frame.columns().iter().enumerate() {
            let mut texts = vec![&table.columns[place].key];
            for row in &table.rows {
                let Cell::Text(text) = &row[place] else {
                    panic!("only texts were put in");
                };
                texts.push(text);
            }
            for (found, text) in column.str().unwrap().iter().zip(texts) {
                let found = found.unwrap_or_default();
                assert_eq!(&back(found), text);
                assert!(!found.starts_with('='));
            }
        }
    }
}

#[test]
fn figures_are_whole_in_data_and_nothing_stands_where_there_is_none() {
    let known = Cell::with_error(2.0 / 3.0, 0.011).times(100.0);
    let given = [
        (known, Some(-1.5)),
        (Cell::because("nobody weighed it"), None),
    ];
    let mut rows = Columns::of(&given);
    rows.figures("yield / %", |(cell, _)| cell.clone())
        .key("yield");
    rows.data("mass", |(_, mass)| *mass).in_unit("g");
    let table = rows.answer("");
    assert_eq!(csv::table(&table), "yield,mass / g\n0.6666666667,-1.5\n,\n");
    assert_eq!(
        json::rows(&table).to_string(),
        r#"[{"yield":0.6666666666666666,"mass":-1.5},{"yield":null,"mass":null}]"#
    );
    assert_eq!(
        in_lines(&table, Width::Unbounded),
        "        yield / %\n       66.7 ± 1.1\nnobody weighed it\n"
    );
}

#[test]
fn no_cell_breaks_out_of_its_row_or_comes_alive_on_a_page() {
    for seed in 0..40 {
        let mut table = random_table(seed);
        table.rows[0][0] = Cell::text("a\n| b\r\n\u{1b}[31m");
        let page = markdown::table(&table);
        assert_eq!(page.lines().count(), table.rows.len() + 2);
        for line in page.lines() {
            assert_eq!(line.matches('|').count(), table.columns.len() + 1, "{line}");
            assert!(!line.contains(['<', '[', ']', '\u{1b}']), "{line}");
        }
    }
}

#[test]
fn a_control_character_reaches_no_terminal() {
    let mut rows = Columns::of(["a\u{1b}[31m\nb"]);
    rows.words("run", |name| name);
    let table = rows.answer("");
    assert_eq!(in_lines(&table, Width::Unbounded), "run\na\\u001b[31m b\n");
}
