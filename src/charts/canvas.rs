//! How does a drawing become a document?
//!
//! In: lines, areas, discs and labels in points of the picture. Out: one SVG document as text, the same bytes each time.
//! This module never decides what is drawn or where, and never reads a value.

use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use super::area::{Place, place};
use super::{text, theme};
use crate::error::{Error, ErrorKind};

/// Which part of a label stands at its place; its middle height always does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// Which way a label is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Turn {
    Level,
    Upwards,
}

/// How heavy the letters of a label are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Weight {
    Normal,
    Bold,
}

/// A line of text.
#[derive(Debug, Clone)]
pub(super) struct Label {
    text: String,
    at: Place,
    size: f64,
    colour: RGBColor,
    anchor: Anchor,
    turn: Turn,
    weight: Weight,
}

impl Label {
    /// A label in ink that starts at a place and reads level; the methods change that.
    pub(super) fn new(text: impl Into<String>, at: Place, size: f64) -> Label {
        Label {
            text: text.into(),
            at,
            size,
            colour: theme::INK,
            anchor: Anchor::Start,
            turn: Turn::Level,
            weight: Weight::Normal,
        }
    }

    pub(super) fn anchor(self, anchor: Anchor) -> Label {
        Label { anchor, ..self }
    }

    pub(super) fn turn(self, turn: Turn) -> Label {
        Label { turn, ..self }
    }

    pub(super) fn weight(self, weight: Weight) -> Label {
        Label { weight, ..self }
    }

    pub(super) fn colour(self, colour: RGBColor) -> Label {
        Label { colour, ..self }
    }
}

#[derive(Debug, Clone)]
enum Item {
    Path {
        places: Vec<Place>,
        colour: RGBColor,
        stroke: f64,
    },
    Area {
        places: Vec<Place>,
        colour: RGBColor,
    },
    Disc {
        centre: Place,
        radius: f64,
        colour: RGBColor,
    },
    Label(Label),
}

/// A picture of a fixed size that collects what is drawn, from back to front.
#[derive(Debug, Clone)]
pub(super) struct Canvas {
    width: f64,
    height: f64,
    items: Vec<Item>,
}

impl Canvas {
    pub(super) fn new(width: f64, height: f64) -> Canvas {
        Canvas {
            width: width.ceil(),
            height: height.ceil(),
            items: Vec::new(),
        }
    }

    /// A line through places, in the order given.
    pub(super) fn path(&mut self, places: Vec<Place>, colour: RGBColor, stroke: f64) {
        self.items.push(Item::Path {
            places,
            colour,
            stroke,
        });
    }

    /// A straight line.
    pub(super) fn line(&mut self, from: Place, to: Place, colour: RGBColor, stroke: f64) {
        self.path(vec![from, to], colour, stroke);
    }

    /// A straight level or upright line in dashes.
    pub(super) fn dashes(&mut self, from: Place, to: Place, colour: RGBColor, stroke: f64) {
        let length = (to.x - from.x).abs() + (to.y - from.y).abs();
        let period = theme::DASH + theme::DASH_GAP;
        let along = |distance: f64| {
            let share = (distance / length).min(1.0);
            place(
                from.x + share * (to.x - from.x),
                from.y + share * (to.y - from.y),
            )
        };
        let count = (length / period).ceil() as usize;
        for start in (0..count).map(|dash| dash as f64 * period) {
            self.line(along(start), along(start + theme::DASH), colour, stroke);
        }
    }

    /// A filled area within places.
    pub(super) fn area(&mut self, places: Vec<Place>, colour: RGBColor) {
        self.items.push(Item::Area { places, colour });
    }

    /// A filled disc.
    pub(super) fn disc(&mut self, centre: Place, radius: f64, colour: RGBColor) {
        self.items.push(Item::Disc {
            centre,
            radius,
            colour,
        });
    }

    /// A line of text.
    pub(super) fn label(&mut self, label: Label) {
        self.items.push(Item::Label(label));
    }

    /// The document, titled with the question for readers who cannot see it.
    ///
    /// # Errors
    /// [`ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub(super) fn finish(self, question: &str) -> Result<String, Error> {
        let mut drawn = String::new();
        self.draw(&mut drawn).map_err(|reason| {
            Error::new(
                ErrorKind::Unwritable,
                format!("the chart could not be drawn: {reason}"),
            )
        })?;
        let body = drawn.split_once('\n').map_or("", |(_, body)| body);
        let document = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" width=\"{}\" height=\"{}\" viewBox=\"0 0 {} {}\">\n<title>{}</title>\n{body}",
            self.width,
            self.height,
            units(self.width),
            units(self.height),
            text::escape(&text::clean(question)),
        );
        Ok(text::seal(&document))
    }

    fn draw(&self, drawn: &mut String) -> Result<(), String> {
        let size = (
            units(self.width).unsigned_abs(),
            units(self.height).unsigned_abs(),
        );
        let sheet = SVGBackend::with_string(drawn, size).into_drawing_area();
        sheet.fill(&theme::PAPER).map_err(|e| e.to_string())?;
        for item in &self.items {
            match item {
                Item::Path {
                    places,
                    colour,
                    stroke,
                } => sheet.draw(&PathElement::new(
                    corners(places),
                    colour.stroke_width(units(*stroke).unsigned_abs()),
                )),
                Item::Area { places, colour } => {
                    sheet.draw(&Polygon::new(corners(places), colour.filled()))
                }
                Item::Disc {
                    centre,
                    radius,
                    colour,
                } => sheet.draw(&Circle::new(
                    corner(*centre),
                    units(*radius),
                    colour.filled(),
                )),
                Item::Label(label) => {
                    sheet.draw_text(&label.text, &style(label), corner(baseline(label)))
                }
            }
            .map_err(|e| e.to_string())?;
        }
        sheet.present().map_err(|e| e.to_string())
    }
}

/// A length in the whole units that plotters draws in.
fn units(length: f64) -> i32 {
    (length * theme::FINENESS).round() as i32
}

fn corner(place: Place) -> (i32, i32) {
    (units(place.x), units(place.y))
}

fn corners(places: &[Place]) -> Vec<(i32, i32)> {
    places.iter().map(|place| corner(*place)).collect()
}

/// Share of the size by which the middle of digits and capitals stands above the middle of small letters.
const CAPITALS_RISE: f64 = 0.1;

/// The place that plotters is given: it centres small letters, and labels are mostly digits and capitals.
fn baseline(label: &Label) -> Place {
    let shift = label.size * CAPITALS_RISE;
    match label.turn {
        Turn::Level => place(label.at.x, label.at.y + shift),
        Turn::Upwards => place(label.at.x + shift, label.at.y),
    }
}

/// Ratio of the size that plotters takes to the one that it writes into the document.
const SIZE_RATIO: f64 = 1.24;

/// The size that plotters writes as a whole number: this one, or the next smaller one that its division hits.
fn plotters_size(wanted: f64) -> f64 {
    let mut written = wanted.round();
    while written > 1.0 {
        let size = written * SIZE_RATIO;
        let near = [size, size.next_down(), size.next_up()];
        if let Some(exact) = near.into_iter().find(|size| size / SIZE_RATIO == written) {
            return exact;
        }
        written -= 1.0;
    }
    wanted * SIZE_RATIO
}

fn style(label: &Label) -> TextStyle<'_> {
    let size = plotters_size(label.size * theme::FINENESS);
    let weight = match label.weight {
        Weight::Normal => FontStyle::Normal,
        Weight::Bold => FontStyle::Bold,
    };
    let turn = match label.turn {
        Turn::Level => FontTransform::None,
        Turn::Upwards => FontTransform::Rotate270,
    };
    let along = match label.anchor {
        Anchor::Start => HPos::Left,
        Anchor::Middle => HPos::Center,
        Anchor::End => HPos::Right,
    };
    TextStyle::from(
        (FontFamily::SansSerif, size)
            .into_font()
            .style(weight)
            .transform(turn),
    )
    .color(&label.colour)
    .pos(Pos::new(along, VPos::Center))
}
