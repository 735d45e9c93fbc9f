//! How does one quantity change with another?
//!
//! In: a [`CurveChart`]. Out: its picture, a line with its band, points over it, and the caption of the band.
//! This module never smooths: the line is drawn through the places given.

use super::area::{Place, place};
use super::axis::is_drawable;
use super::frame::Plan;
use super::legend::{self, Sample};
use super::plot::{Axes, Plot, draw_points, drawable, reach};
use super::{CurveChart, CurvePoint, ScatterPoint, theme};
use crate::error::Error;

impl CurveChart {
    /// The picture as an SVG document.
    ///
    /// # Errors
    /// [`crate::error::ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub fn svg(&self) -> Result<String, Error> {
        let curve: Vec<&CurvePoint> = self
            .curve
            .iter()
            .filter(|at| is_drawable(at.x) && is_drawable(at.middle))
            .collect();
        let points: Vec<&ScatterPoint> = drawable(&self.points).collect();
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
        let explanation = legend::explain(Sample::Band, "line", &self.band);
        let plot = Plot {
            question: &self.question,
            x_label: &self.x_label,
            y_label: &self.y_label,
            legend: if curve.is_empty() {
                Vec::new()
            } else {
                explanation.legend
            },
            caption: explanation.caption,
            horizontal: &[],
            vertical: &self.vertical,
        };
        let (mut frame, axes) = plot.open(over, up);
        let band = band(&curve, &axes);
        if !band.is_empty() {
            frame.canvas.area(band, theme::BAND);
        }
        plot.surround(&mut frame, &axes);
        let line = curve
            .iter()
            .map(|at| place(axes.over.at(at.x), axes.up.at(at.middle)))
            .collect();
        let colour = theme::series_look(0).colour;
        frame.canvas.path(line, colour, theme::CURVE_STROKE);
        draw_points(&mut frame, &axes, &[(0, points)]);
        frame.canvas.finish(&self.question)
    }
}

/// The outline of the band, along its upper edge and back along the lower one.
fn band(curve: &[&CurvePoint], axes: &Axes) -> Vec<Place> {
    let edged: Vec<&&CurvePoint> = curve
        .iter()
        .filter(|at| is_drawable(at.low) && is_drawable(at.high))
        .collect();
    let upper = edged
        .iter()
        .map(|at| place(axes.over.at(at.x), axes.up.at(at.high)));
    let lower = edged
        .iter()
        .rev()
        .map(|at| place(axes.over.at(at.x), axes.up.at(at.low)));
    upper.chain(lower).collect()
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
