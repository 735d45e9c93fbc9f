//! Sums, products and ratios of measured numbers, to first order.
//!
//! In: [`Measured`] operands. Out: [`Measured`] results that keep each source apart.
//! This module never drops a source, not even one whose contribution is zero.
//!
//! With `f(x, y)` and the contribution `cᵢ` of source `i`: `cᵢ(f) = ∂f/∂x·cᵢ(x) + ∂f/∂y·cᵢ(y)`, derivatives at the best
//! estimates, so that what `x` and `y` share adds up, or cancels, with its sign.
//!
//! # Assumes
//! First order: the function is nearly straight over a few standard uncertainties; [`super::cross_check()`] tells where not.
//! # Source
//! JCGM 100:2008, 5.1.2 and 5.1.3, the contribution of each source kept apart.

use std::cmp::Ordering;
use std::ops::{Add, Div, Mul, Sub};

use super::Measured;

/// The result of an operation, with its derivatives at the best estimates: parts by the chain rule, lanes by the
/// operation itself. A number without lanes counts with its value in each.
fn combine(
    left: &Measured,
    right: &Measured,
    apply: fn(f64, f64) -> f64,
    [by_left, by_right]: [f64; 2],
) -> Measured {
    let (mut ours, mut theirs) = (left.parts.as_slice(), right.parts.as_slice());
    let mut parts = Vec::with_capacity(ours.len().max(theirs.len()));
    // Both are sorted by source; what a source does by way of the left comes first.
    while let ([one, ours_left @ ..], [other, theirs_left @ ..]) = (ours, theirs) {
        let part = match one.0.cmp(&other.0) {
            Ordering::Less => by_left * one.1,
            Ordering::Greater => by_right * other.1,
            Ordering::Equal => by_left * one.1 + by_right * other.1,
        };
        parts.push((one.0.min(other.0), part));
        if one.0 <= other.0 {
            ours = ours_left;
        }
        if other.0 <= one.0 {
            theirs = theirs_left;
        }
    }
    parts.extend(ours.iter().map(|(source, c)| (*source, by_left * c)));
    parts.extend(theirs.iter().map(|(source, c)| (*source, by_right * c)));
    let lane = |of: &Measured, lane: usize| of.lanes.get(lane).copied().unwrap_or(of.value);
    let lanes = left.lanes.len().max(right.lanes.len());
    Measured {
        value: apply(left.value, right.value),
        parts,
        lanes: (0..lanes)
            .map(|at| apply(lane(left, at), lane(right, at)))
            .collect(),
    }
}

/// A number times a factor that is exactly known.
fn scaled(number: &Measured, factor: f64) -> Measured {
    Measured {
        value: number.value * factor,
        parts: number.parts.iter().map(|(s, c)| (*s, c * factor)).collect(),
        lanes: number.lanes.iter().map(|lane| lane * factor).collect(),
    }
}

impl Add for &Measured {
    type Output = Measured;
    fn add(self, other: &Measured) -> Measured {
        combine(self, other, |l, r| l + r, [1.0, 1.0])
    }
}

impl Sub for &Measured {
    type Output = Measured;
    fn sub(self, other: &Measured) -> Measured {
        combine(self, other, |l, r| l - r, [1.0, -1.0])
    }
}

impl Mul for &Measured {
    type Output = Measured;
    fn mul(self, other: &Measured) -> Measured {
        combine(self, other, |l, r| l * r, [other.value, self.value])
    }
}

impl Div for &Measured {
    type Output = Measured;
    fn div(self, other: &Measured) -> Measured {
        let slope = -self.value / other.value / other.value;
        combine(self, other, |l, r| l / r, [1.0 / other.value, slope])
    }
}

impl Mul<f64> for Measured {
    type Output = Measured;
    fn mul(self, factor: f64) -> Measured {
        scaled(&self, factor)
    }
}

impl Div<f64> for Measured {
    type Output = Measured;
    fn div(self, divisor: f64) -> Measured {
        scaled(&self, 1.0 / divisor)
    }
}
