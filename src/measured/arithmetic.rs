//! How measured numbers combine: sums, products and ratios to first order.
//!
//! In: [`Measured`] operands. Out: [`Measured`] results that keep each source apart.
//! This module never drops a source, not even one whose contribution is zero.
//!
//! Source of the formulas: JCGM 100:2008, 5.1.2.

use std::ops::{Add, Div, Mul, Sub};

use super::{Measured, SourceId};

/// An operation with its derivatives at the best estimates.
struct Operation {
    apply: fn(f64, f64) -> f64,
    by_left: f64,
    by_right: f64,
}

/// The result of an operation: parts by the chain rule, lanes by the operation itself.
fn combine(left: &Measured, right: &Measured, operation: Operation) -> Measured {
    let Operation {
        apply,
        by_left: a,
        by_right: b,
    } = operation;
    let mut parts: Vec<(SourceId, f64)> =
        Vec::with_capacity(left.parts().len() + right.parts().len());
    let (mut l, mut r) = (
        left.parts().iter().peekable(),
        right.parts().iter().peekable(),
    );
    loop {
        match (l.peek(), r.peek()) {
            (Some((ls, lc)), Some((rs, rc))) if ls == rs => {
                parts.push((*ls, a * lc + b * rc));
                l.next();
                r.next();
            }
            (Some((ls, lc)), other) if other.is_none_or(|(rs, _)| ls < rs) => {
                parts.push((*ls, a * lc));
                l.next();
            }
            (_, Some((rs, rc))) => {
                parts.push((*rs, b * rc));
                r.next();
            }
            (_, None) => break,
        }
    }
    Measured {
        value: apply(left.value, right.value),
        parts,
        lanes: lanes(left, right, apply),
    }
}

/// Lane by lane; a number without lanes counts with its value in each.
fn lanes(left: &Measured, right: &Measured, apply: fn(f64, f64) -> f64) -> Vec<f64> {
    match (left.lanes.is_empty(), right.lanes.is_empty()) {
        (true, true) => Vec::new(),
        (false, true) => left.lanes.iter().map(|l| apply(*l, right.value)).collect(),
        (true, false) => right.lanes.iter().map(|r| apply(left.value, *r)).collect(),
        (false, false) => left
            .lanes
            .iter()
            .zip(&right.lanes)
            .map(|(l, r)| apply(*l, *r))
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
        combine(
            self,
            other,
            Operation {
                apply: |l, r| l + r,
                by_left: 1.0,
                by_right: 1.0,
            },
        )
    }
}

impl Sub for &Measured {
    type Output = Measured;
    fn sub(self, other: &Measured) -> Measured {
        combine(
            self,
            other,
            Operation {
                apply: |l, r| l - r,
                by_left: 1.0,
                by_right: -1.0,
            },
        )
    }
}

impl Mul for &Measured {
    type Output = Measured;
    fn mul(self, other: &Measured) -> Measured {
        combine(
            self,
            other,
            Operation {
                apply: |l, r| l * r,
                by_left: other.value,
                by_right: self.value,
            },
        )
    }
}

impl Div for &Measured {
    type Output = Measured;
    fn div(self, other: &Measured) -> Measured {
        combine(
            self,
            other,
            Operation {
                apply: |l, r| l / r,
                by_left: 1.0 / other.value,
                by_right: -self.value / other.value / other.value,
            },
        )
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
