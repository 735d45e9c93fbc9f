//! The test of each effect where the errors of the measurement are known.
//!
//! In: the coded columns and coefficients on the scale on which the coefficients are independent. Out: [`EffectTest`]s.
//! This module never goes back to the rows of the runs.
//!
//! An effect is tested by the directions that its columns add to those of the others, which are combinations of the
//! coefficients of the full model; so its denominator is that of the full model.

use super::small_sample::{SmallSample, Tested};
use crate::regression::algebra::{dot, length, subtract, unit};
use crate::regression::asked::Design;
use crate::regression::design::{Basis, DEPENDENT};
use crate::regression::estimable::Ghost;
use crate::regression::plain::{EffectTest, others};

/// What is left of a column after one pass is as good as after two where it is at least this share of what there was: Daniel, Gragg,
/// Kaufman and Stewart, Mathematics of Computation 30 (1976) 772-795, take the root of a half.
const MOST_LEFT: f64 = 0.71;

/// Coded columns, those of block levels after them, with coefficients and their errors.
pub(crate) struct Columns<'a> {
    coordinates: Vec<Vec<f64>>,
    coefficients: &'a [f64],
    errors: &'a SmallSample,
    tolerance: f64,
}

impl<'a> Columns<'a> {
    /// The coordinates of the columns of a design, then of block levels that hide behind terms.
    pub fn new(
        basis: &Basis,
        columns: usize,
        ghosts: &[Ghost],
        errors: &'a SmallSample,
        coefficients: &'a [f64],
    ) -> Self {
        let own = |column: usize| errors.coordinates(&unit(columns, column));
        let mut coordinates: Vec<Vec<f64>> = (0..columns).map(own).collect();
        for null in &basis.null {
            // The one dependent column of a null vector is what the others in it make up.
            let dependent = (0..columns)
                .find(|&column| null[column] != 0.0 && !basis.independent.contains(&column));
            if let Some(dependent) = dependent {
                let shares: Vec<f64> = null.iter().map(|part| -part / null[dependent]).collect();
                coordinates[dependent] = errors.coordinates(&shares);
            }
        }
        coordinates.extend(ghosts.iter().map(|ghost| errors.coordinates(&ghost.coded)));
        Self {
            coordinates,
            coefficients,
            errors,
            // Dependent columns carry the rounding of the triangle, multiplied by its condition.
            tolerance: DEPENDENT.max(16.0 * f64::EPSILON * basis.condition),
        }
    }

    /// Tests each effect; a sum of squares is that of whitened runs times the residual mean square.
    pub fn effect_tests(&self, design: &Design, mean_square: f64) -> Vec<EffectTest> {
        let one = |effect| {
            let others = others(effect, design, self.coordinates.len());
            let found = self.test(&others, &effect.columns);
            EffectTest::of(effect, found.df, found.squares * mean_square, found.test)
        };
        design.effects.iter().map(one).collect()
    }

    /// Tests what some columns add to others.
    pub fn test(&self, others: &[usize], own: &[usize]) -> Tested {
        let mut directions: Vec<Vec<f64>> = Vec::new();
        for &column in others {
            self.add(column, &mut directions);
        }
        let before = directions.len();
        for &column in own {
            self.add(column, &mut directions);
        }
        let added = directions.split_off(before);
        self.errors.test(&added, self.coefficients)
    }

    /// Adds the direction of what a column has beside others, if there is any.
    fn add(&self, column: usize, directions: &mut Vec<Vec<f64>>) {
        let mut rest = self.coordinates[column].clone();
        let size = length(&rest);
        if size == 0.0 {
            return;
        }
        // Twice is enough: what the first pass leaves as rounding, the second takes off; where most is left, it is nothing.
        let mut left = size;
        for _ in 0..2 {
            let before = left;
            for direction in directions.iter() {
                let share = dot(direction, &rest);
                subtract(&mut rest, share, direction);
            }
            left = length(&rest);
            if left > MOST_LEFT * before {
                break;
            }
        }
        if left > self.tolerance * size {
            rest.iter_mut().for_each(|value| *value /= left);
            directions.push(rest);
        }
    }
}
