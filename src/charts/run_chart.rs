//! What did each run give?
//!
//! In: a [`RunChart`]. Out: its picture, values with their bars in run order, series side by side.
//! This module never joins the runs by a line: what lies between two runs was not measured.

use super::area::place;
use super::axis::{Range, is_drawable};
use super::frame::Plan;
use super::legend::{Key, Sample};
use super::marks::BarLook;
use super::run_sheet::{RunSheet, Surroundings};
use super::{Bar, RunChart, marks, one_each, reference_lines, theme};
use crate::error::Error;

/// Share of a slot that the series of one run spread over.
const SPREAD: f64 = 0.5;
/// Widest distance of two series of one run.
const WIDEST_STEP: f64 = 14.0;
/// Slots narrower than this have no room for caps on bars.
const NARROWEST_WITH_CAPS: f64 = 6.0;

impl RunChart {
    /// The picture as an SVG document.
    ///
    /// # Errors
    /// [`crate::error::ErrorKind::OutOfRange`] if a series, or the groups unless empty, do not have one entry a run;
    /// [`crate::error::ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub fn svg(&self) -> Result<String, Error> {
        for series in &self.series {
            one_each("values", series.values.len(), self.runs.len())?;
        }
        if !self.groups.is_empty() {
            one_each("groups", self.groups.len(), self.runs.len())?;
        }
        let Some(data) = Range::covering(self.bars().flat_map(Bar::reach)) else {
            return Plan::nothing_to_show(&self.question);
        };
        let range = [data.low, data.high]
            .into_iter()
            .chain(reference_lines::values(&self.lines));
        let range = Range::covering(range).unwrap_or(data).padded();
        let surroundings = Surroundings {
            question: &self.question,
            y_label: &self.y_label,
            legend: self.legend(),
            runs: &self.runs,
            groups: &self.groups,
            lines: &self.lines,
        };
        let mut sheet = surroundings.open(range);
        sheet.draw_lines(&self.lines);
        self.draw_values(&mut sheet);
        sheet.frame.canvas.finish(&self.question)
    }

    fn bars(&self) -> impl Iterator<Item = &Bar> {
        self.series
            .iter()
            .flat_map(|series| series.values.iter().flatten())
            .filter(|bar| is_drawable(bar.value))
    }

    fn legend(&self) -> Vec<Key> {
        let lone = self.series.len() == 1;
        self.series
            .iter()
            .enumerate()
            .filter(|(_, series)| {
                !(series.name.is_empty() || lone && self.y_label.contains(&series.name))
            })
            .map(|(position, series)| Key::new(Sample::Series(position), &series.name))
            .collect()
    }

    fn draw_values(&self, sheet: &mut RunSheet) {
        let RunSheet {
            frame,
            axis,
            categories,
        } = sheet;
        let count = self.series.len() as f64;
        let slot = categories.slot();
        let step = (slot * SPREAD / count).min(WIDEST_STEP);
        let radius = (slot * 0.27).clamp(1.75, theme::MARK_RADIUS);
        for (position, series) in self.series.iter().enumerate() {
            let look = theme::series_look(position);
            let shift = (position as f64 - (count - 1.0) / 2.0) * step;
            for (run, bar) in series.values.iter().enumerate() {
                let Some(bar) = bar.as_ref().filter(|bar| is_drawable(bar.value)) else {
                    continue;
                };
                let x = categories.at(frame.area, run) + shift;
                if let Some(ends) = bar.ends() {
                    let from = place(x, axis.at(ends.low));
                    let end = axis.at(ends.high);
                    marks::upright_bar(&mut frame.canvas, from, end, bar_look(look, slot, step));
                }
                marks::mark(
                    &mut frame.canvas,
                    look,
                    place(x, axis.at(bar.value)),
                    radius,
                );
            }
        }
    }
}

/// Bars of series that stand `step` apart: finer and without caps where a slot is narrow.
fn bar_look(series: theme::SeriesLook, slot: f64, step: f64) -> BarLook {
    if slot < NARROWEST_WITH_CAPS {
        BarLook {
            colour: series.colour,
            stroke: theme::GRID_STROKE,
            cap: 0.0,
        }
    } else {
        BarLook::new(series.colour, (step * 0.4).min(3.0))
    }
}

#[cfg(test)]
mod tests {
    use super::super::RunSeries;
    use super::*;

    fn chart(values: Vec<Option<Bar>>) -> RunChart {
        RunChart {
            question: "What did the runs give?".to_string(),
            y_label: "contained yield / %".to_string(),
            runs: (1..=values.len())
                .map(|run| format!("B-{run:03}"))
                .collect(),
            series: vec![RunSeries {
                name: "contained".to_string(),
                values,
            }],
            groups: Vec::new(),
            lines: Vec::new(),
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
    fn each_run_with_a_finite_value_has_its_mark() {
        let infinite = bar(f64::INFINITY);
        assert_eq!(discs(&chart(vec![bar(70.0), None, infinite, bar(71.0)])), 2);
        assert_eq!(discs(&chart((0..300).map(|_| bar(70.0)).collect())), 300);
        assert_eq!(discs(&chart(vec![bar(70.0)])), 1);
    }

    #[test]
    fn sixty_four_runs_all_have_their_name() {
        let svg = chart((0..64).map(|_| bar(70.0)).collect())
            .svg()
            .expect("a chart");
        assert!((1..=64).all(|run| svg.contains(&format!("\nB-{run:03}\n"))));
    }

    #[test]
    fn a_series_of_another_length_than_the_runs_is_refused() {
        let mut chart = chart(vec![bar(70.0), bar(71.0)]);
        chart.runs.pop();
        assert!(chart.svg().is_err());
    }
}
