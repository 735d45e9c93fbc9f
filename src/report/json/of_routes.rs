//! The routes compared as data.
//!
//! In: the routes. Out: what stands under `routes`; figures in the unit of their model.
//! This module never rounds.

use super::{ends, estimate, figures, standing};
use crate::decide::{Aimed, Direction, Gap, RouteLead, RouteLevel, Routes};
use crate::regression::EquivalenceVerdict;
use crate::report::reasons::{missing, no_mean, refusal, still};
use crate::result;

/// None where no factor stands for the route.
pub fn routes(routes: Option<&Routes>) -> Option<result::Routes> {
    let routes = routes?;
    let best = &routes.best;
    let beaten = best.beaten.iter().map(|pair| result::Beaten {
        level: pair.level.clone(),
        by: pair.by.clone(),
    });
    let differences = routes.lead.iter().map(|other| result::Difference {
        response: "yield",
        level: routes.leader.clone(),
        against: other.against.clone(),
        difference: estimate(&other.difference, refusal),
        simultaneous_interval: ends(other.simultaneous),
        p: other.adjusted_p,
    });
    Some(result::Routes {
        factor: routes.factor.clone(),
        aim: aim(&routes.aim),
        levels: routes.levels.iter().map(level).collect(),
        verdict: standing(best.standing),
        best: best.level.clone(),
        leads: best.leads.iter().map(lead).collect(),
        none_meets: best.none_meets,
        unbeaten: best.unbeaten.clone(),
        beaten: beaten.collect(),
        differences: differences.collect(),
        missing: gaps(&best.gaps),
    })
}

/// What "best" means.
pub(super) fn aim(aim: &Aimed) -> result::Aim {
    result::Aim {
        response: aim.of.name().into(),
        unit: aim.unit.clone(),
        direction: match aim.direction {
            Direction::Up => "maximise",
            Direction::Down => "minimise",
        },
        margin: aim.margin,
        purity_spec: aim.spec,
        purity_chance: aim.purity_chance,
    }
}

/// What is missing, and what is answered without it.
pub(super) fn gaps(gaps: &[Gap]) -> Vec<result::Gap> {
    gaps.iter()
        .map(|gap| result::Gap {
            missing: missing(gap),
            still: still(gap),
        })
        .collect()
}

fn level(level: &RouteLevel) -> result::RouteLevel {
    let chance = level.chance.as_ref();
    result::RouteLevel {
        level: level.level.clone(),
        runs: level.yields.len(),
        mean_yield: estimate(&level.mean_yield, no_mean),
        of_ceiling: level.of_ceiling.as_ref().map(figures),
        purity: estimate(&level.mean_purity, no_mean),
        cost: estimate(&level.mean_cost, no_mean),
        cost_unit: level.cost_unit.clone(),
        labour: estimate(&level.mean_labour, no_mean),
        chance_best: chance.map(|chance| chance.best),
        chance_best_without_spec: chance.map(|chance| chance.best_without_spec),
        chance_enough: chance.map(|chance| chance.allowed),
        chance_spec: level.chance_spec,
        share_spec: ends(chance.and_then(|chance| chance.share)),
        later_crops: level.later_crops.map(|crops| result::LaterCrops {
            runs: crops.runs,
            with_later: crops.with_later,
            middle: crops.middle,
        }),
    }
}

fn lead(lead: &RouteLead) -> result::RouteLead {
    result::RouteLead {
        against: lead.against.clone(),
        gain: lead.gain,
        interval: ends(lead.simultaneous),
        p: lead.adjusted_p,
        within_margin: match lead.within_margin {
            Some(EquivalenceVerdict::Inside) => Some(true),
            Some(EquivalenceVerdict::Outside) => Some(false),
            Some(EquivalenceVerdict::NotSettled) | None => None,
        },
        chance_enough: lead.allowed,
    }
}
