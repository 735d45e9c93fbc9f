//! The verdicts of a result: what it says where it could say something else.
//!
//! In: the result as data. Out: [`Verdict`]s, each with the interval it rests on.
//! This module never decides: it takes what was decided, and on which side of zero an interval lies.

use serde_json::Value;

use super::{Choice, Compared, Decided, Says, Verdict};
use crate::decide::{HowSettled, RecyclingVerdict};
use crate::regression::{Setting, TermPiece};
use crate::result::{Ends, Model, Settings, Term, WholeResult};

/// All verdicts of a result, decisions before what they rest on.
pub(super) fn verdicts(result: &WholeResult) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    if let Some(Some(routes)) = &result.routes {
        let best = routes.best.iter().map(|level| Choice {
            factor: None,
            level: level.clone(),
        });
        let says = lead(routes.verdict, best.collect());
        let says = unless_in_doubt(result, "4", says);
        verdicts.push(verdict(Decided::BestRoute, says, None));
    }
    if let Some(residue) = &result.recycling
        && let Some(found) = residue.verdict
    {
        let says = match found {
            RecyclingVerdict::Pays => Says::Pays,
            RecyclingVerdict::DoesNotPay => Says::DoesNotPay,
            RecyclingVerdict::NotSettled | RecyclingVerdict::TooClose => Says::NotSettled,
        };
        let says = unless_in_doubt(result, "5", says);
        let interval = residue.money.as_ref().map(|m| m.gain_per_run.interval);
        verdicts.push(verdict(Decided::Residue, says, interval));
    }
    if let Some(Some(Settings::Best(best))) = &result.settings {
        // Amounts are left out, because they move a little with every run.
        let levels = best.at.iter().filter_map(|(factor, value)| match value {
            Setting::Amount(_) => None,
            Setting::Level(level) => Some(Choice {
                factor: Some(factor.to_string()),
                level: level.clone(),
            }),
        });
        let says = lead(best.verdict, levels.collect());
        let says = unless_in_doubt(result, "6", says);
        verdicts.push(verdict(Decided::BestSettings, says, best.response.interval));
    }
    for model in result.models.iter().flatten() {
        of_model(model, &mut verdicts);
    }
    verdicts
}

fn verdict(about: Decided, says: Says, interval: Ends) -> Verdict {
    Verdict {
        about,
        says,
        interval,
    }
}

/// What an answer says; not settled where its question stands in doubt.
fn unless_in_doubt(result: &WholeResult, question: &str, says: Says) -> Says {
    let answers = result.answers.as_ref().and_then(Value::as_array);
    let mut answers = answers.into_iter().flatten();
    let doubted =
        answers.any(|answer| answer["question"] == question && answer["status"] == "in doubt");
    if doubted { Says::NotSettled } else { says }
}

/// What a lead comes to.
fn lead(lead: HowSettled, chosen: Vec<Choice>) -> Says {
    match lead {
        HowSettled::Settled => Says::Settled(chosen),
        HowSettled::Alike => Says::Alike,
        HowSettled::NotSettled => Says::NotSettled,
    }
}

fn of_model(model: &Model, verdicts: &mut Vec<Verdict>) {
    let response = || model.response.clone();
    let compared = |factor: &str, level: &str, against: &str| Compared {
        response: response(),
        factor: factor.to_string(),
        level: level.to_string(),
        against: against.to_string(),
    };
    verdicts.extend(model.against_baseline.iter().map(|found| {
        let about = Decided::Level(compared(&found.factor, &found.level, &found.against));
        let interval = found.interval.map(Into::into);
        verdict(about, side(interval, [Says::Higher, Says::Lower]), interval)
    }));
    verdicts.extend(model.terms.iter().filter_map(|term| {
        let about = Decided::Amount {
            response: response(),
            amount: straight_line(term, &model.terms)?.to_string(),
        };
        let says = side(term.interval, [Says::Rises, Says::Falls]);
        Some(verdict(about, says, term.interval))
    }));
    verdicts.extend(model.alike.iter().map(|alike| {
        let about = Decided::Margin(compared(&alike.factor, &alike.level, &alike.against));
        let says = match alike.inside {
            Some(true) => Says::Alike,
            Some(false) => Says::Different,
            None => Says::NotSettled,
        };
        verdict(about, says, None)
    }));
    verdicts.extend(model.not_separable.iter().map(|group| {
        let about = Decided::Apart {
            response: response(),
            terms: group.pieces.clone(),
        };
        verdict(about, Says::CannotBeToldApart, None)
    }));
}

/// The amount of a term that is an amount on its own, bent by no power and changed by no other factor.
fn straight_line<'t>(term: &'t Term, terms: &[Term]) -> Option<&'t str> {
    let [TermPiece::Power { factor, power: 1 }] = term.pieces.pieces.as_slice() else {
        return None;
    };
    let has_it = |other: &&Term| other.pieces.has(factor);
    (terms.iter().filter(has_it).count() == 1).then_some(factor)
}

fn side(interval: Ends, [above, below]: [Says; 2]) -> Says {
    match interval {
        Some([low, _]) if low > 0.0 => above,
        Some([_, high]) if high < 0.0 => below,
        Some(_) => Says::NotToldFromZero,
        None => Says::NotKnown,
    }
}
