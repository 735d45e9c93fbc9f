//! What shakes an answer, and what would lift it, in words.
//!
//! In: [`Shaken`]. Out: clauses without a last full stop, names as they were logged.
//! This module never decides what shakes an answer.

use crate::caveat::ResultOf;
use crate::decide::{Gate, Held, Impossible, Otherwise, Outcome, Shaken};
use crate::regression::Changing;
use crate::report::doubts::{likely, result, spelt_alike};
use crate::report::print::aim_names::Called;
use crate::report::print::words::{and_list, around};
use crate::report::print::{fixed, percent, plain, probability};

/// Why an answer that its interval would settle is not settled, as a clause.
pub fn shaken(shaken: &Shaken) -> String {
    match shaken {
        Shaken::Impossible(what) => impossible(what),
        Shaken::SpeltAlike(levels) => {
            let [seen, _] = spelt_alike(levels);
            seen
        }
        Shaken::AlongWithTime { what, changes, .. } => format!(
            "{} changed over only {} along the order of the runs, so that whatever else changed in that time may have done it",
            changing(what),
            if *changes == 1 { "once" } else { "twice" }
        ),
        Shaken::Gate(gate) => of_gate(gate),
        Shaken::BalanceOpen => {
            "the balances of all runs miss by as much, so that a mass, an assay or a strength is wrong in all of them".into()
        }
        Shaken::ControlOff => {
            "the control sample was found off beyond its uncertainty, so that purities may be off by as much".into()
        }
        Shaken::ByDifference => {
            "purities were taken by difference, so that what nobody looked for counts as product".into()
        }
        Shaken::Otherwise(Held { how, outcome, .. }) => {
            let how = otherwise(how, &str::to_string);
            match outcome {
                Outcome::Reversed => format!("{how} the opposite would be shown"),
                Outcome::CannotBeTold => format!("{how} it cannot be told"),
                Outcome::NotShown | Outcome::Stands => format!("{how} it is no longer shown"),
            }
        }
    }
}

/// What would lift it, as a clause.
pub fn lifted(shaken: &Shaken) -> String {
    match shaken {
        Shaken::Impossible(what) => match what {
            Impossible::MoreThanResidueHolds { .. } => {
                "check the residue assays, their basis and `residue_mass`".into()
            }
            Impossible::ConversionAboveOne { .. } => {
                "check the assay of the feed and the crop masses".into()
            }
            Impossible::OffInAllRuns { what, .. } => match what {
                ResultOf::Purity => {
                    "check aliquot, dilution, strength of the titrant and the ratio of the titration"
                        .into()
                }
                ResultOf::Yield | ResultOf::Closure => {
                    "check units and formulas of feed, assay and crops".into()
                }
            },
            Impossible::OutsideItsRange { factor } => {
                format!("check the range of `{factor}` and what it is reckoned from")
            }
            Impossible::EffectBeyondRange { .. } => {
                "make runs that change it alone, over a wider range".into()
            }
        },
        Shaken::SpeltAlike(levels) => {
            let [_, advice] = spelt_alike(levels);
            advice
        }
        Shaken::AlongWithTime { what, dated, .. } => {
            let dates = match dated {
                true => "",
                false => {
                    ", and log dates if the lines of the log stand in another order than the runs were made"
                }
            };
            format!(
                "make the next runs with {} in mixed order{dates}",
                changing(what)
            )
        }
        Shaken::Gate(gate) => match gate {
            Gate::LackOfFit { .. } => {
                "add the effect that is missing under `curved` or `joint`".into()
            }
            Gate::Bend { amount, .. } => format!("add `{amount}` under `curved` in `[model]`"),
            Gate::Joint { factors, .. } => {
                let [one, other] = factors;
                format!("add `[\"{one}\", \"{other}\"]` under `joint` in `[model]`")
            }
        },
        Shaken::BalanceOpen => "look for what is wrong by as much in every run".into(),
        Shaken::ControlOff => "find what is off in the titration of the control, or set `correct_bias = true`".into(),
        Shaken::ByDifference => "titrate or ignite crops of every route, and log what that finds".into(),
        Shaken::Otherwise(held) => match &held.how {
            Otherwise::Drift | Otherwise::Connected => "make more runs, in mixed order".into(),
            Otherwise::Bend(amount) => format!("make runs with {amount} between its ends"),
            Otherwise::Joint([one, other]) => {
                format!("make runs of every {other} with and without {one}")
            }
            Otherwise::Without(runs) => {
                format!(
                    "check the entries of {}, or repeat it",
                    and_list(runs.iter().cloned())
                )
            }
            Otherwise::Robust => "check the runs that are furthest off, or repeat them".into(),
        },
    }
}

/// How a model is fitted otherwise, as the beginning of a sentence.
pub fn otherwise(how: &Otherwise, called: Called) -> String {
    match how {
        Otherwise::Drift => "with a smooth drift allowed for".into(),
        Otherwise::Connected => "with neighbouring runs taken as connected".into(),
        Otherwise::Bend(amount) => format!("with a bend allowed for in {}", called(amount)),
        Otherwise::Joint([one, other]) => {
            let [one, other] = [one, other].map(|name| called(name));
            format!("with {one} and {other} allowed to change one another's effect")
        }
        Otherwise::Without(runs) => format!("without {}", and_list(runs.iter().cloned())),
        Otherwise::Robust => "with runs far off weighed less".into(),
    }
}

/// The same in a few words, for a chart.
pub fn otherwise_in_short(how: &Otherwise) -> String {
    match how {
        Otherwise::Drift => "with a drift".into(),
        Otherwise::Connected => "neighbours connected".into(),
        Otherwise::Bend(amount) => format!("bend: {amount}"),
        Otherwise::Joint([one, other]) => format!("joint: {one}, {other}"),
        Otherwise::Without(runs) => format!("without {}", and_list(runs.iter().cloned())),
        Otherwise::Robust => "far-off runs less".into(),
    }
}

/// `route: spirit`, `residue_ratio`.
fn changing(changing: &Changing) -> String {
    match changing {
        Changing::Amount { factor } => factor.clone(),
        Changing::Level { factor, level } => format!("{factor}: {level}"),
    }
}

fn impossible(what: &Impossible) -> String {
    match what {
        Impossible::MoreThanResidueHolds { extra, holds } => format!(
            "a charged run gives {} g more product, and its residue holds {} g: that cannot be",
            fixed(*extra, 1),
            fixed(*holds, 1)
        ),
        Impossible::ConversionAboveOne { conversion } => format!(
            "charged runs would give at least {} of theory: that cannot be",
            percent(*conversion, 1)
        ),
        Impossible::OffInAllRuns {
            what,
            middle,
            likely: cause,
        } => format!(
            "the {} of all runs is {} in the middle, which cannot be{}",
            result(*what),
            percent(*middle, 1),
            around(
                "; likely ",
                &cause.as_ref().map_or_else(String::new, |of| likely(of)),
                ""
            )
        ),
        Impossible::OutsideItsRange { factor } => {
            format!("{factor} lies outside its declared range in the middle of all runs")
        }
        Impossible::EffectBeyondRange { effect, range } => format!(
            "the effect ({}) is larger than all runs together differ ({})",
            plain(*effect),
            plain(*range)
        ),
    }
}

fn of_gate(gate: &Gate) -> String {
    match gate {
        Gate::LackOfFit { response, p } => format!(
            "runs lie further from the model of {response} than repeats from one another (chance by luck {})",
            probability(*p)
        ),
        Gate::Bend {
            response,
            amount,
            p,
        } => format!(
            "the effect of {amount} on {response} bends, and the model has it straight (chance by luck {})",
            probability(*p)
        ),
        Gate::Joint {
            response,
            factors: [one, other],
            p,
        } => format!(
            "{one} and {other} change one another's effect on {response}, and the model has them apart (chance by luck {})",
            probability(*p)
        ),
    }
}
