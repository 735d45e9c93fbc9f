//! Pictures of finished numbers.
//!
//! In: finished numbers and texts, each chart with the question it answers. Out: one SVG document a chart, as text.
//! This module never computes a statistic, never rounds a result for the reader, and never writes a file.
//!
//! Data are drawn as they come: a value that is not finite is left out, and a chart in which no value is left says
//! "nothing to show". Names are data: they are shortened where they must be and are inert in the document.
//! Of more than [`MOST_DRAWN`] runs or points evenly spread ones are drawn, and those that are flagged or named.
//! Series differ by the shape of their marks and layers by their hatching, so that no meaning hangs on colour.

mod axis;
mod canvas;
mod cells;
mod control_chart;
mod curve_chart;
mod effect_chart;
mod frame;
mod hatching;
mod labels;
mod legend;
mod level_chart;
mod marks;
mod places;
mod plot;
mod reference_lines;
mod region_chart;
mod run_by_run;
mod run_chart;
mod scatter_chart;
mod slots;
mod stack_chart;
mod strip_chart;
mod text;
mod theme;

pub use control_chart::{ControlChart, ControlMark, ControlRun};
pub use curve_chart::CurveChart;
pub use effect_chart::{EffectChart, EffectRow};
pub use level_chart::{Level, LevelChart};
pub use marks::Bar;
pub use plot::{CurvePoint, ScatterPoint};
pub use reference_lines::ReferenceLine;
pub use region_chart::{BandLine, ContourLine, MapPoint, NamedPoint, Region, RegionChart};
pub use run_chart::RunChart;
pub use scatter_chart::{ScatterChart, ScatterSeries};
pub use slots::{MOST_DRAWN, Slot};
pub use stack_chart::StackChart;
pub use strip_chart::{Stretch, StripChart, StripRow};
pub use theme::Hatching;

/// The same document with a description for readers who cannot see it.
pub fn described(svg: &str, description: &str) -> String {
    let description = text::escape(&text::clean(description));
    svg.replacen(
        "</title>\n",
        &format!("</title>\n<desc>{description}</desc>\n"),
        1,
    )
}

#[cfg(test)]
mod tests;
