//! Residue that goes round, and when to charge it, as data.
//!
//! In: cycles and policies. Out: what stands under `loop` and `policies` of `recycling`.
//! This module never rounds.

use serde_json::{Value, json};

use super::figures::amount;
use crate::decide::{BuildUp, Cycles, Policies, When};
use crate::report::print::cost_names::limit;
use crate::report::print::json::rows;
use crate::report::recycling;

/// The loop in which residue goes round.
pub(super) fn around(cycles: &Cycles) -> Value {
    let retained = &cycles.retained;
    let steady = cycles.steady;
    json!({
        "bleed": cycles.bleed,
        "best_bleed": cycles.best_bleed.map(|best| best.bleed),
        "best_bleed_mean_gain": cycles.best_bleed.map(|best| best.mean_gain),
        "turns_at": cycles.turns_at,
        "limited_by": cycles.limited_by.map(limit),
        "steady": steady.map(|run| json!({ "residue": run.residue, "assay": run.assay })),
        "build_up": build_up(&cycles.build_up),
        "kept_by_route": rows(&recycling::table::kept_by_route(cycles)),
        "retained": {
            "element_of_feed": retained.element.of_feed,
            "element_of_residue": retained.element.of_residue,
            "inert_of_feed": retained.inert.of_feed,
            "inert_of_residue": retained.inert.of_residue,
            "runs": retained.runs,
        },
    })
}

fn build_up(all: &[BuildUp]) -> Value {
    let all = all.iter().map(|of| {
        json!({
            "impurity": of.name,
            "runs": of.runs,
            "without": of.without[0],
            "cycles": of.cycles.iter().map(|cycle| cycle[0]).collect::<Value>(),
            "half_widths": of.cycles.iter().map(|cycle| cycle[1]).collect::<Value>(),
            "passes_at": of.passes_at,
        })
    });
    all.collect()
}

/// Gain a run and a month of each way to charge.
pub(super) fn policies(policies: &Policies) -> Value {
    let each = policies.each.iter().map(|of| {
        let charges = of.charges.iter().map(|charge| {
            json!({
                "run": charge.run,
                "residue": charge.residue,
                "assay": charge.assay,
                "gain": charge.gain,
            })
        });
        json!({
            "every": match of.when {
                When::Every(runs) => json!(runs),
                When::Full => json!("when full"),
            },
            "bleed": of.bleed,
            "runs": of.runs,
            "gain_per_run": amount(&of.gain),
            "gain_per_month": policies.runs_a_month.map(|runs| amount(&of.gain.times(runs))),
            "chance_best": of.chance_best,
            "cycles": charges.collect::<Value>(),
        })
    });
    each.collect()
}
