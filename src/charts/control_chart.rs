//! Does it stay where it stood?
//!
//! In: a [`ControlChart`]. Out: its picture, one statistic or two in run order over the band between its limits, flagged
//! runs with a mark of another shape, lots along the axis.
//! This module never decides which run is flagged.

use super::area::{Place, place};
use super::axis::{Range, is_drawable};
use super::canvas::Canvas;
use super::frame::Plan;
use super::legend::{Key, Sample};
use super::run_sheet::{RunSheet, Surroundings};
use super::{ReferenceLine, marks, one_each, reference_lines, theme};
use crate::error::Error;

/// Series whose looks the statistics have: a disc and an open diamond.
const STATISTICS: [usize; 2] = [0, 3];
/// Series whose look a flagged run has: a triangle.
const FLAGGED: usize = 2;
/// How much larger than the others a flagged run is drawn.
const LARGER: f64 = 1.35;

/// Whether it stays where it stood: a statistic in run order over the band between its limits, flagged runs marked.
#[derive(Debug, Clone, PartialEq)]
pub struct ControlChart {
    /// The question that the chart answers; its title.
    pub question: String,
    /// Quantity and unit of the statistic.
    pub y_label: String,
    /// Names of the runs, in the order in which they are drawn.
    pub runs: Vec<String>,
    /// Group (lot) of each run, or empty.
    pub groups: Vec<String>,
    /// The limits at each run.
    pub limits: Vec<ControlLimits>,
    /// One statistic, or two that go up and down.
    pub series: Vec<ControlSeries>,
    /// Whether the statistic goes on from run to run and is joined by a line.
    pub joined: bool,
    /// Single values behind the statistic, one a run, or empty.
    pub single: Vec<f64>,
    /// What the single values are.
    pub single_name: String,
    /// Horizontal reference lines, such as the centre.
    pub lines: Vec<ReferenceLine>,
}

/// The limits of a [`ControlChart`] at one run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ControlLimits {
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
}

/// One statistic of a [`ControlChart`].
#[derive(Debug, Clone, PartialEq)]
pub struct ControlSeries {
    /// What the statistic is.
    pub name: String,
    /// One mark a run.
    pub marks: Vec<ControlMark>,
}

/// One run in a [`ControlSeries`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ControlMark {
    /// The statistic.
    pub value: f64,
    /// Whether it is flagged.
    pub flagged: bool,
}

impl ControlChart {
    /// The picture as an SVG document.
    ///
    /// # Errors
    /// [`crate::error::ErrorKind::OutOfRange`] if limits, a series, or the single values and groups unless empty, do not
    /// have one entry a run; [`crate::error::ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub fn svg(&self) -> Result<String, Error> {
        let runs = self.runs.len();
        one_each("limits", self.limits.len(), runs)?;
        for series in &self.series {
            one_each("values", series.marks.len(), runs)?;
        }
        if !self.single.is_empty() {
            one_each("single values", self.single.len(), runs)?;
        }
        if !self.groups.is_empty() {
            one_each("groups", self.groups.len(), runs)?;
        }
        let marks = self.series.iter().flat_map(|series| &series.marks);
        let drawn = marks
            .map(|mark| mark.value)
            .chain(self.single.iter().copied());
        let Some(data) = Range::covering(drawn) else {
            return Plan::nothing_to_show(&self.question);
        };
        let limits = self
            .limits
            .iter()
            .flat_map(|limits| [limits.low, limits.high]);
        let lines = reference_lines::values(&self.lines);
        let reach = [data.low, data.high].into_iter().chain(limits).chain(lines);
        let surroundings = Surroundings {
            question: &self.question,
            y_label: &self.y_label,
            legend: self.legend(),
            runs: &self.runs,
            groups: &self.groups,
            lines: &self.lines,
        };
        let mut sheet = surroundings.open(Range::covering(reach).unwrap_or(data).padded());
        self.draw_band(&mut sheet);
        sheet.draw_lines(&self.lines);
        self.draw_marks(&mut sheet);
        sheet.frame.canvas.finish(&self.question)
    }

    fn legend(&self) -> Vec<Key> {
        let mut keys: Vec<Key> = Vec::new();
        if !self.single.is_empty() {
            keys.push(Key::new(Sample::Run, &self.single_name));
        }
        let statistics = self.series.iter().zip(STATISTICS);
        keys.extend(statistics.map(|(series, look)| Key::new(Sample::Series(look), &series.name)));
        let mut marks = self.series.iter().flat_map(|series| &series.marks);
        if marks.any(|mark| mark.flagged) {
            keys.push(Key::new(Sample::Series(FLAGGED), "flagged"));
        }
        keys.push(Key::new(Sample::Limits, "between the limits"));
        keys
    }

    /// The band between the limits: each run keeps its own over the whole of its slot.
    fn draw_band(&self, sheet: &mut RunSheet) {
        let RunSheet {
            frame,
            axis,
            categories,
        } = sheet;
        let area = frame.area;
        let half = categories.slot() / 2.0;
        let edge = |of: fn(&ControlLimits) -> f64| -> Vec<Place> {
            let limits = self.limits.iter().map(of).enumerate();
            let drawable = limits.filter(|(_, limit)| is_drawable(*limit));
            let steps = drawable.map(|(run, limit)| {
                let (middle, y) = (categories.at(area, run), axis.at(limit));
                [place(middle - half, y), place(middle + half, y)]
            });
            steps.flatten().collect()
        };
        let (upper, lower) = (edge(|limits| limits.high), edge(|limits| limits.low));
        let outline = upper.iter().chain(lower.iter().rev()).copied();
        frame.canvas.area(outline.collect(), theme::BAND);
        categories.draw_dividers(&mut frame.canvas, area);
        for edge in [upper, lower] {
            frame.canvas.path(edge, theme::SOFT_INK, theme::AXIS_STROKE);
        }
        frame.edges();
    }

    fn draw_marks(&self, sheet: &mut RunSheet) {
        let RunSheet {
            frame,
            axis,
            categories,
        } = sheet;
        let area = frame.area;
        let radius = (categories.slot() * 0.27).clamp(1.75, theme::MARK_RADIUS);
        for (run, value) in self.single.iter().enumerate() {
            if is_drawable(*value) {
                let at = place(categories.at(area, run), axis.at(*value));
                frame.canvas.disc(at, radius * 0.8, theme::QUIET_MARK);
            }
        }
        for (series, look) in self.series.iter().zip(STATISTICS) {
            let places: Vec<(Place, &ControlMark)> = series
                .marks
                .iter()
                .enumerate()
                .filter(|(_, mark)| is_drawable(mark.value))
                .map(|(run, mark)| (place(categories.at(area, run), axis.at(mark.value)), mark))
                .collect();
            if self.joined {
                let line = places.iter().map(|(at, _)| *at).collect();
                let colour = theme::series_look(look).colour;
                frame.canvas.path(line, colour, theme::AXIS_STROKE);
            }
            for (at, mark) in places {
                draw_mark(&mut frame.canvas, at, mark, look, radius);
            }
        }
    }
}

fn draw_mark(canvas: &mut Canvas, at: Place, mark: &ControlMark, look: usize, radius: f64) {
    if mark.flagged {
        marks::mark(canvas, theme::series_look(FLAGGED), at, radius * LARGER);
    } else {
        marks::mark(canvas, theme::series_look(look), at, radius);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chart(values: &[f64], flagged: usize) -> ControlChart {
        let mark = |(run, value): (usize, &f64)| ControlMark {
            value: *value,
            flagged: run == flagged,
        };
        ControlChart {
            question: "Is any run out of the ordinary?".to_string(),
            y_label: "yield / %".to_string(),
            runs: (0..values.len()).map(|run| format!("B-{run}")).collect(),
            groups: Vec::new(),
            limits: values
                .iter()
                .map(|_| ControlLimits {
                    low: 60.0,
                    high: 70.0,
                })
                .collect(),
            series: vec![ControlSeries {
                name: "single runs".to_string(),
                marks: values.iter().enumerate().map(mark).collect(),
            }],
            joined: false,
            single: Vec::new(),
            single_name: String::new(),
            lines: Vec::new(),
        }
    }

    #[test]
    fn a_flagged_run_has_another_shape_and_the_legend_says_so() {
        let svg = chart(&[65.0, 66.0, 72.0], 2).svg().expect("a chart");
        // Two of three runs, and the sample of the legend.
        assert_eq!(svg.matches("<circle").count(), 3);
        assert!(svg.contains("\nflagged\n"));
        let svg = chart(&[65.0, 66.0, 67.0], 9).svg().expect("a chart");
        assert!(!svg.contains("\nflagged\n"));
    }

    #[test]
    fn limits_of_another_length_than_the_runs_are_refused() {
        let mut chart = chart(&[65.0, 66.0], 9);
        chart.limits.pop();
        assert!(chart.svg().is_err());
    }
}
