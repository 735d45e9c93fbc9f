//! Answer to question 2: where the rest of the charge went.
//!
//! In: the middle of each part of the charge, and doubts about balances. Out: the answer.
//! This module never fills in a part that was not measured.

use super::{Answer, Basis, Figure, FigureOf, Question, Status, ToDo, WhyOpen};
use crate::caveat::{About, Against, Doubt, ResultOf, Weight};

pub(super) fn answer(basis: &Basis) -> Answer {
    let question = Question::Went;
    let Some(went) = &basis.findings.went else {
        if basis.campaign.chemistry.is_none() {
            return Answer::without(question, Status::NotAsked, WhyOpen::NoChemistry, Vec::new());
        }
        let mut runs = basis.runs.results.iter();
        let first = runs.find_map(|run| run.balance.closure.as_ref().err());
        let reason = WhyOpen::NoBalance(first.cloned());
        return Answer::without(question, Status::Open, reason, vec![ToDo::LogBalance]);
    };
    let parts = [
        (FigureOf::InCrops, &went.crops),
        (FigureOf::InLiquor, &went.liquor),
        (FigureOf::InResidue, &went.residue),
        (FigureOf::Unaccounted, &went.unaccounted),
    ];
    let figures = parts.map(|(what, part)| Some(Figure::new(what, "", part.middle?, "1")));
    let figures = figures.into_iter().flatten().collect();
    const CLOSURE: ResultOf = ResultOf::Closure;
    let above = doubted(basis, |doubt| match doubt {
        Doubt::Entry(slip) => {
            let above = matches!(slip.against, Against::Beyond { what: CLOSURE, .. });
            above && slip.weight == Weight::Unlikely && !slip.accepted
        }
        doubt => matches!(doubt, Doubt::ClosureAboveOne { .. }),
    });
    let below = doubted(basis, |doubt| match doubt {
        Doubt::Entry(slip) => {
            let below = matches!(slip.against, Against::ResultOfOthers { what: CLOSURE, .. });
            below && !slip.accepted
        }
        doubt => matches!(doubt, Doubt::ClosureBelowOthers { .. }),
    });
    let in_all = |doubt: &Doubt| match doubt {
        Doubt::AllOff { what, .. } => *what == ResultOf::Closure,
        doubt => matches!(doubt, Doubt::BalanceOpenInAllRuns { .. }),
    };
    let reason = if !above.is_empty() {
        WhyOpen::MoreOutThanIn(above.len())
    } else if !below.is_empty() {
        WhyOpen::LessOutThanOthers(below.len())
    } else if basis.doubts.iter().any(|caveat| in_all(&caveat.doubt)) {
        WhyOpen::BalanceOpen
    } else {
        return Answer::with(question, figures, None, Vec::new());
    };
    let runs: Vec<String> = above.into_iter().chain(below).collect();
    let to_do = match runs.is_empty() {
        true => vec![ToDo::LogBalance],
        false => vec![ToDo::Correct(runs)],
    };
    Answer {
        status: Status::InDoubt,
        ..Answer::with(question, figures, Some(reason), to_do)
    }
}

/// The runs that a kind of doubt is about.
fn doubted(basis: &Basis, is_of_kind: fn(&Doubt) -> bool) -> Vec<String> {
    // What is set aside may have lost whatever it lost.
    let is_aside = |name: &str| {
        let mut runs = basis.runs.results.iter();
        runs.any(|run| run.run == name && run.set_aside.is_some())
    };
    let caveats = basis.doubts.iter();
    let runs = caveats.filter_map(|caveat| match &caveat.about {
        About::Run(run) if is_of_kind(&caveat.doubt) && !is_aside(run) => Some(run.clone()),
        _ => None,
    });
    runs.collect()
}
