//! The answer about residue, and what a gram cost, for a terminal or a pipe.
//!
//! In: an analysis. Out: plain text: the verdict, then tables.
//! This module never prints: the program does.

use super::money_words::{figure, never, verdict};
use super::numbers::{fixed, plain};
use super::plain::{columns, one_line};
use super::reasons;
use super::recycle_words::{
    answer, scale_and_unit, shown_break_even, shown_gain, signed, with_half_width,
};
use super::residue_each::exact_chances;
use super::words::capital;
use crate::decide::{Money, Recycling, Unanswered};

/// Whether residue pays, with what that rests on.
pub fn recycling(found: &Result<Recycling, Unanswered>) -> String {
    let mut text = format!("{}\n", answer(found, one_line));
    match found {
        Err(missing) => {
            let still = reasons::unanswered(missing).still;
            text.push_str(&format!("{}.\n", capital(&one_line(still))));
        }
        Ok(recycling) => {
            if let Ok(money) = &recycling.money {
                text.push_str(&counted(money));
                text.push_str(&flips(recycling, money));
            }
            text.push_str(&levels(recycling));
            text.push_str(&cycles(recycling));
        }
    }
    text
}

fn row(cells: &[&str]) -> Vec<String> {
    cells.iter().map(|cell| cell.to_string()).collect()
}

fn counted(money: &Money) -> String {
    let terms = [
        ("worth of the extra product", money.terms.product),
        ("fresh feed saved", money.terms.feed),
        ("extra oxidant", money.terms.oxidant),
        ("further reagents", money.terms.reagents),
        ("handling", money.terms.handling),
        ("disposal", money.terms.disposal),
    ];
    let mut rows = vec![row(&[
        "counted",
        &format!("{} a run", one_line(&money.currency)),
    ])];
    for (name, value) in terms.iter().filter(|(_, value)| *value != 0.0) {
        rows.push(row(&[name, &fixed(*value, 3)]));
    }
    rows.push(row(&["gain", &signed(&money.gain)]));
    let mut text = format!("\n{}", columns(&rows));
    if !money.not_counted.is_empty() {
        let items: Vec<String> = money.not_counted.iter().map(reasons::not_counted).collect();
        text.push_str(&format!("not counted: {}\n", one_line(&items.join(", "))));
    }
    text
}

fn flips(recycling: &Recycling, money: &Money) -> String {
    let mut rows = vec![row(&["flips along", "now", "at (between)"])];
    for at in &money.break_even {
        let (scale, unit) = scale_and_unit(recycling, money, at.figure, one_line);
        let place = match at.at {
            Ok(_) => shown_break_even(recycling, money, at, one_line),
            Err(why) => never(why).to_string(),
        };
        rows.push(row(&[
            figure(at.figure),
            &format!("{} {unit}", plain(at.now * scale)),
            &place,
        ]));
    }
    let exact = if exact_chances(money) {
        "from here on the chances of meeting the specification count as exact, so intervals and verdicts are too sure\n"
    } else {
        ""
    };
    format!("\n{exact}{}", columns(&rows))
}

/// A heading with the currency, where there are prices.
fn in_currency(heading: &str, recycling: &Recycling) -> String {
    match &recycling.money {
        Ok(money) => format!("{heading} / {}", one_line(&money.currency)),
        Err(_) => heading.into(),
    }
}

fn levels(recycling: &Recycling) -> String {
    if recycling.by_level.is_empty() {
        return String::new();
    }
    let product = if recycling.money.as_ref().is_ok_and(exact_chances) {
        "extra product on specification / g"
    } else {
        "extra product / g"
    };
    let gain = in_currency("gain of a run", recycling);
    let mut rows = vec![row(&["with", product, &gain, "verdict"])];
    for at in &recycling.by_level {
        rows.push(vec![
            format!("{}: {}", at.factor, at.level),
            at.extra_product
                .as_ref()
                .map_or_else(|_| "-".into(), with_half_width),
            at.gain.as_ref().map_or_else(|| "-".into(), signed),
            at.verdict.map_or("-", verdict).to_string(),
        ]);
    }
    format!("\n{}", columns(&rows))
}

fn cycles(recycling: &Recycling) -> String {
    let cycles = match &recycling.cycles {
        Err(reason) => {
            let reason = reasons::no_cycles(reason);
            return format!("\nround after round: {}\n", one_line(&reason));
        }
        Ok(cycles) => cycles,
    };
    let mut rows = vec![row(&[
        "cycle",
        "residue / g",
        "its assay / %",
        &in_currency("gain of the run", recycling),
    ])];
    for cycle in &cycles.cycles {
        rows.push(vec![
            cycle.cycle.to_string(),
            fixed(cycle.residue, 0),
            fixed(100.0 * cycle.assay, 1),
            shown_gain(cycle),
        ]);
    }
    let best = if cycles.best_bleed.is_none_or(|best| best.bleed < 1.0) {
        ""
    } else {
        "; throwing all of it away is best"
    };
    format!(
        "\n{}{} % thrown away each time{best}; ± is half the width of an interval\n",
        columns(&rows),
        fixed(100.0 * cycles.bleed, 0)
    )
}
