//! How much of a route's product comes in its later crops?
//!
//! In: the runs of a route. Out: [`CropShare`].
//! This module never guesses a crop that was not weighed.

use crate::decide::middle;
use crate::runs::RunResult;

/// Share of the product in the second and later crops.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CropShare {
    /// Runs of the route with a weighed crop.
    pub runs: usize,
    /// Those of them that took a later crop.
    pub with_later: usize,
    /// Middle share of the product as weighed, over the runs that took one [fraction].
    pub middle: Option<f64>,
}

pub(super) fn later_crops(runs: &[&RunResult]) -> Option<CropShare> {
    let shares: Vec<f64> = runs
        .iter()
        .filter(|run| !run.crops.is_empty())
        .filter_map(|run| {
            let mass = |later: &dyn Fn(u32) -> bool| -> f64 {
                let crops = run.crops.iter().filter(|crop| later(crop.crop));
                crops.map(|crop| crop.mass.value()).sum()
            };
            let all = mass(&|_| true);
            (all > 0.0).then(|| mass(&|number| number > 1) / all)
        })
        .collect();
    if shares.is_empty() {
        return None;
    }
    let later: Vec<f64> = shares
        .iter()
        .copied()
        .filter(|share| *share > 0.0)
        .collect();
    Some(CropShare {
        runs: shares.len(),
        with_later: later.len(),
        middle: middle(later),
    })
}
