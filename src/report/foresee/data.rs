//! What is foreseen as data.
//!
//! In: what was foreseen, and the analysis that it rests on. Out: the value under the key `foresee`.
//! This module never rounds.

use serde_json::{Value, json};

use super::{Told, of_crops, of_routes, of_washes, refused};
use crate::foresee::{Basis, Crop, Foreseen, Route, Scale, Substance, Wash};
use crate::pipeline::Analysis;

/// All that is foreseen; what was not asked for is null or empty.
pub fn foresee(found: &Foreseen, analysis: &Analysis) -> Value {
    let routes = found.routes.iter().map(|of| route(of, analysis));
    json!({
        "crop": found.crop.as_ref().map(|of| crop(of, analysis)),
        "routes": routes.collect::<Value>(),
        "wash": found.wash.as_ref().map(|of| wash(of, analysis)),
        "cautions": of_routes::cautions(found, analysis),
    })
}

fn measured(value: f64, u: f64) -> Value {
    json!({ "value": value, "u": u })
}

/// A value with what is told beside it.
fn with(mut value: Value, told: &Told) -> Value {
    value["rests_on"] = json!(told.rests_on);
    value["doubts"] = json!(told.doubts);
    value["tests"] = json!(told.tests);
    value
}

fn crop(crop: &Crop, analysis: &Analysis) -> Value {
    let runs = crop.runs.iter().filter(|of| !of.run.is_empty());
    let runs = runs.map(|of| {
        json!({
            "run": of.run,
            "volume": of.volume,
            "holds": of.holds,
            "mass": measured(of.mass, of.uncertainty),
        })
    });
    let barred = crop.bars.iter().map(|bar| of_routes::barred(bar, analysis));
    let value = json!({
        "mass": measured(crop.mass, crop.uncertainty),
        "upper_bound": crop.is_upper_bound(),
        "boil_to": crop.asked.boil_to,
        "chill_to": crop.asked.chill_to,
        "holds": crop.holds,
        "keeps": measured(crop.keeps, crop.keeps_uncertainty),
        "read_hot": crop.read_hot,
        "begins_at": crop.begins_at,
        "runs": runs.collect::<Value>(),
        "smaller": crop.smaller,
        "other_solvents": crop.other_solvents,
        "barred": barred.collect::<Value>(),
    });
    with(value, &of_crops::told(crop, analysis))
}

fn route(route: &Route, analysis: &Analysis) -> Value {
    let expected = route.expected.as_ref();
    let kept = route.kept.as_ref();
    let barred = route.bars.iter();
    let barred = barred.map(|bar| of_routes::barred(bar, analysis));
    let value = json!({
        "route": route.plan.name,
        "runs": route.runs,
        "equation": route.plan.equation.as_ref().map(|of| &of.text),
        "ceiling": route.plan.ceiling,
        "yield": expected.map(|of| json!({ "value": of.value, "u": of.uncertainty })),
        "yield_from": expected.map(|of| match of.basis {
            Basis::Itself => "its own runs",
            Basis::Routes(_) => "other routes",
            Basis::Runs(_) => "all runs",
        }),
        "upper_bound": route.most,
        "short": route.short,
        "theory": route.theory,
        "theory_from": match route.scale {
            Scale::OfRuns(_) => "middle charge",
            Scale::OfProduct => "100 g of product",
        },
        "keeps": kept.and_then(|kept| kept.as_ref().ok()).map(|kept| json!({
            "mass": measured(kept.mass, kept.uncertainty),
            "of_theory": kept.of_theory,
        })),
        "keeps_reason": kept.and_then(|kept| kept.as_ref().err()).map(refused::in_words),
        "needs": substances(&route.needs),
        "gives": substances(&route.gives),
        "time": route.plan.time,
        "barred": barred.collect::<Value>(),
    });
    with(value, &of_routes::told(route, analysis))
}

fn substances(substances: &[Substance]) -> Value {
    let one = |of: &Substance| {
        json!({
            "formula": of.formula,
            "mass": of.mass,
            "gas_volume": of.litres,
            "charged": of.charged,
        })
    };
    substances.iter().map(one).collect()
}

fn wash(wash: &Wash, analysis: &Analysis) -> Value {
    let asked = &wash.asked;
    let value = json!({
        "portions": asked.portions,
        "portion": asked.portion,
        "holds": asked.holds,
        "left": wash.left,
        "left_in_one": wash.left_in_one,
        "held": wash.held.map(|held| json!({
            "mass": measured(held.mass, held.uncertainty),
            "left": held.mass * wash.left,
            "left_in_one": held.mass * wash.left_in_one,
        })),
        "dissolves": wash.dissolves.as_ref().map(|of| json!({
            "mass": measured(of.mass, of.uncertainty),
            "upper_bound": true,
            "temperature": asked.at,
        })),
        "logged": wash.logged.map(|of| json!({
            "runs": of.runs,
            "volume": of.volume,
            "of_theory": of.of_theory,
            "unaccounted": of.unaccounted,
        })),
    });
    with(value, &of_washes::told(wash, analysis))
}
