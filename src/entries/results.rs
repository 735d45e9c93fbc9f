//! Results that no run can have, and the entry that they come from.
//!
//! In: results of all runs and their entries. Out: slips: beyond what can be, or far from all others.
//! This module never says that a result beyond its bound by chance is wrong: that would cut off one tail.

use std::collections::BTreeMap;

use super::figures::Figure;
use super::neighbours::{Standing, standings};
use super::rules::{BEYOND, BEYOND_PURE, FEWEST, HARDLY, HARDLY_PURE, Kind, explained};
use crate::caveat::{Against, Caveat, Doubt, Likely, Part, ResultOf, Weight};
use crate::distributions::middle;
use crate::measured::Measured;
use crate::runs::{Outcome, RunResult, above_one};

/// How many times off the middle of its route a yield may be, and a purity off the middle of all.
const TIMES: [f64; 2] = [2.5, 1.1];

/// Most runs for which the entry that did it is looked for one by one.
pub(super) const MOST_BLAMED: usize = 100;

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
pub(super) fn beyond_one(what: ResultOf, result: &Measured) -> Option<Weight> {
    let over = |[errors, floor]: [f64; 2]| {
        let excess = result.value() - 1.0;
        excess > floor && excess > errors * result.uncertainty()
    };
    let [beyond, hardly] = match what {
        ResultOf::Purity => [BEYOND_PURE, HARDLY_PURE],
        ResultOf::Yield | ResultOf::Closure => [BEYOND, HARDLY],
    };
    match (over(beyond), over(hardly)) {
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
    let routes = figures.iter().map(|figure| figure.run.zip(figure.route));
    let routes: BTreeMap<&str, &str> = routes.flatten().collect();
    let mut found = purities(&counted);
    let yields: Vec<Option<Measured>> = counted.iter().map(|run| best_yield(run)).collect();
    let values = counted.iter().zip(&yields).map(|(run, of)| {
        let route = routes.get(run.run.as_str()).copied();
        (logarithm(of.as_ref().map(Measured::value)), route)
    });
    let standings = standings(&values.collect::<Vec<_>>(), TIMES[0].ln(), FEWEST);
    // Of very many that are off no single entry is looked for: the cause is one of all.
    let off = |yields: &&Option<Measured>| {
        let yields = yields.as_ref();
        yields.is_some_and(|yields| beyond_one(ResultOf::Yield, yields).is_some())
    };
    let many = yields.iter().filter(off).count() > MOST_BLAMED;
    let figures = if many { &[] } else { figures };
    for ((run, yields), standing) in counted.iter().zip(&yields).zip(standings) {
        let Some(yields) = yields else { continue };
        let blamed = |distance| blamed(run, figures, distance);
        found.extend(speaks(run, ResultOf::Yield, yields, standing, blamed));
    }
    found
}

/// What a result says against an entry of its run, where it is beyond what can be or far from all others; `blamed` finds the entry
/// by how far the result is off on a logarithmic scale.
fn speaks(
    run: &RunResult,
    what: ResultOf,
    result: &Measured,
    standing: Option<Standing>,
    blamed: impl Fn(f64) -> (Part, Option<Likely>),
) -> Option<Beyond> {
    let value = result.value();
    let (weight, against, distance) = match beyond_one(what, result) {
        Some(weight) => (weight, above(what, result), value.ln()),
        None => {
            let standing = standing.filter(Standing::is_off)?;
            let [low, high] = standing.most.map(f64::exp);
            let against = Against::ResultOfOthers {
                what,
                value,
                low,
                high,
            };
            (Weight::Unlikely, against, standing.distance)
        }
    };
    let (part, likely) = blamed(distance);
    Some(Beyond {
        run: run.run.clone(),
        weight,
        against,
        part,
        likely,
    })
}

/// Purities of crops, above 1 or far from all others.
fn purities(runs: &[&RunResult]) -> Vec<Beyond> {
    let crops = runs.iter().flat_map(|run| {
        let crops = run.crops.iter();
        crops.filter_map(move |crop| Some((*run, crop.crop, crop.purity.as_ref().ok()?)))
    });
    let crops: Vec<_> = crops.collect();
    let values = crops.iter();
    let values = values.map(|(_, _, purity)| (logarithm(Some(purity.value())), None));
    let standings = standings(&values.collect::<Vec<_>>(), TIMES[1].ln(), FEWEST);
    let judged = crops.iter().zip(standings);
    let judged = judged.filter_map(|((run, crop, purity), standing)| {
        let blamed = |_| (Part::PurityOf(*crop), None);
        speaks(run, ResultOf::Purity, purity, standing, blamed)
    });
    judged.collect()
}

/// The yield of a run over its ceiling, by the best footing that there is.
fn best_yield(run: &RunResult) -> Option<Measured> {
    let footings: [&Outcome; 2] = [&run.contained, &run.assay_adjusted];
    let yields = footings.into_iter().flatten().next()?;
    Some(yields.clone() / run.ceiling.unwrap_or(1.0))
}

fn logarithm(value: Option<f64>) -> Option<f64> {
    value.filter(|value| *value > 0.0).map(f64::ln)
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
        let likely = explained(figure.kind, figure.value, usual)
            .map(|(how, meant)| Likely::number(how, meant, figure.kind.unit()));
        Some((towards(figure.kind) * off, figure.part?, likely))
    });
    let furthest = off.max_by(|(one, ..), (other, ..)| one.total_cmp(other));
    let (_, part, likely) = furthest.filter(|(off, ..)| *off > 0.0)?;
    Some((part, likely))
}

/// Doubts about results above their bound by less than a slip: what chance makes, or an interference.
pub(super) fn mild(results: &[RunResult]) -> Vec<Caveat> {
    let mut caveats = Vec::new();
    for run in results {
        let mut doubt = |doubt| caveats.push(Caveat::of_run(&run.run, doubt));
        if let (Some(purity), Ok(found)) = (above_one(&run.purity), &run.purity)
            && beyond_one(ResultOf::Purity, found).is_none()
        {
            doubt(Doubt::PurityAboveOne { purity });
        }
        if let Some(Ok(part)) = &run.of_ceiling
            && beyond_one(ResultOf::Yield, part).is_none()
        {
            let above = above_one(&Ok(part.clone())).into_iter();
            above.for_each(|part| doubt(Doubt::AboveTheCeiling { part }));
        }
    }
    caveats
}
