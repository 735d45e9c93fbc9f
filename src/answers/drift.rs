//! Answer to question 8: drift of the process.
//!
//! In: control charts. Out: the answer.
//! This module never decides what is flagged.

use super::{Answer, Basis, Figure, FigureOf, Question, Status, ToDo, WhyOpen};
use crate::drift::Subject;

/// Charts of fewer runs than these can say little of a drift; common practice, no source.
const FEWEST_TO_SETTLE: usize = 20;

pub(super) fn answer(basis: &Basis) -> Answer {
    let question = Question::Drift;
    let drift = basis.drift;
    if drift.series.is_empty() {
        let status = match drift.not_charted.is_empty() {
            true => Status::NotAsked,
            false => Status::Open,
        };
        return Answer::without(question, status, WhyOpen::NothingCharted, Vec::new());
    }
    let mut figures = Vec::new();
    let mut flagged = false;
    for series in &drift.series {
        let flags = series.signals().count();
        flagged |= flags > 0;
        let name = match &series.subject {
            Subject::Response(name) | Subject::Titrant(name) => name,
            Subject::Control => "control",
        };
        figures.push(Figure::new(FigureOf::Flags, name, flags as f64, ""));
        let chance = series.chance_of_any_flag;
        figures.push(Figure::new(FigureOf::Chance, name, chance, "1"));
    }
    let enough = drift.series.iter().all(|series| match series.subject {
        Subject::Response(_) => series.places.len() >= FEWEST_TO_SETTLE,
        Subject::Titrant(_) | Subject::Control => true,
    });
    let reason = match (flagged, enough) {
        (true, _) => Some(WhyOpen::Flagged),
        (false, false) => Some(WhyOpen::FewRuns),
        (false, true) => None,
    };
    let to_do = flagged.then_some(ToDo::LookAtFlag);
    Answer::with(question, figures, reason, to_do.into_iter().collect())
}
