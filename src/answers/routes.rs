//! Answer to question 4: the best recovery route.
//!
//! In: the routes compared. Out: the answer.
//! This module never compares two routes itself.

use super::next::planned;
use super::{Answer, Basis, Figure, FigureOf, Question, Status, ToDo, WhyOpen};
use crate::decide::{Claim, HowSettled, RouteLead, Routes};

pub(super) fn answer(basis: &Basis) -> Answer {
    let question = Question::Routes;
    let Some(routes) = &basis.findings.routes else {
        let (status, to_do) = (Status::NotAsked, vec![ToDo::DeclareRoute]);
        return Answer::without(question, status, WhyOpen::NoRouteFactor, to_do);
    };
    let figures = figures(routes);
    let run = routes.levels.iter().filter(|of| !of.yields.is_empty());
    let run: Vec<&str> = run.map(|of| of.level.as_str()).collect();
    if let [only] = run.as_slice() {
        let (reason, to_do) = match routes.barred.is_empty() {
            true => (
                WhyOpen::OneRoute(only.to_string()),
                vec![ToDo::RunAnotherRoute],
            ),
            false => (WhyOpen::OneRouteAllowed(only.to_string()), Vec::new()),
        };
        return Answer::with(question, figures, Some(reason), to_do);
    }
    let reason = match (&routes.best.level, routes.best.standing) {
        (_, HowSettled::Settled | HowSettled::Alike) => None,
        (None, _) if none_meets(routes) => Some(WhyOpen::NoRouteMeets),
        (None, _) => Some(untold(routes)),
        (Some(best), HowSettled::NotSettled) => Some(match leads_beyond_luck(basis, routes) {
            true => WhyOpen::MayMiss(best.clone()),
            false => WhyOpen::LeadMayBeLuck,
        }),
    };
    let to_do = match (basis.models.responses.is_empty(), &reason) {
        (true, _) => vec![ToDo::AddModel],
        (false, Some(WhyOpen::LeadMayBeLuck | WhyOpen::MayMiss(_))) => planned(basis),
        (false, _) => Vec::new(),
    };
    let shaken = basis.firmness.shaken(Claim::Route);
    Answer::with(question, figures, reason, to_do).unless_shaken(shaken)
}

/// Whether the best route is ahead of every other one beyond luck, so that only its purity can leave it open.
fn leads_beyond_luck(basis: &Basis, routes: &Routes) -> bool {
    let luck = 1.0 - basis.confidence;
    let ahead = |lead: &RouteLead| lead.gain > 0.0 && lead.adjusted_p.is_some_and(|p| p < luck);
    let others = routes.levels.len().saturating_sub(1);
    routes.aim.spec.is_some()
        && routes.best.leads.len() == others
        && routes.best.leads.iter().all(ahead)
}

/// Whether purity is asked for, and no route gives it often enough.
fn none_meets(routes: &Routes) -> bool {
    let mut chances = routes.levels.iter().filter_map(|level| level.chance_spec);
    let enough = |chance: f64| chance >= routes.aim.purity_chance;
    chances.next().is_some_and(|first| !enough(first)) && !chances.any(enough)
}

/// Why no route can be told from the rest: what stands in the way of the first mean.
fn untold(routes: &Routes) -> WhyOpen {
    let mut levels = routes.levels.iter();
    let first = levels.find_map(|level| level.mean_yield.as_ref().err());
    WhyOpen::NoRouteTold(first.cloned())
}

fn figures(routes: &Routes) -> Vec<Figure> {
    let best = routes.best.level.as_ref().or(routes.leader.as_ref());
    let mut figures = Vec::new();
    if let Some(best) = best
        && let Some(level) = routes.levels.iter().find(|level| level.level == *best)
    {
        if let Ok(mean) = &level.mean_yield {
            let figure = Figure::new(FigureOf::MeanYield, best, mean.value, "1");
            figures.push(figure.between(mean.interval));
        }
        if let Some(chance) = &level.chance {
            figures.push(Figure::new(FigureOf::Chance, best, chance.best, "1"));
        }
    }
    figures.extend(routes.best.leads.iter().map(|lead| {
        let figure = Figure::new(FigureOf::Lead, &lead.against, lead.gain, &routes.aim.unit);
        figure.between(lead.simultaneous)
    }));
    figures
}
