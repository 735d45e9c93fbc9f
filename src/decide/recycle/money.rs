//! What is the residue worth, how sure is that, and what moves it?
//!
//! In: the figures of a gain with what they share. Out: [`Money`].
//! This module never counts what has no price.

use super::break_even::{self, Asked, BreakEven};
use super::gain::{Figure, Figures, Gain, gain};
use super::gained::{Gained, gained};
use super::inputs::{Inputs, Models};
use super::map::{self, Map};
use super::not_counted::not_counted;
use super::reference::{Reference, Unanswered};
use super::settle::{Open, Settling, settling};
use super::worth::{self, Worth};
use super::{Amount, Question, Verdict};
use crate::campaign::RecyclingValue;
use crate::decide::costs::NotCounted;

/// Figures that move the gain by less than this part of what the first one does are left out: rounding does as much.
const NO_MATTER: f64 = 1e-9;
/// Each figure is also moved by this share, to tell what it would take to change the gain.
const MOVED: f64 = 0.1;

/// What the residue is worth.
#[derive(Debug, Clone)]
pub struct Money {
    /// Name of the currency.
    pub currency: String,
    /// The verdict.
    pub verdict: Verdict,
    /// Gain per charged run [currency].
    pub gain: Amount,
    /// Chance that it is above zero.
    pub chance_positive: f64,
    /// The terms of the gain at the best estimates.
    pub terms: Gain,
    /// Gain per kilogram of residue [currency/kg].
    pub per_kilogram: Amount,
    /// Gain over all charged runs of the campaign [currency].
    pub per_campaign: Amount,
    /// Where the verdict flips.
    pub break_even: Vec<BreakEven>,
    /// Figures by how much they move the gain, the largest first.
    pub ranking: Vec<Influence>,
    /// Verdicts over residue assay and product price.
    pub map: Option<Map>,
    /// What would settle an open verdict.
    pub settling: Option<Settling>,
    /// What is not counted.
    pub not_counted: Vec<NotCounted>,
    /// Chances of meeting the specification.
    pub worth: Option<Worth>,
}

/// How much one figure moves the gain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Influence {
    /// The figure.
    pub figure: Figure,
    /// Its best estimate, in its own unit.
    pub value: f64,
    /// Its standard uncertainty.
    pub uncertainty: f64,
    /// Change of the gain when the figure moves by one standard uncertainty [currency].
    pub by_uncertainty: f64,
    /// Change of the gain when the figure grows by a tenth of itself [currency].
    pub by_tenth: f64,
}

/// Values the gain of a charged run.
///
/// # Errors
/// The price that is missing.
pub(super) fn money(
    question: &Question,
    models: &Models,
    reference: &Reference,
    inputs: &Inputs,
) -> Result<Money, Unanswered> {
    let gained = gained(question, reference, inputs)?;
    let charged = reference.charged;
    let of = |figures: &Figures| gain(figures, &charged).total();
    let Gained {
        inputs,
        together,
        best,
        slopes,
        gain: found,
        verdict,
        chance_positive,
        worth,
    } = gained;
    let of_else: Vec<f64> = Figure::ALL
        .iter()
        .zip(&slopes)
        .map(|(figure, slope)| {
            if is_price(*figure) || is_worth(*figure) {
                *slope
            } else {
                0.0
            }
        })
        .collect();
    let settling = (verdict == Verdict::NotSettled).then(|| {
        settling(
            question,
            models.yields,
            &reference.contrast(),
            &reference.factor,
            &Open {
                gain: found,
                from_else: together.spread(&of_else).uncertainty.powi(2),
            },
        )
    });
    let costs = question.costs;
    let confidence = question.confidence;
    let counts = worth.as_ref().is_some_and(|worth| worth.counts);
    Ok(Money {
        currency: costs.map_or_else(String::new, |costs| costs.prices.currency.clone()),
        verdict: match settling {
            Some(Settling::TooClose { .. }) => Verdict::TooClose,
            _ => verdict,
        },
        settling,
        chance_positive,
        terms: gain(&best, &charged),
        per_kilogram: found.times(1000.0 / (charged.ratio * gain(&best, &charged).feed_mass)),
        per_campaign: found.times(reference.charged_runs as f64),
        gain: found,
        break_even: break_even::break_evens(
            &inputs,
            &together,
            &charged,
            confidence,
            &asked(&inputs, reference),
        ),
        ranking: ranking(&inputs, &best, &slopes, &of)
            .into_iter()
            .filter(|influence| counts || !is_worth(influence.figure))
            .collect(),
        map: map::map(
            &map::Drawn {
                charged: &charged,
                content_per_assay: reference.content_per_assay,
                confidence,
                margin: question.margin(),
            },
            &inputs,
            &together,
        ),
        not_counted: not_counted(costs, models, reference)
            .into_iter()
            .chain(worth::not_counted(question, worth.as_ref()))
            .collect(),
        worth,
    })
}

/// Whether a figure is a share of product on specification, which counts only where the rest is worth nothing.
fn is_worth(figure: Figure) -> bool {
    matches!(figure, Figure::WorthWith | Figure::WorthWithout)
}

/// Whether a figure is a price, which no run tells more about.
fn is_price(figure: Figure) -> bool {
    matches!(
        figure,
        Figure::ProductPrice
            | Figure::FeedPrice
            | Figure::OxidantPrice
            | Figure::LabourPrice
            | Figure::DisposalPrice
    )
}

/// The figures whose break-even is asked for.
fn asked(inputs: &Inputs, reference: &Reference) -> Vec<Asked> {
    // Where nothing is stated now, a price of 10 a kilogram and an hour's handling stand for what is usual.
    const USUAL_PRICE: f64 = 0.01;
    const USUAL_MINUTES: f64 = 60.0;
    let price = match reference.charged.value {
        RecyclingValue::Product => Figure::ProductPrice,
        RecyclingValue::Feed => Figure::FeedPrice,
    };
    let mut asked = vec![
        Asked {
            figure: Figure::ResidueContent,
            most: reference.content_per_assay,
        },
        Asked::open(inputs, price, USUAL_PRICE),
    ];
    if inputs.get(Figure::LabourPrice).value() > 0.0 {
        asked.push(Asked::open(inputs, Figure::HandlingMinutes, USUAL_MINUTES));
    }
    if inputs.get(Figure::DisposalPrice).value() > 0.0 {
        asked.push(Asked::open(inputs, Figure::DisposalPrice, USUAL_PRICE));
    }
    asked
}

fn ranking(
    inputs: &Inputs,
    best: &Figures,
    slopes: &[f64],
    of: &impl Fn(&Figures) -> f64,
) -> Vec<Influence> {
    let here = of(best);
    let mut found: Vec<Influence> = Figure::ALL
        .iter()
        .zip(slopes)
        .map(|(figure, slope)| {
            let value = best.get(*figure);
            Influence {
                figure: *figure,
                value,
                uncertainty: inputs.get(*figure).uncertainty(),
                by_uncertainty: slope * inputs.get(*figure).uncertainty(),
                by_tenth: of(&best.with(*figure, (1.0 + MOVED) * value)) - here,
            }
        })
        .collect();
    let size = |i: &Influence| i.by_uncertainty.abs().max(i.by_tenth.abs());
    // What does not matter is left with the rounding of the gain.
    let most = found.iter().map(size).fold(0.0, f64::max);
    found.retain(|influence| size(influence) > NO_MATTER * most);
    found.sort_by(|a, b| size(b).total_cmp(&size(a)).then(a.figure.cmp(&b.figure)));
    found
}
