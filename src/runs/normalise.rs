//! Results of all runs from logged rows, each run on one footing.
//!
//! In: campaign and logs. Out: [`Runs`].
//! This module never repeats what its neighbours decide: assays, titres, residues and balance have files of their own.

use std::collections::{BTreeMap, BTreeSet};

use super::blanks::blanks;
use super::by_date::Days;
use super::caveats;
use super::charge::lot_prices;
use super::columns::Material;
use super::control::{self, control};
use super::impurities::Columns;
use super::liquor_strength::product_per_stated;
use super::liquors::liquors;
use super::lots::lots;
use super::mismatched_entries;
use super::named_in_campaign::unknown_names;
use super::one_run::{Desk, titrants_of_crops};
use super::planned::settings_of_plans;
use super::reading_errors::Book;
use super::replicates::Scatter;
use super::residue::residues_out;
use super::results::{PlannedRun, Runs};
use super::second::second;
use super::titrants::titrants;
use super::titration::{Bench, Titrated, scatter_of_replicates, titrate, titrate_control};
use crate::campaign::{Campaign, SampleBasis};
use crate::caveat::{Caveat, Doubt, Part};
use crate::chemistry::product_per_feed;
use crate::error::{Error, ErrorKind, Faults};
use crate::intake::{CropRow, LedgerLine, LeftOut, Logged, RunRow, charged, ledger};
use crate::measured::Draws;

/// What stopped the work, and which rows were left out before that.
#[derive(Debug, Clone)]
pub struct Stopped {
    /// What stopped it.
    pub faults: Faults,
    /// Rows that could not be used.
    pub left_out: Vec<LeftOut>,
    /// Runs that are planned.
    pub planned: Vec<PlannedRun>,
}

/// Puts every run on one footing.
///
/// # Errors
/// Faults that stop the work, with what was left out before that: no usable run, a factor or response without a column, a baseline
/// that no run has.
pub fn normalise(campaign: &Campaign, logged: &Logged) -> Result<Runs, Stopped> {
    let mut left_out = logged.left_out.clone();
    mismatched_entries::leave_out_unknown_names(logged, &mut left_out);
    let (positions, mut runs) = work_out(campaign, logged, left_out, None);
    let alone = |campaign: &Campaign, logged: &Logged| {
        let (_, found) = work_out(campaign, logged, runs.left_out.clone(), None);
        found.results
    };
    let (of_second, doubts) = second(campaign, logged, alone);
    runs.second = of_second;
    runs.caveats.extend(doubts);
    let results = &runs.results;
    runs.caveats
        .extend(mismatched_entries::missing_dates(logged));
    runs.caveats.extend(caveats::of_runs(results));
    runs.caveats.extend(caveats::by_difference(results));
    runs.caveats
        .extend(caveats::purity_by_difference(campaign, results));
    runs.caveats
        .extend(caveats::not_stated(results, &runs.sources));
    for run in &mut runs.results {
        let budget = run
            .contained
            .as_ref()
            .map(|found| runs.sources.budget(found));
        run.budget = budget.unwrap_or_default();
    }
    let mut stops = Vec::new();
    let material = Material {
        campaign,
        logged,
        positions: &positions,
        results: &runs.results,
        second: &runs.second,
    };
    let (factors, responses) = (material.factors(&mut stops), material.responses(&mut stops));
    (runs.factors, runs.responses) = (factors, responses);
    let units = runs.factors.iter();
    let units: Vec<(&str, &str)> = units
        .map(|column| (column.name.as_str(), column.unit.as_str()))
        .collect();
    stops.extend(unknown_names(campaign, Some(logged), &units));
    if runs.results.is_empty() {
        // Without any run there is no level, and that is one fault.
        let of_levels = [ErrorKind::LeftOut, ErrorKind::UnknownName];
        stops.retain(|stop| !of_levels.contains(&stop.kind()));
    }
    let (planned, of_planned) = planned(campaign, logged);
    runs.left_out.extend(of_planned);
    if stops.is_empty() && runs.results.is_empty() {
        stops.push(match logged.runs.rows.is_empty() {
            true if !planned.is_empty() => only_planned(logged),
            _ => no_usable_run(logged, &runs.left_out),
        });
    }
    if let Err(faults) = Faults::or(stops, ()) {
        let left_out = runs.left_out;
        return Err(Stopped {
            faults,
            left_out,
            planned,
        });
    }
    runs.caveats
        .extend(mismatched_entries::levels_spelt_alike(campaign, logged));
    runs.left_out_lines = runs.named() - runs.used() - planned.len();
    if !planned.is_empty() && !runs.plans_are_sure {
        let planned = planned.iter().map(|plan| plan.run.clone()).collect();
        let doubt = Doubt::PlannedOrNotLogged { runs: planned };
        runs.caveats.push(Caveat::of_campaign(doubt));
    }
    runs.planned = planned;
    Ok(runs)
}

/// Planned runs with the settings that their rows give, in the order of the log, and the rows of which an entry cannot be.
pub fn planned(campaign: &Campaign, logged: &Logged) -> (Vec<PlannedRun>, Vec<LeftOut>) {
    settings_of_plans(campaign, logged, |joint, left_out| {
        let (positions, runs) = work_out(campaign, joint, left_out, None);
        (positions, runs.results)
    })
}

/// One batch of a simulation.
#[derive(Debug, Clone, Copy)]
pub(super) struct Simulation {
    pub draws: Draws,
    /// Scatter of titrations in the whole campaign, of which a simulation may see only some runs.
    pub scatter: Option<Scatter>,
}

/// Works out every run that no fault leaves out, by propagation or as one batch of a simulation: the position of each in
/// the runs log, and the runs before columns and judgements.
pub(super) fn work_out(
    campaign: &Campaign,
    logged: &Logged,
    mut left_out: Vec<LeftOut>,
    simulation: Option<Simulation>,
) -> (Vec<usize>, Runs) {
    let mut caveats = Vec::new();
    let mut book = Book::new(&campaign.uncertainty, simulation.map(|s| s.draws));
    let weights = book.atomic_weights();
    let titration = campaign.titration.as_ref();
    let titrants = titrants(logged, &weights, titration, &mut book, &mut caveats);
    let days = Days::of(logged);
    let blanks = blanks(logged, &mut book);
    let (plan, mut combined) = (&campaign.uncertainty, Vec::new());
    let lots = lots(logged, plan, &mut book, &mut caveats, &mut combined);
    let lot_prices = lot_prices(logged, &mut caveats);
    let basis = titration.map_or(SampleBasis::AsWeighed, |titration| titration.sample);
    let bench = titration.zip(campaign.chemistry.as_ref());
    let bench = bench.map(|(titration, chemistry)| Bench {
        titration,
        chemistry,
        weights: &weights,
        titrants: &titrants,
        blanks: &blanks,
        days: &days,
        unusable: &logged.unusable_titrants,
        scatter: None,
        control: None,
    });
    let scatter = match simulation {
        Some(simulation) => simulation.scatter,
        None => bench.and_then(|bench| scatter_of_replicates(&bench, logged)),
    };
    let bench = bench.map(|bench| Bench { scatter, ..bench });
    let sample = titration.and_then(|titration| titration.control.as_ref());
    let control = bench.zip(sample).and_then(|(bench, sample)| {
        let found = titrate_control(&bench, logged, &mut book, &mut left_out);
        control(sample, bench.titration, found, &days, &mut book)
    });
    let control = control.as_ref();
    caveats
        .extend(titration.and_then(|titration| control::doubts(titration, control, logged, &days)));
    let titrated = bench.map_or_else(Titrated::new, |bench| {
        let bench = Bench { control, ..bench };
        titrate(&bench, logged, &mut book, &mut caveats, &mut left_out)
    });
    let residue_basis = titration.map_or(basis, |titration| titration.residue_sample);
    let residues = residues_out(logged, &titrated, residue_basis, &mut book);
    let per_stated = product_per_stated(campaign, logged, &weights);
    let ignition = campaign.ignition.as_ref().zip(campaign.chemistry.as_ref());
    let per_left = ignition.map(|(ignition, of)| {
        product_per_feed(&ignition.leaves, &of.product, &of.followed, &weights)
    });
    let liquors = liquors(logged, &per_stated, &mut book);
    let out = faulty(&left_out);
    let mut positions = run_order(&logged.runs.rows);
    positions.retain(|position| !out.contains(logged.runs.rows[*position].run.as_str()));
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
        titrants: titrants_of_crops(campaign, logged),
        crops,
        residues,
        liquors,
        impurities: Columns::of(campaign, logged),
        per_stated,
        per_left,
        residue_basis,
        basis,
        book,
        caveats,
    };
    let results = positions
        .iter()
        .map(|position| desk.run(&logged.runs.rows[*position], *position))
        .collect();
    let Desk { book, caveats, .. } = desk;
    let runs = Runs {
        sources: book.sources.to_be_copied(),
        lines: logged.runs.lines,
        left_out_lines: 0,
        planned: Vec::new(),
        plans_are_sure: logged.dates_tell_plans,
        superseded: logged.superseded.clone(),
        results,
        factors: Vec::new(),
        responses: Vec::new(),
        second: Vec::new(),
        ledger: stocks(logged),
        combined,
        titrants,
        blanks,
        control: control.cloned(),
        scatter,
        caveats,
        left_out,
        passed_over: logged.passed.clone(),
    };
    (positions, runs)
}

/// Residues as stocks in run order, where a run says where its residue came from; none whose mass is withheld.
fn stocks(logged: &Logged) -> Vec<LedgerLine> {
    if charged(logged).all(|(row, _)| row.residue_from.is_empty()) {
        return Vec::new();
    }
    let rows = logged.runs.by_name();
    let mut lines = ledger(logged);
    lines.retain(|line| {
        let row = rows.get(line.run.as_str());
        row.is_none_or(|row| row.may_use(&[Part::Residue]).is_ok())
    });
    let order = run_order(&logged.runs.rows).into_iter();
    let order = order.map(|position| logged.runs.rows[position].run.as_str());
    let order: BTreeMap<&str, usize> = order.zip(0..).collect();
    lines.sort_by_key(|line| (order.get(line.run.as_str()).copied(), line.run.clone()));
    lines
}

/// Positions of the rows by date, then by name; in the order of the file where a date is missing.
fn run_order(rows: &[RunRow]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..rows.len()).collect();
    if rows.iter().all(|row| row.date.is_some()) {
        order.sort_by_key(|position| {
            let RunRow { date, run, .. } = &rows[*position];
            (date.as_ref().map(|date| &date.text), run)
        });
    }
    order
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

/// No run was made so far.
fn only_planned(logged: &Logged) -> Error {
    let planned = logged.planned.rows.len();
    let (what, hint) = match logged.dates_tell_plans {
        true => (
            "no run is made so far",
            "write date and results beside each run when it is made; `residuum next` plans further ones",
        ),
        false => (
            "no run has a result so far",
            "write its result beside each run that was made; `residuum next` plans further ones",
        ),
    };
    let what = format!("{what}; planned in the runs log: {planned}");
    Error::new(ErrorKind::Empty, what).hint(hint)
}

/// Runs that a fault of any log leaves out.
fn faulty(left_out: &[LeftOut]) -> BTreeSet<String> {
    let faults = left_out.iter().filter(|entry| !entry.on_purpose);
    faults.filter_map(|entry| entry.run.clone()).collect()
}
