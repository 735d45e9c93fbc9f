//! Yields, titrants and budgets as data.
//!
//! In: runs. Out: what stands under `campaign`, `left_out`, `yields`, `titrants` and `budgets`.
//! This module never rounds.

use serde_json::{Map, Value, json};

use crate::campaign::Campaign;
use crate::decide::Budget;
use crate::intake::{LeftOut, Superseded};
use crate::measured::Share;
use crate::report::reasons::no_result;
use crate::report::yields::table::standing;
use crate::result::{self, CampaignHead, Measured};
use crate::runs::{
    CombinedAssay, ControlResult, Outcome, PlannedRun, PlannedValue, PurityBy, RunResult, Runs,
    TitrantResult,
};

/// Title, runs in the log, runs left out.
pub fn head(campaign: &Campaign, runs: &Runs) -> CampaignHead {
    CampaignHead {
        title: campaign.title.clone(),
        runs: runs.lines,
        left_out: runs.left_out_lines,
    }
}

/// One entry a lot of which several assays were combined; None without any.
pub(super) fn combined(campaign: &Campaign, runs: &Runs) -> Option<Value> {
    let one = |lot: &CombinedAssay| {
        let of = &lot.consensus;
        let ends = of.half_width(campaign.confidence());
        let ends = ends.map(|half| [of.value - half, of.value + half]);
        let sources = lot.sources.iter().map(|of| {
            json!({ "source": of.source, "value": of.value, "u": of.uncertainty, "weight": of.weight })
        });
        json!({
            "lot": lot.lot,
            "assay": { "value": of.value, "u": of.uncertainty },
            "interval": ends,
            "method": "Paule-Mandel",
            "between": of.between.sqrt(),
            "between_start": of.start.sqrt(),
            "q": of.q,
            "q_p": of.chance(),
            "sources": sources.collect::<Value>(),
        })
    };
    (!runs.combined.is_empty()).then(|| runs.combined.iter().map(one).collect())
}

/// One entry an element that is followed besides the first; None without any.
pub(super) fn second(campaign: &Campaign, runs: &Runs) -> Option<Value> {
    let elements = campaign.second.iter().zip(&runs.second);
    let elements = elements.map(|(plan, of)| {
        let each = of.runs.iter().enumerate().map(|(position, run)| {
            json!({
                "run": run.run,
                "theory": known(&run.theory_total),
                "product": known(&of.product(position)),
                "yield": known(&run.contained),
                "residue": known(&run.balance.residue),
                "unaccounted": known(&run.balance.unaccounted),
                "reason": run.contained.as_ref().err().map(no_result),
            })
        });
        json!({
            "element": of.element,
            "product": plan.chemistry.product.text(),
            "runs": each.collect::<Value>(),
        })
    });
    (!runs.second.is_empty()).then(|| elements.collect())
}

/// One entry a row that was not used.
pub fn left_out(entries: &[LeftOut]) -> Vec<result::LeftOut> {
    entries
        .iter()
        .map(|entry| result::LeftOut {
            file: entry.place.file.to_string(),
            line: entry.place.line,
            run: entry.run.clone(),
            reason: entry.error.message().to_string(),
            hint: entry.error.advice().map(str::to_string),
            on_purpose: entry.on_purpose,
        })
        .collect()
}

/// One entry a planned run.
pub fn planned(planned: &[PlannedRun], are_sure: bool) -> Vec<result::Planned> {
    planned
        .iter()
        .map(|plan| {
            let settings = plan.settings.iter().map(|(name, value)| {
                let value = match value {
                    Some(PlannedValue::Amount(amount)) => json!(amount),
                    Some(PlannedValue::Level(level)) => json!(level),
                    None => Value::Null,
                };
                (name.clone(), value)
            });
            result::Planned {
                file: plan.place.file.to_string(),
                line: plan.place.line,
                run: plan.run.clone(),
                status: standing(are_sure),
                settings: settings.collect::<Map<String, Value>>().into(),
            }
        })
        .collect()
}

/// One entry a line that a later version supersedes.
pub fn superseded(lines: &[Superseded]) -> Vec<result::Superseded> {
    lines
        .iter()
        .map(|line| result::Superseded {
            file: line.place.file.to_string(),
            line: line.place.line,
            run: line.run.clone(),
            revision: line.revision.clone(),
            by_file: line.by.file.to_string(),
            by_line: line.by.line,
        })
        .collect()
}

/// One entry a run.
pub fn yields(runs: &Runs) -> Vec<result::Yield> {
    let results = runs.results.iter();
    results.map(|run| one_yield(runs, run)).collect()
}

fn one_yield(runs: &Runs, run: &RunResult) -> result::Yield {
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
    let missing = figures.iter().filter_map(|(name, outcome)| {
        let reason = outcome.as_ref().err()?;
        Some((name.to_string(), json!(no_result(reason))))
    });
    let reasons: Map<String, Value> = missing.collect();
    let crops = run.crops.iter().map(|crop| {
        let mut of_crop = json!({
            "crop": crop.crop,
            "mass": Measured::from(&crop.mass),
            "purity": known(&crop.purity),
        });
        if let Some(moisture) = &crop.dried_to {
            of_crop["moisture"] = json!(Measured::from(moisture));
        }
        let by = match crop.purity_by {
            PurityBy::Ignition => Some("ignition"),
            PurityBy::Difference => Some("difference"),
            PurityBy::Titres | PurityBy::Entry => None,
        };
        if let Some(by) = by.filter(|_| crop.purity.is_ok()) {
            of_crop["purity_by"] = json!(by);
        }
        of_crop
    });
    result::Yield {
        run: run.run.clone(),
        as_weighed: json!({
            "lot": run.lot,
            "date": run.date,
            "set_aside": run.set_aside,
            "gross": known(&run.gross),
            "assay_adjusted": known(&run.assay_adjusted),
        }),
        contained: known(&run.contained),
        more: json!({
            "contained_fresh": known(&run.contained_fresh),
            "purity": known(&run.purity),
            "closure": known(&run.balance.closure),
            "unaccounted": known(&run.balance.unaccounted),
            "theory_fresh": known(&run.theory_fresh),
            "theory_total": known(&run.theory_total),
            "reason": reasons.values().next(),
            "reasons": reasons,
            "balance": {
                "crops": known(&run.balance.crops),
                "liquor": known(&run.balance.liquor),
                "residue": known(&run.balance.residue),
            },
            "oxidant_excess": run.oxidant_excess,
            "crops": crops.collect::<Value>(),
            "budget": budget(&run.budget),
            "effective_df": effective_df(runs, run),
            "residue_assay": run.residue_assay.as_ref().map(Measured::from),
            "residue_by_difference": run.residue_by_difference,
            "cross_check": cross_check(run),
            "of_ceiling": run.of_ceiling.as_ref().and_then(known),
        }),
    }
}

fn known(outcome: &Outcome) -> Option<Measured> {
    outcome.as_ref().ok().map(Measured::from)
}

/// Effective degrees of freedom of the contained yield; None where they are infinite.
fn effective_df(runs: &Runs, run: &RunResult) -> Option<f64> {
    let contained = run.contained.as_ref().ok()?;
    let degrees = runs.sources.effective_degrees_of_freedom(contained);
    degrees.is_finite().then_some(degrees)
}

fn cross_check(run: &RunResult) -> Value {
    let Some(check) = &run.cross_check else {
        return Value::Null;
    };
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
}

/// Parts of a variance; one that nobody states is null.
fn budget(shares: &[Share]) -> Value {
    let shares = shares.iter();
    shares
        .map(|of| json!({ "source": *of.source, "share": of.share, "stated": of.share.is_some() }))
        .collect()
}

/// Where the ± comes from, for the campaign and for each lot.
pub fn budgets(budgets: &[Budget]) -> Value {
    let budgets = budgets.iter();
    budgets
        .map(|of| {
            let first = of.first().map(|first| {
                json!({
                    "source": first.source,
                    "share": first.share,
                    "u_without": first.uncertainty_without,
                })
            });
            json!({
                "lot": of.lot,
                "runs": of.runs,
                "u": of.uncertainty,
                "sources": budget(&of.shares),
                "first": first,
            })
        })
        .collect()
}

/// One entry a titrant.
pub fn titrants(titrants: &[TitrantResult]) -> Vec<result::Titrant> {
    let titrants = titrants.iter();
    titrants
        .map(|titrant| {
            let rows = titrant.rows.iter().map(|row| {
                json!({ "date": row.date, "concentration": Measured::from(&row.concentration) })
            });
            result::Titrant {
                titrant: titrant.titrant.clone(),
                concentration: Measured::from(&titrant.concentration),
                used: titrant.by_date.used().name(),
                budget: budget(&titrant.budget),
                rows: rows.collect(),
            }
        })
        .collect()
}

/// What the control sample was found at.
pub fn control(control: &ControlResult) -> Value {
    let titrations = control.points.iter();
    let titrations = titrations
        .map(|point| json!({ "date": point.date, "found": Measured::from(&point.found) }));
    json!({
        "recovery": Measured::from(&control.recovery),
        "used": control.by_date.used().name(),
        "corrected": control.corrects,
        "titrations": titrations.collect::<Value>(),
    })
}

/// Residues as stocks, in the order in which they were left.
pub fn ledger(runs: &Runs) -> Value {
    let stocks = runs.ledger.iter().map(|stock| {
        json!({ "run": stock.run, "left": stock.left, "taken": stock.taken, "now": stock.now() })
    });
    stocks.collect()
}
