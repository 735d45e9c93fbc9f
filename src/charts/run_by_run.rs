//! What stands around a chart that goes run by run or level by level.
//!
//! In: question, labels, slots with their groups, reference lines and a range. Out: a sheet on which the slots can be drawn.
//! This module never draws a value, and never narrows the picture: it grows with its slots while each can have its name.

use super::axis::{Axis, Range};
use super::frame::{self, Frame, Plan, UPRIGHT_DISTANCE};
use super::legend::Key;
use super::slots::{Categories, Slot};
use super::{ReferenceLine, reference_lines, theme};

/// What stands around the slots.
#[derive(Debug, Clone)]
pub(super) struct Surroundings<'a> {
    pub(super) question: &'a str,
    pub(super) y_label: &'a str,
    pub(super) legend: Vec<Key>,
    pub(super) caption: &'a str,
    pub(super) lines: &'a [ReferenceLine],
    /// Width that one slot needs so that its name stays legible; the picture grows with it.
    pub(super) slot_width: f64,
}

/// A frame with an upright axis and evenly spaced slots.
pub(super) struct Sheet {
    pub(super) frame: Frame,
    pub(super) axis: Axis,
    pub(super) categories: Categories,
}

impl Surroundings<'_> {
    /// Draws all but the reference lines, for which room is left.
    pub(super) fn open<T>(&self, slots: &[Slot<T>], range: Range) -> Sheet {
        let draft = Axis::new(range, theme::PLOT_HEIGHT, 0.0, UPRIGHT_DISTANCE);
        let left = frame::room_at_left(&draft, self.y_label);
        let right = reference_lines::room_at_right(self.lines);
        let named = slots.len().min(theme::MOST_RUN_NAMES) as f64;
        let width = theme::WIDTH.max(left + right + theme::MARGIN + named * self.slot_width);
        let inner = width - left - right - theme::MARGIN;
        let categories = Categories::new(slots, inner);
        let plan = Plan {
            question: self.question,
            legend: self.legend.clone(),
            caption: self.caption,
            width,
            height: theme::PLOT_HEIGHT,
            left,
            right,
            above: 0.0,
            below: categories.room_below(),
        };
        let mut frame = plan.open();
        let area = frame.area;
        let axis = Axis::new(range, area.bottom, area.top, UPRIGHT_DISTANCE);
        categories.draw_dividers(&mut frame.canvas, area);
        frame.upright_axis(&axis, self.y_label);
        frame.edges();
        categories.draw(&mut frame.canvas, area);
        Sheet {
            frame,
            axis,
            categories,
        }
    }
}

impl Sheet {
    /// The middle of a slot.
    pub(super) fn middle(&self, position: usize) -> f64 {
        self.categories.at(self.frame.area, position)
    }

    /// Draws the reference lines over what has been drawn so far.
    pub(super) fn draw_lines(&mut self, lines: &[ReferenceLine]) {
        let area = self.frame.area;
        reference_lines::draw_level(&mut self.frame.canvas, lines, &self.axis, area);
    }
}
