//! A plan of further runs for a terminal, or as lines of the runs log.
//!
//! In: [`NextRuns`], and the shape of the runs log. Out: plain text in columns, or CSV.
//! This module never prints: the program does.

use super::table;
use super::words::{MASSES, in_the_log, masses, too_little};
use crate::campaign::{Campaign, Decimal, FactorKind};
use crate::decide::{NextRun, NextRuns};
use crate::intake::{BlankColumn, BlankRow};
use crate::regression::Setting;
use crate::report::print::escape::csv;
use crate::report::print::untold_terms::written;
use crate::report::print::{Screen, Width, count, joined, one_line, percent};
use crate::units::Unit;

/// Decimals of a mass in g that is to be weighed in.
const DECIMALS: usize = 4;

/// Most significant digits of a number in the log.
const DIGITS: usize = 10;

/// One line a run, then how well open differences would be known.
pub fn next(plan: &NextRuns, width: Width) -> String {
    let mut screen = Screen::new(width);
    if !plan.runs.is_empty() {
        screen.table(&table::runs(plan, &str::to_string));
    }
    if let Some(known) = in_the_log(plan) {
        if !plan.runs.is_empty() {
            screen.gap();
        }
        screen.line(&known);
    }
    if !plan.widths.is_empty() {
        screen.gap();
        screen.table(&table::widths(plan, &str::to_string));
        if let Some(why) = too_little(plan) {
            screen.gap();
            screen.line(&why);
        }
    }
    if let Some(efficiency) = plan.efficiency {
        let efficiency = percent(efficiency, 1);
        screen.gap();
        screen.line(&format!(
            "of what as many runs at the ends of all ranges could tell at best: {efficiency}"
        ));
    }
    if !plan.still_tangled.is_empty() {
        let terms = joined(written(&plan.still_tangled), ", ");
        screen.gap();
        screen.line(&format!("no run that may be proposed tells apart: {terms}"));
    }
    screen.finish()
}

/// The runs as lines of the runs log, with its own headings in their order; what is not planned stays blank.
pub fn next_rows(campaign: &Campaign, plan: &NextRuns, log: &BlankRow) -> String {
    let separator = log.separator.to_string();
    let cell = |text: &str| {
        let quoted = csv(text);
        if quoted.contains(log.separator) && !quoted.starts_with('"') {
            format!("\"{quoted}\"")
        } else {
            quoted
        }
    };
    let line = |cells: Vec<String>| cells.join(&separator) + "\n";
    let headings = log.columns.iter().map(|column| cell(&column.heading));
    let rows = next_cells(campaign, plan, log);
    let rows = rows.iter().map(|row| {
        let cells = row.cells.iter().map(|one| match one {
            CellToCome::Number(number) if number.contains(log.separator) => {
                format!("\"{number}\"")
            }
            // A number is no text that a spreadsheet could take for a formula.
            CellToCome::Number(number) => number.clone(),
            CellToCome::Text(text) => cell(text),
        });
        line(cells.collect())
    });
    line(headings.collect()) + &rows.collect::<String>()
}

/// One planned run as a row of the runs log.
pub struct RowToCome {
    /// Its name.
    pub run: String,
    /// One a column of the log.
    pub cells: Vec<CellToCome>,
}

/// A cell of a row of the runs log, as the log writes it.
pub enum CellToCome {
    /// A name; blank where nothing is planned.
    Text(String),
    /// A number.
    Number(String),
}

impl CellToCome {
    /// What stands in it.
    pub fn text(&self) -> &str {
        match self {
            CellToCome::Text(text) | CellToCome::Number(text) => text,
        }
    }
}

/// The runs as rows of the runs log, called `next-1`, `next-2`, ... as far as these names are free.
pub fn next_cells(campaign: &Campaign, plan: &NextRuns, log: &BlankRow) -> Vec<RowToCome> {
    let mut numbers = 1..;
    let mut free = || {
        let names = numbers.by_ref().map(|number| format!("next-{number}"));
        let mut names = names.filter(|name| !log.names.contains(name));
        names.next().unwrap_or_default()
    };
    let runs = plan.runs.iter().map(|run| {
        let name = free();
        let cells = log
            .columns
            .iter()
            .map(|column| match value(campaign, run, column, &name) {
                Some(Planned::Text(text)) => CellToCome::Text(text),
                Some(Planned::Number(number)) => {
                    CellToCome::Number(as_logged(number, campaign.logs.decimal))
                }
                None => CellToCome::Text(String::new()),
            });
        RowToCome {
            cells: cells.collect(),
            run: name,
        }
    });
    runs.collect()
}

/// What was added to a runs log, or that nothing had to be.
pub fn appended(log: &str, names: &[String]) -> String {
    let said = match names.len() {
        0 => format!("nothing had to be added to `{log}`"),
        runs => format!(
            "{} added to `{log}`: {}",
            count(runs, "run"),
            joined(names, ", ")
        ),
    };
    one_line(&said) + "\n"
}

/// What stands in a cell of a planned run; blank where nothing is planned.
fn value(campaign: &Campaign, run: &NextRun, column: &BlankColumn, name: &str) -> Option<Planned> {
    match column.name.as_str() {
        "run" => return Some(Planned::Text(name.to_string())),
        "lot" => return run.lot.clone().map(Planned::Text),
        _ => {}
    }
    let mut factors = campaign.factors.iter();
    let factor = factors.find(|plan| plan.column.as_deref().unwrap_or(&plan.name) == column.name);
    let logged = column.unit.as_deref().and_then(Unit::named);
    if let Some(plan) = factor
        && let Some(setting) = run.settings.get(&plan.name)
    {
        let declared = match &plan.kind {
            FactorKind::Amount { unit, .. } => unit.as_deref().and_then(Unit::named),
            FactorKind::Choice { .. } => None,
        };
        return Some(match setting {
            Setting::Level(level) => Planned::Text(level.clone()),
            Setting::Amount(value) => Planned::Number(in_unit(*value, declared, logged)),
        });
    }
    let mut mass = MASSES.iter().zip(masses(run));
    let (_, grams) = mass.find(|(mass, _)| **mass == column.name)?;
    let grams = format!("{:.DECIMALS$}", grams?).parse().ok()?;
    Some(Planned::Number(in_unit(grams, Unit::named("g"), logged)))
}

/// What stands in a cell of a planned run.
enum Planned {
    Text(String),
    Number(f64),
}

/// A value in the unit of its column of the log, where that measures the same.
fn in_unit(value: f64, from: Option<Unit>, to: Option<Unit>) -> f64 {
    match from.zip(to) {
        Some((from, to)) if from.dimension == to.dimension => to.from_base(from.to_base(value)),
        _ => value,
    }
}

/// A number as the log writes it.
fn as_logged(number: f64, decimal: Decimal) -> String {
    let text = significant(number, DIGITS);
    match decimal {
        Decimal::Point => text,
        Decimal::Comma => text.replace('.', ","),
    }
}

/// A number with so many significant digits at most, and no exponent.
fn significant(number: f64, digits: usize) -> String {
    let rounded = format!("{number:.*e}", digits - 1).parse::<f64>();
    // A zero has no sign.
    (rounded.unwrap_or(number) + 0.0).to_string()
}
