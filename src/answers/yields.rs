//! Answer to question 1: what the runs gave.
//!
//! In: the yields found. Out: the answer.
//! This module never judges a run.

use super::{Answer, Basis, Figure, FigureOf, Question, Status, ToDo, WhyOpen};
use crate::caveat::{Doubt, Part, Weight};

pub(super) fn answer(basis: &Basis) -> Answer {
    let question = Question::Given;
    let Some(given) = &basis.findings.given else {
        if basis.campaign.chemistry.is_none() {
            return Answer::without(question, Status::NotAsked, WhyOpen::NoChemistry, Vec::new());
        }
        let mut runs = basis.runs.counted();
        let first = runs.find_map(|run| run.contained.as_ref().err());
        let reason = WhyOpen::NoYield(first.cloned());
        return Answer::without(question, Status::Open, reason, vec![ToDo::LogYield]);
    };
    let yields = |what, value| Figure::new(what, "", value, "1");
    let mut figures = vec![
        yields(FigureOf::LowestYield, given.low),
        yields(FigureOf::MiddleYield, given.middle),
        yields(FigureOf::HighestYield, given.high),
        yields(FigureOf::HalfWidth, given.half_widths[1]),
    ];
    let purity = given.purity_middle;
    figures.extend(purity.map(|purity| yields(FigureOf::MiddlePurity, purity)));
    let impossible = Some(&given.impossible).filter(|runs| !runs.is_empty());
    let reason = impossible.cloned().map(WhyOpen::Impossible);
    let to_do = impossible.cloned().map(ToDo::Correct);
    let shaken = basis.firmness.of_all.as_ref();
    let answer =
        Answer::with(question, figures, reason, to_do.into_iter().collect()).unless_shaken(shaken);
    let hardly: Vec<String> = hardly_right(basis);
    if answer.status != Status::Settled || hardly.is_empty() {
        return answer;
    }
    Answer {
        status: Status::InDoubt,
        reason: Some(WhyOpen::HardlyRight(hardly.clone())),
        to_do: vec![ToDo::Correct(hardly)],
        ..answer
    }
}

/// Runs with an entry that is hardly right and that their yield rests on.
fn hardly_right(basis: &Basis) -> Vec<String> {
    let slips = basis
        .doubts
        .iter()
        .filter_map(|caveat| match &caveat.doubt {
            Doubt::Entry(slip) if slip.weight == Weight::Unlikely && !slip.accepted => Some(slip),
            _ => None,
        });
    let of_yields = slips.filter(|slip| slip.part.is_some_and(Part::is_of_a_yield));
    of_yields.filter_map(|slip| slip.run.clone()).collect()
}
