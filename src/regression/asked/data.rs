//! The runs that a model is fitted to.
//!
//! In: the response and the factors of each run, in run order. Out: [`FitData`].
//! This module never decides which runs are used, and never changes a value.

use super::barred::Barred;
use super::measurement::Measurement;

/// The runs that a model is fitted to, in run order.
///
/// # Units and shapes
/// `runs`, `response` and the values of each factor have one entry a run.
/// # Assumes
/// Runs stand in the order in which they were made, which matters to autocorrelation alone.
#[derive(Debug, Clone)]
pub struct FitData {
    /// Names of the runs.
    pub runs: Vec<String>,
    /// Response of each run, in the unit that the model declares.
    pub response: Vec<f64>,
    /// What was varied, blocks included.
    pub factors: Vec<Factor>,
    /// What is known of the errors of the responses; used by the measured fit.
    pub measurement: Measurement,
    /// Combinations that no further run may have, so that none is proposed to tell terms apart.
    pub never: Vec<Barred>,
}

/// Something that differs between runs: an amount, or a choice between named levels.
#[derive(Debug, Clone)]
pub struct Factor {
    /// Name, as it stands in the names of terms.
    pub name: String,
    /// Unit of an amount; empty for a choice.
    pub unit: String,
    /// The value of each run.
    pub values: FactorValues,
}

/// The values of one factor, one a run.
#[derive(Debug, Clone)]
pub enum FactorValues {
    /// Numbers, in the unit of the factor.
    Amount(Vec<f64>),
    /// Named levels.
    Choice {
        /// Names of the levels, the baseline first; levels without a run are allowed.
        levels: Vec<String>,
        /// The level of each run, as a position in `levels`.
        codes: Vec<usize>,
    },
}

impl FitData {
    /// Where the factor of this name stands.
    pub(crate) fn position(&self, name: &str) -> Option<usize> {
        self.factors.iter().position(|factor| factor.name == name)
    }

    /// The runs but some, given by their positions, with what is known of their errors.
    pub(crate) fn without(&self, runs: &[usize]) -> FitData {
        let kept: Vec<usize> = (0..self.runs.len())
            .filter(|run| !runs.contains(run))
            .collect();
        let numbers = |values: &[f64]| kept.iter().map(|&run| values[run]).collect();
        let factors = self.factors.iter().map(|factor| Factor {
            values: match &factor.values {
                FactorValues::Amount(values) => FactorValues::Amount(numbers(values)),
                FactorValues::Choice { levels, codes } => FactorValues::Choice {
                    levels: levels.clone(),
                    codes: kept.iter().map(|&run| codes[run]).collect(),
                },
            },
            ..factor.clone()
        });
        FitData {
            runs: kept.iter().map(|&run| self.runs[run].clone()).collect(),
            response: numbers(&self.response),
            factors: factors.collect(),
            measurement: self.measurement.of_runs(&kept),
            never: self.never.clone(),
        }
    }
}

impl FactorValues {
    /// How many runs have a value.
    pub(crate) fn len(&self) -> usize {
        match self {
            FactorValues::Amount(values) => values.len(),
            FactorValues::Choice { codes, .. } => codes.len(),
        }
    }
}

impl Factor {
    /// The numbers of an amount, one a run; nothing for a choice.
    pub(crate) fn amounts(&self) -> Option<&[f64]> {
        match &self.values {
            FactorValues::Amount(values) => Some(values),
            FactorValues::Choice { .. } => None,
        }
    }

    /// The names of the levels of a choice; empty for an amount.
    pub(crate) fn levels(&self) -> &[String] {
        match &self.values {
            FactorValues::Amount(_) => &[],
            FactorValues::Choice { levels, .. } => levels,
        }
    }

    /// The level of each run of a choice; empty for an amount.
    pub(crate) fn codes(&self) -> &[usize] {
        match &self.values {
            FactorValues::Amount(_) => &[],
            FactorValues::Choice { codes, .. } => codes,
        }
    }

    /// How many columns it takes by itself: one for an amount, one for each level of a choice besides the baseline.
    pub(crate) fn width(&self) -> usize {
        match self.amounts() {
            Some(_) => 1,
            None => self.levels().len().saturating_sub(1),
        }
    }

    /// For each level of a choice, how many runs have it.
    pub(crate) fn runs_of_levels(&self) -> Vec<usize> {
        let mut counts = vec![0; self.levels().len()];
        for &code in self.codes() {
            counts[code] += 1;
        }
        counts
    }

    /// The different numbers of an amount, in ascending order.
    pub(crate) fn distinct_amounts(&self) -> Vec<f64> {
        let mut values = self.amounts().unwrap_or(&[]).to_vec();
        values.sort_by(f64::total_cmp);
        // Zero and minus zero are the same amount.
        values.dedup_by(|a, b| a == b);
        values
    }
}
