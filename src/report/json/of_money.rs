//! Costs and the worth of residue as data.
//!
//! In: answers. Out: what stands under `costs` and `recycling`.
//! This module never rounds: the report does it for files that are kept.

use serde_json::{Map, Value, json};

use super::figures::amount;
use super::of_cycles::{around, policies};
use crate::decide::{
    BreakEven, CampaignCost, CarriedGain, Choice, Claim, Costs, Firmness, ForQuantity, GainAtLevel,
    Made, MakeOrBuy, Money, NotCounted, Otherwise, Outcome, Recycling, RecyclingMap,
    RecyclingVerdict, ResponseChange, RunCost, Settling, Takes, Turning, Unanswered, ValuedAs,
};
use crate::report::print::cost_names::{
    cost_kind, figure_key, handling_key, never, shown_scale, way_key,
};
use crate::report::print::json::rows;
use crate::report::reasons::{self, no_cost};
use crate::report::recycling;
use crate::result::{self, Measured};

/// Of the campaign and of each run; null without prices.
pub fn costs(costs: Option<&Costs>) -> Value {
    let Some(costs) = costs else {
        return Value::Null;
    };
    json!({
        "currency": costs.prices.currency,
        "campaign": match &costs.campaign {
            Err(reason) => json!({ "reason": no_cost(reason) }),
            Ok(campaign) => campaign_cost(campaign),
        },
        "runs": costs.runs.iter().map(run_cost).collect::<Value>(),
        "not_counted": not_counted(&costs.not_counted),
        "without_a_cost": reasons::without_a_cost(&costs.without_a_cost),
    })
}

fn campaign_cost(campaign: &CampaignCost) -> Value {
    let parts = campaign
        .parts
        .iter()
        .map(|part| json!({ "what": cost_kind(part.kind), "cost": Measured::from(&part.cost) }));
    json!({
        "runs": campaign.runs,
        "total": Measured::from(&campaign.total),
        "contained": Measured::from(&campaign.contained),
        "per_gram": Measured::from(&campaign.per_gram),
        "on_specification": campaign.on_spec,
        "per_gram_on_specification": campaign.per_gram_on_spec.as_ref().map(Measured::from),
        "make_or_buy": campaign.make_or_buy.as_ref().map(make_or_buy),
        "gained_by_making": campaign.gained_by_making.as_ref().map(Measured::from),
        "parts": parts.collect::<Value>(),
    })
}

fn make_or_buy(found: &MakeOrBuy) -> Value {
    let made = |made: &Made| {
        let (dearer, half) = (made.dearer.value(), made.half_width);
        json!({
            "per_gram": Measured::from(&made.per_gram),
            "more_than_buying": {
                "value": dearer,
                "u": half.map(|_| made.dearer.uncertainty()),
                "interval": half.map(|half| [dearer - half, dearer + half]),
            },
            "choice": match made.choice {
                Choice::Make => "make",
                Choice::Buy => "buy",
                Choice::Open | Choice::NotAllCounted => "not settled",
            },
        })
    };
    let turning = |of: &Turning| json!({ "value": of.at, "interval": [Some(of.low), of.high] });
    json!({
        "with_labour": made(&found.counted),
        "without_labour": found.uncounted.as_ref().map(made),
        "hours_now": found.hours.map(|(now, _)| now),
        "hours": found.hours.map(|(_, of)| turning(&of)),
        "quantity": found.quantity.as_ref().map(turning),
    })
}

fn not_counted(items: &[NotCounted]) -> Vec<String> {
    items.iter().map(reasons::not_counted).collect()
}

fn run_cost(run: &RunCost) -> Value {
    let parts = run.parts.iter();
    let parts: Map<String, Value> = parts
        .map(|part| (cost_kind(part.kind).into(), json!(part.cost.value())))
        .collect();
    json!({
        "run": run.run,
        "total": run.total.as_ref().ok().map(Measured::from),
        "per_gram": run.per_gram.as_ref().ok().map(Measured::from),
        "parts": parts,
        "reason": run.per_gram.as_ref().err().map(no_cost),
    })
}

/// The verdict with everything that it rests on, or what is missing.
pub fn recycling(answer: &Result<Recycling, Unanswered>, firmness: &Firmness) -> result::Recycling {
    let recycling = match answer {
        Err(missing) => {
            return result::Recycling {
                verdict: None,
                money: None,
                more: json!({ "unanswered": unanswered(missing) }),
            };
        }
        Ok(recycling) => recycling,
    };
    let reference = &recycling.reference;
    let money = recycling.money.as_ref();
    let settling = money.ok().and_then(|money| money.settling.as_ref());
    let mut more = json!({
        "cycles": rows(&recycling::table::cycles(recycling)),
        "loop": match &recycling.cycles {
            Ok(cycles) => around(cycles),
            Err(reason) => json!({ "reason": reasons::no_cycles(reason) }),
        },
        "policies": recycling.cycles.as_ref().ok().and_then(|cycles| Some(policies(cycles.policies.as_ref()?))),
        "ratio": reference.ratio,
        "charged_runs": reference.charged_runs,
        "extra_product": amount(&recycling.extra_product),
        "of_promise": amount(&recycling.of_promise),
        "feed_saved": recycling.feed_saved,
        "levels": recycling.by_level.iter().map(level).collect::<Value>(),
        "responses": recycling.responses.iter().map(response).collect::<Value>(),
        "runs_to_settle": match settling {
            Some(Settling::Runs { runs, .. }) => Some(*runs),
            _ => None,
        },
        "settling": settling.map(self::settling),
        "without": without(firmness, money.ok().map(|money| money.verdict)),
    });
    if let Err(missing) = money {
        more["unanswered"] = unanswered(missing);
    }
    result::Recycling {
        verdict: money.ok().map(|money| money.verdict),
        money: money
            .ok()
            .map(|money| self::money(money, reference.content_per_assay)),
        more,
    }
}

/// What mother liquor carried on brings, or what is missing; null where no run charged any.
pub fn liquor(found: Option<&Result<CarriedGain, Unanswered>>) -> Value {
    match found {
        None => Value::Null,
        Some(Err(missing)) => json!({ "reason": reasons::liquor_untold(missing) }),
        Some(Ok(found)) => json!({
            "ratio": found.reference.ratio,
            "charged_runs": found.reference.charged_runs,
            "extra_product": amount(&found.extra_product),
            "gain_per_run": amount(&found.gain),
            "verdict": found.verdict,
            "ways": ways(&found.ways),
        }),
    }
}

fn ways(ways: &[ValuedAs]) -> Map<String, Value> {
    let ways = ways.iter().map(|of| {
        let way = json!({ "verdict": of.verdict, "gain_per_run": amount(&of.gain) });
        (way_key(of.value).into(), way)
    });
    ways.collect()
}

/// The verdict without each doubted run: the same, the opposite, or not settled.
fn without(firmness: &Firmness, verdict: Option<RecyclingVerdict>) -> Value {
    let held = firmness
        .of(Claim::Residue)
        .into_iter()
        .flat_map(|of| &of.held);
    let without = held.filter_map(|held| {
        let Otherwise::Without(left_out) = &held.how else {
            return None;
        };
        let verdict = match (held.outcome, verdict?) {
            (Outcome::Stands, same) => same,
            (Outcome::Reversed, RecyclingVerdict::Pays) => RecyclingVerdict::DoesNotPay,
            (Outcome::Reversed, RecyclingVerdict::DoesNotPay) => RecyclingVerdict::Pays,
            _ => RecyclingVerdict::NotSettled,
        };
        Some(json!({ "left_out": left_out, "verdict": verdict }))
    });
    without.collect()
}

fn response(response: &ResponseChange) -> Value {
    let change = response.change.as_ref();
    json!({
        "response": response.response,
        "unit": response.unit,
        "value": change.ok().map(|change| change.value),
        "u": change.ok().and_then(|change| change.standard_error),
        "interval": change.ok().and_then(|change| change.interval),
        "reason": change.err().map(reasons::refusal),
    })
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
        Settling::NotByRuns => json!({
            "reason": "what runs tell nothing about alone leaves zero in the interval",
        }),
        Settling::Unknown(reason) => json!({ "reason": reasons::not_planned(reason) }),
    }
}

fn unanswered(missing: &Unanswered) -> Value {
    let said = reasons::unanswered(missing);
    json!({ "missing": said.missing, "advice": said.advice, "still": said.still })
}

fn money(money: &Money, content_per_assay: f64) -> result::Money {
    let terms = &money.terms;
    let flips = money.break_even.iter();
    let flips: Map<String, Value> = flips
        .map(|at| {
            (
                figure_key(at.figure).into(),
                break_even(at, content_per_assay),
            )
        })
        .collect();
    let handled = money.handled.iter();
    let handled: Map<String, Value> = handled
        .map(|of| {
            let gain = json!({ "verdict": of.verdict, "gain_per_run": amount(&of.gain) });
            (handling_key(of.handling).into(), gain)
        })
        .collect();
    let ranking = money.ranking.iter().map(|moved| {
        json!({
            "input": figure_key(moved.figure),
            "by_one_u": moved.by_uncertainty,
            "by_a_tenth": moved.by_tenth,
        })
    });
    let specification = money.worth.as_ref().map(|worth| {
        json!({
            "spec": worth.spec,
            "chance_with_residue": worth.with,
            "chance_without": worth.without,
            "counts_as_money": worth.counts,
        })
    });
    result::Money {
        currency: money.currency.clone(),
        gain_per_run: amount(&money.gain),
        more: json!({
            "gain_per_kg": amount(&money.per_kilogram),
            "gain_per_campaign": amount(&money.per_campaign),
            "chance_positive": money.chance_positive,
            "terms": {
                "product": terms.product,
                "feed": terms.feed,
                "oxidant": terms.oxidant,
                "further_reagents": terms.reagents,
                "labour": terms.labour,
                "handling": terms.handling,
                "disposal": terms.disposal,
                "second": terms.second,
                "runs": terms.runs,
            },
            "ways": ways(&money.ways),
            "quantity": money.for_quantity.as_ref().map(for_quantity),
            "handling": (!handled.is_empty()).then_some(handled),
            "break_even": flips,
            "ranking": ranking.collect::<Value>(),
            "specification": specification,
            "map": money.map.as_ref().map(map),
            "not_counted": not_counted(&money.not_counted),
        }),
    }
}

fn for_quantity(of: &ForQuantity) -> Value {
    let takes = |takes: &Takes| {
        json!({
            "runs": amount(&takes.runs),
            "cost": takes.cost.as_ref().map(amount),
            "labour": takes.labour.as_ref().map(amount),
        })
    };
    json!({
        "quantity": of.quantity,
        "without": takes(&of.without),
        "with": takes(&of.with),
        "residue": of.residue,
        "on_the_shelf": of.on_the_shelf,
        "enough_for": of.enough_for,
    })
}

fn break_even(at: &BreakEven, content_per_assay: f64) -> Value {
    let scale = shown_scale(at.figure, content_per_assay);
    let scaled = |value: Option<f64>| value.map(|value| value * scale);
    let mut entry = json!({
        "value": scaled(at.at.ok()),
        "interval": at.at.ok().map(|_| [scaled(at.low), scaled(at.high)]),
        "now": at.now * scale,
    });
    if let Err(why) = at.at {
        entry["reason"] = json!(never(why));
    }
    entry
}

fn level(at: &GainAtLevel) -> Value {
    json!({
        "factor": at.factor,
        "level": at.level,
        "extra_product": at.extra_product.as_ref().ok().map(amount),
        "gain_per_run": at.gain.as_ref().map(amount),
        "verdict": at.verdict,
        "reason": at.extra_product.as_ref().err().map(reasons::untold),
    })
}

fn map(map: &RecyclingMap) -> Value {
    let line = map.assays.iter().zip(&map.line);
    json!({
        "residue_assay": map.assay,
        "product_price": map.price,
        "line": line.map(|place| json!(place)).collect::<Value>(),
    })
}
