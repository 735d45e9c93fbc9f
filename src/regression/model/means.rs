//! Adjusted means of the levels of a choice, and the reference mix.
//!
//! In: what the fit knows. Out: [`AdjustedMeans`], and the weights of the reference mix.
//! This module never gives weight to a level that cannot be estimated.
//!
//! # Source
//! Searle, Speed and Milliken, Population marginal means in the linear model, The American Statistician 34 (1980), 216-221.

use std::collections::BTreeSet;

use super::estimates::Machinery;
use crate::distributions::mean;
use crate::regression::asked::Factor;
use crate::regression::estimable::Refusal;
use crate::regression::estimate::Estimate;

/// The means of the levels of one choice: amounts at the mean of the runs used, other choices equally weighted.
///
/// `ȳ_l = cᵀβ`, with `c` the terms at level `l` and, for all else, at the reference mix.
#[derive(Debug, Clone, PartialEq)]
pub struct AdjustedMeans {
    /// Name of the choice.
    pub factor: String,
    /// One for each level, the baseline first.
    pub levels: Vec<LevelMean>,
    /// What all else stood at.
    pub mix: ReferenceMix,
}

/// What the factors besides the one that is looked at stood at.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ReferenceMix {
    /// Amounts at their mean over the runs, by name.
    pub amounts: Vec<String>,
    /// Choices, each equally weighted over some of its levels.
    pub choices: Vec<MixedChoice>,
}

/// A choice at several levels that count the same.
#[derive(Debug, Clone, PartialEq)]
pub struct MixedChoice {
    /// Name of the choice.
    pub factor: String,
    /// Its levels that count.
    pub levels: Vec<String>,
}

/// The mean of one level, or the reason why there is none.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelMean {
    /// Name of the level.
    pub level: String,
    /// Mean response, in its unit; on the logit scale the value that half of the runs exceed.
    /// Equal weights of other choices are taken on the scale of the fit.
    pub mean: Option<Estimate>,
    /// Why there is no mean.
    pub reason: Option<Refusal>,
}

impl Machinery {
    /// The same with the reference mix: amounts at their mean, and levels of a choice that some run shows and that can be
    /// estimated there weighted equally.
    ///
    /// A choice none of whose levels can be estimated is weighted over all levels with runs.
    pub fn with_reference(mut self) -> Self {
        let factors = &self.data.factors;
        let mean_of = |factor: &Factor| factor.amounts().map_or(0.0, mean);
        let no_weights = |factor: &Factor| vec![0.0; factor.levels().len()];
        self.means = factors.iter().map(mean_of).collect();
        self.weights = factors.iter().map(no_weights).collect();
        let not_used = |factor: &Factor| vec![false; factor.levels().len()];
        let mut usable: Vec<Vec<bool>> = factors.iter().map(not_used).collect();
        let mut choices = self.members();
        choices.retain(|&factor| factors[factor].amounts().is_none());
        for cell in self.cells(&choices) {
            let at = || choices.iter().zip(&cell);
            let mix = at().fold(self.reference(), |mix, (&factor, &level)| {
                mix.at_level(factor, level)
            });
            let combination = self.combination(&mix);
            if self
                .separation
                .in_the_way(&self.basis, &combination)
                .is_empty()
            {
                at().for_each(|(&factor, &level)| usable[factor][level] = true);
            }
        }
        for (used, factor) in usable.iter_mut().zip(factors) {
            if !used.contains(&true) {
                *used = factor
                    .runs_of_levels()
                    .iter()
                    .map(|&runs| runs > 0)
                    .collect();
            }
        }
        let equal = |used: &Vec<bool>| {
            let share = 1.0 / used.iter().filter(|&&used| used).count() as f64;
            used.iter()
                .map(|&used| if used { share } else { 0.0 })
                .collect()
        };
        self.weights = usable.iter().map(equal).collect();
        self
    }

    /// The choices among the effects.
    pub(super) fn choices(&self) -> impl Iterator<Item = usize> {
        let effects = self.design.effects.iter();
        effects.filter_map(|effect| match effect.factors[..] {
            [factor] if self.data.factors[factor].amounts().is_none() => Some(factor),
            _ => None,
        })
    }

    /// The adjusted means of each choice among the effects.
    pub fn adjusted_means(&self) -> Vec<AdjustedMeans> {
        let means = self.choices().map(|factor| AdjustedMeans {
            factor: self.data.factors[factor].name.clone(),
            levels: self.level_means(factor),
            mix: self.mix_beside(factor),
        });
        means.collect()
    }

    /// Whether the mean of each level of a choice can be told at the reference mix of all else, in the order of the levels.
    pub(super) fn told(&self, factor: usize) -> impl Iterator<Item = (&str, bool)> {
        let names = self.data.factors[factor].levels().iter().enumerate();
        names.map(move |(level, name)| {
            let mix = self.reference().at_level(factor, level);
            (name.as_str(), self.value(&self.combination(&mix)).is_ok())
        })
    }

    fn level_means(&self, factor: usize) -> Vec<LevelMean> {
        let names = self.data.factors[factor].levels().iter().enumerate();
        names
            .map(|(level, name)| {
                let mix = self.reference().at_level(factor, level);
                let found = self.mean_response(&self.combination(&mix));
                LevelMean {
                    level: name.clone(),
                    reason: found.as_ref().err().cloned(),
                    mean: found.ok(),
                }
            })
            .collect()
    }

    pub(super) fn mix_beside(&self, factor: usize) -> ReferenceMix {
        let mut mix = ReferenceMix::default();
        for other in self.members().into_iter().filter(|&other| other != factor) {
            let known = &self.data.factors[other];
            if known.amounts().is_some() {
                mix.amounts.push(known.name.clone());
                continue;
            }
            let weights = known.levels().iter().zip(&self.weights[other]);
            let counted = weights.filter(|&(_, &weight)| weight > 0.0);
            let levels: Vec<String> = counted.map(|(level, _)| level.clone()).collect();
            if !levels.is_empty() {
                let factor = known.name.clone();
                mix.choices.push(MixedChoice { factor, levels });
            }
        }
        mix
    }

    /// The factors that take part in the model, sorted.
    pub(super) fn members(&self) -> Vec<usize> {
        let effects = self.design.effects.iter();
        let members: BTreeSet<usize> = effects.flat_map(|e| e.factors.iter().copied()).collect();
        members.into_iter().collect()
    }

    /// The different combinations of levels of these choices among the runs.
    fn cells(&self, choices: &[usize]) -> BTreeSet<Vec<usize>> {
        let level = |run: usize| {
            choices
                .iter()
                .map(move |&factor| self.data.factors[factor].codes()[run])
        };
        (0..self.data.runs.len())
            .map(|run| level(run).collect())
            .collect()
    }
}
