//! Costs and the worth of residue as data.
//!
//! In: answers. Out: what stands under `costs` and `recycling`.
//! This module never rounds: the report does it for files that are kept.

use super::ends;
use crate::decide::{
    Amount, BreakEven, Costs, Cycles, GainAtLevel, Money, NotCounted, Recycling, RecyclingMap,
    RecyclingVerdict, ResponseChange, RunCost, Settling, Unanswered,
};
use crate::report::print::json::rows;
use crate::report::print::money_words::{cost_kind, figure_key, limit, never, shown_scale};
use crate::report::reasons::{self, no_cost};
use crate::report::recycling;
use crate::result::{self, AmountFigures, Around, CampaignCost, Measured, Pays};

/// Of the campaign and of each run; None without prices.
pub fn costs(costs: Option<&Costs>) -> Option<result::Costs> {
    let costs = costs?;
    let campaign = match &costs.campaign {
        Err(reason) => CampaignCost::Unknown {
            reason: no_cost(reason),
        },
        Ok(campaign) => CampaignCost::Known {
            runs: campaign.runs,
            total: Measured::from(&campaign.total),
            contained: Measured::from(&campaign.contained),
            per_gram: Measured::from(&campaign.per_gram),
            on_specification: campaign.on_spec,
            per_gram_on_specification: campaign.per_gram_on_spec.as_ref().map(Measured::from),
            gained_by_making: campaign.gained_by_making.as_ref().map(Measured::from),
            parts: campaign
                .parts
                .iter()
                .map(|part| result::CostPart {
                    what: cost_kind(part.kind),
                    cost: Measured::from(&part.cost),
                })
                .collect(),
        },
    };
    Some(result::Costs {
        currency: costs.prices.currency.clone(),
        campaign,
        runs: costs.runs.iter().map(run_cost).collect(),
        not_counted: not_counted(&costs.not_counted),
        without_a_cost: reasons::without_a_cost(&costs.without_a_cost),
    })
}

fn not_counted(items: &[NotCounted]) -> Vec<String> {
    items.iter().map(reasons::not_counted).collect()
}

fn run_cost(run: &RunCost) -> result::RunCost {
    let parts = run.parts.iter();
    result::RunCost {
        run: run.run.clone(),
        total: run.total.as_ref().ok().map(Measured::from),
        per_gram: run.per_gram.as_ref().ok().map(Measured::from),
        parts: parts
            .map(|part| (cost_kind(part.kind).to_string(), part.cost.value()))
            .collect(),
        reason: run.per_gram.as_ref().err().map(no_cost),
    }
}

/// The verdict with everything that it rests on, or what is missing.
pub fn recycling(answer: &Result<Recycling, Unanswered>) -> result::Recycling {
    let recycling = match answer {
        Err(missing) => {
            return result::Recycling::Unanswered {
                verdict: None,
                unanswered: unanswered(missing),
            };
        }
        Ok(recycling) => recycling,
    };
    let reference = &recycling.reference;
    let money = recycling.money.as_ref();
    let settling = money.ok().and_then(|money| money.settling.as_ref());
    let cycles = recycling.cycles.as_ref();
    result::Recycling::Answered(Box::new(result::Residue {
        verdict: money.ok().map(|money| verdict(money.verdict)),
        money: money
            .ok()
            .map(|money| self::money(money, reference.content_per_assay)),
        cycles: rows(&recycling::table::cycles(recycling)),
        around: match cycles {
            Ok(cycles) => around(cycles),
            Err(reason) => Around::Unknown {
                reason: reasons::no_cycles(reason),
            },
        },
        ratio: reference.ratio,
        charged_runs: reference.charged_runs,
        extra_product: amount(&recycling.extra_product),
        of_promise: amount(&recycling.of_promise),
        feed_saved: recycling.feed_saved,
        levels: recycling.by_level.iter().map(level).collect(),
        responses: recycling.responses.iter().map(response).collect(),
        runs_to_settle: match settling {
            Some(Settling::Runs { runs, .. }) => Some(*runs),
            _ => None,
        },
        settling: settling.map(self::settling),
        unanswered: money.err().map(unanswered),
    }))
}

fn verdict(verdict: RecyclingVerdict) -> Pays {
    match verdict {
        RecyclingVerdict::Pays => Pays::Pays,
        RecyclingVerdict::DoesNotPay => Pays::DoesNot,
        RecyclingVerdict::NotSettled | RecyclingVerdict::TooClose => Pays::NotSettled,
    }
}

fn response(response: &ResponseChange) -> result::ResponseChange {
    let change = response.change.as_ref();
    result::ResponseChange {
        response: response.response.clone(),
        unit: response.unit.clone(),
        value: change.ok().map(|change| change.value),
        u: change.ok().and_then(|change| change.standard_error),
        interval: ends(change.ok().and_then(|change| change.interval)),
        reason: change.err().map(reasons::refusal),
    }
}

fn settling(settling: &Settling) -> result::Settling {
    match settling {
        Settling::Runs {
            runs,
            charged,
            chance,
            ..
        } => result::Settling::Runs {
            runs: *runs,
            with_residue: *charged,
            chance: *chance,
        },
        Settling::TooClose { tried, most } => result::Settling::TooClose {
            reason: "too close to be worth settling",
            not_enough: *tried,
            most: *most,
        },
        Settling::NotByRuns => result::Settling::Not {
            reason: "what runs tell nothing about alone leaves zero in the interval".into(),
        },
        Settling::Unknown(reason) => result::Settling::Not {
            reason: reasons::not_planned(reason),
        },
    }
}

fn unanswered(missing: &Unanswered) -> result::Missing {
    let said = reasons::unanswered(missing);
    result::Missing {
        missing: said.missing,
        advice: said.advice,
        still: said.still.into(),
    }
}

fn amount(amount: &Amount) -> AmountFigures {
    AmountFigures {
        value: amount.value,
        u: amount.uncertainty,
        interval: [amount.low, amount.high],
    }
}

fn money(money: &Money, content_per_assay: f64) -> result::Money {
    let terms = &money.terms;
    let flips = money.break_even.iter();
    let ranking = money.ranking.iter().map(|moved| result::Influence {
        input: figure_key(moved.figure),
        by_one_u: moved.by_uncertainty,
        by_a_tenth: moved.by_tenth,
    });
    result::Money {
        currency: money.currency.clone(),
        gain_per_run: amount(&money.gain),
        gain_per_kg: amount(&money.per_kilogram),
        gain_per_campaign: amount(&money.per_campaign),
        chance_positive: money.chance_positive,
        terms: result::Terms {
            product: terms.product,
            feed: terms.feed,
            oxidant: terms.oxidant,
            further_reagents: terms.reagents,
            handling: terms.handling,
            disposal: terms.disposal,
        },
        break_even: flips
            .map(|at| {
                let key = figure_key(at.figure).to_string();
                (key, break_even(at, content_per_assay))
            })
            .collect(),
        ranking: ranking.collect(),
        specification: money
            .worth
            .as_ref()
            .map(|worth| result::ResidueSpecification {
                spec: worth.spec,
                chance_with_residue: worth.with,
                chance_without: worth.without,
                counts_as_money: worth.counts,
            }),
        map: money.map.as_ref().map(map),
        not_counted: not_counted(&money.not_counted),
    }
}

fn break_even(at: &BreakEven, content_per_assay: f64) -> result::BreakEven {
    let scale = shown_scale(at.figure, content_per_assay);
    let scaled = |value: Option<f64>| value.map(|value| value * scale);
    result::BreakEven {
        value: scaled(at.at.ok()),
        interval: at.at.ok().map(|_| [scaled(at.low), scaled(at.high)]),
        now: at.now * scale,
        reason: at.at.err().map(never),
    }
}

fn level(at: &GainAtLevel) -> result::GainAtLevel {
    result::GainAtLevel {
        factor: at.factor.clone(),
        level: at.level.clone(),
        extra_product: at.extra_product.as_ref().ok().map(amount),
        gain_per_run: at.gain.as_ref().map(amount),
        verdict: at.verdict.map(verdict),
        reason: at.extra_product.as_ref().err().map(reasons::untold),
    }
}

fn around(cycles: &Cycles) -> Around {
    let retained = &cycles.retained;
    Around::Known {
        bleed: cycles.bleed,
        best_bleed: cycles.best_bleed.map(|best| best.bleed),
        best_bleed_mean_gain: cycles.best_bleed.map(|best| best.mean_gain),
        turns_at: cycles.turns_at,
        limited_by: cycles.limited_by.map(limit),
        steady: cycles.steady.map(|steady| result::LongRun {
            residue: steady.residue,
            assay: steady.assay,
        }),
        retained: result::Kept {
            element_of_feed: retained.element.of_feed,
            element_of_residue: retained.element.of_residue,
            inert_of_feed: retained.inert.of_feed,
            inert_of_residue: retained.inert.of_residue,
            runs: retained.runs,
        },
    }
}

fn map(map: &RecyclingMap) -> result::MoneyMap {
    let line = map.assays.iter().copied().zip(map.line.iter().copied());
    result::MoneyMap {
        residue_assay: map.assay,
        product_price: map.price,
        line: line.collect(),
    }
}
