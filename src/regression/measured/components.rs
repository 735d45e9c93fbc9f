//! The parts of the scatter of the runs.
//!
//! In: estimated variances with their standard errors. Out: [`Component`], with an interval where there is one.
//! This module never estimates a variance.

use crate::distributions::{chi_squared_upper, turning_point};
use crate::regression::estimate::Interval;

/// What scatters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ScatterOf {
    /// Runs, beyond what the measurement explains.
    RunToRun,
    /// The same at some levels of a choice alone, where levels scatter differently.
    RunToRunAt {
        /// The choice.
        factor: String,
        /// The levels that share this scatter.
        levels: Vec<String>,
    },
    /// Levels of a block, by its name.
    Block(String),
    /// The measurement, as it is known.
    Measurement,
}

/// What runs scatter at each level of a choice, where the residuals show that levels differ.
#[derive(Debug, Clone, PartialEq)]
pub struct ScatterByLevel {
    /// The choice.
    pub factor: String,
    /// Chance of residuals that differ so much when scatter is even, counted once for each choice of the model.
    pub p: f64,
    /// One for each level, in the order of the levels.
    pub levels: Vec<LevelScatter>,
}

/// What runs scatter at one level.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelScatter {
    /// Name of the level.
    pub level: String,
    /// Standard deviation from run to run beyond measurement, in the unit of the response; zero where runs show none.
    pub sd: f64,
    /// Degrees of freedom of its square.
    pub degrees_of_freedom: f64,
    /// Whether too few runs stand behind the level, so that it is given that of the level that scatters most.
    pub borrowed: bool,
}

/// One part of the scatter of the runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// What scatters.
    pub of: ScatterOf,
    /// Its standard deviation, in the unit of the response; zero where the runs show none.
    /// Of a fit on the logit scale it is of first order: that of the fit times the root mean square of `y (1 − y)` over the runs.
    /// That of the measurement is the root of the mean variance that is known, at the fitted values.
    pub sd: f64,
    /// Interval at the confidence of the model; None for what was not estimated, and at zero.
    pub interval: Option<Interval>,
}

impl Component {
    /// A component from its variance and the degrees of freedom of that, `ν s² / χ²` at both ends.
    ///
    /// # Source
    /// Satterthwaite, Biometrics Bulletin 2 (1946) 110-114, where the degrees of freedom are `2 s⁴ / u²(s²)`; exact for
    /// the residual mean square of a plain fit.
    pub(crate) fn estimated(of: ScatterOf, variance: f64, degrees: f64, confidence: f64) -> Self {
        let tail = (1.0 - confidence) / 2.0;
        let end = |tail: f64| {
            let quantile = chi_squared_for_upper(tail, degrees)?;
            let end = (degrees * variance / quantile).sqrt();
            end.is_finite().then_some(end)
        };
        let interval = end(tail)
            .zip(end(1.0 - tail))
            .filter(|_| variance > 0.0)
            .map(|(low, high)| Interval { low, high });
        Self {
            of,
            sd: variance.sqrt(),
            interval,
        }
    }
}

/// The sum of squares that is exceeded with chance `tail`.
pub(super) fn chi_squared_for_upper(tail: f64, degrees: f64) -> Option<f64> {
    let beyond = |value: f64| chi_squared_upper(value, degrees).map(|chance| chance > tail);
    let (mut low, mut high) = (degrees.max(f64::MIN_POSITIVE), degrees.max(1e-300));
    while beyond(high)? {
        high *= 2.0;
    }
    while !beyond(low)? {
        low /= 2.0;
        if low < 1e-300 {
            return None;
        }
    }
    turning_point(low, high, beyond)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_interval_of_a_standard_deviation_is_that_of_the_tables() {
        // NIST/SEMATECH e-Handbook of Statistical Methods, table 1.3.6.7.4: with 9 degrees of freedom 97.5 % lie
        // above 2.700 and 2.5 % above 19.023.
        let found = Component::estimated(ScatterOf::RunToRun, 4.0, 9.0, 0.95);
        let interval = found.interval.unwrap();
        assert_eq!(found.sd, 2.0);
        // The table is printed with three decimals.
        assert!((9.0 * 4.0 / interval.high.powi(2) - 2.700).abs() < 6e-4);
        assert!((9.0 * 4.0 / interval.low.powi(2) - 19.023).abs() < 6e-4);
    }

    #[test]
    fn a_scatter_of_zero_has_no_interval() {
        assert_eq!(
            Component::estimated(ScatterOf::Block("lot".into()), 0.0, 3.0, 0.95).interval,
            None
        );
    }
}
