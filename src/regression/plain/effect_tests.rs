//! Does each effect explain more than chance?
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
    /// The effect written out for people: the factors of a joint one joined with ` with `.
    pub fn name(&self) -> String {
        self.factors.join(JOINED)
    }

    /// The other factor of a joint effect of two, of which this is one.
    pub fn other_than(&self, factor: &str) -> Option<&str> {
        match self.factors.as_slice() {
            [one, other] if one == factor => Some(other),
            [other, one] if one == factor => Some(other),
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
    design
        .effects
        .iter()
        .map(|effect| test(effect, design, &scaled, response, scatter))
        .collect()
}

fn test(
    effect: &Effect,
    design: &Design,
    scaled: &[Vec<f64>],
    response: &[f64],
    scatter: Option<Scatter>,
) -> EffectTest {
    let others = others(effect, design, scaled.len());
    let mut work: Vec<Vec<f64>> = others
        .iter()
        .map(|&position| scaled[position].clone())
        .collect();
    work.extend(
        effect
            .columns
            .iter()
            .map(|&position| scaled[position].clone()),
    );
    work.push(response.to_vec());
    let before = pivoted(&work, others.len(), DEPENDENT);
    let rest: Vec<Vec<f64>> = (0..effect.columns.len() + 1)
        .map(|position| before.carried.column(position)[before.rank..].to_vec())
        .collect();
    let after = pivoted(&rest, effect.columns.len(), DEPENDENT);
    let explained = &after.carried.column(0)[..after.rank];
    let ss = dot(explained, explained);
    let df = after.rank;
    let f = scatter
        .filter(|_| df > 0)
        .map(|scatter| ss / df as f64 / scatter.mean_square)
        .filter(|f| f.is_finite());
    let p = f
        .zip(scatter)
        .and_then(|(f, scatter)| f_upper(f, df as f64, scatter.degrees_of_freedom));
    EffectTest {
        factors: effect.names.clone(),
        df,
        ss,
        f,
        denominator_df: f.and(scatter).map(|scatter| scatter.degrees_of_freedom),
        p,
    }
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
