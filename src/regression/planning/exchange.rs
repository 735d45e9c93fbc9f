//! Coordinate exchange: the search for the runs that are worth most together.
//!
//! In: what is known, the space, and what should become small. Out: the points of the best set of runs found.
//! This module never returns a point that the space does not allow, and the same seed gives the same points.
//!
//! Coordinate exchange: each run in turn changes one setting at a time to its best value while all others stay, until no
//! change helps; from several starts at random.
//!
//! # Source
//! Meyer and Nachtsheim, Technometrics 37 (1995) 60-69.

use super::coded_terms::Layout;
use super::gain::{Measure, State};
use super::information::Knowledge;
use super::new_runs::NewRuns;
use super::space::{Point, Space, drawn};
use crate::seeded::Seeded;

/// Work for one plan, in multiplications: what a tenth of a second allows.
const WORK: f64 = 4e7;

/// Most starts, however small the job.
const MOST_STARTS: usize = 400;

/// Fewest starts, however large the job.
const FEWEST_STARTS: usize = 3;

/// Rounds after which a start counts as done.
const MOST_ROUNDS: usize = 60;

/// Points up to which all their rows are kept.
const MOST_KEPT: usize = 4096;

/// Share of a gain by which another must be larger: smaller differences are rounding.
const BETTER: f64 = 1e-9;

/// Share of the starts that begin from the best set found, shaken, rather than anew.
const SHAKEN: f64 = 0.5;

/// All that a search needs.
pub(super) struct Search<'a> {
    pub knowledge: &'a Knowledge,
    pub new_runs: &'a NewRuns,
    pub layout: &'a Layout,
    pub space: &'a Space,
    pub measure: &'a Measure,
}

/// A search with what it looks up again and again.
struct Looked<'s> {
    search: &'s Search<'s>,
    /// Rows and whether a point is allowed, by the number of the point; none for a large space.
    rows: Vec<f64>,
    allowed: Vec<bool>,
}

impl Search<'_> {
    /// The points of the best set of that many runs; None if the space allows none.
    pub fn best(&self, runs: usize, seed: u64) -> Option<Vec<Point>> {
        let (mut rows, mut allowed) = (Vec::new(), Vec::new());
        if self.space.size() <= MOST_KEPT {
            let mut row = vec![0.0; self.width()];
            for point in self.space.points() {
                self.row(&point, &mut row);
                rows.extend_from_slice(&row);
                allowed.push(self.space.allows(&point));
            }
        }
        let looked = Looked {
            search: self,
            rows,
            allowed,
        };
        looked.best(runs, seed)
    }

    /// The row of a run at a point, in terms and shared errors.
    fn row(&self, point: &[usize], row: &mut [f64]) {
        let (terms, errors) = row.split_at_mut(self.knowledge.terms);
        self.layout.row_of_point(point, terms);
        self.new_runs.row(point, errors);
    }

    fn width(&self) -> usize {
        self.knowledge.terms + self.knowledge.errors
    }

    fn starts(&self, runs: usize) -> usize {
        let width = self.width() as f64;
        let values: usize = self.space.factors.iter().map(|factor| factor.count()).sum();
        // About six rounds, each of all values of all runs, and of taking the other runs in.
        let each = 6.0 * runs as f64 * (values + runs) as f64 * width * width;
        ((WORK / each) as usize).clamp(FEWEST_STARTS, MOST_STARTS)
    }
}

impl Looked<'_> {
    fn best(&self, runs: usize, seed: u64) -> Option<Vec<Point>> {
        let search = self.search;
        // A set of runs, and what it is worth.
        let mut best: Option<(Vec<Point>, f64)> = None;
        let mut state = State::new(search.knowledge);
        let starts = search.starts(runs);
        for start in 0..starts {
            let mut random = Seeded::stream(seed, start as u64);
            let mut points = Vec::with_capacity(runs);
            for _ in 0..runs {
                points.push(search.space.random_point(&mut random)?);
            }
            if let Some((found, _)) = &best
                && random.uniform() < SHAKEN
            {
                let changed = 1 + drawn(&mut random, (runs / 2).max(1));
                let fresh = std::mem::replace(&mut points, found.clone());
                for point in fresh.into_iter().take(changed) {
                    let place = drawn(&mut random, runs);
                    points[place] = point;
                }
            }
            self.improve(&mut points, &mut state);
            let worth = self.worth(&points, &mut state);
            if best.as_ref().is_none_or(|(_, most)| larger(worth, *most)) {
                best = Some((points, worth));
            }
        }
        best.map(|(points, _)| points)
    }

    /// The row of a run at a point, kept or made anew.
    fn row<'r>(&'r self, point: &[usize], anew: &'r mut [f64]) -> &'r [f64] {
        match self.number(point) {
            Some(number) => &self.rows[number * anew.len()..(number + 1) * anew.len()],
            None => {
                self.search.row(point, anew);
                anew
            }
        }
    }

    fn allows(&self, point: &[usize]) -> bool {
        match self.number(point) {
            Some(number) => self.allowed[number],
            None => self.search.space.allows(point),
        }
    }

    /// The number of a point in the order of [`Space::points`]; None where rows are not kept.
    fn number(&self, point: &[usize]) -> Option<usize> {
        // The first factor changes fastest.
        let factors = self.search.space.factors.iter().zip(point).rev();
        let number = || {
            factors.fold(0, |number, (factor, &place)| {
                number * factor.count() + place
            })
        };
        (!self.allowed.is_empty()).then(number)
    }

    /// Exchanges coordinates until no exchange helps.
    fn improve(&self, points: &mut [Point], state: &mut State) {
        let mut row = vec![0.0; self.search.width()];
        let mut unchanged = 0;
        for _ in 0..MOST_ROUNDS {
            // Anew in each round, so that rounding does not grow.
            self.take_in(points, None, state, &mut row);
            for place in 0..points.len() {
                if unchanged >= points.len() {
                    return;
                }
                if !state.take_out(self.row(&points[place], &mut row)) {
                    self.take_in(points, Some(place), state, &mut row);
                }
                if self.settle(&mut points[place], state, &mut row) {
                    unchanged = 0;
                } else {
                    unchanged += 1;
                }
                state.add(self.row(&points[place], &mut row));
            }
        }
    }

    /// What is known after all runs but one.
    fn take_in(&self, points: &[Point], but: Option<usize>, state: &mut State, row: &mut [f64]) {
        state.reset(self.search.knowledge);
        for (place, point) in points.iter().enumerate() {
            if but != Some(place) {
                state.add(self.row(point, row));
            }
        }
    }

    /// Moves one run to its best place, one coordinate at a time, and says whether it moved.
    fn settle(&self, point: &mut Point, state: &mut State, row: &mut [f64]) -> bool {
        let measure = self.search.measure;
        let mut best = state.gain(self.row(point, row), measure);
        let mut moved = false;
        loop {
            let mut again = false;
            for (at, factor) in self.search.space.factors.iter().enumerate() {
                let mut kept = point[at];
                for value in 0..factor.count() {
                    point[at] = value;
                    if value == kept || !self.allows(point) {
                        continue;
                    }
                    let gain = state.gain(self.row(point, row), measure);
                    if larger(gain, best) {
                        best = gain;
                        kept = value;
                        again = true;
                    }
                }
                point[at] = kept;
            }
            if !again {
                return moved;
            }
            moved = true;
        }
    }

    fn worth(&self, points: &[Point], state: &mut State) -> f64 {
        state.reset(self.search.knowledge);
        let mut row = vec![0.0; self.search.width()];
        let mut worth = 0.0;
        for point in points {
            let row = self.row(point, &mut row);
            worth += state.gain(row, self.search.measure);
            state.add(row);
        }
        worth
    }
}

/// Whether one gain is larger than another beyond rounding.
fn larger(one: f64, other: f64) -> bool {
    one > other + BETTER * other.abs()
}
