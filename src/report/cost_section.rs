//! Question 9: what did a gram of product cost, against buying it?
//!
//! In: costs. Out: its line on the first screen and its section of the report.
//! This module never adds up a cost.

use super::aim_words::Naming;
use super::cost_tables;
use super::escape::markdown;
use super::money_words::cost_kind;
use super::numbers::{fixed, plain, plus_minus};
use super::print::page::Page;
use super::reasons;
use super::reasons::no_cost;
use super::words::{capital, count};
use crate::decide::{CampaignCost, Costs};
use crate::measured::Measured;
use crate::pipeline::Analysis;

/// Per kilogram, which reads better than per gram, with half the width of its interval.
fn per_kilogram(analysis: &Analysis, costs: &Costs, value: &Measured) -> String {
    let half = costs.sources.expanded(value, analysis.confidence());
    if half > 0.0 {
        plus_minus(1000.0 * value.value(), 1000.0 * half)
    } else {
        fixed(1000.0 * value.value(), 2)
    }
}

pub(super) fn not_counted(costs: &Costs, naming: Naming) -> String {
    let items = costs.not_counted.iter().map(reasons::not_counted);
    let all = items.chain(reasons::without_a_cost(&costs.without_a_cost));
    let items: Vec<String> = all.map(|item| naming(&item)).collect();
    if items.is_empty() {
        return String::new();
    }
    format!(" Not counted: {}.", items.join(", "))
}

/// The answer in a few sentences.
pub(super) fn headline(
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

fn in_words(analysis: &Analysis, costs: &Costs, campaign: &CampaignCost, naming: Naming) -> String {
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

/// Writes the section.
pub(super) fn write(page: &mut Page, analysis: &Analysis) {
    let Some(costs) = &analysis.costs else {
        return;
    };
    page.heading(2, "9 What did a gram of product cost, against buying it?");
    let campaign = match &costs.campaign {
        Ok(campaign) => campaign,
        Err(reason) => {
            page.paragraph(&format!(
                "This cannot be said: {}.{}",
                markdown(&no_cost(reason)),
                not_counted(costs, markdown)
            ));
            return;
        }
    };
    page.paragraph(&format!(
        "{} Over {} with a cost and a yield.{}",
        capital(&in_words(analysis, costs, campaign, markdown)),
        count(campaign.runs, "run"),
        not_counted(costs, markdown)
    ));
    page.table(&cost_tables::of_campaign(costs, campaign));
    page.paragraph("Disposal counts the residue that a run left, less what it took off the shelf. Masses count as exact; the ± holds prices that are stated with one and the content of the product. The cost of each run stands in `tables/costs.csv`.");
}
