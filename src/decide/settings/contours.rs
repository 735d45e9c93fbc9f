//! Lines of equal height of a surface over a grid.
//!
//! In: heights at the places of a grid. Out: [`Contour`]s, lines of equal height, joined end to end.
//! This module never draws, and never knows what the heights are of.

use std::collections::BTreeMap;

/// A line of equal height.
#[derive(Debug, Clone, PartialEq)]
pub struct Contour {
    /// The height, in the unit of the surface.
    pub height: f64,
    /// Its places, each as left-to-right and bottom-to-top value.
    pub places: Vec<[f64; 2]>,
}

/// Heights at the places of a grid, the lowest row first, each row from left to right.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Heights<'a> {
    pub x: &'a [f64],
    pub y: &'a [f64],
    pub values: &'a [f64],
}

/// An edge of the grid: between place (column, row) and its right or upper neighbour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Edge {
    column: usize,
    row: usize,
    upwards: bool,
}

/// About this many lines are drawn over a surface.
const LINES: f64 = 7.0;

/// Round heights between the lowest and the highest value, 1, 2 or 5 times a power of ten apart.
pub(crate) fn round_heights(values: &[f64]) -> Vec<f64> {
    let finite = || values.iter().copied().filter(|value| value.is_finite());
    let (Some(low), Some(high)) = (finite().reduce(f64::min), finite().reduce(f64::max)) else {
        return Vec::new();
    };
    let least = (high - low) / LINES;
    if least <= f64::EPSILON * low.abs().max(high.abs()) {
        return Vec::new();
    }
    let power = 10f64.powi(least.log10().floor() as i32);
    let mut steps = [1.0, 2.0, 5.0].map(|digit| digit * power).into_iter();
    let step = steps.find(|step| *step >= least);
    let step = step.unwrap_or(10.0 * power);
    let first = (low / step).ceil() as i64;
    let last = (high / step).floor() as i64;
    let heights = (first..=last).map(|count| count as f64 * step);
    heights
        .filter(|height| *height > low && *height < high)
        .collect()
}

/// The lines of one height over a grid; places whose height is not finite have none around them.
///
/// # Source
/// Lorensen and Cline, Computer Graphics 21 (1987), 163-169, in two dimensions; saddles are resolved by the mean of the cell.
pub(crate) fn contours(heights: Heights, height: f64) -> Vec<Contour> {
    let mut links: BTreeMap<Edge, Vec<Edge>> = BTreeMap::new();
    for row in 0..heights.y.len().saturating_sub(1) {
        for column in 0..heights.x.len().saturating_sub(1) {
            for [one, other] in heights.crossings(column, row, height) {
                links.entry(one).or_default().push(other);
                links.entry(other).or_default().push(one);
            }
        }
    }
    let mut lines = Vec::new();
    // Lines with ends are followed from an end; what is left then are rings.
    while let Some(start) = links
        .iter()
        .find(|(_, next)| next.len() == 1)
        .or_else(|| links.iter().next())
        .map(|(edge, _)| *edge)
    {
        let mut line = vec![start];
        let mut here = start;
        while let Some(next) = links.get_mut(&here).and_then(Vec::pop) {
            if let Some(back) = links.get_mut(&next)
                && let Some(position) = back.iter().position(|edge| *edge == here)
            {
                back.remove(position);
            }
            line.push(next);
            here = next;
        }
        links.retain(|_, next| !next.is_empty());
        let places = line.iter().map(|edge| heights.place(*edge, height));
        lines.push(Contour {
            height,
            places: places.collect(),
        });
    }
    lines
}

impl Heights<'_> {
    fn at(&self, column: usize, row: usize) -> f64 {
        self.values[row * self.x.len() + column]
    }

    /// Where a line crosses an edge.
    fn place(&self, edge: Edge, height: f64) -> [f64; 2] {
        let (column, row) = (edge.column, edge.row);
        let from = self.at(column, row);
        let between =
            |low: f64, high: f64, to: f64| low + (high - low) * (height - from) / (to - from);
        if edge.upwards {
            let to = self.at(column, row + 1);
            [self.x[column], between(self.y[row], self.y[row + 1], to)]
        } else {
            let to = self.at(column + 1, row);
            [between(self.x[column], self.x[column + 1], to), self.y[row]]
        }
    }

    /// The pieces of the line within a cell, each from one edge to another.
    fn crossings(&self, column: usize, row: usize, height: f64) -> Vec<[Edge; 2]> {
        let corners = [
            self.at(column, row),
            self.at(column + 1, row),
            self.at(column + 1, row + 1),
            self.at(column, row + 1),
        ];
        if corners.iter().any(|value| !value.is_finite()) {
            return Vec::new();
        }
        let above = corners.map(|value| value > height);
        let edge = |column, row, upwards| Edge {
            column,
            row,
            upwards,
        };
        // Around the cell: below, at the right, above, at the left; each between two corners in turn.
        let edges = [
            edge(column, row, false),
            edge(column + 1, row, true),
            edge(column, row + 1, false),
            edge(column, row, true),
        ];
        let is_crossed = |side: &usize| above[*side] != above[(side + 1) % 4];
        let crossed: Vec<usize> = (0..4).filter(is_crossed).collect();
        match crossed.as_slice() {
            [one, other] => vec![[edges[*one], edges[*other]]],
            [_, _, _, _] => {
                let middle = corners.iter().sum::<f64>() / 4.0 > height;
                // Where the middle goes with the first corner, the line cuts off the other two.
                match middle == above[0] {
                    true => vec![[edges[0], edges[1]], [edges[2], edges[3]]],
                    false => vec![[edges[3], edges[0]], [edges[1], edges[2]]],
                }
            }
            _ => Vec::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Straight lines between grid places miss a circle of radius 1 by the square of a step over 8.
    const CHORD: f64 = 0.003;

    fn square(count: usize, surface: impl Fn(f64, f64) -> f64) -> (Vec<f64>, Vec<f64>) {
        let places: Vec<f64> = (0..count)
            .map(|place| -1.5 + 3.0 * place as f64 / (count - 1) as f64)
            .collect();
        let rows = places
            .iter()
            .flat_map(|y| places.iter().map(|x| surface(*x, *y)));
        let values = rows.collect();
        (places, values)
    }

    #[test]
    fn a_cone_has_a_ring_that_closes() {
        let (places, values) = square(31, |x, y| x.hypot(y));
        let heights = Heights {
            x: &places,
            y: &places,
            values: &values,
        };
        let lines = contours(heights, 1.0);
        assert_eq!(lines.len(), 1);
        assert_eq!(lines[0].places.first(), lines[0].places.last());
        for [x, y] in &lines[0].places {
            assert!((x.hypot(*y) - 1.0).abs() < CHORD);
        }
    }

    #[test]
    fn a_saddle_has_two_lines_that_never_meet() {
        let (places, values) = square(31, |x, y| x * x - y * y);
        let heights = Heights {
            x: &places,
            y: &places,
            values: &values,
        };
        assert_eq!(contours(heights, 0.5).len(), 2);
        assert_eq!(contours(heights, 9.0).len(), 0);
    }

    #[test]
    fn heights_are_round_and_lie_between() {
        let found = round_heights(&[0.612, 0.7481]);
        assert!(found.len() > 3 && found.len() < 9);
        for height in found {
            let hundredths = height * 50.0;
            assert!((hundredths - hundredths.round()).abs() < 1e-9);
        }
        assert!(round_heights(&[0.5, 0.5]).is_empty());
    }
}
