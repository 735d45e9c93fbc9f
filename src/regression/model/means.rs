//! What does each level of a choice give, all else being equal?
//!
//! In: what the fit knows. Out: [`AdjustedMeans`], and the weights of the reference mix.
//! This module never gives weight to a level that cannot be estimated.
//!
//! # Source
//! Searle, Speed and Milliken, Population marginal means in the linear model, The American Statistician 34 (1980), 216-221.

use std::collections::BTreeSet;

use super::machinery::Machinery;
use crate::regression::estimable::Refusal;
use crate::regression::estimate::Estimate;

/// The means of the levels of one choice: amounts at the mean of the runs used, other choices equally weighted.
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
    /// The weights of the reference mix: equal for all levels of a choice that some run shows and that can be estimated there.
    ///
    /// A choice none of whose levels can be estimated is weighted over all levels with runs.
    pub fn reference_weights(&self) -> Vec<Vec<f64>> {
        let factors = &self.data.factors;
        let mut usable: Vec<Vec<bool>> = factors
            .iter()
            .map(|factor| vec![false; factor.levels().len()])
            .collect();
        let choices = self.choices();
        for cell in self.cells(&choices) {
            let mut mix = self.reference();
            for (&factor, &level) in choices.iter().zip(&cell) {
                mix = mix.at_level(factor, level);
            }
            if self
                .separation
                .in_the_way(&self.basis, &self.combination(&mix))
                .is_empty()
            {
                for (&factor, &level) in choices.iter().zip(&cell) {
                    usable[factor][level] = true;
                }
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
        usable
            .iter()
            .map(|used| {
                let count = used.iter().filter(|&&used| used).count();
                used.iter()
                    .map(|&used| if used { 1.0 / count as f64 } else { 0.0 })
                    .collect()
            })
            .collect()
    }

    /// The adjusted means of each choice among the effects.
    pub fn adjusted_means(&self) -> Vec<AdjustedMeans> {
        let own = self
            .design
            .effects
            .iter()
            .filter(|effect| effect.factors.len() == 1);
        own.map(|effect| effect.factors[0])
            .filter(|&factor| self.data.factors[factor].amounts().is_none())
            .map(|factor| AdjustedMeans {
                factor: self.data.factors[factor].name.clone(),
                levels: self.level_means(factor),
                mix: self.mix_beside(factor),
            })
            .collect()
    }

    fn level_means(&self, factor: usize) -> Vec<LevelMean> {
        let names = self.data.factors[factor].levels().iter().enumerate();
        names
            .map(|(level, name)| {
                let mix = self.reference().at_level(factor, level);
                let (mean, reason) = match self.mean_response(&self.combination(&mix)) {
                    Ok(mean) => (Some(mean), None),
                    Err(reason) => (None, Some(reason)),
                };
                LevelMean {
                    level: name.clone(),
                    mean,
                    reason,
                }
            })
            .collect()
    }

    fn mix_beside(&self, factor: usize) -> ReferenceMix {
        let members: BTreeSet<usize> = self
            .design
            .effects
            .iter()
            .flat_map(|e| e.factors.iter().copied())
            .collect();
        let mut mix = ReferenceMix::default();
        for &other in members.iter().filter(|&&other| other != factor) {
            let known = &self.data.factors[other];
            if known.amounts().is_some() {
                mix.amounts.push(known.name.clone());
                continue;
            }
            let weights = known.levels().iter().zip(&self.weights[other]);
            let counted = weights.filter(|&(_, &weight)| weight > 0.0);
            let levels: Vec<String> = counted.map(|(level, _)| level.clone()).collect();
            if !levels.is_empty() {
                mix.choices.push(MixedChoice {
                    factor: known.name.clone(),
                    levels,
                });
            }
        }
        mix
    }

    /// The choices that take part in the model.
    fn choices(&self) -> Vec<usize> {
        let members: BTreeSet<usize> = self
            .design
            .effects
            .iter()
            .flat_map(|e| e.factors.iter().copied())
            .collect();
        let is_choice = |&factor: &usize| self.data.factors[factor].amounts().is_none();
        members.into_iter().filter(is_choice).collect()
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
