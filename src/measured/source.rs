//! Sources of uncertainty, and their shares in a result.
//!
//! In: a name, a distribution and degrees of freedom. Out: [`Sources`], the list of all of a campaign,
//! and the [`Share`] of each in a result.
//! This module never knows a value.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::Measured;
use crate::distributions::coverage_factor;

/// One source of uncertainty; two results that hold the same one share its error.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SourceId(pub(super) u32);

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
    /// Standard uncertainty of a stated figure, in its unit: the figure itself, a half-width over `√3` or over `√6`, or 0
    /// where nothing is stated.
    ///
    /// # Source
    /// JCGM 100:2008, 4.3.7 (rectangular) and 4.3.9 (triangular).
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
    /// Its name in the budget, such as `assay of lot A`; sources of one name share the text.
    pub name: Arc<str>,
    /// What it is.
    pub family: SourceFamily,
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
}

/// What a source is; those of one family differ in the lot or titrant alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SourceFamily {
    /// The assay of a lot of feed.
    LotAssay,
    /// The strength of a titrant, or something that it rests on.
    TitrantStrength,
    /// Another assay that can be made again: of a residue, of the feed of one run, or the titrations of crops.
    Assay,
    /// Anything else, told by its name.
    Other,
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
pub struct Sources {
    /// Those that were there when the list was last shared: a copy costs nothing.
    shared: Arc<Vec<Source>>,
    /// Those added since.
    added: Vec<Source>,
    names: BTreeSet<Arc<str>>,
}

/// The part that sources of one name have in the variance of a result.
#[derive(Debug, Clone, PartialEq)]
pub struct Share {
    /// Name of the source.
    pub source: Arc<str>,
    /// What the source is.
    pub family: SourceFamily,
    /// Fraction of the variance; `None` when the log states no uncertainty for it.
    pub share: Option<f64>,
}

impl Sources {
    /// A new source, independent of all others, whose contributions grow with the result.
    ///
    /// `degrees_of_freedom` are those of its standard uncertainty; infinite when it was stated, not estimated.
    pub fn add(
        &mut self,
        name: impl AsRef<str>,
        distribution: Distribution,
        degrees_of_freedom: f64,
    ) -> SourceId {
        let id = SourceId((self.shared.len() + self.added.len()) as u32);
        let name = name.as_ref();
        let name = self.names.get(name).cloned().unwrap_or_else(|| {
            let name: Arc<str> = name.into();
            self.names.insert(name.clone());
            name
        });
        self.added.push(Source {
            name,
            family: SourceFamily::Other,
            distribution,
            degrees_of_freedom,
            estimate: None,
            growth: Growth::WithResult,
            relative: None,
        });
        id
    }

    /// What is known of a source.
    pub fn get(&self, id: SourceId) -> &Source {
        let at = id.0 as usize;
        match at.checked_sub(self.shared.len()) {
            None => &self.shared[at],
            Some(at) => &self.added[at],
        }
    }

    /// The same, to note what else is known of it.
    pub fn get_mut(&mut self, id: SourceId) -> &mut Source {
        let at = id.0 as usize;
        match at.checked_sub(self.shared.len()) {
            None => &mut Arc::make_mut(&mut self.shared)[at],
            Some(at) => &mut self.added[at],
        }
    }

    /// The same list, made for being copied: copies share all sources that are there now.
    pub fn to_be_copied(mut self) -> Self {
        match Arc::get_mut(&mut self.shared) {
            Some(shared) => shared.append(&mut self.added),
            None if self.added.is_empty() => {}
            None => {
                let mut all = self.shared.to_vec();
                all.append(&mut self.added);
                self.shared = Arc::new(all);
            }
        }
        self
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
            // What was stated adds nothing.
            if self.get(estimate).degrees_of_freedom.is_infinite() {
                continue;
            }
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

    /// Half the width of the interval that covers the true value with that confidence, in the unit of the result; not a
    /// number unless the confidence lies between 0 and 1.
    ///
    /// # Assumes
    /// The error of the result is t with its effective degrees of freedom.
    /// # Source
    /// JCGM 100:2008, annex G.6.4: `U = t(ν)·u`, `ν` the effective degrees of freedom rounded down.
    pub fn expanded(&self, result: &Measured, confidence: f64) -> f64 {
        let degrees = self.effective_degrees_of_freedom(result).floor().max(1.0);
        coverage_factor(confidence, degrees).unwrap_or(f64::NAN) * result.uncertainty()
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
            match shares
                .iter_mut()
                .find(|s| Arc::ptr_eq(&s.source, &source.name))
            {
                Some(known) => {
                    let joined = known.share.map(|part| part + share.unwrap_or(0.0));
                    known.share = joined.or(share);
                }
                None => shares.push(Share {
                    source: source.name.clone(),
                    family: source.family,
                    share,
                }),
            }
        }
        shares.sort_by(|a, b| {
            let key = |s: &Share| s.share.unwrap_or(f64::NEG_INFINITY);
            key(b).total_cmp(&key(a)).then(a.source.cmp(&b.source))
        });
        shares
    }
}
