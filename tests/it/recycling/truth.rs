//! What does the simulator of bluestone make of residue fed forward?
//!
//! In: the true effects of the mechanism, and the design of a campaign. Out: the true gain of a charged run.
//! This module never reads a result of the analysis but the charge that a question is about.

use residuum::decide::Reference;

use crate::demo::bluestone::mechanism::{self, Settings};

/// Heating methods that can be told apart, equally weighted; the kiln hides behind lot D.
const HEATINGS: [&str; 3] = ["muffle", "hob", "torch"];
const ROUTES: [&str; 3] = ["chill", "boildown", "spirit"];

/// Acid per gram of copper oxide charged [g/g], as the simulator weighs it: 1.06 mol of 96 % acid per mol.
const ACID_PER_OXIDE: f64 = 1.06 * 98.072 / 0.96 / 79.545;
/// Oxidant per gram of copper oxide charged without excess [g/g]: 0.4 electrons per copper, 2 per peroxide, 30 %.
const OXIDANT_PER_OXIDE: f64 = 0.4 / 79.545 * 34.014 / 2.0 / 0.30;
/// Product per gram of copper oxide [g/g]: CuSO4·5H2O over CuO.
const PRODUCT_PER_OXIDE: f64 = 249.68 / 79.545;
/// Share of the gangue of residue that stays on the filter.
const GANGUE_OF_RESIDUE: f64 = 0.92;
/// The same of fresh feed, on average.
const GANGUE_OF_FEED: f64 = 0.62;

/// Prices that a question is asked at [currency].
#[derive(Debug, Clone, Copy)]
pub struct Prices {
    /// Product, a kilogram.
    pub product: f64,
    /// Handling, minutes a charged run.
    pub handling: f64,
}

/// The other prices of the campaign file, a kilogram or an hour.
const OXIDANT: f64 = 3.10;
const ACID: f64 = 0.9;
const LABOUR: f64 = 24.0;
const DISPOSAL: f64 = 0.80;

/// The true yield at a ratio and the mean excess of the runs, over heating methods and routes.
fn mean_yield(ratio: f64, excesses: &[f64]) -> f64 {
    mean(excesses, ratio, |settings| {
        mechanism::YIELD_CONSTANT + mechanism::sum(mechanism::truth().yields, settings)
    })
}

/// A mean over heating methods and routes at the mean excess.
fn mean(excesses: &[f64], ratio: f64, of: impl Fn(&Settings) -> f64) -> f64 {
    let excess = excesses.iter().sum::<f64>() / excesses.len() as f64;
    let mut sum = 0.0;
    for heating in HEATINGS {
        for route in ROUTES {
            sum += of(&Settings {
                lot: "A",
                heating,
                route,
                oxidant_excess: excess,
                residue_ratio: ratio,
            });
        }
    }
    sum / (HEATINGS.len() * ROUTES.len()) as f64
}

/// The true gain of the charge that an answer is about [currency per run].
pub fn gain(reference: &Reference, excesses: &[f64], prices: Prices) -> f64 {
    gain_per_kilogram(reference, excesses) * prices.product
        + rest(reference, excesses, prices.handling)
}

/// The product price at which the true gain is zero [currency/kg].
pub fn price_of_no_gain(reference: &Reference, excesses: &[f64], handling: f64) -> f64 {
    -rest(reference, excesses, handling) / gain_per_kilogram(reference, excesses)
}

/// Extra product of a charged run [kg].
pub fn gain_per_kilogram(reference: &Reference, excesses: &[f64]) -> f64 {
    let fresh = reference.feed_mass * reference.feed_content.value();
    let residue = reference.feed_mass * reference.ratio * reference.residue_content.value();
    let (with, without) = (
        mean_yield(reference.ratio, excesses),
        mean_yield(0.0, excesses),
    );
    (with * (fresh + residue) - without * fresh) / 1000.0
}

/// All of the gain but the worth of the product.
fn rest(reference: &Reference, excesses: &[f64], handling: f64) -> f64 {
    let charged = reference.feed_mass * reference.ratio;
    let oxide = charged * reference.residue_content.value() / PRODUCT_PER_OXIDE;
    let excess = excesses.iter().sum::<f64>() / excesses.len() as f64;
    let oxidant = oxide * OXIDANT_PER_OXIDE * (1.0 + excess / 100.0);
    let fresh = reference.feed_mass * reference.feed_content.value() / PRODUCT_PER_OXIDE;
    let left = |ratio: f64| residue_share(ratio, excesses);
    let extra_oxide = left(reference.ratio) * (fresh + oxide) - left(0.0) * fresh;
    let extra_out = extra_oxide + GANGUE_OF_RESIDUE * (charged - oxide);
    -oxidant * OXIDANT / 1000.0 - oxide * ACID_PER_OXIDE * ACID / 1000.0 - handling * LABOUR / 60.0
        + (charged - extra_out) * DISPOSAL / 1000.0
}

/// What a cycle is truly charged with.
#[derive(Debug, Clone, Copy)]
pub struct Fed {
    /// Residue [g].
    pub residue: f64,
    /// Its assay [mass fraction].
    pub assay: f64,
}

/// Follows residue from cycle to cycle through the mechanism itself, whose share left behind grows with the ratio.
///
/// The share is the mean over the excesses of the runs, because what the runs left behind is a mean over these too; that at the
/// mean excess is smaller, since the best excess lies in the middle.
pub fn cycles(reference: &Reference, excesses: &[f64], bleed: f64, count: usize) -> Vec<Fed> {
    let feed = reference.feed_mass;
    let oxide = feed * reference.feed_content.value() / PRODUCT_PER_OXIDE;
    let (mut element, mut gangue) = (0.0, 0.0);
    (0..count)
        .map(|_| {
            let ratio = (element + gangue) / feed;
            let shares = excesses
                .iter()
                .map(|excess| residue_share(ratio, &[*excess]));
            let left = shares.sum::<f64>() / excesses.len() as f64;
            element = (1.0 - bleed) * left * (oxide + element);
            gangue = (1.0 - bleed) * (GANGUE_OF_FEED * (feed - oxide) + GANGUE_OF_RESIDUE * gangue);
            Fed {
                residue: element + gangue,
                assay: element / (element + gangue),
            }
        })
        .collect()
}

/// Share of the copper that stays in the residue, over heating methods.
fn residue_share(ratio: f64, excesses: &[f64]) -> f64 {
    let usual = Settings {
        lot: "A",
        heating: "muffle",
        route: "chill",
        oxidant_excess: mechanism::BEST_EXCESS,
        residue_ratio: 0.0,
    };
    mean(excesses, ratio, |settings| {
        0.11 + mechanism::leaching(&usual) - mechanism::leaching(settings)
    })
}
