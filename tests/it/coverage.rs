//! Do 95 % intervals hold the truth 95 times in a hundred?
//!
//! In: seeded campaigns whose truth is known (`invented.rs`). Out: tests of how often the interval of a yield, of a
//! difference within a lot and of one between lots holds the true value; `chances.rs` asks how often the route that is
//! given a chance of being best is the best, `lots.rs` what holds with few lots, `uneven_scatter.rs` whether chances and
//! intervals hold where routes scatter differently, `ageing.rs` what purities hold while a titrant ages, `second.rs` whether a gain holds what a second product brings; `properties.rs` tests what must hold for any campaign.
//! This module never draws an unseeded number.

mod ageing;
mod chances;
mod invented;
mod lots;
mod properties;
mod second;
mod uneven_scatter;

pub use invented::Chance;
use invented::{Bench, campaign, run_name};
use residuum::measured::Measured;

const SEED: u64 = 20_260_205;

const CONFIDENCE: f64 = 0.95;

/// Campaigns simulated: the standard error of a coverage of 95 % is then 0.34 points.
const CAMPAIGNS: u64 = 4_000;

/// Coverage allowed, four standard errors and a little more to each side.
const ALLOWED: std::ops::RangeInclusive<f64> = 0.935..=0.965;

/// Whether simulations are to run at full size, which takes minutes.
fn full_size() -> bool {
    std::env::var("RESIDUUM_SIMULATIONS").is_ok_and(|size| size == "full")
}

/// How often intervals held the truth.
#[derive(Default)]
struct Coverage {
    intervals: u64,
    held: u64,
}

impl Coverage {
    fn count(&mut self, estimate: &Measured, half_width: f64, truth: f64) {
        self.intervals += 1;
        self.held += u64::from((estimate.value() - truth).abs() <= half_width);
    }

    fn share(&self) -> f64 {
        self.held as f64 / self.intervals as f64
    }

    fn check(&self, what: &str) {
        let share = self.share();
        println!(
            "{what}: {:.1} % of {} intervals hold the truth",
            100.0 * share,
            self.intervals
        );
        assert!(ALLOWED.contains(&share), "{what}: {share}");
    }
}

/// Coverage of a yield and of a difference of two, over all campaigns of a bench.
///
/// The runs are the first and those counted by `others`, in the order of the log.
fn differences(bench: &Bench, others: &[usize]) -> Vec<Coverage> {
    let mut coverage: Vec<Coverage> = Vec::new();
    coverage.resize_with(others.len() + 1, Coverage::default);
    for number in 0..CAMPAIGNS {
        let invented = campaign(bench, SEED, number);
        let worked = invented.campaign.work_out();
        let sources = &worked.runs().sources;
        let first = worked.contained(&run_name(0));
        let half = sources.expanded(first, CONFIDENCE);
        coverage[0].count(first, half, invented.yields[0]);
        for (place, other) in others.iter().enumerate() {
            let apart = worked.contained(&run_name(*other)) - first;
            let truth = invented.yields[*other] - invented.yields[0];
            let half = sources.expanded(&apart, CONFIDENCE);
            coverage[place + 1].count(&apart, half, truth);
        }
    }
    coverage
}

#[test]
fn intervals_of_yields_and_differences_hold_the_truth_95_times_in_a_hundred() {
    let next_lot = Bench::ORDINARY.runs_a_lot;
    let coverage = differences(&Bench::ORDINARY, &[1, next_lot]);
    coverage[0].check("a yield");
    coverage[1].check("a difference within a lot");
    coverage[2].check("a difference between lots");
}

#[test]
fn intervals_hold_the_truth_when_two_duplicates_are_all_that_is_known_of_the_scatter() {
    let coverage = differences(&Bench::FEW_REPLICATES, &[1]);
    coverage[0].check("a yield");
    coverage[1].check("a difference within a lot");
}
