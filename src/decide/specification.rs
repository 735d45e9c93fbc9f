//! Chances that a new run meets the purity specification.
//!
//! In: a model of purity, a limit and settings. Out: chances for the true purity of a new run, and the least mean that is good enough.
//! This module never counts the error of the titration that would measure the new run.

use crate::distributions::{coverage_factor, t_upper};
use crate::regression::{FittedModel, Interval, Refusal, ResponseScale, Settings};

/// The specification with what judges it.
#[derive(Debug, Clone, Copy)]
pub struct Specification<'a> {
    /// The model of purity.
    pub purity: &'a FittedModel,
    /// Least purity [mass fraction].
    pub limit: f64,
    /// Chance that a new run must have of meeting it.
    pub chance: f64,
}

/// How the true purity of runs scatters about their mean, on the scale of the model.
#[derive(Debug, Clone, Copy)]
pub(super) struct TrueScatter {
    scale: ResponseScale,
    standard_deviation: f64,
}

impl TrueScatter {
    /// Run to run and between blocks; None without residual degrees of freedom.
    ///
    /// `σ = √(σ_run² + σ_block²) / g`, with `g` the slope of the response on the scale of the fit: 1 on the plain one,
    /// `y (1 − y)` on the logit, first order about the mean `y`. The error of an assay is no part of it.
    ///
    /// # Errors
    /// As for [`FittedModel::new_run_interval`].
    pub fn of(model: &FittedModel, settings: &Settings) -> Result<Option<TrueScatter>, Refusal> {
        let run = model.new_run_interval(settings)?;
        let slope = match model.scale {
            ResponseScale::Plain => 1.0,
            ResponseScale::Logit => run.value * (1.0 - run.value),
        };
        Ok(run.scatter.map(|scatter| TrueScatter {
            scale: model.scale,
            standard_deviation: (scatter.run_to_run + scatter.between_blocks).sqrt() / slope,
        }))
    }

    fn on_scale(&self, value: f64) -> f64 {
        match self.scale {
            ResponseScale::Plain => value,
            ResponseScale::Logit => (value / (1.0 - value)).ln(),
        }
    }

    /// Share of new runs at or above a limit when their mean is known.
    ///
    /// `P = 1 − Φ((s(L) − s(μ)) / σ)` with limit `L`, mean `μ` and the scale `s` of the model; 0 or 1 without scatter.
    ///
    /// # Assumes
    /// True purities are normal about their mean on the scale of the model.
    pub fn share_above(&self, limit: f64, mean: f64) -> Option<f64> {
        let away = self.on_scale(limit) - self.on_scale(mean);
        if self.standard_deviation > 0.0 {
            t_upper(away / self.standard_deviation, f64::INFINITY)
        } else {
            Some(if away <= 0.0 { 1.0 } else { 0.0 })
        }
    }

    /// Whether so many new runs reach a limit when their mean is known; for many means at one limit.
    ///
    /// Turned round: the mean must be at least `s(L) + z σ`, with `z` the normal quantile of the chance asked for.
    pub fn enough(&self, limit: f64, chance: f64) -> impl Fn(f64) -> bool + use<> {
        // A chance of one half needs a mean at the limit, and the quantile of a share of zero is none.
        let quantile = coverage_factor(2.0 * chance - 1.0, f64::INFINITY).unwrap_or(0.0);
        let least = self.on_scale(limit) + quantile * self.standard_deviation;
        let scatter = *self;
        move |mean| scatter.on_scale(mean) >= least
    }
}

impl Specification<'_> {
    /// The chance that a new run meets the specification, what is not known of the model counted.
    ///
    /// # Errors
    /// As for [`FittedModel::estimate`].
    pub fn chance_at(&self, settings: &Settings) -> Result<Option<f64>, Refusal> {
        self.purity.chance_of_new_run_above(settings, self.limit)
    }

    /// Share of all new runs that meet it, between the ends that draws of the mean give; the scatter is taken as known.
    pub(super) fn share_between(
        &self,
        scatter: &TrueScatter,
        means: &[f64],
        confidence: f64,
    ) -> Option<Interval> {
        let mut sorted = means.to_vec();
        sorted.sort_by(f64::total_cmp);
        let last = sorted.len().checked_sub(1)? as f64;
        let at = |share: f64| sorted[(share * last).round() as usize];
        let tail = (1.0 - confidence) / 2.0;
        Some(Interval {
            low: scatter.share_above(self.limit, at(tail))?,
            high: scatter.share_above(self.limit, at(1.0 - tail))?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Quantiles are good to ten digits.
    const ROUNDING: f64 = 1e-9;

    #[test]
    fn the_least_mean_is_the_one_whose_share_is_just_enough() {
        for scale in [ResponseScale::Plain, ResponseScale::Logit] {
            let scatter = TrueScatter {
                scale,
                standard_deviation: match scale {
                    ResponseScale::Plain => 0.002,
                    ResponseScale::Logit => 0.15,
                },
            };
            let enough = scatter.enough(0.985, 0.9);
            let mut ends = [0.97, 0.999];
            while ends[1] - ends[0] > 1e-12 {
                let middle = (ends[0] + ends[1]) / 2.0;
                ends[usize::from(enough(middle))] = middle;
            }
            let share = scatter.share_above(0.985, ends[1]).expect("a share");
            assert!((share - 0.9).abs() < ROUNDING, "{share}");
        }
    }

    #[test]
    fn a_chance_of_one_half_needs_a_mean_at_the_limit() {
        let scatter = TrueScatter {
            scale: ResponseScale::Plain,
            standard_deviation: 0.002,
        };
        let enough = scatter.enough(0.985, 0.5);
        assert!(enough(0.985) && !enough(0.984999));
    }
}
