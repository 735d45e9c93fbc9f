//! Effects with their intervals around the line of no effect.
//!
//! In: an [`EffectChart`]. Out: its picture, one row an effect around the line of no effect.
//! This module never marks an effect as important: the reader sees whether its bar reaches zero.

use super::axis::{Axis, Range, is_drawable};
use super::canvas::Label;
use super::frame::{self, Frame, LEVEL_DISTANCE, Plan};
use super::legend::{self, Sample};
use super::places::place;
use super::{Bar, marks, text, theme};
use crate::error::Error;

/// Half-height of the caps on bars.
const CAP: f64 = 4.0;
/// Space above and below the rows.
const RIM: f64 = 4.0;

/// Effects as points with intervals around a zero line, one row each, grouped by factor.
#[derive(Debug, Clone, PartialEq)]
pub struct EffectChart {
    /// The question that the chart answers; its title.
    pub question: String,
    /// Quantity and unit of the effects.
    pub x_label: String,
    /// The effects, from top to bottom; rows of the same group stand together.
    pub rows: Vec<EffectRow>,
    /// What the bars are, such as `bars: 95 % intervals`.
    pub interval: String,
}

/// One row of an [`EffectChart`].
#[derive(Debug, Clone, PartialEq)]
pub struct EffectRow {
    /// The factor that the effect belongs to.
    pub group: String,
    /// The effect itself.
    pub label: String,
    /// Its value and interval.
    pub bar: Bar,
}

impl EffectChart {
    /// The picture as an SVG document.
    ///
    /// # Errors
    /// [`crate::error::ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub fn svg(&self) -> Result<String, Error> {
        let drawable = |row: &&EffectRow| is_drawable(row.bar.value);
        let rows: Vec<&EffectRow> = self.rows.iter().filter(drawable).collect();
        let Some(range) = Range::covering(rows.iter().flat_map(|row| row.bar.reach())) else {
            return Plan::nothing_to_show(&self.question);
        };
        let group_width = widest(rows.iter().map(|row| row.group.as_str())) * 1.1;
        let label_width = widest(rows.iter().map(|row| shown_label(row)));
        let explanation = legend::explain(Sample::Mean, "effect", &self.interval);
        let plan = Plan {
            question: &self.question,
            legend: explanation.legend,
            caption: explanation.caption,
            width: theme::WIDTH,
            height: rows.len() as f64 * theme::ROW_HEIGHT + 2.0 * RIM,
            left: theme::MARGIN + group_width + label_width + 4.0 * theme::GAP,
            right: theme::GAP,
            above: 0.0,
            below: frame::room_below(&self.x_label),
        };
        let mut frame = plan.open();
        let area = frame.area;
        let range = range.with_zero().padded();
        let axis = Axis::new(range, area.left, area.right, LEVEL_DISTANCE);
        frame.level_axis(&axis, &self.x_label);
        frame.edges();
        let zero = area.downwards(axis.at(0.0));
        frame.canvas.path(&zero, theme::DARK_LINE);
        let label_left = theme::MARGIN + group_width + 2.0 * theme::GAP;
        draw_rows(&mut frame, &axis, &rows, label_left);
        frame.canvas.finish(&self.question)
    }
}

/// The label of a row, empty where it would repeat the group.
fn shown_label(row: &EffectRow) -> &str {
    if row.label == row.group {
        ""
    } else {
        &row.label
    }
}

fn shortened(name: &str) -> String {
    text::shorten(name, theme::LONGEST_NAME)
}

fn widest<'a>(names: impl Iterator<Item = &'a str>) -> f64 {
    let names: Vec<String> = names.map(shortened).collect();
    text::widest(names.iter().map(String::as_str), theme::TICK_SIZE)
}

fn draw_rows(frame: &mut Frame, axis: &Axis, rows: &[&EffectRow], label_left: f64) {
    let Frame { canvas, area } = frame;
    let mut previous: Option<&str> = None;
    for (position, row) in rows.iter().enumerate() {
        let top = area.top + RIM + position as f64 * theme::ROW_HEIGHT;
        let middle = top + theme::ROW_HEIGHT / 2.0;
        if previous != Some(row.group.as_str()) {
            if previous.is_some() {
                let ends = [place(theme::MARGIN, top), place(area.right, top)];
                canvas.path(&ends, theme::DIVIDER);
            }
            let at = place(theme::MARGIN, middle);
            canvas.label(Label::new(shortened(&row.group), at, theme::TICK_SIZE).bold());
        }
        previous = Some(&row.group);
        let at = place(label_left, middle);
        canvas.label(Label::new(
            shortened(shown_label(row)),
            at,
            theme::TICK_SIZE,
        ));
        if let Some(ends) = row.bar.ends() {
            let ends = [axis.at(ends.low), axis.at(ends.high)];
            marks::level_bar(canvas, middle, ends, CAP, theme::MEAN_BAR);
        }
        let at = place(axis.at(row.bar.value), middle);
        marks::mark(canvas, theme::MEAN, at, theme::MARK_RADIUS);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(group: &str, value: f64) -> EffectRow {
        EffectRow {
            group: group.to_string(),
            label: format!("{group} row"),
            bar: Bar {
                value,
                low: value - 1.0,
                high: value + 1.0,
            },
        }
    }

    fn check(rows: Vec<EffectRow>) -> String {
        let chart = EffectChart {
            question: "What moves the yield?".to_string(),
            x_label: "change of yield / %".to_string(),
            rows,
            interval: "bars: 95 % intervals".to_string(),
        };
        chart.svg().expect("a chart of effects")
    }

    #[test]
    fn a_group_is_named_once_for_its_rows() {
        let svg = check(vec![
            row("heating", 1.0),
            row("heating", 2.0),
            row("route", 3.0),
        ]);
        assert_eq!(svg.matches("\nheating\n").count(), 1);
        assert_eq!(svg.matches("\nheating row\n").count(), 2);
    }

    #[test]
    fn an_effect_without_a_value_has_no_row() {
        let svg = check(vec![row("heating", 1.0), row("route", f64::NAN)]);
        assert!(!svg.contains("route row"));
    }
}
