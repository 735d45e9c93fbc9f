//! Sets of cells of a grid, hatched and outlined.
//!
//! In: the edges of the cells in the picture, and which cells belong to the set. Out: hatch lines and an outline.
//! This module never knows what the grid measures.

use std::collections::BTreeMap;

use super::canvas::Canvas;
use super::hatching::{crossing, offsets};
use super::places::{Area, Place, place};
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
        let first = |edges: &[f64]| edges.first().copied().unwrap_or(0.0);
        let last = |edges: &[f64]| edges.last().copied().unwrap_or(0.0);
        Area::between(
            place(first(&self.across), first(&self.upwards)),
            place(last(&self.across), last(&self.upwards)),
        )
    }

    fn columns(&self) -> usize {
        self.across.len().saturating_sub(1)
    }

    fn rows(&self) -> usize {
        self.upwards.len().saturating_sub(1)
    }

    /// The cells of a set, joined along each row.
    fn strips(&self, cells: &[bool]) -> Vec<Area> {
        let strips = (0..self.rows()).flat_map(|row| {
            let inside = stretches(self.columns(), |column| self.holds(cells, row, column));
            inside.into_iter().map(move |[first, end]| {
                Area::between(
                    place(self.across[first], self.upwards[row]),
                    place(self.across[end], self.upwards[row + 1]),
                )
            })
        });
        strips.collect()
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
            let runs = stretches(self.columns(), differs).into_iter();
            pieces.extend(runs.map(|run| run.map(|edge| place(self.across[edge], y))));
        }
        for (column, &x) in self.across.iter().enumerate() {
            let differs = |row: usize| {
                let before = column > 0 && self.holds(cells, row, column - 1);
                before != self.holds(cells, row, column)
            };
            let runs = stretches(self.rows(), differs).into_iter();
            pieces.extend(runs.map(|run| run.map(|edge| place(x, self.upwards[edge]))));
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
    if hatching == Hatching::Plain {
        for strip in &strips {
            canvas.area(&strip.corners(), theme::BAND);
        }
    }
    for slope in hatching.slopes() {
        for line in lines(&strips, *slope) {
            canvas.path(&line, theme::FINE_LINE);
        }
    }
    for piece in raster.outline(cells) {
        canvas.path(&piece, theme::AXIS_LINE);
    }
}

/// The lines `y = slope · x + offset` of a raster of offsets within the strips, joined where strips meet.
fn lines(strips: &[Area], slope: f64) -> Vec<[Place; 2]> {
    // The distance between lines is measured across them.
    let distance = theme::HATCH_DISTANCE * 1.6 * slope.hypot(1.0);
    let mut by_offset: BTreeMap<i64, Vec<[Place; 2]>> = BTreeMap::new();
    for strip in strips {
        let [first, last] = offsets(slope, *strip).map(|offset| offset / distance);
        for position in first.ceil() as i64..=last.floor() as i64 {
            let line = crossing(slope, *strip, position as f64 * distance);
            if line[1].x > line[0].x {
                by_offset.entry(position).or_default().push(line);
            }
        }
    }
    by_offset.into_values().flat_map(joined).collect()
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
