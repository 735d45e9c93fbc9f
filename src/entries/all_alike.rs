//! Results that are off in all runs alike, and the one cause that is likely.
//!
//! In: results of all runs, and how the campaign reckons them. Out: one doubt a result.
//! This module never says so of a single run.

use super::causes::{of_balance, of_purity, of_yield};
use super::rules::{ALL_OFF, IN_LINE};
use super::usual::Usual;
use crate::campaign::Campaign;
use crate::caveat::{Caveat, Doubt, Likely, ResultOf, SlipOf};
use crate::intake::Logged;
use crate::runs::{FactorValues, RunResult, Runs};

/// Fewest runs that say so together.
const FEWEST: usize = 3;

/// Yields of which the middle lies outside are no yields of a preparation: above what the charge can give, or hardly any product.
const YIELDS: [f64; 2] = [0.01, 1.01];

/// Balances of which the middle lies outside, where one cause closes them and where none does.
const BALANCES: [f64; 2] = [0.85, 1.15];
const BALANCES_EXPLAINED: [f64; 2] = [0.9, 1.05];

/// By how much a factor may miss what is off and still be its likely cause: purities differ from 1 by nature.
const NEAR: f64 = 1.12;

/// How near 1 a cause must bring the balances of all runs, and how many times as near as they are.
const CLOSES: [f64; 2] = [0.04, 3.0];

/// Doubts about results that are off in all runs alike.
pub(super) fn all_alike(campaign: &Campaign, logged: &Logged, runs: &Runs) -> Vec<Caveat> {
    let Some(chemistry) = &campaign.chemistry else {
        return Vec::new();
    };
    let counted: Vec<&RunResult> = runs.counted().collect();
    let values = |of: fn(&RunResult) -> Option<f64>| -> Vec<f64> {
        counted.iter().filter_map(|run| of(run)).collect()
    };
    let purities = values(|run| Some(run.purity.as_ref().ok()?.value()));
    let specification = campaign.purity_spec.unwrap_or(1.0);
    let [low, high] = [ALL_OFF[0] * specification, ALL_OFF[1]];
    let mut found = Vec::new();
    if let Some(middle) = outside(purities, [low, high]) {
        let causes = of_purity(campaign, chemistry, logged);
        let likely = likeliest(causes, middle, NEAR);
        found.push(doubt(ResultOf::Purity, middle, counted.len(), likely));
    }
    let yields = values(|run| {
        let known = [&run.contained, &run.assay_adjusted];
        let yields = known.into_iter().flatten().next()?.value();
        Some(yields / run.ceiling.unwrap_or(1.0))
    });
    // Where purities are off, yields are off with them.
    if let (true, Some(middle)) = (found.is_empty(), outside(yields, YIELDS)) {
        let gross = values(|run| Some(run.gross.as_ref().ok()?.value()));
        let gross = Usual::of(gross, 1).map(|usual| usual.middle);
        let causes = of_yield(chemistry, logged, gross);
        // A yield lies anywhere below 1, so that only its order of size tells.
        let likely = likeliest(causes, middle / 0.7, IN_LINE);
        found.push(doubt(ResultOf::Yield, middle, counted.len(), likely));
    }
    if found.is_empty() {
        found.extend(balances(campaign, logged, runs));
    }
    found.extend(factors(campaign, runs));
    found
}

/// The middle of the values where it lies outside.
fn outside(values: Vec<f64>, [low, high]: [f64; 2]) -> Option<f64> {
    let usual = Usual::of(values, FEWEST)?;
    (usual.middle < low || usual.middle > high).then_some(usual.middle)
}

fn doubt(what: ResultOf, middle: f64, runs: usize, likely: Option<Likely>) -> Caveat {
    Caveat::of_campaign(Doubt::AllOff {
        what,
        middle,
        runs,
        likely: likely.map(Box::new),
    })
}

/// Of causes with how many times too large they make a result, the one that comes nearest, the first of those that come alike.
fn likeliest(causes: Vec<(f64, SlipOf)>, middle: f64, near: f64) -> Option<Likely> {
    let left = |times: f64| (middle / times).ln().abs();
    let causes = causes.into_iter();
    let fitting = causes.filter(|(times, _)| left(*times) <= near.ln());
    let coarse = |times: f64| (left(times) / 0.05).floor();
    let best = fitting.min_by(|(one, _), (other, _)| coarse(*one).total_cmp(&coarse(*other)));
    best.map(|(times, how)| Likely::number(how, middle / times, "1"))
}

/// Balances of all runs that are open by as much.
fn balances(campaign: &Campaign, logged: &Logged, runs: &Runs) -> Option<Caveat> {
    let closures = runs.counted().flat_map(|run| &run.balance.closure);
    let closures: Vec<f64> = closures.map(|closure| closure.value()).collect();
    let count = closures.len();
    let assays = logged.residues.iter().filter_map(|row| row.assay);
    let (zero, other): (Vec<_>, Vec<_>) = assays.partition(|assay| assay.value == 0.0);
    let nothing_left = zero.len() >= FEWEST && other.is_empty();
    let likely = match nothing_left {
        true => Some(Likely::named(SlipOf::ZeroForUnknown, None)),
        false => closing_cause(campaign, logged, runs),
    };
    let bounds = match likely {
        Some(_) => BALANCES_EXPLAINED,
        None => BALANCES,
    };
    let middle = outside(closures, bounds)?;
    Some(doubt(ResultOf::Closure, middle, count, likely))
}

/// The one cause that closes the balances of all runs.
pub(super) fn closing_cause(campaign: &Campaign, logged: &Logged, runs: &Runs) -> Option<Likely> {
    // Residue charged goes into what went in as well.
    let fresh = runs.counted().filter(|run| run.charge.residue_mass == 0.0);
    let without_charge = fresh.filter(|run| run.balance.closure.is_ok()).count() >= FEWEST;
    let middle = |of: &dyn Fn([f64; 3]) -> f64| {
        let closures = runs.counted().filter_map(|run| {
            let balance = &run.balance;
            balance.closure.as_ref().ok()?;
            if without_charge && run.charge.residue_mass > 0.0 {
                return None;
            }
            let part = |part: &crate::runs::Outcome| part.as_ref().map_or(0.0, |part| part.value());
            let parts = [&balance.crops, &balance.liquor, &balance.residue];
            Some(of(parts.map(part)))
        });
        Usual::of(closures.collect(), FEWEST).map(|usual| usual.middle)
    };
    let now = (middle(&|[crops, liquor, residue]| crops + liquor + residue)? - 1.0).abs();
    let causes = of_balance(campaign, logged).into_iter();
    let causes = causes.filter_map(|cause| {
        let [crops, liquor, residue] = cause.times;
        let closed = middle(&|parts| parts[0] * crops + parts[1] * liquor + parts[2] * residue)?;
        let left = (closed - 1.0).abs();
        (left < CLOSES[0] && CLOSES[1] * left < now).then_some((left, cause.how))
    });
    let best = causes.min_by(|(one, _), (other, _)| one.total_cmp(other));
    best.map(|(_, how)| Likely::named(how, None))
}

/// Factors that the middle of all runs shows outside their declared range: reckoned with a wrong formula, unit or number.
fn factors(campaign: &Campaign, runs: &Runs) -> Vec<Caveat> {
    let mut found = Vec::new();
    for plan in &campaign.factors {
        let [low, high] = plan.limits();
        let Some(column) = runs.factor(&plan.name).filter(|_| !plan.is_choice()) else {
            continue;
        };
        let FactorValues::Amount(values) = &column.values else {
            continue;
        };
        let low_end = low.unwrap_or(f64::NEG_INFINITY);
        let bounds = [low_end, high.unwrap_or(f64::INFINITY)];
        if let Some(middle) = outside(values.iter().flatten().copied().collect(), bounds) {
            found.push(Caveat::of_campaign(Doubt::FactorOutsideItsRange {
                factor: plan.name.clone(),
                unit: column.unit.clone(),
                middle,
                low,
                high,
            }));
        }
    }
    found
}
