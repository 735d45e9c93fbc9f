//! The results as one JSON object.
//!
//! In: campaign, runs, models, caveats. Out: [`serde_json::Value`]s under the names that scripts rely on.
//! This module never rounds: the report does it for files that are kept.

use serde::Serialize;
use serde_json::{Map, Value, json};

use super::diagnostic_words::{name_text, standing_key, verdict_text};
use crate::campaign::Campaign;
use crate::caveat::Caveat;
use crate::decide::Budget;
use crate::measured::{Measured, Share};
use crate::pipeline::Further;
use crate::regression::{
    AdjustedMeans, Comparison, EquivalenceVerdict, Estimate, FactorComparisons, FittedModel,
    Interval, Term,
};
use crate::runs::{Outcome, RunResult, Runs, TitrantResult};

/// `campaign`: title, runs in the log, runs left out.
pub fn campaign(campaign: &Campaign, runs: &Runs) -> Value {
    json!({
        "title": campaign.title,
        "runs": runs.lines,
        "left_out": runs.left_out_lines,
    })
}

/// `yields`: one object a run.
pub fn yields(runs: &Runs) -> Value {
    runs.results
        .iter()
        .map(|run| one_yield(runs, run))
        .collect()
}

/// Effective degrees of freedom of the contained yield; null where they are infinite.
fn effective_df(runs: &Runs, run: &RunResult) -> Value {
    run.contained
        .as_ref()
        .map(|contained| runs.sources.effective_degrees_of_freedom(contained))
        .ok()
        .filter(|degrees| degrees.is_finite())
        .map_or(Value::Null, |degrees| json!(degrees))
}

fn cross_check(runs: &Runs, run: &RunResult) -> Value {
    runs.cross_check_of(&run.run).map_or(Value::Null, |named| {
        let check = &named.check;
        json!({
            "value": check.value,
            "u": check.uncertainty,
            "interval": [check.low, check.high],
            "trials": check.trials,
            "tolerance": check.tolerance,
            "apart": check.apart,
            "agrees": check.agrees,
            "stable": check.stable,
        })
    })
}

/// `budgets`: where the ± comes from, for the campaign and for each lot.
pub fn budgets(budgets: &[Budget]) -> Value {
    budgets
        .iter()
        .map(|of| {
            let first = of.first();
            json!({
                "lot": of.lot,
                "runs": of.runs,
                "u": of.uncertainty,
                "sources": budget(&of.shares),
                "first": first.as_ref().map(|first| json!({
                    "source": first.source,
                    "share": first.share,
                    "u_without": first.uncertainty_without,
                })),
            })
        })
        .collect()
}

fn one_yield(runs: &Runs, run: &RunResult) -> Value {
    let figures: [(&str, &Outcome); 9] = [
        ("gross", &run.gross),
        ("assay_adjusted", &run.assay_adjusted),
        ("contained", &run.contained),
        ("contained_fresh", &run.contained_fresh),
        ("purity", &run.purity),
        ("closure", &run.balance.closure),
        ("unaccounted", &run.balance.unaccounted),
        ("theory_fresh", &run.theory_fresh),
        ("theory_total", &run.theory_total),
    ];
    let mut object = Map::new();
    object.insert("run".into(), json!(run.run));
    object.insert("lot".into(), json!(run.lot));
    object.insert("date".into(), json!(run.date));
    object.insert("set_aside".into(), json!(run.set_aside));
    let mut reasons = Map::new();
    for (name, outcome) in figures {
        object.insert(name.into(), outcome_value(outcome));
        if let Err(reason) = outcome {
            reasons.insert(name.into(), json!(reason));
        }
    }
    let first = figures
        .iter()
        .find_map(|(_, outcome)| outcome.as_ref().err());
    object.insert("reason".into(), json!(first));
    object.insert("reasons".into(), Value::Object(reasons));
    object.insert(
        "balance".into(),
        json!({
            "crops": outcome_value(&run.balance.crops),
            "liquor": outcome_value(&run.balance.liquor),
            "residue": outcome_value(&run.balance.residue),
        }),
    );
    object.insert("oxidant_excess".into(), json!(run.oxidant_excess));
    object.insert(
        "crops".into(),
        run.crops
            .iter()
            .map(|crop| {
                json!({
                    "crop": crop.crop,
                    "mass": measured(&crop.mass),
                    "purity": outcome_value(&crop.purity),
                })
            })
            .collect(),
    );
    object.insert("budget".into(), budget(&run.budget));
    object.insert("effective_df".into(), effective_df(runs, run));
    object.insert(
        "residue_assay".into(),
        run.residue_assay.as_ref().map_or(Value::Null, measured),
    );
    object.insert(
        "residue_by_difference".into(),
        json!(run.residue_by_difference),
    );
    object.insert("cross_check".into(), cross_check(runs, run));
    object.insert(
        "of_ceiling".into(),
        run.of_ceiling.as_ref().map_or(Value::Null, outcome_value),
    );
    Value::Object(object)
}

fn measured(value: &Measured) -> Value {
    json!({"value": value.value(), "u": value.uncertainty()})
}

fn outcome_value(outcome: &Outcome) -> Value {
    outcome.as_ref().map_or(Value::Null, measured)
}

fn budget(shares: &[Share]) -> Value {
    shares
        .iter()
        .map(|share| {
            json!({
                "source": share.source,
                "share": share.share,
                "stated": share.share.is_some(),
            })
        })
        .collect()
}

/// `titrants`: one object a titrant.
pub fn titrants(titrants: &[TitrantResult]) -> Value {
    titrants
        .iter()
        .map(|titrant| {
            json!({
                "titrant": titrant.titrant,
                "concentration": measured(&titrant.concentration),
                "budget": budget(&titrant.budget),
                "rows": titrant.rows.iter().map(|row| json!({
                    "date": row.date,
                    "concentration": measured(&row.concentration),
                })).collect::<Value>(),
            })
        })
        .collect()
}

/// `models`: one object a response.
pub fn models(models: &[FittedModel], further: &[Further]) -> Value {
    models
        .iter()
        .zip(further)
        .map(|(model, further)| self::model(model, further))
        .collect()
}

fn model(model: &FittedModel, further: &Further) -> Value {
    let means: Map<String, Value> = model
        .adjusted_means
        .iter()
        .map(|means| (means.factor.clone(), level_means(means)))
        .collect();
    json!({
        "response": model.response,
        "unit": model.unit,
        "method": model.method.to_string(),
        "scale": match model.scale {
            crate::regression::ResponseScale::Plain => "plain",
            crate::regression::ResponseScale::Logit => "logit",
        },
        "runs": model.runs.len(),
        "residual_df": model.residual_df,
        "residual_sd": model.residual_sd,
        "leave_one_out_sd": model.leave_one_out_sd,
        "r_squared": model.r_squared,
        "adjusted_r_squared": model.adjusted_r_squared,
        "leave_one_out_r_squared": model.leave_one_out_r_squared,
        "ss_model": model.ss_model,
        "ss_residual": model.ss_residual,
        "f": model.f,
        "f_p": model.f_p,
        "lag1": model.lag1,
        "terms": model.terms.iter().map(term).collect::<Value>(),
        "not_separable": model.not_separable.iter().map(|group| json!({
            "terms": group.terms,
            "why": group.why,
            "runs_that_would_separate": group.runs_that_would_separate,
        })).collect::<Value>(),
        "tests": model.tests.iter().map(|test| json!({
            "factor": test.factor,
            "df": test.df,
            "denominator_df": test.denominator_df,
            "ss": test.ss,
            "f": test.f,
            "p": test.p,
        })).collect::<Value>(),
        "adjusted_means": means,
        "comparisons": comparisons(further, |factor| &factor.pairs),
        "against_baseline": comparisons(further, |factor| &factor.against_baseline),
        "variance_components": model.variance_components.iter().map(|component| json!({
            "name": component.name,
            "sd": component.sd,
            "interval": interval(component.interval),
        })).collect::<Value>(),
        "diagnostics": further.diagnostics.iter().map(|diagnostic| json!({
            "name": name_text(diagnostic.what),
            "value": diagnostic.value,
            "p": diagnostic.p,
            "standing": standing_key(diagnostic.standing()),
            "verdict": verdict_text(diagnostic),
            "runs": diagnostic.runs,
        })).collect::<Value>(),
        "alike": further.alike.iter().map(|alike| json!({
            "factor": alike.factor,
            "level": alike.level,
            "against": alike.against,
            "margin": alike.margin,
            "p": alike.p,
            "inside": match alike.verdict {
                EquivalenceVerdict::Inside => Some(true),
                EquivalenceVerdict::Outside => Some(false),
                EquivalenceVerdict::NotSettled => None,
            },
        })).collect::<Value>(),
        "candidates": further.selection.iter().flat_map(|selection| &selection.ranked).map(|candidate| json!({
            "added": candidate.added,
            "aicc": candidate.aicc,
            "delta": candidate.delta,
            "leave_one_out_sd": candidate.leave_one_out_sd,
            "residual_sd": candidate.residual_sd,
            "residual_df": candidate.residual_df,
        })).collect::<Value>(),
    })
}

/// Differences between levels, over all choices.
fn comparisons(further: &Further, of: fn(&FactorComparisons) -> &Vec<Comparison>) -> Value {
    further
        .comparisons
        .iter()
        .flat_map(of)
        .map(|comparison| {
            json!({
                "factor": comparison.factor,
                "level": comparison.level,
                "against": comparison.against,
                "value": comparison.value,
                "u": comparison.standard_error,
                "interval": interval(comparison.interval),
                "p": comparison.p,
                "df": comparison.degrees_of_freedom,
                "critical_value": comparison.critical_value,
                "numerical_error": comparison.numerical_error,
            })
        })
        .collect()
}

fn term(term: &Term) -> Value {
    json!({
        "term": term.term,
        "value": term.value,
        "u": term.standard_error,
        "df": term.degrees_of_freedom,
        "t": term.t,
        "p": term.p,
        "interval": interval(term.interval),
    })
}

pub(super) fn interval(interval: Option<Interval>) -> Value {
    interval.map_or(Value::Null, |ends| json!([ends.low, ends.high]))
}

fn level_means(means: &AdjustedMeans) -> Value {
    means
        .levels
        .iter()
        .map(|level| {
            let estimate: Option<&Estimate> = level.mean.as_ref();
            json!({
                "level": level.level,
                "value": estimate.map(|e| e.value),
                "u": estimate.and_then(|e| e.standard_error),
                "interval": interval(estimate.and_then(|e| e.interval)),
                "reason": level.reason.as_ref().map(ToString::to_string),
            })
        })
        .collect()
}

/// One doubt.
#[derive(Debug, Serialize)]
struct CaveatObject<'a> {
    kind: &'a str,
    about: String,
    seen: &'a str,
    advice: &'a str,
}

/// `caveats`: one object a doubt.
pub fn caveats(caveats: &[Caveat]) -> Value {
    caveats
        .iter()
        .map(|caveat| {
            json!(CaveatObject {
                kind: caveat.kind,
                about: caveat.about.to_string(),
                seen: &caveat.seen,
                advice: &caveat.advice,
            })
        })
        .collect()
}

/// One row that was not used.
#[derive(Debug, Serialize)]
struct LeftOutObject<'a> {
    file: &'a str,
    line: usize,
    run: Option<&'a str>,
    reason: &'a str,
    hint: Option<&'a str>,
    on_purpose: bool,
}

/// `left_out`: one object a row that was not used.
pub fn left_out(runs: &Runs) -> Value {
    runs.left_out
        .iter()
        .map(|entry| {
            json!(LeftOutObject {
                file: &entry.file,
                line: entry.line,
                run: entry.run.as_deref(),
                reason: entry.error.message(),
                hint: entry.error.advice(),
                on_purpose: entry.on_purpose,
            })
        })
        .collect()
}
