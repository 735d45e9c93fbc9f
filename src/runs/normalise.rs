//! From logged rows to results: each run on one footing.
//!
//! In: campaign and logs. Out: [`Runs`].
//! This module never repeats what its neighbours decide: assays, titres, residues and balance have files of their own.

use std::collections::{BTreeMap, BTreeSet};

use super::book::Book;
use super::charge::lot_prices;
use super::columns::Material;
use super::desk::Desk;
use super::lots::lots;
use super::order::{missing_dates, run_order};
use super::residue::residues_out;
use super::scatter::Scatter;
use super::titrants::{TitrantResult, titrants};
use super::titrants_used::titrants_used;
use super::titration::{Bench, Titrated, scatter_of_replicates, titrate};
use super::unknown_names::leave_out_unknown_names;
use super::{RunResult, Runs, caveats, entries};
use crate::campaign::{Campaign, SampleBasis};
use crate::caveat::Caveat;
use crate::error::{Error, ErrorKind, Faults};
use crate::intake::{CropRow, LeftOut, Logged, RunRow};
use crate::measured::{Draws, Sources};

/// Puts every run on one footing.
///
/// # Errors
/// Faults that stop the work: no usable run, a factor or response without a column, a baseline that no run has.
pub fn normalise(campaign: &Campaign, logged: &Logged) -> Result<Runs, Faults> {
    normalise_or_tell(campaign, logged).map_err(|stopped| stopped.faults)
}

/// What stopped the work, and which rows were left out before that.
#[derive(Debug, Clone)]
pub struct Stopped {
    /// What stopped it.
    pub faults: Faults,
    /// Rows that could not be used.
    pub left_out: Vec<LeftOut>,
}

/// As [`normalise`], for somebody who wants to know what was left out even where the work stops.
///
/// # Errors
/// As [`normalise`].
pub fn normalise_or_tell(campaign: &Campaign, logged: &Logged) -> Result<Runs, Stopped> {
    let mut left_out = logged.left_out.clone();
    leave_out_unknown_names(logged, &mut left_out);
    let mut worked = work_out(campaign, logged, &mut left_out, None);
    let mut caveats = worked.caveats;
    caveats.extend(missing_dates(&logged.runs.rows));
    caveats.extend(caveats::of_runs(&worked.results));
    caveats.extend(caveats::of_balance(&worked.results));
    caveats.extend(caveats::by_difference(&worked.results));
    caveats.extend(entries::of_logs(logged, &worked.results));
    caveats.extend(caveats::not_stated(&worked.results, &worked.sources));
    for run in &mut worked.results {
        if let Ok(contained) = &run.contained {
            run.budget = worked.sources.budget(contained);
        }
    }
    let collected = Collected {
        rows: worked.rows,
        positions: worked.positions,
        results: worked.results,
        left_out,
    };
    finish(campaign, logged, collected, |parts| {
        caveats.extend(entries::of_levels(&parts.factors));
        Runs {
            sources: worked.sources,
            lines: logged.runs.lines,
            left_out_lines: logged.runs.lines
                - parts
                    .results
                    .iter()
                    .filter(|r| r.set_aside.is_none())
                    .count(),
            results: parts.results,
            factors: parts.factors,
            responses: parts.responses,
            titrants: worked.titrants,
            titrants_used: titrants_used(campaign, logged),
            scatter: worked.scatter,
            cross_checks: Vec::new(),
            caveats,
            left_out: parts.left_out,
        }
    })
}

/// Runs worked out, before columns and judgements.
pub(super) struct Worked<'a> {
    pub rows: Vec<&'a RunRow>,
    pub positions: Vec<usize>,
    pub results: Vec<RunResult>,
    pub sources: Sources,
    pub titrants: Vec<TitrantResult>,
    pub scatter: Option<Scatter>,
    pub caveats: Vec<Caveat>,
}

/// One batch of a simulation.
#[derive(Debug, Clone, Copy)]
pub(super) struct Simulation {
    pub draws: Draws,
    /// Scatter of titrations in the whole campaign, of which a simulation may see only some runs.
    pub scatter: Option<Scatter>,
}

/// Works out every run that no fault leaves out, by propagation or as one batch of a simulation.
pub(super) fn work_out<'a>(
    campaign: &Campaign,
    logged: &'a Logged,
    left_out: &mut Vec<LeftOut>,
    simulation: Option<Simulation>,
) -> Worked<'a> {
    let mut caveats = Vec::new();
    let mut book = Book::new(&campaign.uncertainty, simulation.map(|s| s.draws));
    let weights = book.atomic_weights();
    let repeatability = campaign.titration.as_ref().and_then(|t| t.repeatability);
    let titrants = titrants(logged, &weights, repeatability, &mut book, &mut caveats);
    let lots = lots(logged, &mut book, &mut caveats);
    let lot_prices = lot_prices(campaign, logged, &mut caveats);
    let basis = campaign
        .titration
        .as_ref()
        .map_or(SampleBasis::AsWeighed, |titration| titration.sample);
    let mut scatter = None;
    let titrated = match (&campaign.titration, &campaign.chemistry) {
        (Some(titration), Some(chemistry)) => {
            let mut bench = Bench {
                titration,
                chemistry,
                weights: &weights,
                titrants: &titrants,
                unusable: &logged.unusable_titrants,
                scatter: None,
            };
            scatter = match simulation {
                Some(simulation) => simulation.scatter,
                None => scatter_of_replicates(&bench, logged),
            };
            bench.scatter = scatter;
            titrate(&bench, logged, &mut book, &mut caveats, left_out)
        }
        _ => Titrated::new(),
    };
    let residues = residues_out(logged, &titrated, basis, &mut book);
    let out: BTreeSet<String> = faulty(left_out);
    let positions: Vec<usize> = run_order(&logged.runs.rows)
        .into_iter()
        .filter(|position| !out.contains(&logged.runs.rows[*position].run))
        .collect();
    let rows: Vec<&RunRow> = positions.iter().map(|p| &logged.runs.rows[*p]).collect();
    let mut crops: BTreeMap<&str, Vec<&CropRow>> = BTreeMap::new();
    for crop in &logged.crops {
        crops.entry(&crop.run).or_default().push(crop);
    }
    let mut desk = Desk {
        campaign,
        logged,
        weights: &weights,
        lots: &lots,
        lot_prices: &lot_prices,
        titrated: &titrated,
        residues,
        crops: &crops,
        basis,
        book,
        caveats: Vec::new(),
    };
    let results: Vec<RunResult> = rows
        .iter()
        .zip(&positions)
        .map(|(row, position)| desk.run(row, *position))
        .collect();
    caveats.extend(desk.caveats);
    Worked {
        rows,
        positions,
        results,
        sources: desk.book.sources,
        titrants,
        scatter,
        caveats,
    }
}

struct Collected<'a> {
    rows: Vec<&'a RunRow>,
    positions: Vec<usize>,
    results: Vec<RunResult>,
    left_out: Vec<LeftOut>,
}

struct Parts {
    results: Vec<RunResult>,
    factors: Vec<super::FactorColumn>,
    responses: Vec<super::ResponseColumn>,
    left_out: Vec<LeftOut>,
}

/// Builds the columns; a run with a faulty cell in one of them is taken out and the columns are built again.
fn finish(
    campaign: &Campaign,
    logged: &Logged,
    mut collected: Collected,
    assemble: impl FnOnce(Parts) -> Runs,
) -> Result<Runs, Stopped> {
    if collected.rows.is_empty() {
        return Err(Stopped {
            faults: no_usable_run(logged, &collected.left_out).into(),
            left_out: collected.left_out,
        });
    }
    let mut stops = Vec::new();
    let mut faults = Vec::new();
    let build = |collected: &Collected, faults: &mut Vec<LeftOut>, stops: &mut Vec<Error>| {
        let material = Material {
            campaign,
            logged,
            rows: &collected.rows,
            positions: &collected.positions,
            results: &collected.results,
        };
        (
            material.factors(faults, stops),
            material.responses(faults, stops),
        )
    };
    let (mut factors, mut responses) = build(&collected, &mut faults, &mut stops);
    if stops.is_empty() && !faults.is_empty() {
        let out = faulty(&faults);
        let keep: Vec<bool> = collected
            .rows
            .iter()
            .map(|row| !out.contains(&row.run))
            .collect();
        let mut kept = keep.iter();
        collected.rows.retain(|_| *kept.next().unwrap_or(&true));
        let mut kept = keep.iter();
        collected
            .positions
            .retain(|_| *kept.next().unwrap_or(&true));
        let mut kept = keep.iter();
        collected.results.retain(|_| *kept.next().unwrap_or(&true));
        (factors, responses) = build(&collected, &mut Vec::new(), &mut stops);
    }
    collected.left_out.extend(faults);
    if stops.is_empty() && collected.rows.is_empty() {
        stops.push(no_usable_run(logged, &collected.left_out));
    }
    match Faults::or(stops, ()) {
        Ok(()) => Ok(assemble(Parts {
            results: collected.results,
            factors,
            responses,
            left_out: collected.left_out,
        })),
        Err(faults) => Err(Stopped {
            faults,
            left_out: collected.left_out,
        }),
    }
}

/// Every run is left out; the first reason stands for all.
fn no_usable_run(logged: &Logged, left_out: &[LeftOut]) -> Error {
    let what = format!("none of the {} runs can be used", logged.runs.lines);
    let hint = match left_out.iter().find(|entry| !entry.on_purpose) {
        Some(first) => format!(
            "`residuum check` lists every reason; the first: {}",
            first.error.message()
        ),
        None => "log the runs that were made".into(),
    };
    Error::new(ErrorKind::Empty, what).hint(hint)
}

/// Runs that a fault of any log leaves out.
fn faulty(left_out: &[LeftOut]) -> BTreeSet<String> {
    left_out
        .iter()
        .filter(|entry| !entry.on_purpose)
        .filter_map(|entry| entry.run.clone())
        .collect()
}
