//! What stands around the data?
//!
//! In: the question, axis labels, a legend, a caption, and the room that names and labels need.
//! Out: a canvas with all of it drawn, and the area that is left for the data.
//! This module never draws a data point, and never lets a legend stand over one.

use super::area::{Area, Place, closed, place};
use super::axis::Axis;
use super::canvas::{Anchor, Canvas, Label, Turn, Weight};
use super::legend::{self, Key};
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
#[derive(Debug, Clone)]
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
    text::fit(
        label,
        theme::PLOT_HEIGHT,
        theme::LABEL_SIZE,
        theme::SMALLEST_LABEL_SIZE,
        2,
    )
}

fn level_label(label: &str) -> Fitted {
    text::fit(
        label,
        theme::WIDTH * 0.7,
        theme::LABEL_SIZE,
        theme::SMALLEST_LABEL_SIZE,
        2,
    )
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
        let caption = self.caption_lines();
        let caption_top = area.bottom + self.below + theme::GAP;
        let mut canvas = Canvas::new(self.width, caption_top + caption.height() + theme::MARGIN);
        let title = self.title();
        draw_lines(
            &mut canvas,
            &title,
            place(theme::MARGIN, theme::MARGIN),
            Weight::Bold,
        );
        let legend_top = theme::MARGIN + title.height() + theme::GAP;
        legend::draw(
            &mut canvas,
            &self.legend,
            place(theme::MARGIN, legend_top),
            self.inner_width(),
        );
        draw_lines(
            &mut canvas,
            &caption,
            place(theme::MARGIN, caption_top),
            Weight::Normal,
        );
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
        let mut frame = plan.open();
        let area = frame.area;
        let outline = closed(area.corners());
        frame.canvas.path(outline, theme::GRID, theme::AXIS_STROKE);
        frame.canvas.label(
            Label::new(
                "nothing to show",
                place(
                    area.left + area.width() / 2.0,
                    area.top + area.height() / 2.0,
                ),
                theme::LABEL_SIZE,
            )
            .anchor(Anchor::Middle)
            .colour(theme::SOFT_INK),
        );
        frame.canvas.finish(question)
    }

    fn inner_width(&self) -> f64 {
        self.width - 2.0 * theme::MARGIN
    }

    fn title(&self) -> Fitted {
        // Bold letters are about a tenth wider than the plain ones that widths are known for.
        text::fit(
            self.question,
            self.inner_width() * 0.88,
            theme::TITLE_SIZE,
            theme::SMALLEST_TITLE_SIZE,
            3,
        )
    }

    fn caption_lines(&self) -> Fitted {
        text::fit(
            self.caption,
            self.inner_width(),
            theme::TICK_SIZE,
            theme::SMALLEST_LABEL_SIZE,
            3,
        )
    }
}

fn draw_lines(canvas: &mut Canvas, fitted: &Fitted, from: Place, weight: Weight) {
    let line_height = fitted.size * theme::LINE_HEIGHT;
    for (row, line) in fitted.lines.iter().enumerate() {
        let at = place(from.x, from.y + (row as f64 + 0.5) * line_height);
        let label = Label::new(line.clone(), at, fitted.size).weight(weight);
        canvas.label(match weight {
            Weight::Bold => label,
            Weight::Normal => label.colour(theme::SOFT_INK),
        });
    }
}

impl Frame {
    /// An upright axis at the left: grid, numbers and label.
    pub(super) fn upright_axis(&mut self, axis: &Axis, label: &str) {
        let area = self.area;
        for tick in &axis.ticks {
            let y = axis.at(tick.value);
            self.canvas.line(
                place(area.left, y),
                place(area.right, y),
                theme::GRID,
                theme::GRID_STROKE,
            );
            self.canvas.label(
                Label::new(
                    tick.label.clone(),
                    place(area.left - theme::GAP, y),
                    theme::TICK_SIZE,
                )
                .anchor(Anchor::End),
            );
        }
        let fitted = upright_label(label);
        for (row, line) in fitted.lines.iter().enumerate() {
            let x = theme::MARGIN + (row as f64 + 0.5) * fitted.size * theme::LINE_HEIGHT;
            self.canvas.label(
                Label::new(
                    line.clone(),
                    place(x, area.top + area.height() / 2.0),
                    fitted.size,
                )
                .anchor(Anchor::Middle)
                .turn(Turn::Upwards),
            );
        }
    }

    /// A level axis at the bottom: grid, numbers and label.
    pub(super) fn level_axis(&mut self, axis: &Axis, label: &str) {
        let area = self.area;
        for tick in &axis.ticks {
            let x = axis.at(tick.value);
            self.canvas.line(
                place(x, area.top),
                place(x, area.bottom),
                theme::GRID,
                theme::GRID_STROKE,
            );
            self.canvas.label(
                Label::new(
                    tick.label.clone(),
                    place(x, area.bottom + theme::GAP + theme::TICK_SIZE / 2.0),
                    theme::TICK_SIZE,
                )
                .anchor(Anchor::Middle),
            );
        }
        self.level_label(label, TICK_ROOM + theme::GAP);
    }

    /// A label below the data, at a distance from them.
    pub(super) fn level_label(&mut self, label: &str, distance: f64) {
        let area = self.area;
        let fitted = level_label(label);
        for (row, line) in fitted.lines.iter().enumerate() {
            let y = area.bottom + distance + (row as f64 + 0.5) * fitted.size * theme::LINE_HEIGHT;
            self.canvas.label(
                Label::new(
                    line.clone(),
                    place(area.left + area.width() / 2.0, y),
                    fitted.size,
                )
                .anchor(Anchor::Middle),
            );
        }
    }

    /// The left and the lower edge of the data.
    pub(super) fn edges(&mut self) {
        let area = self.area;
        self.canvas.path(
            vec![
                place(area.left, area.top),
                place(area.left, area.bottom),
                place(area.right, area.bottom),
            ],
            theme::SOFT_INK,
            theme::AXIS_STROKE,
        );
    }
}
