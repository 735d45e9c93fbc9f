//! Equivalence of two settings for all practical purposes, by two one-sided tests.
//!
//! In: a fitted model, two settings and the largest difference that does not matter. Out: [`Equivalence`].
//! This module never chooses the margin.

use crate::distributions::{t_for_confidence, t_two_sided};
use crate::regression::asked::Settings;
use crate::regression::estimable::Refusal;
use crate::regression::estimate::{Estimate, Interval};
use crate::regression::model::FittedModel;

/// How a difference stands to the margin within which it does not matter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EquivalenceVerdict {
    /// The difference is shown to lie within the margin.
    Inside,
    /// The difference is shown to lie beyond the margin.
    Outside,
    /// The runs leave both open.
    NotSettled,
}

/// Two one-sided tests of a difference against a margin.
#[derive(Debug, Clone, PartialEq)]
pub struct Equivalence {
    /// The difference, with its interval at the confidence of the model.
    pub difference: Estimate,
    /// The largest difference that does not matter, in the unit of the response.
    pub margin: f64,
    /// Distance from the lower margin in standard errors; None if it has none.
    pub t_lower: Option<f64>,
    /// Chance of at least this `t_lower` when the true difference is the lower margin.
    pub p_lower: Option<f64>,
    /// Distance from the upper margin in standard errors, negative below it.
    pub t_upper: Option<f64>,
    /// Chance of at most this `t_upper` when the true difference is the upper margin.
    pub p_upper: Option<f64>,
    /// The larger of the two chances: small when the difference lies within the margin.
    pub p: Option<f64>,
    /// The interval that the verdict rests on: each end is exceeded with chance `1 − confidence`.
    pub interval: Option<Interval>,
    /// Whether the difference lies within the margin, beyond it, or either.
    pub verdict: EquivalenceVerdict,
}

/// Asks whether the mean responses at two settings differ by less than a margin.
///
/// `t_lower = (d + m)/s`, `t_upper = (d − m)/s`; within the margin when both tests reject at the level `1 − confidence`,
/// which is the same as the interval at `1 − 2·(1 − confidence)` lying within the margin.
/// # Units and shapes
/// `margin` in the unit of the response; zero or below is never shown.
/// # Errors
/// As for [`FittedModel::difference`]; [`Refusal::NotANumber`] for a margin that is not finite.
/// # Source
/// Schuirmann, J. Pharmacokinetics and Biopharmaceutics 15 (1987), 657-680.
pub fn equivalence(
    model: &FittedModel,
    settings: &Settings,
    against: &Settings,
    margin: f64,
) -> Result<Equivalence, Refusal> {
    if !margin.is_finite() {
        return Err(Refusal::NotANumber("margin".to_string()));
    }
    let difference = model.difference(settings, against)?;
    let level = 1.0 - model.confidence;
    let df = difference.degrees_of_freedom;
    // The single chance is missing where the fit is perfect, so that a ratio would be one of roundings.
    let error = difference.standard_error.filter(|&error| error > 0.0);
    let error = error.filter(|_| difference.p.is_some());
    let t_lower = error.map(|error| (difference.value + margin) / error);
    let t_upper = error.map(|error| (difference.value - margin) / error);
    let p_lower = t_lower.and_then(|t| above(t, df));
    let p_upper = t_upper.and_then(|t| above(-t, df));
    let p = p_lower.zip(p_upper).map(|(lower, upper)| lower.max(upper));
    let reach = (level < 0.5)
        .then(|| t_for_confidence(1.0 - 2.0 * level, df))
        .flatten();
    let interval = error.zip(reach).map(|(error, reach)| Interval {
        low: difference.value - reach * error,
        high: difference.value + reach * error,
    });
    let beyond = interval.is_some_and(|ends| ends.low > margin || ends.high < -margin);
    let verdict = match p {
        Some(p) if p < level && margin > 0.0 => EquivalenceVerdict::Inside,
        Some(_) if beyond => EquivalenceVerdict::Outside,
        _ => EquivalenceVerdict::NotSettled,
    };
    Ok(Equivalence {
        difference,
        margin,
        t_lower,
        p_lower,
        t_upper,
        p_upper,
        p,
        interval,
        verdict,
    })
}

/// Chance of a `t` of at least this, on this side only.
fn above(t: f64, degrees_of_freedom: f64) -> Option<f64> {
    let both = t_two_sided(t, degrees_of_freedom)?;
    Some(if t > 0.0 {
        both / 2.0
    } else {
        1.0 - both / 2.0
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::regression::tests::testing::{cells, choice, model, numbers, runs};

    const YIELDS: &str = include_str!("../../../tests/data/ttest_process_yields.csv");

    /// Relative: figures of 1e-9 by the source; the fit and the beta function keep more.
    const COMPUTED: f64 = 1e-9;

    #[track_caller]
    fn close(found: Option<f64>, expected: f64) {
        let found = found.expect("a number");
        assert!(
            (found / expected - 1.0).abs() < COMPUTED,
            "{found} is not {expected}"
        );
    }

    #[test]
    fn two_process_yields_are_equal_within_four_but_not_within_three() {
        // Data: Box, Hunter and Hunter, Statistics for Experimenters, 1978; figures: statsmodels 0.15.0, ttost_ind, pooled.
        let methods = cells(YIELDS, "method");
        let data = runs(
            numbers(YIELDS, "yield"),
            vec![choice("method", &["A", "B"], &methods)],
        );
        let model = model(&["method"]).fitted(&data);
        let at = |level: &str| Settings::default().level("method", level);
        let within = |margin: f64| equivalence(&model, &at("B"), &at("A"), margin).unwrap();
        let three = within(3.0);
        close(three.p, 0.13202991332917344);
        close(three.t_lower, 2.9159859084256925);
        close(three.p_lower, 0.004610635523540134);
        close(three.t_upper, -1.1528316382148114);
        assert_eq!(three.verdict, EquivalenceVerdict::NotSettled);
        let four = within(4.0);
        close(four.p, 0.04185562015071466);
        close(four.p_lower, 0.0010370705779721285);
        assert_eq!(four.verdict, EquivalenceVerdict::Inside);
        let interval = four.interval.unwrap();
        close(Some(interval.low), -1.2571020377396436);
        close(Some(interval.high), 3.8571020377396366);
        close(within(5.0).p, 0.010944801654817834);
    }

    #[test]
    fn a_difference_beyond_the_margin_is_told_and_no_margin_is_never_shown() {
        let levels = ["a", "a", "a", "b", "b", "b"];
        let data = runs(
            vec![1.0, 1.1, 0.9, 5.0, 5.1, 4.9],
            vec![choice("x", &["a", "b"], &levels)],
        );
        let model = model(&["x"]).fitted(&data);
        let at = |level: &str| Settings::default().level("x", level);
        let verdict = |margin: f64| {
            equivalence(&model, &at("b"), &at("a"), margin)
                .unwrap()
                .verdict
        };
        assert_eq!(verdict(1.0), EquivalenceVerdict::Outside);
        assert_eq!(verdict(0.0), EquivalenceVerdict::Outside);
        assert_eq!(verdict(-10.0), EquivalenceVerdict::Outside);
        assert!(equivalence(&model, &at("b"), &at("a"), f64::NAN).is_err());
    }
}
