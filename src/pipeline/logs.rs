//! From the bytes of logs to runs on one footing.
//!
//! In: a checked campaign and its logs. Out: [`Normalised`], and simulated intervals where first order may fail.
//! This module never opens a file.

use crate::campaign::Campaign;
use crate::caveat::{self, Caveat, Doubt};
use crate::entries;
use crate::error::Faults;
use crate::intake::{self, LogFile, Logged};
use crate::runs::{self, Runs, Stopped};

/// The logs of a campaign and its runs on one footing.
#[derive(Debug, Clone)]
pub struct Normalised {
    /// What was logged.
    pub logged: Logged,
    /// What it comes to.
    pub runs: Runs,
}

/// Reads the logs, judges every entry and puts every run on one footing, without what cannot be right.
///
/// # Errors
/// Every fault that stops the work.
pub fn normalise(campaign: &Campaign, files: &[LogFile]) -> Result<Normalised, Faults> {
    let logged = intake::read(campaign, files)?;
    on_one_footing(campaign, logged).map_err(|stopped| stopped.faults)
}

/// Judges every entry and puts every run on one footing, without what cannot be right.
///
/// # Errors
/// Faults that stop the work, with what was left out before that.
pub fn on_one_footing(campaign: &Campaign, mut logged: Logged) -> Result<Normalised, Stopped> {
    entries::leave_out_gaps(campaign, &mut logged);
    let mut runs = runs::normalise(campaign, &logged)?;
    let slips = entries::slips(campaign, &logged, &runs);
    if let Some(sound) = entries::withheld(&logged, &slips) {
        logged = sound;
        runs = runs::normalise(campaign, &logged)?;
    }
    let doubts = entries::doubts(campaign, &logged, &runs, slips);
    runs.caveats.splice(0..0, doubts);
    Ok(Normalised { logged, runs })
}

/// Which runs are simulated beside propagation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CrossCheck {
    /// All runs.
    Every,
    /// The worst run of each lot, where an input is so uncertain that first order may fail.
    Doubtful,
}

/// Simulates yields and puts the outcome beside them; where first order fails, a doubt says so.
pub fn cross_check(campaign: &Campaign, normalised: &mut Normalised, which: CrossCheck, seed: u64) {
    let Normalised { logged, runs } = normalised;
    let names: Vec<String> = match which {
        CrossCheck::Every => runs.results.iter().map(|run| run.run.clone()).collect(),
        CrossCheck::Doubtful => runs::doubtful(runs),
    };
    if names.is_empty() {
        return;
    }
    runs::cross_check(campaign, logged, runs, &names, seed);
    for run in &runs.results {
        let Some(check) = &run.cross_check else {
            continue;
        };
        if !check.agrees {
            let doubt = Doubt::FirstOrderFails {
                simulated: caveat::Ends {
                    low: check.low,
                    high: check.high,
                },
                apart: check.apart,
            };
            runs.caveats.push(Caveat::of_run(&run.run, doubt));
        }
        if !check.stable {
            let doubt = Doubt::SimulationNotStable {
                tolerance: check.tolerance,
                trials: check.trials,
            };
            runs.caveats.push(Caveat::of_run(&run.run, doubt));
        }
    }
}
