//! Which questions do the runs made leave open?
//!
//! In: answers from the models. Out: [`OpenQuestions`], each as a contrast between settings.
//! This module never plans a run.

use crate::decide::{
    Answers, Comparison, Effect, HowSettled, Money, RecyclingVerdict, Settling, Verdict,
};
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
    /// Unit of the sum; None for that of the response.
    pub unit: Option<String>,
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

/// The effects, leads, gains and settings that the models leave open.
///
/// An effect is open when its interval holds zero and reaches beyond the margin, or when the runs cannot tell it at all;
/// a route when its lead over another may be luck; residue and settings when their verdict says so.
pub fn open_questions(answers: &Answers) -> OpenQuestions {
    let mut open = OpenQuestions::default();
    routes(answers, &mut open);
    recycling(answers, &mut open);
    settings(answers, &mut open);
    for moves in &answers.moves {
        let effects = moves
            .effects
            .iter()
            .filter(|effect| matches!(effect.verdict, Verdict::NotSeen | Verdict::CannotBeTold));
        for effect in effects {
            let contrast = of_effect(effect, &moves.response);
            let known = |known: &NamedContrast| {
                known.response == contrast.response && known.name == contrast.name
            };
            if !open.contrasts.iter().any(known) {
                open.contrasts.push(contrast);
            }
        }
    }
    open
}

fn routes(answers: &Answers, open: &mut OpenQuestions) {
    let Some(routes) = answers.routes.as_ref().filter(|routes| !routes.settled) else {
        return;
    };
    let Some(leader) = &routes.leader else {
        return;
    };
    for other in &routes.lead {
        open.contrasts.push(NamedContrast {
            question: Question::Route,
            response: "yield".into(),
            unit: None,
            name: format!("{}: {leader} against {}", routes.factor, other.against),
            parts: difference(
                Settings::default().level(&routes.factor, leader),
                Settings::default().level(&routes.factor, &other.against),
            ),
        });
    }
}

fn recycling(answers: &Answers, open: &mut OpenQuestions) {
    // Where what runs tell nothing about leaves it open, none of them settles it.
    let is_open = |money: &Money| {
        money.verdict == RecyclingVerdict::NotSettled && money.settling != Some(Settling::NotByRuns)
    };
    if let Ok(recycling) = &answers.recycling
        && recycling.money.as_ref().is_ok_and(is_open)
    {
        open.contrasts.push(NamedContrast {
            question: Question::Recycling,
            response: "yield".into(),
            unit: Some("g".into()),
            name: format!(
                "product gained by a run with {}",
                recycling.reference.factor
            ),
            parts: recycling.contrast.clone(),
        });
    }
}

fn settings(answers: &Answers, open: &mut OpenQuestions) {
    let Some(Ok(best)) = &answers.settings else {
        return;
    };
    // Settings that miss the specification are no recommendation.
    if best.reaches != Some(false) {
        open.recommended = Some(best.settings.clone());
    }
    if best.standing == HowSettled::NotSettled
        && let Some(present) = best.present.as_ref().filter(|present| !present.same)
    {
        open.contrasts.push(NamedContrast {
            question: Question::Settings,
            response: best.aim.response.clone(),
            unit: None,
            name: format!("the best settings against those of run {}", present.run),
            parts: difference(best.settings.clone(), present.settings.clone()),
        });
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
            let unit = match effect.unit.as_str() {
                "" | "1" => String::new(),
                unit => format!(" {unit}"),
            };
            let ends = format!("from {} to {}", short(*from), short(*to));
            (
                format!("{factor} {ends}{unit}{place}"),
                difference(settings(*to), settings(*from)),
            )
        }
    };
    NamedContrast {
        question: Question::Effect,
        response: response.to_string(),
        unit: None,
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
