//! Versions of a row: which of several lines of one run counts.
//!
//! In: the tables of the runs log. Out: [`Versions`], the lines that are superseded, and a fault for each run that stands twice
//! without a word on which line counts.
//! This module never passes over a line without naming the one that counts in its place.

use std::cmp::Ordering;
use std::collections::BTreeSet;

use super::cell_words::is_missing;
use super::dates::{self, Orders};
use super::logged::Logged;
use super::not_used::Superseded;
use super::number::plain;
use super::rows::RowReader;
use super::table::Table;
use crate::error::{Error, ErrorKind, Place};
use crate::name::Name;
use crate::sheets::is_over_rows;

/// Cells that differ between two lines of one run which a message shows.
const MOST_SHOWN: usize = 3;

/// Characters of a cell that a message shows; longer ones are cut.
const LONGEST_SHOWN: usize = 40;

/// Which lines of the runs log count.
#[derive(Debug, Default)]
pub(super) struct Versions {
    passed_over: BTreeSet<(Name, usize)>,
}

impl Versions {
    /// Whether no other line of its run counts in place of this one.
    pub fn counts(&self, place: &Place) -> bool {
        // Most logs have no run twice, and need no key made.
        self.passed_over.is_empty() || !self.passed_over.contains(&(place.file.clone(), place.line))
    }

    fn pass_over(&mut self, line: &Line) {
        let place = line.place();
        self.passed_over.insert((place.file, place.line));
    }
}

/// One line of the runs log.
#[derive(Clone, Copy)]
struct Line<'t> {
    run: &'t str,
    table: &'t Table,
    row: usize,
    is_sound: bool,
}

impl<'t> Line<'t> {
    fn place(&self) -> Place {
        self.table.place(self.row)
    }

    fn cell(&self, name: &str) -> Option<&'t str> {
        self.table.cell(self.table.column(name).position?, self.row)
    }

    /// Its revision; a word for nothing is none.
    fn revision(&self) -> Option<&'t str> {
        self.cell("revision").filter(|text| !is_missing(text))
    }
}

/// Settles which line of each run counts: the last revision of those that have one.
///
/// Revisions are compared as numbers where all of a run are numbers, as dates where all are dates, else the last line counts;
/// a line without a revision is older than those with one.
pub(super) fn settle(tables: &[Table], logged: &mut Logged, stops: &mut Vec<Error>) -> Versions {
    let mut lines: Vec<Line> = tables.iter().flat_map(lines_of).collect();
    // Lines of one run stay in the order of the files.
    lines.sort_by_key(|line| line.run);
    let mut versions = Versions::default();
    let mut faults = Vec::new();
    for of_run in lines.chunk_by(|a, b| a.run == b.run) {
        if of_run.len() == 1 {
            continue;
        }
        let has_versions = of_run.iter().any(|line| line.revision().is_some())
            && of_run.iter().all(|line| line.is_sound);
        let pairs = match has_versions {
            true => of_versions(of_run, logged, &mut versions),
            false => of_run[1..].iter().map(|line| (of_run[0], *line)).collect(),
        };
        for (known, line) in pairs {
            versions.pass_over(&line);
            faults.push(doubled(&known, &line, has_versions));
        }
    }
    let order = |fault: &Error| {
        let is_it = |table: &Table| fault.file() == Some(table.file.as_str());
        (tables.iter().position(is_it), fault.line())
    };
    faults.sort_by_key(order);
    stops.extend(faults);
    versions
}

/// The lines of a table that name a run.
fn lines_of(table: &Table) -> impl Iterator<Item = Line<'_>> {
    let run = table.column("run");
    let sound = RowReader::all(table).filter(move |reader| reader.name_text(run).is_some());
    let sound = sound.map(|reader| (reader.row, true));
    let ragged = table.ragged_rows().map(|row| (row, false));
    let mut rows: Vec<(usize, bool)> = sound.chain(ragged).collect();
    rows.sort_unstable();
    rows.into_iter().filter_map(move |(row, is_sound)| {
        let run = table.run(row).filter(|run| !is_over_rows(run))?;
        Some(Line {
            run,
            table,
            row,
            is_sound,
        })
    })
}

/// Passes over all versions of a run but the last; gives those that have the same revision as another.
fn of_versions<'t>(
    lines: &[Line<'t>],
    logged: &mut Logged,
    versions: &mut Versions,
) -> Vec<(Line<'t>, Line<'t>)> {
    let revisions: Vec<&str> = lines.iter().filter_map(Line::revision).collect();
    let marks = lines[0].table.written.marks;
    let day = |text: &str| Some(dates::date(text, Orders::default()).ok()?.day);
    let numbers = revisions.iter().all(|text| plain(text, marks).is_ok());
    let days = revisions.iter().all(|text| day(text).is_some());
    let of_texts = |a: &str, b: &str| match () {
        () if numbers => {
            let [a, b] = [a, b].map(|text| plain(text, marks).unwrap_or_default());
            a.total_cmp(&b)
        }
        // Those of one day are told apart by their times.
        () if days => (day(a), a).cmp(&(day(b), b)),
        () if a == b => Ordering::Equal,
        // The order of the file is kept.
        () => Ordering::Less,
    };
    let order = |a: &Line, b: &Line| match (a.revision(), b.revision()) {
        (Some(a), Some(b)) => of_texts(a, b),
        (a, b) => a.is_some().cmp(&b.is_some()),
    };
    let mut same = Vec::new();
    for (position, line) in lines.iter().enumerate() {
        let twin = lines[..position].iter();
        let mut twin = twin.filter(|earlier| order(earlier, line) == Ordering::Equal);
        same.extend(twin.next().map(|twin| (*twin, *line)));
    }
    if !same.is_empty() {
        return same;
    }
    let mut last = lines[0];
    for line in &lines[1..] {
        if order(&last, line) == Ordering::Less {
            last = *line;
        }
    }
    let older = lines.iter().filter(|line| line.place() != last.place());
    for line in older {
        versions.pass_over(line);
        logged.superseded.push(Superseded {
            place: line.place(),
            run: line.run.to_string(),
            revision: line.revision().map(str::to_string),
            by: last.place(),
        });
    }
    same
}

/// The fault of a run that stands twice.
fn doubled(known: &Line, line: &Line, has_versions: bool) -> Error {
    let (run, place) = (line.run, line.place());
    let what = match line.revision() {
        _ if !has_versions => format!("run `{run}` stands"),
        Some(revision) => format!("run `{run}` has the revision `{revision}`"),
        None => format!("run `{run}` has no revision"),
    };
    let differ = differences(known, line);
    let told = match (&differ, line.is_sound && known.is_sound) {
        (_, false) => "whose cells cannot be held against one another".to_string(),
        (None, true) => "with the same entries".into(),
        (Some(differ), true) => format!("which differ in {differ}"),
    };
    let message = format!("{what} in {} and in {place}, {told}", known.place());
    let hint = match differ {
        None if line.is_sound && known.is_sound => "take one of the two lines out",
        _ if has_versions => "give the line that counts a higher revision",
        _ => {
            "if the later line corrects the other one, write `1` and `2` into a column `revision`; if it is another run, give it another name"
        }
    };
    let fault = place.fault(ErrorKind::DuplicatedRun, message, hint);
    fault.in_column(if has_versions { "revision" } else { "run" })
}

/// The first cells that differ between two lines, and how many more do; `None` where all are the same.
fn differences(known: &Line, line: &Line) -> Option<String> {
    let own = line.table.heads.iter();
    let known_alone = known.table.heads.iter();
    let known_alone = known_alone.filter(|head| line.table.column(&head.name).position.is_none());
    let differing = own.chain(known_alone).filter_map(|head| {
        let cells = [known.cell(&head.name), line.cell(&head.name)];
        let [a, b] = cells.map(shown);
        (cells[0] != cells[1]).then(|| format!("`{}`: {a} and {b}", head.heading))
    });
    let mut differing: Vec<String> = differing.collect();
    let more = differing.len().saturating_sub(MOST_SHOWN);
    differing.truncate(MOST_SHOWN);
    let told = differing.join(", ");
    match more {
        _ if differing.is_empty() => None,
        0 => Some(told),
        1 => Some(format!("{told}, and in 1 more column")),
        more => Some(format!("{told}, and in {more} more columns")),
    }
}

/// A cell as a message shows it.
fn shown(cell: Option<&str>) -> String {
    match cell {
        None => "empty".into(),
        Some(text) if text.chars().count() > LONGEST_SHOWN => {
            let cut: String = text.chars().take(LONGEST_SHOWN).collect();
            format!("`{cut}...`")
        }
        Some(text) => format!("`{text}`"),
    }
}
