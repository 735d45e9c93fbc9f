//! How measured numbers combine: sums, products and ratios to first order.
//!
//! In: [`Measured`] operands. Out: [`Measured`] results that keep each source apart.
//! This module never drops a source, not even one whose contribution is zero.
//!
//! Source of the formulas: JCGM 100:2008, 5.1.2.

use std::ops::{Add, Div, Mul, Sub};

use super::{Measured, SourceId};

/// `value` with parts `a·left + b·right`.
fn combine(value: f64, left: &Measured, a: f64, right: &Measured, b: f64) -> Measured {
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
    Measured { value, parts }
}

impl Add for &Measured {
    type Output = Measured;
    fn add(self, other: &Measured) -> Measured {
        combine(self.value + other.value, self, 1.0, other, 1.0)
    }
}

impl Sub for &Measured {
    type Output = Measured;
    fn sub(self, other: &Measured) -> Measured {
        combine(self.value - other.value, self, 1.0, other, -1.0)
    }
}

impl Mul for &Measured {
    type Output = Measured;
    fn mul(self, other: &Measured) -> Measured {
        combine(
            self.value * other.value,
            self,
            other.value,
            other,
            self.value,
        )
    }
}

impl Div for &Measured {
    type Output = Measured;
    fn div(self, other: &Measured) -> Measured {
        let ratio = self.value / other.value;
        combine(ratio, self, 1.0 / other.value, other, -ratio / other.value)
    }
}

impl Mul<f64> for Measured {
    type Output = Measured;
    fn mul(self, factor: f64) -> Measured {
        self.mapped(self.value * factor, factor)
    }
}

impl Div<f64> for Measured {
    type Output = Measured;
    fn div(self, divisor: f64) -> Measured {
        self.mapped(self.value / divisor, 1.0 / divisor)
    }
}
