//! How do two quantities go together?
//!
//! In: a [`ScatterChart`]. Out: its picture, points with bars, reference lines, names beside points.
//! This module never fits a line through the points.

use super::frame::Plan;
use super::legend::{Key, Sample};
use super::plot::{Plot, draw_points, drawable, reach};
use super::{ScatterChart, ScatterPoint};
use crate::error::Error;

impl ScatterChart {
    /// The picture as an SVG document.
    ///
    /// # Errors
    /// [`crate::error::ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub fn svg(&self) -> Result<String, Error> {
        let points: Vec<&ScatterPoint> = self
            .series
            .iter()
            .flat_map(|series| drawable(&series.points))
            .collect();
        if points.is_empty() {
            return Plan::nothing_to_show(&self.question);
        }
        let over = points.iter().flat_map(|point| reach(point.x, &point.x_bar));
        let up = points.iter().flat_map(|point| reach(point.y, &point.y_bar));
        let legend = self.legend();
        let plot = Plot {
            question: &self.question,
            x_label: &self.x_label,
            y_label: &self.y_label,
            legend,
            caption: &self.note,
            horizontal: &self.horizontal,
            vertical: &self.vertical,
        };
        let (mut frame, axes) = plot.open(over, up);
        plot.surround(&mut frame, &axes);
        let series: Vec<(usize, Vec<&ScatterPoint>)> = self
            .series
            .iter()
            .enumerate()
            .map(|(position, series)| (position, drawable(&series.points).collect()))
            .collect();
        draw_points(&mut frame, &axes, &series);
        frame.canvas.finish(&self.question)
    }

    fn legend(&self) -> Vec<Key> {
        if self.series.len() < 2 {
            return Vec::new();
        }
        self.series
            .iter()
            .enumerate()
            .map(|(position, series)| Key::new(Sample::Series(position), &series.name))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Bar, ScatterSeries};
    use super::*;

    fn point(x: f64, y: f64, name: Option<&str>) -> ScatterPoint {
        ScatterPoint {
            x,
            y,
            x_bar: None,
            y_bar: Some(Bar {
                value: y,
                low: y - 0.1,
                high: f64::INFINITY,
            }),
            name: name.map(String::from),
        }
    }

    fn check(points: Vec<ScatterPoint>) -> String {
        let chart = ScatterChart {
            question: "Does more yield cost purity?".to_string(),
            x_label: "yield / %".to_string(),
            y_label: "purity / %".to_string(),
            series: vec![ScatterSeries {
                name: "chill".to_string(),
                points,
            }],
            horizontal: Vec::new(),
            vertical: Vec::new(),
            note: String::new(),
        };
        chart.svg().expect("a chart of points")
    }

    #[test]
    fn a_point_with_an_endless_bar_is_drawn_without_it() {
        let svg = check(vec![point(70.0, 98.0, None), point(71.0, 99.0, None)]);
        assert_eq!(svg.matches("<circle").count(), 2);
        assert!(!svg.contains("inf"));
    }

    #[test]
    fn a_named_point_has_its_name_beside_it() {
        let svg = check(vec![
            point(70.0, 98.0, Some("B-017")),
            point(f64::NAN, 1.0, None),
        ]);
        assert!(svg.contains("\nB-017\n"));
        assert_eq!(svg.matches("<circle").count(), 1);
    }
}
