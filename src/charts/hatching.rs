//! How does a layer look without colour?
//!
//! In: an area and the look of a layer. Out: the area filled, hatched and outlined on a canvas.
//! This module never draws beyond the area.

use super::area::{Area, Place, closed, place};
use super::canvas::Canvas;
use super::theme::{self, Hatching, LayerLook};

/// A filled, hatched and outlined rectangle.
pub(super) fn layer(canvas: &mut Canvas, look: LayerLook, area: Area) {
    canvas.area(area.corners(), look.fill);
    let families: &[Slope] = match look.hatching {
        Hatching::Plain => &[],
        Hatching::Rising => &[Slope::Rising],
        Hatching::Falling => &[Slope::Falling],
        Hatching::Level => &[Slope::Level],
        Hatching::Crossed => &[Slope::Rising, Slope::Falling],
    };
    for slope in families {
        if let Some(line) = hatch_lines(*slope, area) {
            canvas.path(line, look.stroke, theme::GRID_STROKE);
        }
    }
    canvas.path(closed(area.corners()), look.stroke, theme::AXIS_STROKE);
}

#[derive(Debug, Clone, Copy)]
enum Slope {
    Rising,
    Falling,
    Level,
}

/// The lines of one direction that cross an area, on a raster that all areas share, joined along the outline.
///
/// Joined they are one element of the document instead of dozens; the joints lie on the outline, which is drawn anyway.
fn hatch_lines(slope: Slope, area: Area) -> Option<Vec<Place>> {
    let (first, last) = match slope {
        Slope::Level => (area.top, area.bottom),
        Slope::Rising => (area.left + area.top, area.right + area.bottom),
        Slope::Falling => (area.left - area.bottom, area.right - area.top),
    };
    let mut joined: Vec<Place> = Vec::new();
    let start = (first / theme::HATCH_DISTANCE).floor() as i64 + 1;
    let end = (last / theme::HATCH_DISTANCE).ceil() as i64 - 1;
    for position in start..=end {
        let mut line = crossing(slope, area, position as f64 * theme::HATCH_DISTANCE);
        if position % 2 == 0 {
            line.reverse();
        }
        if let (Some(from), Some(to)) = (joined.last(), line.first()) {
            joined.extend(corner_between(*from, *to, area));
        }
        joined.extend(line);
    }
    (!joined.is_empty()).then_some(joined)
}

/// The two ends of one hatch line on the outline of an area, the end further left or at the left first.
fn crossing(slope: Slope, area: Area, offset: f64) -> Vec<Place> {
    match slope {
        Slope::Level => vec![place(area.left, offset), place(area.right, offset)],
        Slope::Rising => {
            let left = area.left.max(offset - area.bottom);
            let right = area.right.min(offset - area.top);
            vec![place(left, offset - left), place(right, offset - right)]
        }
        Slope::Falling => {
            let left = area.left.max(offset + area.top);
            let right = area.right.min(offset + area.bottom);
            vec![place(left, left - offset), place(right, right - offset)]
        }
    }
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
        let area = Area {
            left: 3.3,
            right: 15.1,
            top: 7.0,
            bottom: 91.7,
        };
        for slope in [Slope::Rising, Slope::Falling, Slope::Level] {
            let line = hatch_lines(slope, area).unwrap_or_default();
            assert!(line.len() > 20, "{slope:?}");
            for at in line {
                assert!(at.x >= area.left - ROUNDING && at.x <= area.right + ROUNDING);
                assert!(at.y >= area.top - ROUNDING && at.y <= area.bottom + ROUNDING);
            }
        }
    }

    #[test]
    fn an_area_thinner_than_the_raster_may_have_no_line() {
        let area = Area {
            left: 0.0,
            right: 10.0,
            top: 1.0,
            bottom: 2.0,
        };
        assert_eq!(hatch_lines(Slope::Level, area), None);
    }
}
