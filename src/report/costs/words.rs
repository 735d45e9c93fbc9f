//! Question 9 in words: what a gram of product cost, against buying it.
//!
//! In: costs, and how names are made harmless. Out: sentences and pieces of them.
//! This module never adds up a cost.

use crate::decide::{CampaignCost, Costs};
use crate::measured::Measured;
use crate::pipeline::Analysis;
use crate::report::print::money_words::cost_kind;
use crate::report::print::{Naming, fixed, plain, plus_minus};
use crate::report::reasons;

/// Per kilogram, which reads better than per gram, with half the width of its interval.
fn per_kilogram(analysis: &Analysis, costs: &Costs, value: &Measured) -> String {
    let half = costs.sources.expanded(value, analysis.confidence());
    if half > 0.0 {
        plus_minus(1000.0 * value.value(), 1000.0 * half)
    } else {
        fixed(1000.0 * value.value(), 2)
    }
}

/// What is not counted, as a sentence with a blank before it.
pub fn not_counted(costs: &Costs, naming: Naming) -> String {
    let items = costs.not_counted.iter().map(reasons::not_counted);
    let all = items.chain(reasons::without_a_cost(&costs.without_a_cost));
    let items: Vec<String> = all.map(|item| naming(&item)).collect();
    if items.is_empty() {
        return String::new();
    }
    format!(" Not counted: {}.", items.join(", "))
}

/// The answer in a few sentences.
pub fn headline(
    analysis: &Analysis,
    costs: &Costs,
    campaign: &CampaignCost,
    naming: Naming,
) -> String {
    format!(
        "{}{}",
        in_words(analysis, costs, campaign, naming),
        not_counted(costs, naming)
    )
}

/// What a kilogram cost, without what is not counted.
pub fn in_words(
    analysis: &Analysis,
    costs: &Costs,
    campaign: &CampaignCost,
    naming: Naming,
) -> String {
    let currency = naming(&costs.prices.currency);
    let mut text = format!(
        "{} {currency} a kilogram of contained product",
        per_kilogram(analysis, costs, &campaign.per_gram)
    );
    if let Some(gained) = &campaign.gained_by_making
        && let Some(bought) = &costs.prices.product
    {
        let side = if gained.value() < 0.0 { "more" } else { "less" };
        let size = if gained.value() < 0.0 {
            gained.clone() * -1.0
        } else {
            gained.clone()
        };
        text.push_str(&format!(
            ", {} {currency} {side} than the {} {currency} that it costs to buy",
            per_kilogram(analysis, costs, &size),
            plain(1000.0 * bought.value())
        ));
    }
    if let Some(first) = campaign.parts.first()
        && campaign.total.value() > 0.0
    {
        text.push_str(&format!(
            "; {} takes {} % of it",
            cost_kind(first.kind),
            fixed(100.0 * first.cost.value() / campaign.total.value(), 0)
        ));
    }
    text.push('.');
    if let (Some(share), Some(per_gram)) = (campaign.on_spec, &campaign.per_gram_on_spec) {
        text.push_str(&format!(
            " {} % of the product came from runs that met the specification; counting that alone, a kilogram cost {} {currency}.",
            fixed(100.0 * share, 0),
            per_kilogram(analysis, costs, per_gram)
        ));
    }
    text
}
