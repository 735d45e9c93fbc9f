//! Solubility read between the points of a table.
//!
//! In: points in order of temperature, with the changes of the solid between them. Out: [`Points`], which reads the mass
//! fraction at a temperature with its uncertainty.
//! This module never overshoots a point, and never reads across a change of the solid or outside the points.

use super::reason::OutOfTable;

/// How near a point that stands alone must be to answer \[K\]: what a good thermometer resolves.
const SAME_TEMPERATURE: f64 = 0.05;

/// One figure of a table, or what is read between two of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    /// Temperature \[degC\].
    pub temperature: f64,
    /// Anhydrous salt in the saturated liquor [mass fraction].
    pub mass_fraction: f64,
    /// Relative standard uncertainty of the mass fraction; between two points that of the less certain one.
    pub relative_uncertainty: f64,
    /// A change of the solid before the next point, about \[degC\].
    pub change_after: Option<f64>,
}

/// Points in order of temperature, joined where the solid stays the same; never empty.
///
/// The curve through a piece is a cubic on each step that rises where the points rise, falls where they fall and turns
/// only at points. On a step of width `h` it is the cubic with the values and slopes of both ends. The slope at an inner
/// point is the weighted harmonic mean of the slopes `m` of the two steps beside it, with weights `2h₂ + h₁` and
/// `h₂ + 2h₁`, and zero where they differ in sign. Two points are joined by a straight line; one point stands alone.
///
/// # Source
/// Fritsch, F. N. and Carlson, R. E., SIAM J. Numer. Anal. 17 (1980) 238-246 (which slopes keep a cubic monotone);
/// Fritsch, F. N. and Butland, J., SIAM J. Sci. Stat. Comput. 5 (1984) 300-304 (the harmonic mean). Slopes at both
/// ends: the three-point difference, cut back to keep the shape; common practice. Checked against scipy in
/// `tests/it/reference/solubility.rs`.
#[derive(Debug, Clone)]
pub(super) struct Points(Vec<Point>);

impl Points {
    /// Joins points whose temperatures strictly rise; `None` without any.
    pub fn join(points: Vec<Point>) -> Option<Self> {
        (!points.is_empty()).then_some(Self(points))
    }

    /// Reads the curve at a temperature \[degC\].
    ///
    /// # Errors
    /// [`OutOfTable`] outside the points and between two points with a change of the solid between them.
    pub fn at(&self, temperature: f64) -> Result<Point, OutOfTable> {
        self.0
            .split_inclusive(|point| point.change_after.is_some())
            .find_map(|piece| read(piece, temperature))
            .ok_or_else(|| self.refuse(temperature))
    }

    /// Why the curve has no figure there: no number, a gap where the solid changes, one point alone, or beyond its ends.
    fn refuse(&self, temperature: f64) -> OutOfTable {
        let (low, high) = (self.0[0].temperature, self.0[self.0.len() - 1].temperature);
        let change = self.0.windows(2).find_map(|pair| {
            let (low, high) = (pair[0].temperature, pair[1].temperature);
            let near = pair[0].change_after?;
            (low < temperature && temperature < high).then_some(OutOfTable::SolidChanges {
                temperature,
                near,
                low,
                high,
            })
        });
        match change {
            _ if !temperature.is_finite() => OutOfTable::NotANumber,
            Some(change) => change,
            None if low == high => OutOfTable::OnlyAt {
                temperature,
                at: low,
            },
            None => OutOfTable::Outside {
                temperature,
                low,
                high,
            },
        }
    }
}

/// Reads a piece within which the solid stays the same at a temperature \[degC\]; `None` outside its points.
///
/// `w = w₀ + x·(d₀ + x·(a + x·c))` on the step of width `h` and mean slope `m` from a point with mass fraction `w₀` and
/// slope `d₀` to one with slope `d₁`, `x` the distance from the first: `c = b/h`, `a = (m − d₀)/h − b`,
/// `b = (d₀ + d₁ − 2m)/h`.
///
/// # Units and shapes
/// Temperatures and distances \[K\], slopes [mass fraction/K], mass fractions as read.
fn read(piece: &[Point], temperature: f64) -> Option<Point> {
    if let [only] = piece {
        let near = (temperature - only.temperature).abs() <= SAME_TEMPERATURE;
        return near.then_some(*only);
    }
    let after = piece.partition_point(|point| point.temperature < temperature);
    let end = *piece.get(after)?;
    if end.temperature == temperature {
        return Some(end);
    }
    let before = after.checked_sub(1)?;
    let start = piece[before];
    let step = Step::after(before, piece);
    let offset = temperature - start.temperature;
    let (left, right) = (slope(piece, before), slope(piece, after));
    let bend = (left + right - 2.0 * step.slope) / step.width;
    let square = (step.slope - left) / step.width - bend;
    let cubic = bend / step.width;
    Some(Point {
        temperature,
        mass_fraction: start.mass_fraction + offset * (left + offset * (square + offset * cubic)),
        relative_uncertainty: start.relative_uncertainty.max(end.relative_uncertainty),
        change_after: None,
    })
}

/// The way from one point to the next.
struct Step {
    width: f64,
    slope: f64,
}

impl Step {
    fn after(position: usize, piece: &[Point]) -> Self {
        let (start, end) = (piece[position], piece[position + 1]);
        let width = end.temperature - start.temperature;
        Self {
            width,
            slope: (end.mass_fraction - start.mass_fraction) / width,
        }
    }
}

/// Slope of the curve at one of two or more points [mass fraction/K].
fn slope(piece: &[Point], position: usize) -> f64 {
    let step = |position| Step::after(position, piece);
    match piece.len() - 2 {
        0 => step(0).slope,
        _ if position == 0 => end_slope(step(0), step(1)),
        last if position > last => end_slope(step(last), step(last - 1)),
        _ => inner_slope(step(position - 1), step(position)),
    }
}

fn inner_slope(left: Step, right: Step) -> f64 {
    if left.slope * right.slope <= 0.0 {
        return 0.0;
    }
    let for_left = 2.0 * right.width + left.width;
    let for_right = right.width + 2.0 * left.width;
    (for_left + for_right) / (for_left / left.slope + for_right / right.slope)
}

/// Slope at the end of a curve, from the step there and the next one inwards.
fn end_slope(outer: Step, inner: Step) -> f64 {
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

    /// Temperature, mass fraction, relative uncertainty, change.
    fn join(rows: &[(f64, f64, f64, Option<f64>)]) -> Points {
        let point = |&(temperature, mass_fraction, relative_uncertainty, change_after): &_| Point {
            temperature,
            mass_fraction,
            relative_uncertainty,
            change_after,
        };
        Points::join(rows.iter().map(point).collect()).unwrap()
    }

    #[test]
    fn a_single_point_answers_within_a_twentieth_of_a_degree() {
        let points = join(&[(20.0, 0.2, 0.02, None)]);
        for near in [19.96, 20.0, 20.04] {
            assert_eq!(points.at(near).unwrap().mass_fraction, 0.2);
        }
        let (temperature, at) = (20.06, 20.0);
        assert_eq!(
            points.at(temperature),
            Err(OutOfTable::OnlyAt { temperature, at })
        );
    }

    #[test]
    fn nothing_is_read_across_a_change_of_the_solid() {
        let points = join(&[
            (20.0, 0.16, 0.02, None),
            (30.0, 0.29, 0.02, Some(32.0)),
            (40.0, 0.32, 0.02, Some(44.0)),
            (50.0, 0.31, 0.02, None),
        ]);
        assert!(matches!(
            points.at(35.0),
            Err(OutOfTable::SolidChanges {
                near: 32.0,
                low: 30.0,
                high: 40.0,
                ..
            })
        ));
        assert!(points.at(29.9).is_ok());
        assert_eq!(points.at(40.04).unwrap().mass_fraction, 0.32);
        assert!(points.at(40.06).is_err());
        assert!(matches!(
            points.at(45.0),
            Err(OutOfTable::SolidChanges { near: 44.0, .. })
        ));
    }

    #[test]
    fn the_less_certain_of_both_neighbours_counts() {
        let points = join(&[
            (0.0, 0.1, 0.06, None),
            (10.0, 0.2, 0.02, None),
            (20.0, 0.3, 0.03, None),
        ]);
        let at = |temperature| points.at(temperature).unwrap().relative_uncertainty;
        assert_eq!(
            [at(0.0), at(4.0), at(10.0), at(11.0)],
            [0.06, 0.06, 0.02, 0.03]
        );
    }

    #[test]
    fn what_is_no_number_is_no_temperature() {
        let points = join(&[(0.0, 0.1, 0.02, None), (10.0, 0.2, 0.02, None)]);
        assert_eq!(points.at(f64::NAN), Err(OutOfTable::NotANumber));
        assert_eq!(points.at(f64::INFINITY), Err(OutOfTable::NotANumber));
    }

    fn through(points: &[(f64, f64)]) -> Points {
        let certain = |&(at, value): &(f64, f64)| (at, value, 0.0, None);
        join(&points.iter().map(certain).collect::<Vec<_>>())
    }

    fn value_at(curve: &Points, at: f64) -> Option<f64> {
        Some(curve.at(at).ok()?.mass_fraction)
    }

    #[test]
    fn two_points_are_joined_by_a_straight_line() {
        let line = through(&[(0.0, 1.0), (10.0, 2.0)]);
        // Halves and quarters of 10 and 1 are exact in binary64.
        assert_eq!(value_at(&line, 2.5), Some(1.25));
    }

    #[test]
    fn points_on_a_line_give_that_line() {
        let line = through(&[(0.0, 1.0), (10.0, 2.0), (30.0, 4.0), (40.0, 5.0)]);
        assert!((value_at(&line, 21.0).unwrap() - 3.1).abs() < 1e-14);
    }

    #[test]
    fn a_flat_step_stays_flat() {
        let curve = through(&[(0.0, 1.0), (10.0, 2.0), (20.0, 2.0), (30.0, 3.0)]);
        assert_eq!(value_at(&curve, 13.7), Some(2.0));
    }

    #[test]
    fn one_point_answers_only_where_it_is() {
        let point = through(&[(20.0, 0.2)]);
        assert_eq!(value_at(&point, 20.0), Some(0.2));
        assert_eq!(value_at(&point, 20.1), None);
    }

    #[test]
    fn nothing_is_said_outside_the_points_or_of_what_is_no_number() {
        let curve = through(&[(0.0, 1.0), (10.0, 2.0)]);
        for at in [-0.001, 10.001, f64::NAN, f64::INFINITY] {
            assert_eq!(value_at(&curve, at), None);
        }
    }
}
