//! The routes compared as data.
//!
//! In: the routes. Out: what stands under `routes`; figures in the unit of their model.
//! This module never rounds.

use serde_json::{Value, json};

use super::figures::{estimate, figures, gaps, inside};
use crate::decide::{Aimed, Direction, RouteLead, RouteLevel, Routes};
use crate::report::reasons::{no_mean, refusal};
use crate::result;

/// None where no factor stands for the route.
pub fn routes(routes: Option<&Routes>) -> Option<result::Routes> {
    let routes = routes?;
    let best = &routes.best;
    let beaten = best.beaten.iter();
    let beaten = beaten.map(|pair| json!({ "level": pair.level, "by": pair.by }));
    let differences = routes.lead.iter().map(|other| {
        json!({
            "response": "yield",
            "level": routes.leader,
            "against": other.against,
            "difference": estimate(&other.difference, refusal),
            "simultaneous_interval": other.simultaneous,
            "p": other.adjusted_p,
        })
    });
    Some(result::Routes {
        factor: routes.factor.clone(),
        aim: aim(&routes.aim),
        levels: routes.levels.iter().map(level).collect(),
        verdict: best.standing,
        best: best.level.clone(),
        more: json!({
            "leads": best.leads.iter().map(lead).collect::<Value>(),
            "none_meets": best.none_meets,
            "unbeaten": best.unbeaten,
            "beaten": beaten.collect::<Value>(),
            "differences": differences.collect::<Value>(),
            "missing": gaps(&best.gaps),
            "never_proposed": routes.barred,
        }),
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

fn level(level: &RouteLevel) -> result::RouteLevel {
    let chance = level.chance.as_ref();
    let later_crops = level.later_crops.map(|crops| {
        json!({ "runs": crops.runs, "with_later": crops.with_later, "middle": crops.middle })
    });
    result::RouteLevel {
        level: level.level.clone(),
        runs: level.yields.len(),
        mean_yield: estimate(&level.mean_yield, no_mean),
        of_ceiling: level.of_ceiling.as_ref().map(figures).into(),
        purity: estimate(&level.mean_purity, no_mean),
        cost: estimate(&level.mean_cost, no_mean),
        cost_unit: level.cost_unit.clone(),
        labour: estimate(&level.mean_labour, no_mean),
        more: json!({
            "chance_best": chance.map(|chance| chance.best),
            "chance_best_without_spec": chance.map(|chance| chance.best_without_spec),
            "chance_enough": chance.map(|chance| chance.allowed),
            "chance_spec": level.chance_spec,
            "share_spec": chance.and_then(|chance| chance.share),
            "later_crops": later_crops,
        }),
    }
}

fn lead(lead: &RouteLead) -> Value {
    json!({
        "against": lead.against,
        "gain": lead.gain,
        "interval": lead.simultaneous,
        "p": lead.adjusted_p,
        "within_margin": lead.within_margin.and_then(inside),
        "chance_enough": lead.allowed,
    })
}
