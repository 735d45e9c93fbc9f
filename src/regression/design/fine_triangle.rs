//! A triangle in doubled precision, for terms that changed almost only together.
//!
//! In: the rows of the independent columns, in doubled precision. Out: [`FineTriangle`], their triangle in doubled precision.
//! This module never decides which columns are independent.
//!
//! # Source
//! Björck, Numerical Methods for Least Squares Problems, 1996, 2.4.2 (modified Gram-Schmidt, whose triangle is as good as
//! that of Householder).

use twofloat::TwoFloat;

use crate::regression::algebra::dot_doubled;

/// The triangle of scaled independent columns, by column, in doubled precision.
#[derive(Debug, Clone)]
pub(crate) struct FineTriangle(Vec<Vec<TwoFloat>>);

impl FineTriangle {
    /// The triangle of columns; None if one of them is nothing beside those before it.
    pub fn of(mut columns: Vec<Vec<TwoFloat>>) -> Option<Self> {
        let count = columns.len();
        let mut upper: Vec<Vec<TwoFloat>> = Vec::with_capacity(count);
        upper.resize_with(count, Vec::new);
        for column in 0..count {
            let (before, after) = columns.split_at_mut(column + 1);
            let own = &mut before[column];
            let size = root(dot_doubled(own, own))?;
            own.iter_mut()
                .for_each(|value| *value = divided(*value, size));
            upper[column].push(size);
            for (later, other) in after.iter_mut().enumerate() {
                let share = dot_doubled(own, other);
                for (value, &part) in other.iter_mut().zip(own.iter()) {
                    *value -= share * part;
                }
                upper[column + 1 + later].push(share);
            }
        }
        Some(Self(upper))
    }

    /// The squared size of `R⁻ᵀ f`.
    pub fn variance(&self, right: &[TwoFloat]) -> TwoFloat {
        let mut solution: Vec<TwoFloat> = Vec::with_capacity(right.len());
        for (column, &value) in self.0.iter().zip(right) {
            let (corner, above) = (column[column.len() - 1], &column[..column.len() - 1]);
            let rest = value - dot_doubled(above, &solution);
            solution.push(divided(rest, corner));
        }
        dot_doubled(&solution, &solution)
    }
}

/// A quotient to all digits, by two corrections of a division by the leading part.
fn divided(value: TwoFloat, by: TwoFloat) -> TwoFloat {
    let mut quotient = value / by.hi();
    for _ in 0..2 {
        quotient += (value - quotient * by) / by.hi();
    }
    quotient
}

/// A square root to all digits, by one Newton step from the leading part; None unless it is above zero and finite.
fn root(square: TwoFloat) -> Option<TwoFloat> {
    let first = square.hi().sqrt();
    let usable = first > 0.0 && first.is_finite();
    usable
        .then(|| TwoFloat::from(first) + (square - TwoFloat::new_mul(first, first)) / (2.0 * first))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotients_and_roots_keep_doubled_digits() {
        let (two, three) = (TwoFloat::from(2.0), TwoFloat::from(3.0));
        let third = divided(TwoFloat::from(1.0), three);
        let root = root(two).unwrap();
        // 106 bits are 31 digits.
        assert!((third * three - 1.0).hi().abs() < 1e-30);
        assert!((root * root - two).hi().abs() < 1e-30);
        assert!((divided(root, third) - root * three).hi().abs() < 1e-29);
    }
}
