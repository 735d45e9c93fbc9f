//! What charts over two quantities share: points, curves with their band, and the axes around them.
//!
//! In: points, labels and reference lines. Out: a frame with two axes, and points with bars and names drawn in it.
//! This module never draws a point whose place is not finite.

use super::axis::{Axis, Range, is_drawable};
use super::frame::{self, Frame, LEVEL_DISTANCE, Plan, UPRIGHT_DISTANCE};
use super::labels::{self, Ground, NamedPlace};
use super::legend::Key;
use super::places::{Area, Place, place};
use super::reference_lines::{Flags, ReferenceLine, room_at_right, values};
use super::theme::{self, Pen, pen};
use super::{Bar, marks, reference_lines};

/// Half-width of the caps on bars.
const CAP: f64 = 2.5;
/// More points than this are drawn smaller.
const MANY_POINTS: usize = 120;

/// One point over two quantities, with bars where there are any.
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

/// One place on a line with its band.
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

/// What stands around points over two quantities.
#[derive(Debug, Clone)]
pub(super) struct Plot<'a> {
    pub(super) question: &'a str,
    pub(super) x_label: &'a str,
    pub(super) y_label: &'a str,
    pub(super) legend: Vec<Key>,
    pub(super) caption: &'a str,
    pub(super) horizontal: &'a [ReferenceLine],
    pub(super) vertical: &'a [ReferenceLine],
}

/// The level and the upright axis of a plot, with the labels above it.
#[derive(Debug, Clone)]
pub(super) struct Axes {
    flags: Flags,
    pub(super) over: Axis,
    pub(super) up: Axis,
}

impl Plot<'_> {
    /// A frame with axes that reach all values given and all reference lines; the axes are not drawn yet.
    pub(super) fn open(
        &self,
        over: impl Iterator<Item = f64>,
        up: impl Iterator<Item = f64>,
    ) -> (Frame, Axes) {
        let whole = |range: Option<Range>| range.unwrap_or(Range::at(0.0)).padded();
        let over = whole(Range::covering(over.chain(values(self.vertical))));
        let up = whole(Range::covering(up.chain(values(self.horizontal))));
        let draft = Axis::new(up, theme::PLOT_HEIGHT, 0.0, UPRIGHT_DISTANCE);
        let mut plan = Plan {
            question: self.question,
            legend: self.legend.clone(),
            caption: self.caption,
            width: theme::WIDTH,
            height: theme::PLOT_HEIGHT,
            left: frame::room_at_left(&draft, self.y_label),
            right: room_at_right(self.horizontal) + theme::GAP,
            above: 0.0,
            below: frame::room_below(self.x_label),
        };
        let across = plan.area();
        let over = Axis::new(over, across.left, across.right, LEVEL_DISTANCE);
        let flags = Flags::new(self.vertical, &over, plan.width - theme::MARGIN);
        plan.above = flags.room_above();
        let frame = plan.open();
        let area = frame.area;
        let up = Axis::new(up, area.bottom, area.top, UPRIGHT_DISTANCE);
        (frame, Axes { flags, over, up })
    }

    /// Draws axes and reference lines.
    pub(super) fn surround(&self, frame: &mut Frame, axes: &Axes) {
        let area = frame.area;
        frame.level_axis(&axes.over, self.x_label);
        frame.upright_axis(&axes.up, self.y_label);
        frame.edges();
        reference_lines::draw_level(&mut frame.canvas, self.horizontal, &axes.up, area);
        axes.flags.draw(&mut frame.canvas, area);
    }
}

impl Axes {
    /// Where a point stands; beyond the axes, at their ends.
    pub(super) fn place(&self, x: f64, y: f64) -> Place {
        place(self.over.at(x), self.up.at(y))
    }
}

/// The outline of a band, along its upper edge and back along the lower one.
pub(super) fn band(curve: &[CurvePoint], at: impl Fn(f64, f64) -> Place) -> Vec<Place> {
    let edged = |point: &&CurvePoint| {
        [point.x, point.low, point.high]
            .into_iter()
            .all(is_drawable)
    };
    let edged = curve.iter().filter(edged);
    let upper = edged.clone().map(|point| at(point.x, point.high));
    let lower = edged.rev().map(|point| at(point.x, point.low));
    upper.chain(lower).collect()
}

/// The points that have a place.
pub(super) fn drawable(points: &[ScatterPoint]) -> impl Iterator<Item = &ScatterPoint> {
    points
        .iter()
        .filter(|point| is_drawable(point.x) && is_drawable(point.y))
}

/// All places along one axis that a point and its bar reach.
pub(super) fn reach(value: f64, bar: &Option<Bar>) -> impl Iterator<Item = f64> {
    let ends = bar.as_ref().and_then(Bar::ends);
    let ends = ends.map(|range| [range.low, range.high]);
    std::iter::once(value).chain(ends.into_iter().flatten())
}

/// Draws series of points: all bars first, then all marks, then the names.
pub(super) fn draw_points(frame: &mut Frame, axes: &Axes, series: &[Vec<&ScatterPoint>]) {
    let points = || {
        let series = series.iter().enumerate();
        series.flat_map(|(position, points)| points.iter().map(move |point| (position, *point)))
    };
    let radius = if points().count() > MANY_POINTS {
        theme::MARK_RADIUS * 0.65
    } else {
        theme::MARK_RADIUS
    };
    let mut taken: Vec<Area> = Vec::new();
    for (position, point) in points() {
        let colour = theme::series_look(position).colour;
        taken.extend(draw_bars(
            frame,
            axes,
            point,
            pen(colour, theme::BAR_STROKE),
        ));
    }
    let mut named: Vec<NamedPlace> = Vec::new();
    for (position, point) in points() {
        let at = axes.place(point.x, point.y);
        marks::mark(&mut frame.canvas, theme::series_look(position), at, radius);
        taken.push(labels::around(at));
        named.extend(point.name.as_deref().map(|name| NamedPlace { at, name }));
    }
    labels::draw_names(&mut frame.canvas, frame.area, &named, taken, Ground::AsItIs);
}

/// Draws the bars of a point and returns the areas that they take.
fn draw_bars(frame: &mut Frame, axes: &Axes, point: &ScatterPoint, line: Pen) -> Vec<Area> {
    let at = axes.place(point.x, point.y);
    let mut taken = Vec::new();
    if let Some(ends) = point.x_bar.as_ref().and_then(Bar::ends) {
        let ends = [axes.over.at(ends.low), axes.over.at(ends.high)];
        marks::level_bar(&mut frame.canvas, at.y, ends, CAP, line);
        taken.push(Area::between(
            place(ends[0], at.y - line.width),
            place(ends[1], at.y + line.width),
        ));
    }
    if let Some(ends) = point.y_bar.as_ref().and_then(Bar::ends) {
        let ends = [axes.up.at(ends.low), axes.up.at(ends.high)];
        marks::upright_bar(&mut frame.canvas, at.x, ends, CAP, line);
        taken.push(Area::between(
            place(at.x - line.width, ends[1]),
            place(at.x + line.width, ends[0]),
        ));
    }
    taken
}
