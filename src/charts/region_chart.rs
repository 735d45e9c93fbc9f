//! Where on a map of two quantities does something hold?
//!
//! In: a [`RegionChart`] with its regions, contour lines, points and line already worked out. Out: its picture: regions
//! hatched cell by cell, contour lines with their labels, and points with their names.
//! This module never traces a contour and never decides which cell belongs to a region.

use super::area::{Area, place};
use super::axis::is_drawable;
use super::cells::{self, Raster};
use super::frame::{Frame, Plan};
use super::legend::{Key, Sample};
use super::names::{self, NamedPlace};
use super::plot::{Axes, Plot};
use super::theme::{self, Hatching};
use super::{ErrorKind, RegionChart, RegionHatching, contour_labels, marks};
use crate::error::Error;

/// Radius of the quiet points.
const QUIET_RADIUS: f64 = 2.75;

impl RegionHatching {
    fn look(self) -> Hatching {
        match self {
            RegionHatching::None => Hatching::Plain,
            RegionHatching::Rising => Hatching::Rising,
            RegionHatching::Falling => Hatching::Falling,
            RegionHatching::Crossed => Hatching::Crossed,
        }
    }
}

impl RegionChart {
    /// The picture as an SVG document.
    ///
    /// # Errors
    /// [`ErrorKind::OutOfRange`] if the cells of a region are not as many as the grid has places;
    /// [`ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub fn svg(&self) -> Result<String, Error> {
        let places = self.x.len() * self.y.len();
        if let Some(region) = self.regions.iter().find(|r| r.cells.len() != places) {
            let message = format!(
                "a region of a map has {} cells for {places} places",
                region.cells.len()
            );
            return Err(Error::new(ErrorKind::OutOfRange, message));
        }
        let grid = self
            .x
            .iter()
            .chain(&self.y)
            .all(|value| is_drawable(*value));
        if self.x.len() < 2 || self.y.len() < 2 || !grid {
            return Plan::nothing_to_show(&self.question);
        }
        let plot = Plot {
            question: &self.question,
            x_label: &self.x_label,
            y_label: &self.y_label,
            legend: self.legend(),
            caption: &self.note,
            horizontal: &[],
            vertical: &[],
        };
        let quiet = || self.quiet_points.iter().map(|at| [at.x, at.y]);
        let named = || self.marks.iter().map(|mark| [mark.x, mark.y]);
        let over = self.x.iter().copied();
        let up = self.y.iter().copied();
        let (mut frame, axes) = plot.open(
            over.chain(quiet().chain(named()).map(|at| at[0])),
            up.chain(quiet().chain(named()).map(|at| at[1])),
        );
        plot.surround(&mut frame, &axes);
        let raster = Raster {
            across: cells::edges(&self.x, |value| axes.over.at(value)),
            upwards: cells::edges(&self.y, |value| axes.up.at(value)),
        };
        self.draw_band(&mut frame, &axes, &raster);
        for region in &self.regions {
            cells::hatched(
                &mut frame.canvas,
                &raster,
                &region.cells,
                region.hatching.look(),
            );
        }
        let bounds = raster.bounds();
        frame.canvas.path(
            super::area::closed(bounds.corners()),
            theme::SOFT_INK,
            theme::AXIS_STROKE,
        );
        self.draw_line(&mut frame, &axes, &raster);
        let mut taken = self.draw_points(&mut frame, &axes);
        taken.extend(self.draw_contours(&mut frame, &axes, bounds, &taken));
        self.draw_marks(&mut frame, &axes, &taken);
        frame.canvas.finish(&self.question)
    }

    fn legend(&self) -> Vec<Key> {
        let mut keys: Vec<Key> = self
            .regions
            .iter()
            .map(|region| Key::new(Sample::Region(region.hatching.look()), &region.name))
            .collect();
        if let Some(line) = &self.line {
            keys.push(Key::new(Sample::Band, &line.name));
        }
        if !self.contours.is_empty() && !self.contour_name.is_empty() {
            keys.push(Key::new(Sample::Contour, &self.contour_name));
        }
        if !self.quiet_points.is_empty() {
            keys.push(Key::new(Sample::Run, &self.quiet_name));
        }
        keys
    }

    fn draw_band(&self, frame: &mut Frame, axes: &Axes, raster: &Raster) {
        let Some(line) = &self.line else {
            return;
        };
        let bounds = raster.bounds();
        let edged: Vec<_> = line
            .points
            .iter()
            .filter(|at| is_drawable(at.x) && is_drawable(at.low) && is_drawable(at.high))
            .collect();
        let at = |x: f64, y: f64| held(bounds, axes.over.at(x), axes.up.at(y));
        let upper = edged.iter().map(|point| at(point.x, point.high));
        let lower = edged.iter().rev().map(|point| at(point.x, point.low));
        let outline: Vec<_> = upper.chain(lower).collect();
        if !outline.is_empty() {
            frame.canvas.area(outline, theme::BAND);
        }
    }

    /// The line in the pieces that lie on the map.
    fn draw_line(&self, frame: &mut Frame, axes: &Axes, raster: &Raster) {
        let Some(line) = &self.line else {
            return;
        };
        let bounds = raster.bounds();
        let (lowest, highest) = (self.y[0], self.y[self.y.len() - 1]);
        let inside =
            |y: f64| is_drawable(y) && y >= lowest.min(highest) && y <= lowest.max(highest);
        let mut piece = Vec::new();
        for point in &line.points {
            if is_drawable(point.x) && inside(point.middle) {
                piece.push(held(
                    bounds,
                    axes.over.at(point.x),
                    axes.up.at(point.middle),
                ));
            } else {
                let whole = std::mem::take(&mut piece);
                frame
                    .canvas
                    .path(whole, theme::series_look(0).colour, theme::CURVE_STROKE);
            }
        }
        frame
            .canvas
            .path(piece, theme::series_look(0).colour, theme::CURVE_STROKE);
    }

    fn draw_points(&self, frame: &mut Frame, axes: &Axes) -> Vec<Area> {
        let mut taken = Vec::new();
        for point in &self.quiet_points {
            if is_drawable(point.x) && is_drawable(point.y) {
                let at = place(axes.over.at(point.x), axes.up.at(point.y));
                frame.canvas.disc(at, QUIET_RADIUS, theme::QUIET_MARK);
                taken.push(names::around(at));
            }
        }
        taken
    }

    /// Draws the contour lines and returns the areas that their labels take.
    fn draw_contours(
        &self,
        frame: &mut Frame,
        axes: &Axes,
        bounds: Area,
        points: &[Area],
    ) -> Vec<Area> {
        let lines: Vec<contour_labels::Line> = self
            .contours
            .iter()
            .map(|contour| contour_labels::Line {
                label: &contour.label,
                places: contour
                    .points
                    .iter()
                    .filter(|point| is_drawable(point.x) && is_drawable(point.y))
                    .map(|point| held(bounds, axes.over.at(point.x), axes.up.at(point.y)))
                    .collect(),
            })
            .collect();
        let marks = self
            .marks
            .iter()
            .filter(|mark| is_drawable(mark.x) && is_drawable(mark.y));
        let mut taken = points.to_vec();
        taken.extend(
            marks.map(|mark| names::around(place(axes.over.at(mark.x), axes.up.at(mark.y)))),
        );
        contour_labels::draw(&mut frame.canvas, &lines, bounds, &taken)
    }

    fn draw_marks(&self, frame: &mut Frame, axes: &Axes, taken: &[Area]) {
        let mut taken = taken.to_vec();
        let mut named = Vec::new();
        for (position, mark) in self.marks.iter().enumerate() {
            if !is_drawable(mark.x) || !is_drawable(mark.y) {
                continue;
            }
            let at = place(axes.over.at(mark.x), axes.up.at(mark.y));
            frame
                .canvas
                .disc(at, theme::MARK_RADIUS + 3.0, theme::PAPER);
            marks::mark(
                &mut frame.canvas,
                theme::series_look(position),
                at,
                theme::MARK_RADIUS + 1.0,
            );
            taken.push(names::around(at));
            named.push(NamedPlace {
                at,
                name: mark.name.clone(),
            });
        }
        names::draw_on_paper(&mut frame.canvas, frame.area, &named, &taken);
    }
}

/// A place moved to the nearest one within bounds.
fn held(bounds: Area, x: f64, y: f64) -> super::area::Place {
    place(
        x.clamp(bounds.left, bounds.right),
        y.clamp(bounds.top, bounds.bottom),
    )
}

#[cfg(test)]
mod tests {
    use crate::charts::{
        BandLine, ContourLine, CurvePoint, MapPoint, NamedPoint, Region, RegionChart,
        RegionHatching,
    };

    fn chart() -> RegionChart {
        let x: Vec<f64> = (0..41).map(|step| 10.0 + f64::from(step) * 2.75).collect();
        let y: Vec<f64> = (0..31).map(|step| f64::from(step) * 0.02).collect();
        let height = |x: f64, y: f64| 76.0 - ((x - 70.0) / 25.0).powi(2) - 40.0 * (y - 0.2).powi(2);
        let cells = |least: f64| {
            let rows = y
                .iter()
                .flat_map(|y| x.iter().map(move |x| height(*x, *y) >= least));
            rows.collect::<Vec<bool>>()
        };
        RegionChart {
            question: "Which settings are good?".to_string(),
            x_label: "oxidant excess / %".to_string(),
            y_label: "residue ratio / (g/g)".to_string(),
            regions: vec![
                Region {
                    name: "good settings".to_string(),
                    hatching: RegionHatching::Rising,
                    cells: cells(75.0),
                },
                Region {
                    name: "too far from runs made".to_string(),
                    hatching: RegionHatching::Crossed,
                    cells: cells(71.0).into_iter().map(|inside| !inside).collect(),
                },
            ],
            contours: (0..4)
                .map(|step| ContourLine {
                    label: format!("{} %", 75 - step),
                    points: (0..80)
                        .map(|turn| {
                            let angle = f64::from(turn) * 0.08;
                            let size = f64::from(step + 1).sqrt();
                            MapPoint {
                                x: 70.0 + 25.0 * size * angle.cos(),
                                y: 0.2 + size * angle.sin() / 40f64.sqrt(),
                            }
                        })
                        .filter(|at| at.y >= 0.0)
                        .collect(),
                })
                .collect(),
            contour_name: "expected yield".to_string(),
            line: Some(BandLine {
                name: "break-even with its 95 % band".to_string(),
                points: (0..12)
                    .map(|step| {
                        let x = 10.0 + f64::from(step) * 10.0;
                        CurvePoint {
                            x,
                            middle: x / 200.0,
                            low: x / 240.0,
                            high: x / 160.0,
                        }
                    })
                    .collect(),
            }),
            quiet_points: vec![MapPoint { x: 30.0, y: 0.1 }, MapPoint { x: 100.0, y: 0.5 }],
            quiet_name: "runs made".to_string(),
            marks: vec![
                NamedPoint {
                    name: "best".to_string(),
                    x: 70.0,
                    y: 0.2,
                },
                NamedPoint {
                    name: "present best".to_string(),
                    x: 58.0,
                    y: 0.0,
                },
            ],
            note: "hatched: what a chart can show".to_string(),
            x,
            y,
        }
    }

    #[test]
    fn a_map_shows_its_regions_labels_and_points() {
        let svg = chart().svg().expect("a map");
        for text in [
            "good settings",
            "\nbest\n",
            "\n74 %\n",
            "runs made",
            "break-even",
        ] {
            assert!(svg.contains(text), "{text}");
        }
        assert!(!svg.contains("NaN"));
    }

    #[test]
    fn a_region_that_does_not_fit_the_grid_is_refused() {
        let mut chart = chart();
        chart.regions[0].cells.pop();
        assert!(chart.svg().is_err());
    }

    #[test]
    fn a_map_of_one_column_says_that_there_is_nothing_to_show() {
        let mut chart = chart();
        chart.x.truncate(1);
        chart.regions.clear();
        assert!(chart.svg().expect("a chart").contains("nothing to show"));
    }
}
