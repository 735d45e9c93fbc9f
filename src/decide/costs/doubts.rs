//! Doubts about what is paid.
//!
//! In: a campaign and its costs. Out: [`Caveat`]s.
//! This module never changes a price.

use super::{Costs, HandlingStands};
use crate::campaign::{Campaign, OffSpec, Sold};
use crate::caveat::{Caveat, Doubt, MoneyDoubt};

/// Grams in a kilogram: people read prices per kilogram.
const PER_KILOGRAM: f64 = 1000.0;
/// Two prices that are the same differ by a rounding at most.
const ROUNDING: f64 = 1e-12;

/// What is doubtful about prices and times that the campaign file states.
pub fn doubts_of_money(campaign: &Campaign, costs: &Costs) -> Vec<Caveat> {
    let handling = match costs.labour.handling {
        HandlingStands::Known(_) => None,
        HandlingStands::Unsaid(minutes) => Some(MoneyDoubt::HandlingUnsaid { minutes }),
        HandlingStands::NotLogged => Some(MoneyDoubt::HandlingNotLogged),
    };
    let off_spec = campaign.recycling.as_ref().map(|plan| plan.off_spec);
    let product = costs.prices.product.as_ref();
    let product = product.map(|price| PER_KILOGRAM * price.value());
    let off_spec = match off_spec.zip(product) {
        Some((OffSpec::Price(price), product)) => {
            let off_spec = PER_KILOGRAM * price.value;
            let is_dearer = off_spec > (1.0 + ROUNDING) * product;
            is_dearer.then_some(MoneyDoubt::OffSpecDearer { off_spec, product })
        }
        Some((OffSpec::Rework { cost, loss }, product)) => {
            let (cost, product) = (PER_KILOGRAM * cost.value, (1.0 - loss) * product);
            (cost > product).then_some(MoneyDoubt::ReworkAtALoss { cost, product })
        }
        _ => None,
    };
    let one_by_one = campaign.aim.sold == Sold::CropByCrop && campaign.purity_spec.is_some();
    let one_by_one = one_by_one.then_some(MoneyDoubt::SoldOneByOne);
    let found = handling.into_iter().chain(off_spec).chain(one_by_one);
    let caveats = found.map(|doubt| Caveat::of_campaign(Doubt::Money(doubt)));
    caveats.collect()
}
