//! Answer to question 7: the runs to make next.
//!
//! In: a plan of further runs, or why there is none. Out: the answer.
//! This module never plans a run.

use super::{Answer, Basis, Figure, FigureOf, Question, Status, ToDo, WhyOpen};
use crate::decide::NextRuns;

/// To make the runs that are planned, where there are any.
pub(super) fn planned(basis: &Basis) -> Vec<ToDo> {
    match basis.next {
        Some(Ok(plan)) if to_make(plan) > 0 => vec![ToDo::MakePlanned(to_make(plan))],
        _ => Vec::new(),
    }
}

/// Runs to make, those planned in the log among them.
fn to_make(plan: &NextRuns) -> usize {
    plan.runs.len() + plan.in_the_log.len()
}

pub(super) fn answer(basis: &Basis) -> Answer {
    let question = Question::Next;
    match basis.next {
        None => {
            let (status, to_do) = (Status::NotAsked, vec![ToDo::AddModel]);
            Answer::without(question, status, WhyOpen::NoModel, to_do)
        }
        Some(Err(error)) => {
            let reason = WhyOpen::NoPlan(Box::new(error.clone()));
            Answer::without(question, Status::Open, reason, Vec::new())
        }
        Some(Ok(plan)) => {
            let runs = to_make(plan);
            let figure = Figure::new(FigureOf::RunsToMake, "", runs as f64, "");
            let (reason, to_do) = (Some(WhyOpen::ToBeMade), vec![ToDo::MakePlanned(runs)]);
            Answer::with(question, vec![figure], reason, to_do)
        }
    }
}
