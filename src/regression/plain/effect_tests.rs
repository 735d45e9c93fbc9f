//! The test of each effect against chance.
//!
//! In: the triangle of the design and the residual mean square. Out: [`EffectTest`], one for each effect and joint effect.
//! This module never goes back to the rows of the runs.
//!
//! # Source
//! Searle, Linear Models, 1971, 3.6 (reduction in sum of squares by further terms); each effect is adjusted for all terms that do not contain it.

use crate::distributions::f_upper;
use crate::regression::algebra::{Matrix, dot, pivoted};
use crate::regression::asked::{Design, Effect, JOINED};
use crate::regression::design::{DEPENDENT, scaled_columns};

/// The test of one effect, given all other terms that do not contain it.
///
/// `F = (SS / df) / s²`, with `SS` what the effect adds to the sum of squares that the others explain, and `s²` the
/// residual mean square.
#[derive(Debug, Clone, PartialEq)]
pub struct EffectTest {
    /// Names of the factors, in the order in which they were asked for; one, or those of a joint effect.
    pub factors: Vec<String>,
    /// Terms that it adds independently of the others.
    pub df: usize,
    /// Sum of squares that it explains, in the squared unit of the response; in a measured fit that of the whitened runs times
    /// the residual mean square.
    pub ss: f64,
    /// Ratio of its mean square to that of the residuals, in a measured fit that of Kenward and Roger; None without either.
    pub f: Option<f64>,
    /// Degrees of freedom of its denominator.
    pub denominator_df: Option<f64>,
    /// Chance of a ratio of at least `f` when there is no effect.
    pub p: Option<f64>,
}

impl EffectTest {
    pub(crate) fn of(effect: &Effect, df: usize, ss: f64, tested: Option<FTest>) -> Self {
        Self {
            factors: effect.names.clone(),
            df,
            ss,
            f: tested.map(|test| test.f),
            denominator_df: tested.map(|test| test.denominator_df),
            p: tested.and_then(|test| test.p),
        }
    }

    /// The effect written out for people: the factors of a joint one joined with ` with `.
    pub fn name(&self) -> String {
        self.factors.join(JOINED)
    }

    /// The other factor of a joint effect of two, of which this is one.
    pub fn other_than(&self, factor: &str) -> Option<&str> {
        match self.factors.as_slice() {
            [one, other] | [other, one] if one == factor => Some(other),
            _ => None,
        }
    }
}

/// What the residuals say about chance: their mean square and its degrees of freedom.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Scatter {
    pub mean_square: f64,
    pub degrees_of_freedom: f64,
}

/// An F test.
#[derive(Debug, Clone, Copy)]
pub(crate) struct FTest {
    pub f: f64,
    /// Degrees of freedom of the denominator.
    pub denominator_df: f64,
    /// Chance of a ratio of at least `f` when there is no effect.
    pub p: Option<f64>,
}

impl FTest {
    /// The test of a ratio; None unless that is a finite number.
    pub fn of(f: f64, numerator_df: usize, denominator_df: f64) -> Option<Self> {
        f.is_finite().then(|| Self {
            f,
            denominator_df,
            p: f_upper(f, numerator_df as f64, denominator_df),
        })
    }
}

/// Tests each effect; `scatter` is None when the fit is perfect or has no residual degrees of freedom.
///
/// The triangle holds the columns of the design, `ghosts` columns of block levels, and the response.
/// The block levels count among the other terms, so that an effect gets no credit for what only a block may have done.
pub(crate) fn effect_tests(
    design: &Design,
    triangle: &Matrix,
    ghosts: usize,
    scatter: Option<Scatter>,
) -> Vec<EffectTest> {
    let columns = design.columns.len() + ghosts;
    let (scaled, _) = scaled_columns(triangle, columns);
    let response = triangle.column(columns);
    let tested = |effect| test(effect, design, &scaled, response, scatter);
    design.effects.iter().map(tested).collect()
}

fn test(
    effect: &Effect,
    design: &Design,
    scaled: &[Vec<f64>],
    response: &[f64],
    scatter: Option<Scatter>,
) -> EffectTest {
    let others = others(effect, design, scaled.len());
    let positions = others.iter().chain(&effect.columns);
    let mut work: Vec<Vec<f64>> = positions.map(|&at| scaled[at].clone()).collect();
    work.push(response.to_vec());
    let before = pivoted(&work, others.len(), DEPENDENT);
    let rest: Vec<Vec<f64>> = (0..effect.columns.len() + 1)
        .map(|position| before.carried.column(position)[before.rank..].to_vec())
        .collect();
    let after = pivoted(&rest, effect.columns.len(), DEPENDENT);
    let explained = &after.carried.column(0)[..after.rank];
    let (ss, df) = (dot(explained, explained), after.rank);
    let tested = scatter.filter(|_| df > 0).and_then(|scatter| {
        let f = ss / df as f64 / scatter.mean_square;
        FTest::of(f, df, scatter.degrees_of_freedom)
    });
    EffectTest::of(effect, df, ss, tested)
}

/// The columns that an effect is tested against, out of those of the design and of block levels after them.
///
/// Terms that contain all factors of the effect would change its meaning; they are left out on both sides.
pub(crate) fn others(effect: &Effect, design: &Design, columns: usize) -> Vec<usize> {
    let contains = |position: usize| {
        design.columns.get(position).is_some_and(|column| {
            let has = |factor: &usize| column.pieces.iter().any(|piece| piece.factor() == *factor);
            effect.factors.iter().all(has)
        })
    };
    (0..columns)
        .filter(|&position| !contains(position))
        .collect()
}
