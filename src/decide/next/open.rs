//! Which questions do the runs made leave open?
//!
//! In: answers from the models. Out: [`OpenQuestions`], each as a contrast between settings.
//! This module never plans a run.

use crate::decide::{
    AimOf, AtLevel, Comparison, Effect, Findings, HowSettled, Money, RecyclingVerdict, Settling,
    Verdict,
};
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
pub fn open_questions(findings: &Findings) -> OpenQuestions {
    let mut open = OpenQuestions::default();
    routes(findings, &mut open);
    recycling(findings, &mut open);
    settings(findings, &mut open);
    for moves in &findings.moves {
        let effects = moves
            .effects
            .iter()
            .filter(|effect| matches!(effect.verdict, Verdict::NotSeen | Verdict::CannotBeTold));
        for effect in effects {
            let contrast = of_effect(effect, AimOf::Response(moves.kind.clone()));
            let known = |known: &OpenContrast| {
                known.of == contrast.of && known.compared == contrast.compared
            };
            if !open.contrasts.iter().any(known) {
                open.contrasts.push(contrast);
            }
        }
    }
    open
}

fn routes(findings: &Findings, open: &mut OpenQuestions) {
    let Some(routes) = findings.routes.as_ref().filter(|routes| !routes.settled) else {
        return;
    };
    let Some(leader) = &routes.leader else {
        return;
    };
    for other in &routes.lead {
        open.contrasts.push(OpenContrast {
            question: Question::Route,
            of: AimOf::YIELD,
            unit: None,
            compared: Compared::Levels {
                factor: routes.factor.clone(),
                level: leader.clone(),
                against: other.against.clone(),
            },
            parts: difference(
                Settings::default().level(&routes.factor, leader),
                Settings::default().level(&routes.factor, &other.against),
            ),
        });
    }
}

fn recycling(findings: &Findings, open: &mut OpenQuestions) {
    // Where what runs tell nothing about leaves it open, none of them settles it.
    let is_open = |money: &Money| {
        money.verdict == RecyclingVerdict::NotSettled && money.settling != Some(Settling::NotByRuns)
    };
    if let Ok(recycling) = &findings.recycling
        && recycling.money.as_ref().is_ok_and(is_open)
    {
        open.contrasts.push(OpenContrast {
            question: Question::Recycling,
            of: AimOf::YIELD,
            unit: Some("g".into()),
            compared: Compared::Charged {
                factor: recycling.reference.factor.clone(),
            },
            parts: recycling.contrast.clone(),
        });
    }
}

fn settings(findings: &Findings, open: &mut OpenQuestions) {
    let Some(Ok(best)) = &findings.settings else {
        return;
    };
    // Settings that miss the specification are no recommendation.
    if best.reaches != Some(false) {
        open.recommended = Some(best.settings.clone());
    }
    if best.standing == HowSettled::NotSettled
        && let Some(present) = best.present.as_ref().filter(|present| !present.same)
    {
        open.contrasts.push(OpenContrast {
            question: Question::Settings,
            of: best.aim.of.clone(),
            unit: None,
            compared: Compared::BestSettings {
                run: present.run.clone(),
            },
            parts: difference(best.settings.clone(), present.settings.clone()),
        });
    }
}

fn of_effect(effect: &Effect, of: AimOf) -> OpenContrast {
    let factor = &effect.factor;
    let (compared, parts) = match &effect.comparison {
        Comparison::Level { level, against } => (
            Compared::Levels {
                factor: factor.clone(),
                level: level.clone(),
                against: against.clone(),
            },
            difference(
                Settings::default().level(factor, level),
                Settings::default().level(factor, against),
            ),
        ),
        Comparison::Span { from, to, at } => {
            let settings = |value: f64| {
                let settings = Settings::default().amount(factor, value);
                match at {
                    Some(at) => settings.level(&at.factor, &at.level),
                    None => settings,
                }
            };
            (
                Compared::Span {
                    factor: factor.clone(),
                    unit: effect.unit.clone(),
                    from: *from,
                    to: *to,
                    at: at.clone(),
                },
                difference(settings(*to), settings(*from)),
            )
        }
    };
    OpenContrast {
        question: Question::Effect,
        of,
        unit: None,
        compared,
        parts,
    }
}

fn difference(settings: Settings, against: Settings) -> Vec<Weighted> {
    vec![
        Weighted {
            weight: 1.0,
            settings,
        },
        Weighted {
            weight: -1.0,
            settings: against,
        },
    ]
}
