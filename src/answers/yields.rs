//! Answer to question 1: what the runs gave.
//!
//! In: the yields found. Out: the answer.
//! This module never judges a run.

use super::{Answer, Basis, Figure, FigureOf, Question, Status, ToDo, WhyOpen};

pub(super) fn answer(basis: &Basis) -> Answer {
    let question = Question::Given;
    let Some(given) = &basis.findings.given else {
        if basis.campaign.chemistry.is_none() {
            return Answer::without(question, Status::NotAsked, WhyOpen::NoChemistry, Vec::new());
        }
        let runs = basis.runs.results.iter();
        let first = runs
            .filter(|run| run.set_aside.is_none())
            .find_map(|run| run.contained.as_ref().err());
        let reason = WhyOpen::NoYield(first.cloned());
        return Answer::without(question, Status::Open, reason, vec![ToDo::LogYield]);
    };
    let yields = |what, value| Figure::new(what, "", value, "1");
    let mut figures = vec![
        yields(FigureOf::LowestYield, given.low),
        yields(FigureOf::MiddleYield, given.middle),
        yields(FigureOf::HighestYield, given.high),
        yields(FigureOf::HalfWidth, given.half_width_middle),
    ];
    let purity = given.purity_middle;
    figures.extend(purity.map(|purity| yields(FigureOf::MiddlePurity, purity)));
    let impossible = Some(&given.impossible).filter(|runs| !runs.is_empty());
    let reason = impossible.cloned().map(WhyOpen::Impossible);
    let to_do = impossible.cloned().map(ToDo::Correct);
    let shaken = basis.firmness.of_all.as_ref();
    Answer::with(question, figures, reason, to_do.into_iter().collect()).unless_shaken(shaken)
}
