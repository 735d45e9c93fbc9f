//! How is a set of cells of a grid hatched?
//!
//! In: the edges of the cells in the picture, and which cells belong to the set. Out: hatch lines and an outline.
//! This module never knows what the grid measures.

use std::collections::BTreeMap;

use super::area::{Area, Place, place};
use super::canvas::Canvas;
use super::theme::{self, Hatching};

/// Two ends of hatch lines this close are the same place; far below what is seen, far above rounding.
const SAME_PLACE: f64 = 1e-6;

/// The edges of the cells, in points of the picture: one more than there are cells.
#[derive(Debug, Clone)]
pub(super) struct Raster {
    /// From left to right.
    pub(super) across: Vec<f64>,
    /// From the lowest row upwards.
    pub(super) upwards: Vec<f64>,
}

/// The edges of the cells around grid places: half way to each neighbour, and the outer places themselves.
pub(super) fn edges(places: &[f64], at: impl Fn(f64) -> f64) -> Vec<f64> {
    let middles = places.windows(2).map(|pair| at((pair[0] + pair[1]) / 2.0));
    let first = places.first().map(|value| at(*value));
    let last = places.last().map(|value| at(*value));
    first.into_iter().chain(middles).chain(last).collect()
}

impl Raster {
    /// The area that all cells cover.
    pub(super) fn bounds(&self) -> Area {
        let ends = |edges: &[f64]| {
            let first = edges.first().copied().unwrap_or(0.0);
            let last = edges.last().copied().unwrap_or(0.0);
            [first.min(last), first.max(last)]
        };
        let ([left, right], [top, bottom]) = (ends(&self.across), ends(&self.upwards));
        Area {
            left,
            right,
            top,
            bottom,
        }
    }

    fn columns(&self) -> usize {
        self.across.len().saturating_sub(1)
    }

    fn rows(&self) -> usize {
        self.upwards.len().saturating_sub(1)
    }

    /// The cells of a set, joined along each row.
    fn strips(&self, cells: &[bool]) -> Vec<Area> {
        let mut strips = Vec::new();
        for row in 0..self.rows() {
            let of_row = &cells[row * self.columns()..(row + 1) * self.columns()];
            let mut start = None;
            for column in 0..=self.columns() {
                let inside = of_row.get(column).copied().unwrap_or(false);
                match (inside, start) {
                    (true, None) => start = Some(column),
                    (false, Some(first)) => {
                        strips.push(Area {
                            left: self.across[first],
                            right: self.across[column],
                            top: self.upwards[row].min(self.upwards[row + 1]),
                            bottom: self.upwards[row].max(self.upwards[row + 1]),
                        });
                        start = None;
                    }
                    _ => {}
                }
            }
        }
        strips
    }

    fn holds(&self, cells: &[bool], row: usize, column: usize) -> bool {
        row < self.rows() && column < self.columns() && cells[row * self.columns() + column]
    }

    /// The level and upright pieces between cells of the set and others.
    fn outline(&self, cells: &[bool]) -> Vec<[Place; 2]> {
        let mut pieces = Vec::new();
        for (row, &y) in self.upwards.iter().enumerate() {
            let differs = |column: usize| {
                let below = row > 0 && self.holds(cells, row - 1, column);
                below != self.holds(cells, row, column)
            };
            for run in stretches(self.columns(), differs) {
                pieces.push([place(self.across[run[0]], y), place(self.across[run[1]], y)]);
            }
        }
        for (column, &x) in self.across.iter().enumerate() {
            let differs = |row: usize| {
                let before = column > 0 && self.holds(cells, row, column - 1);
                before != self.holds(cells, row, column)
            };
            for run in stretches(self.rows(), differs) {
                pieces.push([
                    place(x, self.upwards[run[0]]),
                    place(x, self.upwards[run[1]]),
                ]);
            }
        }
        pieces
    }
}

/// The stretches of positions for which something holds, each as its first position and the one behind its last.
fn stretches(count: usize, holds: impl Fn(usize) -> bool) -> Vec<[usize; 2]> {
    let mut found: Vec<[usize; 2]> = Vec::new();
    for position in (0..count).filter(|position| holds(*position)) {
        match found.last_mut() {
            Some(run) if run[1] == position => run[1] += 1,
            _ => found.push([position, position + 1]),
        }
    }
    found
}

/// Hatches and outlines a set of cells.
pub(super) fn hatched(canvas: &mut Canvas, raster: &Raster, cells: &[bool], hatching: Hatching) {
    let strips = raster.strips(cells);
    let slopes: &[f64] = match hatching {
        Hatching::Plain => &[],
        Hatching::Rising => &[-1.0],
        Hatching::Falling => &[1.0],
        Hatching::Level => &[0.0],
        Hatching::Crossed => &[-1.0, 1.0],
    };
    for slope in slopes {
        for [from, to] in lines(&strips, *slope) {
            canvas.line(from, to, theme::SOFT_INK, theme::GRID_STROKE);
        }
    }
    for [from, to] in raster.outline(cells) {
        canvas.line(from, to, theme::SOFT_INK, theme::AXIS_STROKE);
    }
}

/// The lines `y = slope · x + offset` of a raster of offsets within the strips, joined where strips meet.
fn lines(strips: &[Area], slope: f64) -> Vec<[Place; 2]> {
    // The distance between lines is measured across them.
    let distance = theme::HATCH_DISTANCE * 1.6 * slope.hypot(1.0);
    let mut by_offset: BTreeMap<i64, Vec<[Place; 2]>> = BTreeMap::new();
    for strip in strips {
        let ends = [slope * strip.left, slope * strip.right];
        let first = strip.top - ends[0].max(ends[1]);
        let last = strip.bottom - ends[0].min(ends[1]);
        let start = (first / distance).ceil() as i64;
        for position in start..=(last / distance).floor() as i64 {
            let offset = position as f64 * distance;
            by_offset
                .entry(position)
                .or_default()
                .extend(within(*strip, slope, offset));
        }
    }
    by_offset.into_values().flat_map(joined).collect()
}

/// The piece of a line within an area, its left end first.
fn within(area: Area, slope: f64, offset: f64) -> Option<[Place; 2]> {
    let (mut left, mut right) = (area.left, area.right);
    if slope != 0.0 {
        let meets = [(area.top - offset) / slope, (area.bottom - offset) / slope];
        left = left.max(meets[0].min(meets[1]));
        right = right.min(meets[0].max(meets[1]));
    }
    (right > left).then(|| {
        [
            place(left, slope * left + offset),
            place(right, slope * right + offset),
        ]
    })
}

fn joined(mut pieces: Vec<[Place; 2]>) -> Vec<[Place; 2]> {
    pieces.sort_by(|one, other| one[0].x.total_cmp(&other[0].x));
    let mut whole: Vec<[Place; 2]> = Vec::new();
    for piece in pieces {
        match whole.last_mut() {
            Some(last) if (piece[0].x - last[1].x).abs() < SAME_PLACE => last[1] = piece[1],
            _ => whole.push(piece),
        }
    }
    whole
}

#[cfg(test)]
mod tests {
    use super::*;

    fn raster() -> Raster {
        Raster {
            across: vec![0.0, 10.0, 30.0, 40.0],
            upwards: vec![100.0, 80.0, 40.0],
        }
    }

    #[test]
    fn hatch_lines_stay_within_their_cells_and_run_through_where_cells_meet() {
        let strips = raster().strips(&[true, true, false, true, true, false]);
        for line in lines(&strips, -1.0) {
            for end in line {
                assert!(end.x >= -SAME_PLACE && end.x <= 30.0 + SAME_PLACE);
                assert!(end.y >= 40.0 - SAME_PLACE && end.y <= 100.0 + SAME_PLACE);
            }
        }
        let longest = |lines: Vec<[Place; 2]>| {
            lines
                .iter()
                .map(|line| line[1].x - line[0].x)
                .fold(0.0, f64::max)
        };
        // Through both rows a line at 45 degrees can cross the whole width of 30.
        assert!(longest(lines(&strips, -1.0)) > 20.0 + SAME_PLACE);
    }

    #[test]
    fn the_outline_of_all_cells_is_the_rim() {
        let pieces = raster().outline(&[true; 6]);
        assert_eq!(pieces.len(), 4);
        assert!(raster().outline(&[false; 6]).is_empty());
    }

    #[test]
    fn edges_lie_between_grid_places() {
        assert_eq!(edges(&[0.0, 1.0, 3.0], |x| x), [0.0, 0.5, 2.0, 3.0]);
    }
}
