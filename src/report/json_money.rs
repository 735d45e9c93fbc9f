//! Costs and the worth of residue as JSON.
//!
//! In: answers. Out: the objects `costs` and `recycling`.
//! This module never rounds: the report does it for files that are kept.

use serde_json::{Map, Value, json};

use super::money_words::{cost_kind, figure_key, limit, never, verdict};
use super::reasons;
use crate::decide::{
    Amount, BreakEven, Costs, Cycles, Figure, GainAtLevel, Influence, Money, NoCost, NotCounted,
    Recycling, RecyclingMap, Settling, Unanswered,
};
use crate::measured::Measured;

/// `costs`: of the campaign and of each run; null without prices.
pub fn costs(costs: Option<&Costs>) -> Value {
    let Some(costs) = costs else {
        return Value::Null;
    };
    let measured = |value: &Measured| json!({ "value": value.value(), "u": value.uncertainty() });
    let campaign = match &costs.campaign {
        Err(reason) => json!({ "reason": reasons::no_cost(reason) }),
        Ok(campaign) => json!({
            "runs": campaign.runs,
            "total": measured(&campaign.total),
            "contained": measured(&campaign.contained),
            "per_gram": measured(&campaign.per_gram),
            "on_specification": campaign.on_spec,
            "per_gram_on_specification": campaign.per_gram_on_spec.as_ref().map(measured),
            "gained_by_making": campaign.gained_by_making.as_ref().map(measured),
            "parts": campaign
                .parts
                .iter()
                .map(|part| json!({ "what": cost_kind(part.kind), "cost": measured(&part.cost) }))
                .collect::<Vec<Value>>(),
        }),
    };
    let runs: Vec<Value> = costs
        .runs
        .iter()
        .map(|run| {
            let parts: Map<String, Value> = run
                .parts
                .iter()
                .map(|part| (cost_kind(part.kind).to_string(), json!(part.cost.value())))
                .collect();
            let outcome =
                |outcome: &Result<Measured, NoCost>| outcome.as_ref().map_or(Value::Null, measured);
            json!({
                "run": run.run,
                "total": outcome(&run.total),
                "per_gram": outcome(&run.per_gram),
                "parts": parts,
                "reason": run.per_gram.as_ref().err().map(reasons::no_cost),
            })
        })
        .collect();
    json!({
        "currency": costs.prices.currency,
        "campaign": campaign,
        "runs": runs,
        "not_counted": not_counted(&costs.not_counted),
        "without_a_cost": reasons::without_a_cost(&costs.without_a_cost),
    })
}

fn not_counted(items: &[NotCounted]) -> Value {
    items.iter().map(reasons::not_counted).collect()
}

/// `recycling`: the verdict with everything that it rests on, or what is missing.
pub fn recycling(answer: &Result<Recycling, Unanswered>) -> Value {
    let recycling = match answer {
        Err(missing) => return json!({ "verdict": null, "unanswered": unanswered(missing) }),
        Ok(recycling) => recycling,
    };
    let reference = &recycling.reference;
    let mut object = Map::new();
    let money = recycling.money.as_ref();
    object.insert(
        "verdict".into(),
        json!(money.ok().map(|m| verdict(m.verdict))),
    );
    if let Ok(money) = money {
        self::money(&mut object, money, reference.content_per_assay);
    }
    object.insert(
        "cycles".into(),
        recycling
            .cycles
            .as_ref()
            .map_or_else(|_| json!([]), self::cycles),
    );
    object.insert(
        "loop".into(),
        match &recycling.cycles {
            Ok(cycles) => around(cycles),
            Err(reason) => json!({ "reason": reasons::no_cycles(reason) }),
        },
    );
    object.insert("ratio".into(), json!(reference.ratio));
    object.insert("charged_runs".into(), json!(reference.charged_runs));
    object.insert("extra_product".into(), amount(&recycling.extra_product));
    object.insert("of_promise".into(), amount(&recycling.of_promise));
    object.insert("feed_saved".into(), json!(recycling.feed_saved));
    object.insert(
        "levels".into(),
        recycling.by_level.iter().map(level).collect(),
    );
    object.insert(
        "responses".into(),
        recycling
            .responses
            .iter()
            .map(|response| {
                json!({
                    "response": response.response,
                    "unit": response.unit,
                    "value": response.change.as_ref().ok().map(|change| change.value),
                    "u": response.change.as_ref().ok().map(|change| change.standard_error),
                    "interval": response.change.as_ref().ok().and_then(|change| change.interval)
                        .map(|ends| [ends.low, ends.high]),
                    "reason": response.change.as_ref().err().map(reasons::refusal),
                })
            })
            .collect(),
    );
    let settling = recycling
        .money
        .as_ref()
        .ok()
        .and_then(|money| money.settling.as_ref());
    object.insert(
        "runs_to_settle".into(),
        match settling {
            Some(Settling::Runs { runs, .. }) => json!(runs),
            _ => Value::Null,
        },
    );
    object.insert(
        "settling".into(),
        settling.map_or(Value::Null, self::settling),
    );
    if let Err(missing) = &recycling.money {
        object.insert("unanswered".into(), unanswered(missing));
    }
    Value::Object(object)
}

fn settling(settling: &Settling) -> Value {
    match settling {
        Settling::Runs {
            runs,
            charged,
            chance,
            ..
        } => json!({ "runs": runs, "with_residue": charged, "chance": chance }),
        Settling::TooClose { tried, most } => json!({
            "reason": "too close to be worth settling",
            "not_enough": tried,
            "most": most,
        }),
        Settling::NotByRuns => {
            json!({ "reason": "what runs tell nothing about alone leaves zero in the interval" })
        }
        Settling::Unknown(reason) => json!({ "reason": reasons::not_planned(reason) }),
    }
}

fn unanswered(missing: &Unanswered) -> Value {
    let said = reasons::unanswered(missing);
    json!({ "missing": said.missing, "advice": said.advice, "still": said.still })
}

fn amount(amount: &Amount) -> Value {
    json!({ "value": amount.value, "u": amount.uncertainty, "interval": [amount.low, amount.high] })
}

fn money(object: &mut Map<String, Value>, money: &Money, content_per_assay: f64) {
    object.insert("currency".into(), json!(money.currency));
    object.insert("gain_per_run".into(), amount(&money.gain));
    object.insert("gain_per_kg".into(), amount(&money.per_kilogram));
    object.insert("gain_per_campaign".into(), amount(&money.per_campaign));
    object.insert("chance_positive".into(), json!(money.chance_positive));
    object.insert(
        "terms".into(),
        json!({
            "product": money.terms.product,
            "feed": money.terms.feed,
            "oxidant": money.terms.oxidant,
            "further_reagents": money.terms.reagents,
            "handling": money.terms.handling,
            "disposal": money.terms.disposal,
        }),
    );
    let break_even: Map<String, Value> = money
        .break_even
        .iter()
        .map(|at| {
            (
                figure_key(at.figure).to_string(),
                break_even(at, content_per_assay),
            )
        })
        .collect();
    object.insert("break_even".into(), Value::Object(break_even));
    object.insert(
        "ranking".into(),
        money.ranking.iter().map(influence).collect(),
    );
    object.insert(
        "specification".into(),
        money.worth.as_ref().map_or(Value::Null, |worth| {
            json!({
                "spec": worth.spec,
                "chance_with_residue": worth.with,
                "chance_without": worth.without,
                "counts_as_money": worth.counts,
            })
        }),
    );
    object.insert("map".into(), money.map.as_ref().map_or(Value::Null, map));
    object.insert("not_counted".into(), not_counted(&money.not_counted));
}

/// What turns a figure into the unit that its key stands for.
pub(super) fn shown_scale(figure: Figure, content_per_assay: f64) -> f64 {
    match figure {
        Figure::ResidueContent => 1.0 / content_per_assay,
        Figure::ProductPrice | Figure::FeedPrice | Figure::DisposalPrice => 1000.0,
        _ => 1.0,
    }
}

fn break_even(at: &BreakEven, content_per_assay: f64) -> Value {
    let scale = shown_scale(at.figure, content_per_assay);
    match at.at {
        Err(why) => json!({
            "value": null,
            "interval": null,
            "now": at.now * scale,
            "reason": never(why),
        }),
        Ok(zero) => json!({
            "value": zero * scale,
            "interval": [at.low.map(|low| low * scale), at.high.map(|high| high * scale)],
            "now": at.now * scale,
        }),
    }
}

fn influence(influence: &Influence) -> Value {
    json!({
        "input": figure_key(influence.figure),
        "by_one_u": influence.by_uncertainty,
        "by_a_tenth": influence.by_tenth,
    })
}

fn level(at: &GainAtLevel) -> Value {
    json!({
        "factor": at.factor,
        "level": at.level,
        "extra_product": at.extra_product.as_ref().map_or(Value::Null, amount),
        "gain_per_run": at.gain.as_ref().map(amount),
        "verdict": at.verdict.map(verdict),
        "reason": at.extra_product.as_ref().err().map(reasons::untold),
    })
}

fn cycles(cycles: &Cycles) -> Value {
    cycles
        .cycles
        .iter()
        .map(|cycle| {
            json!({
                "cycle": cycle.cycle,
                "gain": cycle.gain.map(|gain| gain.value),
                "half_width": cycle.gain.map(|gain| gain.half_width),
                "solids": cycle.solids,
                "residue": cycle.residue,
                "assay": cycle.assay,
            })
        })
        .collect()
}

fn around(cycles: &Cycles) -> Value {
    json!({
        "bleed": cycles.bleed,
        "best_bleed": cycles.best_bleed.map(|best| best.bleed),
        "best_bleed_mean_gain": cycles.best_bleed.map(|best| best.mean_gain),
        "turns_at": cycles.turns_at,
        "limited_by": cycles.limited_by.map(limit),
        "steady": cycles.steady.map(|steady| json!({
            "residue": steady.residue,
            "assay": steady.assay,
        })),
        "retained": {
            "element_of_feed": cycles.retained.element.of_feed,
            "element_of_residue": cycles.retained.element.of_residue,
            "inert_of_feed": cycles.retained.inert.of_feed,
            "inert_of_residue": cycles.retained.inert.of_residue,
            "runs": cycles.retained.runs,
        },
    })
}

fn map(map: &RecyclingMap) -> Value {
    json!({
        "residue_assay": map.assay,
        "product_price": map.price,
        "line": map.assays.iter().zip(&map.line)
            .map(|(assay, price)| json!([assay, price]))
            .collect::<Vec<Value>>(),
    })
}
