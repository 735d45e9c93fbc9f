//! The results as data: an analysis put under the keys that scripts rely on.
//!
//! In: campaign, runs, models, answers, caveats. Out: the parts of a [`WholeResult`].
//! This module never rounds: the report does it for files that are kept.

mod figures;
mod of_checks;
mod of_crops;
mod of_cycles;
mod of_drift;
mod of_models;
mod of_money;
mod of_next;
mod of_routes;
mod of_runs;
mod of_settings;
mod of_together;

pub use of_checks::{causes, missing, used_as};
use of_crops::consumption;
pub use of_crops::{crops, impurities};
pub use of_drift::{drift, not_charted};
pub use of_models::models;
use of_models::moves;
pub use of_money::{costs, liquor, recycling};
use of_next::brings;
pub use of_next::{appended, brought, next_runs};
pub use of_routes::routes;
pub use of_runs::ledger;
pub use of_runs::{budgets, control, head, left_out, planned, superseded, titrants, yields};
use of_runs::{combined, second};
pub use of_settings::settings;
pub use of_together::together;

use serde_json::{Value, json};

use super::answer_words::{key, reason, to_do};
pub use super::chain::chain_as_data;
pub use super::columns::as_data as columns;
use super::firmness;
pub use super::foresee::data::foresee;
use super::headlines::headline;
use super::print::escape::raw;
use crate::answers::Question;
use crate::campaign::Campaign;
use crate::caveat::Caveat;
use crate::decide::Claim;
use crate::pipeline::Analysis;
use crate::result::WholeResult;
use crate::runs::Runs;
pub use figures::{caveats, slips};

/// All results, with full precision.
pub fn whole(analysis: &Analysis) -> WholeResult {
    let runs = &analysis.runs;
    let found = &analysis.findings;
    let next = analysis.next.as_ref();
    WholeResult {
        answers: Some(answers(analysis, |_| true)),
        yields: Some(yields(runs)),
        titrants: Some(titrants(&runs.titrants)),
        control: runs.control.as_ref().map(control),
        budgets: Some(budgets(&found.budgets)),
        models: Some(models(analysis.models.models(), &analysis.further)),
        moves: Some(found.moves.iter().map(moves).collect()),
        consumption: Some(consumption(&found.consumption)),
        crops: Some(crops(found.crops.as_ref())),
        impurities: Some(impurities(found.impurities.as_ref())),
        costs: Some(costs(analysis.costs.as_ref())),
        recycling: Some(recycling(&found.recycling, &analysis.firmness)),
        liquor: Some(liquor(found.liquor_gain.as_ref())),
        ledger: Some(ledger(runs)),
        next_runs: Some(next_runs(next.and_then(|planned| planned.as_ref().ok()))),
        next_runs_for: Some(brings(next)),
        assays_worth_repeating: Some(super::next::assays::as_data(analysis)),
        routes: Some(routes(found.routes.as_ref())),
        settings: Some(settings(found.settings.as_ref())),
        drift: Some(drift(&analysis.drift)),
        ..part(&analysis.campaign, runs, &analysis.doubts())
    }
}

/// What every call gives: title, doubts and rows left out.
pub fn part(campaign: &Campaign, runs: &Runs, doubts: &[Caveat]) -> WholeResult {
    WholeResult {
        campaign: head(campaign, runs),
        lots: combined(campaign, runs),
        second: second(campaign, runs),
        caveats: caveats(doubts),
        slips: slips(doubts),
        left_out: left_out(&runs.left_out),
        planned: planned(&runs.planned, runs.plans_are_sure),
        superseded: superseded(&runs.superseded),
        ..WholeResult::default()
    }
}

/// The entry of the question that a claim answers.
pub fn answer(analysis: &Analysis, claim: Claim) -> Value {
    answers(analysis, |question| match claim {
        Claim::Effect { model, .. } => *question == Question::Moves(Some(model)),
        Claim::Route => *question == Question::Routes,
        Claim::Residue => *question == Question::Residue,
        Claim::Settings => *question == Question::Settings,
    })
}

/// One entry a question, of question 3 one a response; doubts are positions among the caveats.
fn answers(analysis: &Analysis, asked: impl Fn(&Question) -> bool) -> Value {
    let answers = analysis.answers.iter();
    let answers = answers.filter(|answer| asked(&answer.question));
    answers
        .map(|answer| {
            let to_do = answer.to_do.iter().map(|what| to_do(what, raw));
            json!({
                "question": key(analysis, &answer.question),
                "status": answer.status,
                "headline": headline(analysis, answer, raw),
                "figures": answer.figures,
                "reason": answer.reason.as_ref().map(|why| reason(why, raw)),
                "doubts": answer.doubts,
                "to_do": to_do.collect::<Value>(),
                "otherwise": firmness::held(analysis, &answer.question),
            })
        })
        .collect()
}
