//! Where may further runs lie?
//!
//! In: the declared factors, limits and shelf, and the runs made. Out: [`Ground`]: a space of settings, with the doubts that
//! come with it.
//! This module never goes beyond a declared limit, or beyond what was run where there is none.

use crate::campaign::{Campaign, FactorKind, FactorPlan, LOT};
use crate::caveat::{About, Caveat, Doubt, Ends, LotsPlannedOn, MissingLimit};
use crate::decide::middle;
use crate::error::{Error, ErrorKind};
use crate::regression::{PlanFactor, PlanValues, Settings, Space};
use crate::runs::{FactorValues, Runs};

/// Values of an amount that are tried: both ends and the middle, which a straight or once bent effect asks for.
const FEWEST_VALUES: usize = 3;

/// Lots that are planned on where nothing says which are at hand; nobody keeps more bags open.
const MOST_LOTS: usize = 8;

/// The space of further runs.
pub(super) struct Ground {
    pub space: Space,
    pub caveats: Vec<Caveat>,
}

/// Where further runs may lie.
///
/// # Errors
/// [`ErrorKind::Campaign`] where a factor has neither limits nor runs, or no lot is on the shelf.
pub(super) fn ground(campaign: &Campaign, runs: Option<&Runs>) -> Result<Ground, Error> {
    let mut caveats = Vec::new();
    let mut factors = Vec::new();
    for plan in &campaign.factors {
        if plan.name != LOT {
            factors.push(factor(campaign, plan, runs, &mut caveats)?);
        }
    }
    let lots = lots(campaign, runs, &mut caveats)?;
    if !lots.is_empty() {
        factors.push(PlanFactor::choice(LOT, &lots));
    }
    let never = campaign
        .limits
        .never
        .iter()
        .map(|settings| {
            settings.iter().fold(Settings::default(), |all, one| {
                let is_amount = campaign.factors.iter().any(|plan| {
                    plan.name == one.factor && matches!(plan.kind, FactorKind::Amount { .. })
                });
                match one.level.parse::<f64>() {
                    Ok(value) if is_amount => all.amount(&one.factor, value),
                    _ => all.level(&one.factor, &one.level),
                }
            })
        })
        .collect();
    Ok(Ground {
        space: Space { factors, never },
        caveats,
    })
}

fn factor(
    campaign: &Campaign,
    plan: &FactorPlan,
    runs: Option<&Runs>,
    caveats: &mut Vec<Caveat>,
) -> Result<PlanFactor, Error> {
    let held = !varied(campaign, &plan.name);
    match &plan.kind {
        FactorKind::Amount { low, high, .. } => {
            let made = runs.map_or_else(Vec::new, |runs| amounts(runs, &plan.name));
            let least = made.iter().copied().reduce(f64::min);
            let most = made.iter().copied().reduce(f64::max);
            let (Some(from), Some(to)) = (low.or(least), high.or(most)) else {
                return Err(nothing_known(campaign, plan)
                    .hint("give it `low` and `high`, the region in which runs may lie"));
            };
            if low.is_none() || high.is_none() {
                caveats.push(Caveat::of_campaign(Doubt::PlanWithoutLimits {
                    factor: plan.name.clone(),
                    missing: match (low, high) {
                        (None, None) => MissingLimit::Both,
                        (None, _) => MissingLimit::Low,
                        _ => MissingLimit::High,
                    },
                    within: Ends {
                        low: from,
                        high: to,
                    },
                }));
            }
            // A declared limit may lie beyond all runs on the wrong side.
            let (from, to) = (from.min(to), to);
            Ok(if held {
                let middle = middle(made).unwrap_or((from + to) / 2.0);
                PlanFactor::amount(&plan.name, middle, middle, 2)
            } else {
                PlanFactor::amount(&plan.name, from, to, values(campaign, &plan.name))
            })
        }
        FactorKind::Choice {
            baseline, levels, ..
        } => {
            let mut names = runs.map_or_else(Vec::new, |runs| levels_of(runs, &plan.name));
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
                names.truncate(1);
            }
            Ok(PlanFactor {
                name: plan.name.clone(),
                values: PlanValues::Levels(names),
            })
        }
    }
}

/// Whether a model has the factor among its terms or blocks.
fn varied(campaign: &Campaign, name: &str) -> bool {
    campaign.model.as_ref().is_some_and(|model| {
        let blocks = model.blocks.iter().flatten();
        let mut names = model
            .effects
            .iter()
            .chain(model.joint.iter().flatten())
            .chain(blocks);
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
    let made: Vec<String> = runs.map_or_else(Vec::new, |runs| {
        let single = |lot: &String| !lot.contains(';');
        levels_of(runs, LOT).into_iter().filter(single).collect()
    });
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
    for lot in shelf {
        if runs.is_some() && !made.contains(lot) {
            caveats.push(Caveat {
                about: About::Lot(lot.clone()),
                doubt: Doubt::PlanOnNewLot,
            });
        }
    }
    Ok(shelf.clone())
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

/// The amounts of the runs that every fit may use.
fn amounts(runs: &Runs, name: &str) -> Vec<f64> {
    let column = runs.factors.iter().find(|factor| factor.name == name);
    match column.map(|column| &column.values) {
        Some(FactorValues::Amount(values)) => values
            .iter()
            .zip(&runs.results)
            .filter(|(_, run)| run.set_aside.is_none())
            .filter_map(|(value, _)| *value)
            .collect(),
        _ => Vec::new(),
    }
}

/// The levels of the runs that every fit may use, in the order of the column.
fn levels_of(runs: &Runs, name: &str) -> Vec<String> {
    let column = runs.factors.iter().find(|factor| factor.name == name);
    match column.map(|column| &column.values) {
        Some(FactorValues::Choice { levels, codes }) => {
            let shown = |code: usize| {
                codes
                    .iter()
                    .zip(&runs.results)
                    .any(|(c, run)| *c == Some(code) && run.set_aside.is_none())
            };
            let levels = levels.iter().enumerate();
            levels
                .filter(|(code, _)| shown(*code))
                .map(|(_, level)| level.clone())
                .collect()
        }
        _ => Vec::new(),
    }
}
