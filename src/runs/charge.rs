//! Charge of a run, in grams and money's worth: what went in and what stayed on the filter.
//!
//! In: a row of the runs log with the residue that it left, and the lots. Out: [`Charge`].
//! This module never works out a yield or a cost, and never fills in a mass that was not logged.

use std::collections::BTreeMap;

use super::results::Charge;
use crate::campaign::{Campaign, Price};
use crate::caveat::{About, Caveat, Doubt};
use crate::intake::{Logged, RunRow};

/// Prices of single lots [currency/g].
pub(super) type LotPrices = BTreeMap<String, Price>;

/// The prices that the lots log states; one that cannot be read leaves a doubt and is not used.
pub(super) fn lot_prices(logged: &Logged, caveats: &mut Vec<Caveat>) -> LotPrices {
    let mut prices = LotPrices::new();
    for lot in &logged.lots {
        let Some(price) = &lot.price else { continue };
        match &price.read {
            Ok(price) => {
                prices.insert(lot.lot.clone(), *price);
            }
            Err(fault) => caveats.push(Caveat {
                about: About::Lot(lot.lot.clone()),
                doubt: Doubt::PriceOfLotNotReadable {
                    file: lot.place.file.to_string(),
                    line: lot.place.line,
                    text: price.text.clone(),
                    fault: fault.clone(),
                },
            }),
        }
    }
    prices
}

/// What the row of a run names; assays and content are added where there is chemistry.
pub(super) fn charge_of(
    campaign: &Campaign,
    logged: &Logged,
    row: &RunRow,
    position: usize,
    prices: &LotPrices,
) -> Charge {
    let reagent = |column: &str| {
        let kept = logged.runs.column(column)?;
        kept.number(campaign, position, Some("g")).ok()?
    };
    let priced = campaign.prices.iter().flat_map(|prices| &prices.other);
    Charge {
        feed_mass: row.feed_mass.map(|mass| mass.value),
        feed_price: mixed_price(row, prices),
        oxidant_mass: row.oxidant_mass.map(|mass| mass.value),
        residue_mass: row.residue_mass.map_or(0.0, |mass| mass.value),
        liquor_in: row.liquor_in.map_or(0.0, |volume| volume.value),
        reagents: priced.map(|other| reagent(&other.column)).collect(),
        ..Charge::default()
    }
}

/// The price of the feed of a run [currency/g]: that of its lots by their shares, or none where a lot has none.
///
/// `p = Σ sⱼ·pⱼ` and `u = √(Σ (sⱼ·uⱼ)²)`, with shares `s` and prices `p` of the lots.
///
/// # Assumes
/// Prices of two lots are independent of each other.
/// # Source
/// JCGM 100:2008, 5.1.2.
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
