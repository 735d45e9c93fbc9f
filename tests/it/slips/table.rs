//! The table of slips: which entry is mistyped how, and what must happen.
//!
//! In: `tests/data/slips.md`. Out: [`Case`]s.
//! This module never makes an edit.

use crate::support::data;

/// The campaign that is edited.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Base {
    /// The demo with all logs.
    Bluestone,
    /// The demo in one flat table with decimal commas.
    Iodate,
    /// Nickel sulfate, titrated back, without liquor and residue.
    Nickel,
    /// Bluestone in one flat table, without liquor and residue.
    Copper,
}

/// What becomes of a cell, a row or a key.
#[derive(Debug, Clone, PartialEq)]
pub enum To {
    /// `= text`: another text, or none.
    Is(String),
    /// `* factor`
    Times(f64),
    /// `+ amount`
    Plus(f64),
    /// `below`: changed places with the cell below.
    Below,
    /// `gone`: the row or key is not there.
    Gone,
    /// `twice`: the row stands there twice.
    Twice,
}

/// One edit of a file.
#[derive(Debug, Clone)]
pub struct Edit {
    pub file: String,
    pub row: String,
    pub column: String,
    pub to: To,
}

/// What must happen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Must {
    /// Nothing is worked out; a fault names the place.
    Stops,
    /// Either that, or what the next one says.
    Fault,
    /// The run, lot or titrant is left out and listed.
    LeftOut,
    /// The entry is withheld.
    Impossible,
    /// The entry stays in, and answers must hold without it.
    Unlikely,
    /// A doubt names it.
    Odd,
    /// The log cannot show it; the case says why.
    Silent,
}

/// One slip.
#[derive(Debug, Clone)]
pub struct Case {
    pub what: String,
    pub base: Base,
    pub edits: Vec<Edit>,
    pub must: Must,
    /// What the doubt is about, any of these: runs, lots or titrants; none for the campaign.
    pub about: Vec<String>,
    /// The columns or keys that a doubt may name, any of them.
    pub columns: Vec<String>,
    /// A part of the likely slip, where there is one.
    pub likely: Option<String>,
}

/// Headings of the table, so that a column is not moved by mistake.
const HEADINGS: &str =
    "| campaign | file | row | column | edit | must | about | column named | likely | what |";

/// All slips of the table, in its order.
pub fn cases() -> Vec<Case> {
    let text = data("slips.md");
    let mut cases: Vec<Case> = Vec::new();
    let mut rows = text.lines().filter(|line| line.starts_with('|'));
    assert_eq!(rows.next(), Some(HEADINGS));
    for line in rows.skip(1) {
        let line = line
            .strip_prefix('|')
            .and_then(|line| line.strip_suffix('|'));
        let line = line.expect("a line of a table stands between bars");
        let cells: Vec<&str> = line.split('|').map(str::trim).collect();
        let [
            base,
            file,
            row,
            column,
            edit,
            must,
            about,
            named,
            likely,
            what,
        ] = cells[..]
        else {
            panic!("ten cells are needed: {line}");
        };
        let edit = Edit {
            file: file.to_string(),
            row: row.to_string(),
            column: column.to_string(),
            to: to(edit),
        };
        if base.is_empty() {
            let above = cases
                .last_mut()
                .expect("a further edit has a slip above it");
            above.edits.push(edit);
            continue;
        }
        let list = |text: &str| {
            let names = text.split(',').map(|name| name.trim().to_string());
            names.filter(|name| !name.is_empty()).collect()
        };
        cases.push(Case {
            what: what.to_string(),
            base: self::base(base),
            edits: vec![edit],
            must: self::must(must),
            about: list(about),
            columns: list(if named.is_empty() { column } else { named }),
            likely: (!likely.is_empty()).then(|| likely.to_string()),
        });
    }
    cases
}

fn base(text: &str) -> Base {
    match text {
        "bluestone" => Base::Bluestone,
        "iodate" => Base::Iodate,
        "nickel" => Base::Nickel,
        "copper" => Base::Copper,
        _ => panic!("no campaign `{text}`"),
    }
}

fn to(text: &str) -> To {
    let (sign, rest) = text.split_at(1);
    let number = || {
        rest.trim()
            .parse()
            .unwrap_or_else(|_| panic!("no number in `{text}`"))
    };
    match (sign, text) {
        (_, "below") => To::Below,
        (_, "gone") => To::Gone,
        (_, "twice") => To::Twice,
        ("=", _) => To::Is(rest.trim().to_string()),
        ("*", _) => To::Times(number()),
        ("+", _) => To::Plus(number()),
        _ => panic!("no edit `{text}`"),
    }
}

fn must(text: &str) -> Must {
    match text {
        "stops" => Must::Stops,
        "fault" => Must::Fault,
        "left out" => Must::LeftOut,
        "impossible" => Must::Impossible,
        "unlikely" => Must::Unlikely,
        "odd" => Must::Odd,
        "silent" => Must::Silent,
        _ => panic!("nothing must be `{text}`"),
    }
}
