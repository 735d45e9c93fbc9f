//! A plan of further runs for a terminal, or as lines of the runs log.
//!
//! In: [`NextRuns`], and the shape of the runs log. Out: plain text in columns, or CSV.
//! This module never prints: the program does.

use super::table;
use super::words::{MASSES, masses};
use crate::campaign::{Campaign, Decimal};
use crate::decide::{NextRun, NextRuns};
use crate::intake::{BlankColumn, BlankRow};
use crate::regression::Setting;
use crate::report::print::escape::csv;
use crate::report::print::term_words::written;
use crate::report::print::{Width, fixed, one_line, terminal, wrapped};
use crate::units::Unit;

/// Decimals of a mass in g that is to be weighed in, and of an amount that is to be set.
const DECIMALS: usize = 4;

/// One line a run, then how well open differences would be known.
pub fn next(plan: &NextRuns, width: Width) -> String {
    let mut text = terminal::table(&table::runs(plan), width);
    if !plan.widths.is_empty() {
        text.push('\n');
        text.push_str(&terminal::table(&table::widths(plan), width));
    }
    if let Some(efficiency) = plan.efficiency {
        let line = format!(
            "\nof what as many runs at the ends of all ranges could tell at best: {} %\n",
            fixed(100.0 * efficiency, 1)
        );
        text.push_str(&wrapped(&line, width));
    }
    if !plan.still_tangled.is_empty() {
        let line = format!(
            "\nno run that may be proposed tells apart: {}\n",
            one_line(&written(&plan.still_tangled).join(", "))
        );
        text.push_str(&wrapped(&line, width));
    }
    text
}

/// The runs as lines of the runs log, with its own headings in their order; what is not planned stays blank.
///
/// Runs are called `next-1`, `next-2`, ... as far as these names are free.
pub fn next_rows(campaign: &Campaign, plan: &NextRuns, log: &BlankRow) -> String {
    let separator = log.separator.to_string();
    let decimal = campaign.logs.decimal;
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
    let mut text = line(headings.collect());
    let mut number = 0;
    for run in &plan.runs {
        let name = loop {
            number += 1;
            let name = format!("next-{number}");
            if !log.names.contains(&name) {
                break name;
            }
        };
        let cells = log.columns.iter().map(|column| {
            let value = value(campaign, run, column, &name);
            match value {
                Cell::Text(text) => cell(&text),
                Cell::Number(number) => as_logged(number, decimal, log.separator),
                Cell::Blank => String::new(),
            }
        });
        text.push_str(&line(cells.collect()));
    }
    text
}

/// What stands in a cell of a planned run.
enum Cell {
    Text(String),
    Number(f64),
    Blank,
}

fn value(campaign: &Campaign, run: &NextRun, column: &BlankColumn, name: &str) -> Cell {
    let in_unit = |grams: f64| match column.unit.as_deref().and_then(Unit::named) {
        Some(unit) => unit.from_base(Unit::named("g").map_or(grams, |g| g.to_base(grams))),
        None => grams,
    };
    match column.name.as_str() {
        "run" => return Cell::Text(name.to_string()),
        "lot" => return run.lot.clone().map_or(Cell::Blank, Cell::Text),
        _ => {}
    }
    let factor = campaign
        .factors
        .iter()
        .find(|plan| plan.column.as_deref().unwrap_or(&plan.name) == column.name);
    if let Some(plan) = factor
        && let Some(setting) = run.settings.get(&plan.name)
    {
        return match setting {
            Setting::Level(level) => Cell::Text(level.clone()),
            Setting::Amount(value) => Cell::Number(in_logged_unit(plan, column, *value)),
        };
    }
    let mass = MASSES.iter().zip(masses(run));
    let found = mass
        .into_iter()
        .find(|(mass, _)| **mass == column.name)
        .and_then(|(_, mass)| mass);
    found.map_or(Cell::Blank, |grams| Cell::Number(in_unit(grams)))
}

/// An amount in the unit of its column of the log.
fn in_logged_unit(plan: &crate::campaign::FactorPlan, column: &BlankColumn, value: f64) -> f64 {
    let declared = match &plan.kind {
        crate::campaign::FactorKind::Amount { unit, .. } => unit.as_deref().and_then(Unit::named),
        crate::campaign::FactorKind::Choice { .. } => None,
    };
    match (declared, column.unit.as_deref().and_then(Unit::named)) {
        (Some(from), Some(to)) if from.dimension == to.dimension => {
            to.from_base(from.to_base(value))
        }
        _ => value,
    }
}

/// A number as the log writes it.
fn as_logged(number: f64, decimal: Decimal, separator: char) -> String {
    let text = format!("{number:.DECIMALS$}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    let text = match decimal {
        Decimal::Point => text.to_string(),
        Decimal::Comma => text.replace('.', ","),
    };
    if text.contains(separator) {
        format!("\"{text}\"")
    } else {
        text
    }
}
