//! Questions that the runs made leave open.
//!
//! In: answers from the models. Out: [`OpenQuestions`], each as a contrast between settings.
//! This module never plans a run.

use crate::decide::aim::HowSettled;
use crate::decide::findings::Findings;
use crate::decide::models::AimOf;
use crate::decide::moves::{AtLevel, Comparison, Effect, Verdict};
use crate::decide::recycle::{Money, Settling, Verdict as RecyclingVerdict};
use crate::regression::{Settings, Weighted};

/// What further runs should settle.
#[derive(Debug, Clone, Default)]
pub struct OpenQuestions {
    /// Differences that are not known well enough.
    pub contrasts: Vec<OpenContrast>,
    /// Settings that are recommended and should be confirmed.
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

/// The effects, leads, gains and settings that the models leave open.
///
/// An effect is open when its interval holds zero and reaches beyond the margin, or when the runs cannot tell it at all;
/// a route when its lead over another may be luck; residue and settings when their verdict says so.
pub(super) fn open_questions(findings: &Findings) -> OpenQuestions {
    // Settings that miss the specification are no recommendation.
    let mut best = findings.settings.iter().flatten();
    let recommended = best.find(|best| best.reaches != Some(false));
    let mut contrasts = routes(findings);
    contrasts.extend(recycling(findings));
    contrasts.extend(settings(findings));
    for moves in &findings.moves {
        let effects = moves.effects.iter();
        let open = effects
            .filter(|effect| matches!(effect.verdict, Verdict::NotSeen | Verdict::CannotBeTold));
        for effect in open {
            let contrast = of_effect(effect, AimOf::Response(moves.kind.clone()));
            let known = |known: &OpenContrast| {
                known.of == contrast.of && known.compared == contrast.compared
            };
            if !contrasts.iter().any(known) {
                contrasts.push(contrast);
            }
        }
    }
    OpenQuestions {
        contrasts,
        recommended: recommended.map(|best| best.settings.clone()),
    }
}

fn routes(findings: &Findings) -> Vec<OpenContrast> {
    let open = findings.routes.as_ref().filter(|routes| !routes.settled);
    let leader = open.and_then(|routes| Some((routes, routes.leader.as_ref()?)));
    let contrasts = leader.into_iter().flat_map(|(routes, leader)| {
        routes.lead.iter().map(|other| {
            let at = |level: &str| Settings::default().level(&routes.factor, level);
            OpenContrast {
                question: Question::Route,
                of: AimOf::YIELD,
                unit: None,
                compared: Compared::Levels {
                    factor: routes.factor.clone(),
                    level: leader.clone(),
                    against: other.against.clone(),
                },
                parts: difference([at(leader), at(&other.against)]),
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
    recycling
        .money
        .as_ref()
        .is_ok_and(is_open)
        .then(|| OpenContrast {
            question: Question::Recycling,
            of: AimOf::YIELD,
            unit: Some("g".into()),
            compared: Compared::Charged {
                factor: recycling.reference.factor.clone(),
            },
            parts: recycling.contrast.clone(),
        })
}

fn settings(findings: &Findings) -> Option<OpenContrast> {
    let best = findings.settings.as_ref()?.as_ref().ok()?;
    let present = best.present.as_ref().filter(|present| !present.same)?;
    (best.standing == HowSettled::NotSettled).then(|| OpenContrast {
        question: Question::Settings,
        of: best.aim.of.clone(),
        unit: None,
        compared: Compared::BestSettings {
            run: present.run.clone(),
        },
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
