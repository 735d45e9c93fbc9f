//! Reasons of decisions in words: gaps, means that are missing, and how what is open is called.
//!
//! In: typed reasons of decisions. Out: texts, with names from logs as they are.
//! This module never decides what is open.

use super::of_models::refusal;
use crate::decide::{AimOf, Compared, Family, Gap, NoMean, RangeEnd};
use crate::regression::NoForecast;
use crate::report::print::fixed;

/// Significant digits of a number in a name.
const SHORT: i32 = 4;

/// Why nothing can be said of what further runs would bring, and what would help.
pub(in crate::report) fn no_forecast(why: &NoForecast) -> String {
    match why {
        NoForecast::CannotBeTold => "the runs planned cannot tell it".into(),
        NoForecast::ScatterUnknown { degrees_of_freedom } => format!(
            "the runs made tell too little of how far runs scatter: {} degrees of freedom, and below 3 a chance or a width to come would be a guess; make runs beyond the number of terms, best some that repeat others, and ask again",
            fixed(
                *degrees_of_freedom,
                if degrees_of_freedom.fract() > 0.0 {
                    1
                } else {
                    0
                }
            )
        ),
    }
}

/// What is missing.
pub(in crate::report) fn missing(gap: &Gap) -> String {
    gap_words(gap).0
}

/// What is answered all the same, or what would help.
pub(in crate::report) fn still(gap: &Gap) -> String {
    gap_words(gap).1
}

fn said(missing: impl Into<String>, still: impl Into<String>) -> (String, String) {
    (missing.into(), still.into())
}

/// What is missing, and what is answered all the same or would help.
fn gap_words(gap: &Gap) -> (String, String) {
    match gap {
        Gap::NoModel(AimOf::Cost) => said(
            "there is no model of cost: it needs `[prices]`, and runs with the masses that are paid for",
            "yield and purity can still be compared; state prices, or aim at another response",
        ),
        Gap::NoModel(AimOf::Labour) => said(
            "there is no model of labour: it needs `labour` in the runs log",
            "yield and purity can still be compared; log the labour, or aim at another response",
        ),
        Gap::NoModel(aim) => said(
            format!("there is no model of {}, which `[aim]` names", aim.name()),
            format!(
                "add `{}` to `model.responses`, or aim at another response",
                aim.name()
            ),
        ),
        Gap::NoSpecification { aim } => said(
            "no purity specification is declared",
            format!(
                "what is best is found for {} alone, whatever the purity; state `purity_spec` under `[campaign]`",
                aim.name()
            ),
        ),
        Gap::NoModelOfPurity { aim } => said(
            "there is a purity specification but no model of purity",
            format!(
                "what is best is found for {} alone; log purities and add `purity` to `model.responses`",
                aim.name()
            ),
        ),
        Gap::OneRoute(route) => said(
            format!("only one route was run: {route}"),
            "its own means and its chance of meeting the specification stand here; make runs on another route to compare",
        ),
        Gap::ResidueWithoutAssay { runs, factor } => said(
            format!(
                "the residue of {runs} runs has no assay, so that their yields count fresh feed alone and rise with every gram of residue"
            ),
            format!(
                "settings are looked for with as little {factor} as may be; log `residue_assay`, or `residue_from` with the assay in the residues log"
            ),
        ),
        Gap::NoLimits {
            factor,
            end,
            lowest,
            highest,
        } => {
            let ends = match end {
                None => "limits",
                Some(RangeEnd::Low) => "lower limit",
                Some(RangeEnd::High) => "upper limit",
            };
            said(
                format!("no {ends} of {factor} declared"),
                format!(
                    "settings stay within the runs made, {lowest} to {highest}; declare `low` and `high` under `[factors.{factor}]`"
                ),
            )
        }
        Gap::NoFactor => said(
            "the model has no factor, so that there is nothing to set",
            "name what was varied under `model.effects`",
        ),
        Gap::AllForbidden => said(
            "`limits.never` forbids all settings that lie within the limits",
            "take a combination out of `limits.never`, or narrow what it forbids",
        ),
        Gap::CannotBeTold(aim) => said(
            format!(
                "the runs cannot tell {} at any settings that may be proposed",
                aim.name()
            ),
            "see what cannot be told apart, and the runs that would tell, under the model",
        ),
    }
}

/// Why a route has no mean.
pub(in crate::report) fn no_mean(reason: &NoMean) -> String {
    match reason {
        NoMean::NoModel(of) => format!("there is no model of {}", of.name()),
        NoMean::NoEffect { factor, of } => {
            format!("{factor} is no effect in the model of {}", of.name())
        }
        NoMean::NotRun => "no run of the model took it".into(),
        NoMean::CannotBeTold(Some(why)) => refusal(why),
        NoMean::CannotBeTold(None) => "it cannot be told".into(),
    }
}

/// What is compared, such as `route: boildown against chill`.
pub(in crate::report) fn compared(what: &Compared) -> String {
    compared_as(what, str::to_string)
}

/// The same with factors as people call them.
pub(in crate::report) fn compared_as(what: &Compared, called: impl Fn(&str) -> String) -> String {
    match what {
        Compared::Levels {
            factor,
            level,
            against,
        } => format!("{}: {level} against {against}", called(factor)),
        Compared::Span {
            factor,
            unit,
            from,
            to,
            at,
        } => {
            let place = at.as_ref().map_or_else(String::new, |at| {
                format!(" with {} {}", called(&at.factor), at.level)
            });
            let unit = match unit.as_str() {
                "" | "1" => String::new(),
                unit => format!(" {unit}"),
            };
            format!(
                "{} from {} to {}{unit}{place}",
                called(factor),
                short(*from),
                short(*to)
            )
        }
        Compared::Charged { factor } => {
            format!("product gained by a run with {}", called(factor))
        }
        Compared::BestSettings { run } => {
            format!("the best settings against those of run {run}")
        }
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

/// Sources of uncertainty that count together.
pub(in crate::report) fn family(family: &Family) -> String {
    match family {
        Family::AssayOfLot => "the assay of its lot".into(),
        Family::TitrantStrength => "the strength of the titrant".into(),
        Family::Source(name) => format!("the {name}"),
    }
}
