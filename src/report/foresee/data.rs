//! What is foreseen as data.
//!
//! In: what was foreseen, and the analysis that it rests on. Out: the value under the key `foresee`.
//! This module never rounds.

use serde_json::{Value, json};

use super::{Of, Told, of_crops, of_routes, of_washes, refused};
use crate::foresee::{Foreseen, Route};
use crate::pipeline::Analysis;

/// All that is foreseen; what was not asked for is null or empty.
pub fn foresee(found: &Foreseen, analysis: &Analysis) -> Value {
    let of = Of {
        campaign: &analysis.campaign,
        factor: analysis.coverage_factor(),
    };
    let (crop, wash) = (found.crop.as_ref(), found.wash.as_ref());
    let routes = found.routes.iter();
    json!({
        "crop": crop.map(|crop| with(json!(crop), of_crops::told(crop, &of))),
        "routes": routes.map(|one| route(one, &of)).collect::<Value>(),
        "wash": wash.map(|wash| with(json!(wash), of_washes::told(wash, &of))),
        "cautions": of.cautions(found),
    })
}

/// Figures with what is told beside them.
fn with(mut value: Value, told: Told) -> Value {
    value["barred"] = json!(told.barred);
    value["rests_on"] = json!(told.rests_on);
    value["doubts"] = json!(told.doubts);
    value["tests"] = json!(told.tests);
    value
}

fn route(route: &Route, of: &Of) -> Value {
    let mut value = with(json!(route), of_routes::told(route, of));
    let reason = route.not_told.as_ref();
    value["keeps_reason"] = json!(reason.map(refused::in_words));
    value
}
