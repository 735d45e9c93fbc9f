//! What does an upright reference line mean?
//!
//! In: labelled values on a level axis. Out: dashed lines, each with its label like a flag on a mast above the data.
//! This module never lets a mast cross a label while a free row can be found, and never draws over a point.

use super::ReferenceLine;
use super::area::{Area, place};
use super::axis::{Axis, is_drawable};
use super::canvas::{Anchor, Canvas, Label};
use super::{text, theme};

/// Height of one row of labels above the data.
const ROW: f64 = theme::TICK_SIZE * theme::LINE_HEIGHT;

/// The label of an upright line, and the row above the data in which it stands.
#[derive(Debug, Clone)]
struct Flag {
    mast: f64,
    left: f64,
    right: f64,
    row: usize,
    text: String,
}

impl Flag {
    /// A flag at the right of its mast, or at the left where the picture ends; its row is still to be found.
    fn new(line: &ReferenceLine, axis: &Axis, end: f64) -> Flag {
        let text = text::shorten(&line.label, theme::LONGEST_LEGEND_NAME);
        let width = text::width(&text, theme::TICK_SIZE);
        let mast = axis.at(line.value);
        let gap = theme::GAP / 2.0;
        let left = if mast + gap + width <= end {
            mast + gap
        } else {
            (mast - gap - width).max(theme::MARGIN)
        };
        Flag {
            mast,
            left,
            right: left + width,
            row: 0,
            text,
        }
    }

    fn covers(&self, x: f64) -> bool {
        self.left < x && x < self.right
    }

    /// Whether this flag and another one get into each other's way in the rows that they have.
    fn disturbs(&self, other: &Flag) -> bool {
        let overlaps = self.row == other.row
            && self.left < other.right + theme::GAP
            && other.left < self.right + theme::GAP;
        overlaps
            || self.row > other.row && other.covers(self.mast)
            || self.row < other.row && self.covers(other.mast)
    }
}

/// Upright lines whose labels stand in rows above the data.
#[derive(Debug, Clone)]
pub(super) struct Flags {
    flags: Vec<Flag>,
}

impl Flags {
    /// Finds a row for each label, left of an end of the picture.
    pub(super) fn new(lines: &[ReferenceLine], axis: &Axis, end: f64) -> Flags {
        let mut flags: Vec<Flag> = lines
            .iter()
            .filter(|line| is_drawable(line.value))
            .map(|line| Flag::new(line, axis, end))
            .collect();
        // From right to left, a flag that makes way goes up and its mast stays clear of the flags at its right.
        flags.sort_by(|one, other| other.mast.total_cmp(&one.mast));
        for position in 0..flags.len() {
            let (placed, rest) = flags.split_at_mut(position);
            let flag = &mut rest[0];
            while flag.row < placed.len() && placed.iter().any(|other| flag.disturbs(other)) {
                flag.row += 1;
            }
        }
        Flags { flags }
    }

    /// Room that the labels need above the data.
    pub(super) fn room_above(&self) -> f64 {
        self.flags
            .iter()
            .map(|flag| (flag.row + 1) as f64 * ROW + theme::GAP / 2.0)
            .fold(0.0, f64::max)
    }

    /// Draws masts and labels above the data.
    pub(super) fn draw(&self, canvas: &mut Canvas, area: Area) {
        for flag in &self.flags {
            let middle = area.top - theme::GAP / 2.0 - (flag.row as f64 + 0.5) * ROW;
            canvas.dashes(
                place(flag.mast, area.bottom),
                place(flag.mast, middle - ROW / 3.0),
                theme::SOFT_INK,
                theme::AXIS_STROKE,
            );
            // The text meets its mast: its width is only guessed, so it hangs by the end that does.
            let (at, anchor) = if flag.right < flag.mast {
                (flag.right, Anchor::End)
            } else {
                (flag.left, Anchor::Start)
            };
            let label = Label::new(flag.text.clone(), place(at, middle), theme::TICK_SIZE);
            canvas.label(label.anchor(anchor));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::axis::Range;
    use super::*;

    fn flags(values: &[f64]) -> Flags {
        let range = Range {
            low: 0.0,
            high: 10.0,
        };
        let lines: Vec<ReferenceLine> = values
            .iter()
            .map(|value| ReferenceLine {
                value: *value,
                label: "limit of the region".to_string(),
            })
            .collect();
        Flags::new(&lines, &Axis::new(range, 100.0, 600.0, 90.0), 600.0)
    }

    #[test]
    fn labels_that_stand_close_get_rows_of_their_own() {
        let close = flags(&[5.0, 5.1, 5.2]).flags;
        for (position, flag) in close.iter().enumerate() {
            assert!(close[..position].iter().all(|other| !flag.disturbs(other)));
        }
    }

    #[test]
    fn labels_that_stand_apart_share_a_row() {
        let apart = flags(&[1.0, 9.0, f64::NAN]).flags;
        assert!(apart.iter().all(|flag| flag.row == 0));
        assert_eq!(apart.len(), 2);
    }

    #[test]
    fn a_label_at_the_end_of_the_picture_stands_at_the_left_of_its_line() {
        let last = &flags(&[10.0]).flags[0];
        assert!(last.right < last.mast);
    }
}
