//! Results that no run can have, and the entry that they come from.
//!
//! In: results of all runs and their entries. Out: slips: beyond what can be, or far from all others.
//! This module never says that a result beyond its bound by chance is wrong: that would cut off one tail.

use std::collections::BTreeMap;

use super::figures::Figure;
use super::neighbours::{explained, standings};
use super::rules::{BEYOND, FEWEST, HARDLY, Kind};
use crate::caveat::{Against, Likely, Part, ResultOf, SlipOf, Weight};
use crate::distributions::middle;
use crate::measured::Measured;
use crate::runs::{Outcome, RunResult};

/// How many times off the middle of its route a yield may be, and a purity off the middle of all.
const TIMES: [f64; 2] = [2.5, 1.1];

/// A result that speaks against an entry of its run.
#[derive(Debug, Clone)]
pub(super) struct Beyond {
    pub run: String,
    pub weight: Weight,
    pub against: Against,
    /// What is withheld where it cannot be right; also where to look.
    pub part: Part,
    pub likely: Option<Likely>,
}

/// How little a result above its bound of 1 can be believed.
pub(super) fn beyond_one(result: &Measured) -> Option<Weight> {
    let over = |[errors, floor]: [f64; 2]| {
        let excess = result.value() - 1.0;
        excess > floor && excess > errors * result.uncertainty()
    };
    match (over(BEYOND), over(HARDLY)) {
        (true, _) => Some(Weight::Impossible),
        (_, true) => Some(Weight::Unlikely),
        _ => None,
    }
}

/// A result beyond what can be, as it speaks against an entry.
pub(super) fn above(what: ResultOf, result: &Measured) -> Against {
    Against::Beyond {
        what,
        value: result.value(),
        half_width: 2.0 * result.uncertainty(),
    }
}

/// Yields above theory or the ceiling, purities above 1, and both where they are far from all others.
pub(super) fn beyond(results: &[RunResult], figures: &[Figure]) -> Vec<Beyond> {
    let counted = results.iter().filter(|run| run.set_aside.is_none());
    let counted: Vec<&RunResult> = counted.collect();
    let routes: BTreeMap<&str, &str> = figures
        .iter()
        .filter_map(|figure| figure.run.zip(figure.route))
        .collect();
    let mut found = purities(&counted);
    let yields: Vec<Option<Measured>> = counted.iter().map(|run| best_yield(run)).collect();
    let values = counted.iter().zip(&yields).map(|(run, of)| {
        let route = routes.get(run.run.as_str()).copied();
        (of.as_ref().map(Measured::value), route)
    });
    let standings = standings(&values.collect::<Vec<_>>(), TIMES[0], FEWEST);
    for ((run, yields), standing) in counted.iter().zip(&yields).zip(standings) {
        let Some(yields) = yields else { continue };
        if let Some(weight) = beyond_one(yields) {
            let (part, likely) = blamed(run, figures, yields.value().ln());
            found.push(Beyond {
                run: run.run.clone(),
                weight,
                against: above(ResultOf::Yield, yields),
                part,
                likely,
            });
        } else if let Some(standing) = standing.filter(|standing| standing.is_off()) {
            let (part, likely) = blamed(run, figures, standing.distance);
            let of = of_others(ResultOf::Yield, yields.value(), standing.most);
            found.push(Beyond {
                run: run.run.clone(),
                weight: Weight::Unlikely,
                against: of,
                part,
                likely,
            });
        }
    }
    found
}

/// Purities of crops, above 1 or far from all others.
fn purities(runs: &[&RunResult]) -> Vec<Beyond> {
    let crops = runs.iter().flat_map(|run| {
        let crops = run.crops.iter();
        crops.filter_map(move |crop| Some((*run, crop.crop, crop.purity.as_ref().ok()?)))
    });
    let crops: Vec<_> = crops.collect();
    let values = crops
        .iter()
        .map(|(_, _, purity)| (Some(purity.value()), None));
    let standings = standings(&values.collect::<Vec<_>>(), TIMES[1], FEWEST);
    let judged = crops.iter().zip(standings);
    judged
        .filter_map(|((run, crop, purity), standing)| {
            let off = standing.filter(|standing| standing.is_off());
            let (weight, against) = match (beyond_one(purity), &off) {
                (Some(weight), _) => (weight, above(ResultOf::Purity, purity)),
                (None, Some(off)) => {
                    let of = of_others(ResultOf::Purity, purity.value(), off.most);
                    (Weight::Unlikely, of)
                }
                (None, None) => return None,
            };
            let usual = off.and_then(|off| explained(Kind::Crop, off.distance));
            let usual = usual.filter(|(how, _)| *how == SlipOf::DecimalPoint);
            Some(Beyond {
                run: run.run.clone(),
                weight,
                against,
                part: Part::PurityOf(*crop),
                likely: usual.map(|(how, _)| Likely::named(how, None)),
            })
        })
        .collect()
}

/// The yield of a run over its ceiling, by the best footing that there is.
fn best_yield(run: &RunResult) -> Option<Measured> {
    let footings: [&Outcome; 2] = [&run.contained, &run.assay_adjusted];
    let yields = footings.into_iter().flatten().next()?;
    Some(yields.clone() / run.ceiling.unwrap_or(1.0))
}

fn of_others(what: ResultOf, value: f64, [low, high]: [f64; 2]) -> Against {
    Against::ResultOfOthers {
        what,
        value,
        low,
        high,
    }
}

/// The entry of a run that moved its yield that far to one side: the one furthest off its neighbours, and the slip that
/// explains it.
fn blamed(run: &RunResult, figures: &[Figure], distance: f64) -> (Part, Option<Likely>) {
    let side = distance.signum();
    // A charge that was logged too small makes a yield too large.
    let towards = |kind: Kind| match kind {
        Kind::Feed | Kind::FeedAssay => -side,
        Kind::Crop | Kind::Purity => side,
        _ => 0.0,
    };
    furthest_off(&run.run, figures, towards).unwrap_or((Part::Crops, None))
}

/// The entry of a run that is furthest off its neighbours on a side, by kind above 0 for too large and below for too small; with the
/// usual slip that explains it.
pub(super) fn furthest_off(
    run: &str,
    figures: &[Figure],
    towards: impl Fn(Kind) -> f64,
) -> Option<(Part, Option<Likely>)> {
    let own = figures.iter().filter(|figure| figure.run == Some(run));
    let off = own.filter_map(|figure| {
        let others = figures.iter().filter(|other| {
            (other.kind, &other.of, other.route) == (figure.kind, &figure.of, figure.route)
        });
        let usual = middle(others.map(|other| other.value).collect())?;
        let off = (figure.value / usual).ln();
        let unit = figure.kind.rule().dimension.base();
        let likely = explained(figure.kind, off)
            .map(|(how, times)| Likely::number(how, figure.value / times, unit));
        Some((towards(figure.kind) * off, figure.part?, likely))
    });
    let furthest = off.max_by(|(one, ..), (other, ..)| one.total_cmp(other));
    let (_, part, likely) = furthest.filter(|(off, ..)| *off > 0.0)?;
    Some((part, likely))
}
