//! Labelled reference lines, level or upright.
//!
//! In: labelled values and their axis. Out: dashed lines; a level one has its label at the right of the data, an upright one
//! like a flag on a mast above them.
//! This module never places a label over a point, and never lets a mast cross a label while a free row can be found.

use super::axis::{Axis, is_drawable};
use super::canvas::{Anchor, Canvas, Label};
use super::places::{Area, place};
use super::text::{self, Fitted};
use super::theme;

/// Height of one row of labels above the data.
const ROW: f64 = theme::TICK_SIZE * theme::LINE_HEIGHT;

/// A labelled reference line.
#[derive(Debug, Clone, PartialEq)]
pub struct ReferenceLine {
    /// Where the line stands, in the unit of its axis; the axis is stretched to reach it.
    pub value: f64,
    /// What the line means, written at its end outside the data.
    pub label: String,
}

/// The values of all lines that an axis must reach.
pub(super) fn values(lines: &[ReferenceLine]) -> impl Iterator<Item = f64> {
    lines.iter().map(|line| line.value)
}

fn drawable(lines: &[ReferenceLine]) -> impl Iterator<Item = &ReferenceLine> {
    lines.iter().filter(|line| is_drawable(line.value))
}

/// Room that the labels of level lines need at the right of the data.
pub(super) fn room_at_right(lines: &[ReferenceLine]) -> f64 {
    drawable(lines)
        .map(|line| wrapped(&line.label).width() + 2.0 * theme::GAP)
        .fold(0.0, f64::max)
}

fn wrapped(label: &str) -> Fitted {
    let smallest = theme::SMALLEST_LABEL_SIZE;
    text::fit(
        label,
        theme::WIDEST_LINE_LABEL,
        theme::TICK_SIZE,
        smallest,
        3,
    )
}

/// Level lines across the data, each with its label at its right end; labels make way for each other.
pub(super) fn draw_level(canvas: &mut Canvas, lines: &[ReferenceLine], axis: &Axis, area: Area) {
    let mut drawn: Vec<&ReferenceLine> = drawable(lines).collect();
    drawn.sort_by(|one, other| other.value.total_cmp(&one.value));
    let labels: Vec<Fitted> = drawn.iter().map(|line| wrapped(&line.label)).collect();
    let wanted: Vec<f64> = drawn.iter().map(|line| axis.at(line.value)).collect();
    let heights: Vec<f64> = labels.iter().map(Fitted::height).collect();
    let middles = spread(&wanted, &heights, area);
    for ((label, level), middle) in labels.iter().zip(&wanted).zip(middles) {
        canvas.dashes(area.across(*level), theme::AXIS_LINE);
        let ends = [
            place(area.right, *level),
            place(area.right + theme::GAP, middle),
        ];
        canvas.path(&ends, theme::FINE_LINE);
        let line_height = label.size * theme::LINE_HEIGHT;
        let top = middle - label.height() / 2.0 + line_height / 2.0;
        for (row, line) in label.lines.iter().enumerate() {
            let y = top + row as f64 * line_height;
            let at = place(area.right + 1.5 * theme::GAP, y);
            canvas.label(Label::new(line, at, label.size));
        }
    }
}

/// Middles near the wanted ones, from top to bottom, at which labels of these heights do not overlap.
fn spread(wanted: &[f64], heights: &[f64], area: Area) -> Vec<f64> {
    let mut middles = Vec::with_capacity(wanted.len());
    let mut free = area.top - theme::GAP;
    for (middle, height) in wanted.iter().zip(heights) {
        let placed = middle.max(free + height / 2.0);
        free = placed + height / 2.0;
        middles.push(placed);
    }
    // Labels pushed beyond the lower end go back up, the lowest first.
    let mut free = area.bottom + 3.0 * theme::GAP;
    for (middle, height) in middles.iter_mut().zip(heights).rev() {
        *middle = middle.min(free - height / 2.0);
        free = *middle - height / 2.0;
    }
    middles
}

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
        let mut flags: Vec<Flag> = drawable(lines)
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
            let top = middle - ROW / 3.0;
            let mast = [place(flag.mast, area.bottom), place(flag.mast, top)];
            canvas.dashes(mast, theme::AXIS_LINE);
            // The text meets its mast: its width is only guessed, so it hangs by the end that does.
            let (at, anchor) = if flag.right < flag.mast {
                (flag.right, Anchor::Right)
            } else {
                (flag.left, Anchor::Left)
            };
            let label = Label::new(&flag.text, place(at, middle), theme::TICK_SIZE);
            canvas.label(label.anchor(anchor));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::axis::Range;
    use super::*;

    #[test]
    fn labels_of_lines_at_one_height_do_not_overlap() {
        let area = Area::between(place(0.0, 0.0), place(100.0, 100.0));
        let middles = spread(&[97.0, 98.0, 98.0], &[16.0, 32.0, 16.0], area);
        assert!(middles[1] - middles[0] >= 24.0);
        assert!(middles[2] - middles[1] >= 24.0);
        assert!(middles[2] <= area.bottom + 3.0 * theme::GAP);
    }

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
