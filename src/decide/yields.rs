//! What the runs gave, and how well that is known.
//!
//! In: runs on one footing. Out: [`Given`].
//! This module never weights one run more than another.

use std::collections::BTreeSet;

use super::routes::Routes;
use crate::distributions::middle;
use crate::measured::{Measured, Share, SourceFamily};
use crate::runs::{Outcome, RunResult, Runs};

/// The yields of all runs that fits may use.
#[derive(Debug, Clone)]
pub struct Given {
    /// Smallest contained yield \[fraction\].
    pub low: f64,
    /// Middle contained yield \[fraction\].
    pub middle: f64,
    /// Largest contained yield \[fraction\].
    pub high: f64,
    /// Middle purity [mass fraction].
    pub purity_middle: Option<f64>,
    /// Smallest, middle and largest half-width of the interval of one contained yield \[fraction\].
    pub half_widths: [f64; 3],
    /// Runs whose yield lies above what their route allows, beyond its interval: something in their entries is wrong.
    pub impossible: Vec<String>,
    /// Sources of these yields whose uncertainty nobody states, so that every ± is a lower bound.
    pub not_stated: Vec<String>,
    /// The source that takes most of the variance, over all runs.
    pub main_source: Option<MainSource>,
    /// The same by route, where declared ceilings differ; else empty.
    pub by_ceiling: Vec<RouteSpread>,
    /// The same of the products of second elements, of those that any run gave.
    pub second: Vec<RouteSpread>,
}

/// The yields of one route, or of the product of one second element.
#[derive(Debug, Clone)]
pub struct RouteSpread {
    /// The route, or the symbol of the element.
    pub level: String,
    /// Smallest contained yield \[fraction\].
    pub low: f64,
    /// Middle contained yield \[fraction\].
    pub middle: f64,
    /// Largest contained yield \[fraction\].
    pub high: f64,
    /// Largest fraction of theory that its stoichiometry allows.
    pub ceiling: f64,
}

/// A source of uncertainty with its mean share of the variance.
#[derive(Debug, Clone)]
pub struct MainSource {
    /// Which; sources that differ only in the lot or titrant count together.
    pub family: Family,
    /// Mean share over all runs.
    pub share: f64,
}

/// Sources that count together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Family {
    /// Assays of lots.
    AssayOfLot,
    /// All that makes the strength of a titrant.
    TitrantStrength,
    /// The source of this name.
    Source(String),
}

/// What the runs gave that every fit may use; `None` where none has a contained yield.
pub(super) fn given(runs: &Runs, routes: Option<&Routes>, confidence: f64) -> Option<Given> {
    let known = |outcome: fn(&RunResult) -> &Outcome| -> Vec<&Measured> {
        let outcomes = runs.counted().map(outcome);
        outcomes
            .filter_map(|outcome| outcome.as_ref().ok())
            .collect()
    };
    let values = |known: &[&Measured]| -> Vec<f64> { known.iter().map(|y| y.value()).collect() };
    let yields = known(|run| &run.contained);
    let half_width = |part: &Measured| runs.sources.expanded(part, confidence);
    let half_widths = yields.iter().map(|part| half_width(part));
    let is_impossible = |run: &&RunResult| {
        let part = run.of_ceiling.as_ref().unwrap_or(&run.contained).as_ref();
        part.is_ok_and(|part| part.value() - half_width(part) > 1.0)
    };
    let impossible = runs.counted().filter(is_impossible);
    Some(Given {
        low: values(&yields).into_iter().min_by(f64::total_cmp)?,
        high: values(&yields).into_iter().max_by(f64::total_cmp)?,
        middle: middle(values(&yields))?,
        purity_middle: middle(values(&known(|run| &run.purity))),
        half_widths: [
            half_widths.clone().min_by(f64::total_cmp)?,
            middle(half_widths.clone().collect())?,
            half_widths.max_by(f64::total_cmp)?,
        ],
        impossible: impossible.map(|run| run.run.clone()).collect(),
        not_stated: not_stated(runs),
        main_source: main_source(runs),
        by_ceiling: routes.map(by_ceiling).unwrap_or_default(),
        second: runs
            .second
            .iter()
            .filter_map(|of| {
                let counted = of.runs.iter().filter(|run| run.set_aside.is_none());
                let yields = counted.filter_map(|run| Some(run.contained.as_ref().ok()?.value()));
                spread(of.element.clone(), yields.collect(), 1.0)
            })
            .collect(),
    })
}

fn spread(level: String, yields: Vec<f64>, ceiling: f64) -> Option<RouteSpread> {
    let each = || yields.iter().copied();
    Some(RouteSpread {
        level,
        low: each().reduce(f64::min)?,
        high: each().reduce(f64::max)?,
        middle: middle(yields.clone())?,
        ceiling,
    })
}

fn by_ceiling(routes: &Routes) -> Vec<RouteSpread> {
    let mut ceilings = routes
        .levels
        .iter()
        .map(|level| level.ceiling.unwrap_or(1.0));
    let first = ceilings.next();
    if ceilings.all(|ceiling| Some(ceiling) == first) {
        return Vec::new();
    }
    let spreads = routes.levels.iter().filter_map(|route| {
        let ceiling = route.ceiling.unwrap_or(1.0);
        spread(route.level.clone(), route.yields.clone(), ceiling)
    });
    spreads.collect()
}

/// Names of the sources without a stated uncertainty, each once, in alphabetical order.
fn not_stated(runs: &Runs) -> Vec<String> {
    let shares = runs.counted().flat_map(|run| &run.budget);
    let unknown = shares.filter(|share| share.share.is_none());
    let names: BTreeSet<String> = unknown.map(|share| share.source.to_string()).collect();
    names.into_iter().collect()
}

fn main_source(runs: &Runs) -> Option<MainSource> {
    let mut families: Vec<MainSource> = Vec::new();
    let mut counted = 0.0;
    for run in runs.counted().filter(|run| !run.budget.is_empty()) {
        counted += 1.0;
        for part in &run.budget {
            let Some(share) = part.share else { continue };
            let family = family(part);
            match families.iter_mut().find(|known| known.family == family) {
                Some(known) => known.share += share,
                None => families.push(MainSource { family, share }),
            }
        }
    }
    let mut best = families
        .into_iter()
        .max_by(|a, b| a.share.total_cmp(&b.share))?;
    best.share /= counted;
    Some(best)
}

/// What a source of the budget counts together with.
fn family(share: &Share) -> Family {
    match share.family {
        SourceFamily::LotAssay => Family::AssayOfLot,
        SourceFamily::TitrantStrength => Family::TitrantStrength,
        SourceFamily::Assay | SourceFamily::Other => Family::Source(share.source.to_string()),
    }
}
