//! Question 9 in short: what a kilogram of product cost, against buying it.
//!
//! In: costs, and the routes where there are several. Out: the answer for the first screen, names as they were logged.
//! This module never adds up a cost.

use super::words::choice;
use crate::decide::{CampaignCost, Costs, Made, Routes};
use crate::measured::Measured;
use crate::pipeline::Analysis;
use crate::report::print::cost_names::cost_kind;
use crate::report::print::{Brief, Shown, around, fixed, joined, percent, plain, plus_minus};
use crate::report::reasons;

/// What a kilogram cost, over all and by route, and what of it.
pub fn short(analysis: &Analysis, costs: &Costs, campaign: &CampaignCost, brief: &mut Brief) {
    let currency = &costs.prices.currency;
    let per_kilogram = |value: &Measured| {
        let half = 1000.0 * costs.sources.expanded(value, analysis.confidence());
        match half > 0.0 {
            true => plus_minus(1000.0 * value.value(), half),
            false => fixed(1000.0 * value.value(), 2),
        }
    };
    let bought = costs.prices.product.as_ref();
    let bought = bought.filter(|_| campaign.gained_by_making.is_some());
    let bought = bought.map(|bought| format!(", {} to buy", plain(1000.0 * bought.value())));
    let total = campaign.total.value();
    let first = campaign.parts.first().filter(|_| total > 0.0).map(|first| {
        let share = percent(first.cost.value() / total, 0);
        format!("; {} is {share}", cost_kind(first.kind))
    });
    let unit = format!("{currency}/kg");
    let routes = analysis.findings.routes.as_ref();
    // A mean over routes that differ is the cost of none of them, so they come first.
    let of_all = match routes.and_then(by_route) {
        Some(routes) => format!(
            "{routes} {unit}; together {}",
            per_kilogram(&campaign.per_gram)
        ),
        None => format!("{} {unit}", per_kilogram(&campaign.per_gram)),
    };
    let [bought, first] = [bought, first].map(Option::unwrap_or_default);
    brief.say(&format!("{of_all}{bought}{first}"));
    let items = costs.not_counted.iter().map(reasons::not_counted);
    let all: Vec<String> = items
        .chain(reasons::without_a_cost(&costs.without_a_cost))
        .collect();
    let whole = around("not counted: ", &joined(&all, ", "), "");
    match all.split_first() {
        Some((first, more)) if !brief.fits(&whole) => {
            brief.say(&format!("not counted: {first} and {} more", more.len()));
        }
        _ => brief.say(&whole),
    }
    if let Some(found) = &campaign.make_or_buy {
        let of = |made: &Made| format!("{}: {}", per_kilogram(&made.per_gram), choice(made));
        let uncounted = found.uncounted.as_ref().map(of).unwrap_or_default();
        let uncounted = around("; without own labour ", &uncounted, "");
        let made = match campaign.on_spec {
            Some(_) => "to specification",
            None => "made",
        };
        return brief.say(&format!("{made} {}{uncounted}", of(&found.counted)));
    }
    // Where all product meets the specification that is the same figure.
    let on_spec = campaign.per_gram_on_spec.as_ref();
    if let Some(on_spec) = on_spec.filter(|_| campaign.on_spec.is_some_and(|share| share < 1.0)) {
        brief.say(&format!(
            "to specification alone, {}",
            per_kilogram(on_spec)
        ));
    }
}

/// Routes that are named.
const MOST_ROUTES: usize = 4;

/// `chill 29.1 ± 1.2, spirit 37.0 ± 1.3`; nothing of fewer than two.
fn by_route(routes: &Routes) -> Option<String> {
    let known = routes.levels.iter().filter_map(|level| {
        let shown = Shown::per_kilogram(&level.cost_unit);
        let mean = shown.mean(level.mean_cost.as_ref().ok()?).in_unit("");
        Some(format!("{} {mean}", level.level))
    });
    let known: Vec<String> = known.take(MOST_ROUTES).collect();
    (known.len() > 1).then(|| joined(known, ", "))
}
