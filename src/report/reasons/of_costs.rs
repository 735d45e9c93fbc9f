//! Reasons about money in words: what is not counted, and why a run has no cost.
//!
//! In: typed reasons about costs. Out: texts, with names from logs as they are.
//! This module never adds up a cost.

use std::borrow::Cow;

use super::of_runs::no_result;
use crate::decide::{CostKind, NoCost, NotCounted, Paid, WithoutCost, WorthUnknown};
use crate::report::print::cost_names::cost_kind;

/// Something that is not counted, with its reason in brackets.
pub(in crate::report) fn not_counted(item: &NotCounted) -> String {
    match item {
        NotCounted::NoPrice(kind) => format!("{} (no price)", cost_kind(*kind)),
        NotCounted::NotLogged(kind) => {
            let what = match kind {
                CostKind::Feed => "`feed_mass`",
                CostKind::Oxidant => "`oxidant_mass`",
                CostKind::Labour => "`labour`",
                CostKind::Disposal => "its mass",
                CostKind::Second => "mass, purity and content of them",
                CostKind::Reagents | CostKind::Heat | CostKind::ResidueHandling => "it",
            };
            format!("{} (no run logs {what})", cost_kind(*kind))
        }
        NotCounted::ReagentNotLogged(column) => {
            format!("{} (no run logs a mass of it)", column.replace('`', ""))
        }
        NotCounted::HeatWithoutLevel(factor) => format!("heat (no run names its {factor})"),
        NotCounted::HandlingWithoutLabour => "handling of residue (labour has no price)".into(),
        NotCounted::HandlingWithoutTime => "handling of residue (no time stated)".into(),
        NotCounted::HandlingMayBeLogged => {
            "handling of residue (it may stand in the labour of charged runs: `[recycling] handling` says so)".into()
        }
        NotCounted::ProductWithoutPrice => "what the product is worth (no price)".into(),
        NotCounted::NotTold(kind) => match kind {
            CostKind::Oxidant => {
                "extra oxidant of a charged run (no `[oxidant]` says what residue takes)".into()
            }
            CostKind::Disposal => {
                "disposal of residue (no model of what runs leave could be fitted)".into()
            }
            other => format!(
                "extra {} of a charged run (no model of them could be fitted)",
                cost_kind(*other)
            ),
        },
        NotCounted::OffSpecification(why) => {
            let reason = match why {
                WorthUnknown::NoSpecification => "no `purity_spec` is stated",
                WorthUnknown::NoPrice => "the product has no price",
                WorthUnknown::NoModel => "no model of purity tells the chance of it",
            };
            format!("product off specification ({reason})")
        }
    }
}

/// Why there is no cost.
pub(in crate::report) fn no_cost(reason: &NoCost) -> String {
    match reason {
        NoCost::NotLogged(what) => format!("no {} is logged", paid(what)),
        NoCost::NoPrice(what) => format!("{} has no price", paid(what)),
        NoCost::NoHeatPrice { factor, level } => {
            format!("heat has no price with {factor} {level}")
        }
        NoCost::NothingPriced => "nothing has a price".into(),
        NoCost::NoProduct => "the run gave no product".into(),
        NoCost::NoResult(reason) => no_result(reason),
        NoCost::NoRun => "there is no run".into(),
    }
}

fn paid(what: &Paid) -> Cow<'_, str> {
    Cow::Borrowed(match what {
        Paid::Second(element) => return Cow::Owned(format!("product of {element}")),
        Paid::Feed => "feed",
        Paid::Oxidant => "oxidant mass",
        Paid::Reagent(name) | Paid::LevelOf(name) | Paid::Attended(name) => name,
        Paid::Heat => "heat",
        Paid::Labour => "labour",
        Paid::Handling => "handling of residue",
        Paid::Residue => "residue",
    })
}

/// How many runs have no cost, reason by reason in the order of their words.
pub(in crate::report) fn without_a_cost(found: &[WithoutCost]) -> Vec<String> {
    let mut reasons: Vec<(String, &WithoutCost)> = found
        .iter()
        .map(|without| (no_cost(&without.reason), without))
        .collect();
    reasons.sort_by(|one, other| one.0.cmp(&other.0));
    reasons
        .into_iter()
        .map(|(reason, without)| format!("{} of {} runs ({reason})", without.runs, without.of))
        .collect()
}
