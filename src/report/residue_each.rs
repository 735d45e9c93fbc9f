//! Where does residue pay, and does it go on paying?
//!
//! In: the answer about residue. Out: sentences with a blank before them: levels that differ, and the loop.
//! This module never compares two levels with one another.

use super::aim_words::Naming;
use super::money_words::verdict;
use super::numbers::{fixed, plus_minus};
use super::words::and_list;
use crate::decide::{Money, Recycling, RecyclingVerdict};

/// Whether levels, cycles and the values that flip the verdict rest on chances of meeting the specification that count as exact
/// there: their intervals are too narrow to be said beside that of the whole.
pub(super) fn exact_chances(money: &Money) -> bool {
    money.worth.as_ref().is_some_and(|worth| worth.counts)
}

/// The verdict at each level, where one of them is not the verdict on the whole.
pub(super) fn where_it_differs(recycling: &Recycling, money: &Money, naming: Naming) -> String {
    let open = |verdict: RecyclingVerdict| match verdict {
        // Both leave it open; which of them is a matter of how many runs it would take.
        RecyclingVerdict::TooClose => RecyclingVerdict::NotSettled,
        other => other,
    };
    let levels = || recycling.by_level.iter();
    let differs = levels().any(|at| at.verdict.is_some_and(|at| open(at) != open(money.verdict)));
    if !differs || exact_chances(money) {
        return String::new();
    }
    let parts: Vec<String> = levels()
        .filter_map(|at| {
            let found = at.verdict?;
            Some(format!("with {} it {}", naming(&at.level), clause(found)))
        })
        .collect();
    format!(" Taken one by one, {}.", and_list(&parts))
}

fn clause(found: RecyclingVerdict) -> String {
    match found {
        RecyclingVerdict::Pays | RecyclingVerdict::DoesNotPay => verdict(found).into(),
        open => format!("is {}", verdict(open)),
    }
}

/// What a run gains in the long run, when the residue of the run before is charged each time.
pub(super) fn run_after_run(recycling: &Recycling, money: &Money, naming: Naming) -> String {
    let Ok(cycles) = &recycling.cycles else {
        return String::new();
    };
    if exact_chances(money) {
        return String::new();
    }
    let Some(last) = cycles.cycles.last().filter(|cycle| cycle.residue > 0.0) else {
        return String::new();
    };
    let Some(gain) = last.gain else {
        return String::new();
    };
    let sign = if gain.value > 0.0 { "+" } else { "" };
    format!(
        " Charged run after run, with {} % thrown away each time, it is {sign}{} {} by cycle {}, at {} g a run.",
        fixed(100.0 * cycles.bleed, 0),
        plus_minus(gain.value, gain.half_width),
        naming(&money.currency),
        last.cycle,
        fixed(last.residue, 0)
    )
}
