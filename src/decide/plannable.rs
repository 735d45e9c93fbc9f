//! The space of runs that may be planned.
//!
//! In: the declared factors, limits and shelf, and the runs made. Out: [`Plannable`]: a space of settings, with the doubts that
//! come with it.
//! This module never goes beyond a declared limit, or beyond what was run where there is none.

use super::models::runs_of;
use crate::campaign::{Campaign, FactorKind, FactorPlan, LOT, NeverIs, NeverPart};
use crate::caveat::{About, Caveat, Doubt, Ends, LotsPlannedOn, MissingLimit};
use crate::distributions::middle;
use crate::error::{Error, ErrorKind};
use crate::regression::{
    Barred, FittedModel, Grouping, MOST_PLANNED, NoPlan, PlanFactor, PlanValues, Space,
};
use crate::runs::{FactorValues, Runs};

/// Values of an amount that are tried: both ends and the middle, which a straight or once bent effect asks for.
const FEWEST_VALUES: usize = 3;

/// Lots that are planned on where nothing says which are at hand; nobody keeps more bags open.
const MOST_LOTS: usize = 8;

/// The space of further runs.
pub(super) struct Plannable {
    pub space: Space,
    pub caveats: Vec<Caveat>,
}

/// Where further runs may lie.
///
/// # Errors
/// [`ErrorKind::Campaign`] where a factor has neither limits nor runs, or no lot is on the shelf.
pub(super) fn plannable(campaign: &Campaign, runs: Option<&Runs>) -> Result<Plannable, Error> {
    let mut caveats = Vec::new();
    let mut factors = Vec::new();
    for plan in campaign.factors.iter().filter(|plan| plan.name != LOT) {
        factors.push(factor(campaign, plan, runs, &mut caveats)?);
    }
    let lots = lots(campaign, runs, &mut caveats)?;
    if !lots.is_empty() {
        factors.push(PlanFactor::choice(LOT, &lots));
    }
    let never = barred(campaign);
    Ok(Plannable {
        space: Space { factors, never },
        caveats,
    })
}

/// Combinations that are never to be proposed.
pub fn barred(campaign: &Campaign) -> Vec<Barred> {
    let add = |all: Barred, part: &NeverPart| match &part.is {
        NeverIs::Level(level) => all.level(&part.factor, level),
        NeverIs::Amounts { low, high, .. } => all.amounts(&part.factor, *low, *high),
    };
    let never = campaign.limits.never.iter();
    never
        .map(|parts| parts.iter().fold(Barred::default(), add))
        .collect()
}

fn factor(
    campaign: &Campaign,
    plan: &FactorPlan,
    runs: Option<&Runs>,
    caveats: &mut Vec<Caveat>,
) -> Result<PlanFactor, Error> {
    let held = !is_varied(campaign, &plan.name);
    let never = barred(campaign);
    let alone = never.iter();
    let alone = alone.filter_map(|never| never.alone(&plan.name));
    match &plan.kind {
        FactorKind::Amount { low, high, .. } => {
            let made = runs.map_or_else(Vec::new, |runs| runs.amounts(&plan.name));
            let least = made.iter().copied().reduce(f64::min);
            let most = made.iter().copied().reduce(f64::max);
            let (Some(from), Some(to)) = (low.or(least), high.or(most)) else {
                return Err(nothing_known(campaign, plan)
                    .hint("give it `low` and `high`, the region in which runs may lie"));
            };
            let missing = match (low, high) {
                (None, None) => Some(MissingLimit::Both),
                (None, _) => Some(MissingLimit::Low),
                (_, None) => Some(MissingLimit::High),
                _ => None,
            };
            caveats.extend(missing.map(|missing| {
                Caveat::of_campaign(Doubt::PlanWithoutLimits {
                    factor: plan.name.clone(),
                    missing,
                    within: Ends {
                        low: from,
                        high: to,
                    },
                })
            }));
            // A declared limit may lie beyond all runs on the wrong side.
            let from = from.min(to);
            Ok(if held {
                let may_be = |value: &f64| !alone.clone().any(|part| part.is_amount(*value));
                let made = made.into_iter().filter(may_be).collect();
                let middle = middle(made).unwrap_or((from + to) / 2.0);
                PlanFactor::amount(&plan.name, middle, middle, 2)
            } else {
                let ends = never
                    .iter()
                    .flat_map(|never| never.allowed_ends(&plan.name));
                PlanFactor::amount(&plan.name, from, to, values(campaign, &plan.name)).with(ends)
            })
        }
        FactorKind::Choice {
            baseline, levels, ..
        } => {
            let mut names = runs.map_or_else(Vec::new, |runs| runs.levels_run(&plan.name));
            for level in baseline.iter().chain(levels) {
                if !names.contains(level) {
                    names.push(level.clone());
                }
            }
            if names.is_empty() {
                return Err(nothing_known(campaign, plan)
                    .hint("name its levels: `levels = [\"...\", \"...\"]`"));
            }
            if held {
                let first = names.iter();
                let mut first = first.filter(|name| !alone.clone().any(|part| part.is_level(name)));
                names = vec![first.next().unwrap_or(&names[0]).clone()];
            }
            Ok(PlanFactor {
                name: plan.name.clone(),
                values: PlanValues::Levels(names),
            })
        }
    }
}

/// Whether a model has the factor among its terms or blocks.
pub(super) fn is_varied(campaign: &Campaign, name: &str) -> bool {
    campaign.model.as_ref().is_some_and(|model| {
        let named = model.effects.iter().chain(model.joint.iter().flatten());
        let mut names = named.chain(model.blocks.iter().flatten());
        names.any(|known| known == name)
    })
}

/// How many values of an amount are tried: one more than its highest power.
fn values(campaign: &Campaign, name: &str) -> usize {
    let curves = campaign.model.iter().flat_map(|model| &model.curved);
    let power = curves
        .filter(|curve| curve.factor == name)
        .map(|curve| curve.power as usize)
        .max();
    FEWEST_VALUES.max(power.unwrap_or(1) + 1)
}

/// The lots that further runs may take; empty where the campaign knows none.
fn lots(
    campaign: &Campaign,
    runs: Option<&Runs>,
    caveats: &mut Vec<Caveat>,
) -> Result<Vec<String>, Error> {
    let mut made = runs.map_or_else(Vec::new, |runs| runs.levels_run(LOT));
    made.retain(|lot| !lot.contains(';'));
    let Some(shelf) = &campaign.shelf else {
        let last = runs.map_or_else(Vec::new, |runs| last_lots(runs, &made));
        let which = if last.len() < made.len() {
            LotsPlannedOn::OfTheLastRuns
        } else {
            LotsPlannedOn::AllLogged
        };
        if !last.is_empty() {
            caveats.push(Caveat::of_campaign(Doubt::PlanWithoutShelf {
                lots: last.clone(),
                which,
            }));
        }
        return Ok(last);
    };
    if shelf.is_empty() {
        return Err(Error::new(
            ErrorKind::Campaign,
            format!("`{}` says that no lot is on the shelf", campaign.file),
        )
        .in_file(&campaign.file)
        .hint("name the lots at hand under `[shelf]`, or take the table out"));
    }
    let shelf: Vec<String> = shelf.iter().map(|known| known.lot.clone()).collect();
    let new = shelf
        .iter()
        .filter(|lot| runs.is_some() && !made.contains(lot));
    caveats.extend(new.map(|lot| Caveat {
        about: About::Lot(lot.clone()),
        doubt: Doubt::PlanOnNewLot,
    }));
    Ok(shelf)
}

/// The lots that the last runs were made on, which are the likeliest to be at hand, in the order of all lots.
fn last_lots(runs: &Runs, made: &[String]) -> Vec<String> {
    let mut last: Vec<&str> = Vec::new();
    for lot in runs
        .results
        .iter()
        .rev()
        .filter_map(|run| run.lot.as_deref())
    {
        if last.len() == MOST_LOTS {
            break;
        }
        if !last.contains(&lot) && made.iter().any(|known| known == lot) {
            last.push(lot);
        }
    }
    let kept = made.iter().filter(|lot| last.contains(&lot.as_str()));
    kept.cloned().collect()
}

fn nothing_known(campaign: &Campaign, plan: &FactorPlan) -> Error {
    Error::new(
        ErrorKind::Campaign,
        format!(
            "no run can be planned: `{}` in `{}` line {} says nothing of its values, and no run shows any",
            plan.name, campaign.file, plan.line
        ),
    )
    .in_file(&campaign.file)
    .on_line(plan.line)
}

/// The lot of each run of a model.
pub(super) fn grouping(runs: &Runs, model: &FittedModel) -> Option<Grouping> {
    let lots = runs.factor(LOT)?;
    if matches!(lots.values, FactorValues::Amount(_)) {
        return None;
    }
    let used = runs_of(model, runs).into_iter();
    Some(Grouping {
        factor: LOT.into(),
        levels: used
            .map(|(run, _)| lots.level(run).map(str::to_string))
            .collect(),
    })
}

/// The fault for which there is no plan, whoever asked for one.
pub(super) fn no_plan(reason: &NoPlan) -> Error {
    Error::new(
        ErrorKind::Model,
        match reason {
            NoPlan::NoRuns => "no run was asked for".into(),
            NoPlan::TooMany(runs) => {
                format!("more than {MOST_PLANNED} runs were asked for: {runs}")
            }
            NoPlan::NoValues(name) => format!("`{name}` has no value to plan with"),
            NoPlan::AllForbidden => "every combination of the settings is forbidden".into(),
            NoPlan::UnknownSettings => "the model does not know these settings".into(),
            NoPlan::OutOfRange => "the numbers are too large or too small to plan with".to_string(),
        },
    )
}
