//! `routes` as JSON.
//!
//! In: the routes compared. Out: values with full precision; figures in the unit of their model.
//! This module never rounds.

use serde_json::{Value, json};

use super::json::interval;
use super::reasons::{how_settled, missing, no_mean, refusal, still};
use crate::decide::{Aimed, Direction, Gap, RouteLead, RouteLevel, Routes};
use crate::regression::{EquivalenceVerdict, Estimate};

/// `routes`: null where no factor stands for the route.
pub fn routes(routes: Option<&Routes>) -> Value {
    let Some(routes) = routes else {
        return Value::Null;
    };
    let best = &routes.best;
    json!({
        "factor": routes.factor,
        "aim": aim(&routes.aim),
        "levels": routes.levels.iter().map(level).collect::<Value>(),
        "verdict": how_settled(best.standing),
        "best": best.level,
        "leads": best.leads.iter().map(lead).collect::<Value>(),
        "none_meets": best.none_meets,
        "unbeaten": best.unbeaten,
        "beaten": best.beaten.iter().map(|pair| json!({
            "level": pair.level,
            "by": pair.by,
        })).collect::<Value>(),
        "differences": routes.lead.iter().map(|other| json!({
            "response": "yield",
            "level": routes.leader,
            "against": other.against,
            "difference": estimate(&other.difference, refusal),
            "simultaneous_interval": interval(other.simultaneous),
            "p": other.adjusted_p,
        })).collect::<Value>(),
        "missing": gaps(&best.gaps),
    })
}

/// What "best" means.
pub(super) fn aim(aim: &Aimed) -> Value {
    json!({
        "response": aim.of.name(),
        "unit": aim.unit,
        "direction": match aim.direction {
            Direction::Up => "maximise",
            Direction::Down => "minimise",
        },
        "margin": aim.margin,
        "purity_spec": aim.spec,
        "purity_chance": aim.purity_chance,
    })
}

/// What is missing, and what is answered without it.
pub(super) fn gaps(gaps: &[Gap]) -> Value {
    gaps.iter()
        .map(|gap| json!({ "missing": missing(gap), "still": still(gap) }))
        .collect()
}

/// An estimate, or null figures with the reason.
fn estimate<Reason>(estimate: &Result<Estimate, Reason>, in_words: fn(&Reason) -> String) -> Value {
    match estimate {
        Ok(estimate) => figures(estimate),
        Err(reason) => {
            json!({ "value": null, "u": null, "interval": null, "reason": in_words(reason) })
        }
    }
}

/// Value, standard error and interval.
pub(super) fn figures(estimate: &Estimate) -> Value {
    json!({
        "value": estimate.value,
        "u": estimate.standard_error,
        "interval": interval(estimate.interval),
    })
}

fn level(level: &RouteLevel) -> Value {
    let chance = level.chance.as_ref();
    json!({
        "level": level.level,
        "runs": level.yields.len(),
        "yield": estimate(&level.mean_yield, no_mean),
        "of_ceiling": level.of_ceiling.as_ref().map(figures),
        "purity": estimate(&level.mean_purity, no_mean),
        "cost": estimate(&level.mean_cost, no_mean),
        "cost_unit": level.cost_unit,
        "labour": estimate(&level.mean_labour, no_mean),
        "chance_best": chance.map(|chance| chance.best),
        "chance_best_without_spec": chance.map(|chance| chance.best_without_spec),
        "chance_enough": chance.map(|chance| chance.allowed),
        "chance_spec": level.chance_spec,
        "share_spec": interval(chance.and_then(|chance| chance.share)),
        "later_crops": level.later_crops.map(|crops| json!({
            "runs": crops.runs,
            "with_later": crops.with_later,
            "middle": crops.middle,
        })),
    })
}

fn lead(lead: &RouteLead) -> Value {
    json!({
        "against": lead.against,
        "gain": lead.gain,
        "interval": interval(lead.simultaneous),
        "p": lead.adjusted_p,
        "within_margin": match lead.within_margin {
            Some(EquivalenceVerdict::Inside) => Some(true),
            Some(EquivalenceVerdict::Outside) => Some(false),
            Some(EquivalenceVerdict::NotSettled) | None => None,
        },
        "chance_enough": lead.allowed,
    })
}
