//! Which level is better?
//!
//! In: a [`LevelChart`]. Out: its picture, for each level its runs and beside them the mean with its interval.
//! This module never computes the mean: it is given.

use super::area::{Place, place};
use super::axis::{Axis, Range, is_drawable};
use super::categories::Categories;
use super::frame::{self, Frame, Plan};
use super::legend::{self, Key, Sample};
use super::marks::BarLook;
use super::{Bar, Level, LevelChart, marks, theme};
use crate::error::Error;

/// Widest slot that the points of a level spread in.
const WIDEST_SLOT: f64 = 200.0;
/// Place of the runs in a slot, as a share of its width to the left of the middle.
const RUNS_LEFT: f64 = 0.12;
/// Place of the mean in a slot, as a share of its width to the right of the middle.
const MEAN_RIGHT: f64 = 0.24;
/// Half the share of a slot that runs may spread over.
const RUNS_SPREAD: f64 = 0.22;
/// Radius of the mark of a run.
const RUN_RADIUS: f64 = 3.25;

impl LevelChart {
    /// The picture as an SVG document.
    ///
    /// # Errors
    /// [`crate::error::ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub fn svg(&self) -> Result<String, Error> {
        let means = self.levels.iter().filter_map(mean).flat_map(Bar::reach);
        let points = self.levels.iter().flat_map(|level| level.points.clone());
        let Some(range) = Range::covering(means.chain(points)) else {
            return Plan::nothing_to_show(&self.question);
        };
        let range = range.padded();
        let draft = Axis::new(range, theme::PLOT_HEIGHT, 0.0, frame::UPRIGHT_DISTANCE);
        let left = frame::room_at_left(&draft, &self.y_label);
        let names: Vec<String> = self.levels.iter().map(|level| level.name.clone()).collect();
        let inner = theme::WIDTH - left - theme::MARGIN;
        let categories = Categories::new(&names, &[], inner);
        let explanation = legend::explain(Sample::Mean, "mean", &self.interval);
        let mut legend = vec![Key::new(Sample::Run, "one run")];
        legend.extend(explanation.legend);
        let plan = Plan {
            question: &self.question,
            legend,
            caption: explanation.caption,
            width: theme::WIDTH,
            height: theme::PLOT_HEIGHT,
            left,
            right: 0.0,
            above: 0.0,
            below: categories.room_below(),
        };
        let mut frame = plan.open();
        let area = frame.area;
        let axis = Axis::new(range, area.bottom, area.top, frame::UPRIGHT_DISTANCE);
        frame.upright_axis(&axis, &self.y_label);
        frame.edges();
        categories.draw(&mut frame.canvas, area);
        for (position, level) in self.levels.iter().enumerate() {
            let middle = categories.at(area, position);
            draw_level(&mut frame, &axis, level, middle, categories.slot());
        }
        frame.canvas.finish(&self.question)
    }
}

fn mean(level: &Level) -> Option<&Bar> {
    level.mean.as_ref().filter(|bar| is_drawable(bar.value))
}

fn draw_level(frame: &mut Frame, axis: &Axis, level: &Level, middle: f64, slot: f64) {
    let slot = slot.min(WIDEST_SLOT);
    let radius = (slot * 0.05).clamp(1.5, RUN_RADIUS);
    let mut heights: Vec<f64> = level
        .points
        .iter()
        .filter(|value| is_drawable(**value))
        .map(|value| axis.at(*value))
        .collect();
    heights.sort_by(f64::total_cmp);
    let runs_at = middle - slot * RUNS_LEFT;
    for at in beside_each_other(&heights, runs_at, radius, slot * RUNS_SPREAD) {
        frame.canvas.disc(at, radius, theme::QUIET_MARK);
    }
    let Some(bar) = mean(level) else {
        return;
    };
    let look = theme::MEAN;
    let x = middle + slot * MEAN_RIGHT;
    if let Some(ends) = bar.ends() {
        let from = place(x, axis.at(ends.low));
        let cap = (slot * 0.05).min(5.0);
        let bar = BarLook::new(look.colour, cap);
        marks::upright_bar(&mut frame.canvas, from, axis.at(ends.high), bar);
    }
    let radius = (slot * 0.06).clamp(2.0, theme::MARK_RADIUS + 0.75);
    marks::mark(
        &mut frame.canvas,
        look,
        place(x, axis.at(bar.value)),
        radius,
    );
}

/// Places at the given heights, moved aside so that no disc covers another while the spread allows it.
fn beside_each_other(heights: &[f64], middle: f64, radius: f64, spread: f64) -> Vec<Place> {
    let distance = 2.0 * radius + 0.75;
    let columns = (spread / distance).floor() as usize;
    let shifts: Vec<f64> = std::iter::once(0.0)
        .chain((1..=columns).flat_map(|column| {
            let shift = column as f64 * distance;
            [shift, -shift]
        }))
        .collect();
    let mut places: Vec<Place> = Vec::with_capacity(heights.len());
    for (position, height) in heights.iter().enumerate() {
        let free = shifts.iter().copied().find(|shift| {
            places
                .iter()
                .rev()
                .take_while(|other| height - other.y < distance)
                .all(|other| (other.x - middle - shift).hypot(other.y - height) >= distance * 0.999)
        });
        // Where all columns are taken, discs cover each other in turn over the whole spread.
        let shift = free.unwrap_or(shifts[position % shifts.len()]);
        places.push(place(middle + shift, *height));
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_runs_stand_beside_each_other() {
        let places = beside_each_other(&[50.0; 5], 100.0, 3.0, 20.0);
        for (position, at) in places.iter().enumerate() {
            assert!(places[..position].iter().all(|other| other.x != at.x));
        }
    }

    #[test]
    fn runs_stay_within_their_spread_however_many_there_are() {
        let places = beside_each_other(&[50.0; 300], 100.0, 3.0, 20.0);
        assert_eq!(places.len(), 300);
        assert!(places.iter().all(|at| (at.x - 100.0).abs() <= 20.0));
    }

    #[test]
    fn a_level_without_runs_still_has_its_name() {
        let level = |name: &str, points: Vec<f64>| Level {
            name: name.to_string(),
            mean: None,
            points,
        };
        let chart = LevelChart {
            question: "Which route is best?".to_string(),
            y_label: "yield / %".to_string(),
            levels: vec![level("chill", vec![70.0]), level("boildown", vec![])],
            interval: String::new(),
        };
        let svg = chart.svg().expect("a chart of levels");
        assert!(svg.contains("\nboildown\n"));
    }
}
