//! A plan of further runs as data.
//!
//! In: [`NextRuns`]. Out: what stands under `next_runs` and `next_runs_for`.
//! This module never rounds, and never plans a run.

use super::caveats;
use super::of_settings::at;
use crate::decide::{NextRun, NextRuns, Reason};
use crate::error::Error;
use crate::report::next::words::{MASSES, masses, reason, reason_kind};
use crate::report::print::term_words::written;
use crate::report::reasons::compared;
use crate::result::{self, NextRunsFor};

/// One entry a run, in the order of making; None where nothing can be planned.
pub fn next_runs(planned: Option<&Result<NextRuns, Error>>) -> Option<Vec<result::NextRun>> {
    let plan = planned?.as_ref().ok()?;
    Some(plan.runs.iter().map(|one| run(plan, one)).collect())
}

/// What the plan is for and what it would bring, or the reason why there is none.
pub fn brings(planned: Option<&Result<NextRuns, Error>>) -> NextRunsFor {
    let plan = match planned {
        None => {
            return NextRunsFor::NoModel {
                reason: "there is no model",
            };
        }
        Some(Err(error)) => {
            return NextRunsFor::NoPlan {
                reason: error.message().to_string(),
                hint: error.advice().map(str::to_string),
            };
        }
        Some(Ok(plan)) => plan,
    };
    let widths = plan.widths.iter().map(|width| result::Width {
        response: width.response.clone(),
        unit: width.unit.clone(),
        about: compared(&width.about),
        before: width.before,
        after: width.after,
    });
    let power = plan.power.iter().map(|power| result::Power {
        response: power.response.clone(),
        about: compared(&power.about),
        margin: power.margin,
        before: power.before,
        after: power.after,
    });
    NextRunsFor::Plan {
        response: plan.response.clone(),
        separated: written(&plan.separated),
        still_tangled: written(&plan.still_tangled),
        d_efficiency: plan.efficiency,
        widths: widths.collect(),
        power: power.collect(),
        caveats: caveats(&plan.caveats),
    }
}

fn run(plan: &NextRuns, run: &NextRun) -> result::NextRun {
    let weigh = MASSES.iter().zip(masses(run));
    result::NextRun {
        order: run.order,
        reason: reason(plan, run),
        kind: reason_kind(&run.reason),
        about: match &run.reason {
            Reason::Separate(terms) => written(terms),
            Reason::Settle(about) => vec![compared(about)],
            Reason::Repeat | Reason::Confirm | Reason::Cover => Vec::new(),
        },
        settings: at(&run.settings),
        lot: run.lot.clone(),
        weigh: weigh
            .filter_map(|(name, mass)| Some((name.to_string(), mass?)))
            .collect(),
    }
}
