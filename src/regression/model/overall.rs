//! Figures about the model as a whole.
//!
//! In: what a fit leaves over, and its scatter. Out: shares of sums of squares, the test of all terms, autocorrelation.
//! This module never fits.

use crate::distributions::mean;
use crate::regression::plain::{FTest, Residuals, Scatter};

/// The test of a plain fit whether any term besides the constant has an effect: mean square of the model by that of the residuals.
pub(crate) fn test_of_all(
    residuals: &Residuals,
    model_df: usize,
    scatter: Option<Scatter>,
) -> Option<FTest> {
    let scatter = scatter.filter(|_| model_df > 0)?;
    let f = squares_of_model(residuals) / model_df as f64 / scatter.mean_square;
    FTest::of(f, model_df, scatter.degrees_of_freedom)
}

/// The sum of squares that the model explains.
pub(crate) fn squares_of_model(residuals: &Residuals) -> f64 {
    (residuals.total_squares - residuals.residual_squares).max(0.0)
}

/// The share of a sum of squares that is explained where `lost` of it is not; None of nothing.
pub(crate) fn share_explained(total: f64, lost: f64) -> Option<f64> {
    let share = (total > 0.0).then(|| 1.0 - lost / total);
    share.filter(|share| share.is_finite())
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
