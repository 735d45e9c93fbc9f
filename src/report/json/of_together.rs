//! What several campaigns say together, as data.
//!
//! In: what was found. Out: the values under the keys `together` and `answers`.
//! This module never rounds.

use serde_json::{Value, json};

use super::figures::{caveats, slips};
use super::of_models::models;
use crate::regression::Interval;
use crate::report::together::words::{because, effects, reason, standing, to_do, what};
use crate::result::{CampaignHead, WholeResult};
use crate::together::{NotPooled, OfResponse, SharedEffect, Together};

/// The whole result; the head counts the runs of all campaigns.
pub fn together(found: &Together, head: CampaignHead) -> WholeResult {
    let responses = || found.responses.iter();
    let of_models =
        responses().flat_map(|of| models([&of.model], std::slice::from_ref(&of.further)));
    let doubts: Vec<_> = responses().flat_map(|of| of.caveats.clone()).collect();
    WholeResult {
        campaign: head,
        answers: Some(responses().map(answer).collect()),
        together: Some(json!({
            "campaigns": found.titles,
            "models": of_models.collect::<Vec<_>>(),
            "differs": responses().flat_map(differs).collect::<Value>(),
            "effects": responses().flat_map(|of| of.effects.iter().map(move |effect| one(found, of, effect))).collect::<Value>(),
            "runs": responses().map(|of| json!({ "response": of.model.response, "used": of.runs })).collect::<Value>(),
            "not_pooled": found.not_pooled.iter().map(|not| left(found, not)).collect::<Value>(),
        })),
        caveats: caveats(&doubts),
        slips: slips(&doubts),
        ..WholeResult::default()
    }
}

fn answer(of: &OfResponse) -> Value {
    let mut why: Vec<_> = of.effects.iter().flat_map(|effect| &effect.why).collect();
    why.dedup();
    let mut lifts: Vec<&str> = Vec::new();
    for one in why.iter().map(|why| to_do(**why)) {
        if !lifts.contains(&one) {
            lifts.push(one);
        }
    }
    json!({
        "question": format!("3 {}", of.model.response),
        "status": standing(of),
        "headline": effects(of).join(" "),
        "figures": of.effects.iter().filter_map(|effect| {
            let term = effect.common.as_ref()?;
            Some(json!({
                "what": "effect",
                "about": effect.name.to_string(),
                "value": term.value,
                "interval": term.interval.map(ends),
                "unit": of.model.unit,
            }))
        }).collect::<Value>(),
        "reason": why.first().map(|why| reason(**why)),
        "doubts": [],
        "to_do": lifts,
        "otherwise": [],
    })
}

fn differs(of: &OfResponse) -> impl Iterator<Item = Value> + '_ {
    let luck = 1.0 - of.model.confidence;
    of.differs.iter().map(move |differing| {
        json!({
            "response": of.model.response,
            "term": differing.factors.join(" with "),
            "factors": differing.factors,
            "p": differing.p,
            "p_for_all": differing.corrected,
            "differs": differing.corrected.map(|p| p < luck),
            "may_differ": differing.may_differ,
        })
    })
}

fn one(found: &Together, of: &OfResponse, effect: &SharedEffect) -> Value {
    let own = found.titles.iter().zip(&effect.own);
    let own = own.filter_map(|(title, own)| {
        let own = own.as_ref()?;
        Some(json!({
            "campaign": title,
            "value": own.value,
            "u": own.standard_error,
            "interval": own.interval.map(ends),
        }))
    });
    let across = effect.across.as_ref().map(|across| {
        json!({
            "value": across.value,
            "u": across.uncertainty,
            "interval": effect.across_interval.map(ends),
            "campaigns": across.estimates,
            "between": across.between.sqrt(),
            "q": across.q,
            "q_p": across.chance(),
        })
    });
    json!({
        "response": of.model.response,
        "term": effect.name.to_string(),
        "pieces": effect.name,
        "common": effect.common.as_ref().map(|term| json!({
            "value": term.value,
            "u": term.standard_error,
            "interval": term.interval.map(ends),
        })),
        "own": own.collect::<Value>(),
        "across": across,
        "status": effect.status,
        "reasons": effect.why.iter().map(|why| reason(*why)).collect::<Value>(),
        "to_do": effect.why.iter().map(|why| to_do(*why)).collect::<Value>(),
    })
}

fn left(found: &Together, not: &NotPooled) -> Value {
    let title = found.titles.get(not.campaign).map_or("", String::as_str);
    json!({
        "what": what(&not.what),
        "campaign": title,
        "file": not.place.file.to_string(),
        "line": not.place.line,
        "reason": because(title, not),
    })
}

fn ends(interval: Interval) -> [f64; 2] {
    [interval.low, interval.high]
}
