//! The answer to question 6: which settings are best?
//!
//! In: the best settings, or what is missing for them. Out: the answer.
//! This module never searches.

use super::{Answer, Basis, Figure, FigureOf, Question, Status, ToDo, WhyOpen};
use crate::decide::{Gap, HowSettled};

pub(super) fn answer(basis: &Basis) -> Answer {
    let question = Question::Settings;
    let best = match &basis.findings.settings {
        None => {
            let (status, to_do) = (Status::NotAsked, vec![ToDo::AddModel]);
            return Answer::without(question, status, WhyOpen::NoModel, to_do);
        }
        Some(Err(gaps)) => {
            let first = Gap::that_stops(gaps).cloned().map(Box::new);
            let (status, reason) = (Status::Open, WhyOpen::NoSettings(first));
            return Answer::without(question, status, reason, Vec::new());
        }
        Some(Ok(best)) => best,
    };
    let response = best.aim.of.name();
    let mean = Figure::new(
        FigureOf::BestSettings,
        response,
        best.mean.value,
        &best.aim.unit,
    );
    let mut figures = vec![mean.between(best.mean.interval)];
    let chance = |chance: f64| Figure::new(FigureOf::Chance, "", chance, "1");
    figures.extend(best.chance_spec.map(chance));
    let reason = match (best.reaches, best.standing) {
        (Some(false), _) => Some(WhyOpen::NoSettingsMeet),
        (_, HowSettled::NotSettled) => Some(WhyOpen::NoBetterThanMade),
        _ => None,
    };
    let status = match best.standing {
        HowSettled::Settled | HowSettled::Alike => Status::Settled,
        HowSettled::NotSettled => Status::Open,
    };
    let reason = reason.filter(|_| status != Status::Settled);
    Answer::with(question, status, figures, reason, Vec::new())
}
