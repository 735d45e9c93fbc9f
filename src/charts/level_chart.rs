//! Levels of a choice, each with its runs and their mean.
//!
//! In: a [`LevelChart`]. Out: its picture, for each level its runs and beside them the mean with its interval.
//! This module never computes the mean: it is given.

use super::axis::{Range, is_drawable};
use super::canvas::{Anchor, Label};
use super::frame::Plan;
use super::legend::{self, Key, Sample};
use super::places::{Place, place};
use super::run_by_run::{Sheet, Surroundings};
use super::slots::thinned;
use super::{Bar, Slot, marks, text, theme};
use crate::error::Error;

/// Widest slot that the points of a level spread in.
const WIDEST_SLOT: f64 = 200.0;
/// Place of the runs in a slot, as a share of its width to the left of the middle.
const RUNS_LEFT: f64 = 0.12;
/// Place of the mean in a slot, as a share of its width to the right of the middle.
const MEAN_RIGHT: f64 = 0.24;
/// Half the share of a slot that runs may spread over.
const RUNS_SPREAD: f64 = 0.22;
/// Room above the runs for what is said of a level, as a share of the height.
const NOTE_ROOM: f64 = 0.12;
/// Radius of the mark of a run.
const RUN_RADIUS: f64 = 3.25;

/// Levels of a choice: runs as points, the mean with its interval beside them.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelChart {
    /// The question that the chart answers; its title.
    pub question: String,
    /// Quantity and unit of the values.
    pub y_label: String,
    /// The levels, from left to right.
    pub levels: Vec<Slot<Level>>,
    /// What an open mean says, for the legend; may be empty.
    pub failing: String,
    /// What the bars are, such as `bars: 95 % intervals of the adjusted mean`.
    pub interval: String,
}

/// One level of a [`LevelChart`].
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Level {
    /// Its mean and interval, where there is one.
    pub mean: Option<Bar>,
    /// Its runs.
    pub points: Vec<f64>,
    /// What is said of it above its runs; may be empty.
    pub note: String,
    /// Whether its mean is drawn open: it does not meet what is asked of it.
    pub fails: bool,
}

impl LevelChart {
    /// The picture as an SVG document.
    ///
    /// # Errors
    /// [`crate::error::ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub fn svg(&self) -> Result<String, Error> {
        let levels = || self.levels.iter().map(|level| &level.shown);
        let means = levels().filter_map(Level::drawn_mean).flat_map(Bar::reach);
        let points = levels().flat_map(|level| level.points.iter().copied());
        let Some(range) = Range::covering(means.chain(points)) else {
            return Plan::nothing_to_show(&self.question);
        };
        let explanation = legend::explain(Sample::Mean, "mean", &self.interval);
        let mut legend = vec![Key::new(Sample::Run, "one run")];
        legend.extend(explanation.legend);
        if !self.failing.is_empty() && levels().any(|level| level.fails) {
            legend.push(Key::new(Sample::OpenMean, &self.failing));
        }
        let surroundings = Surroundings {
            question: &self.question,
            y_label: &self.y_label,
            legend,
            caption: explanation.caption,
            lines: &[],
            slot_width: 0.0,
        };
        let mut range = range.padded();
        if levels().any(|level| !level.note.is_empty()) {
            range.high += NOTE_ROOM * (range.high - range.low);
        }
        let mut sheet = surroundings.open(&self.levels, range);
        for (position, level) in levels().enumerate() {
            level.draw(&mut sheet, position);
        }
        sheet.frame.canvas.finish(&self.question)
    }
}

impl Level {
    fn drawn_mean(&self) -> Option<&Bar> {
        self.mean.as_ref().filter(|bar| is_drawable(bar.value))
    }

    fn draw(&self, sheet: &mut Sheet, position: usize) {
        let middle = sheet.middle(position);
        let room = sheet.categories.slot() - theme::GAP;
        let slot = sheet.categories.slot().min(WIDEST_SLOT);
        let top = sheet.frame.area.top + theme::GAP;
        let (axis, canvas) = (&sheet.axis, &mut sheet.frame.canvas);
        let radius = (slot * 0.05).clamp(1.5, RUN_RADIUS);
        let few = thinned(&self.points, |_| false);
        let points = few.as_deref().unwrap_or(&self.points);
        let drawable = points.iter().filter(|value| is_drawable(**value));
        let mut heights: Vec<f64> = drawable.map(|value| axis.at(*value)).collect();
        heights.sort_by(f64::total_cmp);
        let runs_at = middle - slot * RUNS_LEFT;
        for at in beside_each_other(&heights, runs_at, radius, slot * RUNS_SPREAD) {
            canvas.disc(at, radius, theme::QUIET_MARK);
        }
        let note = text::fit(&self.note, room, theme::TICK_SIZE, theme::NAME_SIZE, 2);
        for (row, line) in note.lines.iter().enumerate() {
            let down = (row as f64 * theme::LINE_HEIGHT + 0.5) * note.size;
            let label = Label::new(line, place(middle, top + down), note.size);
            canvas.label(label.anchor(Anchor::Center).colour(theme::SOFT_INK));
        }
        let Some(bar) = self.drawn_mean() else {
            return;
        };
        let x = middle + slot * MEAN_RIGHT;
        if let Some(ends) = bar.ends() {
            let ends = [axis.at(ends.low), axis.at(ends.high)];
            let half_cap = (slot * 0.05).min(5.0);
            marks::upright_bar(canvas, x, ends, half_cap, theme::MEAN_BAR);
        }
        let radius = (slot * 0.06).clamp(2.0, theme::MARK_RADIUS + 0.75);
        let look = if self.fails {
            theme::OPEN_MEAN
        } else {
            theme::MEAN
        };
        marks::mark(canvas, look, place(x, axis.at(bar.value)), radius);
    }
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
        let level = |name: &str, points: Vec<f64>| Slot {
            name: name.to_string(),
            group: None,
            shown: Level {
                points,
                ..Level::default()
            },
        };
        let chart = LevelChart {
            failing: String::new(),
            question: "Which route is best?".to_string(),
            y_label: "yield / %".to_string(),
            levels: vec![level("chill", vec![70.0]), level("boildown", vec![])],
            interval: String::new(),
        };
        let svg = chart.svg().expect("a chart of levels");
        assert!(svg.contains("\nboildown\n"));
    }
}
