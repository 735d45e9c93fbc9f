//! What does a result say where it could say something else?
//!
//! In: the result as data. Out: [`Verdict`]s, each with the interval it rests on.
//! This module never decides: it takes what was decided, and on which side of zero an interval lies.

use super::{Choice, Compared, Decided, Says, Verdict};
use crate::result::{Ends, Lead, Model, Pays, Piece, Setting, Settings, Term, WholeResult};

/// All verdicts of a result, decisions before what they rest on.
pub(super) fn verdicts(result: &WholeResult) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    if let Some(Some(routes)) = &result.routes {
        let best = routes.best.iter().map(|level| Choice {
            factor: None,
            level: level.clone(),
        });
        verdicts.push(Verdict {
            about: Decided::BestRoute,
            says: lead(routes.verdict, best.collect()),
            interval: None,
        });
    }
    let residue = result.recycling.as_ref().and_then(|found| found.residue());
    if let Some(residue) = residue
        && let Some(verdict) = residue.verdict
    {
        verdicts.push(Verdict {
            about: Decided::Residue,
            says: match verdict {
                Pays::Pays => Says::Pays,
                Pays::DoesNot => Says::DoesNotPay,
                Pays::NotSettled => Says::NotSettled,
            },
            interval: residue.money.as_ref().map(|m| m.gain_per_run.interval),
        });
    }
    if let Some(Some(Settings::Best(best))) = &result.settings {
        // Amounts are left out, because they move a little with every run.
        let levels = best.at.0.iter().filter_map(|(factor, value)| match value {
            Setting::Amount(_) => None,
            Setting::Level(level) => Some(Choice {
                factor: Some(factor.clone()),
                level: level.clone(),
            }),
        });
        verdicts.push(Verdict {
            about: Decided::BestSettings,
            says: lead(best.verdict, levels.collect()),
            interval: best.response.interval,
        });
    }
    for model in result.models.iter().flatten() {
        of_model(model, &mut verdicts);
    }
    verdicts
}

/// What a lead comes to.
fn lead(lead: Lead, chosen: Vec<Choice>) -> Says {
    match lead {
        Lead::Settled => Says::Settled(chosen),
        Lead::Alike => Says::Alike,
        Lead::NotSettled => Says::NotSettled,
    }
}

fn of_model(model: &Model, verdicts: &mut Vec<Verdict>) {
    let compared = |factor: &str, level: &str, against: &str| Compared {
        response: model.response.clone(),
        factor: factor.to_string(),
        level: level.to_string(),
        against: against.to_string(),
    };
    for found in &model.against_baseline {
        verdicts.push(Verdict {
            about: Decided::Level(compared(&found.factor, &found.level, &found.against)),
            says: side(found.interval, [Says::Higher, Says::Lower]),
            interval: found.interval,
        });
    }
    for term in &model.terms {
        if let Some(amount) = straight_line(term, &model.terms) {
            verdicts.push(Verdict {
                about: Decided::Amount {
                    response: model.response.clone(),
                    amount: amount.to_string(),
                },
                says: side(term.interval, [Says::Rises, Says::Falls]),
                interval: term.interval,
            });
        }
    }
    for alike in &model.alike {
        verdicts.push(Verdict {
            about: Decided::Margin(compared(&alike.factor, &alike.level, &alike.against)),
            says: match alike.inside {
                Some(true) => Says::Alike,
                Some(false) => Says::Different,
                None => Says::NotSettled,
            },
            interval: None,
        });
    }
    for group in &model.not_separable {
        verdicts.push(Verdict {
            about: Decided::Apart {
                response: model.response.clone(),
                terms: group.pieces.clone(),
            },
            says: Says::CannotBeToldApart,
            interval: None,
        });
    }
}

/// The amount of a term that is an amount on its own, bent by no power and changed by no other factor.
fn straight_line<'t>(term: &'t Term, terms: &[Term]) -> Option<&'t str> {
    let [Piece::Power { factor, power: 1 }] = term.pieces.as_slice() else {
        return None;
    };
    let has_it = |other: &&Term| other.pieces.iter().any(|piece| piece.factor() == factor);
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
