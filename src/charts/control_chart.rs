//! Control charts: a statistic in run order over the band between its limits.
//!
//! In: a [`ControlChart`]. Out: its picture, one statistic or two in run order over the band between its limits, flagged
//! runs with a mark of another shape, lots along the axis.
//! This module never decides which run is flagged.

use super::axis::{Range, is_drawable};
use super::frame::Plan;
use super::legend::{Key, Sample};
use super::places::{Place, place};
use super::run_by_run::{Sheet, Surroundings};
use super::slots::{one_for_each_series, thinned};
use super::theme::{self, pen};
use super::{ReferenceLine, Slot, marks};
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
    /// What the statistic is, or each of two that go up and down.
    pub statistics: Vec<String>,
    /// The runs, in the order in which they are drawn.
    pub runs: Vec<Slot<ControlRun>>,
    /// Whether the statistic goes on from run to run and is joined by a line.
    pub joined: bool,
    /// What the single values are.
    pub single_name: String,
    /// The centre, as a reference line.
    pub centre: ReferenceLine,
}

/// One run of a [`ControlChart`].
#[derive(Debug, Clone, PartialEq)]
pub struct ControlRun {
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
    /// A mark for each statistic.
    pub marks: Vec<ControlMark>,
    /// The single value behind the statistic, where there is another.
    pub single: Option<f64>,
}

/// A statistic of one run in a [`ControlChart`].
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
    /// [`crate::error::ErrorKind::OutOfRange`] if a run has not one mark for each statistic;
    /// [`crate::error::ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub fn svg(&self) -> Result<String, Error> {
        one_for_each_series(&self.runs, self.statistics.len(), |run| run.marks.len())?;
        if let Some(runs) = thinned(&self.runs, |run| {
            run.shown.marks.iter().any(|mark| mark.flagged)
        }) {
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
        let shown = || self.runs.iter().map(|run| &run.shown);
        let drawn = self.marks().map(|mark| mark.value);
        let drawn = drawn.chain(shown().filter_map(|run| run.single));
        let Some(data) = Range::covering(drawn) else {
            return Plan::nothing_to_show(&self.question);
        };
        let limits = shown().flat_map(|run| [run.low, run.high]);
        let reach = limits.chain([data.low, data.high, self.centre.value]);
        let centre = std::slice::from_ref(&self.centre);
        let surroundings = Surroundings {
            question: &self.question,
            y_label: &self.y_label,
            legend: self.legend(),
            caption: "",
            lines: centre,
            slot_width: theme::RUN_WIDTH,
        };
        let range = Range::covering(reach).unwrap_or(data).padded();
        let mut sheet = surroundings.open(&self.runs, range);
        self.draw_band(&mut sheet);
        sheet.draw_lines(centre);
        self.draw_marks(&mut sheet);
        sheet.frame.canvas.finish(&self.question)
    }

    fn marks(&self) -> impl Iterator<Item = &ControlMark> {
        self.runs.iter().flat_map(|run| &run.shown.marks)
    }

    fn legend(&self) -> Vec<Key> {
        let mut keys: Vec<Key> = Vec::new();
        if self.runs.iter().any(|run| run.shown.single.is_some()) {
            keys.push(Key::new(Sample::Run, &self.single_name));
        }
        let statistics = self.statistics.iter().zip(STATISTICS);
        keys.extend(statistics.map(|(name, look)| Key::new(Sample::Series(look), name)));
        if self.marks().any(|mark| mark.flagged) {
            keys.push(Key::new(Sample::Series(FLAGGED), "flagged"));
        }
        keys.push(Key::new(Sample::Limits, "between the limits"));
        keys
    }

    /// The band between the limits: each run keeps its own over the whole of its slot.
    fn draw_band(&self, sheet: &mut Sheet) {
        let half = sheet.categories.slot() / 2.0;
        let edge = |of: fn(&ControlRun) -> f64| -> Vec<Place> {
            let limits = self.runs.iter().map(|run| of(&run.shown)).enumerate();
            let drawable = limits.filter(|(_, limit)| is_drawable(*limit));
            let steps = drawable.map(|(run, limit)| {
                let (middle, y) = (sheet.middle(run), sheet.axis.at(limit));
                [place(middle - half, y), place(middle + half, y)]
            });
            steps.flatten().collect()
        };
        let (upper, lower) = (edge(|run| run.high), edge(|run| run.low));
        let outline: Vec<Place> = upper.iter().chain(lower.iter().rev()).copied().collect();
        let Sheet {
            frame, categories, ..
        } = sheet;
        frame.canvas.area(&outline, theme::BAND);
        categories.draw_dividers(&mut frame.canvas, frame.area);
        for edge in [upper, lower] {
            frame.canvas.path(&edge, theme::AXIS_LINE);
        }
        frame.edges();
    }

    fn draw_marks(&self, sheet: &mut Sheet) {
        let radius = (sheet.categories.slot() * 0.27).clamp(1.75, theme::MARK_RADIUS);
        for (position, run) in self.runs.iter().enumerate() {
            if let Some(value) = run.shown.single.filter(|value| is_drawable(*value)) {
                let at = place(sheet.middle(position), sheet.axis.at(value));
                let canvas = &mut sheet.frame.canvas;
                canvas.disc(at, radius * 0.8, theme::QUIET_MARK);
            }
        }
        for (statistic, look) in (0..self.statistics.len()).zip(STATISTICS) {
            let marks = self.runs.iter().enumerate();
            let marks = marks.filter_map(|(position, run)| {
                let mark = run.shown.marks.get(statistic)?;
                let at = place(sheet.middle(position), sheet.axis.at(mark.value));
                is_drawable(mark.value).then_some((at, mark.flagged))
            });
            let marks: Vec<(Place, bool)> = marks.collect();
            let look = theme::series_look(look);
            let canvas = &mut sheet.frame.canvas;
            if self.joined {
                let line: Vec<Place> = marks.iter().map(|(at, _)| *at).collect();
                canvas.path(&line, pen(look.colour, theme::AXIS_STROKE));
            }
            for (at, flagged) in marks {
                if flagged {
                    marks::mark(canvas, theme::series_look(FLAGGED), at, radius * LARGER);
                } else {
                    marks::mark(canvas, look, at, radius);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chart(values: &[f64], flagged: usize) -> ControlChart {
        let run = |(run, value): (usize, &f64)| Slot {
            name: format!("B-{run}"),
            group: None,
            shown: ControlRun {
                low: 60.0,
                high: 70.0,
                marks: vec![ControlMark {
                    value: *value,
                    flagged: run == flagged,
                }],
                single: None,
            },
        };
        ControlChart {
            question: "Is any run out of the ordinary?".to_string(),
            y_label: "yield / %".to_string(),
            statistics: vec!["single runs".to_string()],
            runs: values.iter().enumerate().map(run).collect(),
            joined: false,
            single_name: String::new(),
            centre: ReferenceLine {
                value: 65.0,
                label: "centre".to_string(),
            },
        }
    }

    #[test]
    fn marks_of_another_number_than_the_statistics_are_refused() {
        let mut chart = chart(&[65.0, 66.0], 9);
        chart.runs[1].shown.marks.pop();
        assert!(chart.svg().is_err());
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
}
