//! Causes that make a result of all runs off alike.
//!
//! In: how the campaign reckons its results. Out: for each cause how many times too large it makes them, the likeliest first.
//! This module never looks at a result.

use super::usual::Usual;
use crate::campaign::{Campaign, Chemistry};
use crate::caveat::SlipOf;
use crate::chemistry::{AtomicWeights, Formula, product_per_feed};
use crate::crystallisation::anhydrous;
use crate::intake::{Logged, TitrantStrength, TitreOf};
use crate::measured::Sources;

/// Parts of a solution that people titrate; the inverse is how many times they dilute.
const PARTS: [f64; 7] = [0.5, 0.25, 0.2, 0.1, 0.05, 0.04, 0.02];

/// Moles of titrant per mole of standard that are usual: dichromate and iodate 6, carbonate 2, oxalate 2/5 and so on.
const RATIOS: [f64; 6] = [6.0, 2.0, 0.4, 0.5, 3.0, 5.0];

/// Assays of a feed below this are fractions under per cent.
const NO_FEED: f64 = 0.03;

/// Product as weighed over theory of a pure feed outside this is a slip in a mass, not in an assay.
const GROSS: [f64; 2] = [0.005, 3.0];

/// A cause with how many times too large it makes a result.
pub(super) type Cause = (f64, SlipOf);

fn weights() -> AtomicWeights {
    AtomicWeights::new(&mut Sources::default())
}

/// What makes purities off.
pub(super) fn of_purity(campaign: &Campaign, chemistry: &Chemistry, logged: &Logged) -> Vec<Cause> {
    let mut causes: Vec<Cause> = Vec::new();
    let of_crops = || {
        let titres = logged.titres.iter();
        titres.filter(|titre| matches!(titre.of, TitreOf::Crop(_)))
    };
    if of_crops().next().is_some() {
        for row in &logged.titrants {
            let TitrantStrength::Standardised {
                ratio, standard, ..
            } = &row.strength
            else {
                continue;
            };
            if ratio.is_none() {
                causes.extend(RATIOS.map(|ratio| (1.0 / ratio, SlipOf::StandardRatio { ratio })));
            }
            causes.extend(with_and_without_water(standard));
        }
        if of_crops().all(|titre| titre.aliquot().is_none()) {
            causes.extend(PARTS.map(|part| (part, SlipOf::Aliquot)));
        }
        if of_crops().all(|titre| titre.dilution().is_none()) {
            causes.extend(PARTS.map(|part| (part, SlipOf::Dilution)));
        }
        if let Some(titration) = &campaign.titration {
            if titration.ratio != 1.0 {
                causes.push((titration.ratio * titration.ratio, SlipOf::Ratio));
            }
            if titration.analyte != chemistry.product {
                let mass = |formula: &Formula| formula.molar_mass(&weights()).value();
                let times = mass(&chemistry.product) / mass(&titration.analyte);
                let how = SlipOf::Formula {
                    reckoned: chemistry.product.text().to_string(),
                    stated: titration.analyte.text().to_string(),
                };
                causes.insert(0, (times, how));
            }
        }
        causes.extend([(1000.0, SlipOf::Millimoles), (0.001, SlipOf::Millimoles)]);
    }
    causes.extend([(0.01, SlipOf::PerCent), (100.0, SlipOf::PerCent)]);
    causes.extend(with_and_without_water(&chemistry.product));
    causes.extend([10.0, 0.1, 1000.0, 0.001].map(|times| (times, SlipOf::DecimalPoint)));
    causes
}

/// What makes yields off, by what the masses alone come to.
pub(super) fn of_yield(chemistry: &Chemistry, logged: &Logged, gross: Option<f64>) -> Vec<Cause> {
    let of_lots = logged.lots.iter().filter_map(|lot| lot.assay);
    let of_runs = logged.runs.rows.iter().filter_map(|row| row.feed_assay);
    let assays = of_lots.chain(of_runs).map(|assay| assay.value);
    let assays = Usual::of(assays.collect(), 1);
    if assays.is_some_and(|assays| assays.middle < NO_FEED) {
        // Residue charged beside hides how many times.
        let times = [100.0, 30.0, 10.0, 3.0];
        return times.map(|times| (times, SlipOf::PerCent)).to_vec();
    }
    let mut causes = Vec::new();
    if gross.is_some_and(|gross| !(GROSS[0]..=GROSS[1]).contains(&gross)) {
        causes.extend([1000.0, 0.001].map(|times| (times, SlipOf::Kilograms)));
        causes.extend([10.0, 0.1, 100.0, 0.01].map(|times| (times, SlipOf::DecimalPoint)));
    }
    causes.extend([(100.0, SlipOf::PerCent), (0.01, SlipOf::PerCent)]);
    causes.extend(with_and_without_water(&chemistry.product));
    causes
}

/// A formula with and without its water.
fn with_and_without_water(formula: &Formula) -> Vec<Cause> {
    let dry = anhydrous(formula);
    if dry == *formula {
        return Vec::new();
    }
    let mass = |formula: &Formula| formula.molar_mass(&weights()).value();
    let times = mass(formula) / mass(&dry);
    let of = || SlipOf::Formula {
        reckoned: formula.text().to_string(),
        stated: dry.text().to_string(),
    };
    vec![(times, of()), (1.0 / times, of())]
}

/// A cause with what closes a balance: by how much crops, liquor and residue are to be multiplied.
pub(super) struct Closing {
    pub times: [f64; 3],
    pub how: SlipOf,
}

/// What opens balances.
pub(super) fn of_balance(campaign: &Campaign, logged: &Logged) -> Vec<Closing> {
    let Some(chemistry) = &campaign.chemistry else {
        return Vec::new();
    };
    let weights = weights();
    let element = Formula::parse(&chemistry.followed).ok();
    let dry = anhydrous(&chemistry.product);
    let per = |from: &Formula, to: &Formula| {
        product_per_feed(from, to, &chemistry.followed, &weights).value()
    };
    let closing = |times, how| Closing { times, how };
    let mut causes = Vec::new();
    if logged.liquor_as.is_none() {
        for formula in element.iter().chain([&dry]) {
            let stated = formula.text().to_string();
            let times = [1.0, per(formula, &chemistry.product), 1.0];
            causes.push(closing(times, SlipOf::LiquorFormula { stated }));
        }
    }
    causes.extend([1000.0, 0.001].map(|times| closing([1.0, times, 1.0], SlipOf::Litres)));
    causes.extend([100.0, 0.01].map(|times| closing([1.0, 1.0, times], SlipOf::PerCent)));
    let oxide = Formula::parse(&format!("{}O", chemistry.followed)).ok();
    let others = element.into_iter().chain(oxide);
    for other in others.filter(|other| *other != chemistry.assay_as) {
        // All that went in was reckoned from assays of the other formula; residue with it.
        let times = per(&chemistry.assay_as, &other);
        let how = SlipOf::Formula {
            reckoned: chemistry.assay_as.text().to_string(),
            stated: other.text().to_string(),
        };
        causes.push(closing([times, times, 1.0], how));
    }
    causes
}
