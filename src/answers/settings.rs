//! Answer to question 6: the best settings.
//!
//! In: the best settings, or what is missing for them. Out: the answer.
//! This module never searches.

use super::next::planned;
use super::{Answer, Basis, Figure, FigureOf, Question, Status, ToDo, WhyOpen};
use crate::decide::{Claim, Gap, HowSettled};

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
    let (mean, aim) = (&best.mean, &best.aim);
    let figure = Figure::new(FigureOf::BestSettings, aim.of.name(), mean.value, &aim.unit);
    let mut figures = vec![figure.between(mean.interval)];
    let chance = |chance: f64| Figure::new(FigureOf::Chance, "", chance, "1");
    figures.extend(best.chance_spec.map(chance));
    let reason = match (best.standing, best.reaches) {
        (HowSettled::Settled | HowSettled::Alike, _) => None,
        (HowSettled::NotSettled, Some(false)) => Some(WhyOpen::NoSettingsMeet),
        (HowSettled::NotSettled, _) => Some(WhyOpen::NoBetterThanMade),
    };
    let shaken = basis.firmness.shaken(Claim::Settings);
    let to_do = match reason {
        Some(WhyOpen::NoBetterThanMade) => planned(basis),
        _ => Vec::new(),
    };
    Answer::with(question, figures, reason, to_do).unless_shaken(shaken)
}
