//! How the answer about residue reads.
//!
//! In: the answer, and how names are made harmless. Out: sentences and pieces of them.
//! This module never computes a gain.

use super::aim_words::Naming;
use super::json::shown_scale;
use super::money_words::{figure, verdict};
use super::numbers::{decimals_for, fixed, plain, plus_minus, probability};
use super::print::table::Cell;
use super::reasons;
use super::residue_each;
use super::words::{and_list, capital, count};
use crate::decide::{Amount, BreakEven, Figure, Money, Recycling, Settling, Unanswered};

/// The answer in a few sentences.
pub(super) fn answer(answer: &Result<Recycling, Unanswered>, naming: Naming) -> String {
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
        residue_each::where_it_differs(recycling, money, naming),
        residue_each::run_after_run(recycling, money, naming),
        specification(money),
        too_much(recycling)
    )
}

/// That the vessel does not hold the charge that all this is about.
pub(super) fn too_much(recycling: &Recycling) -> String {
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
pub(super) fn signed(amount: &Amount) -> String {
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
pub(super) fn signed_cell(amount: &Amount) -> Cell {
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
pub(super) fn with_half_width(amount: &Amount) -> String {
    plus_minus(amount.value, (amount.high - amount.low) / 2.0)
}

/// The same of a fraction, in percent.
pub(super) fn in_percent(amount: &Amount) -> String {
    plus_minus(
        100.0 * amount.value,
        100.0 * (amount.high - amount.low) / 2.0,
    )
}

/// Where the verdict flips, as one sentence.
pub(super) fn flips(recycling: &Recycling, money: &Money, naming: Naming) -> String {
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
pub(super) fn shown_break_even(
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

pub(super) fn scale_and_unit(
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
pub(super) fn settling(money: &Money, naming: Naming) -> String {
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
pub(super) fn specification(money: &Money) -> String {
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
