//! Answer to question 5: whether residue fed forward pays.
//!
//! In: what residue gains, or what is missing to say so. Out: the answer.
//! This module never computes a gain.

use super::{Answer, Basis, Figure, FigureOf, Question, Status, ToDo, WhyOpen};
use crate::decide::{
    Amount, Claim, CostKind, Money, NotCounted, Policies, Recycling, RecyclingVerdict, Settling,
    Unanswered,
};
use crate::regression::Interval;

pub(super) fn answer(basis: &Basis) -> Answer {
    let question = Question::Residue;
    let recycling = &basis.findings.recycling;
    if !basis.findings.residue_is_asked {
        return Answer::without(question, Status::NotAsked, WhyOpen::NoResidue, Vec::new());
    }
    let missing = |missing: &Unanswered, figures| {
        let to_do = vec![ToDo::Supply(Box::new(missing.clone()))];
        let reason = WhyOpen::Missing(Box::new(missing.clone()));
        Answer::with(question.clone(), figures, Some(reason), to_do)
    };
    let recycling = match recycling {
        Ok(recycling) => recycling,
        Err(why) => return missing(why, Vec::new()),
    };
    let extra = figure(FigureOf::ExtraProduct, &recycling.extra_product, "g");
    let money = match &recycling.money {
        Ok(money) => money,
        Err(why) => return missing(why, vec![extra]),
    };
    let figures = vec![
        figure(FigureOf::GainPerRun, &money.gain, &money.currency),
        Figure::new(FigureOf::Chance, "", money.chance_positive, "1"),
        extra,
    ];
    let reason = match money.verdict {
        RecyclingVerdict::Pays | RecyclingVerdict::DoesNotPay => {
            let untold = NotCounted::NotTold(CostKind::Labour);
            match () {
                () if !money.way_is_stated && money.ways_disagree() => {
                    Some(WhyOpen::ValuedOtherwise)
                }
                () if money.handling_decides() => Some(WhyOpen::HandlingUnsaid),
                () if pays_less_often(recycling) => Some(WhyOpen::ChargedLessOften),
                () if never_again(recycling) => Some(WhyOpen::NotAgainAndAgain),
                () if money.not_counted.contains(&untold) && money.terms.handling == 0.0 => {
                    Some(WhyOpen::LabourUntold)
                }
                () => None,
            }
        }
        RecyclingVerdict::NotSettled | RecyclingVerdict::TooClose => {
            Some(WhyOpen::GainMayBeNothing)
        }
    };
    let to_do = match money.settling {
        Some(Settling::Runs { runs, charged, .. }) => vec![ToDo::SettleGain { runs, charged }],
        _ => Vec::new(),
    };
    let shaken = basis.firmness.shaken(Claim::Residue);
    let is_partly_open = matches!(
        reason,
        Some(
            WhyOpen::ValuedOtherwise
                | WhyOpen::HandlingUnsaid
                | WhyOpen::LabourUntold
                | WhyOpen::ChargedLessOften
                | WhyOpen::NotAgainAndAgain
        )
    );
    let answer = Answer::with(question, figures, reason, to_do);
    match is_partly_open {
        true => Answer {
            status: Status::PartlyOpen,
            ..answer
        },
        false => answer.unless_shaken(shaken),
    }
}

/// Whether a charge like those made does not pay, and one of what was collected does, beyond its interval.
fn pays_less_often(recycling: &Recycling) -> bool {
    let loses = |money: &Money| money.verdict == RecyclingVerdict::DoesNotPay;
    let best = policies(recycling).and_then(Policies::best);
    recycling.money.as_ref().is_ok_and(loses) && best.is_some_and(|best| best.gain.low > 0.0)
}

/// Whether a charge like those made pays, and each way to charge again and again loses, beyond its interval.
fn never_again(recycling: &Recycling) -> bool {
    let gains = |money: &Money| money.verdict == RecyclingVerdict::Pays;
    let loses = |policies: &Policies| policies.each.iter().all(|of| of.gain.high < 0.0);
    recycling.money.as_ref().is_ok_and(gains) && policies(recycling).is_some_and(loses)
}

fn policies(recycling: &Recycling) -> Option<&Policies> {
    recycling.cycles.as_ref().ok()?.policies.as_ref()
}

fn figure(what: FigureOf, amount: &Amount, unit: &str) -> Figure {
    Figure::new(what, "", amount.value, unit).between(Some(Interval {
        low: amount.low,
        high: amount.high,
    }))
}
