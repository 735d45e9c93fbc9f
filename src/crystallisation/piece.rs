//! What is the solubility at a temperature while the solid stays the same?
//!
//! In: points of one solid. Out: [`Piece`], which reads the mass fraction at a temperature with its uncertainty.
//! This module never reads outside its points.

use super::interpolation::{Knot, Monotone};
use super::points::TemperatureRange;

/// How near a point that stands alone must be to answer [K]: what a good thermometer resolves.
const SAME_TEMPERATURE: f64 = 0.05;

/// One figure of a table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    /// Temperature [degC].
    pub temperature: f64,
    /// Anhydrous salt in the saturated liquor [mass fraction].
    pub mass_fraction: f64,
    /// Relative standard uncertainty of the mass fraction.
    pub relative_uncertainty: f64,
    /// A change of the solid before the next point, about [degC].
    pub change_after: Option<f64>,
}

/// What was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reading {
    /// Anhydrous salt in the saturated liquor [mass fraction].
    pub mass_fraction: f64,
    /// Relative standard uncertainty: that of the less certain of the points beside it.
    pub relative_uncertainty: f64,
}

/// Points between which the solid stays the same.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    /// Never empty.
    points: Vec<Point>,
    curve: Monotone,
}

impl Piece {
    /// Joins points, of which there is at least one.
    pub fn of(points: &[Point]) -> Self {
        let knot = |point: &Point| Knot {
            at: point.temperature,
            value: point.mass_fraction,
        };
        Self {
            points: points.to_vec(),
            curve: Monotone::through(points.iter().map(knot).collect()),
        }
    }

    /// From the first to the last point.
    pub fn range(&self) -> TemperatureRange {
        range_of(&self.points)
    }

    /// Reads the curve at a temperature [degC]; `None` outside its points.
    pub fn at(&self, temperature: f64) -> Option<Reading> {
        if let [only] = self.points.as_slice() {
            let near = (temperature - only.temperature).abs() <= SAME_TEMPERATURE;
            return near.then_some(Reading {
                mass_fraction: only.mass_fraction,
                relative_uncertainty: only.relative_uncertainty,
            });
        }
        let mass_fraction = self.curve.value_at(temperature)?;
        let before = self
            .points
            .iter()
            .rev()
            .find(|p| p.temperature <= temperature)?;
        let after = self.points.iter().find(|p| p.temperature >= temperature)?;
        Some(Reading {
            mass_fraction,
            relative_uncertainty: before.relative_uncertainty.max(after.relative_uncertainty),
        })
    }
}

/// From the first to the last of some points, of which there is at least one.
pub(super) fn range_of(points: &[Point]) -> TemperatureRange {
    TemperatureRange {
        low: points[0].temperature,
        high: points[points.len() - 1].temperature,
    }
}
