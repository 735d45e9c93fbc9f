//! Question 5 in words: whether residue pays, where, and run after run.
//!
//! In: the answer, and how names are made harmless. Out: sentences and pieces of them.
//! This module never computes a gain.

use crate::decide::{
    Amount, BreakEven, Figure, Money, Recycling, RecyclingVerdict, Settling, Unanswered,
};
use crate::report::print::money_words::{figure, shown_scale, verdict};
use crate::report::print::{
    Cell, Naming, and_list, capital, count, decimals_for, fixed, plain, plus_minus, probability,
};
use crate::report::reasons;

/// The answer in a few sentences.
pub fn headline(answer: &Result<Recycling, Unanswered>, naming: Naming) -> String {
    let recycling = match answer {
        Ok(recycling) => recycling,
        Err(missing) => {
            let missing = reasons::unanswered(missing);
            return format!(
                "Cannot be said: {}. What to do: {}.",
                naming(&missing.missing),
                naming(&missing.advice)
            );
        }
    };
    let money = match &recycling.money {
        Ok(money) => money,
        Err(missing) => {
            let missing = reasons::unanswered(missing);
            return format!(
                "Charged at {} g/g it gave {} g more product a run; what that is worth cannot be said: {}. What to do: {}.",
                fixed(recycling.reference.ratio, 2),
                signed(&recycling.extra_product),
                naming(&missing.missing),
                naming(&missing.advice)
            );
        }
    };
    format!(
        "{}: {} {} a run charged at {} g/g, chance of a gain {}.{}{}{}{}{}{}",
        capital(verdict(money.verdict)),
        signed(&money.gain),
        naming(&money.currency),
        fixed(recycling.reference.ratio, 2),
        probability(money.chance_positive),
        flips(recycling, money, naming),
        settling(money, naming),
        where_it_differs(recycling, money, naming),
        run_after_run(recycling, money, naming),
        specification(money),
        too_much(recycling)
    )
}

/// That the vessel does not hold the charge that all this is about.
pub fn too_much(recycling: &Recycling) -> String {
    let reference = &recycling.reference;
    let solids = reference.feed_mass * (1.0 + reference.ratio);
    match reference.vessel_solids {
        Some(vessel) if solids > vessel => format!(
            " But such a charge is {} g of solids, and the vessel holds {} g.",
            plain(solids),
            plain(vessel)
        ),
        _ => String::new(),
    }
}

/// How much further one end of an interval may lie from the value than the other before half a width misleads.
const LOPSIDED: f64 = 2.0;

/// `+0.83 ± 0.21`, always with a sign; `−1.35 (between −17.54 and −1.04)` where one side is much longer.
pub fn signed(amount: &Amount) -> String {
    let sign = |value: f64| if value > 0.0 { "+" } else { "" };
    if !is_lopsided(amount) {
        return format!("{}{}", sign(amount.value), with_half_width(amount));
    }
    let shorter = (amount.value - amount.low).min(amount.high - amount.value);
    let decimals = decimals_for(shorter).min(decimals_for((amount.high - amount.low) / 2.0) + 1);
    let shown = |value: f64| format!("{}{}", sign(value), fixed(value, decimals));
    format!(
        "{} (between {} and {})",
        shown(amount.value),
        shown(amount.low),
        shown(amount.high)
    )
}

/// The same as a cell.
pub fn signed_cell(amount: &Amount) -> Cell {
    match is_lopsided(amount) {
        true => Cell::text(signed(amount)),
        false => Cell::with_error(amount.value, (amount.high - amount.low) / 2.0).signed(),
    }
}

fn is_lopsided(amount: &Amount) -> bool {
    let sides = [amount.value - amount.low, amount.high - amount.value];
    sides[0].max(sides[1]) > LOPSIDED * sides[0].min(sides[1])
}

/// `0.83 ± 0.21`, half the width of the interval behind the sign.
pub fn with_half_width(amount: &Amount) -> String {
    plus_minus(amount.value, (amount.high - amount.low) / 2.0)
}

/// The same of a fraction, in percent.
pub fn in_percent(amount: &Amount) -> String {
    plus_minus(
        100.0 * amount.value,
        100.0 * (amount.high - amount.low) / 2.0,
    )
}

/// Where the verdict flips, as one sentence.
pub fn flips(recycling: &Recycling, money: &Money, naming: Naming) -> String {
    let parts: Vec<String> = money
        .break_even
        .iter()
        .filter(|at| at.at.is_ok() && at.figure != Figure::DisposalPrice)
        .map(|at| {
            format!(
                "{} {}",
                figure(at.figure),
                shown_break_even(recycling, money, at, naming)
            )
        })
        .collect();
    if parts.is_empty() {
        String::new()
    } else {
        format!(" It flips at {}.", and_list(&parts))
    }
}

/// The value at which the verdict flips, with its unit and interval.
pub fn shown_break_even(
    recycling: &Recycling,
    money: &Money,
    at: &BreakEven,
    naming: Naming,
) -> String {
    let Ok(zero) = at.at else {
        return String::new();
    };
    let (scale, unit) = scale_and_unit(recycling, money, at.figure, naming);
    let value = zero * scale;
    let ends = match (at.low, at.high) {
        (Some(low), Some(high)) => {
            let decimals = decimals_for((high - low) * scale / 2.0);
            return format!(
                "{} {unit} ({} to {})",
                fixed(value, decimals),
                fixed(low * scale, decimals),
                fixed(high * scale, decimals)
            );
        }
        (Some(low), None) => format!("from {} on", plain(low * scale)),
        (None, Some(high)) => format!("up to {}", plain(high * scale)),
        (None, None) => "anywhere".into(),
    };
    format!("{} {unit} ({ends})", plain(value))
}

pub fn scale_and_unit(
    recycling: &Recycling,
    money: &Money,
    of: Figure,
    naming: Naming,
) -> (f64, String) {
    let scale = shown_scale(of, recycling.reference.content_per_assay);
    let currency = naming(&money.currency);
    match of {
        Figure::ResidueContent => (100.0 * scale, "%".into()),
        Figure::HandlingMinutes => (scale, "min".into()),
        _ => (scale, format!("{currency}/kg")),
    }
}

/// What would settle an open verdict, as one sentence with a blank before it.
pub fn settling(money: &Money, naming: Naming) -> String {
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
            naming(&money.currency)
        ),
        Some(Settling::NotByRuns) => {
            " Further runs cannot settle it: what they tell nothing about (prices, and how often the specification is met where that counts) alone leaves zero in the interval."
                .into()
        }
        Some(Settling::Unknown(reason)) => format!(
            " How many runs would settle it cannot be planned: {}.",
            naming(&reasons::not_planned(reason))
        ),
    }
}

/// What charging does to the chance of meeting the specification.
pub fn specification(money: &Money) -> String {
    let Some(worth) = &money.worth else {
        return String::new();
    };
    let counted = if worth.counts {
        "which is counted"
    } else {
        "which is not counted, because product off specification is sold"
    };
    format!(
        " A charged run meets the purity specification with a chance of {}, one without residue with a chance of {}, {counted}.",
        probability(worth.with),
        probability(worth.without)
    )
}

/// Whether levels, cycles and the values that flip the verdict rest on chances of meeting the specification that count as exact
/// there: their intervals are too narrow to be said beside that of the whole.
pub fn exact_chances(money: &Money) -> bool {
    money.worth.as_ref().is_some_and(|worth| worth.counts)
}

/// The verdict at each level, where one of them is not the verdict on the whole.
pub fn where_it_differs(recycling: &Recycling, money: &Money, naming: Naming) -> String {
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
pub fn run_after_run(recycling: &Recycling, money: &Money, naming: Naming) -> String {
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
        assert_eq!(signed(&amount(0.11, 0.46, 0.83)), "+0.46 ± 0.36");
        assert_eq!(signed(&amount(-0.92, -0.85, -0.78)), "−0.850 ± 0.070");
    }

    #[test]
    fn a_lopsided_interval_is_said_by_its_ends_so_that_its_sign_shows() {
        assert_eq!(
            signed(&amount(-17.542, -1.346, -1.042)),
            "−1.35 (between −17.54 and −1.04)"
        );
    }
}
