//! What does a level reference line mean?
//!
//! In: labelled values and their axis. Out: dashed lines, and their labels at the right of the data.
//! This module never places a label over a point.

use super::ReferenceLine;
use super::area::{Area, place};
use super::axis::{Axis, is_drawable};
use super::canvas::{Canvas, Label};
use super::text::{self, Fitted};
use super::theme;

/// The values of all lines that an axis must reach.
pub(super) fn values(lines: &[ReferenceLine]) -> impl Iterator<Item = f64> {
    lines.iter().map(|line| line.value)
}

/// Room that the labels of level lines need at the right of the data.
pub(super) fn room_at_right(lines: &[ReferenceLine]) -> f64 {
    lines
        .iter()
        .filter(|line| is_drawable(line.value))
        .map(|line| wrapped(&line.label).width() + 2.0 * theme::GAP)
        .fold(0.0, f64::max)
}

fn wrapped(label: &str) -> Fitted {
    text::fit(
        label,
        theme::WIDEST_LINE_LABEL,
        theme::TICK_SIZE,
        theme::SMALLEST_LABEL_SIZE,
        3,
    )
}

/// Level lines across the data, each with its label at its right end; labels make way for each other.
pub(super) fn draw_level(canvas: &mut Canvas, lines: &[ReferenceLine], axis: &Axis, area: Area) {
    let mut drawn: Vec<&ReferenceLine> = lines
        .iter()
        .filter(|line| is_drawable(line.value))
        .collect();
    drawn.sort_by(|one, other| other.value.total_cmp(&one.value));
    let labels: Vec<Fitted> = drawn.iter().map(|line| wrapped(&line.label)).collect();
    let wanted: Vec<f64> = drawn.iter().map(|line| axis.at(line.value)).collect();
    let heights: Vec<f64> = labels.iter().map(Fitted::height).collect();
    let middles = spread(&wanted, &heights, area);
    for ((label, level), middle) in labels.iter().zip(&wanted).zip(middles) {
        canvas.dashes(
            place(area.left, *level),
            place(area.right, *level),
            theme::SOFT_INK,
            theme::AXIS_STROKE,
        );
        canvas.line(
            place(area.right, *level),
            place(area.right + theme::GAP, middle),
            theme::SOFT_INK,
            theme::GRID_STROKE,
        );
        let line_height = label.size * theme::LINE_HEIGHT;
        let top = middle - label.height() / 2.0 + line_height / 2.0;
        for (row, line) in label.lines.iter().enumerate() {
            canvas.label(Label::new(
                line.clone(),
                place(
                    area.right + 1.5 * theme::GAP,
                    top + row as f64 * line_height,
                ),
                label.size,
            ));
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_of_lines_at_one_height_do_not_overlap() {
        let area = Area {
            left: 0.0,
            right: 100.0,
            top: 0.0,
            bottom: 100.0,
        };
        let middles = spread(&[97.0, 98.0, 98.0], &[16.0, 32.0, 16.0], area);
        assert!(middles[1] - middles[0] >= 24.0);
        assert!(middles[2] - middles[1] >= 24.0);
        assert!(middles[2] <= area.bottom + 3.0 * theme::GAP);
    }
}
