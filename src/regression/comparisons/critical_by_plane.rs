//! The largest of several |t| whose errors lie in one plane, by integration.
//!
//! In: directions in a plane. Out: the chance that any projection of a random point exceeds a value.
//! This module never simulates: the length of the point is integrated in closed form, its direction by Gauss-Legendre panels.

use std::f64::consts::PI;

/// Abscissae above zero and weights of the 10-point Gauss-Legendre rule (Abramowitz and Stegun, table 25.4).
const GAUSS: [(f64, f64); 5] = [
    (0.148_874_338_981_631_2, 0.295_524_224_714_752_9),
    (0.433_395_394_129_247_2, 0.269_266_719_309_996_35),
    (0.679_409_568_299_024_4, 0.219_086_362_515_982_04),
    (0.865_063_366_688_984_5, 0.149_451_349_150_580_6),
    (0.973_906_528_517_171_7, 0.066_671_344_308_688_14),
];

/// Panels of each gap; with ten points in each the integral is good to rounding.
const PANELS: usize = 12;

/// The gaps between neighbouring directions, which take all that matters of them.
#[derive(Debug, Clone)]
pub(crate) struct Plane {
    gaps: Vec<f64>,
}

impl Plane {
    /// Directions and their opposites count the same.
    pub fn of(directions: &[Vec<f64>]) -> Self {
        let mut angles: Vec<f64> = directions
            .iter()
            .map(|direction| direction[1].atan2(direction[0]).rem_euclid(PI))
            .collect();
        angles.sort_by(f64::total_cmp);
        let first = angles.first().copied().unwrap_or(0.0);
        angles.push(first + PI);
        Self {
            gaps: angles.windows(2).map(|pair| pair[1] - pair[0]).collect(),
        }
    }

    /// Chance that the largest `|t|` is at least `t`.
    ///
    /// A point at an angle `x` from the nearest direction exceeds with chance `(1 + t²/(ν cos² x))^(−ν/2)`,
    /// for half its squared length over `s²` follows F with 2 and `ν` degrees of freedom.
    pub fn upper(&self, t: f64, degrees_of_freedom: f64) -> f64 {
        let exceeds = |x: f64| {
            let square = (t / x.cos()).powi(2);
            if degrees_of_freedom.is_infinite() {
                (-square / 2.0).exp()
            } else {
                (-degrees_of_freedom / 2.0 * (square / degrees_of_freedom).ln_1p()).exp()
            }
        };
        let sum: f64 = self
            .gaps
            .iter()
            .map(|gap| 2.0 * integral(gap / 2.0, exceeds))
            .sum();
        (sum / PI).min(1.0)
    }
}

/// The integral from zero to `end`.
fn integral(end: f64, of: impl Fn(f64) -> f64) -> f64 {
    let half = end / (2 * PANELS) as f64;
    let panels = (0..PANELS).map(|panel| (2 * panel + 1) as f64 * half);
    panels
        .map(|middle| {
            let points = GAUSS.iter();
            let sum: f64 = points
                .map(|(x, weight)| weight * (of(middle - half * x) + of(middle + half * x)))
                .sum();
            half * sum
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::regression::algebra::studentised_range::studentised_range_upper;

    #[test]
    fn three_directions_at_sixty_degrees_are_the_studentised_range_of_three() {
        // Three means that are equally well known: max |t| = Q/√2; the range itself is checked against tables.
        let at = |degrees: f64| vec![degrees.to_radians().cos(), degrees.to_radians().sin()];
        let plane = Plane::of(&[at(0.0), at(60.0), at(120.0)]);
        for (t, df) in [
            (0.5, 3.0),
            (2.0, 3.0),
            (2.5, 27.0),
            (6.0, 12.0),
            (3.0, f64::INFINITY),
        ] {
            let expected = studentised_range_upper(t * 2f64.sqrt(), 3, df).unwrap();
            let found = plane.upper(t, df);
            // Both integrals are good to ten digits.
            assert!((found / expected - 1.0).abs() < 1e-9, "{found} {expected}");
        }
    }
}
