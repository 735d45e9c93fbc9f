//! One quantity over another, as a line with its band.
//!
//! In: a [`CurveChart`]. Out: its picture, a line with its band, points over it, and the caption of the band.
//! This module never smooths: the line is drawn through the places given.

use super::axis::is_drawable;
use super::frame::Plan;
use super::legend::{self, Sample};
use super::places::Place;
use super::plot::{CurvePoint, Plot, ScatterPoint, band, draw_points, drawable, reach};
use super::slots::thinned;
use super::{ReferenceLine, theme};
use crate::error::Error;

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

impl CurveChart {
    /// The picture as an SVG document.
    ///
    /// # Errors
    /// [`crate::error::ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub fn svg(&self) -> Result<String, Error> {
        let on_line = |at: &&CurvePoint| is_drawable(at.x) && is_drawable(at.middle);
        let curve: Vec<CurvePoint> = self.curve.iter().filter(on_line).cloned().collect();
        let few = thinned(&self.points, |point| point.name.is_some());
        let points = few.as_deref().unwrap_or(&self.points);
        let points: Vec<&ScatterPoint> = drawable(points).collect();
        if curve.is_empty() && points.is_empty() {
            return Plan::nothing_to_show(&self.question);
        }
        let over = points
            .iter()
            .flat_map(|point| reach(point.x, &point.x_bar))
            .chain(curve.iter().map(|at| at.x));
        let up = points
            .iter()
            .flat_map(|point| reach(point.y, &point.y_bar))
            .chain(curve.iter().flat_map(|at| [at.middle, at.low, at.high]));
        let mut explanation = legend::explain(Sample::Band, "line", &self.band);
        if curve.is_empty() {
            explanation.legend.clear();
        }
        let plot = Plot {
            question: &self.question,
            x_label: &self.x_label,
            y_label: &self.y_label,
            legend: explanation.legend,
            caption: explanation.caption,
            horizontal: &[],
            vertical: &self.vertical,
        };
        let (mut frame, axes) = plot.open(over, up);
        let band = band(&curve, |x, y| axes.place(x, y));
        if !band.is_empty() {
            frame.canvas.area(&band, theme::BAND);
        }
        plot.surround(&mut frame, &axes);
        let line: Vec<Place> = curve.iter().map(|at| axes.place(at.x, at.middle)).collect();
        frame.canvas.path(&line, theme::CURVE);
        draw_points(&mut frame, &axes, &[points]);
        frame.canvas.finish(&self.question)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chart(curve: Vec<CurvePoint>) -> CurveChart {
        CurveChart {
            question: "How much oxidant is enough?".to_string(),
            x_label: "oxidant excess / %".to_string(),
            y_label: "yield / %".to_string(),
            curve,
            points: Vec::new(),
            band: "95 % band of the mean".to_string(),
            vertical: Vec::new(),
        }
    }

    fn at(x: f64, middle: f64) -> CurvePoint {
        CurvePoint {
            x,
            middle,
            low: middle - 2.0,
            high: middle + 2.0,
        }
    }

    #[test]
    fn the_line_skips_places_that_are_not_finite() {
        let svg = chart(vec![at(10.0, 60.0), at(f64::NAN, 61.0), at(30.0, 65.0)])
            .svg()
            .expect("a curve");
        assert!(!svg.contains("NaN"));
        assert!(svg.contains("95 % band of the mean"));
    }

    #[test]
    fn a_curve_of_one_place_is_drawn() {
        assert!(chart(vec![at(10.0, 60.0)]).svg().is_ok());
    }
}
