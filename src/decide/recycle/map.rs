//! Verdicts over contents of the residue and prices of the product.
//!
//! In: the figures of a gain. Out: [`Map`]: a verdict for each place of a grid, and the line where the gain is zero.
//! This module never draws: it hands numbers to the charts.

use super::answer::Verdict;
use super::case::Case;
use super::gain::Figure;
use super::inputs::Inputs;
use crate::campaign::RecyclingValue;

/// Places along each side of the grid.
const PLACES: usize = 41;
/// The map reaches so many times as far as the campaign's own point.
const REACH: f64 = 2.0;

/// Verdicts over residue assay and product price, all else as it is.
#[derive(Debug, Clone)]
pub struct Map {
    /// Residue assays [mass fraction].
    pub assays: Vec<f64>,
    /// Product prices [currency/kg].
    pub prices: Vec<f64>,
    /// The verdict at each place, one row a price, from the lowest.
    pub verdicts: Vec<Verdict>,
    /// For each assay the price at which the gain is zero; `None` where no price does that.
    pub line: Vec<Option<f64>>,
    /// The campaign's own assay [mass fraction].
    pub assay: f64,
    /// The campaign's own price [currency/kg].
    pub price: f64,
}

/// Fills the map; `None` where the campaign's own point has no place on it, or no product is valued and no price of the
/// product matters.
pub(super) fn map(case: &Case, inputs: &Inputs) -> Option<Map> {
    if case.reference.charged.value != RecyclingValue::Product {
        return None;
    }
    let content_per_assay = case.reference.content_per_assay;
    let assay = inputs.best.get(Figure::ResidueContent) / content_per_assay;
    let price = inputs.best.get(Figure::ProductPrice);
    if !(assay.is_finite() && assay > 0.0 && price > 0.0) {
        return None;
    }
    let along = |most: f64| -> Vec<f64> {
        (0..PLACES)
            .map(|place| most * place as f64 / (PLACES - 1) as f64)
            .collect()
    };
    let assays = along((REACH * assay).min(1.0));
    let prices = along(REACH * price);
    let margin = case.margin();
    let figures = |assay: f64, price: f64| {
        let content = assay * content_per_assay;
        let best = inputs.best.with(Figure::ResidueContent, content);
        best.with(Figure::ProductPrice, price)
    };
    let verdict = |assay: f64, price: f64| {
        let place = figures(assay, price);
        // The place on the map is exact; what is uncertain about the campaign's own is shown by its mark.
        let half = inputs.half_width(&place, &[Figure::ResidueContent, Figure::ProductPrice]);
        let gain = inputs.gain(&place);
        Verdict::of(gain - half, gain + half, margin)
    };
    let row = |price: &f64| assays.iter().map(|assay| verdict(*assay, *price)).collect();
    let verdicts: Vec<Vec<Verdict>> = prices.iter().map(row).collect();
    let no_gain = |assay: &f64| {
        let of = |price: f64| inputs.gain(&figures(*assay, price));
        let nothing = of(0.0);
        // The gain grows in proportion to the price of the product.
        let slope = (of(price) - nothing) / price;
        let zero = -nothing / slope;
        (zero.is_finite() && zero >= 0.0).then_some(1000.0 * zero)
    };
    Some(Map {
        line: assays.iter().map(no_gain).collect(),
        assays,
        prices: prices.iter().map(|price| 1000.0 * price).collect(),
        verdicts: verdicts.concat(),
        assay,
        price: 1000.0 * price,
    })
}
