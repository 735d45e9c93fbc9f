//! The answer to question 5: does it pay to feed the residue forward?
//!
//! In: what residue gains, or what is missing to say so. Out: the answer.
//! This module never computes a gain.

use super::{Answer, Basis, Figure, FigureOf, Question, Status, ToDo, WhyOpen};
use crate::decide::{Amount, Money, RecyclingVerdict, Settling};
use crate::regression::Interval;

pub(super) fn answer(basis: &Basis) -> Answer {
    let question = Question::Residue;
    let recycling = &basis.findings.recycling;
    if !basis.findings.residue_is_asked {
        return Answer::without(question, Status::NotAsked, WhyOpen::NoResidue, Vec::new());
    }
    let recycling = match recycling {
        Ok(recycling) => recycling,
        Err(missing) => {
            let to_do = vec![ToDo::Supply(Box::new(missing.clone()))];
            let reason = WhyOpen::Missing(Box::new(missing.clone()));
            return Answer::without(question, Status::Open, reason, to_do);
        }
    };
    let extra = figure(FigureOf::ExtraProduct, &recycling.extra_product, "g");
    let money = match &recycling.money {
        Ok(money) => money,
        Err(missing) => {
            let to_do = vec![ToDo::Supply(Box::new(missing.clone()))];
            let reason = WhyOpen::Missing(Box::new(missing.clone()));
            return Answer::with(question, Status::Open, vec![extra], Some(reason), to_do);
        }
    };
    let figures = vec![
        figure(FigureOf::GainPerRun, &money.gain, &money.currency),
        Figure::new(FigureOf::Chance, "", money.chance_positive, "1"),
        extra,
    ];
    let (status, reason) = match money.verdict {
        RecyclingVerdict::Pays | RecyclingVerdict::DoesNotPay => (Status::Settled, None),
        RecyclingVerdict::NotSettled | RecyclingVerdict::TooClose => {
            (Status::Open, Some(WhyOpen::GainMayBeNothing))
        }
    };
    Answer::with(question, status, figures, reason, to_do(money))
}

fn figure(what: FigureOf, amount: &Amount, unit: &str) -> Figure {
    Figure::new(what, "", amount.value, unit).between(Some(Interval {
        low: amount.low,
        high: amount.high,
    }))
}

fn to_do(money: &Money) -> Vec<ToDo> {
    match &money.settling {
        Some(Settling::Runs { runs, charged, .. }) => vec![ToDo::SettleGain {
            runs: *runs,
            charged: *charged,
        }],
        _ => Vec::new(),
    }
}
