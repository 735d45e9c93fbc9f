//! What does a result say where it could say something else?
//!
//! In: the result as JSON. Out: [`Verdict`]s, each with the interval it rests on.
//! This module never decides: it reads what was decided, and on which side of zero an interval lies.

use serde_json::Value;

use super::Verdict;
use super::figures::{each, interval, text};

/// What is said of effects that a log cannot separate.
pub(super) const CANNOT_BE_TOLD_APART: &str = "cannot be told apart";

/// How a decision is told whose answer more runs would not change.
const SETTLED: &str = "settled";

/// All verdicts of a result, decisions before what they rest on.
pub(super) fn verdicts(result: &Value) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    let routes = &result["routes"];
    let best = text(routes, "best");
    verdicts.extend(decision("best route", routes, best, &Value::Null));
    let recycling = &result["recycling"];
    let gain = &recycling["gain_per_run"];
    verdicts.extend(decision("feeding residue forward", recycling, None, gain));
    let settings = &result["settings"];
    let at = levels(&settings["at"]);
    verdicts.extend(decision(
        "best settings",
        settings,
        at,
        &settings["response"],
    ));
    for model in each(&result["models"]) {
        of_model(model, &mut verdicts);
    }
    verdicts
}

fn of_model(model: &Value, verdicts: &mut Vec<Verdict>) {
    let response = text(model, "response").unwrap_or_default();
    for comparison in each(&model["against_baseline"]) {
        let factor = text(comparison, "factor").unwrap_or_default();
        let level = text(comparison, "level").unwrap_or_default();
        let against = text(comparison, "against").unwrap_or_default();
        verdicts.push(Verdict {
            about: format!("{response} with {factor}: {level} against {against}"),
            says: side(interval(comparison), ["higher", "lower"]),
            interval: interval(comparison),
        });
    }
    let terms: Vec<(String, &Value)> = each(&model["terms"])
        .filter_map(|term| Some((text(term, "term")?, term)))
        .collect();
    for (name, term) in &terms {
        if is_a_straight_line(name, &terms) {
            verdicts.push(Verdict {
                about: format!("{response} with more {name}"),
                says: side(interval(term), ["rises", "falls"]),
                interval: interval(term),
            });
        }
    }
    for alike in each(&model["alike"]) {
        let factor = text(alike, "factor").unwrap_or_default();
        let level = text(alike, "level").unwrap_or_default();
        let against = text(alike, "against").unwrap_or_default();
        verdicts.push(Verdict {
            about: format!("{response} with {factor}: {level} and {against}, by the margin"),
            says: match alike["inside"].as_bool() {
                Some(true) => "alike",
                Some(false) => "different",
                None => "not settled",
            }
            .to_string(),
            interval: None,
        });
    }
    for group in each(&model["not_separable"]) {
        let names: Vec<&str> = each(&group["terms"]).filter_map(Value::as_str).collect();
        verdicts.push(Verdict {
            about: format!("{response}: {}", names.join(" and ")),
            says: CANNOT_BE_TOLD_APART.to_string(),
            interval: None,
        });
    }
}

/// Whether a term is an amount on its own, bent by no power and changed by no other factor.
fn is_a_straight_line(name: &str, terms: &[(String, &Value)]) -> bool {
    name != "constant"
        && !name.contains(": ")
        && !name.contains(" with ")
        && !name.contains(" to the ")
        && !terms.iter().any(|(other, _)| {
            other.starts_with(&format!("{name} to the "))
                || other.split(" with ").count() > 1
                    && other.split(" with ").any(|part| part.starts_with(name))
        })
}

fn side(interval: Option<[f64; 2]>, [above, below]: [&str; 2]) -> String {
    match interval {
        Some([low, _]) if low > 0.0 => above,
        Some([_, high]) if high < 0.0 => below,
        Some(_) => "not told from zero",
        None => "not known",
    }
    .to_string()
}

/// The verdict of a decision. What was chosen counts only where that is settled: else it may change with every run.
fn decision(about: &str, of: &Value, chosen: Option<String>, rests_on: &Value) -> Option<Verdict> {
    let says = text(of, "verdict")?;
    Some(Verdict {
        about: about.to_string(),
        says: match chosen {
            Some(chosen) if says == SETTLED => format!("{says} for {chosen}"),
            _ => says,
        },
        interval: interval(rests_on),
    })
}

/// The levels among some settings; amounts are left out, because they move a little with every run.
fn levels(settings: &Value) -> Option<String> {
    let levels: Vec<String> = settings
        .as_object()?
        .iter()
        .filter_map(|(factor, level)| Some(format!("{factor}: {}", level.as_str()?)))
        .collect();
    (!levels.is_empty()).then(|| levels.join(" and "))
}
