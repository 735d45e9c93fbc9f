//! Question 9 in words: what a gram of product cost, against buying it.
//!
//! In: costs. Out: sentences and pieces of them, names as they were logged.
//! This module never adds up a cost.

use crate::decide::{CampaignCost, Choice, Costs, Made, PerKilogram, Turning};
use crate::measured::Measured;
use crate::pipeline::Analysis;
use crate::report::print::cost_names::cost_kind;
use crate::report::print::{
    and_list, around, count, decimals_for, fixed, joined, percent, plain, plus_minus, when,
};
use crate::report::reasons;

/// What is not counted, as a sentence with a blank before it.
pub fn not_counted(costs: &Costs) -> String {
    let items = costs.not_counted.iter().map(reasons::not_counted);
    let all = items.chain(reasons::without_a_cost(&costs.without_a_cost));
    around(" Not counted: ", &joined(all, ", "), ".")
}

/// Water, energy and waste of a kilogram, in a sentence; nothing where none is logged.
pub fn used_up(all: &[PerKilogram]) -> String {
    let each = all.iter().map(|of| {
        let amount = match of.spread {
            Some([_, half]) if half > 0.0 => plus_minus(of.value, half),
            _ => plain(of.value),
        };
        let unit = around(" ", &of.unit, "");
        format!("{amount}{unit} of {} ({})", of.name, count(of.runs, "run"))
    });
    around(
        "A kilogram of contained product takes or leaves ",
        &and_list(each),
        ".",
    )
}

/// What a kilogram cost, without what is not counted.
pub fn in_words(analysis: &Analysis, costs: &Costs, campaign: &CampaignCost) -> String {
    let currency = &costs.prices.currency;
    // Per kilogram, which reads better than per gram, with half the width of its interval.
    let per_kilogram =
        |value: &Measured| match 1000.0 * costs.sources.expanded(value, analysis.confidence()) {
            half if half > 0.0 => plus_minus(1000.0 * value.value(), half),
            _ => fixed(1000.0 * value.value(), 2),
        };
    let gained = campaign.gained_by_making.as_ref();
    let bought = gained
        .zip(costs.prices.product.as_ref())
        .map(|(gained, bought)| {
            let (side, size) = match gained.value() < 0.0 {
                true => ("more", gained.clone() * -1.0),
                false => ("less", gained.clone()),
            };
            format!(
                ", {} {currency} {side} than the {} {currency} that it costs to buy",
                per_kilogram(&size),
                plain(1000.0 * bought.value())
            )
        });
    let total = campaign.total.value();
    let first = campaign.parts.first().filter(|_| total > 0.0).map(|first| {
        let share = percent(first.cost.value() / total, 0);
        format!("; {} takes {share} of it", cost_kind(first.kind))
    });
    let on_spec = campaign.on_spec.zip(campaign.per_gram_on_spec.as_ref());
    let on_spec = on_spec.map(|(share, per_gram)| {
        format!(
            " {} of the product came from runs that met the specification; counting that alone, a kilogram cost {} {currency}.",
            percent(share, 0),
            per_kilogram(per_gram)
        )
    });
    format!(
        "{} {currency} a kilogram of contained product{}{}.{}{}",
        per_kilogram(&campaign.per_gram),
        bought.unwrap_or_default(),
        first.unwrap_or_default(),
        on_spec.unwrap_or_default(),
        make_or_buy(analysis, costs, campaign)
    )
}

/// What to do by the cost of a gram.
pub fn choice(made: &Made) -> &'static str {
    match made.choice {
        Choice::Make => "make it",
        Choice::Buy => "buy it",
        Choice::Open => "not settled",
        Choice::NotAllCounted => "not settled, because not all is counted",
    }
}

/// Whether to make or to buy, and where that turns, as sentences with a blank before them.
fn make_or_buy(analysis: &Analysis, costs: &Costs, campaign: &CampaignCost) -> String {
    let Some(found) = &campaign.make_or_buy else {
        return String::new();
    };
    let currency = &costs.prices.currency;
    let of = |made: &Made| {
        let per_gram = costs
            .sources
            .expanded(&made.per_gram, analysis.confidence());
        let per_kilogram = |value: f64, half: Option<f64>| {
            let half = half.map(|half| 1000.0 * half).filter(|half| *half > 0.0);
            half.map_or_else(
                || fixed(1000.0 * value, 2),
                |half| plus_minus(1000.0 * value, half),
            )
        };
        let dearer = made.dearer.value();
        format!(
            "{} {currency}, {} {} than bought: {}",
            per_kilogram(made.per_gram.value(), made.half_width.map(|_| per_gram)),
            per_kilogram(dearer.abs(), made.half_width),
            if dearer < 0.0 { "less" } else { "more" },
            choice(made)
        )
    };
    let uncounted = found.uncounted.as_ref().map(of);
    let hours = found.hours.map(|(now, turning)| {
        let (turning, now) = (turns(&turning), fixed(now, 2));
        format!(" Both cost the same at {turning} h of labour a kilogram (now {now}).")
    });
    let quantity = found.quantity.map(|turning| {
        let turning = turns(&turning);
        format!(" With its delivery, buying costs less from {turning} kg on.")
    });
    format!(
        " Made{} a kilogram costs {}{}.{}{}",
        when(campaign.on_spec.is_some(), " to specification"),
        of(&found.counted),
        around("; without own labour ", &uncounted.unwrap_or_default(), ""),
        hours.unwrap_or_default(),
        quantity.unwrap_or_default()
    )
}

/// `0.22 (0.19 to 0.25)`, `0.47 (from 0.31 on)`.
fn turns(turning: &Turning) -> String {
    let digits = |value: f64| fixed(value, decimals_for(value));
    let ends = match turning.high {
        Some(high) => format!("{} to {}", digits(turning.low), digits(high)),
        None => format!("from {} on", digits(turning.low)),
    };
    format!("{} ({ends})", digits(turning.at))
}
