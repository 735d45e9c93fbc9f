//! Which figures of a result are kept?
//!
//! In: the result as JSON. Out: [`Record`]: runs with their yields, left-out rows, estimates.
//! This module never computes a figure: it takes those that are there and passes over what is not.

use serde_json::Value;

use super::{Figure, FigureKind, Inputs, LeftOutRow, Record, RunYield, verdicts};

/// Term that stands for no difference between settings.
const CONSTANT: &str = "constant";

impl Record {
    /// What is kept of a result; `round` is its position in the history.
    pub fn of(result: &Value, inputs: Inputs, round: u64) -> Record {
        Record {
            round,
            inputs,
            title: text(&result["campaign"], "title").unwrap_or_default(),
            runs: each(&result["yields"]).filter_map(run_yield).collect(),
            left_out: each(&result["left_out"]).filter_map(left_out).collect(),
            caveats: each(&result["caveats"]).count(),
            verdicts: verdicts::verdicts(result),
            figures: figures(result),
            drift: each(&result["drift"]).flat_map(drift_flags).collect(),
        }
    }
}

/// Members of a list; none where there is no list.
pub(super) fn each(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

/// A text under a key.
pub(super) fn text(object: &Value, key: &str) -> Option<String> {
    object.get(key)?.as_str().map(str::to_string)
}

/// The interval under `interval`.
pub(super) fn interval(object: &Value) -> Option<[f64; 2]> {
    let ends = object.get("interval")?.as_array()?;
    Some([ends.first()?.as_f64()?, ends.get(1)?.as_f64()?])
}

fn run_yield(run: &Value) -> Option<RunYield> {
    Some(RunYield {
        run: text(run, "run")?,
        value: run["contained"]["value"].as_f64(),
        u: run["contained"]["u"].as_f64(),
    })
}

/// Rows set aside on purpose are no faults.
fn left_out(row: &Value) -> Option<LeftOutRow> {
    if row["on_purpose"] == true {
        return None;
    }
    Some(LeftOutRow {
        file: text(row, "file")?,
        run: text(row, "run"),
        reason: text(row, "reason")?,
    })
}

fn figures(result: &Value) -> Vec<Figure> {
    let mut figures = Vec::new();
    for model in each(&result["models"]) {
        figures.extend(of_model(model));
    }
    for level in each(&result["routes"]["levels"]) {
        let name = text(level, "level").unwrap_or_default();
        for (key, unit) in [
            ("yield", "1"),
            ("purity", "1"),
            ("cost", ""),
            ("labour", "min"),
        ] {
            let about = format!("{key} of route {name}");
            figures.extend(figure(about, unit, FigureKind::Level, &level[key]));
        }
    }
    let gain = &result["recycling"]["gain_per_run"];
    let currency = text(&result["recycling"], "currency").unwrap_or_default();
    let about = "gain of feeding residue forward, per run".to_string();
    figures.extend(figure(about, &currency, FigureKind::Difference, gain));
    let best = &result["settings"]["response"];
    let response = text(best, "response").unwrap_or_default();
    let unit = text(best, "unit").unwrap_or_default();
    let about = format!("{response} at the best settings");
    figures.extend(figure(about, &unit, FigureKind::Level, best));
    for titrant in each(&result["titrants"]) {
        let name = text(titrant, "titrant").unwrap_or_default();
        let about = format!("concentration of titrant {name}");
        let concentration = &titrant["concentration"];
        figures.extend(figure(about, "mol/L", FigureKind::Level, concentration));
    }
    figures
}

fn of_model(model: &Value) -> Vec<Figure> {
    let response = text(model, "response").unwrap_or_default();
    let unit = text(model, "unit").unwrap_or_default();
    // On the logit scale a term has no unit; means are given back as fractions.
    let unit_of_terms = match model["scale"].as_str() {
        Some("logit") => "",
        _ => unit.as_str(),
    };
    let mut figures = Vec::new();
    if let Some(factors) = model["adjusted_means"].as_object() {
        for (factor, levels) in factors {
            for level in each(levels) {
                let name = text(level, "level").unwrap_or_default();
                let about = format!("adjusted mean of {response} with {factor}: {name}");
                figures.extend(figure(about, &unit, FigureKind::Level, level));
            }
        }
    }
    let terms: Vec<&Value> = each(&model["terms"]).collect();
    for term in &terms {
        let name = text(term, "term").unwrap_or_default();
        if name == CONSTANT {
            // Where a log has its constant alone, that is the mean; else it lies where no run was made.
            if terms.len() == 1 {
                let about = format!("mean of {response}");
                figures.extend(figure(about, &unit, FigureKind::Level, term));
            }
            continue;
        }
        let about = format!("effect on {response} of {name}");
        figures.extend(figure(about, unit_of_terms, FigureKind::Difference, term));
    }
    figures
}

fn figure(about: String, unit: &str, kind: FigureKind, estimate: &Value) -> Option<Figure> {
    Some(Figure {
        about,
        unit: unit.to_string(),
        kind,
        value: estimate.get("value")?.as_f64()?,
        u: estimate.get("u").and_then(Value::as_f64),
        interval: interval(estimate),
    })
}

fn drift_flags(chart: &Value) -> Vec<String> {
    let response = text(chart, "response").unwrap_or_default();
    let kind = text(chart, "chart").unwrap_or_default();
    each(&chart["points"])
        .filter(|point| is_flagged(&point["flag"]))
        .filter_map(|point| text(point, "run"))
        .map(|run| format!("{response}, {kind} chart, {run}"))
        .collect()
}

/// A flag may be told as true, as words, or as an object.
fn is_flagged(flag: &Value) -> bool {
    match flag {
        Value::Null => false,
        Value::Bool(raised) => *raised,
        Value::String(words) => !words.is_empty(),
        Value::Array(flags) => !flags.is_empty(),
        _ => true,
    }
}
