//! What does the answer look like?
//!
//! In: finished numbers and texts, each chart with the question it answers. Out: one SVG document a chart, as text.
//! This module never computes a statistic, never rounds a result for the reader, and never writes a file.
//!
//! Data are drawn as they come: a value that is not finite is left out, and a chart in which no value is left says
//! "nothing to show". Names are data: they are shortened where they must be and are inert in the document.
//! Series differ by the shape of their marks and layers by their hatching, so that no meaning hangs on colour.

mod area;
mod axis;
mod canvas;
mod categories;
mod cells;
mod contour_labels;
mod control_chart;
mod curve_chart;
mod effect_chart;
mod flags;
mod frame;
mod hatching;
mod legend;
mod level_chart;
mod marks;
mod names;
mod plot;
mod reference_lines;
mod region_chart;
mod run_chart;
mod run_sheet;
mod scatter_chart;
mod stack_chart;
mod text;
mod theme;

pub use control_chart::{ControlChart, ControlLimits, ControlMark, ControlSeries};

use crate::error::{Error, ErrorKind};

/// A value with the ends of its bar, all in the unit of the axis.
///
/// A bar whose ends are not both finite is left out; its value is still drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// Where the mark stands.
    pub value: f64,
    /// Lower end of the bar.
    pub low: f64,
    /// Upper end of the bar.
    pub high: f64,
}

/// A labelled reference line.
#[derive(Debug, Clone, PartialEq)]
pub struct ReferenceLine {
    /// Where the line stands, in the unit of its axis; the axis is stretched to reach it.
    pub value: f64,
    /// What the line means, written at its end outside the data.
    pub label: String,
}

/// Run by run: values with bars in run order, several series side by side, lots marked along the axis.
///
/// Use it for what the runs gave and for drift.
#[derive(Debug, Clone, PartialEq)]
pub struct RunChart {
    /// The question that the chart answers; its title.
    pub question: String,
    /// Quantity and unit of the values, such as `yield / %`.
    pub y_label: String,
    /// Names of the runs, in the order in which they are drawn.
    pub runs: Vec<String>,
    /// The series, each with one place a run.
    pub series: Vec<RunSeries>,
    /// Group (lot) of each run, or empty.
    pub groups: Vec<String>,
    /// Horizontal reference lines.
    pub lines: Vec<ReferenceLine>,
}

/// One series of a [`RunChart`].
#[derive(Debug, Clone, PartialEq)]
pub struct RunSeries {
    /// What the series shows.
    pub name: String,
    /// One value a run; `None` where there is none.
    pub values: Vec<Option<Bar>>,
}

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

/// Levels of a choice: runs as points, the mean with its interval beside them.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelChart {
    /// The question that the chart answers; its title.
    pub question: String,
    /// Quantity and unit of the values.
    pub y_label: String,
    /// The levels, from left to right.
    pub levels: Vec<Level>,
    /// What the bars are, such as `bars: 95 % intervals of the adjusted mean`.
    pub interval: String,
}

/// One level of a [`LevelChart`].
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// Name of the level.
    pub name: String,
    /// Its mean and interval, where there is one.
    pub mean: Option<Bar>,
    /// Its runs.
    pub points: Vec<f64>,
}

/// Points over two quantities, with bars where there are any.
#[derive(Debug, Clone, PartialEq)]
pub struct ScatterChart {
    /// The question that the chart answers; its title.
    pub question: String,
    /// Quantity and unit from left to right.
    pub x_label: String,
    /// Quantity and unit from bottom to top.
    pub y_label: String,
    /// The series of points.
    pub series: Vec<ScatterSeries>,
    /// Horizontal reference lines.
    pub horizontal: Vec<ReferenceLine>,
    /// Vertical reference lines.
    pub vertical: Vec<ReferenceLine>,
    /// A remark below the chart, such as what the bars are; may be empty.
    pub note: String,
}

/// One series of a [`ScatterChart`].
#[derive(Debug, Clone, PartialEq)]
pub struct ScatterSeries {
    /// What the series shows.
    pub name: String,
    /// Its points.
    pub points: Vec<ScatterPoint>,
}

/// One point of a [`ScatterChart`] or [`CurveChart`].
#[derive(Debug, Clone, PartialEq)]
pub struct ScatterPoint {
    /// Place from left to right.
    pub x: f64,
    /// Place from bottom to top.
    pub y: f64,
    /// Bar from left to right; only its ends are used.
    pub x_bar: Option<Bar>,
    /// Bar from bottom to top; only its ends are used.
    pub y_bar: Option<Bar>,
    /// Name printed beside the point when given.
    pub name: Option<String>,
}

/// Where it went: stacked bars run by run.
#[derive(Debug, Clone, PartialEq)]
pub struct StackChart {
    /// The question that the chart answers; its title.
    pub question: String,
    /// Quantity and unit of the layers.
    pub y_label: String,
    /// Names of the runs, in the order in which they are drawn.
    pub runs: Vec<String>,
    /// The layers, from the zero line outwards.
    pub layers: Vec<Layer>,
    /// Horizontal reference lines.
    pub lines: Vec<ReferenceLine>,
}

/// One layer of a [`StackChart`].
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// Where this share went.
    pub name: String,
    /// One value a run; negative values hang below zero.
    pub values: Vec<f64>,
}

/// A quantity over another, with a line and its band (a fitted curve).
#[derive(Debug, Clone, PartialEq)]
pub struct CurveChart {
    /// The question that the chart answers; its title.
    pub question: String,
    /// Quantity and unit from left to right.
    pub x_label: String,
    /// Quantity and unit from bottom to top.
    pub y_label: String,
    /// The line and its band, in the order in which they are joined.
    pub curve: Vec<CurvePoint>,
    /// Runs or means over the curve.
    pub points: Vec<ScatterPoint>,
    /// Which band it is and how wide.
    pub band: String,
    /// Vertical reference lines.
    pub vertical: Vec<ReferenceLine>,
}

/// One place on the line of a [`CurveChart`].
#[derive(Debug, Clone, PartialEq)]
pub struct CurvePoint {
    /// Place from left to right.
    pub x: f64,
    /// The line.
    pub middle: f64,
    /// Lower edge of the band.
    pub low: f64,
    /// Upper edge of the band.
    pub high: f64,
}

/// A map over two quantities: regions hatched cell by cell, contour lines, points, and a line with its band.
///
/// Use it for the settings that are good, and for where something pays. Everything is worked out before: the chart only draws.
#[derive(Debug, Clone, PartialEq)]
pub struct RegionChart {
    /// The question that the chart answers; its title.
    pub question: String,
    /// Quantity and unit from left to right.
    pub x_label: String,
    /// Quantity and unit from bottom to top.
    pub y_label: String,
    /// Places of the grid from left to right, rising; at least two.
    pub x: Vec<f64>,
    /// Places of the grid from bottom to top, rising; at least two.
    pub y: Vec<f64>,
    /// The regions, told apart by their hatching.
    pub regions: Vec<Region>,
    /// Contour lines, in the order in which they are labelled.
    pub contours: Vec<ContourLine>,
    /// What the contour lines show, for the legend; may be empty.
    pub contour_name: String,
    /// A line with its band over the map, such as where something breaks even.
    pub line: Option<BandLine>,
    /// Points without names, such as the runs made.
    pub quiet_points: Vec<MapPoint>,
    /// What these points are, for the legend.
    pub quiet_name: String,
    /// Points with names, such as `best`.
    pub marks: Vec<NamedPoint>,
    /// A remark below the chart; may be empty.
    pub note: String,
}

/// A set of cells of a [`RegionChart`].
#[derive(Debug, Clone, PartialEq)]
pub struct Region {
    /// What holds in the region.
    pub name: String,
    /// The lines across it.
    pub hatching: RegionHatching,
    /// Whether the cell around each place of the grid belongs to it: the lowest row first, each from left to right.
    pub cells: Vec<bool>,
}

/// The lines across a [`Region`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RegionHatching {
    /// No lines, the outline alone.
    None,
    /// Lines that rise to the right.
    Rising,
    /// Lines that fall to the right.
    Falling,
    /// Both.
    Crossed,
}

/// A line of equal height over a [`RegionChart`].
#[derive(Debug, Clone, PartialEq)]
pub struct ContourLine {
    /// The height with its unit, written on the line; a line that is too short for it goes without.
    pub label: String,
    /// Its places, in the order in which they are joined.
    pub points: Vec<MapPoint>,
}

/// A line with its band over a [`RegionChart`]; what lies beyond the grid is left out.
#[derive(Debug, Clone, PartialEq)]
pub struct BandLine {
    /// What the line and its band are, for the legend.
    pub name: String,
    /// Its places, from left to right.
    pub points: Vec<CurvePoint>,
}

/// A place on a [`RegionChart`], in the units of its axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapPoint {
    /// Place from left to right.
    pub x: f64,
    /// Place from bottom to top.
    pub y: f64,
}

/// A marked place on a [`RegionChart`].
#[derive(Debug, Clone, PartialEq)]
pub struct NamedPoint {
    /// Its name, written beside it.
    pub name: String,
    /// Place from left to right.
    pub x: f64,
    /// Place from bottom to top.
    pub y: f64,
}

impl Bar {
    /// The ends of the bar, lower first, when both can be drawn.
    fn ends(&self) -> Option<axis::Range> {
        (axis::is_drawable(self.low) && axis::is_drawable(self.high)).then(|| axis::Range {
            low: self.low.min(self.high),
            high: self.low.max(self.high),
        })
    }

    /// All places of the bar that an axis must reach.
    fn reach(&self) -> impl Iterator<Item = f64> {
        let ends = self.ends();
        [
            Some(self.value),
            ends.map(|range| range.low),
            ends.map(|range| range.high),
        ]
        .into_iter()
        .flatten()
    }
}

/// Whether a list has one entry a run.
///
/// # Errors
/// [`ErrorKind::OutOfRange`] if it has not: the entries could belong to any run.
fn one_each(what: &str, entries: usize, runs: usize) -> Result<(), Error> {
    if entries == runs {
        return Ok(());
    }
    Err(Error::new(
        ErrorKind::OutOfRange,
        format!("{what} of a chart have {entries} entries for {runs} runs"),
    ))
}

#[cfg(test)]
mod tests;
