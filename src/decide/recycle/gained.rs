//! What does a charged run gain, and how sure is that?
//!
//! In: the figures of a gain with what they share. Out: [`Gained`]: the gain with its interval, chance and verdict.
//! This module never plans a run and never looks for a break-even.

use super::gain::{Figures, gain};
use super::inputs::{Inputs, gradient};
use super::reference::{Reference, Unanswered};
use super::worth::{self, Worth};
use super::{Amount, Question, Verdict};
use crate::campaign::RecyclingValue;
use crate::measured::Together;
use crate::seeded::Seeded;

/// Draws of the gain; a 2.5 % point from so many is known to about one and a half hundredths of the standard uncertainty.
pub const DRAWS: usize = 40_000;
/// Stream of the draws of figures, and of those of purity.
pub(super) const STREAMS: [u64; 2] = [501, 502];
/// The gain of a charged run.
pub(super) struct Gained {
    /// The figures, chances of meeting the specification among them where they count.
    pub inputs: Inputs,
    /// The same, ready to be combined.
    pub together: Together,
    /// Their best estimates.
    pub best: Figures,
    /// Change of the gain per change of each.
    pub slopes: Vec<f64>,
    /// The gain [currency per charged run].
    pub gain: Amount,
    /// What its interval says.
    pub verdict: Verdict,
    /// Chance that it is above zero.
    pub chance_positive: f64,
    /// Chances of meeting the specification.
    pub worth: Option<Worth>,
}

/// The price that a gain cannot do without.
pub(super) fn priceless(question: &Question, reference: &Reference) -> Option<Unanswered> {
    let Some(costs) = question.costs else {
        return Some(Unanswered::NoPrices);
    };
    let value = reference.charged.value;
    let price = match value {
        RecyclingValue::Product => &costs.prices.product,
        RecyclingValue::Feed => &reference.feed_price,
    };
    price.is_none().then_some(Unanswered::NoPrice(value))
}

/// Works out the gain by propagation, and its interval and chance by seeded draws.
///
/// # Errors
/// The price that is missing.
pub(super) fn gained(
    question: &Question,
    reference: &Reference,
    inputs: &Inputs,
) -> Result<Gained, Unanswered> {
    if let Some(missing) = priceless(question, reference) {
        return Err(missing);
    }
    let charged = reference.charged;
    let confidence = question.confidence;
    let worth = worth::worth(question, reference, DRAWS);
    let counts = worth.as_ref().filter(|worth| worth.counts);
    let of = |figures: &Figures| gain(figures, &charged).total();
    let inputs = match counts {
        Some(worth) => inputs.clone().worth(worth),
        None => inputs.clone(),
    };
    let together = inputs.together();
    let best = inputs.best();
    let slopes = gradient(&inputs, &best, &of);
    let degrees = together.spread(&slopes).degrees_of_freedom;
    let mut random = Seeded::stream(question.seed, STREAMS[0]);
    let mut gains: Vec<f64> = together
        .draws(DRAWS, degrees, &mut random)
        .iter()
        .enumerate()
        .map(|(draw, values)| {
            let mut figures = Figures::from(|figure| values[figure as usize]);
            if let Some(worth) = counts {
                figures = worth.drawn(figures, draw);
            }
            of(&figures)
        })
        .collect();
    let above = gains.iter().filter(|gain| **gain > 0.0).count();
    let chance_positive = above as f64 / gains.len() as f64;
    gains.sort_by(f64::total_cmp);
    let tail = (1.0 - confidence) / 2.0;
    let [low, high] = [tail, 1.0 - tail].map(|share| quantile(&gains, share));
    let found = Amount {
        value: of(&best),
        uncertainty: together.spread(&slopes).uncertainty,
        low,
        high,
    };
    Ok(Gained {
        verdict: Verdict::of(low, high, question.margin()),
        gain: found,
        inputs,
        together,
        best,
        slopes,
        chance_positive,
        worth,
    })
}

/// The value below which a share of sorted numbers lies, between two of them by proportion.
fn quantile(sorted: &[f64], share: f64) -> f64 {
    let place = share * (sorted.len() - 1) as f64;
    let below = place.floor() as usize;
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + (place - below as f64) * (sorted[above] - sorted[below])
}
