//! Results that are off in all runs alike, and the one cause that is likely.
//!
//! In: results of all runs, and how the campaign reckons them. Out: one doubt a result.
//! This module never says so of a single run.

use super::rules::{ALL_OFF, IN_LINE};
use super::usual::Usual;
use crate::campaign::{Campaign, Chemistry};
use crate::caveat::{Caveat, Doubt, Likely, ResultOf, SlipOf};
use crate::chemistry::{AtomicWeights, Formula, product_per_feed};
use crate::crystallisation::anhydrous;
use crate::intake::{Logged, TitrantStrength, TitreOf};
use crate::measured::Sources;
use crate::runs::{RunResult, Runs};

/// Fewest runs that say so together.
const FEWEST: usize = 3;

/// Yields of which the middle lies outside are no yields of a preparation; the lower end is a wide guess.
const YIELDS: [f64; 2] = [0.01, 1.1];

/// By how much a factor may miss what is off and still be its likely cause: yields and purities differ from 1 by nature.
const NEAR: f64 = 1.12;

/// Parts of a solution that people titrate, and how many times they dilute.
const PARTS: [f64; 7] = [0.5, 0.25, 0.2, 0.1, 0.05, 0.04, 0.02];

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
        found.push(doubt(ResultOf::Purity, middle, counted.len(), causes));
    }
    let yields = values(|run| {
        let known = [&run.contained, &run.assay_adjusted];
        let yields = known.into_iter().flatten().next()?.value();
        Some(yields / run.ceiling.unwrap_or(1.0))
    });
    // Where purities are off, yields are off with them.
    if let (true, Some(middle)) = (found.is_empty(), outside(yields, YIELDS)) {
        let causes = of_yield(chemistry);
        found.push(doubt(ResultOf::Yield, middle, counted.len(), causes));
    }
    found
}

/// The middle of the values where it lies outside.
fn outside(values: Vec<f64>, [low, high]: [f64; 2]) -> Option<f64> {
    let usual = Usual::of(values, FEWEST)?;
    (usual.middle < low || usual.middle > high).then_some(usual.middle)
}

/// A cause with how many times too large it makes a result.
type Cause = (f64, SlipOf);

fn doubt(what: ResultOf, middle: f64, runs: usize, causes: Vec<Cause>) -> Caveat {
    // A product is nearly pure; a yield lies anywhere below 1, so that only its order of size tells.
    let (expected, near): (f64, f64) = match what {
        ResultOf::Purity => (1.0, NEAR),
        ResultOf::Yield | ResultOf::Closure => (0.7, IN_LINE),
    };
    let off = (middle / expected).ln();
    let left = |times: f64| (off - times.ln()).abs();
    let fitting = causes
        .into_iter()
        .filter(|(times, _)| left(*times) <= near.ln());
    // The causes stand with the likeliest first: of two that fit alike, the first.
    let best = fitting.min_by(|(one, _), (other, _)| {
        let coarse = |times: f64| (left(times) / 0.05).floor();
        coarse(*one).total_cmp(&coarse(*other))
    });
    let likely = best.map(|(times, how)| Likely::number(how, middle / times, "1"));
    Caveat::of_campaign(Doubt::AllOff {
        what,
        middle,
        runs,
        likely: likely.map(Box::new),
    })
}

/// What makes purities off in all runs, the likeliest first.
fn of_purity(campaign: &Campaign, chemistry: &Chemistry, logged: &Logged) -> Vec<Cause> {
    let mut causes: Vec<Cause> = Vec::new();
    let of_crops = || {
        let titres = logged.titres.iter();
        titres.filter(|titre| matches!(titre.of, TitreOf::Crop(_)))
    };
    let is_titrated = of_crops().next().is_some();
    let weights = AtomicWeights::new(&mut Sources::default());
    if is_titrated {
        if of_crops().all(|titre| titre.aliquot.is_none()) {
            causes.extend(PARTS.map(|part| (part, SlipOf::Aliquot)));
        }
        if of_crops().all(|titre| titre.dilution.is_none()) {
            causes.extend(PARTS.map(|part| (part, SlipOf::Dilution)));
        }
        let of_standards = logged
            .titrants
            .iter()
            .filter_map(|row| match &row.strength {
                TitrantStrength::Standardised {
                    ratio, standard, ..
                } => Some((ratio, standard)),
                TitrantStrength::Given(_) => None,
            });
        for (ratio, standard) in of_standards {
            if ratio.is_none() {
                // Moles of titrant per mole of usual standards: dichromate 6, iodate 6, oxalate 2/5, carbonate 2.
                let usual = [2.0, 6.0, 0.4, 0.5, 3.0, 5.0];
                causes.extend(usual.map(|ratio| (1.0 / ratio, SlipOf::StandardRatio { ratio })));
            }
            causes.extend(
                other_forms(standard, &weights)
                    .into_iter()
                    .map(|(times, how)| (1.0 / times, how)),
            );
        }
        let titration = campaign.titration.as_ref();
        let ratio = titration.map_or(1.0, |titration| titration.ratio);
        if ratio != 1.0 {
            causes.push((ratio * ratio, SlipOf::Ratio));
        }
        causes.push((1000.0, SlipOf::Millimoles));
        causes.push((1e-3, SlipOf::Millimoles));
    }
    causes.push((0.01, SlipOf::PerCent));
    causes.push((100.0, SlipOf::PerCent));
    causes.extend(other_forms(&chemistry.product, &weights));
    for times in [10.0, 0.1, 1000.0, 0.001] {
        causes.push((times, SlipOf::DecimalPoint));
    }
    causes
}

/// What makes yields off in all runs.
fn of_yield(chemistry: &Chemistry) -> Vec<Cause> {
    let mut causes = vec![
        (100.0, SlipOf::PerCent),
        (0.01, SlipOf::PerCent),
        (1000.0, SlipOf::Kilograms),
        (0.001, SlipOf::Kilograms),
    ];
    causes.extend(other_forms(
        &chemistry.product,
        &AtomicWeights::new(&mut Sources::default()),
    ));
    causes.extend([(10.0, SlipOf::DecimalPoint), (0.1, SlipOf::DecimalPoint)]);
    causes
}

/// A formula with and without its water: how many times too large a content is where it is reckoned as the one and is the other.
pub(super) fn other_forms(formula: &Formula, weights: &AtomicWeights) -> Vec<Cause> {
    let dry = anhydrous(formula);
    if dry == *formula {
        return Vec::new();
    }
    let times = formula.molar_mass(weights).value() / dry.molar_mass(weights).value();
    let [whole, dry] = [formula.text().to_string(), dry.text().to_string()];
    let of = |reckoned: &String, stated: &String| SlipOf::Formula {
        reckoned: reckoned.clone(),
        stated: stated.clone(),
    };
    vec![(times, of(&whole, &dry)), (1.0 / times, of(&whole, &dry))]
}

/// How near 1 another formula must bring the balances of all runs, and how many times as near as they are, to be the likely one.
const CLOSES: [f64; 2] = [0.03, 3.0];

/// The formula that closes the balances of all runs where strengths of liquors are taken as stated in it and nothing says in which
/// they are.
pub(super) fn liquor_formula(campaign: &Campaign, runs: &Runs) -> Option<Likely> {
    let chemistry = campaign.chemistry.as_ref()?;
    let stated = campaign.titration.as_ref();
    if stated.is_some_and(|titration| titration.liquor_as.is_some()) {
        return None;
    }
    let weights = AtomicWeights::new(&mut Sources::default());
    let element = Formula::parse(&chemistry.followed).ok();
    let formulas = [element, Some(anhydrous(&chemistry.product))];
    let middle = |times: f64| {
        let closures = runs.counted().filter_map(|run| {
            let liquor = run.balance.liquor.as_ref().ok()?.value();
            Some(run.balance.closure.as_ref().ok()?.value() + (times - 1.0) * liquor)
        });
        Usual::of(closures.collect(), FEWEST).map(|usual| usual.middle)
    };
    let now = (middle(1.0)? - 1.0).abs();
    let candidates = formulas.into_iter().flatten().filter_map(|formula| {
        let of = (&chemistry.product, &chemistry.followed);
        let times = product_per_feed(&formula, of.0, of.1, &weights).value();
        let left = (middle(times)? - 1.0).abs();
        (left < CLOSES[0] && CLOSES[1] * left < now).then_some((left, formula))
    });
    let (_, best) = candidates.min_by(|(one, _), (other, _)| one.total_cmp(other))?;
    let how = SlipOf::LiquorFormula {
        stated: best.text().to_string(),
    };
    Some(Likely::named(how, None))
}
