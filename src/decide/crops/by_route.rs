//! Each crop of each route: how much, how pure, how often to specification.
//!
//! In: runs with their crops, and the route of each. Out: [`CropsOf`].
//! This module never counts a crop without a purity.

use crate::campaign::{Campaign, StandsFor};
use crate::measured::Measured;
use crate::runs::{CropResult, RunResult, Runs};

/// The crops of one number of one route.
#[derive(Debug, Clone)]
pub struct CropsOf {
    /// The route; None where no factor stands for it.
    pub route: Option<String>,
    /// Number of the crop, from 1.
    pub crop: u32,
    /// Runs that have it, with its purity.
    pub runs: usize,
    /// All of it together, as weighed \[g\].
    pub mass: Measured,
    /// Its purity, all of it together [mass fraction].
    pub purity: Measured,
    /// Its expanded uncertainty [mass fraction].
    pub expanded: f64,
    /// In how many of the runs its purity reaches the specification; None without one.
    pub met: Option<usize>,
}

/// All crops, by route in the order of its levels, then by number.
pub(super) fn each(campaign: &Campaign, runs: &Runs, used: &[(usize, &RunResult)]) -> Vec<CropsOf> {
    let factor = campaign.factor_for(StandsFor::Route);
    let column = factor.and_then(|plan| runs.factor(&plan.name));
    let routes: Vec<Option<&str>> = match column {
        Some(column) => column
            .levels()
            .iter()
            .map(|level| Some(level.as_str()))
            .collect(),
        None => vec![None],
    };
    let mut found = Vec::new();
    for route in routes {
        let of_route = used.iter().filter(|(position, _)| {
            route.is_none_or(|route| {
                column.and_then(|column| column.level(*position)) == Some(route)
            })
        });
        let crops: Vec<&CropResult> = of_route.flat_map(|(_, run)| &run.crops).collect();
        let mut numbers: Vec<u32> = crops.iter().map(|crop| crop.crop).collect();
        numbers.sort_unstable();
        numbers.dedup();
        for number in numbers {
            let same = crops.iter().filter(|crop| crop.crop == number);
            let known: Vec<(&Measured, &Measured)> = same
                .filter_map(|crop| Some((&crop.mass, crop.purity.as_ref().ok()?)))
                .collect();
            let Some(purity) = purity(&known) else {
                continue;
            };
            let met = |spec: f64| {
                let reach = known.iter().filter(|(_, purity)| purity.value() >= spec);
                reach.count()
            };
            found.push(CropsOf {
                route: route.map(str::to_string),
                crop: number,
                runs: known.len(),
                mass: Measured::sum(known.iter().map(|(mass, _)| *mass)),
                expanded: runs.sources.expanded(&purity, campaign.confidence()),
                purity,
                met: campaign.purity_spec.map(met),
            });
        }
    }
    found
}

/// Purity of several crops together, `Σ pᵢ·mᵢ / Σ mᵢ` [mass fraction], errors that they share kept as shared.
///
/// None without a mass above zero.
/// # Source
/// JCGM 100:2008, 5.2.2.
pub(super) fn purity(crops: &[(&Measured, &Measured)]) -> Option<Measured> {
    let pure: Vec<Measured> = crops.iter().map(|(mass, purity)| *mass * *purity).collect();
    let mass = Measured::sum(crops.iter().map(|(mass, _)| *mass));
    (mass.value() > 0.0).then(|| &Measured::sum(&pure) / &mass)
}
