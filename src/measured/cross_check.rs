//! Propagated uncertainty beside a simulation of the same result.
//!
//! In: a result by propagation, and a way to simulate it batch by batch. Out: [`CrossCheck`].
//! This module never knows what the result is computed from.

use super::{Measured, Sources};
use crate::distributions::mean;

/// Simulated values in one batch.
/// Source: JCGM 101:2008, 7.9.4 (b), `M = max(J, 10⁴)` with `J` the smallest integer above `100/(1 − p)`.
pub(crate) const LANES: usize = 10_000;

/// Most batches before the simulation stops without having become stable.
const MOST_BATCHES: usize = 100;

/// The simulation goes on until it is known to this part of the tolerance that it is compared with.
/// Source: JCGM 101:2008, 8.2, note 2.
const FINER: f64 = 0.2;

/// A result by simulation beside the same by first-order propagation.
#[derive(Debug, Clone, PartialEq)]
pub struct CrossCheck {
    /// Mean of the simulated values.
    pub value: f64,
    /// Their standard deviation.
    pub uncertainty: f64,
    /// Lower end of the interval, as many values below as above its upper end.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
    /// Number of simulated values.
    pub trials: usize,
    /// Numerical tolerance: half a unit of the last digit that counts of the propagated standard uncertainty.
    pub tolerance: f64,
    /// Larger distance between the ends of both intervals.
    pub apart: f64,
    /// Whether both intervals agree within the tolerance.
    pub agrees: bool,
    /// Whether the simulation became stable within the tolerance before it was stopped.
    pub stable: bool,
}

/// Half a unit in the last digit that counts of a standard uncertainty: one digit counts, and two where the first
/// is a 1, so that the tolerance lies between 2.5 and 25 % of the uncertainty.
///
/// # Source
/// JCGM 101:2008, 7.9.2: `u = c·10^l` with `c` of one or two digits, `δ = ½·10^l`.
pub(crate) fn numerical_tolerance(uncertainty: f64) -> f64 {
    if uncertainty <= 0.0 {
        return 0.0;
    }
    let exponent = uncertainty.log10().floor() as i32;
    let first_digits = (10.0 * uncertainty / 10f64.powi(exponent)).round();
    // Rounded to two digits, 0.0996 is 0.10.
    let last_counted = if first_digits >= 20.0 {
        exponent
    } else {
        exponent - 1
    };
    0.5 * 10f64.powi(last_counted)
}

/// Simulates results batch after batch until each is stable, and compares them with propagation.
///
/// `simulate` gives the lanes of each result for a batch; `results` are the same by propagation, in the same order.
///
/// # Units and shapes
/// Value, uncertainty, ends, tolerance and distance in the unit of each result; one check a result.
/// # Assumes
/// Lanes of one batch are independent draws, and batches are independent of one another.
/// # Source
/// JCGM 101:2008, 7.9.4 (adaptive procedure: stop when twice the standard deviation of the average over batches of
/// value, uncertainty and both ends is below the tolerance) and 8.1 (comparison of the ends of the intervals).
/// The quantities are averages over batches, where the guide sorts all values together once more at the end.
pub fn cross_check(
    results: &[Measured],
    sources: &Sources,
    confidence: f64,
    simulate: impl Fn(u64) -> Vec<Vec<f64>>,
) -> Vec<CrossCheck> {
    let mut collected: Vec<Collected> = vec![Collected::default(); results.len()];
    for batch in 0..MOST_BATCHES {
        for (collected, lanes) in collected.iter_mut().zip(simulate(batch as u64)) {
            collected.add(lanes, confidence);
        }
        if batch > 0 && collected.iter().all(|c| c.is_stable(FINER)) {
            break;
        }
    }
    results
        .iter()
        .zip(&collected)
        .map(|(result, collected)| {
            let half = sources.expanded(result, confidence);
            let [value, uncertainty, low, high] = collected.means();
            let apart = (result.value() - half - low)
                .abs()
                .max((result.value() + half - high).abs());
            let tolerance = numerical_tolerance(result.uncertainty());
            CrossCheck {
                value,
                uncertainty,
                low,
                high,
                trials: collected.trials,
                tolerance,
                apart,
                agrees: apart <= tolerance,
                stable: collected.is_stable(1.0),
            }
        })
        .collect()
}

/// Value, uncertainty and both ends of the interval, batch by batch.
#[derive(Debug, Clone, Default)]
struct Collected {
    batches: Vec<[f64; 4]>,
    trials: usize,
}

impl Collected {
    fn add(&mut self, mut lanes: Vec<f64>, confidence: f64) {
        self.trials += lanes.len();
        let count = lanes.len() as f64;
        let mean = mean(&lanes);
        let square = lanes.iter().map(|lane| (lane - mean).powi(2)).sum::<f64>();
        lanes.sort_by(f64::total_cmp);
        let outside = (1.0 - confidence) / 2.0 * count;
        let low = (outside.round() as usize).min(lanes.len() - 1);
        let high = lanes.len() - 1 - low;
        let deviation = (square / (count - 1.0)).sqrt();
        self.batches
            .push([mean, deviation, lanes[low], lanes[high]]);
    }

    fn means(&self) -> [f64; 4] {
        let count = self.batches.len() as f64;
        std::array::from_fn(|i| self.batches.iter().map(|b| b[i]).sum::<f64>() / count)
    }

    /// Whether all four figures are known to a part of the tolerance.
    fn is_stable(&self, part: f64) -> bool {
        let count = self.batches.len() as f64;
        let means = self.means();
        let tolerance = part * numerical_tolerance(means[1]);
        count > 1.0
            && (0..4).all(|i| {
                let square: f64 = self.batches.iter().map(|b| (b[i] - means[i]).powi(2)).sum();
                2.0 * (square / (count * (count - 1.0))).sqrt() <= tolerance
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measured::{Distribution, Draws};

    /// A fifth of the tolerance for u = 2.0, to which the simulation is run: JCGM 101:2008, 8.2, note 2.
    const ENDS: f64 = 0.1;

    fn sum_of_four(distribution: Distribution) -> CrossCheck {
        let mut sources = Sources::default();
        let ids: Vec<_> = (0..4)
            .map(|_| sources.add("x", distribution, f64::INFINITY))
            .collect();
        let parts: Vec<Measured> = ids.iter().map(|id| Measured::new(0.0, *id, 1.0)).collect();
        let total = Measured::sum(&parts);
        cross_check(&[total], &sources, 0.95, |batch| {
            let draws = Draws {
                seed: 1,
                batch,
                lanes: LANES,
            };
            let simulated: Vec<Measured> = ids
                .iter()
                .map(|id| Measured::exact(0.0).with_lanes(draws.errors(*id, sources.get(*id))))
                .collect();
            vec![Measured::sum(&simulated).lanes().to_vec()]
        })
        .remove(0)
    }

    #[test]
    fn four_normal_inputs_agree_with_propagation() {
        // JCGM 101:2008, 9.2.2: u = 2.0, shortest interval -3.92 to 3.92 (from memory of the supplement).
        let check = sum_of_four(Distribution::Normal);
        assert!(check.agrees && check.stable, "{check:?}");
        assert!((check.uncertainty - 2.0).abs() < 0.05);
        assert!(
            (check.high - 3.92).abs() < ENDS && (check.low + 3.92).abs() < ENDS,
            "{check:?}"
        );
    }

    #[test]
    fn the_tolerance_is_half_a_unit_of_the_last_digit_that_counts() {
        for (uncertainty, tolerance) in [
            (2.04, 0.5),
            (1.94, 0.05),
            (0.0047, 0.0005),
            (0.00996, 0.0005),
        ] {
            assert!(
                (numerical_tolerance(uncertainty) / tolerance - 1.0).abs() < 1e-12,
                "{uncertainty}"
            );
        }
    }

    #[test]
    fn four_rectangular_inputs_end_a_little_sooner() {
        // JCGM 101:2008, 9.2.3: the ends are ±3.88, closed form 2√3·(2 − (3/5)^(1/4)), against ±3.92 by propagation.
        let check = sum_of_four(Distribution::Rectangular);
        let end = 2.0 * 3f64.sqrt() * (2.0 - 0.6_f64.powf(0.25));
        assert!(
            (check.high - end).abs() < 0.05 && (check.low + end).abs() < 0.05,
            "{check:?}"
        );
        assert!((end - 3.88).abs() < 0.005);
        assert!(check.agrees && check.apart < 0.04 + ENDS);
    }
}
