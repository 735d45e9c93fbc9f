//! The table of answers held against other fits.
//!
//! In: claims with what became of each. Out: a table of ways to fit and what stands in them.
//! This module never prints an estimate of another fit.

use serde_json::{Value, json};

use super::words::otherwise;
use crate::answers::Question;
use crate::decide::{Claim, Held, Otherwise, Outcome, Tested};
use crate::pipeline::Analysis;
use crate::report::effects::words::comparison;
use crate::report::print::aim_names::Called;
use crate::report::print::{Cell, Columns, Page, capital, joined};

/// Writes the table, where anything was claimed.
pub fn write(page: &mut Page, analysis: &Analysis) {
    let called: Called = &|name| analysis.campaign.called(name);
    let tested = &analysis.firmness.tested;
    let mut ways: Vec<&Otherwise> = Vec::new();
    for held in tested.iter().flat_map(|tested| &tested.held) {
        if !ways.contains(&&held.how) {
            ways.push(&held.how);
        }
    }
    let mut rows = Columns::of(ways);
    rows.words("fitted", |how| capital(&otherwise(how, called)));
    for (position, moves) in analysis.findings.moves.iter().enumerate() {
        let of_model =
            |claim: Claim| matches!(claim, Claim::Effect { model, .. } if model == position);
        rows.words(format!("3 {}", moves.response), |how| {
            effects(analysis, tested, &of_model, how)
        });
    }
    let single = [
        ("4 route", Claim::Route),
        ("5 residue", Claim::Residue),
        ("6 settings", Claim::Settings),
    ];
    for (heading, claim) in single {
        rows.words(heading, |how| {
            let found = tested.iter().find(|tested| tested.claim == claim);
            let outcome = found.and_then(|tested| outcome(tested, how));
            Cell::because(outcome.map_or("", outcome_text))
        });
    }
    page.answer(&rows.answer("Does each firm answer stand where the model is fitted otherwise?"));
    page.show("residue-fitted-otherwise");
    page.show("settings-fitted-otherwise");
}

/// The same of one question as data: each way of fitting with what becomes of each claim.
pub fn held(analysis: &Analysis, question: &Question) -> Value {
    let claimed = |claim: Claim| match (question, claim) {
        (Question::Moves(Some(position)), Claim::Effect { model, .. }) => *position == model,
        (Question::Routes, Claim::Route)
        | (Question::Residue, Claim::Residue)
        | (Question::Settings, Claim::Settings) => true,
        _ => false,
    };
    let own = analysis.firmness.tested.iter();
    let own = own.filter(|tested| claimed(tested.claim));
    let entries = own.flat_map(|tested| {
        let about = match tested.claim {
            Claim::Effect { model, effect } => {
                Some(comparison(&analysis.findings.moves[model].effects[effect], &str::to_string))
            }
            _ => None,
        };
        tested.held.iter().map(move |held| {
            json!({ "about": about, "fitted": otherwise(&held.how, &str::to_string), "outcome": held.outcome })
        })
    });
    entries.collect()
}

/// What became of a claim in a way of fitting.
fn outcome(tested: &Tested, how: &Otherwise) -> Option<Outcome> {
    let mut held = tested.held.iter();
    let found: Option<&Held> = held.find(|held| held.how == *how);
    found.map(|held| held.outcome)
}

/// The effects of a model that do not stand, or that all of them do.
fn effects(
    analysis: &Analysis,
    tested: &[Tested],
    of_model: &dyn Fn(Claim) -> bool,
    how: &Otherwise,
) -> Cell {
    let own = tested.iter().filter(|tested| of_model(tested.claim));
    let known: Vec<(&Tested, Outcome)> = own
        .filter_map(|tested| Some((tested, outcome(tested, how)?)))
        .collect();
    let fallen = known.iter().filter(|(_, found)| *found != Outcome::Stands);
    let fallen = fallen.map(|(tested, found)| {
        let Claim::Effect { model, effect } = tested.claim else {
            return String::new();
        };
        let factor = &analysis.findings.moves[model].effects[effect].factor;
        format!(
            "{}: {}",
            analysis.campaign.called(factor),
            outcome_text(*found)
        )
    });
    let mut fallen: Vec<String> = fallen.collect();
    fallen.dedup();
    match (known.is_empty(), fallen.is_empty()) {
        (true, _) => Cell::because(""),
        (false, true) => Cell::text(outcome_text(Outcome::Stands)),
        (false, false) => Cell::text(joined(fallen, "; ")),
    }
}

fn outcome_text(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Stands => "stands",
        Outcome::NotShown => "no longer shown",
        Outcome::Reversed => "the opposite",
        Outcome::CannotBeTold => "cannot be told",
    }
}
