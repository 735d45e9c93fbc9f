//! The stationary point of a curved response surface.
//!
//! In: a fitted model, and where everything else stands. Out: [`Stationary`], or [`NoStationary`], the reason why not.
//! This module never says that a place is good, and never moves it into a region.

use std::fmt;

use super::combination::Mix;
use super::estimates::Machinery;
use super::fitted::FittedModel;
use crate::regression::algebra::{Direction, directions};
use crate::regression::asked::{Piece, Settings, TermName};
use crate::regression::estimable::Refusal;
use crate::regression::estimate::Estimate;

/// A bend smaller than this share of the largest, over the range of the runs, is a ridge; common practice, no source.
const RIDGE: f64 = 0.05;
/// A bend smaller than this share of the largest is rounding, and the place along it cannot be told.
const FLAT: f64 = 1e-9;

/// The sort of a stationary point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StationaryKind {
    /// The response falls in every direction.
    Maximum,
    /// The response rises in every direction.
    Minimum,
    /// It rises in some directions and falls in others.
    Saddle,
    /// In one direction it hardly changes over the range of the runs.
    Ridge,
}

impl fmt::Display for StationaryKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            StationaryKind::Maximum => "maximum",
            StationaryKind::Minimum => "minimum",
            StationaryKind::Saddle => "saddle",
            StationaryKind::Ridge => "ridge",
        })
    }
}

/// Where a surface of second order stands still.
#[derive(Debug, Clone, PartialEq)]
pub struct Stationary {
    /// The amounts that the surface is curved in, in natural units, with what was given for everything else.
    pub at: Settings,
    /// Names of these amounts.
    pub amounts: Vec<String>,
    /// Mean response there, in its unit.
    pub value: Estimate,
    /// What sort of point it is.
    pub kind: StationaryKind,
    /// Bends along the main directions, the smallest first: half the second derivative in natural units, in the unit of
    /// the fit per squared unit of the amounts.
    pub eigenvalues: Vec<f64>,
    /// Whether each of the amounts lies within the range of the runs.
    pub within_runs: bool,
}

/// Why there is no stationary point.
#[derive(Debug, Clone, PartialEq)]
pub enum NoStationary {
    /// No amount has a second power or stands in a product with another amount.
    NotCurved,
    /// The surface is of higher order than the second in this term.
    HigherOrder(TermName),
    /// In some direction the surface does not bend, so that it stands still nowhere or along a line.
    NoBend,
    /// What is needed cannot be told from the runs.
    Refused(Refusal),
}

impl From<Refusal> for NoStationary {
    fn from(refusal: Refusal) -> Self {
        NoStationary::Refused(refusal)
    }
}

impl FittedModel {
    /// Where the response stands still in all amounts that the model is curved in, everything else as given.
    ///
    /// `∇y = 0` of `y = b₀ + bᵀx + xᵀBx`, so `x = −½ B⁻¹ b`; eigenvalues of `B` tell top, bottom and saddle. On the logit
    /// scale `b` and `B` are those of the fit, and the point is the same.
    ///
    /// # Assumes
    /// Amounts with a second power or in a product with another amount count; others stay at what is given, or at the
    /// reference mix.
    /// # Errors
    /// [`NoStationary`] where the surface has none, or the runs cannot tell.
    /// # Source
    /// Myers and Montgomery, Response Surface Methodology, 2nd ed. 2002, 6.3 (location and nature of the stationary
    /// point). Checked in `tests/it/reference/response_surfaces.rs`.
    pub fn stationary_point(&self, others: &Settings) -> Result<Stationary, NoStationary> {
        let machinery = &self.machinery;
        let mix = machinery.mix(others)?;
        let amounts = machinery.curved_amounts();
        if amounts.is_empty() {
            return Err(NoStationary::NotCurved);
        }
        let slope = |&factor: &usize| machinery.derivative(&mix, &amounts, &[factor]);
        let slopes = amounts.iter().map(slope).collect::<Result<Vec<_>, _>>()?;
        let bends = machinery.bends(&mix, &amounts)?;
        let found = directions(&bends);
        let largest = found.iter().map(|d| d.value.abs()).fold(0.0, f64::max);
        if found.iter().any(|d| d.value.abs() <= FLAT * largest) {
            return Err(NoStationary::NoBend);
        }
        let coded = still(&found, &slopes);
        let mut at = others.clone();
        let mut names = Vec::new();
        let mut within_runs = true;
        for (&position, &place) in amounts.iter().zip(&coded) {
            let value = machinery.coding.natural_amount(position, place);
            let factor = &machinery.data.factors[position];
            let runs = factor.distinct_amounts();
            let ends = runs.first().zip(runs.last());
            within_runs &= ends.is_some_and(|(low, high)| *low <= value && value <= *high);
            at = at.amount(&factor.name, value);
            names.push(factor.name.clone());
        }
        let natural = machinery.natural_bends(&bends, &amounts);
        Ok(Stationary {
            value: self.estimate(&at)?,
            at,
            amounts: names,
            kind: kind(&found),
            eigenvalues: directions(&natural).iter().map(|d| d.value).collect(),
            within_runs,
        })
    }
}

/// `x = −½ B⁻¹ b` along the main directions of `B`.
fn still(directions: &[Direction], slopes: &[f64]) -> Vec<f64> {
    let mut place = vec![0.0; slopes.len()];
    for direction in directions {
        let along: f64 = direction.along.iter().zip(slopes).map(|(d, b)| d * b).sum();
        for (value, part) in place.iter_mut().zip(&direction.along) {
            *value -= part * along / (2.0 * direction.value);
        }
    }
    place
}

fn kind(directions: &[Direction]) -> StationaryKind {
    let sizes = directions.iter().map(|direction| direction.value.abs());
    let largest = sizes.clone().fold(0.0, f64::max);
    if sizes.fold(f64::INFINITY, f64::min) < RIDGE * largest {
        StationaryKind::Ridge
    } else if directions.iter().all(|direction| direction.value < 0.0) {
        StationaryKind::Maximum
    } else if directions.iter().all(|direction| direction.value > 0.0) {
        StationaryKind::Minimum
    } else {
        StationaryKind::Saddle
    }
}

impl Machinery {
    /// The amounts with a second power or in a product with another amount, in the order of the data.
    fn curved_amounts(&self) -> Vec<usize> {
        let mut found: Vec<usize> = Vec::new();
        for column in &self.design.columns {
            let powers = column.pieces.iter().filter_map(|piece| match piece {
                Piece::Power { factor, power } => Some((*factor, *power)),
                Piece::Level { .. } => None,
            });
            if powers.clone().map(|(_, power)| power).sum::<u32>() > 1 {
                found.extend(powers.map(|(factor, _)| factor));
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    }

    /// `B` of the coded amounts, row by row.
    fn bends(&self, mix: &Mix, amounts: &[usize]) -> Result<Vec<Vec<f64>>, NoStationary> {
        let row = |one: usize| {
            let entry = |&other: &usize| {
                let whole = self.derivative(mix, amounts, &[one, other])?;
                // The product of two amounts stands in two entries of `B`, a square in one.
                Ok(if one == other { whole } else { whole / 2.0 })
            };
            amounts.iter().map(entry).collect::<Result<Vec<_>, _>>()
        };
        amounts.iter().map(|&one| row(one)).collect()
    }

    /// The coefficient of a product of coded amounts, all else as in the mix.
    fn derivative(
        &self,
        mix: &Mix,
        amounts: &[usize],
        product: &[usize],
    ) -> Result<f64, NoStationary> {
        let mut wanted = product.to_vec();
        wanted.sort_unstable();
        let mut combination = vec![0.0; self.design.columns.len()];
        for (place, column) in combination.iter_mut().zip(&self.design.columns) {
            let mut of_column = Vec::new();
            let mut rest = 1.0;
            for piece in &column.pieces {
                match *piece {
                    Piece::Power { factor, power } if amounts.contains(&factor) => {
                        of_column.extend(std::iter::repeat_n(factor, power as usize));
                    }
                    Piece::Power { factor, power } => {
                        let coded = self.coding.coded(factor, mix.amounts[factor]);
                        rest *= coded.powi(power as i32);
                    }
                    Piece::Level { factor, level } => rest *= mix.weights[factor][level],
                }
            }
            if of_column.len() > 2 && rest != 0.0 {
                return Err(NoStationary::HigherOrder(column.name.clone()));
            }
            of_column.sort_unstable();
            if of_column == wanted {
                *place = rest;
            }
        }
        if combination.iter().all(|part| *part == 0.0) {
            return Ok(0.0);
        }
        Ok(self.value(&combination)?)
    }

    fn natural_bends(&self, coded: &[Vec<f64>], amounts: &[usize]) -> Vec<Vec<f64>> {
        let unit = |factor: usize| {
            self.coding.natural_amount(factor, 1.0) - self.coding.natural_amount(factor, 0.0)
        };
        let of_row = |(row, &one): (&Vec<f64>, &usize)| {
            let entries = row.iter().zip(amounts);
            entries
                .map(|(bend, &other)| bend / (unit(one) * unit(other)))
                .collect()
        };
        coded.iter().zip(amounts).map(of_row).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::regression::TermPiece;
    use crate::regression::tests::testing::{amount, choice, model, runs};

    /// Rounding of a solution of a small system.
    const ROUNDING: f64 = 1e-9;

    fn grid(surface: impl Fn(f64, f64) -> f64) -> crate::regression::FitData {
        let places: Vec<[f64; 2]> = (0..25)
            .map(|run| [f64::from(run % 5) * 10.0, f64::from(run / 5) - 2.0])
            .collect();
        // A pattern that no term of second order can follow keeps the fit from being perfect.
        let rest = |run: usize| if run.is_multiple_of(2) { 0.01 } else { -0.01 };
        let response = places.iter().enumerate();
        runs(
            response
                .map(|(run, at)| surface(at[0], at[1]) + rest(run))
                .collect(),
            vec![
                amount("a", places.iter().map(|at| at[0]).collect()),
                amount("b", places.iter().map(|at| at[1]).collect()),
            ],
        )
    }

    fn second_order() -> crate::regression::ModelParams {
        model(&["a", "b"])
            .with_curve("a", 2)
            .with_curve("b", 2)
            .with_joint(&["a", "b"])
    }

    #[test]
    fn a_known_top_is_found_in_natural_units() {
        let data = grid(|a, b| 80.0 - (a - 23.0).powi(2) / 100.0 - 2.0 * (b - 0.5).powi(2));
        let found = second_order()
            .fitted(&data)
            .stationary_point(&Settings::default())
            .expect("a top");
        assert_eq!(found.kind, StationaryKind::Maximum);
        assert!(found.within_runs);
        // The pattern of the rest is symmetric, so that it moves neither slopes nor products but the squares a little.
        assert!((found.eigenvalues[0] + 2.0).abs() < 0.01);
        assert!((found.eigenvalues[1] + 0.01).abs() < 1e-4);
    }

    #[test]
    fn a_saddle_is_no_top() {
        let data = grid(|a, b| (a - 20.0).powi(2) / 200.0 - b * b);
        let found = second_order()
            .fitted(&data)
            .stationary_point(&Settings::default())
            .expect("a saddle");
        assert_eq!(found.kind, StationaryKind::Saddle);
    }

    #[test]
    fn a_plane_stands_still_nowhere() {
        let data = grid(|a, b| a + b);
        let plane = model(&["a", "b"]).fitted(&data);
        let found = plane.stationary_point(&Settings::default());
        assert_eq!(found.unwrap_err(), NoStationary::NotCurved);
    }

    #[test]
    fn a_cubic_is_of_higher_order() {
        let data = grid(|a, b| a.powi(3) / 1000.0 + b);
        let cubic = model(&["a", "b"]).with_curve("a", 3).fitted(&data);
        let found = cubic.stationary_point(&Settings::default());
        assert_eq!(
            found.unwrap_err(),
            NoStationary::HigherOrder(TermName::of(TermPiece::Power {
                factor: "a".into(),
                power: 3,
            }))
        );
    }

    #[test]
    fn an_amount_that_is_not_curved_stays_where_it_is() {
        let levels: Vec<&str> = (0..12).map(|run| ["x", "y"][run % 2]).collect();
        let a: Vec<f64> = (0..12).map(|run| f64::from(run / 2)).collect();
        let b: Vec<f64> = (0..12).map(|run| f64::from((run * 5) % 7)).collect();
        let response = (0..12).map(|run| {
            let top = if levels[run] == "x" { 2.0 } else { 3.0 };
            let rest = [0.01, -0.02, 0.015][run % 3];
            50.0 - (a[run] - top).powi(2) + b[run] + rest
        });
        let data = runs(
            response.collect(),
            vec![
                amount("a", a.clone()),
                amount("b", b.clone()),
                choice("c", &["x", "y"], &levels),
            ],
        );
        let fitted = model(&["a", "b", "c"])
            .with_curve("a", 2)
            .with_joint(&["c", "a"])
            .fitted(&data);
        for (level, top) in [("x", 2.0), ("y", 3.0)] {
            let others = Settings::default().level("c", level).amount("b", 1.0);
            let found = fitted.stationary_point(&others).expect("a top");
            let Some(crate::regression::Setting::Amount(at)) = found.at.get("a") else {
                panic!("the amount has a value");
            };
            // The scatter of 0.02 moves the top of a parabola of bend 1 by about as much.
            assert!((at - top).abs() < 0.05, "{at}");
            assert_eq!(found.amounts, ["a"]);
            // Where it stands still, small steps change nothing of first order.
            let step = 1e-4;
            let beside = |by: f64| {
                let place = found.at.clone().amount("a", at + by);
                fitted.estimate(&place).expect("a mean").value
            };
            assert!((beside(step) - beside(-step)).abs() < ROUNDING);
        }
    }
}
