//! Chances that each of several settings is the best.
//!
//! In: models of what is aimed at and of purity, and the settings. Out: [`Chances`].
//! This module never lets a route count as best in a draw in which it would not meet the specification.

use crate::decide::aim::{Direction, first_largest};
use crate::decide::specification::Specification;
use crate::regression::{FittedModel, Interval, Refusal, Settings};
use crate::seeded::{Seeded, stream};

/// Draws behind each chance: its standard error is below 0.005.
pub const DRAWS: usize = 10_000;

/// The chances of all settings asked about.
#[derive(Debug, Clone, PartialEq)]
pub struct Chances {
    /// One for each of the settings, in their order.
    pub each: Vec<ChanceOf>,
    /// Chance that none meets the specification often enough.
    pub none_meets: f64,
}

/// The chances of one of the settings.
#[derive(Debug, Clone, PartialEq)]
pub struct ChanceOf {
    /// That it is the best of those that meet the specification often enough.
    pub best: f64,
    /// That it is the best, whatever the purity.
    pub best_without_spec: f64,
    /// That it meets the specification often enough; 1 without one.
    pub allowed: f64,
    /// Share of its new runs that meet the specification, with the confidence of the model of purity.
    pub share: Option<Interval>,
}

/// The chance that each of several settings is the best.
///
/// In each draw of what the true means may be, settings are allowed whose new runs meet the specification with the chance
/// that the user asks for; the best is the allowed one with the best mean. What is aimed at and purity are drawn
/// independently of each other, and the scatter of true purities with their means.
///
/// # Units and shapes
/// None without residual degrees of freedom. The chances of all settings and that of none add up to 1.
/// # Assumes
/// Nothing is known of means and scatter but what the runs tell (flat prior).
/// # Errors
/// As for [`FittedModel::estimate`], for any of the settings and either model.
/// # Source
/// Gelman and others, Bayesian Data Analysis, 3rd ed. 2013, 14.2. Calibrated in `tests/it/coverage/chances.rs`.
pub fn chances(
    goal: &FittedModel,
    direction: Direction,
    settings: &[Settings],
    specification: Option<Specification>,
    draws: usize,
    seed: u64,
) -> Result<Option<Chances>, Refusal> {
    if settings.is_empty() {
        return Ok(None);
    }
    let mut random = Seeded::stream(seed, stream::AIM_OF_ROUTES);
    let goals = goal.draws_of_means(settings, draws, &mut random)?;
    if goals[0].is_empty() {
        return Ok(None);
    }
    let mut allowed = vec![vec![true; draws]; settings.len()];
    let mut shares = vec![None; settings.len()];
    if let Some(specification) = specification {
        let streams = [stream::PURITY_OF_ROUTES, stream::SCATTER_OF_ROUTES];
        let [mut of_means, mut of_scatter] = streams.map(|stream| Seeded::stream(seed, stream));
        let model = specification.purity;
        let drawn = model.draws_of_new_runs(settings, draws, &mut of_means, &mut of_scatter)?;
        for (place, drawn) in drawn.iter().enumerate() {
            if drawn.means.is_empty() {
                return Ok(None);
            }
            allowed[place] = specification.often_enough(drawn);
            shares[place] = specification.share_between(drawn, model.confidence);
        }
    }
    Ok(Some(counted(&goals, direction, &allowed, shares)))
}

fn counted(
    goals: &[Vec<f64>],
    direction: Direction,
    allowed: &[Vec<bool>],
    shares: Vec<Option<Interval>>,
) -> Chances {
    let draws = goals[0].len();
    let mut best = vec![0_usize; goals.len()];
    let mut best_without = vec![0_usize; goals.len()];
    let mut none = 0_usize;
    for draw in 0..draws {
        let gain = |place: &usize| direction.gain(goals[*place][draw]);
        if let Some(place) = first_largest(0..goals.len(), gain) {
            best_without[place] += 1;
        }
        let meeting = (0..goals.len()).filter(|place| allowed[*place][draw]);
        match first_largest(meeting, gain) {
            Some(place) => best[place] += 1,
            None => none += 1,
        }
    }
    let share = |count: usize| count as f64 / draws as f64;
    let each = shares
        .into_iter()
        .enumerate()
        .map(|(place, interval)| ChanceOf {
            best: share(best[place]),
            best_without_spec: share(best_without[place]),
            allowed: share(allowed[place].iter().filter(|allowed| **allowed).count()),
            share: interval,
        })
        .collect();
    Chances {
        each,
        none_meets: share(none),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chances_of_all_and_of_none_add_up_to_one() {
        let goals = vec![vec![1.0, 2.0, 3.0, 4.0], vec![2.0, 1.0, 3.0, 5.0]];
        let allowed = vec![
            vec![true, true, true, false],
            vec![false, true, true, false],
        ];
        let found = counted(&goals, Direction::Up, &allowed, vec![None, None]);
        // Draw by draw: the first alone; the first leads; a tie, which goes to the first; none.
        assert_eq!(found.each[0].best, 0.75);
        assert_eq!(found.each[1].best, 0.0);
        assert_eq!(found.none_meets, 0.25);
        assert_eq!(found.each[1].best_without_spec, 0.5);
        assert_eq!(found.each[0].allowed, 0.75);
    }

    #[test]
    fn the_least_is_best_when_less_is_better() {
        let goals = vec![vec![1.0, 2.0], vec![2.0, 1.0]];
        let allowed = vec![vec![true; 2]; 2];
        let found = counted(&goals, Direction::Down, &allowed, vec![None, None]);
        assert_eq!(found.each[0].best, 0.5);
        assert_eq!(found.each[1].best, 0.5);
    }
}
