//! Chances that a new run meets the purity specification.
//!
//! In: a model of purity, a limit and settings. Out: chances for the true purity of a new run, and shares of all new runs.
//! This module never counts the error of the titration that would measure the new run.

use crate::distributions::{coverage_factor, t_upper};
use crate::regression::{DrawnRuns, FittedModel, Interval, Refusal, Settings};

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

impl Specification<'_> {
    /// The chance that a new run meets the specification, what is not known of the model counted.
    ///
    /// # Errors
    /// As for [`FittedModel::estimate`].
    pub fn chance_at(&self, settings: &Settings) -> Result<Option<f64>, Refusal> {
        self.purity.chance_of_new_run_above(settings, self.limit)
    }

    /// Whether new runs meet it often enough, draw by draw of their mean and scatter.
    ///
    /// The share of runs above the limit `L` is `1 − Φ((s(L) − s(μ)) / σ)`, on the scale `s` of the model; it is enough
    /// where `(s(L) − s(μ)) / σ` is at most `−z`, with `z` the normal quantile of the chance asked for.
    ///
    /// # Assumes
    /// True purities are normal about their mean on the scale of the model.
    pub(super) fn often_enough(&self, drawn: &DrawnRuns) -> Vec<bool> {
        // A chance of one half needs a mean at the limit, and the quantile of a share of zero is none.
        let quantile = coverage_factor(2.0 * self.chance - 1.0, f64::INFINITY).unwrap_or(0.0);
        let away = drawn.above_the_mean(self.limit).into_iter();
        away.map(|away| away <= -quantile).collect()
    }

    /// Share of all new runs that meet it, between the ends that draws of their mean and scatter give.
    pub(super) fn share_between(&self, drawn: &DrawnRuns, confidence: f64) -> Option<Interval> {
        let mut sorted = drawn.above_the_mean(self.limit);
        sorted.sort_by(f64::total_cmp);
        let last = sorted.len().checked_sub(1)? as f64;
        let at = |share: f64| share_beyond(sorted[(share * last).round() as usize]);
        let tail = (1.0 - confidence) / 2.0;
        Some(Interval {
            low: at(1.0 - tail)?,
            high: at(tail)?,
        })
    }
}

/// Share of runs that lie so many standard deviations above their mean or higher; 0 or 1 at infinity.
pub(super) fn share_beyond(away: f64) -> Option<f64> {
    match away {
        f64::INFINITY => Some(0.0),
        f64::NEG_INFINITY => Some(1.0),
        _ => t_upper(away, f64::INFINITY),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::regression::{
        Constant, FitData, FittedModel, Measurement, Method, ModelParams, ResponseScale,
    };
    use crate::seeded::Seeded;

    fn constant_model(response: Vec<f64>) -> FittedModel {
        let data = FitData {
            runs: (0..response.len()).map(|run| run.to_string()).collect(),
            response,
            factors: Vec::new(),
            measurement: Measurement::default(),
            never: Vec::new(),
        };
        let params = ModelParams {
            response: "purity".into(),
            unit: "1".into(),
            effects: Vec::new(),
            joint: Vec::new(),
            curved: Vec::new(),
            blocks: Vec::new(),
            constant: Constant::Present,
            confidence: 0.95,
            method: Method::Plain,
            scale: ResponseScale::Plain,
        };
        let valid = params.check(&data).expect("a model");
        valid.fit(&data).expect("a fit")
    }

    fn with(purity: &FittedModel, chance: f64) -> Specification<'_> {
        Specification {
            purity,
            limit: 0.985,
            chance,
        }
    }

    fn drawn(means: Vec<f64>, scatter: f64) -> DrawnRuns {
        DrawnRuns {
            scale: ResponseScale::Plain,
            scatter: vec![scatter; means.len()],
            means,
        }
    }

    #[test]
    fn a_mean_is_good_enough_from_the_quantile_of_the_chance_on() {
        let model = constant_model(vec![0.990, 0.991]);
        // The normal quantile of 0.9 is 1.28155 (tables); one scatter of 0.002 is 0.0025631 above the limit.
        let found = with(&model, 0.9).often_enough(&drawn(vec![0.98756, 0.98757], 0.002));
        assert_eq!(found, [false, true]);
        let half = with(&model, 0.5).often_enough(&drawn(vec![0.984999, 0.985], 0.002));
        assert_eq!(half, [false, true]);
    }

    #[test]
    fn without_scatter_a_share_is_none_or_all() {
        let model = constant_model(vec![0.990, 0.991]);
        let of = |mean: f64| {
            with(&model, 0.9)
                .share_between(&drawn(vec![mean; 5], 0.0), 0.95)
                .expect("a share")
        };
        assert_eq!([of(0.99).low, of(0.99).high], [1.0, 1.0]);
        assert_eq!([of(0.98).low, of(0.98).high], [0.0, 0.0]);
    }

    #[test]
    fn runs_that_are_all_alike_meet_it_all_or_none() {
        for (purity, chance) in [(0.990, 1.0), (0.985, 1.0), (0.98, 0.0)] {
            let model = constant_model(vec![purity; 6]);
            let found = with(&model, 0.9).chance_at(&Settings::default());
            assert_eq!(found, Ok(Some(chance)), "{purity}");
        }
    }

    #[test]
    fn the_least_share_that_a_sample_promises_is_that_of_the_tables_of_tolerance_limits() {
        // Ten runs with mean 0 and standard deviation 1 about a limit 2.911 below: with a confidence of 95 % at least 95 %
        // of all runs lie above (one-sided tolerance factor for n = 10: ISO 16269-6:2014, table D.4; Hahn and Meeker,
        // Statistical Intervals, 1991, table A.12d; the factor is from memory).
        let spread = [-1.5, -1.0, -0.7, -0.4, -0.1, 0.1, 0.4, 0.7, 1.0, 1.5];
        let squares: f64 = spread.iter().map(|x: &f64| x * x).sum();
        let size = (9.0 / squares).sqrt() * 0.001;
        let model = constant_model(spread.iter().map(|x| 0.985 + 0.002911 + size * x).collect());
        let streams = [1, 2].map(|stream| Seeded::stream(11, stream));
        let [mut of_means, mut of_scatter] = streams;
        let everywhere = [Settings::default()];
        let drawn = model.draws_of_new_runs(&everywhere, 40_000, &mut of_means, &mut of_scatter);
        // Both tails of 5 % make a two-sided 90 %.
        let share = with(&model, 0.9).share_between(&drawn.expect("draws")[0], 0.9);
        let low = share.expect("a share").low;
        // The quantile of 40,000 draws is known to two thousandths of the share.
        assert!((low - 0.95).abs() < 0.003, "{low}");
    }
}
