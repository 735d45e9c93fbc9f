//! Question 5 in words: whether residue pays, where, and run after run.
//!
//! In: the answer. Out: sentences and pieces of them, names as they were logged.
//! This module never computes a gain.

use crate::campaign::Handling;
use crate::decide::{
    Amount, BreakEven, Figure, Money, Policies, Recycling, RecyclingVerdict, Settling, Unanswered,
    When,
};
use crate::report::print::cost_names::{figure, never, shown_scale, verdict};
use crate::report::print::{
    Cell, and_list, around, capital, count, decimals_for, fixed, joined, percent, plain,
    probability,
};
use crate::report::reasons;

/// The answer in a few sentences.
pub fn headline(answer: &Result<Recycling, Unanswered>) -> String {
    let recycling = match answer {
        Ok(recycling) => recycling,
        Err(missing) => return format!("Cannot be said: {}", why(missing)),
    };
    let ratio = fixed(recycling.reference.ratio, 2);
    let money = match &recycling.money {
        Ok(money) => money,
        Err(missing) => {
            let (extra, why) = (signed(&recycling.extra_product), why(missing));
            return format!(
                "Charged at {ratio} g/g it gave {extra} g more product a run; what that is worth cannot be said: {why}"
            );
        }
    };
    format!(
        "{}: {} {} a run charged at {ratio} g/g, chance of a gain {}{}{}.{}{}{}{}{}{}",
        capital(verdict(money.verdict)),
        signed(&money.gain),
        money.currency,
        probability(money.chance_positive),
        around("; ", &if_logged(money), ""),
        around("; ", &less_often(recycling, money), ""),
        flips(recycling, money),
        settling(money),
        where_it_differs(recycling, money),
        run_after_run(recycling, money),
        specification(money),
        too_much(recycling)
    )
}

/// What residue that is collected and charged less often gains, where a charge like those made loses.
pub fn less_often(recycling: &Recycling, money: &Money) -> String {
    let cycles = recycling.cycles.as_ref().ok();
    let policies = cycles.and_then(|cycles| cycles.policies.as_ref());
    let best = policies.and_then(Policies::best);
    let best = best.filter(|best| best.gain.low > 0.0 && money.gain.value <= 0.0);
    best.map_or_else(String::new, |best| {
        let (when, gain) = (when_charged(best.when), signed(&best.gain));
        format!(
            "collected and charged {when}, {gain} {} a run",
            money.currency
        )
    })
}

/// The gain if the labour log holds the time to handle residue, where nothing says so.
pub fn if_logged(money: &Money) -> String {
    let mut handled = money.handled.iter();
    let logged = handled.find(|of| of.handling == Handling::Logged);
    let gain = logged.map(|of| signed(&of.gain).to_string());
    let behind = " if the labour that is logged holds the handling already";
    around("", &gain.unwrap_or_default(), behind)
}

/// What is missing for an answer, and what to do about it.
pub fn why(missing: &Unanswered) -> String {
    let words = reasons::unanswered(missing);
    format!("{}. What to do: {}.", words.missing, words.advice)
}

/// That the vessel does not hold the charge that all this is about.
pub fn too_much(recycling: &Recycling) -> String {
    let reference = &recycling.reference;
    let solids = reference.feed_mass * (1.0 + reference.ratio);
    let vessel = reference.vessel_solids.filter(|vessel| solids > *vessel);
    let Some(vessel) = vessel.map(plain) else {
        return String::new();
    };
    let solids = plain(solids);
    format!(" But such a charge is {solids} g of solids, and the vessel holds {vessel} g.")
}

/// How much further one end of an interval may lie from the value than the other before half a width misleads.
const LOPSIDED: f64 = 2.0;

/// `+0.83 ± 0.21`, always with a sign; `−1.35 (between −17.54 and −1.04)` where one side is much longer.
pub fn signed(amount: &Amount) -> Cell {
    let sides = [amount.value - amount.low, amount.high - amount.value];
    let is_lopsided = sides[0].max(sides[1]) > LOPSIDED * sides[0].min(sides[1]);
    if !is_lopsided {
        return with_half_width(amount).signed();
    }
    let shorter = sides[0].min(sides[1]);
    let decimals = decimals_for(shorter).min(decimals_for((amount.high - amount.low) / 2.0) + 1);
    let [value, low, high] = [amount.value, amount.low, amount.high].map(|value| {
        let sign = if value > 0.0 { "+" } else { "" };
        format!("{sign}{}", fixed(value, decimals))
    });
    Cell::text(format!("{value} (between {low} and {high})"))
}

/// `0.83 ± 0.21`, half the width of the interval behind the sign.
pub fn with_half_width(amount: &Amount) -> Cell {
    Cell::with_error(amount.value, (amount.high - amount.low) / 2.0)
}

/// Where the verdict flips, as one sentence with a blank before it.
fn flips(recycling: &Recycling, money: &Money) -> String {
    let known = money.break_even.iter();
    let known = known.filter(|at| at.at.is_ok() && at.figure != Figure::DisposalPrice);
    let parts = known.map(|at| {
        let shown = shown_break_even(recycling, money, at);
        format!("{} {shown}", figure(at.figure))
    });
    around(" It flips at ", &and_list(parts), ".")
}

/// The value at which the verdict flips, with its unit and interval, or why it never does.
pub fn shown_break_even(recycling: &Recycling, money: &Money, at: &BreakEven) -> String {
    let zero = match at.at {
        Ok(zero) => zero,
        Err(why) => return never(why).into(),
    };
    let (scale, unit) = scale_and_unit(recycling, money, at.figure);
    let value = zero * scale;
    let ends = match (at.low, at.high) {
        (Some(low), Some(high)) => {
            let decimals = decimals_for((high - low) * scale / 2.0);
            let [value, low, high] =
                [value, low * scale, high * scale].map(|value| fixed(value, decimals));
            return format!("{value} {unit} ({low} to {high})");
        }
        (Some(low), None) => format!("from {} on", plain(low * scale)),
        (None, Some(high)) => format!("up to {}", plain(high * scale)),
        (None, None) => "anywhere".into(),
    };
    format!("{} {unit} ({ends})", plain(value))
}

/// What turns a figure into the unit that people see, and that unit.
pub fn scale_and_unit(recycling: &Recycling, money: &Money, of: Figure) -> (f64, String) {
    let scale = shown_scale(of, recycling.reference.content_per_assay);
    match of {
        Figure::ResidueContent => (100.0 * scale, "%".into()),
        Figure::HandlingMinutes | Figure::LabourExtra => (scale, "min".into()),
        _ => (scale, format!("{}/kg", money.currency)),
    }
}

/// What would settle an open verdict, as one sentence with a blank before it.
pub fn settling(money: &Money) -> String {
    match &money.settling {
        None => String::new(),
        Some(Settling::Runs {
            runs,
            charged,
            chance,
            ..
        }) => format!(
            " {} more would settle it with a chance of {}, if the gain is as estimated: {charged} of them with residue and {} without.",
            count(*runs, "run"),
            probability(*chance),
            runs - charged
        ),
        Some(Settling::TooClose { tried, most }) => format!(
            " It is too close to be worth settling: even {} more would not do it, and the most that a charged run could {} is {} {}.",
            count(*tried, "run"),
            if *most > 0.0 { "gain" } else { "lose" },
            fixed(most.abs(), 2),
            money.currency
        ),
        Some(Settling::NotByRuns) => {
            " Further runs cannot settle it: what they tell nothing about (prices, and how often the specification is met where that counts) alone leaves zero in the interval."
                .into()
        }
        Some(Settling::Unknown(reason)) => format!(
            " How many runs would settle it cannot be planned: {}.",
            reasons::not_planned(reason)
        ),
    }
}

/// What charging does to the chance of meeting the specification.
pub fn specification(money: &Money) -> String {
    let Some(worth) = &money.worth else {
        return String::new();
    };
    let counted = match worth.counts {
        true => "which is counted",
        false => "which is not counted, because product off specification is sold",
    };
    let [with, without] = [worth.with, worth.without].map(probability);
    format!(
        " A charged run meets the purity specification with a chance of {with}, one without residue with a chance of {without}, {counted}."
    )
}

/// What is not counted, one after another.
pub fn not_counted(money: &Money) -> String {
    joined(money.not_counted.iter().map(reasons::not_counted), ", ")
}

/// Whether levels, cycles and the values that flip the verdict rest on chances of meeting the specification that count as exact
/// there: their intervals are too narrow to be said beside that of the whole.
pub fn exact_chances(money: &Money) -> bool {
    money.worth.as_ref().is_some_and(|worth| worth.counts)
}

/// The verdict at each level, where one of them is not the verdict on the whole.
fn where_it_differs(recycling: &Recycling, money: &Money) -> String {
    let open = |verdict: RecyclingVerdict| match verdict {
        // Both leave it open; which of them is a matter of how many runs it would take.
        RecyclingVerdict::TooClose => RecyclingVerdict::NotSettled,
        other => other,
    };
    let mut verdicts = recycling.by_level.iter().filter_map(|at| at.verdict);
    let differs = verdicts.any(|at| open(at) != open(money.verdict));
    if !differs || exact_chances(money) {
        return String::new();
    }
    let parts = recycling.by_level.iter().filter_map(|at| {
        let clause = verdict_clause(at.verdict?);
        Some(format!("with {} it {clause}", at.level))
    });
    format!(" Taken one by one, {}.", and_list(parts))
}

/// `every run`, `every 3 runs`.
pub fn when_charged(when: When) -> String {
    match when {
        When::Every(1) => "every run".into(),
        When::Every(runs) => format!("every {runs} runs"),
        When::Full => "as soon as the largest charge allowed is there".into(),
    }
}

/// Which way to charge is best, as far as that can be told.
pub fn best_policy(policies: &Policies, currency: &str) -> String {
    let Some(best) = policies.best() else {
        return "By the best estimate each way to charge loses.".into();
    };
    let gain = format!("{} {currency} a run", signed(&best.gain));
    let name = when_charged(best.when);
    let chance = probability(best.chance_best);
    match best.chance_best >= policies.confidence {
        true => format!("Charged {name} it gains most, {gain}: chance of being the best {chance}."),
        false => format!(
            "By the best estimate it gains most when charged {name}, {gain}, but which way is best cannot be told: chance of being it {chance}."
        ),
    }
}

/// `pays`, `is not settled`.
pub fn verdict_clause(found: RecyclingVerdict) -> String {
    match found {
        RecyclingVerdict::Pays | RecyclingVerdict::DoesNotPay => verdict(found).into(),
        open => format!("is {}", verdict(open)),
    }
}

/// What a run gains in the long run, when the residue of the run before is charged each time.
fn run_after_run(recycling: &Recycling, money: &Money) -> String {
    let said = || {
        let cycles = recycling.cycles.as_ref().ok()?;
        let last = cycles.cycles.last().filter(|cycle| cycle.residue > 0.0)?;
        let gain = last.gain?;
        Some(format!(
            " Charged run after run, with {} thrown away each time, it is {} {} by cycle {}, at {} g a run.",
            percent(cycles.bleed, 0),
            Cell::with_error(gain.value, gain.half_width).signed(),
            money.currency,
            last.cycle,
            fixed(last.residue, 0)
        ))
    };
    match exact_chances(money) {
        true => String::new(),
        false => said().unwrap_or_default(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn amount(low: f64, value: f64, high: f64) -> Amount {
        Amount {
            value,
            uncertainty: (high - low) / 4.0,
            low,
            high,
        }
    }

    #[test]
    fn half_a_width_stands_where_both_sides_are_about_as_long() {
        assert_eq!(
            signed(&amount(0.11, 0.46, 0.83)).to_string(),
            "+0.46 ± 0.36"
        );
        assert_eq!(
            signed(&amount(-0.92, -0.85, -0.78)).to_string(),
            "−0.850 ± 0.070"
        );
    }

    #[test]
    fn a_lopsided_interval_is_said_by_its_ends_so_that_its_sign_shows() {
        assert_eq!(
            signed(&amount(-17.542, -1.346, -1.042)).to_string(),
            "−1.35 (between −17.54 and −1.04)"
        );
    }
}
