//! Values with their bars, and the marks that they are drawn as.
//!
//! In: values with the ends of their bars; places in the picture and the look of a series. Out: marks and bars on a canvas.
//! This module never knows which value a place stands for.

use super::axis::{Range, is_drawable};
use super::canvas::Canvas;
use super::places::{Area, Place, closed, place};
use super::theme::{self, Filling, Pen, SeriesLook, Shape, pen};

/// A value with the ends of its bar, all in the unit of the axis.
///
/// A bar whose ends are not both finite is left out; its value is still drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// Where the mark stands.
    pub value: f64,
    /// Lower end of the bar.
    pub low: f64,
    /// Upper end of the bar.
    pub high: f64,
}

impl Bar {
    /// The ends of the bar, lower first, when both can be drawn.
    pub(super) fn ends(&self) -> Option<Range> {
        (is_drawable(self.low) && is_drawable(self.high)).then(|| Range {
            low: self.low.min(self.high),
            high: self.low.max(self.high),
        })
    }

    /// All places of the bar that an axis must reach.
    pub(super) fn reach(&self) -> impl Iterator<Item = f64> {
        let ends = self.ends().map(|range| [range.low, range.high]);
        std::iter::once(self.value).chain(ends.into_iter().flatten())
    }
}

/// The mark of a series.
pub(super) fn mark(canvas: &mut Canvas, look: SeriesLook, at: Place, radius: f64) {
    let outline = outline(look.shape, at, radius);
    match (look.shape, look.filling) {
        (Shape::Cross, _) => {
            let arm = radius * 0.85;
            for rise in [arm, -arm] {
                let ends = [
                    place(at.x - arm, at.y + rise),
                    place(at.x + arm, at.y - rise),
                ];
                canvas.path(&ends, pen(look.colour, theme::CURVE_STROKE));
            }
        }
        (Shape::Circle, Filling::Full) => canvas.disc(at, radius, look.colour),
        (Shape::Circle, Filling::Open) => {
            canvas.disc(at, radius, look.colour);
            canvas.disc(at, radius - theme::BAR_STROKE, theme::PAPER);
        }
        (_, Filling::Full) => canvas.area(&outline, look.colour),
        (_, Filling::Open) => {
            canvas.area(&outline, theme::PAPER);
            canvas.path(&closed(outline), pen(look.colour, theme::BAR_STROKE));
        }
    }
}

/// The corners of a mark; shapes are scaled to look equally large.
fn outline(shape: Shape, at: Place, radius: f64) -> Vec<Place> {
    let reach = radius * 1.3;
    match shape {
        Shape::Circle | Shape::Cross => Vec::new(),
        Shape::Square => Area::around(at, radius * 0.88).corners(),
        Shape::Triangle => vec![
            place(at.x, at.y - reach),
            place(at.x + reach * 0.87, at.y + reach * 0.5),
            place(at.x - reach * 0.87, at.y + reach * 0.5),
        ],
        Shape::Diamond => vec![
            place(at.x, at.y - reach),
            place(at.x + reach, at.y),
            place(at.x, at.y + reach),
            place(at.x - reach, at.y),
        ],
    }
}

/// An upright bar with caps of half a length, if any.
pub(super) fn upright_bar(canvas: &mut Canvas, x: f64, ends: [f64; 2], half_cap: f64, pen: Pen) {
    bar(canvas, ends.map(|y| place(x, y)), place(half_cap, 0.0), pen);
}

/// A level bar with caps of half a length, if any.
pub(super) fn level_bar(canvas: &mut Canvas, y: f64, ends: [f64; 2], half_cap: f64, pen: Pen) {
    bar(canvas, ends.map(|x| place(x, y)), place(0.0, half_cap), pen);
}

fn bar(canvas: &mut Canvas, ends: [Place; 2], cap: Place, pen: Pen) {
    canvas.path(&ends, pen);
    if cap != place(0.0, 0.0) {
        for end in ends {
            let from = place(end.x - cap.x, end.y - cap.y);
            canvas.path(&[from, place(end.x + cap.x, end.y + cap.y)], pen);
        }
    }
}
