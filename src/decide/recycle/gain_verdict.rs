//! The gain of a charged run with its interval, chance and verdict.
//!
//! In: the figures of a gain with what they share. Out: [`Gained`].
//! This module never plans a run and never looks for a break-even.

use super::answer::{Amount, Unanswered, Untold, Verdict};
use super::case::Case;
use super::gain::Figures;
use super::inputs::Inputs;
use super::meeting_specification::{DRAWS_OF_SPREAD, Worth, counts, worth};
use crate::seeded::{Seeded, stream};

/// Draws of the gain; a 2.5 % point from so many is known to about one and a half hundredths of the standard uncertainty.
pub const DRAWS: usize = 40_000;

/// The gain of a charged run.
pub(super) struct Gained {
    /// The figures, chances of meeting the specification among them where they count.
    pub inputs: Inputs,
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

/// The figures of a charge.
///
/// # Errors
/// Why a charged run cannot be told from one without residue.
pub(super) fn inputs(case: &Case, worth: Option<&Worth>) -> Result<Inputs, Unanswered> {
    let cannot_be_told = |why: Untold| Unanswered::CannotBeTold {
        factor: case.reference.factor.clone(),
        residual_df: case.yields.residual_df,
        why,
    };
    Inputs::of(case, worth).map_err(cannot_be_told)
}

/// Works out the gain by propagation, and its interval and chance by seeded draws.
///
/// The standard uncertainty is `√(gᵀ C g)`, with `g` the derivatives of the gain by its figures and `C` their covariance; the
/// ends of the interval are points of the drawn gains, which need not lie alike about the best estimate.
///
/// # Errors
/// The price that is missing, and as [`inputs`].
/// # Source
/// JCGM 100:2008, 5.2.2 (propagation); JCGM 101:2008, 7.7 (ends of an interval from draws).
pub(super) fn gained(case: &Case) -> Result<Gained, Unanswered> {
    if let Some(missing) = case.priceless() {
        return Err(missing);
    }
    let draws = match counts(case) {
        true => DRAWS,
        false => DRAWS_OF_SPREAD,
    };
    let worth = worth(case, draws);
    let counted = worth.as_ref().filter(|worth| worth.counts);
    let inputs = inputs(case, counted)?;
    let slopes = inputs.gradient(&inputs.best, &|figures| inputs.gain(figures));
    let spread = inputs.together.spread(&slopes);
    let mut random = Seeded::stream(case.material.seed, stream::GAIN_OF_RESIDUE);
    let drawn = inputs
        .together
        .draws(DRAWS, spread.degrees_of_freedom, &mut random);
    let of_draw = |(draw, values): (usize, &Vec<f64>)| {
        let figures = Figures::from(|figure| values[figure as usize]);
        inputs.gain(&counted.map_or(figures, |worth| worth.drawn(figures, draw)))
    };
    let mut gains: Vec<f64> = drawn.iter().enumerate().map(of_draw).collect();
    gains.sort_by(f64::total_cmp);
    let above = gains.iter().filter(|gain| **gain > 0.0).count();
    let tail = (1.0 - case.confidence()) / 2.0;
    let gain = Amount {
        value: inputs.gain(&inputs.best),
        uncertainty: spread.uncertainty,
        low: quantile(&gains, tail),
        high: quantile(&gains, 1.0 - tail),
    };
    Ok(Gained {
        verdict: Verdict::of(gain.low, gain.high, case.margin()),
        gain,
        inputs,
        slopes,
        chance_positive: above as f64 / gains.len() as f64,
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
