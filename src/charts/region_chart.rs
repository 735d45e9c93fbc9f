//! Maps of two quantities: regions, contour lines, points, and a line with its band.
//!
//! In: a [`RegionChart`] with its regions, contour lines, points and line already worked out. Out: its picture: regions
//! hatched cell by cell, contour lines with their labels, and points with their names.
//! This module never traces a contour and never decides which cell belongs to a region.

use super::axis::is_drawable;
use super::cells::{self, Raster};
use super::frame::{Frame, Plan};
use super::labels::{self, Ground, NamedPlace};
use super::legend::{Key, Sample};
use super::marks;
use super::places::{Area, Place, closed};
use super::plot::{Axes, CurvePoint, Plot, band};
use super::theme::{self, Hatching};
use crate::error::{Error, ErrorKind};

/// Radius of the quiet points.
const QUIET_RADIUS: f64 = 2.75;

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
    pub hatching: Hatching,
    /// Whether the cell around each place of the grid belongs to it: the lowest row first, each from left to right.
    pub cells: Vec<bool>,
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
    /// Its place.
    pub at: MapPoint,
}

impl MapPoint {
    /// Its place in the picture, when it can be drawn.
    fn on(self, axes: &Axes) -> Option<Place> {
        (is_drawable(self.x) && is_drawable(self.y)).then(|| axes.place(self.x, self.y))
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
        let mut grid = self.x.iter().chain(&self.y);
        if self.x.len() < 2 || self.y.len() < 2 || !grid.all(|value| is_drawable(*value)) {
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
        let marks = self.marks.iter().map(|mark| mark.at);
        let points = self.quiet_points.iter().copied().chain(marks);
        let over = points.clone().map(|at| at.x);
        let (mut frame, axes) = plot.open(
            self.x.iter().copied().chain(over),
            self.y.iter().copied().chain(points.map(|at| at.y)),
        );
        plot.surround(&mut frame, &axes);
        let raster = Raster {
            across: cells::edges(&self.x, |value| axes.over.at(value)),
            upwards: cells::edges(&self.y, |value| axes.up.at(value)),
        };
        let bounds = raster.bounds();
        self.draw_band(&mut frame, &axes, bounds);
        for region in &self.regions {
            cells::hatched(&mut frame.canvas, &raster, &region.cells, region.hatching);
        }
        let rim = closed(bounds.corners());
        frame.canvas.path(&rim, theme::AXIS_LINE);
        self.draw_line(&mut frame, &axes, bounds);
        let mut taken = self.draw_points(&mut frame, &axes);
        taken.extend(self.draw_contours(&mut frame, &axes, bounds, &taken));
        self.draw_marks(&mut frame, &axes, taken);
        frame.canvas.finish(&self.question)
    }

    fn legend(&self) -> Vec<Key> {
        let regions = self.regions.iter();
        let mut keys: Vec<Key> = regions
            .map(|region| Key::new(Sample::Region(region.hatching), &region.name))
            .collect();
        if let Some(line) = &self.line {
            let has_band = line.points.iter().any(|at| at.low < at.high);
            let sample = if has_band { Sample::Band } else { Sample::Line };
            keys.push(Key::new(sample, &line.name));
        }
        if !self.contours.is_empty() && !self.contour_name.is_empty() {
            keys.push(Key::new(Sample::Contour, &self.contour_name));
        }
        if !self.quiet_points.is_empty() {
            keys.push(Key::new(Sample::Run, &self.quiet_name));
        }
        keys
    }

    fn draw_band(&self, frame: &mut Frame, axes: &Axes, bounds: Area) {
        let points = self.line.as_ref().map_or(&[][..], |line| &line.points);
        let outline = band(points, |x, y| bounds.nearest(axes.place(x, y)));
        if !outline.is_empty() {
            frame.canvas.area(&outline, theme::BAND);
        }
    }

    /// The line in the pieces that lie on the map.
    fn draw_line(&self, frame: &mut Frame, axes: &Axes, bounds: Area) {
        let Some(line) = &self.line else {
            return;
        };
        let (first, last) = (self.y[0], self.y[self.y.len() - 1]);
        let heights = first.min(last)..=first.max(last);
        let mut piece = Vec::new();
        for point in &line.points {
            if is_drawable(point.x) && heights.contains(&point.middle) {
                piece.push(bounds.nearest(axes.place(point.x, point.middle)));
            } else {
                frame.canvas.path(&piece, theme::CURVE);
                piece.clear();
            }
        }
        frame.canvas.path(&piece, theme::CURVE);
    }

    fn draw_points(&self, frame: &mut Frame, axes: &Axes) -> Vec<Area> {
        let mut taken = Vec::new();
        for at in self.quiet_points.iter().filter_map(|point| point.on(axes)) {
            frame.canvas.disc(at, QUIET_RADIUS, theme::QUIET_MARK);
            taken.push(labels::around(at));
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
        let lines = self.contours.iter().map(|contour| {
            let places = contour.points.iter().filter_map(|point| point.on(axes));
            labels::Line {
                label: &contour.label,
                places: places.map(|at| bounds.nearest(at)).collect(),
            }
        });
        let lines: Vec<labels::Line> = lines.collect();
        let marks = self.marks.iter().filter_map(|mark| mark.at.on(axes));
        let occupied: Vec<Area> = points
            .iter()
            .copied()
            .chain(marks.map(labels::around))
            .collect();
        labels::draw_contours(&mut frame.canvas, &lines, bounds, &occupied)
    }

    fn draw_marks(&self, frame: &mut Frame, axes: &Axes, mut taken: Vec<Area>) {
        let mut named = Vec::new();
        for (position, mark) in self.marks.iter().enumerate() {
            let Some(at) = mark.at.on(axes) else {
                continue;
            };
            let (canvas, look) = (&mut frame.canvas, theme::series_look(position));
            canvas.disc(at, theme::MARK_RADIUS + 3.0, theme::PAPER);
            marks::mark(canvas, look, at, theme::MARK_RADIUS + 1.0);
            taken.push(labels::around(at));
            let name = &mark.name;
            named.push(NamedPlace { at, name });
        }
        labels::draw_names(&mut frame.canvas, frame.area, &named, taken, Ground::Paper);
    }
}

#[cfg(test)]
mod tests {
    use crate::charts::{
        BandLine, ContourLine, CurvePoint, Hatching, MapPoint, NamedPoint, Region, RegionChart,
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
                    hatching: Hatching::Rising,
                    cells: cells(75.0),
                },
                Region {
                    name: "too far from runs made".to_string(),
                    hatching: Hatching::Crossed,
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
                    at: MapPoint { x: 70.0, y: 0.2 },
                },
                NamedPoint {
                    name: "present best".to_string(),
                    at: MapPoint { x: 58.0, y: 0.0 },
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
