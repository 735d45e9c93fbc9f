//! How good is a model as a whole?
//!
//! In: what a fit leaves over, and its scatter. Out: shares of sums of squares, the test of all terms, autocorrelation.
//! This module never fits.

use crate::distributions::f_upper;
use crate::error::{Error, ErrorKind};
use crate::regression::algebra::mean;
use crate::regression::measured::Tested;
use crate::regression::plain::{Residuals, Scatter};

/// Figures about the model as a whole.
pub(crate) struct Overall {
    pub model_df: usize,
    pub ss_model: f64,
    pub r_squared: Option<f64>,
    pub adjusted_r_squared: Option<f64>,
    pub leave_one_out_r_squared: Option<f64>,
    pub leave_one_out_sd: Option<f64>,
}

/// The test whether any term besides the constant has an effect.
#[derive(Debug, Clone, Copy)]
pub(crate) struct OfAll {
    pub f: f64,
    pub denominator_df: f64,
    pub p: Option<f64>,
}

impl OfAll {
    /// The ratio of the mean squares of model and residuals.
    pub fn plain(
        residuals: &Residuals,
        rank: usize,
        constant: Option<usize>,
        scatter: Option<Scatter>,
    ) -> Option<Self> {
        let scatter = scatter?;
        let model_df = rank - usize::from(constant.is_some());
        let f = ss_model(residuals) / model_df as f64 / scatter.mean_square;
        (model_df > 0 && f.is_finite()).then(|| Self {
            f,
            denominator_df: scatter.degrees_of_freedom,
            p: f_upper(f, model_df as f64, scatter.degrees_of_freedom),
        })
    }

    /// The same from a test of all terms at once.
    pub fn tested(tested: &Tested) -> Option<Self> {
        tested.test.map(|test| Self {
            f: test.f,
            denominator_df: test.denominator,
            p: tested.p,
        })
    }
}

impl Overall {
    /// Works out all shares.
    ///
    /// # Errors
    /// [`ErrorKind::OutOfRange`] if a sum of squares is not a finite number.
    pub fn of(
        residuals: &Residuals,
        rank: usize,
        constant: Option<usize>,
        mean_square: Option<f64>,
    ) -> Result<Self, Error> {
        let runs = residuals.residuals.len() as f64;
        let constant = usize::from(constant.is_some());
        let (total, left) = (residuals.total_squares, residuals.residual_squares);
        let figures = [total, left, residuals.left_out_squares.unwrap_or(0.0)];
        if figures.iter().any(|figure| !figure.is_finite()) {
            return Err(out_of_range());
        }
        let share = |lost: f64| {
            (total > 0.0)
                .then(|| 1.0 - lost / total)
                .filter(|share| share.is_finite())
        };
        let total_df = runs - constant as f64;
        Ok(Self {
            model_df: rank - constant,
            ss_model: ss_model(residuals),
            r_squared: share(left),
            adjusted_r_squared: mean_square.and_then(|square| share(square * total_df)),
            leave_one_out_r_squared: residuals.left_out_squares.and_then(share),
            leave_one_out_sd: residuals
                .left_out_squares
                .map(|squares| (squares / runs).sqrt()),
        })
    }
}

fn ss_model(residuals: &Residuals) -> f64 {
    (residuals.total_squares - residuals.residual_squares).max(0.0)
}

/// Autocorrelation of residuals with those of the next run.
///
/// `r₁ = Σ (eᵢ − ē)(eᵢ₊₁ − ē) / Σ (eᵢ − ē)²`
/// # Source
/// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.12.
pub(crate) fn lag1(residuals: &[f64]) -> Option<f64> {
    let centre = mean(residuals);
    let products: f64 = residuals
        .windows(2)
        .map(|pair| (pair[0] - centre) * (pair[1] - centre))
        .sum();
    let squares: f64 = residuals
        .iter()
        .map(|residual| (residual - centre).powi(2))
        .sum();
    let usable = residuals.len() > 2 && squares > 0.0;
    usable
        .then(|| products / squares)
        .filter(|ratio| ratio.is_finite())
}

pub(crate) fn out_of_range() -> Error {
    Error::new(
        ErrorKind::OutOfRange,
        "the numbers of the model are too large or too small to compute with",
    )
    .hint("give the response and the factors in units that make their values neither huge nor tiny")
}
