//! Whether product keeps the limits of its impurities, by route.
//!
//! In: what the crops of each run hold of the impurities that are followed. Out: [`Impurities`].
//! This module never foretells a run: it counts those that were made.

use super::evidence::Material;
use crate::campaign::StandsFor;
use crate::distributions::{f_for_tail, middle};
use crate::runs::RunResult;

/// Impurities of the product.
#[derive(Debug, Clone)]
pub struct Impurities {
    /// All runs, then those of each route where there are routes.
    pub of: Vec<ImpuritiesOf>,
}

/// Impurities of the product of some runs.
#[derive(Debug, Clone)]
pub struct ImpuritiesOf {
    /// The route; `None` for all runs.
    pub route: Option<String>,
    /// Each impurity that any run tells.
    pub each: Vec<OneImpurity>,
    /// Runs that tell all impurities with a limit.
    pub told: usize,
    /// How many of them keep all limits.
    pub kept: usize,
    /// Share of runs that keep all limits, with the ends of its interval; `None` without a limit or a run that tells.
    pub share: Option<[f64; 3]>,
    /// The impurity that comes nearest to its limit in the middle run, or exceeds it most.
    pub binding: Option<String>,
}

/// One impurity.
#[derive(Debug, Clone)]
pub struct OneImpurity {
    /// Its name.
    pub name: String,
    /// The most that product may hold [mass fraction].
    pub limit: Option<f64>,
    /// Runs that tell it.
    pub runs: usize,
    /// Content of the product of the middle run [mass fraction].
    pub middle: f64,
    /// The largest content.
    pub most: f64,
    /// How many runs exceed the limit.
    pub above: usize,
}

/// Looks at the impurities of the product; `None` where none is followed, or no run tells any.
pub(super) fn impurities(material: &Material) -> Option<Impurities> {
    let Material { campaign, runs, .. } = *material;
    let all = runs.results.iter().enumerate();
    let all: Vec<(usize, &RunResult)> = all.filter(|(_, run)| run.set_aside.is_none()).collect();
    let route = campaign.factor_for(StandsFor::Route);
    let column = route.and_then(|route| runs.factor(&route.name));
    let levels = column.iter().flat_map(|column| column.levels());
    let of_level = |level: &String| {
        let column = column.as_ref()?;
        let own = all
            .iter()
            .filter(|(at, _)| column.level(*at) == Some(level));
        let own: Vec<&RunResult> = own.map(|(_, run)| *run).collect();
        of_runs(material, Some(level.clone()), &own)
    };
    let whole: Vec<&RunResult> = all.iter().map(|(_, run)| *run).collect();
    let first = of_runs(material, None, &whole)?;
    let of = std::iter::once(first).chain(levels.filter_map(of_level));
    Some(Impurities { of: of.collect() })
}

/// Content of an impurity in the product of a run [mass fraction].
fn content(run: &RunResult, position: usize) -> Option<f64> {
    let grams = run.impurities.get(position)?.crops?;
    let mass: f64 = run.crops.iter().map(|crop| crop.mass.value()).sum();
    (mass > 0.0).then(|| grams / mass)
}

fn of_runs(
    material: &Material,
    route: Option<String>,
    runs: &[&RunResult],
) -> Option<ImpuritiesOf> {
    let followed = &material.campaign.impurities;
    let each: Vec<OneImpurity> = followed
        .iter()
        .enumerate()
        .filter_map(|(position, impurity)| {
            let contents = runs.iter().filter_map(|run| content(run, position));
            let contents: Vec<f64> = contents.collect();
            let is_above = |of: &&f64| impurity.limit.is_some_and(|limit| **of > limit);
            Some(OneImpurity {
                name: impurity.name.clone(),
                limit: impurity.limit,
                runs: contents.len(),
                most: contents.iter().copied().fold(0.0, f64::max),
                above: contents.iter().filter(is_above).count(),
                middle: middle(contents)?,
            })
        })
        .collect();
    if each.is_empty() {
        return None;
    }
    let limited: Vec<(usize, f64)> = {
        let all = followed.iter().enumerate();
        all.filter_map(|(position, of)| Some((position, of.limit?)))
            .collect()
    };
    let keeps = |run: &&RunResult| {
        let mut each = limited.iter();
        each.try_fold(true, |keeps, (position, limit)| {
            Some(keeps && content(run, *position)? <= *limit)
        })
    };
    let verdicts: Vec<bool> = match limited.is_empty() {
        true => Vec::new(),
        false => runs.iter().filter_map(keeps).collect(),
    };
    let kept = verdicts.iter().filter(|keeps| **keeps).count();
    let used = |of: &&OneImpurity| of.limit.map_or(0.0, |limit| of.middle / limit);
    let binding = each.iter().filter(|of| of.limit.is_some());
    let binding = binding.max_by(|a, b| used(a).total_cmp(&used(b)));
    Some(ImpuritiesOf {
        route,
        told: verdicts.len(),
        kept,
        share: share(kept, verdicts.len(), material.campaign.confidence()),
        binding: binding.map(|of| of.name.clone()),
        each,
    })
}

/// A share of runs with the ends of its interval, which holds the true share at least as often as it says.
///
/// `k / (k + (n − k + 1) F₁)` and `(k + 1) F₂ / (n − k + (k + 1) F₂)`, with `F₁` and `F₂` the upper points of F with
/// `2 (n − k + 1), 2 k` and `2 (k + 1), 2 (n − k)` degrees of freedom.
///
/// # Assumes
/// Runs are alike and apart.
/// # Source
/// Clopper and Pearson, Biometrika 26, 1934, in the form by F; from memory.
fn share(kept: usize, of: usize, confidence: f64) -> Option<[f64; 3]> {
    if of == 0 {
        return None;
    }
    let (k, n) = (kept as f64, of as f64);
    let tail = (1.0 - confidence) / 2.0;
    let low = match kept {
        0 => 0.0,
        _ => k / (k + (n - k + 1.0) * f_for_tail(tail, 2.0 * (n - k + 1.0), 2.0 * k)?),
    };
    let high = match kept == of {
        true => 1.0,
        false => {
            let f = (k + 1.0) * f_for_tail(tail, 2.0 * (k + 1.0), 2.0 * (n - k))?;
            f / (n - k + f)
        }
    };
    Some([k / n, low, high])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_of_runs_has_its_exact_interval() {
        // All of n: the lower end is 0.025 to the power 1/n; 1 of 2 and 7 of 10 from scipy 1.17.1, binomtest(...).proportion_ci().
        let [value, low, high] = share(10, 10, 0.95).unwrap();
        assert_eq!((value, high), (1.0, 1.0));
        assert!((low - 0.025_f64.powf(0.1)).abs() < 1e-9);
        let [_, low, high] = share(7, 10, 0.95).unwrap();
        assert!((low - 0.347_547_1).abs() < 1e-6 && (high - 0.933_260_5).abs() < 1e-6);
        assert_eq!(share(0, 0, 0.95), None);
    }
}
