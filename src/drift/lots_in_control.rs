//! How much lots differ while nothing drifts, as far as the first runs show it.
//!
//! In: charted values, their lots, and the errors that runs share besides. Out: a standard deviation, or none.
//! This module never counts a lot that was opened after the first runs: a bad one would hide itself.

use super::false_alarms::logs;
use crate::distributions::mean;
use crate::regression::RunErrors;
use crate::seeded::Seeded;

/// Seed of the simulation.
const SEED: u64 = 78_706;

/// Chance by luck below which lots of the first runs count as different. At 5 % the charts of one log in twenty whose
/// lots are alike would get wider limits, which are those that flag, and of 24 runs a third of all flags were lost.
const BY_LUCK: f64 = 0.01;

/// Positions of the runs of each lot, in the order of the lots, from the lot of each run; runs without one are in none.
pub(super) fn runs_of_lots<'a>(of_runs: impl Iterator<Item = Option<&'a str>>) -> Vec<Vec<usize>> {
    let mut lots: Vec<(&str, Vec<usize>)> = Vec::new();
    for (run, name) in of_runs.enumerate() {
        let Some(name) = name else { continue };
        match lots.iter_mut().find(|(lot, _)| *lot == name) {
            Some((_, runs)) => runs.push(run),
            None => lots.push((name, vec![run])),
        }
    }
    lots.into_iter().map(|(_, runs)| runs).collect()
}

/// Mean squares of an analysis of variance in one way.
struct MeanSquares {
    between: f64,
    within: f64,
    /// Runs of a lot, as they count in the mean square between lots.
    runs_of_a_lot: f64,
}

/// The standard deviation of lots beyond the errors that runs share anyhow, in the unit of the values; `None` where the
/// first runs do not show it, by an F ratio that luck exceeds in less than 1 %.
///
/// # Source
/// Scheffé, The analysis of variance, 1959, 7.2 (mean squares between and within groups of unequal size); the chance by
/// luck is simulated, so that stated errors of lots count.
pub(super) fn spread_of_lots(
    values: &[f64],
    first_runs: usize,
    lots: &[Vec<usize>],
    errors: &RunErrors,
) -> Option<f64> {
    let early = lots.iter().map(|runs| {
        let early = runs.iter().copied().filter(|run| *run < first_runs);
        early.collect::<Vec<usize>>()
    });
    let early: Vec<Vec<usize>> = early.filter(|runs| !runs.is_empty()).collect();
    let found = mean_squares(values, &early)?;
    let draws = (0..logs(values.len())).filter_map(|log| {
        let drawn = errors.draw(&mut Seeded::stream(SEED, log));
        mean_squares(&drawn, &early)
    });
    let draws: Vec<MeanSquares> = draws.collect();
    let exceeding = draws.iter().filter(|one| one.ratio() >= found.ratio());
    if (1 + exceeding.count()) as f64 > BY_LUCK * (1 + draws.len()) as f64 {
        return None;
    }
    let between: Vec<f64> = draws.iter().map(|one| one.between).collect();
    let variance = (found.between - mean(&between)) / found.runs_of_a_lot;
    (variance > 0.0 && variance.is_finite()).then(|| variance.sqrt())
}

impl MeanSquares {
    fn ratio(&self) -> f64 {
        self.between / self.within
    }
}

/// `None` with one lot alone, without two runs of a lot, or without scatter.
fn mean_squares(values: &[f64], lots: &[Vec<usize>]) -> Option<MeanSquares> {
    let runs: usize = lots.iter().map(Vec::len).sum();
    if lots.len() < 2 || runs <= lots.len() {
        return None;
    }
    let of_lot = |runs: &Vec<usize>| -> Vec<f64> { runs.iter().map(|&run| values[run]).collect() };
    let all: Vec<Vec<f64>> = lots.iter().map(of_lot).collect();
    let whole = mean(&all.concat());
    let (mut between, mut within, mut squared_sizes) = (0.0, 0.0, 0.0);
    for lot in &all {
        let (size, middle) = (lot.len() as f64, mean(lot));
        between += size * (middle - whole).powi(2);
        let squares = lot.iter().map(|value| (value - middle).powi(2));
        within += squares.sum::<f64>();
        squared_sizes += size * size;
    }
    let between_df = (lots.len() - 1) as f64;
    let found = MeanSquares {
        between: between / between_df,
        within: within / (runs - lots.len()) as f64,
        runs_of_a_lot: (runs as f64 - squared_sizes / runs as f64) / between_df,
    };
    (found.within > 0.0).then_some(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked out by hand: means 2 and 5 of two and three runs, 3.8 of all.
    #[test]
    fn mean_squares_are_those_of_an_analysis_of_variance() {
        let found = mean_squares(&[1.0, 3.0, 4.0, 5.0, 6.0], &[vec![0, 1], vec![2, 3, 4]]);
        let found = found.expect("five runs of two lots");
        // 2·1.8² + 3·1.2² = 10.8 with one degree of freedom; 2 + 2 = 4 with three; 5 − 13/5.
        assert!((found.between - 10.8).abs() < 1e-12);
        assert!((found.within - 4.0 / 3.0).abs() < 1e-12);
        assert!((found.runs_of_a_lot - 2.4).abs() < 1e-12);
    }

    #[test]
    fn one_lot_or_one_run_of_each_tells_nothing_of_lots() {
        assert!(mean_squares(&[1.0, 2.0], &[vec![0, 1]]).is_none());
        assert!(mean_squares(&[1.0, 2.0], &[vec![0], vec![1]]).is_none());
        assert!(mean_squares(&[1.0, 1.0, 2.0, 2.0], &[vec![0, 1], vec![2, 3]]).is_none());
    }
}
