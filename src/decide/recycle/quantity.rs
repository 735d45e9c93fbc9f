//! What a quantity of product takes, with residue and without.
//!
//! In: the figures of a gain, the quantity. Out: [`ForQuantity`]: runs, cost, labour, and the residue that they need.
//! This module never rounds runs up: a reader sees what is expected, with its interval.

use super::answer::Amount;
use super::case::Case;
use super::gain::{Figure, Figures, gain};
use super::inputs::Inputs;
use crate::campaign::RecyclingValue;

/// What a quantity of product takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ForQuantity {
    /// The quantity \[g\].
    pub quantity: f64,
    /// Runs without residue.
    pub without: Takes,
    /// Runs that charge residue, each as much as the gain is about.
    pub with: Takes,
    /// Residue that the charged runs take in all \[g\].
    pub residue: f64,
    /// What should stand on the shelf \[g\]; None where no run says where its residue came from.
    pub on_the_shelf: Option<f64>,
    /// How many charged runs that is enough for, what they leave themselves not counted.
    pub enough_for: Option<f64>,
}

/// What it takes in one way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Takes {
    /// Number of runs.
    pub runs: Amount,
    /// Their cost \[currency\]; None where a price is missing.
    pub cost: Option<Amount>,
    /// Their labour \[min\]; None where no run logs it.
    pub labour: Option<Amount>,
}

/// What the quantity of `[aim]` takes; None without one, and where no charge can be valued.
///
/// `n = Q / p` runs of `p` grams each, with cost `n·c` and labour `n·l`.
pub(super) fn for_quantity(case: &Case, inputs: &Inputs) -> Option<ForQuantity> {
    let campaign = case.material.campaign;
    let quantity = campaign.aim.quantity?;
    let case = case.valued(RecyclingValue::Runs);
    let is_priced = case.priceless().is_none();
    let charged = case.reference.charged;
    let of_run = |figures: &Figures, with: f64| {
        let found = gain(figures, &charged);
        let more = found.oxidant
            + found.reagents
            + found.labour
            + found.handling
            + found.disposal
            + found.second;
        let of = |figure| figures.get(figure);
        let labour = of(Figure::LabourExtra) + of(Figure::HandlingMinutes);
        [
            found.product_without + with * found.extra_product,
            found.cost_without - with * more,
            of(Figure::RunLabour) + with * labour,
        ]
    };
    let is_logged = inputs.best.get(Figure::RunLabour) > 0.0;
    let takes = |with: f64| {
        let each = |what: usize| {
            inputs.amount(|figures| {
                let of = of_run(figures, with);
                quantity / of[0] * if what == 0 { 1.0 } else { of[what] }
            })
        };
        Takes {
            runs: each(0),
            cost: is_priced.then(|| each(1)),
            labour: is_logged.then(|| each(2)),
        }
    };
    let (without, with) = (takes(0.0), takes(1.0));
    let makes_some = |takes: &Takes| takes.runs.value.is_finite() && takes.runs.value > 0.0;
    if !makes_some(&without) || !makes_some(&with) {
        return None;
    }
    let of_one = charged.ratio * charged.feed_mass;
    let ledger = &case.material.runs.ledger;
    let shelf = (!ledger.is_empty()).then(|| ledger.iter().map(|stock| stock.now()).sum::<f64>());
    Some(ForQuantity {
        quantity,
        residue: with.runs.value * of_one,
        enough_for: shelf.map(|grams| grams / of_one),
        on_the_shelf: shelf,
        without,
        with,
    })
}
