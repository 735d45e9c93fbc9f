//! Balances that cannot be, or that differ from those of the other runs.
//!
//! In: results of all runs. Out: slips where far more came out than went in, and doubts about the rest.
//! This module never changes a result and never corrects an entry.

use super::figures::Figure;
use super::results::{Beyond, MOST_BLAMED, above, beyond_one, furthest_off};
use super::rules::Kind;
use super::usual::{Ordered, Usual};
use crate::caveat::{
    Against, BalancePart, Caveat, Doubt, Part, PlusMinus, ResultOf, Suspect, Weight,
};
use crate::measured::Measured;
use crate::runs::{COVERAGE, RunResult, above_one, plus_minus};

/// Among many runs some lie two standard uncertainties low by chance; half as much again is asked of a single one.
const COVERAGE_OF_MANY: f64 = 1.5 * COVERAGE;

/// Robust standard deviations below the others, and part of the charge, from which on a balance is unlikely: of 64 sound runs one
/// campaign in 4,600 has one (normal, lower side).
const FAR_BELOW: [f64; 2] = [4.5, 0.05];

/// Below this many runs there is no middle to compare an entry with.
const FEWEST_TO_COMPARE: usize = 5;

/// The parts of a balance that are entries of the logs.
const PARTS: [BalancePart; 3] = [
    BalancePart::Crops,
    BalancePart::Liquor,
    BalancePart::Residue,
];

fn part(run: &RunResult, part: BalancePart) -> Option<&Measured> {
    let outcome = match part {
        BalancePart::Crops => &run.balance.crops,
        BalancePart::Liquor => &run.balance.liquor,
        BalancePart::Residue => &run.balance.residue,
    };
    outcome.as_ref().ok()
}

/// Balances far above 100 % speak against an entry; those above it by less, balances far below what this campaign usually closes
/// to, and a loss that all runs show, are doubts.
pub(super) fn of_balance(results: &[RunResult], figures: &[Figure]) -> (Vec<Beyond>, Vec<Caveat>) {
    let used = results.iter().filter(|run| run.set_aside.is_none());
    let closures: Vec<&Measured> = used.flat_map(|run| &run.balance.closure).collect();
    let values = closures.iter().map(|closure| closure.value());
    let usual = Usual::of(values.collect(), FEWEST_TO_COMPARE);
    let (mut beyond, mut caveats) = (Vec::new(), Vec::new());
    let off = |closure: &&&Measured| beyond_one(ResultOf::Closure, closure).is_some();
    let many = closures.iter().filter(off).count() > MOST_BLAMED;
    let figures = if many { &[] } else { figures };
    let parts = Parts::of(results);
    for run in results {
        let Ok(closure) = &run.balance.closure else {
            continue;
        };
        let above_all = beyond_one(ResultOf::Closure, closure);
        let scatter = |usual: &Usual| closure.uncertainty().hypot(usual.spread);
        let below = |errors: f64, usual: &Usual| {
            let reached = closure.value() + errors * scatter(usual);
            reached < usual.middle.min(1.0) && PARTS.iter().all(|of| part(run, *of).is_some())
        };
        let far_below = usual.filter(|usual| {
            let short = usual.middle.min(1.0) - closure.value();
            short > FAR_BELOW[1] && below(FAR_BELOW[0], usual)
        });
        if let Some(weight) = above_all {
            let suspect = parts.likeliest(run, 1.0);
            let against = above(ResultOf::Closure, closure);
            beyond.push(speaks(run, figures, suspect, weight, against));
        } else if let Some(usual) = far_below.filter(|_| run.set_aside.is_none()) {
            let suspect = parts.likeliest(run, -1.0);
            let [low, high] = usual.most;
            let against = Against::ResultOfOthers {
                what: ResultOf::Closure,
                value: closure.value(),
                low,
                high,
            };
            beyond.push(speaks(run, figures, suspect, Weight::Unlikely, against));
        } else if let Some(closure) = above_one(&run.balance.closure) {
            let suspect = parts.likeliest(run, 1.0);
            let doubt = Doubt::ClosureAboveOne { closure, suspect };
            caveats.push(Caveat::of_run(&run.run, doubt));
        } else if usual.is_some_and(|usual| below(COVERAGE_OF_MANY, &usual)) {
            let closure = plus_minus(closure);
            let suspect = parts.likeliest(run, -1.0);
            let doubt = Doubt::ClosureBelowOthers { closure, suspect };
            caveats.push(Caveat::of_run(&run.run, doubt));
        }
    }
    caveats.extend(usual.and_then(|usual| common_loss(&closures, &usual)));
    (beyond, caveats)
}

/// What a balance says against an entry: the one furthest off its neighbours on the side of the fault, of what went in and of the part
/// that stands out.
fn speaks(
    run: &RunResult,
    figures: &[Figure],
    suspect: Option<Suspect>,
    weight: Weight,
    against: Against,
) -> Beyond {
    let side = match against {
        Against::Beyond { .. } => 1.0,
        _ => -1.0,
    };
    let of = suspect.map(|suspect| suspect.part);
    let towards = |kind: Kind| match (kind, of) {
        (Kind::Feed | Kind::FeedAssay | Kind::ResidueCharged | Kind::LiquorCharged, _) => -side,
        (Kind::Residue | Kind::ResidueAssay, Some(BalancePart::Residue))
        | (Kind::LiquorVolume | Kind::LiquorStrength, Some(BalancePart::Liquor))
        | (Kind::Crop | Kind::Purity, Some(BalancePart::Crops)) => side,
        _ => 0.0,
    };
    let of_balance = match of {
        Some(BalancePart::Crops) => Part::Crops,
        Some(BalancePart::Liquor) => Part::Liquor,
        Some(BalancePart::Residue) => Part::Residue,
        None => Part::Balance,
    };
    let furthest = furthest_off(&run.run, figures, towards);
    let furthest = furthest.filter(|(_, likely)| likely.is_some());
    let (part, likely) = furthest.unwrap_or((of_balance, None));
    Beyond {
        run: run.run.clone(),
        weight,
        against,
        part,
        likely,
    }
}

/// A loss or gain that the middle of all runs shows beyond its uncertainty.
///
/// `|median − 1| > 2·√(u² + s²/n)`: `u` the propagated uncertainty of the mean closure, in which errors that runs share do not
/// average away, `s` the robust scatter of `n` closures.
fn common_loss(closures: &[&Measured], usual: &Usual) -> Option<Caveat> {
    let runs = closures.len();
    let mean = Measured::sum(closures.iter().copied()) / runs as f64;
    let own = usual.spread / (runs as f64).sqrt();
    let missing = PlusMinus {
        value: 1.0 - usual.middle,
        half_width: COVERAGE * mean.uncertainty().hypot(own),
    };
    let doubt = Doubt::BalanceOpenInAllRuns {
        runs,
        missing,
        likely: None,
    };
    ((usual.middle - 1.0).abs() > missing.half_width).then(|| Caveat::of_campaign(doubt))
}

/// The parts of the balances of runs that count, those of one ceiling together.
struct Parts(Vec<(Option<f64>, [Ordered; PARTS.len()])>);

impl Parts {
    fn of(results: &[RunResult]) -> Self {
        let mut all: Vec<(Option<f64>, [Vec<f64>; PARTS.len()])> = Vec::new();
        for run in results.iter().filter(|run| run.set_aside.is_none()) {
            let known = all.iter().position(|(ceiling, _)| *ceiling == run.ceiling);
            let place = known.unwrap_or_else(|| {
                all.push((run.ceiling, Default::default()));
                all.len() - 1
            });
            for (values, of) in all[place].1.iter_mut().zip(PARTS) {
                values.extend(part(run, of).map(Measured::value));
            }
        }
        let all = all.into_iter();
        Self(
            all.map(|(ceiling, of)| (ceiling, of.map(Ordered::of)))
                .collect(),
        )
    }

    /// The entry of a run that is furthest off on the side of the fault, 1 above and −1 below, in spreads of the other runs.
    fn likeliest(&self, run: &RunResult, side: f64) -> Option<Suspect> {
        let (_, others) = self.0.iter().find(|(ceiling, _)| *ceiling == run.ceiling)?;
        let (mut likeliest, mut furthest) = (None, 0.0);
        for (of, others) in PARTS.into_iter().zip(others) {
            let Some(own) = part(run, of) else {
                continue;
            };
            let among = run.set_aside.is_none().then(|| own.value());
            let Some(usual) = others.usual(among, FEWEST_TO_COMPARE) else {
                continue;
            };
            let distance = side * (own.value() - usual.middle);
            let spread = usual.spread.max(own.uncertainty());
            if distance > 0.0 && spread > 0.0 && distance / spread > furthest {
                furthest = distance / spread;
                likeliest = Some(Suspect {
                    part: of,
                    own: own.value(),
                    middle: usual.middle,
                });
            }
        }
        likeliest
    }
}
