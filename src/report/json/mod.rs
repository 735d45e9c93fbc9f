//! The results as data: an analysis put under the keys that scripts rely on.
//!
//! In: campaign, runs, models, answers, caveats. Out: the parts of a [`WholeResult`].
//! This module never rounds: the report does it for files that are kept.

mod of_answers;
mod of_drift;
mod of_models;
mod of_money;
mod of_next;
mod of_routes;
mod of_runs;
mod of_settings;

pub use of_answers::answers;
pub use of_drift::{drift, not_charted};
pub use of_models::models;
pub use of_money::{costs, recycling};
pub use of_next::{brings, next_runs};
pub use of_routes::routes;
pub use of_runs::{budgets, titrants, yields};
pub use of_settings::settings;

use crate::campaign::Campaign;
use crate::caveat::{About, Caveat};
use crate::decide::HowSettled;
use crate::intake::LeftOut;
use crate::pipeline::Analysis;
use crate::regression::{Estimate, Interval};
use crate::report::doubts;
use crate::result::{self, CampaignHead, Ends, Estimated, Lead, Subject, WholeResult};
use crate::runs::Runs;

/// All results, with full precision.
pub fn whole(analysis: &Analysis) -> WholeResult {
    let runs = &analysis.runs;
    let found = &analysis.findings;
    let next = analysis.next.as_ref();
    WholeResult {
        answers: Some(answers(analysis)),
        yields: Some(yields(runs)),
        titrants: Some(titrants(&runs.titrants)),
        budgets: Some(budgets(&found.budgets)),
        models: Some(models(analysis.models.models(), &analysis.further)),
        costs: Some(costs(analysis.costs.as_ref())),
        recycling: Some(recycling(&found.recycling)),
        next_runs: Some(next_runs(next)),
        next_runs_for: Some(brings(next)),
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
        caveats: caveats(doubts),
        left_out: left_out(&runs.left_out),
        ..WholeResult::default()
    }
}

/// Title, runs in the log, runs left out.
pub fn head(campaign: &Campaign, runs: &Runs) -> CampaignHead {
    CampaignHead {
        title: campaign.title.clone(),
        runs: runs.lines,
        left_out: runs.left_out_lines,
    }
}

/// One entry a doubt.
pub fn caveats(caveats: &[Caveat]) -> Vec<result::Caveat> {
    caveats
        .iter()
        .map(|caveat| result::Caveat {
            kind: doubts::kind_text(caveat.kind()),
            about: doubts::about_text(&caveat.about),
            subject: subject(&caveat.about),
            seen: doubts::seen(caveat),
            advice: doubts::advice(caveat),
        })
        .collect()
}

fn subject(about: &About) -> Subject {
    match about {
        About::Campaign => Subject::Campaign {},
        About::Lot(lot) => Subject::Lot(lot.clone()),
        About::Titrant(titrant) => Subject::Titrant(titrant.clone()),
        About::Run(run) => Subject::Run(run.clone()),
        About::Response(response) => Subject::Response(response.clone()),
    }
}

/// One entry a row that was not used.
pub fn left_out(entries: &[LeftOut]) -> Vec<result::LeftOut> {
    entries
        .iter()
        .map(|entry| result::LeftOut {
            file: entry.place.file.clone(),
            line: entry.place.line,
            run: entry.run.clone(),
            reason: entry.error.message().to_string(),
            hint: entry.error.advice().map(str::to_string),
            on_purpose: entry.on_purpose,
        })
        .collect()
}

/// How a lead stands.
fn standing(how: HowSettled) -> Lead {
    match how {
        HowSettled::Settled => Lead::Settled,
        HowSettled::Alike => Lead::Alike,
        HowSettled::NotSettled => Lead::NotSettled,
    }
}

fn ends(interval: Option<Interval>) -> Ends {
    interval.map(|ends| [ends.low, ends.high])
}

/// Value, standard error and interval.
fn figures(estimate: &Estimate) -> Estimated {
    Estimated {
        value: Some(estimate.value),
        u: estimate.standard_error,
        interval: ends(estimate.interval),
        reason: None,
    }
}

/// The same, or null figures with the reason.
fn estimate<Reason>(
    estimate: &Result<Estimate, Reason>,
    in_words: fn(&Reason) -> String,
) -> Estimated {
    match estimate {
        Ok(estimate) => figures(estimate),
        Err(reason) => Estimated {
            value: None,
            u: None,
            interval: None,
            reason: Some(in_words(reason)),
        },
    }
}
