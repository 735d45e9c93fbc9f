//! Faults and doubts by their cause: each told once, with how many there are, where, and a few values.
//!
//! In: faults, rows left out, doubts. Out: [`ByCause`], in the order in which the first of each stands, and what it says.
//! This module never drops a fault: positions lead back to every single one.

use std::collections::BTreeMap;
use std::mem::{Discriminant, discriminant};

use super::doubts::{kind_text, seen};
use super::print::{and_list, around, count, one_line};
use crate::caveat::{About, Against, Caveat, Doubt, SlipOf};
use crate::error::{Cause, Error, ErrorKind, of_many};
use crate::intake::{LeftOut, UsedAs};

/// Values, columns, files and names that are told of one cause; the others are counted.
const MOST_NAMED: usize = 4;

/// Ranges of lines that are told of one cause; where there are more, only their ends.
const MOST_RANGES: usize = 4;

/// What is of one cause, by its positions in the list that it comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct ByCause(pub Vec<usize>);

/// Faults by their cause: what is wrong, and what to do about it, are the same.
pub(super) fn of_faults(faults: &[Error]) -> Vec<ByCause> {
    grouped(faults.iter().map(|fault| key(fault, false)))
}

/// Rows left out by their cause; decisions stay apart from faults.
pub(super) fn of_left_out(entries: &[LeftOut]) -> Vec<ByCause> {
    let keys = entries.iter().map(|of| key(&of.error, of.on_purpose));
    grouped(keys)
}

/// Doubts of one kind that differ in the run, lot or titrant that they are about.
pub(super) fn of_doubts(caveats: &[Caveat]) -> Vec<ByCause> {
    let mut groups: Vec<(Option<DoubtKey>, ByCause)> = Vec::new();
    for (position, caveat) in caveats.iter().enumerate() {
        let key = doubt_key(caveat);
        let mut known = groups.iter_mut();
        match known.find(|(known, _)| known.is_some() && *known == key) {
            Some((_, group)) => group.0.push(position),
            None => groups.push((key, ByCause(vec![position]))),
        }
    }
    groups.into_iter().map(|(_, group)| group).collect()
}

type Key<'a> = (&'a Cause, ErrorKind, Option<&'a str>, bool);

fn key(fault: &Error, on_purpose: bool) -> Option<Key<'_>> {
    let advice = fault.shared_advice();
    Some((fault.cause()?, fault.kind(), advice, on_purpose))
}

fn grouped<'a>(keys: impl Iterator<Item = Option<Key<'a>>>) -> Vec<ByCause> {
    let mut known: BTreeMap<Key, usize> = BTreeMap::new();
    let mut groups: Vec<ByCause> = Vec::new();
    for (position, key) in keys.enumerate() {
        let next = groups.len();
        let group = key.map_or(next, |key| *known.entry(key).or_insert(next));
        match groups.get_mut(group) {
            Some(group) => group.0.push(position),
            None => groups.push(ByCause(vec![position])),
        }
    }
    groups
}

/// What doubts have in common that are told together.
type DoubtKey<'a> = (
    &'static str,
    Discriminant<About>,
    Option<(&'a str, Discriminant<Against>)>,
    Option<Discriminant<SlipOf>>,
);

/// `None` for a doubt that is told by itself.
fn doubt_key(caveat: &Caveat) -> Option<DoubtKey<'_>> {
    let (entry, likely) = match &caveat.doubt {
        Doubt::Entry(slip) => (
            Some((slip.column.as_str(), discriminant(&slip.against))),
            slip.likely.as_ref().map(|likely| discriminant(&likely.how)),
        ),
        _ => (None, None),
    };
    let is_alone = matches!(caveat.about, About::Campaign | About::Response(_));
    let about = discriminant(&caveat.about);
    (!is_alone).then_some((kind_text(&caveat.doubt), about, entry, likely))
}

impl ByCause {
    /// Those of a list that it holds.
    pub fn of<'a, T>(&self, all: &'a [T]) -> Vec<&'a T> {
        self.0.iter().map(|position| &all[*position]).collect()
    }
}

/// What faults of one cause say together; one by itself says what it always says.
pub(super) fn message(faults: &[&Error]) -> String {
    let [first, _, ..] = faults else {
        let only = faults.iter().map(|fault| fault.message());
        return only.collect();
    };
    let files = distinct(faults.iter().filter_map(|fault| fault.file()));
    let place = match files.as_slice() {
        [] => String::new(),
        [file] => format!(" in `{file}`"),
        files => format!(" in {} ({})", count(files.len(), "file"), named(files)),
    };
    let values = values(faults);
    let lines: Vec<usize> = faults.iter().filter_map(|fault| fault.line()).collect();
    let lines = match files.as_slice() {
        [_] => around("; ", &in_ranges(lines), ""),
        _ => String::new(),
    };
    let many = faults.len();
    match first.cause() {
        Some(Cause::Cells(what)) => {
            let columns = distinct(faults.iter().filter_map(|fault| fault.column()));
            let word = if columns.len() == 1 {
                "column"
            } else {
                "columns"
            };
            let what = of_many(what);
            format!(
                "{word} {}{place}: {many} cells {what}{values}{lines}",
                named(&columns)
            )
        }
        Some(Cause::Things(noun)) => format!("{noun}{place}: {many} times{values}{lines}"),
        None => first.message().to_string(),
    }
}

/// What to do about faults of one cause.
pub(super) fn hint<'a>(faults: &[&'a Error]) -> Option<&'a str> {
    match faults {
        [only] => only.advice(),
        many => many.first()?.shared_advice(),
    }
}

/// The values behind what is said: all of them, or the first of many; all where each has another that was likely meant.
fn values(faults: &[&Error]) -> String {
    if faults.iter().any(|fault| fault.likely().is_some()) {
        let told = faults.iter().map(|fault| {
            let value = fault.value().unwrap_or_default();
            let likely = around(
                " (did you mean `",
                fault.likely().unwrap_or_default(),
                "`?)",
            );
            format!("`{value}`{likely}")
        });
        return format!(": {}", and_list(told));
    }
    let values = distinct(faults.iter().filter_map(|fault| fault.value()));
    match values.as_slice() {
        [] => String::new(),
        [only] => format!(", each `{only}`"),
        few if few.len() < MOST_NAMED => format!(": {}", named(few)),
        many => format!(", such as {}", named(&many[..MOST_NAMED - 1])),
    }
}

/// Rows left out of one cause: which run, or how many, and why.
pub(super) fn left_out(entries: &[&LeftOut]) -> String {
    let faults: Vec<&Error> = entries.iter().map(|entry| &entry.error).collect();
    let runs = distinct(entries.iter().filter_map(|entry| entry.run.as_deref()));
    let runs = match runs.as_slice() {
        [] => String::new(),
        [run] => format!(" run `{run}`"),
        runs => format!(" {}:", count(runs.len(), "run")),
    };
    format!("left out:{runs} {}", message(&faults))
}

/// What the first doubt of a kind has seen, and of which others it holds likewise.
pub(super) fn doubt(caveats: &[&Caveat]) -> String {
    let Some((first, others)) = caveats.split_first() else {
        return String::new();
    };
    let noun = match first.about {
        About::Lot(_) => "lot",
        About::Titrant(_) => "titrant",
        _ => "run",
    };
    let others = distinct(others.iter().map(|caveat| caveat.about.name()));
    let told = others.iter().take(MOST_NAMED).map(|name| name.to_string());
    let names = match others.len().saturating_sub(MOST_NAMED) {
        0 => and_list(told),
        more => and_list(told.chain([format!("{more} more")])),
    };
    let plural = if others.len() > 1 { "s" } else { "" };
    let likewise = around(&format!("; likewise {noun}{plural} "), &names, "");
    format!("{}{likewise}", seen(first))
}

/// Headings that are used for a column although they are spelt in another way, on one line.
pub fn used_as(headings: &[UsedAs]) -> String {
    let files = distinct(headings.iter().map(|of| of.file.as_str())).into_iter();
    let of_files = files.map(|file| {
        let of_file = headings.iter().filter(|of| of.file == file);
        let each = of_file.map(|of| format!("`{}` as `{}`", of.heading, of.name));
        format!("in `{file}` {}", and_list(each))
    });
    let of_files: Vec<String> = of_files.collect();
    around("used as: ", &one_line(&of_files.join("; ")), "\n")
}

/// The first names between backticks, and how many more there are.
fn named(names: &[&str]) -> String {
    let told = names
        .iter()
        .take(MOST_NAMED)
        .map(|name| format!("`{name}`"));
    match names.len().saturating_sub(MOST_NAMED) {
        0 => and_list(told),
        more => and_list(told.chain([format!("{more} more")])),
    }
}

/// Each once, in the order in which they come.
fn distinct<'a>(all: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut places: BTreeMap<&str, usize> = BTreeMap::new();
    for name in all {
        let next = places.len();
        places.entry(name).or_insert(next);
    }
    let mut names: Vec<(&str, usize)> = places.into_iter().collect();
    names.sort_by_key(|(_, place)| *place);
    names.into_iter().map(|(name, _)| name).collect()
}

/// Lines as ranges: `lines 2 to 9, 11 and 14`.
fn in_ranges(mut lines: Vec<usize>) -> String {
    lines.sort_unstable();
    lines.dedup();
    let mut ranges: Vec<[usize; 2]> = Vec::new();
    for line in &lines {
        match ranges.last_mut() {
            Some([_, last]) if *last + 1 == *line => *last = *line,
            _ => ranges.push([*line; 2]),
        }
    }
    let range = |[first, last]: &[usize; 2]| match last - first {
        0 => first.to_string(),
        1 => format!("{first} and {last}"),
        _ => format!("{first} to {last}"),
    };
    match (ranges.as_slice(), lines.as_slice()) {
        ([], _) => String::new(),
        ([[only, last]], _) if only == last => format!("line {only}"),
        (many, [first, .., last]) if many.len() > MOST_RANGES => {
            format!("{} from {first} to {last}", count(lines.len(), "line"))
        }
        (few, _) => {
            let few: Vec<String> = few.iter().map(range).collect();
            format!("lines {}", few.join(", "))
        }
    }
}
