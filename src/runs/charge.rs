//! What went into a run and what stayed on the filter, in grams and money's worth?
//!
//! In: a row of the runs log with the residue that it left, and the lots. Out: [`Charge`].
//! This module never works out a yield or a cost, and never fills in a mass that was not logged.

use std::collections::BTreeMap;

use super::Outcome;
use crate::campaign::{Campaign, Decimal, Price};
use crate::caveat::{About, Caveat, Doubt};
use crate::intake::{Logged, RunRow};

/// What went into a run and what stayed on the filter.
#[derive(Debug, Clone, Default)]
pub struct Charge {
    /// Fresh feed [g].
    pub feed_mass: Option<f64>,
    /// Its assay [mass fraction]; `None` without chemistry.
    pub feed_assay: Option<Outcome>,
    /// What its lots cost, where all of them have a price of their own [currency/g].
    pub feed_price: Option<Price>,
    /// Oxidant [g].
    pub oxidant_mass: Option<f64>,
    /// Residue charged [g]; 0 when the log names none.
    pub residue_mass: f64,
    /// Product that the residue charged can give [g]; `None` without residue.
    pub residue_theory: Option<Outcome>,
    /// Residue taken out [g].
    pub residue_out: Option<f64>,
    /// Further reagents with a price, in the order of `[prices] other` [g]; `None` where the cell is empty or no number.
    pub reagents: Vec<Option<f64>>,
}

/// Prices of single lots [currency/g].
pub(super) type LotPrices = BTreeMap<String, Price>;

/// The prices that the lots log states; one that cannot be read leaves a doubt and is not used.
pub(super) fn lot_prices(
    campaign: &Campaign,
    logged: &Logged,
    caveats: &mut Vec<Caveat>,
) -> LotPrices {
    let mut prices = LotPrices::new();
    for lot in &logged.lots {
        let Some(text) = &lot.price else { continue };
        let plain = match campaign.logs.decimal {
            Decimal::Comma => text.replace(',', "."),
            Decimal::Point => text.clone(),
        };
        match Price::per_kilogram_unless_stated(&plain) {
            Ok(price) => {
                prices.insert(lot.lot.clone(), price);
            }
            Err(fault) => caveats.push(Caveat {
                about: About::Lot(lot.lot.clone()),
                doubt: Doubt::PriceOfLotNotReadable {
                    file: lot.file.clone(),
                    line: lot.line,
                    text: text.clone(),
                    fault: fault.to_string(),
                },
            }),
        }
    }
    prices
}

impl Charge {
    /// What the row of a run names; assays and content are added where there is chemistry.
    pub(super) fn of(
        campaign: &Campaign,
        logged: &Logged,
        row: &RunRow,
        position: usize,
        prices: &LotPrices,
        residue_out: Option<f64>,
    ) -> Self {
        let reagent = |column: &str| {
            let kept = logged.runs.column(column)?;
            kept.number(campaign, position, Some("g")).ok()?
        };
        let priced = campaign.prices.iter().flat_map(|prices| &prices.other);
        Self {
            feed_mass: row.feed_mass.map(|mass| mass.value),
            feed_assay: None,
            feed_price: mixed_price(row, prices),
            oxidant_mass: row.oxidant_mass.map(|mass| mass.value),
            residue_mass: row.residue_mass.map_or(0.0, |mass| mass.value),
            residue_theory: None,
            residue_out,
            reagents: priced.map(|other| reagent(&other.column)).collect(),
        }
    }
}

/// The price of the feed of a run: that of its lots by their shares, or none where a lot has none.
fn mixed_price(row: &RunRow, prices: &LotPrices) -> Option<Price> {
    let mut lots = row.lots.iter();
    let first = lots.next()?;
    let of = |lot: &str, share: f64| {
        prices.get(lot).map(|price| Price {
            value: share * price.value,
            uncertainty: share * price.uncertainty,
            ..*price
        })
    };
    lots.try_fold(of(&first.lot, first.share)?, |sum, share| {
        let next = of(&share.lot, share.share)?;
        Some(Price {
            value: sum.value + next.value,
            uncertainty: sum.uncertainty.hypot(next.uncertainty),
            ..sum
        })
    })
}
