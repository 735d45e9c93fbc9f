//! Which verdicts the log carries: the one rule for firmness.
//!
//! In: findings, diagnostics, and the models fitted otherwise. Out: [`Firmness`]: for each claim what shakes it.
//! This module never makes a verdict firmer than its interval says.
//!
//! A claim is firm when its interval says so, nothing impossible is used in it, nothing that it decides on went with time,
//! no gate has closed, and it stands in every model fitted otherwise. `DEVELOPERS.md` has the rule as a table.

mod along_with_time;
mod claims;
mod doubted_runs;
mod gates;
mod impossible;
mod needed;
mod otherwise;

pub use along_with_time::{amounts_seldom_change, marks_seldom_change};
pub use claims::Claim;
pub use doubted_runs::doubted_runs;
pub use gates::{Gate, LUCK_OF_A_GATE};
pub use impossible::Impossible;
pub use needed::{Needed, needed};
pub use otherwise::{Held, OtherModels, Otherwise, Outcome};

use super::evidence::Material;
use super::findings::Findings;
use super::moves::Comparison;
use crate::caveat::{AtTheBench, Caveat, Doubt, ResultOf, SpeltAlike};
use crate::regression::{Changing, Diagnostic, FittedModel};
use along_with_time::{Compared, inseparable};
use claims::{changed, claims, outcome};
use needed::responses;

/// Of the charge, what may be accounted for nowhere in the middle of all runs before an entry is wrong in all of them rather than
/// lost on the way, and what may come out beyond what went in, both beyond their uncertainty; common practice, no source.
const MOST_MISSING: f64 = 0.15;
const MOST_OVER: f64 = 0.02;

/// Below so many residual degrees of freedom a log is small: no drift can be allowed for, and one entry can turn an answer.
pub const FEWEST_DEGREES: usize = 8;

/// What shakes a claim.
#[derive(Debug, Clone, PartialEq)]
pub enum Shaken {
    /// It uses something that cannot be.
    Impossible(Impossible),
    /// Levels of what it decides on are spelt alike, so that one may stand for the other.
    SpeltAlike(SpeltAlike),
    /// What it decides on changed over so seldom that time may have done it.
    AlongWithTime {
        /// What changed.
        what: Changing,
        /// How often it changed over.
        changes: usize,
        /// Whether dates say in which order the runs were made; else it is the order of the log.
        dated: bool,
    },
    /// A test of what it rests on has failed.
    Gate(Gate),
    /// The balances of all runs miss by as much.
    BalanceOpen,
    /// The control sample is off, and purities were not corrected by it.
    ControlOff,
    /// Purities are what nobody found anything else in.
    ByDifference,
    /// It does not stand where the models are fitted otherwise.
    Otherwise(Held),
}

/// What becomes of one claim.
#[derive(Debug, Clone, PartialEq)]
pub struct Tested {
    /// The claim.
    pub claim: Claim,
    /// It in each way of fitting otherwise that it rests on.
    pub held: Vec<Held>,
    /// What shakes it, what matters most first; empty where it is firm.
    pub shaken: Vec<Shaken>,
}

/// What becomes of every claim.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Firmness {
    /// One for each claim.
    pub tested: Vec<Tested>,
    /// What is impossible about the entries of all runs together.
    pub of_all: Option<Shaken>,
}

impl Firmness {
    /// What becomes of a claim; `None` where nothing was claimed.
    pub fn of(&self, claim: Claim) -> Option<&Tested> {
        self.tested.iter().find(|tested| tested.claim == claim)
    }

    /// What shakes a claim most.
    pub fn shaken(&self, claim: Claim) -> Option<&Shaken> {
        self.of(claim)?.shaken.first()
    }
}

/// What firmness is judged by, beside the findings themselves.
#[derive(Debug, Clone, Copy)]
pub struct Grounds<'a> {
    /// Diagnostics of each model of a response that `[model]` names.
    pub diagnostics: &'a [Vec<Diagnostic>],
    /// Doubts about entries.
    pub doubts: &'a [Caveat],
    /// The models fitted otherwise.
    pub others: &'a [OtherModels],
}

/// Tests every claim.
pub fn firmness(material: &Material, findings: &Findings, grounds: &Grounds) -> Firmness {
    let tested = claims(findings)
        .into_iter()
        .map(|claim| tested(material, findings, grounds, claim));
    Firmness {
        tested: tested.collect(),
        of_all: of_all(grounds),
    }
}

/// What is off in all runs alike.
fn of_all(grounds: &Grounds) -> Option<Shaken> {
    grounds
        .doubts
        .iter()
        .find_map(|caveat| match &caveat.doubt {
            Doubt::AllOff {
                what,
                middle,
                likely,
                ..
            } if *what != ResultOf::Closure || likely.is_some() => {
                Some(Shaken::Impossible(Impossible::OffInAllRuns {
                    what: *what,
                    middle: *middle,
                    likely: likely.clone(),
                }))
            }
            _ => None,
        })
}

fn tested(material: &Material, findings: &Findings, grounds: &Grounds, claim: Claim) -> Tested {
    let responses = responses(material, findings, claim);
    let mut held = Vec::new();
    let mut rested: Vec<&OtherModels> = Vec::new();
    for other in grounds.others {
        let Some(found) = outcome(material, findings, claim, other) else {
            continue;
        };
        rested.push(other);
        let small = responses
            .iter()
            .all(|kind| gates::bend_is_small(material, other, kind));
        held.push(Held {
            how: other.how.clone(),
            outcome: if small {
                Outcome::Stands
            } else {
                found.outcome
            },
            figure: found.figure,
        });
    }
    let impossible = impossible::impossible(material, findings, claim);
    let mut shaken: Vec<Shaken> = of_all(grounds).into_iter().collect();
    let outside = grounds
        .doubts
        .iter()
        .find_map(|caveat| match &caveat.doubt {
            Doubt::FactorOutsideItsRange { factor, .. } => Some(factor.clone()),
            _ => None,
        });
    let uses_factors = matches!(claim, Claim::Effect { .. } | Claim::Settings);
    let outside = outside.filter(|_| uses_factors);
    shaken.extend(outside.map(|factor| Shaken::Impossible(Impossible::OutsideItsRange { factor })));
    shaken.extend(impossible.map(Shaken::Impossible));
    shaken.extend(spelt_alike(findings, grounds, claim));
    shaken.extend(along_with_time(material, findings, claim));
    let gates = gates::closed(material, grounds.diagnostics, &responses, &rested);
    shaken.extend(gates.into_iter().map(Shaken::Gate));
    let open = |caveat: &Caveat| match &caveat.doubt {
        Doubt::BalanceOpenInAllRuns { missing, .. } => {
            let (value, half) = (missing.value, missing.half_width);
            value - half > MOST_MISSING || -value - half > MOST_OVER
        }
        _ => false,
    };
    // Routes and settings are told by their level, which is wrong by as much; what differs between runs is not.
    let is_of_level = !matches!(claim, Claim::Effect { .. });
    if is_of_level && grounds.doubts.iter().any(open) {
        shaken.push(Shaken::BalanceOpen);
    }
    let off = |caveat: &Caveat| matches!(&caveat.doubt, Doubt::AtTheBench(AtTheBench::ControlOff { runs, of, .. }) if 2 * runs.len() > *of);
    if is_of_level && grounds.doubts.iter().any(off) {
        shaken.push(Shaken::ControlOff);
    }
    // A level is too high by what was overlooked; where some runs are assayed, so are differences.
    let by_difference = |caveat: &Caveat| matches!(&caveat.doubt, Doubt::AtTheBench(AtTheBench::PurityByDifference { runs, of, .. }) if is_of_level || runs.len() < *of);
    if grounds.doubts.iter().any(by_difference) {
        shaken.push(Shaken::ByDifference);
    }
    let fallen = held.iter().filter(|held| held.outcome != Outcome::Stands);
    let mut fallen: Vec<Held> = fallen.cloned().collect();
    // A verdict that turns round says more than one that is no longer shown.
    fallen.sort_by_key(|held| held.outcome != Outcome::Reversed);
    shaken.extend(fallen.into_iter().map(Shaken::Otherwise));
    Tested {
        claim,
        held,
        shaken,
    }
}

/// Levels spelt alike of the choices that a claim decides on.
fn spelt_alike(findings: &Findings, grounds: &Grounds, claim: Claim) -> Option<Shaken> {
    let decided_on: Vec<&str> = match claim {
        Claim::Effect { model, effect } => vec![&findings.moves[model].effects[effect].factor],
        Claim::Route => vec![&findings.routes.as_ref()?.factor],
        Claim::Residue => Vec::new(),
        Claim::Settings => {
            let best = findings.settings.as_ref()?.as_ref().ok()?;
            best.at.iter().map(|one| one.factor.as_str()).collect()
        }
    };
    let mut doubts = grounds.doubts.iter();
    doubts.find_map(|caveat| match &caveat.doubt {
        Doubt::LevelsSpeltAlike(levels) if decided_on.contains(&levels.factor.as_str()) => {
            Some(Shaken::SpeltAlike(levels.clone()))
        }
        _ => None,
    })
}

/// What a claim decides on that went with time.
fn along_with_time(material: &Material, findings: &Findings, claim: Claim) -> Option<Shaken> {
    let runs = material.runs;
    let seldom = |model: &FittedModel, factor: &str, compared: Compared| {
        let column = runs.factor(factor)?;
        inseparable(runs, model, column, compared)
    };
    let found = match claim {
        Claim::Effect { model, effect } => {
            let effect = &findings.moves[model].effects[effect];
            let model = &material.models.responses[model].model;
            match &effect.comparison {
                Comparison::Level { level, against } => seldom(
                    model,
                    &effect.factor,
                    Compared::Levels(&[level.as_str(), against.as_str()]),
                ),
                Comparison::Span { .. } => seldom(model, &effect.factor, Compared::Range),
            }
        }
        Claim::Route => {
            let routes = findings.routes.as_ref()?;
            let model = material.models.model(&routes.aim.of)?;
            let others = routes.best.leads.iter().map(|lead| lead.against.as_str());
            let levels: Vec<&str> = routes
                .best
                .level
                .as_deref()
                .into_iter()
                .chain(others)
                .collect();
            seldom(model, &routes.factor, Compared::Levels(&levels))
        }
        Claim::Residue => {
            let recycling = findings.recycling.as_ref().ok()?;
            let factor = &recycling.reference.factor;
            seldom(material.models.yields()?, factor, Compared::Range)
        }
        Claim::Settings => {
            let best = findings.settings.as_ref()?.as_ref().ok()?;
            let present = best.present.as_ref()?;
            let model = material.models.model(&best.aim.of)?;
            changed(best).find_map(|name| {
                let levels = [&best.settings, &present.settings]
                    .map(|settings| settings.level_of(name).unwrap_or_default());
                match best.settings.amount_of(name) {
                    Some(_) => seldom(model, name, Compared::Range),
                    None => seldom(model, name, Compared::Levels(&levels)),
                }
            })
        }
    };
    let dated = runs.results.iter().all(|run| run.date.is_some());
    found.map(|(what, changes)| Shaken::AlongWithTime {
        what,
        changes,
        dated,
    })
}
