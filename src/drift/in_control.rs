//! Centre and standard deviation of a process while nothing drifts.
//!
//! In: charted values in run order, and what the campaign file states. Out: [`InControl`].
//! This module never looks for a drift.

use crate::campaign::Drift;
use crate::caveat::NoLimits;
use crate::distributions::mean;

/// A scatter below this share of the values is rounding: they are all the same.
const ROUNDING: f64 = 1e-12;

/// Mean range of two neighbours in standard deviations, `d2` for two: `2/√π`.
///
/// # Source
/// ISO 7870-2:2013, table 2; ASTM E2587, table 1. Checked in `tests/it/reference/control_charts.rs`.
pub fn range_of_two() -> f64 {
    2.0 / std::f64::consts::PI.sqrt()
}

/// Standard deviation of the range of two neighbours in standard deviations, `d3` for two: `√(2 − 4/π)`.
///
/// # Source
/// As for [`range_of_two`].
pub fn spread_of_range_of_two() -> f64 {
    (2.0 - 4.0 / std::f64::consts::PI).sqrt()
}

/// First runs taken to be in control where the campaign file states no number.
pub const USUAL_BASELINE: usize = 30;

/// Fewest runs from which centre and standard deviation are estimated; common practice, no source.
pub const FEWEST_FOR_LIMITS: usize = 4;

/// Where a figure of the process in control comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// The campaign file states it.
    Stated,
    /// Estimated from so many first runs.
    FirstRuns(usize),
}

/// Centre and standard deviation of the process in control, in the unit of what is charted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InControl {
    /// Centre.
    pub centre: f64,
    /// Where the centre comes from.
    pub centre_from: Origin,
    /// Standard deviation of one run.
    pub sd: f64,
    /// Where the standard deviation comes from.
    pub sd_from: Origin,
}

/// Which side of the centre.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Higher values.
    Above,
    /// Lower values.
    Below,
}

/// Centre and standard deviation as stated, or estimated from the first runs.
///
/// Centre: mean of the first runs. Standard deviation: mean of the ranges of neighbours divided by `2/√π`, so that
/// slow changes among them widen it little.
///
/// # Errors
/// The reason, if something must be estimated from fewer than four runs, or if they do not scatter.
/// # Source
/// ISO 7870-2:2013 and NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (individuals and moving range).
pub fn in_control(values: &[f64], known: &Drift) -> Result<InControl, NoLimits> {
    let first = first_runs(values.len(), known);
    if (known.centre.is_none() || known.sd.is_none()) && first < FEWEST_FOR_LIMITS {
        return Err(NoLimits::TooFewValues {
            there: first,
            needed: FEWEST_FOR_LIMITS,
        });
    }
    let baseline = &values[..first];
    let estimated = Origin::FirstRuns(first);
    let (sd, sd_from) = match known.sd {
        Some(sd) => (sd, Origin::Stated),
        None => (mean(&moving_ranges(baseline)) / range_of_two(), estimated),
    };
    let sizes = baseline.iter().map(|value| value.abs());
    let largest = sizes.fold(0.0, f64::max);
    if !(sd.is_finite() && sd > ROUNDING * largest) {
        return Err(NoLimits::NoScatter { first });
    }
    let (centre, centre_from) = match known.centre {
        Some(centre) => (centre, Origin::Stated),
        None => (mean(baseline), estimated),
    };
    Ok(InControl {
        centre,
        centre_from,
        sd,
        sd_from,
    })
}

/// How many first runs are taken to be in control, of so many.
pub(super) fn first_runs(runs: usize, known: &Drift) -> usize {
    let first = known.baseline.map_or(USUAL_BASELINE, |runs| runs as usize);
    first.min(runs)
}

/// Distance of each value from the one before; one fewer than there are values.
pub fn moving_ranges(values: &[f64]) -> Vec<f64> {
    let pairs = values.windows(2);
    pairs.map(|pair| (pair[1] - pair[0]).abs()).collect()
}

#[cfg(test)]
impl InControl {
    /// A process whose centre and standard deviation the campaign file states.
    pub(super) fn stated(centre: f64, sd: f64) -> Self {
        Self {
            centre,
            centre_from: Origin::Stated,
            sd,
            sd_from: Origin::Stated,
        }
    }
}

/// What a campaign that asks for nothing gets.
#[cfg(test)]
pub(super) fn usual() -> Drift {
    Drift {
        response: None,
        centre: None,
        sd: None,
        lambda: 0.3,
        limits: 3.0,
        baseline: None,
        rules: Vec::new(),
        cusum: crate::campaign::CusumPlan {
            reference: 0.5,
            decision: 5.0,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_stated_is_not_estimated() {
        let known = Drift {
            centre: Some(5.0),
            sd: Some(2.0),
            ..usual()
        };
        let found = in_control(&[1.0], &known).expect("nothing must be estimated");
        assert_eq!((found.centre, found.sd), (5.0, 2.0));
        assert_eq!(found.centre_from, Origin::Stated);
    }

    #[test]
    fn three_values_or_equal_ones_give_no_limits() {
        let few = in_control(&[1.0, 2.0, 3.0], &usual());
        let too_few = NoLimits::TooFewValues {
            there: 3,
            needed: FEWEST_FOR_LIMITS,
        };
        assert_eq!(few, Err(too_few));
        let equal = in_control(&[1.0; 6], &usual());
        assert_eq!(equal, Err(NoLimits::NoScatter { first: 6 }));
    }

    #[test]
    fn only_the_first_runs_count() {
        let known = Drift {
            baseline: Some(4),
            ..usual()
        };
        let found = in_control(&[1.0, 3.0, 1.0, 3.0, 90.0], &known).expect("four values scatter");
        assert_eq!(found.centre, 2.0);
        assert_eq!(found.centre_from, Origin::FirstRuns(4));
        assert!((found.sd * range_of_two() - 2.0).abs() < 1e-15);
    }
}
