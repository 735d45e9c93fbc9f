//! The route that is best for the aim, and how sure that is.
//!
//! In: the aim, the routes with their means and chances, and all pairs compared. Out: [`BestRoute`].
//! This module never calls a lead settled while a route that may be better may also meet the specification.

use super::one_route::{Asked, NoMean, RouteLevel, between};
use crate::decide::aim::{Gap, HowSettled, first_largest, gaps, times};
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
    /// The other routes that may still be better than it by more than what does not matter, and meet the specification.
    pub open: Vec<String>,
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

impl RouteLead {
    /// Whether the other route is nearly sure to miss the specification.
    fn is_out(&self, luck: f64) -> bool {
        self.allowed.is_some_and(|allowed| allowed <= luck)
    }

    /// Whether the difference lies within what does not matter.
    fn is_alike(&self) -> bool {
        self.within_margin == Some(EquivalenceVerdict::Inside)
    }

    /// Whether the other route may be better by more than the margin.
    fn may_be_better(&self, luck: f64, margin: f64) -> bool {
        let beyond = self.simultaneous.is_none_or(|ends| ends.low < -margin);
        beyond && !self.is_out(luck) && !self.is_alike()
    }
}

/// A route that another one beats.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Beaten {
    /// The route.
    pub level: String,
    /// The route that is as good or better on all counts, and better on one.
    pub by: String,
}

/// The best route against all others.
pub(super) fn best(asked: &Asked, levels: &[RouteLevel], none_meets: Option<f64>) -> BestRoute {
    let (aim, models) = (asked.aim, asked.material.models);
    let gain = |level: &RouteLevel| {
        let mean = asked.mean(&aim.of, &level.level).ok()?;
        Some(aim.direction.gain(mean.value))
    };
    let often_enough = |chance: Option<f64>| chance.is_some_and(|c| c >= aim.purity_chance);
    let meeting = levels
        .iter()
        .filter(|level| asked.specification.is_none() || often_enough(level.chance_spec));
    let judged = meeting.filter_map(|level| Some((gain(level)?, level)));
    let level = first_largest(judged, |(gain, _)| *gain).map(|(_, level)| level);
    let pairs = asked.pairs();
    let leads: Vec<RouteLead> = level.map_or_else(Vec::new, |best| {
        let others = levels.iter().filter(|other| other.level != best.level);
        others
            .filter_map(|other| lead(asked, best, other, &pairs))
            .collect()
    });
    let luck = models
        .model(&aim.of)
        .map_or(0.0, |model| 1.0 - model.confidence);
    let standing = level.map(|best| standing(best, levels, &leads, luck));
    let open = |other: &&RouteLevel| {
        // A route without a lead to it is one that cannot be told.
        let mut leads = leads.iter();
        let lead = leads.find(|lead| lead.against == other.level);
        lead.is_none_or(|lead| lead.may_be_better(luck, aim.margin.unwrap_or(0.0)))
    };
    let others = level.map_or_else(Vec::new, |best| {
        let others = levels.iter().filter(|other| other.level != best.level);
        others.filter(open).collect()
    });
    let open = others.iter().map(|other| other.level.clone()).collect();
    let beaten = beaten(levels);
    let told = levels.iter().filter(|level| level.mean_yield.is_ok());
    BestRoute {
        standing: standing.unwrap_or(HowSettled::NotSettled),
        open,
        level: level.map(|level| level.level.clone()),
        leads,
        none_meets,
        unbeaten: told
            .map(|level| level.level.clone())
            .filter(|name| !beaten.iter().any(|beaten| beaten.level == *name))
            .collect(),
        beaten,
        gaps: gaps(aim, models)
            .into_iter()
            .chain(too_few(levels))
            .collect(),
    }
}

fn too_few(levels: &[RouteLevel]) -> Option<Gap> {
    let mut run = levels.iter().filter(|level| !level.yields.is_empty());
    let first = run.next()?;
    run.next()
        .is_none()
        .then(|| Gap::OneRoute(first.level.clone()))
}

fn lead(
    asked: &Asked,
    best: &RouteLevel,
    other: &RouteLevel,
    pairs: &[Comparison],
) -> Option<RouteLead> {
    let (aim, models) = (asked.aim, asked.material.models);
    let pair = between(pairs, &best.level, &other.level)?;
    let within = |margin: f64| {
        let (one, against) = (asked.at(&best.level), asked.at(&other.level));
        let found = equivalence(models.model(&aim.of)?, &one, &against, margin);
        Some(found.ok()?.verdict)
    };
    let chance = other
        .chance
        .as_ref()
        .filter(|_| asked.specification.is_some());
    Some(RouteLead {
        against: other.level.clone(),
        gain: aim.direction.gain(pair.value),
        simultaneous: pair
            .interval
            .map(|ends| times(ends, aim.direction.gain(1.0))),
        adjusted_p: pair.p,
        within_margin: aim.margin.and_then(within),
        allowed: chance.map(|chance| chance.allowed),
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
    let chance = best.chance.as_ref();
    let sure = chance.is_some_and(|chance| chance.allowed >= 1.0 - luck);
    // A route without a lead to it is one that cannot be told.
    let all_told = leads.len() + 1 == levels.len() && !leads.is_empty();
    let behind = |lead: &RouteLead| lead.gain > 0.0 && lead.adjusted_p.is_some_and(|p| p < luck);
    if !sure || !all_told {
        return HowSettled::NotSettled;
    }
    let mut open = leads
        .iter()
        .filter(|lead| !lead.is_out(luck) && !behind(lead))
        .peekable();
    if open.peek().is_none() {
        HowSettled::Settled
    } else if open.all(RouteLead::is_alike) {
        HowSettled::Alike
    } else {
        HowSettled::NotSettled
    }
}

/// Routes that another one beats on all counts of which both have means.
fn beaten(levels: &[RouteLevel]) -> Vec<Beaten> {
    let value = |mean: &Result<Estimate, NoMean>| mean.as_ref().ok().map(|mean| mean.value);
    let counts = |level: &RouteLevel| {
        [
            value(&level.mean_yield),
            value(&level.mean_purity),
            value(&level.mean_cost).map(|cost| -cost),
        ]
    };
    let beats = |one: &RouteLevel, other: &RouteLevel| {
        let both = counts(one).into_iter().zip(counts(other));
        let both: Vec<f64> = both
            .filter_map(|(one, other)| Some(one? - other?))
            .collect();
        // Without two counts in common one route is only ahead of the other, which the leads say already.
        both.len() > 1
            && both.iter().all(|more| *more >= 0.0)
            && both.iter().any(|more| *more > 0.0)
    };
    let beaten = levels.iter().filter_map(|level| {
        let by = levels.iter().find(|other| beats(other, level))?;
        Some(Beaten {
            level: level.level.clone(),
            by: by.level.clone(),
        })
    });
    beaten.collect()
}
