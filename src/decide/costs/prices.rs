//! Prices as numbers with their ±.
//!
//! In: `[prices]`, and the sources of uncertainty known so far. Out: [`PriceBook`], each uncertain price a source of its own.
//! This module never multiplies a price by an amount.

use std::collections::BTreeMap;

use crate::campaign::{Campaign, Heat, OffSpec, Price};
use crate::measured::{Distribution, Measured, Sources};

/// The prices of a campaign, ready to be multiplied.
#[derive(Debug, Clone)]
pub struct PriceBook {
    /// Name of the currency.
    pub currency: String,
    /// Feed of a lot without a price of its own [currency/g].
    pub feed: Option<Measured>,
    /// Oxidant [currency/g].
    pub oxidant: Option<Measured>,
    /// Product when bought [currency/g].
    pub product: Option<Measured>,
    /// Delivery of bought product [currency/order].
    pub delivery: Option<Measured>,
    /// Labour [currency/min].
    pub labour: Option<Measured>,
    /// Heat [currency/run].
    pub heat: HeatPrices,
    /// Further reagents, in the order of the campaign file [currency/g].
    pub reagents: Vec<ReagentPrice>,
    /// Products of second elements, in the order of the campaign file [currency/g].
    pub second: Vec<Option<Measured>>,
    /// Getting rid of residue [currency/g].
    pub disposal: Option<Measured>,
    /// What a gram of product off specification brings beside the share of it that counts as product [currency/g]; negative
    /// where that share takes rework.
    pub off_spec: Measured,
    /// Handling of residue in a run that charges it \[min\].
    pub handling: Option<f64>,
    /// Prices of single lots and of mixtures of them by what they are, so that one price has one error.
    lots: BTreeMap<LotPrice, Measured>,
}

/// A price of feed: the lots that a run was charged with, and the bits of what a gram of that mixture costs and its error.
///
/// The same lots mixed in other shares have another price.
type LotPrice = (String, [u64; 2]);

/// The price of a further reagent.
#[derive(Debug, Clone)]
pub struct ReagentPrice {
    /// Column of the runs log with its mass.
    pub column: String,
    /// Its price [currency/g].
    pub price: Measured,
}

/// What heat costs in a run.
#[derive(Debug, Clone)]
pub enum HeatPrices {
    /// It has no price.
    None,
    /// The same for all runs [currency/run].
    Same(Measured),
    /// By the level of a choice [currency/run].
    ByLevel {
        /// The choice.
        factor: String,
        /// Price by level.
        levels: BTreeMap<String, Measured>,
    },
}

/// A price as a number; one that is uncertain becomes a source of its own.
fn number(price: Price, name: &str, sources: &mut Sources) -> Measured {
    if price.uncertainty > 0.0 {
        let name = format!("price of {name}");
        let source = sources.add(name, Distribution::Normal, f64::INFINITY);
        Measured::new(price.value, source, price.uncertainty)
    } else {
        Measured::exact(price.value)
    }
}

impl PriceBook {
    /// The prices of a campaign; `None` without `[prices]`.
    pub(super) fn of(campaign: &Campaign, sources: &mut Sources) -> Option<Self> {
        let stated = campaign.prices.as_ref()?;
        let mut of = |price: Option<Price>, name: &str| price.map(|p| number(p, name, sources));
        Some(Self {
            currency: stated.currency.clone(),
            feed: of(stated.feed, "feed"),
            oxidant: of(stated.oxidant, "oxidant"),
            product: of(stated.product, "product"),
            delivery: of(stated.delivery, "delivery"),
            labour: of(stated.labour, "labour"),
            disposal: of(stated.residue_disposal, "residue disposal"),
            off_spec: match campaign.recycling.as_ref().map(|plan| plan.off_spec) {
                Some(OffSpec::Price(price)) => number(price, "product off specification", sources),
                Some(OffSpec::Rework { cost, .. }) => number(cost, "rework", sources) * -1.0,
                Some(OffSpec::Sold | OffSpec::Worthless) | None => Measured::exact(0.0),
            },
            heat: match &stated.heat {
                None => HeatPrices::None,
                Some(Heat::Same(price)) => HeatPrices::Same(number(*price, "heat", sources)),
                Some(Heat::ByLevel { factor, levels }) => {
                    let levels = levels.iter().map(|level| {
                        let name = format!("heat with {}", level.level);
                        (level.level.clone(), number(level.price, &name, sources))
                    });
                    HeatPrices::ByLevel {
                        factor: factor.clone(),
                        levels: levels.collect(),
                    }
                }
            },
            reagents: stated
                .other
                .iter()
                .map(|other| ReagentPrice {
                    column: other.column.clone(),
                    price: number(other.price, &other.column, sources),
                })
                .collect(),
            second: campaign
                .second
                .iter()
                .map(|of| {
                    Some(number(
                        of.price?,
                        &format!("product of {}", of.element),
                        sources,
                    ))
                })
                .collect(),
            handling: stated.residue_handling,
            lots: BTreeMap::new(),
        })
    }

    /// The price of the feed of a run: that of its lots, else that of the campaign [currency/g].
    pub(super) fn feed_of(
        &mut self,
        own: Option<Price>,
        lot: Option<&str>,
        sources: &mut Sources,
    ) -> Option<Measured> {
        let Some(own) = own else {
            return self.feed.clone();
        };
        let lot = lot.unwrap_or_default();
        let bits = [own.value, own.uncertainty].map(f64::to_bits);
        let price = self.lots.entry((lot.to_string(), bits));
        let new = || number(own, &format!("feed of lot {lot}"), sources);
        Some(price.or_insert_with(new).clone())
    }
}
