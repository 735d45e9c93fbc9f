//! What stands around the data: question, legend, caption, axes with their labels.
//!
//! In: the question, axis labels, a legend, a caption, and the room that names and labels need.
//! Out: a canvas with all of it drawn, and the area that is left for the data.
//! This module never draws a data point, and never lets a legend stand over one.

use super::axis::Axis;
use super::canvas::{Anchor, Canvas, Label, Turn};
use super::legend::{self, Key};
use super::places::{Area, Place, closed, place};
use super::text::{self, Fitted};
use super::theme;
use crate::error::Error;

/// Distance of two marks on a level axis that leaves room for their labels.
pub(super) const LEVEL_DISTANCE: f64 = 60.0;
/// Distance of two marks on an upright axis.
pub(super) const UPRIGHT_DISTANCE: f64 = 40.0;
/// Room for the numbers below a level axis.
const TICK_ROOM: f64 = theme::GAP + theme::TICK_SIZE * theme::LINE_HEIGHT;

/// The parts around the data; all rooms in points of the picture.
#[derive(Debug, Clone)]
pub(super) struct Plan<'a> {
    pub(super) question: &'a str,
    pub(super) legend: Vec<Key>,
    pub(super) caption: &'a str,
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) above: f64,
    pub(super) below: f64,
}

/// A canvas with its surroundings drawn.
pub(super) struct Frame {
    pub(super) canvas: Canvas,
    pub(super) area: Area,
}

/// Room at the left for an upright axis with its numbers and its label.
pub(super) fn room_at_left(axis: &Axis, label: &str) -> f64 {
    theme::MARGIN + upright_label(label).height() + axis.label_width() + 2.5 * theme::GAP
}

/// Room below the data for a level axis with its numbers and its label.
pub(super) fn room_below(label: &str) -> f64 {
    TICK_ROOM + theme::GAP + level_label(label).height()
}

fn upright_label(label: &str) -> Fitted {
    axis_label(label, theme::PLOT_HEIGHT)
}

fn level_label(label: &str) -> Fitted {
    axis_label(label, theme::WIDTH * 0.7)
}

fn axis_label(label: &str, room: f64) -> Fitted {
    let smallest = theme::SMALLEST_LABEL_SIZE;
    text::fit(label, room, theme::LABEL_SIZE, smallest, 2)
}

impl Plan<'_> {
    /// The area of the data, from which axes can be made before anything is drawn.
    pub(super) fn area(&self) -> Area {
        let top = theme::MARGIN
            + self.title().height()
            + theme::GAP
            + legend::height(&self.legend, self.inner_width())
            + 1.5 * theme::GAP
            + self.above;
        Area {
            left: self.left,
            right: self.width - self.right - theme::MARGIN,
            top,
            bottom: top + self.height,
        }
    }

    /// Draws question, legend and caption.
    pub(super) fn open(&self) -> Frame {
        let area = self.area();
        let (title, caption) = (self.title(), self.caption_lines());
        let caption_top = area.bottom + self.below + theme::GAP;
        let mut canvas = Canvas::new(self.width, caption_top + caption.height() + theme::MARGIN);
        for (at, line) in lines_below(&title, theme::MARGIN) {
            canvas.label(Label::new(line, at, title.size).bold());
        }
        let legend_top = theme::MARGIN + title.height() + theme::GAP;
        let from = place(theme::MARGIN, legend_top);
        legend::draw(&mut canvas, &self.legend, from, self.inner_width());
        for (at, line) in lines_below(&caption, caption_top) {
            canvas.label(Label::new(line, at, caption.size).colour(theme::SOFT_INK));
        }
        Frame { canvas, area }
    }

    /// The document of a chart without any value.
    ///
    /// # Errors
    /// As [`Canvas::finish`].
    pub(super) fn nothing_to_show(question: &str) -> Result<String, Error> {
        let plan = Plan {
            question,
            legend: Vec::new(),
            caption: "",
            width: theme::WIDTH,
            height: theme::PLOT_HEIGHT / 3.0,
            left: theme::MARGIN,
            right: 0.0,
            above: 0.0,
            below: 0.0,
        };
        let Frame { mut canvas, area } = plan.open();
        canvas.path(&closed(area.corners()), theme::DIVIDER);
        let label = Label::new("nothing to show", area.middle(), theme::LABEL_SIZE);
        canvas.label(label.anchor(Anchor::Center).colour(theme::SOFT_INK));
        canvas.finish(question)
    }

    fn inner_width(&self) -> f64 {
        self.width - 2.0 * theme::MARGIN
    }

    fn title(&self) -> Fitted {
        // Bold letters are about a tenth wider than the plain ones that widths are known for.
        let room = self.inner_width() * 0.88;
        let smallest = theme::SMALLEST_TITLE_SIZE;
        text::fit(self.question, room, theme::TITLE_SIZE, smallest, 3)
    }

    fn caption_lines(&self) -> Fitted {
        let (room, smallest) = (self.inner_width(), theme::SMALLEST_LABEL_SIZE);
        text::fit(self.caption, room, theme::TICK_SIZE, smallest, 3)
    }
}

/// The lines of a text below a height, each with its place at the left rim.
fn lines_below(fitted: &Fitted, top: f64) -> impl Iterator<Item = (Place, &String)> {
    let line_height = fitted.size * theme::LINE_HEIGHT;
    let middle = move |row: usize| top + (row as f64 + 0.5) * line_height;
    let lines = fitted.lines.iter().enumerate();
    lines.map(move |(row, line)| (place(theme::MARGIN, middle(row)), line))
}

impl Frame {
    /// An upright axis at the left: grid, numbers and label.
    pub(super) fn upright_axis(&mut self, axis: &Axis, label: &str) {
        let area = self.area;
        for tick in &axis.ticks {
            let y = axis.at(tick.value);
            self.canvas.path(&area.across(y), theme::GRID_LINE);
            let at = place(area.left - theme::GAP, y);
            let number = Label::new(&tick.label, at, theme::TICK_SIZE);
            self.canvas.label(number.anchor(Anchor::Right));
        }
        let middle = area.middle().y;
        let at = |down: f64| place(theme::MARGIN + down, middle);
        self.axis_label(&upright_label(label), Turn::Upwards, at);
    }

    /// A level axis at the bottom: grid, numbers and label.
    pub(super) fn level_axis(&mut self, axis: &Axis, label: &str) {
        let area = self.area;
        for tick in &axis.ticks {
            let x = axis.at(tick.value);
            self.canvas.path(&area.downwards(x), theme::GRID_LINE);
            let at = place(x, area.bottom + theme::GAP + theme::TICK_SIZE / 2.0);
            let number = Label::new(&tick.label, at, theme::TICK_SIZE);
            self.canvas.label(number.anchor(Anchor::Center));
        }
        let (middle, top) = (area.middle().x, area.bottom + (TICK_ROOM + theme::GAP));
        let at = |down: f64| place(middle, top + down);
        self.axis_label(&level_label(label), Turn::Level, at);
    }

    /// The lines of the label of an axis, from the side that is up when it is read.
    fn axis_label(&mut self, fitted: &Fitted, turn: Turn, at: impl Fn(f64) -> Place) {
        for (row, line) in fitted.lines.iter().enumerate() {
            let down = (row as f64 + 0.5) * fitted.size * theme::LINE_HEIGHT;
            let label = Label::new(line, at(down), fitted.size);
            self.canvas.label(label.anchor(Anchor::Center).turn(turn));
        }
    }

    /// The left and the lower edge of the data.
    pub(super) fn edges(&mut self) {
        let [upper, corner] = self.area.downwards(self.area.left);
        let end = place(self.area.right, self.area.bottom);
        self.canvas.path(&[upper, corner, end], theme::AXIS_LINE);
    }
}
