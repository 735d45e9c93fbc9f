//! What lies between two points of a table?
//!
//! In: points in order of temperature. Out: [`Monotone`], a smooth curve through all of them.
//! This module never overshoots a point and never answers outside the points.

/// A point to be passed through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Knot {
    /// Where it is.
    pub at: f64,
    /// What the curve is there.
    pub value: f64,
}

/// A piecewise cubic that rises where the points rise, falls where they fall and turns only at points.
///
/// On each step of width `h` it is the cubic with the values and slopes of both ends. The slope at an inner point is
/// the weighted harmonic mean of the slopes `m` of the two steps beside it, with weights `2h₂ + h₁` and `h₂ + 2h₁`,
/// and zero where they differ in sign. Two points are joined by a straight line; one point stands alone.
///
/// # Source
/// Fritsch, F. N. and Carlson, R. E., SIAM J. Numer. Anal. 17 (1980) 238-246 (which slopes keep a cubic monotone);
/// Fritsch, F. N. and Butland, J., SIAM J. Sci. Stat. Comput. 5 (1984) 300-304 (the harmonic mean). Slopes at both
/// ends: the three-point difference, cut back to keep the shape; common practice. Checked against scipy in
/// `tests/it/reference/solubility.rs`.
#[derive(Debug, Clone)]
pub(super) struct Monotone {
    knots: Vec<Knot>,
    slopes: Vec<f64>,
}

impl Monotone {
    /// The curve through points whose places strictly rise.
    pub fn through(knots: Vec<Knot>) -> Self {
        let steps: Vec<Step> = knots
            .windows(2)
            .map(|pair| Step::between(pair[0], pair[1]))
            .collect();
        let slopes = match steps.as_slice() {
            [] => vec![0.0; knots.len()],
            [only] => vec![only.slope; 2],
            [first, second, ..] => {
                let (last, before) = (&steps[steps.len() - 1], &steps[steps.len() - 2]);
                let inner = steps.windows(2).map(|pair| inner_slope(&pair[0], &pair[1]));
                std::iter::once(end_slope(first, second))
                    .chain(inner)
                    .chain(std::iter::once(end_slope(last, before)))
                    .collect()
            }
        };
        Self { knots, slopes }
    }

    /// The curve at a place; `None` outside its points.
    pub fn value_at(&self, at: f64) -> Option<f64> {
        let after = self.knots.partition_point(|knot| knot.at < at);
        let end = self.knots.get(after)?;
        if end.at == at {
            return Some(end.value);
        }
        let before = after.checked_sub(1)?;
        let start = self.knots[before];
        let step = Step::between(start, *end);
        let offset = at - start.at;
        let (left, right) = (self.slopes[before], self.slopes[after]);
        let bend = (left + right - 2.0 * step.slope) / step.width;
        let square = (step.slope - left) / step.width - bend;
        let cubic = bend / step.width;
        Some(start.value + offset * (left + offset * (square + offset * cubic)))
    }
}

struct Step {
    width: f64,
    slope: f64,
}

impl Step {
    fn between(start: Knot, end: Knot) -> Self {
        let width = end.at - start.at;
        Self {
            width,
            slope: (end.value - start.value) / width,
        }
    }
}

fn inner_slope(left: &Step, right: &Step) -> f64 {
    if left.slope * right.slope <= 0.0 {
        return 0.0;
    }
    let (for_left, for_right) = (
        2.0 * right.width + left.width,
        right.width + 2.0 * left.width,
    );
    (for_left + for_right) / (for_left / left.slope + for_right / right.slope)
}

/// Slope at the end of a curve, from the step there and the next one inwards.
fn end_slope(outer: &Step, inner: &Step) -> f64 {
    let three_points = ((2.0 * outer.width + inner.width) * outer.slope
        - outer.width * inner.slope)
        / (outer.width + inner.width);
    let turns = outer.slope * inner.slope <= 0.0;
    if three_points * outer.slope <= 0.0 {
        0.0
    } else if turns && three_points.abs() > 3.0 * outer.slope.abs() {
        3.0 * outer.slope
    } else {
        three_points
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn through(points: &[(f64, f64)]) -> Monotone {
        let knot = |&(at, value): &(f64, f64)| Knot { at, value };
        Monotone::through(points.iter().map(knot).collect())
    }

    #[test]
    fn two_points_are_joined_by_a_straight_line() {
        let line = through(&[(0.0, 1.0), (10.0, 2.0)]);
        // Halves and quarters of 10 and 1 are exact in binary64.
        assert_eq!(line.value_at(2.5), Some(1.25));
    }

    #[test]
    fn points_on_a_line_give_that_line() {
        let line = through(&[(0.0, 1.0), (10.0, 2.0), (30.0, 4.0), (40.0, 5.0)]);
        assert!((line.value_at(21.0).unwrap() - 3.1).abs() < 1e-14);
    }

    #[test]
    fn a_flat_step_stays_flat() {
        let curve = through(&[(0.0, 1.0), (10.0, 2.0), (20.0, 2.0), (30.0, 3.0)]);
        assert_eq!(curve.value_at(13.7), Some(2.0));
    }

    #[test]
    fn one_point_answers_only_where_it_is() {
        let point = through(&[(20.0, 0.2)]);
        assert_eq!(point.value_at(20.0), Some(0.2));
        assert_eq!(point.value_at(20.1), None);
    }

    #[test]
    fn nothing_is_said_outside_the_points_or_of_what_is_no_number() {
        let curve = through(&[(0.0, 1.0), (10.0, 2.0)]);
        for at in [-0.001, 10.001, f64::NAN, f64::INFINITY] {
            assert_eq!(curve.value_at(at), None);
        }
    }
}
