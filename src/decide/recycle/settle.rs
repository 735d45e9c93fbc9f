//! Further runs that would settle whether residue pays.
//!
//! In: an open gain, and a planner of further runs. Out: [`Settling`].
//! This module never promises more than further runs can do: what uncertain prices leave open, they leave open too.
//!
//! With `g` the gain as estimated and taken for true, `V₀` the variance that runs bring into it now, `V₁` after the
//! new runs joined the old ones, and `W` that of prices and of chances, the joined estimate scatters about `g` by
//! `√(o V₁ (1 − V₁/V₀))`, because only the new runs are drawn anew. The verdict is settled where it lies further than
//! `t √(a V₁ + W)` from zero. How many times larger than estimated the variance truly is, `o`, and what all runs together
//! will take it for, `a`, nobody knows beforehand: the chance is the mean over both.
//!
//! # Source
//! Precision-weighted mean of two independent estimates, JCGM 100:2008, annex F.1.2 with 5.2; chance of a firm verdict from the
//! normal distribution of the joined estimate, derived here and checked by simulation; for `o` and `a` see
//! [`crate::regression::Forecast::outcomes`].

use super::answer::Amount;
use super::case::Case;
use crate::decide::plannable::{grouping, no_plan, plannable};
use crate::distributions::{coverage_factor, t_upper};
use crate::error::Error;
use crate::regression::{
    After, Barred, BlocksAs, Criterion, NoForecast, Outcome, PlanContrast, Planner, Settings,
};

/// Chance with which the verdict is to be settled.
const POWER: f64 = 0.8;
/// So many runs are planned first; then as many again as there are, each block beside those before.
const BLOCK: usize = 6;
/// Runs planned one by one; more repeat these.
const PLANNED: usize = 48;
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
    /// More than three times the runs made; the most that a charged run could gain or lose \[currency\].
    TooClose {
        /// Runs that would not be enough.
        tried: usize,
        /// End of the interval of the gain that lies further from zero.
        most: f64,
    },
    /// What is open is not about yields: uncertain prices, or how often the specification is met, alone leave zero in the
    /// interval.
    NotByRuns,
    /// It cannot be planned, with the reason.
    Unknown(NotPlanned),
}

/// Why runs that would settle a verdict cannot be planned.
#[derive(Debug, Clone, PartialEq)]
pub enum NotPlanned {
    /// Nothing says where runs may lie.
    NoSpace(Error),
    /// There is no plan.
    NoPlan(Error),
    /// The runs made tell too little of the scatter.
    NoForecast(NoForecast),
}

/// What would settle an open gain; `from_else` is the part of its variance that no run on yield can lower \[currency²\].
///
/// # Assumes
/// The gain is as estimated; the variance that the runs bring in falls as that of the contrast of yields does.
pub(super) fn settling(case: &Case, gain: Amount, from_else: f64) -> Settling {
    let factor_of = |degrees: f64| coverage_factor(case.confidence(), degrees);
    let target = Target {
        gain: gain.value,
        now: (gain.uncertainty.powi(2) - from_else).max(0.0),
        other: from_else,
        margin: case.margin(),
    };
    if factor_of(f64::INFINITY).is_none_or(|t| target.chance(0.0, t, &AS_ESTIMATED) < POWER) {
        return Settling::NotByRuns;
    }
    let planner = match planner(case) {
        Ok(planner) => planner,
        Err(reason) => return Settling::Unknown(reason),
    };
    let contrast = case.contrast();
    let now = planner.known_now(&contrast);
    if let Some(Err(why)) = now.map(|now| now.outcomes()) {
        return Settling::Unknown(NotPlanned::NoForecast(why));
    }
    let outlook = planner.outlook(&contrast);
    let chance = |runs: &After| {
        let after = outlook.after(runs).ok()?;
        let t = factor_of(after.degrees_of_freedom)?;
        let share = (after.standard_error / now?.standard_error).powi(2);
        let outcomes = after.outcomes().ok()?;
        let of = |outcome: &Outcome| outcome.weight * target.chance(share, t, outcome);
        Some(outcomes.iter().map(of).sum::<f64>())
    };
    let criterion = Criterion::Contrasts(vec![PlanContrast {
        weight: 1.0,
        parts: contrast.to_vec(),
    }]);
    let most = MOST_TIMES * case.yields.runs.len();
    let mut runs: Vec<Settings> = Vec::new();
    let mut after = planner.after(&[]);
    while runs.len() < most {
        let before = runs.len();
        if before < PLANNED {
            let more = before.clamp(BLOCK, PLANNED - before);
            let seed = case.material.seed;
            match planner.plan(more, &runs, &criterion, BlocksAs::Random, seed) {
                Ok(planned) => runs.extend(planned.runs),
                Err(why) => return Settling::Unknown(NotPlanned::NoPlan(no_plan(&why))),
            }
        } else {
            // From here on the runs planned are repeated from the first.
            runs.push(runs[before % PLANNED].clone());
        }
        runs.truncate(most);
        let enough = (before + 1..=runs.len()).find_map(|count| {
            after.add(&runs[count - 1]);
            let chance = chance(&after).filter(|chance| *chance >= POWER)?;
            Some((count, chance))
        });
        if let Some((count, chance)) = enough {
            runs.truncate(count);
            let ratio = |run: &Settings| run.amount_of(&case.reference.factor);
            let charges = |run: &&Settings| ratio(run).is_some_and(|ratio| ratio > 0.0);
            return Settling::Runs {
                runs: count,
                charged: runs.iter().filter(charges).count(),
                chance,
                settings: runs,
            };
        }
    }
    Settling::TooClose {
        tried: most,
        most: if gain.high > -gain.low {
            gain.high
        } else {
            gain.low
        },
    }
}

/// A planner of runs beside those of the model of yield.
fn planner(case: &Case) -> Result<Planner, NotPlanned> {
    let (campaign, runs) = (case.material.campaign, case.material.runs);
    let plannable = plannable(campaign, Some(runs)).map_err(NotPlanned::NoSpace)?;
    let mut space = plannable.space;
    // A run at a level that the model cannot tell would tell about that level first.
    for (choice, levels) in case.yields.levels_told() {
        let untold = levels.filter(|(_, told)| !told);
        let never = untold.map(|(level, _)| Barred::default().level(choice, level));
        space.never.extend(never);
    }
    let lots = grouping(runs, case.yields);
    Planner::of_model(case.yields, space, lots.as_ref())
        .map_err(|why| NotPlanned::NoPlan(no_plan(&why)))
}

/// The gain that is to be settled.
struct Target {
    gain: f64,
    /// Variance that runs bring in now, and that falls as that of the yields does.
    now: f64,
    /// Variance that such runs do not lower.
    other: f64,
    /// A gain below it does not matter.
    margin: f64,
}

/// The scatter as the runs made gave it.
const AS_ESTIMATED: Outcome = Outcome {
    scatter: 1.0,
    estimate: 1.0,
    weight: 1.0,
};

impl Target {
    /// Chance of a firm verdict in one outcome, when this share of the variance of the model is left and an interval reaches
    /// `t` standard errors.
    fn chance(&self, share: f64, t: f64, outcome: &Outcome) -> f64 {
        let left = share * self.now;
        let reach = t * (outcome.estimate * left + self.other).sqrt();
        let scatter = (outcome.scatter * left * (1.0 - share)).max(0.0).sqrt();
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
    use crate::regression::Forecast;
    use crate::seeded::Seeded;

    #[test]
    fn the_chance_is_that_of_the_joined_estimate() {
        // By hand: V0 = 4, V1 = 1, scatter √(1 · 3/4) = 0.866; (1.96 − 2) / 0.866 = −0.0462, Φ(0.0462) = 0.5184.
        let target = Target {
            gain: 2.0,
            now: 4.0,
            other: 0.0,
            margin: 0.0,
        };
        let chance = target.chance(0.25, 1.96, &AS_ESTIMATED);
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
        assert_eq!(target.chance(0.0, 1.96, &AS_ESTIMATED), 0.0);
    }

    #[test]
    fn the_chance_is_the_share_of_futures_whose_scatter_is_not_known() {
        let target = Target {
            gain: 2.5,
            now: 1.0,
            other: 0.1,
            margin: 0.0,
        };
        let forecast = Forecast {
            standard_error: 0.5,
            degrees_of_freedom: 11.0,
            known_with: 5.0,
            residual_df: 5,
        };
        // A t table: 2.2010 with 11 degrees of freedom.
        let t = 2.2010;
        let outcomes = forecast.outcomes().unwrap();
        let of = |outcome: &Outcome| outcome.weight * target.chance(0.25, t, outcome);
        let stated: f64 = outcomes.iter().map(of).sum();
        let mut random = Seeded::stream(3, 0);
        let mut squares = |count: u32| (0..count).map(|_| random.normal().powi(2)).sum::<f64>();
        let futures = 40_000;
        let mut settled = 0;
        for _ in 0..futures {
            let scatter = 5.0 / squares(5);
            let estimate = (5.0 + scatter * squares(6)) / 11.0;
            // The new runs alone move the joined estimate; a square of one normal number has lost its sign.
            let away = (scatter * 0.25 * 0.75 * squares(1)).sqrt();
            let reach = t * (0.25 * estimate + 0.1_f64).sqrt();
            let [up, down] = [2.5 + away, 2.5 - away].map(|gain| u32::from(gain.abs() > reach));
            settled += up + down;
        }
        let share = f64::from(settled) / f64::from(2 * futures);
        // Four standard errors of a share of so many.
        assert!((share - stated).abs() < 0.01, "{share} {stated}");
        assert!(stated > 0.5 && stated < 0.95);
    }
}
