//! Water, energy and waste of a kilogram of product, where they are logged.
//!
//! In: runs with contained product and a response of that name. Out: [`PerKilogram`].
//! This module never counts a run that lacks one of both.
//!
//! `R = Σ x / Σ m` over the runs, with its ± from leaving out each run in turn: `u² = (n − 1)/n Σ (R₋ᵢ − mean)²`, `n − 1` degrees
//! of freedom.
//!
//! # Source
//! Tukey, Ann. Math. Statist. 29 (1958) 614 (leaving out one at a time; from memory).

use crate::distributions::{coverage_factor, mean};
use crate::runs::Runs;

/// Responses that are used up, or left to get rid of.
const USED_UP: [&str; 3] = ["water", "energy", "waste"];

/// Grams in a kilogram.
const KILOGRAM: f64 = 1000.0;

/// How much of something a kilogram of contained product takes or leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct PerKilogram {
    /// Name of the response.
    pub name: String,
    /// Its unit.
    pub unit: String,
    /// The ratio [unit/kg].
    pub value: f64,
    /// Its standard uncertainty, and half the width of its interval; None for a single run [unit/kg].
    pub spread: Option<[f64; 2]>,
    /// Runs that are counted.
    pub runs: usize,
}

/// What a kilogram takes of each that is logged.
pub(super) fn per_kilogram(runs: &Runs, confidence: f64) -> Vec<PerKilogram> {
    let logged = runs.responses.iter();
    let logged = logged.filter(|column| USED_UP.contains(&column.name.as_str()));
    let found = logged.filter_map(|column| {
        let each = runs.results.iter().zip(&column.values);
        let pairs: Vec<(f64, f64)> = each
            .filter(|(run, _)| run.set_aside.is_none())
            .filter_map(|(run, used)| {
                let contained = run.contained.as_ref().ok()?.value();
                let theory = run.theory_total.as_ref().ok()?.value();
                Some(((*used)?, contained * theory / KILOGRAM))
            })
            .collect();
        let sum = |of: fn(&(f64, f64)) -> f64| pairs.iter().map(of).sum::<f64>();
        let (used, made) = (sum(|pair| pair.0), sum(|pair| pair.1));
        (made > 0.0).then(|| PerKilogram {
            name: column.name.clone(),
            unit: column.unit.clone(),
            value: used / made,
            spread: spread(&pairs, [used, made], confidence),
            runs: pairs.len(),
        })
    });
    found.collect()
}

fn spread(pairs: &[(f64, f64)], [used, made]: [f64; 2], confidence: f64) -> Option<[f64; 2]> {
    let count = pairs.len() as f64;
    let without = pairs.iter().map(|pair| (used - pair.0) / (made - pair.1));
    let without: Vec<f64> = without.collect();
    let factor = coverage_factor(confidence, count - 1.0)?;
    let middle = mean(&without);
    let squares: f64 = without.iter().map(|ratio| (ratio - middle).powi(2)).sum();
    let standard = (squares * (count - 1.0) / count).sqrt();
    standard
        .is_finite()
        .then_some([standard, factor * standard])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 10, 12, 14 over 1, 1, 2 kg: 36/4 = 9; without each 26/3, 24/3, 22/2, mean 9.2222..,
    /// squares 0.30864, 1.49383, 3.16049, their sum 4.96296 times 2/3.
    #[test]
    fn the_ratio_and_its_spread_are_those_worked_out_by_hand() {
        let pairs = [(10.0, 1.0), (12.0, 1.0), (14.0, 2.0)];
        let [standard, half] = spread(&pairs, [36.0, 4.0], 0.95).expect("three runs");
        assert!((standard - (4.962_962_963_f64 * 2.0 / 3.0).sqrt()).abs() < 1e-9);
        // Student's t for 0.975 and 2 degrees of freedom, 4.302 653 (from memory).
        assert!((half / standard - 4.302_653).abs() < 1e-6);
        assert_eq!(spread(&pairs[..1], [10.0, 1.0], 0.95), None);
    }
}
