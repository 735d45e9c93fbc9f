//! Normality of residuals, by the test of Shapiro and Wilk.
//!
//! In: residuals. Out: [`ShapiroWilk`] and what it says of a fit.
//! This module never transforms a residual.
//!
//! # Source
//! Royston, Remark AS R94: a remark on algorithm AS 181, Applied Statistics 44 (1995), 547-551.

use crate::distributions::{erfc, erfc_inv};
use std::f64::consts::SQRT_2;

use super::{Diagnostic, DiagnosticKind, Reading, WhyNot, has_scatter, is_beyond_chance};
use crate::regression::model::FittedModel;

/// Largest number of values that the approximation was made for (Royston, as above).
pub const MOST_FOR_NORMALITY: usize = 5000;

/// Corrections of the weight of the outermost values and of the next, in powers of `1/√n` (Royston, as above).
const OUTERMOST: [f64; 6] = [0.0, 0.221157, -0.147981, -2.07119, 4.434685, -2.706056];
const SECOND: [f64; 6] = [0.0, 0.042981, -0.293762, -1.752461, 5.682633, -3.582633];

/// With fewer the residuals are mostly determined by one another.
const FEWEST_DEGREES_OF_FREEDOM: f64 = 3.0;

/// How straight the values lie against normal scores, and the chance of lying less straight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShapiroWilk {
    /// `W`, between 0 and 1; 1 is perfectly straight.
    pub w: f64,
    /// Chance of a `W` at most this large when the values are normal.
    pub p: f64,
}

/// The Shapiro-Wilk test of normality.
///
/// `W = (Σ a_i x_(i))² / Σ (x_i − x̄)²` of the sorted values, with weights `a_i` near the expected normal scores of unit length.
/// None below 3 and above [`MOST_FOR_NORMALITY`] values, and when all are equal or one is not finite.
/// # Assumes
/// Independent values. Residuals are slightly dependent, which makes the test of residuals approximate.
/// # Source
/// Royston, Applied Statistics 44 (1995), 547-551 (AS R94).
pub fn shapiro_wilk(values: &[f64]) -> Option<ShapiroWilk> {
    let count = values.len();
    let usable = (3..=MOST_FOR_NORMALITY).contains(&count) && values.iter().all(|v| v.is_finite());
    if !usable {
        return None;
    }
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let mean = sorted.iter().sum::<f64>() / count as f64;
    let squares: f64 = sorted.iter().map(|value| (value - mean).powi(2)).sum();
    if !(squares > 0.0 && squares.is_finite()) {
        return None;
    }
    let spans = sorted.iter().zip(sorted.iter().rev());
    let spans = spans.map(|(low, high)| high - low);
    let straight: f64 = weights(count)
        .iter()
        .zip(spans)
        .map(|(weight, span)| weight * span)
        .sum();
    let w = (straight * straight / squares).min(1.0);
    Some(ShapiroWilk {
        w,
        p: chance(w, count),
    })
}

/// Weights of the spans between the outermost values, then the next, and so on inwards.
fn weights(count: usize) -> Vec<f64> {
    if count == 3 {
        return vec![0.5_f64.sqrt()];
    }
    let n = count as f64;
    // Expected normal scores, largest first.
    let scores: Vec<f64> = (1..=count / 2)
        .map(|rank| SQRT_2 * erfc_inv(2.0 * (rank as f64 - 0.375) / (n + 0.25)))
        .collect();
    let squares = 2.0 * scores.iter().map(|score| score * score).sum::<f64>();
    let size = squares.sqrt();
    let small = 1.0 / n.sqrt();
    let mut outer = vec![scores[0] / size + polynomial(&OUTERMOST, small)];
    if count > 5 {
        outer.push(scores[1] / size + polynomial(&SECOND, small));
    }
    let taken: f64 = scores[..outer.len()]
        .iter()
        .map(|score| score * score)
        .sum();
    let given: f64 = outer.iter().map(|weight| weight * weight).sum();
    let factor = ((squares - 2.0 * taken) / (1.0 - 2.0 * given)).sqrt();
    let inner = scores[outer.len()..].iter().map(|score| score / factor);
    outer.iter().copied().chain(inner).collect()
}

/// Chance of a `W` at most this large: a normal score of `ln(1 − W)`, exact for three values.
fn chance(w: f64, count: usize) -> f64 {
    let n = count as f64;
    if count == 3 {
        let least = 0.75_f64.sqrt().asin();
        return (6.0 / std::f64::consts::PI * (w.sqrt().asin() - least)).clamp(0.0, 1.0);
    }
    let crooked = (1.0 - w).ln();
    if crooked == f64::NEG_INFINITY {
        return 1.0;
    }
    let (score, mean, spread) = if count <= 11 {
        let bound = polynomial(&[-2.273, 0.459], n);
        if crooked >= bound {
            return 0.0;
        }
        (
            -(bound - crooked).ln(),
            polynomial(&[0.5440, -0.39978, 0.025054, -6.714e-4], n),
            polynomial(&[1.3822, -0.77857, 0.062767, -0.0020322], n).exp(),
        )
    } else {
        let log = n.ln();
        (
            crooked,
            polynomial(&[-1.5861, -0.31082, -0.083751, 0.0038915], log),
            polynomial(&[-0.4803, -0.082676, 0.0030302], log).exp(),
        )
    };
    erfc((score - mean) / spread / SQRT_2) / 2.0
}

fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

/// What the residuals of a fit say.
pub(super) fn diagnose(model: &FittedModel) -> Diagnostic {
    let what = DiagnosticKind::Normality;
    if !has_scatter(model) {
        return Diagnostic::not_judged(what, WhyNot::NoScatter);
    }
    if model.residuals.len() > MOST_FOR_NORMALITY {
        return Diagnostic::not_judged(what, WhyNot::TooManyForNormality);
    }
    let enough = model.residual_df as f64 >= FEWEST_DEGREES_OF_FREEDOM;
    let Some(found) = enough.then(|| shapiro_wilk(&model.residuals)).flatten() else {
        return Diagnostic::not_judged(what, WhyNot::TooFewDegreesOfFreedom);
    };
    let reading = if is_beyond_chance(Some(found.p), model) {
        Reading::NotNormal
    } else {
        Reading::LooksNormal
    };
    Diagnostic::new(what, found.w, reading).with_p(Some(found.p))
}
