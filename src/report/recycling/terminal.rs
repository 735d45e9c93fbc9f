//! The answer about residue for a terminal or a pipe.
//!
//! In: the answer. Out: plain text: the verdict, then tables.
//! This module never prints: the program does.

use super::table;
use super::words::{exact_chances, headline};
use crate::decide::{Money, Recycling, Unanswered};
use crate::report::print::{Width, capital, fixed, one_line, terminal, wrapped};
use crate::report::reasons;

/// Whether residue pays, with what that rests on.
pub fn recycling(found: &Result<Recycling, Unanswered>, width: Width) -> String {
    let mut text = wrapped(&format!("{}\n", headline(found, one_line)), width);
    match found {
        Err(missing) => {
            let still = reasons::unanswered(missing).still;
            let still = format!("{}.\n", capital(&one_line(still)));
            text.push_str(&wrapped(&still, width));
        }
        Ok(recycling) => {
            if let Ok(money) = &recycling.money {
                text.push_str(&counted(money, width));
                text.push_str(&flips(recycling, money, width));
            }
            if !recycling.by_level.is_empty() {
                let levels = terminal::table(&table::by_level(recycling), width);
                text.push_str(&format!("\n{levels}"));
            }
            text.push_str(&cycles(recycling, width));
        }
    }
    text
}

fn counted(money: &Money, width: Width) -> String {
    let table = terminal::table(&table::counted(money), width);
    let not = match money.not_counted.as_slice() {
        [] => String::new(),
        not => format!(
            "not counted: {}\n",
            one_line(
                &not.iter()
                    .map(reasons::not_counted)
                    .collect::<Vec<_>>()
                    .join(", ")
            )
        ),
    };
    format!("\n{table}{}", wrapped(&not, width))
}

fn flips(recycling: &Recycling, money: &Money, width: Width) -> String {
    let exact = if exact_chances(money) {
        "from here on the chances of meeting the specification count as exact, so intervals and verdicts are too sure\n"
    } else {
        ""
    };
    let table = terminal::table(&table::break_even(recycling), width);
    format!("\n{}{table}", wrapped(exact, width))
}

fn cycles(recycling: &Recycling, width: Width) -> String {
    let cycles = match &recycling.cycles {
        Err(reason) => {
            let line = format!(
                "round after round: {}\n",
                one_line(&reasons::no_cycles(reason))
            );
            return format!("\n{}", wrapped(&line, width));
        }
        Ok(cycles) => cycles,
    };
    let best = if cycles.best_bleed.is_none_or(|best| best.bleed < 1.0) {
        ""
    } else {
        "; throwing all of it away is best"
    };
    let note = format!(
        "{} % thrown away each time{best}; ± is half the width of an interval\n",
        fixed(100.0 * cycles.bleed, 0)
    );
    let table = terminal::table(&table::cycles(recycling), width);
    format!("\n{table}{}", wrapped(&note, width))
}
