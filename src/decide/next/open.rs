//! Questions that the runs made leave open.
//!
//! In: answers from the models. Out: [`OpenQuestions`], each as a contrast between settings.
//! This module never plans a run.

use crate::decide::aim::HowSettled;
use crate::decide::findings::Findings;
use crate::decide::models::AimOf;
use crate::decide::moves::{AtLevel, Comparison, Effect, Verdict};
use crate::decide::recycle::{Money, Settling, Verdict as RecyclingVerdict};
use crate::decide::routes::Routes;
use crate::decide::settings::BestSettings;
use crate::regression::{Estimate, Settings, Weighted};

/// What further runs should settle.
#[derive(Debug, Clone, Default)]
pub struct OpenQuestions {
    /// Differences that are not known well enough.
    pub contrasts: Vec<OpenContrast>,
    /// Settings that are recommended and should be confirmed; None where they gain nothing that matters.
    pub recommended: Option<Settings>,
}

/// A difference that is not known well enough.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenContrast {
    /// What it is about.
    pub question: Question,
    /// What it is a difference of.
    pub of: AimOf,
    /// Unit of the sum; None for that of the response.
    pub unit: Option<String>,
    /// What is compared.
    pub compared: Compared,
    /// The means whose weighted sum it is.
    pub parts: Vec<Weighted>,
}

/// What is compared with what.
#[derive(Debug, Clone, PartialEq)]
pub enum Compared {
    /// A level of a choice with another.
    Levels {
        /// The choice.
        factor: String,
        /// The level.
        level: String,
        /// The other.
        against: String,
    },
    /// An amount at one value with the same at another.
    Span {
        /// The amount.
        factor: String,
        /// Its unit.
        unit: String,
        /// From this value.
        from: f64,
        /// To this value.
        to: f64,
        /// At this level of a choice that changes the effect.
        at: Option<AtLevel>,
    },
    /// The product of a charged run with that of one without residue.
    Charged {
        /// Factor that stands for residue fed forward.
        factor: String,
    },
    /// The best settings with those of the best run made.
    BestSettings {
        /// That run.
        run: String,
    },
}

/// Which question of the report it belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Question {
    /// What moves a response?
    Effect,
    /// Which recovery route is best?
    Route,
    /// Does residue pay?
    Recycling,
    /// Which settings are best?
    Settings,
}

/// The effects, leads, gains and settings that the models leave open, and whose answer would change what is done.
///
/// An effect is open when its interval holds zero and reaches beyond the margin, or when the runs cannot tell it at all; a
/// route while it may be better than the best one by more than the margin; residue when its verdict says so, and settings
/// while they may be better than those of the best run by more than the margin. Which of two routes leads is asked by the
/// route question alone: between two that are behind the best one, nothing hangs on the answer.
pub fn open_questions(findings: &Findings) -> OpenQuestions {
    let best = findings.settings.as_ref();
    let best = best.and_then(|found| found.as_ref().ok());
    let recommended = best.filter(|best| may_gain(best) && best.standing != HowSettled::Alike);
    let mut contrasts = routes(findings);
    contrasts.extend(recycling(findings));
    contrasts.extend(best.and_then(settings));
    for moves in &findings.moves {
        let of = AimOf::Response(moves.kind.clone());
        let is_open = |of: &Effect| matches!(of.verdict, Verdict::NotSeen | Verdict::CannotBeTold);
        let open = moves.effects.iter().filter(|effect| is_open(effect));
        let open = open.filter(|effect| !is_of_routes(findings, effect, &of));
        contrasts.extend(open.map(|effect| of_effect(effect, of.clone())));
    }
    OpenQuestions {
        contrasts,
        recommended: recommended.map(|best| best.settings.clone()),
    }
}

/// What the routes are compared on by runs: the response that is aimed at, or the yield where costs or labour are.
fn of_routes(routes: &Routes) -> AimOf {
    match &routes.aim.of {
        AimOf::Response(_) => routes.aim.of.clone(),
        AimOf::Cost | AimOf::Labour => AimOf::YIELD,
    }
}

/// Whether the route question asks for an effect already.
fn is_of_routes(findings: &Findings, effect: &Effect, of: &AimOf) -> bool {
    let known = |routes: &Routes| {
        routes.factor == effect.factor && routes.best.level.is_some() && of_routes(routes) == *of
    };
    matches!(effect.comparison, Comparison::Level { .. })
        && findings.routes.as_ref().is_some_and(known)
}

fn routes(findings: &Findings) -> Vec<OpenContrast> {
    let routes = findings.routes.as_ref();
    let best = routes.and_then(|routes| Some((routes, routes.best.level.as_ref()?)));
    let contrasts = best.into_iter().flat_map(|(routes, best)| {
        routes.best.open.iter().map(|against| {
            let at = |level: &str| Settings::default().level(&routes.factor, level);
            OpenContrast {
                question: Question::Route,
                of: of_routes(routes),
                unit: None,
                compared: Compared::Levels {
                    factor: routes.factor.clone(),
                    level: best.clone(),
                    against: against.clone(),
                },
                parts: difference([at(best), at(against)]),
            }
        })
    });
    contrasts.collect()
}

fn recycling(findings: &Findings) -> Option<OpenContrast> {
    // Where what runs tell nothing about leaves it open, none of them settles it.
    let is_open = |money: &Money| {
        money.verdict == RecyclingVerdict::NotSettled && money.settling != Some(Settling::NotByRuns)
    };
    let recycling = findings.recycling.as_ref().ok()?;
    let factor = recycling.reference.factor.clone();
    let is_open = recycling.money.as_ref().is_ok_and(is_open);
    is_open.then(|| OpenContrast {
        question: Question::Recycling,
        of: AimOf::YIELD,
        unit: Some("g".into()),
        compared: Compared::Charged { factor },
        parts: recycling.contrast.clone(),
    })
}

/// Whether the best settings meet the specification, and may be better than the best run by more than what does not matter.
fn may_gain(best: &BestSettings) -> bool {
    let margin = best.aim.margin.unwrap_or(0.0);
    let within = |gain: &Estimate| gain.interval.is_some_and(|ends| ends.high < margin);
    let present = best.present.as_ref();
    let present = present.and_then(|present| present.gain.as_ref());
    best.reaches != Some(false) && !present.is_some_and(within)
}

fn settings(best: &BestSettings) -> Option<OpenContrast> {
    let present = best.present.as_ref().filter(|present| !present.same)?;
    let run = present.run.clone();
    (best.standing == HowSettled::NotSettled && may_gain(best)).then(|| OpenContrast {
        question: Question::Settings,
        of: best.aim.of.clone(),
        unit: None,
        compared: Compared::BestSettings { run },
        parts: difference([best.settings.clone(), present.settings.clone()]),
    })
}

fn of_effect(effect: &Effect, of: AimOf) -> OpenContrast {
    let factor = effect.factor.clone();
    let compared = match effect.comparison.clone() {
        Comparison::Level { level, against } => Compared::Levels {
            factor,
            level,
            against,
        },
        Comparison::Span { from, to, at } => Compared::Span {
            factor,
            unit: effect.unit.clone(),
            from,
            to,
            at,
        },
    };
    OpenContrast {
        question: Question::Effect,
        of,
        unit: None,
        compared,
        parts: difference(effect.comparison.settings(&effect.factor)),
    }
}

/// The first settings less the second.
fn difference([settings, against]: [Settings; 2]) -> Vec<Weighted> {
    let weighted = |weight, settings| Weighted { weight, settings };
    vec![weighted(1.0, settings), weighted(-1.0, against)]
}
