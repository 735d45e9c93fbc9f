//! Settings of all factors as one combination of coefficients.
//!
//! In: [`Settings`], each factor that they leave out at the reference mix. Out: [`Mix`], and combinations of coded coefficients.
//! This module never judges whether the settings are sensible, and never goes beyond the declared factors.

use super::estimates::Machinery;
use crate::regression::asked::{Setting, Settings};
use crate::regression::estimable::Refusal;

/// One number for each amount and one weight for each level, by factor.
#[derive(Debug, Clone)]
pub(crate) struct Mix {
    pub amounts: Vec<f64>,
    pub weights: Vec<Vec<f64>>,
}

impl Mix {
    /// A choice at one level.
    pub fn at_level(mut self, factor: usize, level: usize) -> Self {
        self.weights[factor].fill(0.0);
        self.weights[factor][level] = 1.0;
        self
    }
}

impl Machinery {
    /// The reference mix: amounts at their mean, levels equally weighted.
    pub fn reference(&self) -> Mix {
        Mix {
            amounts: self.means.clone(),
            weights: self.weights.clone(),
        }
    }

    /// The combination of coded coefficients that stands for a mix.
    pub fn combination(&self, mix: &Mix) -> Vec<f64> {
        let amount = |factor: usize| self.coding.coded(factor, mix.amounts[factor]);
        let weight = |factor: usize, level: usize| mix.weights[factor][level];
        let columns = self.design.columns.iter();
        columns.map(|column| column.value(amount, weight)).collect()
    }

    /// The mix that settings stand for.
    pub fn mix(&self, settings: &Settings) -> Result<Mix, Refusal> {
        let mut mix = self.reference();
        for (name, setting) in settings.iter() {
            let effects = &self.design.effects;
            let used = |at: &usize| effects.iter().any(|effect| effect.factors.contains(at));
            let position = self.data.position(name).filter(used);
            let position = position.ok_or_else(|| Refusal::UnknownFactor(name.to_string()))?;
            let factor = &self.data.factors[position];
            match setting {
                Setting::Amount(_) if factor.amounts().is_none() => {
                    return Err(Refusal::NotAnAmount(name.to_string()));
                }
                Setting::Amount(value) if !value.is_finite() => {
                    return Err(Refusal::NotANumber(name.to_string()));
                }
                Setting::Amount(value) => mix.amounts[position] = *value,
                Setting::Level(_) if factor.amounts().is_some() => {
                    return Err(Refusal::NotAChoice(name.to_string()));
                }
                Setting::Level(level) => {
                    let found = factor.levels().iter().position(|known| known == level);
                    let found = found.ok_or_else(|| Refusal::UnknownLevel {
                        factor: name.to_string(),
                        level: level.clone(),
                        known: factor.levels().to_vec(),
                    })?;
                    mix = mix.at_level(position, found);
                }
            }
        }
        Ok(mix)
    }

    /// By how much each variance from run to run counts at a mix: the level that it names, or all by their weights.
    pub fn shares(&self, mix: &Mix) -> Vec<f64> {
        let by_level = self.errors.by_level();
        by_level.map_or(vec![1.0], |by_level| {
            by_level.shares(&mix.weights[by_level.factor])
        })
    }

    /// The same for a run that was made.
    pub fn shares_of_run(&self, run: usize) -> Vec<f64> {
        let by_level = self.errors.by_level();
        by_level.map_or(vec![1.0], |by_level| {
            let codes = self.data.factors[by_level.factor].codes();
            let own = |level: usize| f64::from(u8::from(level == codes[run]));
            let levels = 0..self.data.factors[by_level.factor].levels().len();
            by_level.shares(&levels.map(own).collect::<Vec<_>>())
        })
    }

    /// The combination of coded coefficients that settings stand for.
    pub fn asked(&self, settings: &Settings) -> Result<Vec<f64>, Refusal> {
        let combination = self.combination(&self.mix(settings)?);
        let finite = combination.iter().all(|part| part.is_finite());
        finite.then_some(combination).ok_or(Refusal::TooLarge)
    }
}
