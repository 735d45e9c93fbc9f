//! Where an uncertainty comes from.
//!
//! In: a name, a distribution and degrees of freedom. Out: [`Sources`], the list of all of a campaign,
//! and the [`Share`] of each in a result.
//! This module never knows a value.

use std::collections::BTreeMap;

use super::Measured;
use crate::distributions::coverage_factor;

/// One source of uncertainty; two results that hold the same one share its error.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SourceId(u32);

impl SourceId {
    /// Its position in the list of sources.
    pub fn position(self) -> u32 {
        self.0
    }
}

/// The distribution that a source was stated with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Distribution {
    /// Normal, stated as a standard uncertainty.
    Normal,
    /// Rectangular, stated as a half-width; u = half-width / √3.
    Rectangular,
    /// Triangular, stated as a half-width; u = half-width / √6.
    Triangular,
    /// The log states no uncertainty; counted as zero, so the result is a lower bound.
    NotStated,
}

impl Distribution {
    /// Standard uncertainty of a stated figure: JCGM 100:2008, 4.3.7 and 4.3.9.
    pub fn standard_uncertainty(self, stated: f64) -> f64 {
        match self {
            Distribution::Normal => stated,
            Distribution::Rectangular => stated / 3f64.sqrt(),
            Distribution::Triangular => stated / 6f64.sqrt(),
            Distribution::NotStated => 0.0,
        }
    }
}

/// What is known of one source.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// Its name in the budget, such as `assay of lot A`.
    pub name: String,
    /// The distribution it was stated with.
    pub distribution: Distribution,
    /// Degrees of freedom of its standard uncertainty; infinite when it was stated, not estimated.
    pub degrees_of_freedom: f64,
    /// The estimate that its standard uncertainty comes from, when other sources have it from there too: one pooled
    /// scatter is known no better for being used often.
    pub estimate: Option<SourceId>,
    /// How its contribution changes with the size of a result.
    pub growth: Growth,
    /// Standard uncertainty over the size of the reading; `None` for an error of a reading near zero.
    pub relative: Option<f64>,
    /// What it counts together with, where one word is wanted for several.
    pub family: SourceFamily,
}

/// Sources that count together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SourceFamily {
    /// Those of its own name alone.
    Name,
    /// Assays of lots.
    AssayOfLot,
    /// All that makes the strength of a titrant.
    TitrantStrength,
}

/// How the contribution of a source changes with the size of the result that it enters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Growth {
    /// In proportion, as an error of an assay or of a titrant does in a yield.
    WithResult,
    /// Not at all, as the weighing of a crop: a gram too much is the same fraction of theory in any run.
    Fixed,
}

/// All sources of one campaign.
#[derive(Debug, Clone, Default)]
pub struct Sources(Vec<Source>);

/// The part that sources of one name have in the variance of a result.
#[derive(Debug, Clone, PartialEq)]
pub struct Share {
    /// Name of the source.
    pub source: String,
    /// Fraction of the variance; `None` when the log states no uncertainty for it.
    pub share: Option<f64>,
    /// What the source counts together with.
    pub family: SourceFamily,
}

impl Sources {
    /// A new source, independent of all others.
    pub fn add(
        &mut self,
        name: impl Into<String>,
        distribution: Distribution,
        degrees_of_freedom: f64,
    ) -> SourceId {
        let id = SourceId(self.0.len() as u32);
        self.0.push(Source {
            name: name.into(),
            distribution,
            degrees_of_freedom,
            estimate: None,
            growth: Growth::WithResult,
            relative: None,
            family: SourceFamily::Name,
        });
        id
    }

    /// Notes what a source counts together with.
    pub fn note_family(&mut self, id: SourceId, family: SourceFamily) {
        self.0[id.0 as usize].family = family;
    }

    /// Notes that a source has its standard uncertainty from the same estimate as another.
    pub fn note_estimate(&mut self, id: SourceId, first: SourceId) {
        self.0[id.0 as usize].estimate = Some(first);
    }

    /// Notes that the contribution of a source does not grow with the result.
    pub fn note_fixed(&mut self, id: SourceId) {
        self.0[id.0 as usize].growth = Growth::Fixed;
    }

    /// Notes how large an uncertainty is beside its reading.
    pub fn note_relative(&mut self, id: SourceId, relative: f64) {
        self.0[id.0 as usize].relative = Some(relative);
    }

    /// Effective degrees of freedom of the standard uncertainty of a result.
    ///
    /// `ν = u⁴ / Σ (uⱼ⁴ / νⱼ)`, one term for each estimate `j`, `uⱼ²` the sum over all sources that have their
    /// uncertainty from it; infinite when every source was stated.
    ///
    /// # Source
    /// JCGM 100:2008, annex G.4.1, equation G.2b (Welch-Satterthwaite).
    pub fn effective_degrees_of_freedom(&self, result: &Measured) -> f64 {
        let mut by_estimate: BTreeMap<SourceId, f64> = BTreeMap::new();
        for (id, contribution) in result.parts() {
            let estimate = self.get(*id).estimate.unwrap_or(*id);
            *by_estimate.entry(estimate).or_insert(0.0) += contribution * contribution;
        }
        let below: f64 = by_estimate
            .iter()
            .map(|(id, variance)| variance * variance / self.get(*id).degrees_of_freedom)
            .sum();
        if below > 0.0 {
            result.uncertainty().powi(4) / below
        } else {
            f64::INFINITY
        }
    }

    /// Half the width of the interval that covers the true value with that confidence, in the unit of the result.
    ///
    /// # Source
    /// JCGM 100:2008, annex G.6.4: `U = t(ν)·u`, `ν` the effective degrees of freedom rounded down.
    pub fn expanded(&self, result: &Measured, confidence: f64) -> f64 {
        let degrees = self.effective_degrees_of_freedom(result).floor().max(1.0);
        coverage_factor(confidence, degrees).unwrap_or(f64::NAN) * result.uncertainty()
    }

    /// What is known of a source.
    pub fn get(&self, id: SourceId) -> &Source {
        &self.0[id.0 as usize]
    }

    /// Shares of the variance of a result by name of source, the largest first, those not stated last.
    ///
    /// # Source
    /// JCGM 100:2008, 5.1.3, note 1: each term of the sum of squares over the sum.
    pub fn budget(&self, result: &Measured) -> Vec<Share> {
        let variance = result.uncertainty().powi(2);
        let mut shares: Vec<Share> = Vec::new();
        for (id, contribution) in result.parts() {
            let source = self.get(*id);
            let share = (source.distribution != Distribution::NotStated && variance > 0.0)
                .then(|| contribution * contribution / variance);
            match shares.iter_mut().find(|s| s.source == source.name) {
                Some(known) => {
                    known.share = match (known.share, share) {
                        (Some(a), Some(b)) => Some(a + b),
                        (a, b) => a.or(b),
                    }
                }
                None => shares.push(Share {
                    source: source.name.clone(),
                    share,
                    family: source.family,
                }),
            }
        }
        shares.sort_by(|a, b| {
            let key = |s: &Share| s.share.map_or(f64::NEG_INFINITY, |x| x);
            key(b).total_cmp(&key(a)).then(a.source.cmp(&b.source))
        });
        shares
    }
}
