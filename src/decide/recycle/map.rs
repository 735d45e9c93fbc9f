//! Over which contents and prices does the residue pay?
//!
//! In: the figures of a gain. Out: [`Map`]: a verdict for each place of a grid, and the line where the gain is zero.
//! This module never draws: it hands numbers to the charts.

use super::Verdict;
use super::gain::{Charged, Figure, Figures, gain};
use super::inputs::{Inputs, gradient};
use crate::campaign::RecyclingValue;
use crate::measured::Together;

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

/// What a map is drawn for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Drawn<'a> {
    pub charged: &'a Charged,
    /// Product that a gram of the formula of assays can give [g/g].
    pub content_per_assay: f64,
    pub confidence: f64,
    /// The gain that would matter in practice [currency].
    pub margin: f64,
}

/// Fills the map; `None` where the campaign's own point has no place on it, or fresh feed is valued and no price of the
/// product matters.
pub(super) fn map(drawn: &Drawn, inputs: &Inputs, together: &Together) -> Option<Map> {
    let Drawn {
        charged,
        content_per_assay,
        confidence,
        margin,
    } = *drawn;
    if charged.value == RecyclingValue::Feed {
        return None;
    }
    let best = inputs.best();
    let assay = best.get(Figure::ResidueContent) / content_per_assay;
    let price = best.get(Figure::ProductPrice);
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
    let of = |figures: &Figures| gain(figures, charged).total();
    let figures = |assay: f64, price: f64| {
        best.with(Figure::ResidueContent, assay * content_per_assay)
            .with(Figure::ProductPrice, price)
    };
    let verdict = |assay: f64, price: f64| {
        let place = figures(assay, price);
        let mut slopes = gradient(inputs, &place, &of);
        // The place on the map is exact; what is uncertain about the campaign's own is shown by its mark.
        slopes[Figure::ResidueContent as usize] = 0.0;
        slopes[Figure::ProductPrice as usize] = 0.0;
        let half = together.spread(&slopes).expanded(confidence);
        Verdict::of(of(&place) - half, of(&place) + half, margin)
    };
    let verdicts = prices
        .iter()
        .flat_map(|price| assays.iter().map(move |assay| (*assay, *price)))
        .map(|(assay, price)| verdict(assay, price))
        .collect();
    let line = assays
        .iter()
        .map(|assay| {
            let (nothing, some) = (of(&figures(*assay, 0.0)), of(&figures(*assay, price)));
            // The gain grows in proportion to the price of the product.
            let slope = (some - nothing) / price;
            let zero = -nothing / slope;
            (zero.is_finite() && zero >= 0.0).then_some(1000.0 * zero)
        })
        .collect();
    Some(Map {
        assays,
        prices: prices.iter().map(|price| 1000.0 * price).collect(),
        verdicts,
        line,
        assay,
        price: 1000.0 * price,
    })
}
