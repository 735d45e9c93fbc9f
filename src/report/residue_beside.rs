//! What do the best settings say about residue, beside whether residue pays?
//!
//! In: the best settings and the answer about residue. Out: a sentence where the two look at odds.
//! This module never changes either answer.

use super::aim_words::{Naming, unit};
use super::numbers::plain;
use crate::decide::{AimOf, BestSettings, Recycling, RecyclingVerdict, Unanswered};
use crate::regression::Setting;

/// Why the settings name a ratio that the answer about residue seems to speak against; None where they agree.
pub(super) fn sentence(
    best: &BestSettings,
    recycling: &Result<Recycling, Unanswered>,
    naming: Naming,
) -> Option<String> {
    let recycling = recycling.as_ref().ok()?;
    let verdict = recycling.money.as_ref().ok()?.verdict;
    let factor = &recycling.reference.factor;
    let chosen = best.at.iter().find(|chosen| chosen.factor == *factor)?;
    let Setting::Amount(ratio) = &chosen.value else {
        return None;
    };
    let charged = *ratio > 0.0;
    let money = match (charged, verdict) {
        (false, RecyclingVerdict::Pays) => "and there residue pays",
        (false, RecyclingVerdict::NotSettled | RecyclingVerdict::TooClose) => {
            "and there residue is not settled"
        }
        (true, RecyclingVerdict::DoesNotPay) => "and there residue does not pay",
        _ => return None,
    };
    let why = match best.aim.of {
        AimOf::YIELD => {
            ", and yield counts what the residue holds as charged, so residue can lower it and still add product"
        }
        AimOf::Cost => {
            ", a mean over all product, which residue can lower although what it adds is worth less than it takes"
        }
        _ => "",
    };
    Some(format!(
        "The {} of {}{} is for {} alone{why}; question 5 counts money, {money}.",
        naming(factor),
        plain(*ratio),
        unit(&chosen.unit, naming),
        naming(best.aim.of.name())
    ))
}
