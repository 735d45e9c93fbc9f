//! Points over two quantities.
//!
//! In: a [`ScatterChart`]. Out: its picture, points with bars, reference lines, names beside points.
//! This module never fits a line through the points.

use super::ReferenceLine;
use super::frame::Plan;
use super::legend::{Key, Sample};
use super::plot::{Plot, ScatterPoint, draw_points, drawable, reach};
use super::slots::MOST_DRAWN;
use crate::error::Error;

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

impl ScatterChart {
    /// The picture as an SVG document.
    ///
    /// # Errors
    /// [`crate::error::ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub fn svg(&self) -> Result<String, Error> {
        let mut series: Vec<Vec<&ScatterPoint>> = self
            .series
            .iter()
            .map(|series| drawable(&series.points).collect())
            .collect();
        let count: usize = series.iter().map(Vec::len).sum();
        if count > MOST_DRAWN {
            // Each series on its own, as many of it as its share.
            let every = count.div_ceil(MOST_DRAWN);
            for points in &mut series {
                let mut at = 0_usize..;
                points.retain(|point| {
                    let drawn = at.next().is_some_and(|at| at % every == 0);
                    drawn || point.name.is_some()
                });
            }
        }
        let points = || series.iter().flatten();
        if points().next().is_none() {
            return Plan::nothing_to_show(&self.question);
        }
        let plot = Plot {
            question: &self.question,
            x_label: &self.x_label,
            y_label: &self.y_label,
            legend: self.legend(),
            caption: &self.note,
            horizontal: &self.horizontal,
            vertical: &[],
        };
        let (mut frame, axes) = plot.open(
            points().flat_map(|point| reach(point.x, &point.x_bar)),
            points().flat_map(|point| reach(point.y, &point.y_bar)),
        );
        plot.surround(&mut frame, &axes);
        draw_points(&mut frame, &axes, &series);
        frame.canvas.finish(&self.question)
    }

    fn legend(&self) -> Vec<Key> {
        let series = self.series.iter().enumerate();
        series
            .filter(|_| self.series.len() > 1)
            .map(|(position, series)| Key::new(Sample::Series(position), &series.name))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::Bar;
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
