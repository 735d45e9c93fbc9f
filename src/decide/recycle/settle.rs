//! How many further runs would settle whether residue pays?
//!
//! In: an open gain, and a planner of further runs. Out: [`Settling`].
//! This module never promises more than further runs can do: what prices and assays leave open, they leave open too.
//!
//! With `g` the gain as estimated and taken for true, `V₀` the variance that the model brings into it now, `V₁` after the
//! new runs joined the old ones, and `W` all other variance, the joined estimate scatters about `g` by
//! `√(V₁ (1 − V₁/V₀))`, because only the new runs are drawn anew. The verdict is settled where it lies further than
//! `t √(V₁ + W)` from zero.
//!
//! # Source
//! Precision-weighted mean of two independent estimates, JCGM 100:2008, annex F.1.2 with 5.2; chance of a firm verdict from the
//! normal distribution of the joined estimate, derived here and checked by simulation.

use super::{Amount, Question};
use crate::decide::next::{grouping, space};
use crate::distributions::{coverage_factor, t_upper};
use crate::regression::{
    BlocksAs, Criterion, FittedModel, PlanContrast, Planner, Settings, Weighted,
};

/// Chance with which the verdict is to be settled.
const POWER: f64 = 0.8;
/// Runs are planned as repeats of a block of so many.
const BLOCK: usize = 6;
/// More than so many times the runs made are not worth it.
const MOST_TIMES: usize = 3;

/// What would settle an open verdict.
#[derive(Debug, Clone, PartialEq)]
pub enum Settling {
    /// So many further runs.
    Runs {
        /// How many.
        runs: usize,
        /// How many of them charge residue.
        charged: usize,
        /// Chance that they settle it, if the gain is as estimated.
        chance: f64,
        /// Their settings.
        settings: Vec<Settings>,
    },
    /// More than three times the runs made; the most that a charged run could gain or lose [currency].
    TooClose {
        /// Runs that would not be enough.
        tried: usize,
        /// End of the interval of the gain that lies further from zero.
        most: f64,
    },
    /// What is open is not about yields: prices, contents and other models alone leave zero in the interval.
    NotByRuns,
    /// It cannot be planned, with the reason.
    Unknown(String),
}

/// A gain that is not settled.
pub(super) struct Open {
    /// The gain.
    pub gain: Amount,
    /// The part of its variance that the model of yield brings in [currency²].
    pub from_model: f64,
    /// Currency per gram of the contrast of yields.
    pub per_gram: f64,
}

/// What would settle an open gain.
pub(super) fn settling(
    question: &Question,
    yields: &FittedModel,
    contrast: &[Weighted],
    factor: &str,
    money: &Open,
) -> Settling {
    let factor_of = |degrees: f64| coverage_factor(question.confidence, degrees);
    let margin = crate::decide::margin(question.campaign, "gain").unwrap_or(0.0);
    let target = Target {
        gain: money.gain.value,
        now: money.from_model,
        other: (money.gain.uncertainty.powi(2) - money.from_model).max(0.0),
        margin,
    };
    if factor_of(f64::INFINITY).is_none_or(|t| target.chance(0.0, t) < POWER) {
        return Settling::NotByRuns;
    }
    match planned(question, yields, contrast) {
        Err(reason) => Settling::Unknown(reason),
        Ok((planner, block)) => {
            let most = MOST_TIMES * yields.runs.len();
            let repeated: Vec<Settings> = block.iter().cycle().take(most).cloned().collect();
            let chance = |runs: usize| {
                let after = planner.known_after(&repeated[..runs], contrast)?;
                let t = factor_of(after.degrees_of_freedom)?;
                let variance = (after.standard_error * money.per_gram).powi(2);
                Some(target.chance(variance, t))
            };
            match (2..=most).find(|runs| chance(*runs).is_some_and(|chance| chance >= POWER)) {
                Some(runs) => {
                    let settings = repeated[..runs].to_vec();
                    let charges = |settings: &&Settings| matches!(settings.get(factor), Some(crate::regression::Setting::Amount(ratio)) if *ratio > 0.0);
                    Settling::Runs {
                        runs,
                        charged: settings.iter().filter(charges).count(),
                        chance: chance(runs).unwrap_or(POWER),
                        settings,
                    }
                }
                None => Settling::TooClose {
                    tried: most,
                    most: if money.gain.high > -money.gain.low {
                        money.gain.high
                    } else {
                        money.gain.low
                    },
                },
            }
        }
    }
}

/// A planner and the best block of runs for the contrast.
fn planned(
    question: &Question,
    yields: &FittedModel,
    contrast: &[Weighted],
) -> Result<(Planner, Vec<Settings>), String> {
    let space = space(question.campaign, question.runs).map_err(|error| error.to_string())?;
    let lots = grouping(question.runs, yields);
    let planner = Planner::of_model(yields, space, lots.as_ref()).map_err(|why| why.to_string())?;
    let criterion = Criterion::Contrasts(vec![PlanContrast {
        weight: 1.0,
        parts: contrast.to_vec(),
    }]);
    let block = planner
        .plan(BLOCK, &[], &criterion, BlocksAs::Random, question.seed)
        .map_err(|why| why.to_string())?;
    Ok((planner, block.runs))
}

/// The gain that is to be settled.
struct Target {
    gain: f64,
    /// Variance that the model of yield brings in now.
    now: f64,
    /// All other variance.
    other: f64,
    /// A gain below it does not matter.
    margin: f64,
}

impl Target {
    /// Chance of a firm verdict when the model brings in this variance and an interval reaches `t` standard errors.
    fn chance(&self, after: f64, t: f64) -> f64 {
        let reach = t * (after + self.other).sqrt();
        let scatter = (after * (1.0 - after / self.now)).max(0.0).sqrt();
        let beyond = |limit: f64, from: f64| {
            if scatter > 0.0 {
                t_upper((limit - from) / scatter, f64::INFINITY).unwrap_or(0.0)
            } else {
                f64::from(u8::from(from > limit))
            }
        };
        let above = beyond(reach, self.gain);
        let below = beyond(reach - self.margin, -self.gain);
        above + below
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_chance_is_that_of_the_joined_estimate() {
        // By hand: V0 = 4, V1 = 1, scatter √(1 · 3/4) = 0.866; (1.96 − 2) / 0.866 = −0.0462, Φ(0.0462) = 0.5184.
        let target = Target {
            gain: 2.0,
            now: 4.0,
            other: 0.0,
            margin: 0.0,
        };
        let chance = target.chance(1.0, 1.96);
        // The other side is ten million times rarer.
        assert!((chance - 0.5184).abs() < 1e-4, "{chance}");
    }

    #[test]
    fn what_runs_cannot_lower_keeps_a_verdict_open() {
        let target = Target {
            gain: 1.0,
            now: 1.0,
            other: 1.0,
            margin: 0.0,
        };
        assert_eq!(target.chance(0.0, 1.96), 0.0);
    }
}
