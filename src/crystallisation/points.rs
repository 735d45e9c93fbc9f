//! What is the solubility at a temperature, given points?
//!
//! In: points and the changes of the solid between them. Out: [`Points`], which reads the mass fraction at a
//! temperature with its uncertainty, [`TemperatureRange`] and [`SolidChange`].
//! This module never reads across a change of the solid and never outside the points.

use super::piece::{Piece, Point, Reading, range_of};
use super::reason::OutOfTable;

/// Temperatures between which a solubility is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TemperatureRange {
    /// The lowest [degC].
    pub low: f64,
    /// The highest [degC].
    pub high: f64,
}

/// A change of the solid that lies under the liquor, such as one hydrate to another.
///
/// The solubility figures on both sides stay right; what crystallises is another hydrate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolidChange {
    /// Where it is, about [degC].
    pub near: f64,
    /// The points before and after it, between which nothing is read.
    pub between: TemperatureRange,
}

/// Points in order of temperature, joined where the solid stays the same.
#[derive(Debug, Clone)]
pub(super) struct Points {
    /// Never empty, in order of temperature.
    pieces: Vec<Piece>,
    changes: Vec<SolidChange>,
}

impl Points {
    /// Joins points whose temperatures strictly rise; `None` without any.
    pub fn join(points: &[Point]) -> Option<Self> {
        points.first()?;
        let changes = points
            .windows(2)
            .filter_map(|pair| {
                Some(SolidChange {
                    near: pair[0].change_after?,
                    between: range_of(pair),
                })
            })
            .collect();
        let pieces = points
            .split_inclusive(|point| point.change_after.is_some())
            .map(Piece::of)
            .collect();
        Some(Self { pieces, changes })
    }

    /// From the first to the last point.
    pub fn range(&self) -> TemperatureRange {
        TemperatureRange {
            low: self.pieces[0].range().low,
            high: self.pieces[self.pieces.len() - 1].range().high,
        }
    }

    /// Where the solid changes, in order of temperature.
    pub fn changes(&self) -> &[SolidChange] {
        &self.changes
    }

    /// Reads the curve at a temperature [degC].
    pub fn at(&self, temperature: f64) -> Result<Reading, OutOfTable> {
        self.pieces
            .iter()
            .find_map(|piece| piece.at(temperature))
            .ok_or_else(|| self.refuse(temperature))
    }

    fn refuse(&self, temperature: f64) -> OutOfTable {
        let TemperatureRange { low, high } = self.range();
        let change = self
            .changes
            .iter()
            .find(|change| change.between.low < temperature && temperature < change.between.high);
        match change {
            _ if !temperature.is_finite() => OutOfTable::NotANumber,
            Some(change) => OutOfTable::SolidChanges {
                temperature,
                near: change.near,
                low: change.between.low,
                high: change.between.high,
            },
            None if low == high => OutOfTable::OnlyAt {
                temperature,
                at: low,
            },
            None => OutOfTable::Outside {
                temperature,
                low,
                high,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Temperature, mass fraction, relative uncertainty, change.
    fn join(rows: &[(f64, f64, f64, Option<f64>)]) -> Points {
        let point = |&(temperature, mass_fraction, relative_uncertainty, change_after): &_| Point {
            temperature,
            mass_fraction,
            relative_uncertainty,
            change_after,
        };
        Points::join(&rows.iter().map(point).collect::<Vec<Point>>()).unwrap()
    }

    #[test]
    fn a_single_point_answers_within_a_twentieth_of_a_degree() {
        let points = join(&[(20.0, 0.2, 0.02, None)]);
        for near in [19.96, 20.0, 20.04] {
            assert_eq!(points.at(near).unwrap().mass_fraction, 0.2);
        }
        let (temperature, at) = (20.06, 20.0);
        assert_eq!(
            points.at(temperature),
            Err(OutOfTable::OnlyAt { temperature, at })
        );
    }

    #[test]
    fn nothing_is_read_across_a_change_of_the_solid() {
        let points = join(&[
            (20.0, 0.16, 0.02, None),
            (30.0, 0.29, 0.02, Some(32.0)),
            (40.0, 0.32, 0.02, Some(44.0)),
            (50.0, 0.31, 0.02, None),
        ]);
        assert!(matches!(
            points.at(35.0),
            Err(OutOfTable::SolidChanges {
                near: 32.0,
                low: 30.0,
                high: 40.0,
                ..
            })
        ));
        assert!(points.at(29.9).is_ok());
        assert_eq!(points.at(40.04).unwrap().mass_fraction, 0.32);
        assert!(points.at(40.06).is_err());
        assert_eq!(points.changes().len(), 2);
    }

    #[test]
    fn the_less_certain_of_both_neighbours_counts() {
        let points = join(&[
            (0.0, 0.1, 0.06, None),
            (10.0, 0.2, 0.02, None),
            (20.0, 0.3, 0.03, None),
        ]);
        let at = |temperature| points.at(temperature).unwrap().relative_uncertainty;
        assert_eq!(
            [at(0.0), at(4.0), at(10.0), at(11.0)],
            [0.06, 0.06, 0.02, 0.03]
        );
    }

    #[test]
    fn what_is_no_number_is_no_temperature() {
        let points = join(&[(0.0, 0.1, 0.02, None), (10.0, 0.2, 0.02, None)]);
        assert_eq!(points.at(f64::NAN), Err(OutOfTable::NotANumber));
        assert_eq!(points.at(f64::INFINITY), Err(OutOfTable::NotANumber));
    }
}
