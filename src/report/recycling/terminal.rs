//! The answer about residue for a terminal or a pipe.
//!
//! In: the answer. Out: plain text: the verdict, then tables.
//! This module never prints: the program does.

use super::table;
use super::words::{best_policy, exact_chances, headline, not_counted};
use crate::decide::{CarriedGain, Recycling, Unanswered};
use crate::report::costs::impurities;
use crate::report::print::{Screen, Width, around, capital, percent, when};
use crate::report::reasons;

/// Whether residue pays, with what that rests on.
pub fn recycling(
    found: &Result<Recycling, Unanswered>,
    liquor: Option<&Result<CarriedGain, Unanswered>>,
    currency: &str,
    width: Width,
) -> String {
    let mut screen = Screen::new(width);
    screen.line(&headline(found));
    match found {
        Err(missing) => {
            let still = capital(reasons::unanswered(missing).still);
            screen.line(&format!("{still}."));
        }
        Ok(recycling) => answered(&mut screen, recycling),
    }
    match liquor {
        None => {}
        Some(Err(missing)) => {
            let why = reasons::liquor_untold(missing);
            screen.gap();
            screen.line(&format!("mother liquor carried on: {why}"));
        }
        Some(Ok(found)) => {
            screen.gap();
            screen.line("mother liquor carried on, by the intervals alone:");
            screen.table(&table::ways_of(&found.ways, currency));
        }
    }
    screen.finish()
}

fn answered(screen: &mut Screen, recycling: &Recycling) {
    if let Ok(money) = &recycling.money {
        screen.gap();
        screen.table(&table::counted(money));
        screen.line(&around("not counted: ", &not_counted(money), ""));
        if !money.handled.is_empty() {
            screen.gap();
            screen.table(&table::handled(money));
        }
        screen.gap();
        screen.line(when(
            exact_chances(money),
            "from here on the chances of meeting the specification count as exact, so intervals and verdicts are too sure",
        ));
        screen.table(&table::break_even(recycling));
    }
    if !recycling.by_level.is_empty() {
        screen.gap();
        screen.table(&table::by_level(recycling));
    }
    screen.gap();
    match &recycling.cycles {
        Err(reason) => screen.line(&format!(
            "round after round: {}",
            reasons::no_cycles(reason)
        )),
        Ok(cycles) => {
            screen.table(&table::cycles(recycling));
            if !cycles.build_up.is_empty() {
                screen.gap();
                screen.table(&impurities::build_up_table(cycles));
            }
            let nothing_kept = cycles.best_bleed.is_some_and(|best| best.bleed >= 1.0);
            screen.line(&format!(
                "{} thrown away each time{}; ± is half the width of an interval",
                percent(cycles.bleed, 0),
                when(nothing_kept, "; throwing all of it away is best")
            ));
            if let (Some(policies), Ok(money)) = (&cycles.policies, &recycling.money) {
                screen.gap();
                screen.table(&table::policies(policies, &money.currency));
                screen.line(&best_policy(policies, &money.currency));
            }
        }
    }
}
