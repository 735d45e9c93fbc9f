//! What do charts over two quantities share?
//!
//! In: points, labels and reference lines. Out: a frame with two axes, and points with bars and names drawn in it.
//! This module never draws a point whose place is not finite.

use super::area::{Area, place};
use super::axis::{Axis, Range, is_drawable};
use super::canvas::Canvas;
use super::flags::Flags;
use super::frame::{self, Frame, LEVEL_DISTANCE, Plan, UPRIGHT_DISTANCE};
use super::legend::Key;
use super::marks::BarLook;
use super::names::{self, NamedPlace};
use super::{Bar, ReferenceLine, ScatterPoint, marks, reference_lines, theme};

/// Half-width of the caps on bars.
const CAP: f64 = 2.5;
/// More points than this are drawn smaller.
const MANY_POINTS: usize = 120;

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
        let whole = |range: Option<Range>| {
            range
                .unwrap_or(Range {
                    low: 0.0,
                    high: 0.0,
                })
                .padded()
        };
        let over = whole(Range::covering(
            over.chain(reference_lines::values(self.vertical)),
        ));
        let up = whole(Range::covering(
            up.chain(reference_lines::values(self.horizontal)),
        ));
        let draft = Axis::new(up, theme::PLOT_HEIGHT, 0.0, UPRIGHT_DISTANCE);
        let mut plan = Plan {
            question: self.question,
            legend: self.legend.clone(),
            caption: self.caption,
            width: theme::WIDTH,
            height: theme::PLOT_HEIGHT,
            left: frame::room_at_left(&draft, self.y_label),
            right: reference_lines::room_at_right(self.horizontal) + theme::GAP,
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
pub(super) fn draw_points(frame: &mut Frame, axes: &Axes, series: &[(usize, Vec<&ScatterPoint>)]) {
    let count: usize = series.iter().map(|(_, points)| points.len()).sum();
    let radius = if count > MANY_POINTS {
        theme::MARK_RADIUS * 0.65
    } else {
        theme::MARK_RADIUS
    };
    let mut taken: Vec<Area> = Vec::new();
    for (position, points) in series {
        for point in points {
            let bars = draw_bars(
                &mut frame.canvas,
                axes,
                point,
                theme::series_look(*position),
            );
            taken.extend(bars);
        }
    }

    let mut named: Vec<NamedPlace> = Vec::new();
    for (position, points) in series {
        for point in points {
            let at = place(axes.over.at(point.x), axes.up.at(point.y));
            marks::mark(&mut frame.canvas, theme::series_look(*position), at, radius);
            taken.push(names::around(at));
            if let Some(name) = &point.name {
                named.push(NamedPlace {
                    at,
                    name: name.clone(),
                });
            }
        }
    }
    names::draw(&mut frame.canvas, frame.area, &named, &taken);
}

/// Draws the bars of a point and returns the areas that they take.
fn draw_bars(
    canvas: &mut Canvas,
    axes: &Axes,
    point: &ScatterPoint,
    series: theme::SeriesLook,
) -> Vec<Area> {
    let at = place(axes.over.at(point.x), axes.up.at(point.y));
    let look = BarLook::new(series.colour, CAP);
    let mut taken = Vec::new();
    if let Some(ends) = point.x_bar.as_ref().and_then(Bar::ends) {
        let (left, right) = (axes.over.at(ends.low), axes.over.at(ends.high));
        marks::level_bar(canvas, place(left, at.y), right, look);
        taken.push(Area {
            left,
            right,
            top: at.y - look.stroke,
            bottom: at.y + look.stroke,
        });
    }
    if let Some(ends) = point.y_bar.as_ref().and_then(Bar::ends) {
        let (top, bottom) = (axes.up.at(ends.high), axes.up.at(ends.low));
        marks::upright_bar(canvas, place(at.x, bottom), top, look);
        taken.push(Area {
            left: at.x - look.stroke,
            right: at.x + look.stroke,
            top,
            bottom,
        });
    }
    taken
}
