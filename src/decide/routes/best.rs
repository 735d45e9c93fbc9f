//! Which route is best for the purpose, and how sure is that?
//!
//! In: the aim, the routes with their means and chances, and all pairs compared. Out: [`BestRoute`].
//! This module never calls a lead settled while a route that may be better may also meet the specification.

use super::NoMean;
use super::RouteLevel;
use super::level::{Asked, between};
use crate::decide::aimed::{Aimed, Gap, HowSettled, gaps};
use crate::regression::{Comparison, EquivalenceVerdict, Estimate, Interval, equivalence};

/// The route that is best for the aim.
#[derive(Debug, Clone)]
pub struct BestRoute {
    /// The route with the best mean among those that meet the specification often enough; None where none does.
    pub level: Option<String>,
    /// It against each other route, on the response that is aimed at.
    pub leads: Vec<RouteLead>,
    /// What it comes to.
    pub standing: HowSettled,
    /// Chance that no route meets the specification often enough.
    pub none_meets: Option<f64>,
    /// Routes that another one beats on yield, purity and cost together, as far as there are means.
    pub beaten: Vec<Beaten>,
    /// Routes that none beats.
    pub unbeaten: Vec<String>,
    /// What is missing, and what is answered without it.
    pub gaps: Vec<Gap>,
}

/// The best route against another one.
#[derive(Debug, Clone)]
pub struct RouteLead {
    /// The other route.
    pub against: String,
    /// How much better the best one is, in the unit of what is aimed at, positive for the better.
    pub gain: f64,
    /// Interval of the gain that allows for all pairs of routes.
    pub simultaneous: Option<Interval>,
    /// Chance of such a difference by luck, all pairs counted together.
    pub adjusted_p: Option<f64>,
    /// Whether the difference lies within the margin that does not matter, where one is stated.
    pub within_margin: Option<EquivalenceVerdict>,
    /// Chance that the other route meets the specification often enough; None where that is not asked.
    pub allowed: Option<f64>,
}

/// A route that another one beats.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Beaten {
    /// The route.
    pub level: String,
    /// The route that is as good or better on all counts, and better on one.
    pub by: String,
}

pub(super) fn best(
    asked: &Asked,
    aim: &Aimed,
    levels: &[RouteLevel],
    pairs: &[Comparison],
    none_meets: Option<f64>,
) -> BestRoute {
    let gain = |level: &RouteLevel| {
        let mean = asked.mean(&aim.of, &level.level).ok()?;
        Some(aim.direction.gain(mean.value))
    };
    let asks_purity = aim.spec.is_some() && asked.models.purity().is_some();
    let meets = |level: &RouteLevel| {
        !asks_purity
            || level
                .chance_spec
                .is_some_and(|chance| chance >= aim.purity_chance)
    };
    let level = levels
        .iter()
        .filter(|level| meets(level))
        .filter_map(|level| Some((gain(level)?, level)))
        .fold(
            None,
            |found: Option<(f64, &RouteLevel)>, next| match found {
                Some(other) if other.0 >= next.0 => Some(other),
                _ => Some(next),
            },
        )
        .map(|(_, level)| level);
    let leads = level.map_or_else(Vec::new, |best| {
        let others = levels.iter().filter(|other| other.level != best.level);
        others
            .filter_map(|other| lead(asked, aim, best, other, pairs))
            .collect()
    });
    let mut gaps = gaps(aim, asked.models);
    gaps.extend(too_few(levels));
    let luck = asked
        .models
        .model(&aim.of)
        .map_or(0.05, |model| 1.0 - model.confidence);
    let beaten = beaten(levels);
    BestRoute {
        standing: level.map_or(HowSettled::NotSettled, |best| {
            standing(best, levels, &leads, luck)
        }),
        level: level.map(|level| level.level.clone()),
        leads,
        none_meets,
        unbeaten: levels
            .iter()
            .filter(|level| level.mean_yield.is_ok())
            .map(|level| level.level.clone())
            .filter(|name| !beaten.iter().any(|beaten| beaten.level == *name))
            .collect(),
        beaten,
        gaps,
    }
}

fn too_few(levels: &[RouteLevel]) -> Option<Gap> {
    let run: Vec<&RouteLevel> = levels.iter().filter(|l| !l.yields.is_empty()).collect();
    match run.as_slice() {
        [only] => Some(Gap::OneRoute(only.level.clone())),
        _ => None,
    }
}

fn lead(
    asked: &Asked,
    aim: &Aimed,
    best: &RouteLevel,
    other: &RouteLevel,
    pairs: &[Comparison],
) -> Option<RouteLead> {
    let pairs: Vec<&Comparison> = pairs.iter().collect();
    let pair = between(&pairs, &best.level, &other.level)?;
    let within_margin = aim.margin.and_then(|margin| {
        let model = asked.models.model(&aim.of)?;
        let (one, against) = (asked.at(&best.level), asked.at(&other.level));
        Some(equivalence(model, &one, &against, margin).ok()?.verdict)
    });
    Some(RouteLead {
        against: other.level.clone(),
        gain: aim.direction.gain(pair.value),
        simultaneous: pair.interval.map(|ends| {
            let ends = [aim.direction.gain(ends.low), aim.direction.gain(ends.high)];
            Interval {
                low: ends[0].min(ends[1]),
                high: ends[0].max(ends[1]),
            }
        }),
        adjusted_p: pair.p,
        within_margin,
        allowed: other
            .chance
            .as_ref()
            .filter(|_| aim.spec.is_some() && asked.models.purity().is_some())
            .map(|chance| chance.allowed),
    })
}

/// Settled when every other route is worse beyond luck or is nearly sure to miss the specification, and the best one is
/// nearly sure to meet it; alike when all that may meet it lie within the margin.
fn standing(
    best: &RouteLevel,
    levels: &[RouteLevel],
    leads: &[RouteLead],
    luck: f64,
) -> HowSettled {
    let sure = best
        .chance
        .as_ref()
        .is_some_and(|chance| chance.allowed >= 1.0 - luck);
    // A route without a lead to it is one that cannot be told.
    let all_told = leads.len() + 1 == levels.len() && !leads.is_empty();
    let out = |lead: &RouteLead| lead.allowed.is_some_and(|allowed| allowed <= luck);
    let behind = |lead: &RouteLead| lead.gain > 0.0 && lead.adjusted_p.is_some_and(|p| p < luck);
    let alike = |lead: &RouteLead| lead.within_margin == Some(EquivalenceVerdict::Inside);
    if !sure || !all_told {
        return HowSettled::NotSettled;
    }
    if leads.iter().all(|lead| out(lead) || behind(lead)) {
        HowSettled::Settled
    } else if leads
        .iter()
        .all(|lead| out(lead) || behind(lead) || alike(lead))
    {
        HowSettled::Alike
    } else {
        HowSettled::NotSettled
    }
}

/// Routes that another one beats on all counts of which both have means.
fn beaten(levels: &[RouteLevel]) -> Vec<Beaten> {
    let counts = |level: &RouteLevel| -> Vec<Option<f64>> {
        let value = |mean: &Result<Estimate, NoMean>| mean.as_ref().ok().map(|mean| mean.value);
        vec![
            value(&level.mean_yield),
            value(&level.mean_purity),
            value(&level.mean_cost).map(|cost| -cost),
        ]
    };
    let beats = |one: &RouteLevel, other: &RouteLevel| {
        let (one, other) = (counts(one), counts(other));
        let both: Vec<f64> = one
            .iter()
            .zip(&other)
            .filter_map(|(one, other)| Some((*one)? - (*other)?))
            .collect();
        // Without two counts in common one route is only ahead of the other, which the leads say already.
        both.len() > 1
            && both.iter().all(|more| *more >= 0.0)
            && both.iter().any(|more| *more > 0.0)
    };
    levels
        .iter()
        .filter_map(|level| {
            let by = levels.iter().find(|other| beats(other, level))?;
            Some(Beaten {
                level: level.level.clone(),
                by: by.level.clone(),
            })
        })
        .collect()
}
