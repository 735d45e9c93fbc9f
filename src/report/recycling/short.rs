//! Question 5 in short: whether residue pays.
//!
//! In: the answer. Out: the same for the first screen.
//! This module never computes a gain.

use super::words::{exact_chances, if_logged, less_often, scale_and_unit, signed, too_much, why};
use crate::campaign::RecyclingValue;
use crate::decide::{BreakEven, Figure, Money, Recycling, RecyclingVerdict, Unanswered};
use crate::report::print::cost_names::{figure, verdict};
use crate::report::print::{Brief, Cell, and_list, around, decimals_for, fixed, probability};

/// Whether residue pays, where that turns over, and what comes of it run after run.
pub fn short(answer: &Result<Recycling, Unanswered>, brief: &mut Brief) {
    let recycling = match answer {
        Ok(recycling) => recycling,
        Err(missing) => return brief.say(&format!("cannot be said: {}", why(missing))),
    };
    let ratio = fixed(recycling.reference.ratio, 2);
    let money = match &recycling.money {
        Ok(money) => money,
        Err(missing) => {
            brief.say(&format!(
                "what it is worth cannot be said: {}",
                why(missing)
            ));
            let extra = signed(&recycling.extra_product);
            return brief.say(&format!("{extra} g more product a run at {ratio} g/g"));
        }
    };
    brief.say(&format!(
        "{}: {} {} a run at {ratio} g/g{}",
        verdict(money.verdict),
        signed(&money.gain),
        money.currency,
        match is_firm(money) {
            true => String::new(),
            false => format!("; chance of a gain {}", probability(money.chance_positive)),
        }
    ));
    brief.say(too_much(recycling).trim_start());
    let opposite = money.opposite().map(|of| {
        let gain = plain_sign(of.gain.value);
        format!("{gain} as {}", way_in_short(of.value))
    });
    brief.say(&around("but ", &and_list(opposite), ""));
    brief.say(&less_often(recycling, money));
    brief.say(&if_logged(money));
    if let Some(worth) = &money.worth {
        let [with, without] = [worth.with, worth.without].map(probability);
        brief.say(&format!(
            "{with} of charged runs meet the specification, {without} of others"
        ));
    }
    let turns = [Figure::ResidueContent, Figure::ProductPrice];
    let turns = turns
        .iter()
        .filter_map(|of| turns_at(recycling, money, *of));
    let turns: Vec<String> = turns.collect();
    if !turns.is_empty() && !exact_chances(money) {
        brief.say(&format!(
            "at that charge it turns at {}",
            turns.join(" or ")
        ));
    }
    let cycles = recycling.cycles.as_ref().ok();
    let last = cycles.and_then(|cycles| cycles.cycles.last());
    if let Some(last) = last.filter(|last| last.residue > 0.0 && !exact_chances(money))
        && let Some(gain) = last.gain
    {
        let gain = Cell::with_error(gain.value, gain.half_width).signed();
        brief.say(&format!(
            "charged run after run, {gain} by cycle {}",
            last.cycle
        ));
    }
}

/// A gain to two digits with its sign.
fn plain_sign(value: f64) -> String {
    Cell::fixed(value, decimals_for(value.abs()))
        .signed()
        .to_string()
}

fn way_in_short(value: RecyclingValue) -> &'static str {
    match value {
        RecyclingValue::Product => "extra product",
        RecyclingValue::Feed => "feed saved",
        RecyclingValue::Runs => "runs saved",
    }
}

fn is_firm(money: &Money) -> bool {
    let firm = [RecyclingVerdict::Pays, RecyclingVerdict::DoesNotPay];
    firm.contains(&money.verdict)
}

/// Where a firm verdict turns over: `assay of the residue 31.0 % (now 44 %)`.
fn turns_at(recycling: &Recycling, money: &Money, of: Figure) -> Option<String> {
    let at = money.break_even.iter().find(|at| at.figure == of);
    let at: &BreakEven = at.filter(|_| is_firm(money))?;
    let (scale, unit) = scale_and_unit(recycling, money, of);
    let decimals = decimals_for((at.high? - at.low?) * scale / 2.0);
    let [zero, now] = [at.at.ok()?, at.now].map(|value| fixed(value * scale, decimals));
    let name = match of {
        Figure::ResidueContent => "residue assay",
        Figure::ProductPrice => "product price",
        other => figure(other),
    };
    Some(format!("{name} {zero} {unit} (now {now})"))
}
