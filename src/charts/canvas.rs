//! A drawing that becomes a document.
//!
//! In: lines, areas, discs and labels in points of the picture. Out: one SVG document as text, the same bytes each time.
//! This module never decides what is drawn or where, and never reads a value.

use plotters::prelude::*;
use plotters::style::text_anchor::{Pos, VPos};

use super::places::{Place, place};
use super::theme::Pen;
use super::{text, theme};
use crate::error::{Error, ErrorKind};

/// Which part of a label stands at its place; its middle height always does.
pub(super) use plotters::style::text_anchor::HPos as Anchor;

/// Which way a label is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Turn {
    Level,
    Upwards,
}

/// A line of text.
pub(super) struct Label {
    text: String,
    at: Place,
    size: f64,
    colour: RGBColor,
    anchor: Anchor,
    turn: Turn,
    style: FontStyle,
}

impl Label {
    /// A label in ink that starts at a place and reads level; the methods change that.
    pub(super) fn new(text: impl Into<String>, at: Place, size: f64) -> Label {
        Label {
            text: text.into(),
            at,
            size,
            colour: theme::INK,
            anchor: Anchor::Left,
            turn: Turn::Level,
            style: FontStyle::Normal,
        }
    }

    pub(super) fn anchor(self, anchor: Anchor) -> Label {
        Label { anchor, ..self }
    }

    pub(super) fn turn(self, turn: Turn) -> Label {
        Label { turn, ..self }
    }

    pub(super) fn bold(self) -> Label {
        let style = FontStyle::Bold;
        Label { style, ..self }
    }

    pub(super) fn colour(self, colour: RGBColor) -> Label {
        Label { colour, ..self }
    }
}

/// A place in the whole units that plotters draws in.
type Unit = (i32, i32);

enum Item {
    Path(PathElement<Unit>),
    Area(Polygon<Unit>),
    Disc(Circle<Unit, i32>),
    Label(Text<'static, Unit, String>),
}

/// A picture of a fixed size that collects what is drawn, from back to front.
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
    pub(super) fn path(&mut self, places: &[Place], pen: Pen) {
        let style = pen.colour.stroke_width(units(pen.width).unsigned_abs());
        let path = PathElement::new(corners(places), style);
        self.items.push(Item::Path(path));
    }

    /// A straight level or upright line in dashes.
    pub(super) fn dashes(&mut self, [from, to]: [Place; 2], pen: Pen) {
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
            self.path(&[along(start), along(start + theme::DASH)], pen);
        }
    }

    /// A filled area within places.
    pub(super) fn area(&mut self, places: &[Place], colour: RGBColor) {
        let polygon = Polygon::new(corners(places), colour.filled());
        self.items.push(Item::Area(polygon));
    }

    /// A filled disc.
    pub(super) fn disc(&mut self, centre: Place, radius: f64, colour: RGBColor) {
        let disc = Circle::new(corner(centre), units(radius), colour.filled());
        self.items.push(Item::Disc(disc));
    }

    /// A line of text.
    pub(super) fn label(&mut self, label: Label) {
        let (style, at) = (style(&label), corner(baseline(&label)));
        self.items
            .push(Item::Label(Text::new(label.text, at, style)));
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
                Item::Path(path) => sheet.draw(path),
                Item::Area(polygon) => sheet.draw(polygon),
                Item::Disc(disc) => sheet.draw(disc),
                Item::Label(text) => sheet.draw(text),
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

fn corner(place: Place) -> Unit {
    (units(place.x), units(place.y))
}

fn corners(places: &[Place]) -> Vec<Unit> {
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

fn style(label: &Label) -> TextStyle<'static> {
    let size = plotters_size(label.size * theme::FINENESS);
    let turn = match label.turn {
        Turn::Level => FontTransform::None,
        Turn::Upwards => FontTransform::Rotate270,
    };
    let font = (FontFamily::SansSerif, size).into_font();
    TextStyle {
        font: font.style(label.style).transform(turn),
        color: label.colour.to_backend_color(),
        pos: Pos::new(label.anchor, VPos::Center),
    }
}
