//! The call that plans further runs.
//!
//! In: the options of the call. Out: a table, lines of the runs log or JSON on stdout, doubts on stderr.
//! This module never decides which run is worth making.

use clap::Args;
use residuum::campaign::Campaign;
use residuum::decide::{NextRuns, RUNS_PLANNED};
use residuum::error::{Error, Faults};
use residuum::intake::{BlankRow, blank_row};
use residuum::pipeline::{self, Asked};
use residuum::report::{json, terminal};
use residuum::result::{CampaignHead, WholeResult};

use super::faults::{lacking, unreadable};
use super::load::Loaded;
use super::tell::{Told, output, told};
use super::width::of_stdout;
use super::work::{normalised, watched};
use super::{Common, Ending};

/// Options of the call.
#[derive(Debug, Args)]
pub(super) struct NextOptions {
    #[command(flatten)]
    common: Common,
    /// How many runs to plan.
    #[arg(long, default_value_t = RUNS_PLANNED, value_name = "N")]
    runs: usize,
    /// Print the runs as lines of the runs log, with its own headings, to be filled in.
    #[arg(long, conflicts_with = "json")]
    csv: bool,
}

pub(super) fn next(options: &NextOptions) -> Ending {
    let found = watched(&options.common, |loaded, progress| {
        progress.step("planning runs");
        planned(options, &loaded)
    });
    told(&options.common, found)
}

fn planned(options: &NextOptions, loaded: &Loaded) -> Result<Told, Faults> {
    let (common, campaign) = (&options.common, &loaded.campaign);
    // Faults of the logs are told, all together, where they are read.
    let log = blank_row(campaign, &loaded.files).ok().flatten();
    if log.as_ref().is_some_and(|log| log.rows == 0) && loaded.unread.is_empty() {
        // A campaign without any run has no analysis.
        let plan = pipeline::first_runs(campaign, options.runs, common.seed)?;
        let part = || WholeResult {
            campaign: CampaignHead {
                title: campaign.title.clone(),
                ..CampaignHead::default()
            },
            caveats: json::caveats(&plan.caveats),
            ..WholeResult::default()
        };
        let text = text(options, campaign, log.as_ref(), &plan, part)?;
        return Ok(Told::of(text, Vec::new(), plan.caveats));
    }
    let asked = Asked {
        response: common.response.as_deref(),
        planned: options.runs,
        ..Asked::usual(common.seed)
    };
    let analysis = pipeline::analyse(campaign.clone(), normalised(loaded)?, asked)?;
    let plan = analysis.next.ok_or_else(|| no_model(&campaign.file))??;
    let caveats = [analysis.caveats.as_slice(), &plan.caveats].concat();
    let part = || json::part(campaign, &analysis.runs, &caveats);
    let text = text(options, campaign, log.as_ref(), &plan, part)?;
    Ok(Told::of(text, analysis.runs.left_out, caveats))
}

/// The plan as it was asked for: lines of the log, one JSON object, or a table.
fn text(
    options: &NextOptions,
    campaign: &Campaign,
    log: Option<&BlankRow>,
    plan: &NextRuns,
    part: impl FnOnce() -> WholeResult,
) -> Result<String, Error> {
    if options.csv {
        let log = log.ok_or_else(|| no_log(&campaign.file))?;
        return Ok(terminal::next_rows(campaign, plan, log));
    }
    let result = || WholeResult {
        next_runs: Some(json::next_runs(Some(plan))),
        next_runs_for: Some(json::brought(plan)),
        ..part()
    };
    let table = || terminal::next(plan, of_stdout());
    Ok(output(&options.common, table, result))
}

fn no_model(file: &str) -> Error {
    let what = format!("`{file}` has no `[model]` to plan runs for");
    let hint =
        "add `[model]` with `effects = [...]`: the runs are chosen to teach most about its terms";
    lacking(file, what, hint)
}

fn no_log(file: &str) -> Error {
    let what = format!("the runs log that `{file}` names has no line of headings");
    unreadable(what, "write its headings, or leave out `--csv`").in_file(file)
}
