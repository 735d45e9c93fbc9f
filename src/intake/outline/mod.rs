//! Outline of files that nobody described yet: which log each table is, and what its columns hold.
//!
//! In: names and bytes of files. Out: [`Outline`], every guess with what speaks for it.
//! This module never decides what is unsure: it gives the alternatives.

mod clues;
mod values;

use super::heading_units::cut;
use crate::campaign::{Decimal, LogKind, PriceUnit};
use crate::error::{Error, Faults};
use crate::sheets::{File, Grid, Mark, Sheet, grid, sheets, tables};
use crate::units::{Dimension, Unit};
pub use values::Values;

/// What files hold, as far as headings and cells tell it.
#[derive(Debug, Clone, Default)]
pub struct Outline {
    /// Tables with rows, in the order of the files.
    pub tables: Vec<TableOutline>,
    /// Decimal mark that the numbers show.
    pub decimal: Option<Decimal>,
}

/// One table.
#[derive(Debug, Clone)]
pub struct TableOutline {
    /// As `[logs]` names it: the file, with sheet or number of the table where it holds several.
    pub name: String,
    /// The title above it.
    pub title: Option<String>,
    /// Line of its headings.
    pub line: usize,
    /// How many rows it has.
    pub rows: usize,
    /// The logs that it may be, the likeliest first, each with how many of its columns it has; all of them where it is several.
    pub logs: Vec<(LogKind, usize)>,
    /// Whether it holds the residues of its runs besides.
    pub holds_residues: bool,
    /// Its columns.
    pub columns: Vec<ColumnOutline>,
}

/// One column.
#[derive(Debug, Clone)]
pub struct ColumnOutline {
    /// The heading as written.
    pub heading: String,
    /// The heading without its unit part.
    pub bare: String,
    /// Its unit part.
    pub unit: Option<String>,
    /// What it holds.
    pub values: Values,
    /// The column of the log that it is by its words.
    pub meaning: Option<String>,
    /// The column of the residues log that it is, in a table that holds these besides.
    pub of_residues: Option<String>,
}

/// Columns without which a table is no such log.
const NEEDED: [(LogKind, &[&str]); 7] = [
    (LogKind::Titres, &["run", "sample_mass", "titre"]),
    (LogKind::Readings, &["time", "temperature"]),
    (LogKind::Titrants, &["titrant"]),
    (LogKind::Crops, &["run", "crop", "mass"]),
    (LogKind::Runs, &["run"]),
    (LogKind::Residues, &["run", "mass"]),
    (LogKind::Lots, &["lot", "assay"]),
];

/// Looks through files.
///
/// # Errors
/// Files that cannot be read.
pub fn outline(files: &[(String, Vec<u8>)]) -> Result<Outline, Faults> {
    let mut faults: Vec<Error> = Vec::new();
    let mut found = Outline::default();
    let mut marks = values::MarksSeen::default();
    for (name, bytes) in files {
        let file = File {
            name,
            bytes,
            separator: None,
            mark: Mark::Point,
        };
        match of_file(&file, &mut marks) {
            Ok(tables) => found.tables.extend(tables),
            Err(fault) => faults.push(fault),
        }
    }
    found.decimal = marks.decimal();
    Faults::or(faults, found)
}

fn of_file(file: &File, marks: &mut values::MarksSeen) -> Result<Vec<TableOutline>, Error> {
    let sheets = sheets(file)?;
    let parts: Vec<Option<String>> = match sheets.len() {
        0 | 1 => vec![None],
        _ => sheets.into_iter().map(Some).collect(),
    };
    let mut found = Vec::new();
    for part in parts {
        let (grid, _) = grid(file, part.as_deref())?;
        let all = tables(&grid, &|_| false, &|text| Unit::named(text).is_some());
        let several = all.iter().filter(|sheet| !sheet.rows.is_empty()).count() > 1;
        for (position, sheet) in all.iter().enumerate() {
            if sheet.rows.is_empty() {
                continue;
            }
            let number = several.then(|| (position + 1).to_string());
            let parts = [Some(file.name.to_string()), part.clone(), number];
            let parts: Vec<String> = parts.into_iter().flatten().collect();
            found.push(of_table(&grid, sheet, parts.join("#"), marks));
        }
    }
    Ok(found)
}

fn of_table(
    grid: &Grid,
    sheet: &Sheet,
    name: String,
    marks: &mut values::MarksSeen,
) -> TableOutline {
    let headings = grid.headings(sheet);
    let mut columns: Vec<ColumnOutline> = Vec::new();
    for (position, heading) in headings.into_iter().enumerate() {
        let Some(heading) = heading else { continue };
        let known = |text: &str| Unit::named(text).is_some() || PriceUnit::named(text).is_some();
        let cut = cut(heading, known);
        let below = sheet.units.and_then(|row| grid.cell(position, row));
        let cells = sheet.rows.iter();
        let cells = cells.map(|row| grid.cell(position, *row as usize));
        columns.push(ColumnOutline {
            heading: heading.to_string(),
            bare: cut.name.to_string(),
            unit: cut.unit.or(below).map(str::to_string),
            values: values::of(cells, marks),
            meaning: None,
            of_residues: None,
        });
    }
    let meanings = |log: LogKind| -> Vec<Option<String>> {
        let mut taken: Vec<String> = Vec::new();
        let of = columns.iter().map(|column| {
            let meaning = clues::column(log, &column.bare, measures(column))?;
            let is_new = !taken.contains(&meaning);
            taken.push(meaning.clone());
            is_new.then_some(meaning)
        });
        of.collect()
    };
    let mut logs: Vec<(LogKind, usize)> = Vec::new();
    for (log, needed) in NEEDED {
        let meanings: Vec<String> = meanings(log).into_iter().flatten().collect();
        let has = |column: &&str| meanings.iter().any(|of| of == column);
        if needed.iter().all(has) {
            logs.push((log, meanings.len()));
        }
    }
    // The log of which it has most columns; of two alike the one that asks for more.
    logs.sort_by_key(|(_, columns)| std::cmp::Reverse(*columns));
    let first = logs.first().map(|(log, _)| *log);
    let of_first = first.map(meanings).unwrap_or_default();
    let is_runs = first == Some(LogKind::Runs);
    for (column, meaning) in columns.iter_mut().zip(of_first) {
        let of_residues = clues::column(LogKind::Residues, &column.bare, measures(column));
        // What a run was charged with is no residue of its own.
        let is_own = meaning.as_deref().is_none_or(|name| name == "run");
        column.of_residues = of_residues.filter(|_| is_runs && is_own);
        column.meaning = meaning;
    }
    let has = |wanted: &str| {
        let is_it = |of: &ColumnOutline| of.of_residues.as_deref() == Some(wanted);
        columns.iter().any(is_it)
    };
    TableOutline {
        name,
        title: sheet.title.clone(),
        line: grid.line(sheet.heading),
        rows: sheet.rows.len(),
        holds_residues: has("run") && has("mass"),
        logs,
        columns,
    }
}

/// What the numbers of a column measure; a price counts as none.
fn measures(column: &ColumnOutline) -> Option<Dimension> {
    let unit = column.unit.as_deref()?;
    // The unit of a strength may name what it is of: `g Ni/L`, `g/L of CuSO4`.
    let is_strength = unit.contains("/L") || unit.contains("/l");
    match Unit::named(unit) {
        Some(unit) => Some(unit.dimension),
        None => is_strength.then_some(Dimension::MassConcentration),
    }
}
