//! The door to the linear regression library.
//!
//! In: the small triangle of the independent columns and its right-hand side. Out: the coefficients.
//! This module never sees the rows of the runs, and lets no type of the library out.

use linfa::Dataset;
use linfa::traits::Fit;
use linfa_linear::{FittedLinearRegression, LinearRegression};

use crate::error::{Error, ErrorKind};
use crate::regression::algebra::Matrix;

/// The coefficients `β` that minimise `‖R β − b‖`, with `R` the leading upper triangle of the size of `b`.
///
/// The constant is an ordinary column of `R`, so the library fits no intercept of its own.
///
/// # Errors
/// [`ErrorKind::Model`] if the library finds the triangle singular, which its caller has ruled out.
pub(crate) fn coefficients(upper: &Matrix, right: &[f64]) -> Result<Vec<f64>, Error> {
    let size = right.len();
    if size == 0 {
        return Ok(Vec::new());
    }
    let singular = |reason: String| {
        Error::new(
            ErrorKind::Model,
            format!("the normal system of the model could not be solved: {reason}"),
        )
        .hint("ask for fewer joint effects or powers")
    };
    let entries = (0..size * size).map(|at| upper.get(at / size, at % size));
    let params = FittedLinearRegression::<f64>::params;
    let records = array_like(params, entries.collect())
        .into_shape_with_order((size, size))
        .map_err(|error| singular(error.to_string()))?;
    let targets = array_like(params, right.to_vec());
    let fitted = LinearRegression::new()
        .with_intercept(false)
        .fit(&Dataset::new(records, targets))
        .map_err(|error| singular(error.to_string()))?;
    Ok(fitted.params().to_vec())
}

/// The fault of numbers that leave their range.
pub(crate) fn out_of_range() -> Error {
    Error::new(
        ErrorKind::OutOfRange,
        "the numbers of the model are too large or too small to compute with",
    )
    .hint("give the response and the factors in units that make their values neither huge nor tiny")
}

/// An array of the type that `getter` returns, so that the array library of linfa needs no name here.
fn array_like<Model, Array: From<Vec<f64>>>(
    _getter: fn(&Model) -> &Array,
    values: Vec<f64>,
) -> Array {
    Array::from(values)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_triangle_is_solved() {
        // 2a + b = 5, 4b = 8; worked by hand.
        let mut upper = Matrix::zeros(2, 2);
        upper.set(0, 0, 2.0);
        upper.set(0, 1, 1.0);
        upper.set(1, 1, 4.0);
        let found = coefficients(&upper, &[5.0, 8.0]).unwrap();
        assert!((found[0] - 1.5).abs() < 1e-15 && (found[1] - 2.0).abs() < 1e-15);
    }

    #[test]
    fn an_empty_triangle_has_no_coefficients() {
        assert!(coefficients(&Matrix::zeros(0, 0), &[]).unwrap().is_empty());
    }
}
