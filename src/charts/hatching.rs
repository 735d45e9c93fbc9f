//! Hatching, which tells layers and regions apart without colour.
//!
//! In: an area with the look of a layer. Out: the area filled, hatched and outlined on a canvas, and the hatch lines that
//! cross any area.
//! This module never draws beyond the area.

use super::canvas::Canvas;
use super::places::{Area, Place, closed, place};
use super::theme::{self, Hatching, LayerLook, pen};

impl Hatching {
    /// The slopes of its lines, downwards to the right.
    pub(super) fn slopes(self) -> &'static [f64] {
        match self {
            Hatching::Plain => &[],
            Hatching::Rising => &[-1.0],
            Hatching::Falling => &[1.0],
            Hatching::Level => &[0.0],
            Hatching::Crossed => &[-1.0, 1.0],
        }
    }
}

/// A filled, hatched and outlined rectangle.
pub(super) fn layer(canvas: &mut Canvas, look: LayerLook, area: Area) {
    canvas.area(&area.corners(), look.fill);
    for slope in look.hatching.slopes() {
        let line = hatch_lines(*slope, area);
        if !line.is_empty() {
            canvas.path(&line, pen(look.stroke, theme::GRID_STROKE));
        }
    }
    let outline = pen(look.stroke, theme::AXIS_STROKE);
    canvas.path(&closed(area.corners()), outline);
}

/// The lines of one slope that cross an area, on a raster that all areas share, joined along the outline.
///
/// Joined they are one element of the document instead of dozens; the joints lie on the outline, which is drawn anyway.
fn hatch_lines(slope: f64, area: Area) -> Vec<Place> {
    let [first, last] = offsets(slope, area).map(|offset| offset / theme::HATCH_DISTANCE);
    let mut positions: Vec<i64> = (first.floor() as i64 + 1..=last.ceil() as i64 - 1).collect();
    if slope > 0.0 {
        // From left to right, as the lines of the other slopes.
        positions.reverse();
    }
    let mut joined: Vec<Place> = Vec::new();
    for position in positions {
        let mut line = crossing(slope, area, position as f64 * theme::HATCH_DISTANCE);
        if position % 2 == 0 {
            line.reverse();
        }
        if let Some(from) = joined.last() {
            joined.extend(corner_between(*from, line[0], area));
        }
        joined.extend(line);
    }
    joined
}

/// The least and the largest offset of the lines `y = slope · x + offset` that meet an area.
pub(super) fn offsets(slope: f64, area: Area) -> [f64; 2] {
    let rises = [slope * area.left, slope * area.right];
    [
        area.top - rises[0].max(rises[1]),
        area.bottom - rises[0].min(rises[1]),
    ]
}

/// The two ends of the line `y = slope · x + offset` on the outline of an area, the left one first.
pub(super) fn crossing(slope: f64, area: Area, offset: f64) -> [Place; 2] {
    let (mut left, mut right) = (area.left, area.right);
    if slope != 0.0 {
        let meets = [(area.top - offset) / slope, (area.bottom - offset) / slope];
        left = left.max(meets[0].min(meets[1]));
        right = right.min(meets[0].max(meets[1]));
    }
    [left, right].map(|x| place(x, slope * x + offset))
}

/// The corner that two places on neighbouring sides of an area have between them.
fn corner_between(from: Place, to: Place, area: Area) -> Option<Place> {
    area.corners().into_iter().find(|corner| {
        let meets = |place: Place| (place.x == corner.x) != (place.y == corner.y);
        let sides_differ = (from.x == corner.x) != (to.x == corner.x);
        meets(from) && meets(to) && sides_differ
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of a sum of two coordinates below a thousand.
    const ROUNDING: f64 = 1e-9;

    #[test]
    fn hatching_stays_within_its_area() {
        let area = Area::between(place(3.3, 7.0), place(15.1, 91.7));
        for slope in [-1.0, 1.0, 0.0] {
            let line = hatch_lines(slope, area);
            assert!(line.len() > 20, "{slope}");
            for at in line {
                assert!(at.x >= area.left - ROUNDING && at.x <= area.right + ROUNDING);
                assert!(at.y >= area.top - ROUNDING && at.y <= area.bottom + ROUNDING);
            }
        }
    }

    #[test]
    fn an_area_thinner_than_the_raster_may_have_no_line() {
        let area = Area::between(place(0.0, 1.0), place(10.0, 2.0));
        assert!(hatch_lines(0.0, area).is_empty());
    }
}
