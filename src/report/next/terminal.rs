//! A plan of further runs for a terminal, or as lines of the runs log.
//!
//! In: [`NextRuns`], and the shape of the runs log. Out: plain text in columns, or CSV.
//! This module never prints: the program does.

use super::table;
use super::words::{MASSES, masses, too_little};
use crate::campaign::{Campaign, Decimal, FactorKind};
use crate::decide::{NextRun, NextRuns};
use crate::intake::{BlankColumn, BlankRow};
use crate::regression::Setting;
use crate::report::print::escape::csv;
use crate::report::print::untold_terms::written;
use crate::report::print::{Screen, Width, joined, percent};
use crate::units::Unit;

/// Decimals of a mass in g that is to be weighed in, and of an amount that is to be set.
const DECIMALS: usize = 4;

/// One line a run, then how well open differences would be known.
pub fn next(plan: &NextRuns, width: Width) -> String {
    let mut screen = Screen::new(width);
    screen.table(&table::runs(plan));
    if !plan.widths.is_empty() {
        screen.gap();
        screen.table(&table::widths(plan));
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
        let cells = log
            .columns
            .iter()
            .map(|column| match value(campaign, run, column, &name) {
                Some(Planned::Text(text)) => cell(&text),
                Some(Planned::Number(number)) => as_logged(number, decimal, log.separator),
                None => String::new(),
            });
        text.push_str(&line(cells.collect()));
    }
    text
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
    Some(Planned::Number(in_unit(grams?, Unit::named("g"), logged)))
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
