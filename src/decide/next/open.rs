//! Which questions do the runs made leave open?
//!
//! In: answers from the models. Out: [`OpenQuestions`], each as a contrast between settings.
//! This module never plans a run.

use crate::decide::{Answers, Comparison, Effect, HowSettled, RecyclingVerdict, Verdict};
use crate::regression::{Settings, Weighted};

/// Significant digits of a number in a name.
const SHORT: i32 = 4;

/// What further runs should settle.
#[derive(Debug, Clone, Default)]
pub struct OpenQuestions {
    /// Differences that are not known well enough.
    pub contrasts: Vec<NamedContrast>,
    /// Settings that are recommended and should be confirmed.
    pub recommended: Option<Settings>,
}

/// A difference that is not known well enough.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedContrast {
    /// What it is about.
    pub question: Question,
    /// The response that it is a difference of.
    pub response: String,
    /// What is compared, such as `route: boildown against chill`.
    pub name: String,
    /// The means whose weighted sum it is.
    pub parts: Vec<Weighted>,
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

/// The effects and leads that the models leave open.
///
/// An effect is open when its interval holds zero and reaches beyond the margin, or when the runs cannot tell it at all;
/// a route when its lead over another may be luck.
pub fn open_questions(answers: &Answers) -> OpenQuestions {
    let (moves, routes) = (&answers.moves, answers.routes.as_ref());
    let mut contrasts = Vec::new();
    if let Ok(recycling) = &answers.recycling
        && let Ok(money) = &recycling.money
        && money.verdict == RecyclingVerdict::NotSettled
    {
        contrasts.push(NamedContrast {
            question: Question::Recycling,
            response: "yield".into(),
            name: format!("whether {} pays", recycling.reference.factor),
            parts: recycling.contrast.clone(),
        });
    }
    if let Some(routes) = routes.filter(|routes| !routes.settled)
        && let Some(leader) = &routes.leader
    {
        for other in &routes.lead {
            contrasts.push(NamedContrast {
                question: Question::Route,
                response: "yield".into(),
                name: format!("{}: {leader} against {}", routes.factor, other.against),
                parts: difference(
                    Settings::default().level(&routes.factor, leader),
                    Settings::default().level(&routes.factor, &other.against),
                ),
            });
        }
    }
    for moves in moves {
        let open = moves
            .effects
            .iter()
            .filter(|effect| matches!(effect.verdict, Verdict::NotSeen | Verdict::CannotBeTold));
        for effect in open {
            let contrast = of_effect(effect, &moves.response);
            let known = |known: &NamedContrast| {
                known.response == contrast.response && known.name == contrast.name
            };
            if !contrasts.iter().any(known) {
                contrasts.push(contrast);
            }
        }
    }
    let recommended = match &answers.settings {
        Some(Ok(best)) if best.reaches != Some(false) => Some(best),
        _ => None,
    };
    if let Some(best) = recommended
        && best.standing == HowSettled::NotSettled
        && let Some(present) = &best.present
        && answers
            .moves
            .iter()
            .any(|moves| moves.response == best.aim.response)
    {
        contrasts.push(NamedContrast {
            question: Question::Settings,
            response: best.aim.response.clone(),
            name: format!("the best settings against those of run {}", present.run),
            parts: difference(best.settings.clone(), present.settings.clone()),
        });
    }
    OpenQuestions {
        contrasts,
        recommended: recommended.map(|best| best.settings.clone()),
    }
}

fn of_effect(effect: &Effect, response: &str) -> NamedContrast {
    let factor = &effect.factor;
    let (name, parts) = match &effect.comparison {
        Comparison::Level { level, against } => (
            format!("{factor}: {level} against {against}"),
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
            let place = match at {
                Some(at) => format!(" with {} {}", at.factor, at.level),
                None => String::new(),
            };
            (
                format!("{factor} from {} to {}{place}", short(*from), short(*to)),
                difference(settings(*to), settings(*from)),
            )
        }
    };
    NamedContrast {
        question: Question::Effect,
        response: response.to_string(),
        name,
        parts,
    }
}

/// A number short enough to be part of a name: the contrast itself keeps all digits.
fn short(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return 0.0;
    }
    let digits = SHORT - 1 - value.abs().log10().floor() as i32;
    let scale = 10.0_f64.powi(digits.abs());
    // Divided by a whole power of ten in both cases, so that the shortest decimal comes back.
    if digits >= 0 {
        (value * scale).round() / scale
    } else {
        (value / scale).round() * scale
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
