//! How does one value look?
//!
//! In: places in the picture and the look of a series. Out: marks and bars on a canvas.
//! This module never knows which value a place stands for.

use plotters::style::RGBColor;

use super::area::{Area, Place, closed, place};
use super::canvas::Canvas;
use super::theme::{self, Filling, SeriesLook, Shape};

/// The mark of a series.
pub(super) fn mark(canvas: &mut Canvas, look: SeriesLook, at: Place, radius: f64) {
    let outline = outline(look.shape, at, radius);
    match (look.shape, look.filling) {
        (Shape::Cross, _) => {
            let arm = radius * 0.85;
            for rise in [arm, -arm] {
                canvas.line(
                    place(at.x - arm, at.y + rise),
                    place(at.x + arm, at.y - rise),
                    look.colour,
                    theme::CURVE_STROKE,
                );
            }
        }
        (Shape::Circle, Filling::Full) => canvas.disc(at, radius, look.colour),
        (Shape::Circle, Filling::Open) => {
            canvas.disc(at, radius, look.colour);
            canvas.disc(at, radius - theme::BAR_STROKE, theme::PAPER);
        }
        (_, Filling::Full) => canvas.area(outline, look.colour),
        (_, Filling::Open) => {
            canvas.area(outline.clone(), theme::PAPER);
            canvas.path(closed(outline), look.colour, theme::BAR_STROKE);
        }
    }
}

/// The corners of a mark; shapes are scaled to look equally large.
fn outline(shape: Shape, at: Place, radius: f64) -> Vec<Place> {
    match shape {
        Shape::Circle | Shape::Cross => Vec::new(),
        Shape::Square => {
            let half = radius * 0.88;
            Area {
                left: at.x - half,
                right: at.x + half,
                top: at.y - half,
                bottom: at.y + half,
            }
            .corners()
        }
        Shape::Triangle => {
            let reach = radius * 1.3;
            vec![
                place(at.x, at.y - reach),
                place(at.x + reach * 0.87, at.y + reach * 0.5),
                place(at.x - reach * 0.87, at.y + reach * 0.5),
            ]
        }
        Shape::Diamond => {
            let reach = radius * 1.3;
            vec![
                place(at.x, at.y - reach),
                place(at.x + reach, at.y),
                place(at.x, at.y + reach),
                place(at.x - reach, at.y),
            ]
        }
    }
}

/// How an uncertainty bar looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct BarLook {
    pub(super) colour: RGBColor,
    pub(super) stroke: f64,
    /// Half the length of its caps; zero for none.
    pub(super) cap: f64,
}

impl BarLook {
    /// A bar of the usual width.
    pub(super) fn new(colour: RGBColor, cap: f64) -> BarLook {
        BarLook {
            colour,
            stroke: theme::BAR_STROKE,
            cap,
        }
    }
}

/// An upright bar from a place to a height.
pub(super) fn upright_bar(canvas: &mut Canvas, from: Place, to_y: f64, look: BarLook) {
    let to = place(from.x, to_y);
    canvas.line(from, to, look.colour, look.stroke);
    if look.cap > 0.0 {
        for end in [from, to] {
            canvas.line(
                place(end.x - look.cap, end.y),
                place(end.x + look.cap, end.y),
                look.colour,
                look.stroke,
            );
        }
    }
}

/// A level bar from a place to the right or left.
pub(super) fn level_bar(canvas: &mut Canvas, from: Place, to_x: f64, look: BarLook) {
    let to = place(to_x, from.y);
    canvas.line(from, to, look.colour, look.stroke);
    if look.cap > 0.0 {
        for end in [from, to] {
            canvas.line(
                place(end.x, end.y - look.cap),
                place(end.x, end.y + look.cap),
                look.colour,
                look.stroke,
            );
        }
    }
}
