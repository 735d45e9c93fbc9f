//! Values run by run, with their bars.
//!
//! In: a [`RunChart`]. Out: its picture, values with their bars in run order, series side by side.
//! This module never joins the runs by a line: what lies between two runs was not measured.

use super::axis::{Range, beyond, is_drawable};
use super::canvas::Label;
use super::frame::Plan;
use super::legend::{Key, Sample};
use super::places::place;
use super::run_by_run::{Sheet, Surroundings};
use super::slots::{one_for_each_series, thinned};
use super::theme::{self, pen};
use super::{Bar, Slot, marks};
use crate::error::Error;

/// Share of a slot that the series of one run spread over.
const SPREAD: f64 = 0.5;
/// Widest distance of two series of one run.
const WIDEST_STEP: f64 = 14.0;
/// Slots narrower than this have no room for caps on bars.
const NARROWEST_WITH_CAPS: f64 = 6.0;

/// Run by run: values with bars in run order, several series side by side, lots marked along the axis.
///
/// Use it for what the runs gave and for drift.
#[derive(Debug, Clone, PartialEq)]
pub struct RunChart {
    /// The question that the chart answers; its title.
    pub question: String,
    /// Quantity and unit of the values, such as `yield / %`.
    pub y_label: String,
    /// What each series shows.
    pub series: Vec<String>,
    /// The runs, in the order in which they are drawn, each with a value for each series; `None` where there is none.
    pub runs: Vec<Slot<Vec<Option<Bar>>>>,
}

impl RunChart {
    /// The picture as an SVG document.
    ///
    /// # Errors
    /// [`crate::error::ErrorKind::OutOfRange`] if a run has not one entry for each series;
    /// [`crate::error::ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub fn svg(&self) -> Result<String, Error> {
        one_for_each_series(&self.runs, self.series.len(), Vec::len)?;
        if let Some(runs) = thinned(&self.runs, |_| false) {
            return Self {
                runs,
                ..self.clone()
            }
            .drawn();
        }
        self.drawn()
    }

    /// The picture of all its runs.
    fn drawn(&self) -> Result<String, Error> {
        let bars = || self.runs.iter().flat_map(|run| run.shown.iter().flatten());
        let values: Vec<f64> = bars().map(|bar| bar.value).collect();
        let Some(most) = Range::of_most(&values) else {
            return Plan::nothing_to_show(&self.question);
        };
        let near = bars().filter(|bar| most.holds(bar.value));
        let range = Range::covering(near.flat_map(Bar::reach)).unwrap_or(most);
        let surroundings = Surroundings {
            question: &self.question,
            y_label: &self.y_label,
            legend: self.legend(),
            caption: "",
            lines: &[],
            slot_width: theme::RUN_WIDTH,
        };
        let mut sheet = surroundings.open(&self.runs, range.padded());
        for position in 0..self.series.len() {
            self.draw_series(position, most, &mut sheet);
        }
        sheet.frame.canvas.finish(&self.question)
    }

    fn legend(&self) -> Vec<Key> {
        let lone = self.series.len() == 1;
        let needed = |name: &str| !(name.is_empty() || lone && self.y_label.contains(name));
        let series = self.series.iter().enumerate();
        series
            .filter(|(_, name)| needed(name))
            .map(|(position, name)| Key::new(Sample::Series(position), name))
            .collect()
    }

    /// A value beyond `most` stands at the edge, with its figure beside it.
    fn draw_series(&self, position: usize, most: Range, sheet: &mut Sheet) {
        let count = self.series.len() as f64;
        let slot = sheet.categories.slot();
        let step = (slot * SPREAD / count).min(WIDEST_STEP);
        let shift = (position as f64 - (count - 1.0) / 2.0) * step;
        let look = theme::series_look(position);
        let radius = (slot * 0.27).clamp(1.75, theme::MARK_RADIUS);
        // Bars are finer and without caps where a slot is narrow.
        let (half_cap, line) = if slot < NARROWEST_WITH_CAPS {
            (0.0, pen(look.colour, theme::GRID_STROKE))
        } else {
            ((step * 0.4).min(3.0), pen(look.colour, theme::BAR_STROKE))
        };
        for (run, slot) in self.runs.iter().enumerate() {
            let Some(Some(bar)) = slot.shown.get(position) else {
                continue;
            };
            if !is_drawable(bar.value) {
                continue;
            }
            let x = sheet.middle(run) + shift;
            let (axis, canvas) = (&sheet.axis, &mut sheet.frame.canvas);
            if !most.holds(bar.value) {
                let at = place(x, axis.at(bar.value));
                marks::mark(canvas, look, at, radius);
                let beside = place(x + radius + theme::GAP / 2.0, at.y);
                let figure = Label::new(beyond(bar.value), beside, theme::NAME_SIZE);
                canvas.label(figure.colour(look.colour));
                continue;
            }
            if let Some(ends) = bar.ends() {
                let ends = [axis.at(ends.low), axis.at(ends.high)];
                marks::upright_bar(canvas, x, ends, half_cap, line);
            }
            marks::mark(canvas, look, place(x, axis.at(bar.value)), radius);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chart(values: Vec<Option<Bar>>) -> RunChart {
        let numbered = values.into_iter().zip(1..);
        RunChart {
            question: "What did the runs give?".to_string(),
            y_label: "contained yield / %".to_string(),
            series: vec!["contained".to_string()],
            runs: numbered
                .map(|(value, run)| Slot {
                    name: format!("B-{run:03}"),
                    group: None,
                    shown: vec![value],
                })
                .collect(),
        }
    }

    fn bar(value: f64) -> Option<Bar> {
        Some(Bar {
            value,
            low: value - 1.0,
            high: value + 1.0,
        })
    }

    fn discs(chart: &RunChart) -> usize {
        let svg = chart.svg().expect("a chart of runs");
        svg.matches("<circle").count()
    }

    #[test]
    fn a_series_of_another_length_than_the_runs_is_refused() {
        let mut chart = chart(vec![bar(70.0), bar(71.0)]);
        chart.runs[1].shown.pop();
        assert!(chart.svg().is_err());
    }

    #[test]
    fn each_run_with_a_finite_value_has_its_mark() {
        let infinite = bar(f64::INFINITY);
        assert_eq!(discs(&chart(vec![bar(70.0), None, infinite, bar(71.0)])), 2);
        assert_eq!(discs(&chart((0..300).map(|_| bar(70.0)).collect())), 300);
        assert_eq!(discs(&chart(vec![bar(70.0)])), 1);
    }

    #[test]
    fn one_value_far_from_all_others_stands_at_the_edge_with_its_figure() {
        let near = (0..12).map(|run| bar(70.0 + f64::from(run) * 0.1));
        let svg = chart(near.chain([bar(703.4)]).collect()).svg();
        let svg = svg.expect("a chart");
        assert!(svg.contains("\n703\n") && !svg.contains("\n600\n"), "{svg}");
        assert!(svg.contains("\n71.0\n"));
    }

    #[test]
    fn forty_runs_all_have_their_name_and_of_more_every_second_one() {
        let svg = chart((0..40).map(|_| bar(70.0)).collect())
            .svg()
            .expect("a chart");
        assert!((1..=40).all(|run| svg.contains(&format!("\nB-{run:03}\n"))));
        let svg = chart((0..64).map(|_| bar(70.0)).collect()).svg();
        let svg = svg.expect("a chart");
        assert_eq!(
            (1..=64)
                .filter(|run| svg.contains(&format!("\nB-{run:03}\n")))
                .count(),
            32
        );
    }
}
