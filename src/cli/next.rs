//! The call that plans further runs.
//!
//! In: the options of the call. Out: a table, lines of the runs log or JSON on stdout, doubts on stderr.
//! This module never decides which run is worth making.

use clap::Args;
use residuum::caveat::Caveat;
use residuum::decide::{NextRuns, RUNS_PLANNED};
use residuum::error::{Error, ErrorKind, Faults};
use residuum::intake::{BlankRow, blank_row};
use residuum::pipeline::{self, Analysis, Asked};
use residuum::report::{json, terminal};
use residuum::result::{CampaignHead, WholeResult};

use super::calls::{normalised, one_object, strictly, tell_doubts};
use super::load::{Loaded, load};
use super::progress::Progress;
use super::tell::{ended, failed, remark};
use super::width::of_stdout;
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

/// A campaign with its plan; one without any run has no analysis.
struct Planned {
    loaded: Loaded,
    log: Option<BlankRow>,
    found: Found,
}

enum Found {
    Beside(Box<Analysis>),
    First(Box<NextRuns>),
}

pub(super) fn next(options: &NextOptions) -> Ending {
    let common = &options.common;
    let progress = Progress::over(3, common.quiet);
    progress.step("reading logs");
    let planned = load(&common.campaign).and_then(|loaded| {
        progress.step("planning runs");
        planned(options, loaded)
    });
    progress.finish();
    match planned {
        Err(faults) => failed(&faults),
        Ok(planned) => told(options, &planned),
    }
}

fn planned(options: &NextOptions, loaded: Loaded) -> Result<Planned, Faults> {
    let common = &options.common;
    // Faults of the logs are told, all together, where they are read.
    let log = blank_row(&loaded.campaign, &loaded.files).ok().flatten();
    if log.as_ref().is_some_and(|log| log.rows == 0) && loaded.unread.is_empty() {
        let plan = pipeline::first_runs(&loaded.campaign, options.runs, common.seed)?;
        return Ok(Planned {
            loaded,
            log,
            found: Found::First(Box::new(plan)),
        });
    }
    let worked_out = normalised(&loaded)?;
    let asked = Asked {
        response: common.response.as_deref(),
        planned: options.runs,
        seed: common.seed,
    };
    let analysis = pipeline::analyse(loaded.campaign.clone(), worked_out, asked)?;
    Ok(Planned {
        loaded,
        log,
        found: Found::Beside(Box::new(analysis)),
    })
}

fn told(options: &NextOptions, planned: &Planned) -> Ending {
    let common = &options.common;
    let campaign = &planned.loaded.campaign;
    let plan = match &planned.found {
        Found::First(plan) => plan.as_ref(),
        Found::Beside(analysis) => match &analysis.next {
            Some(Ok(plan)) => plan,
            Some(Err(error)) => return failed(&error.clone().into()),
            None => return failed(&no_model(&campaign.file).into()),
        },
    };
    let mut caveats: Vec<Caveat> = match &planned.found {
        Found::First(_) => Vec::new(),
        Found::Beside(analysis) => analysis.caveats.clone(),
    };
    caveats.extend(plan.caveats.iter().cloned());
    let runs = match &planned.found {
        Found::First(_) => None,
        Found::Beside(analysis) => Some(&analysis.runs),
    };
    match runs {
        Some(runs) => tell_doubts(common, runs, &caveats),
        None if !common.quiet && !common.json => remark(&terminal::caveats(&caveats)),
        None => {}
    }
    let text = if common.json {
        let whole = Some(Ok(plan.clone()));
        let part = match runs {
            Some(runs) => json::part(campaign, runs, &caveats),
            None => WholeResult {
                campaign: CampaignHead {
                    title: campaign.title.clone(),
                    ..CampaignHead::default()
                },
                caveats: json::caveats(&caveats),
                ..WholeResult::default()
            },
        };
        one_object(&WholeResult {
            next_runs: Some(json::next_runs(whole.as_ref())),
            next_runs_for: Some(json::brings(whole.as_ref())),
            ..part
        })
    } else if options.csv {
        match &planned.log {
            Some(log) => terminal::next_rows(campaign, plan, log),
            None => return failed(&no_log(&campaign.file).into()),
        }
    } else {
        terminal::next(plan, of_stdout())
    };
    let ending = match runs {
        Some(runs) => strictly(common, runs, caveats.len()),
        None if common.strict && !caveats.is_empty() => Ending::Flagged,
        None => Ending::Done,
    };
    ended(&text, ending)
}

fn no_model(file: &str) -> Error {
    Error::new(
        ErrorKind::Campaign,
        format!("`{file}` has no `[model]` to plan runs for"),
    )
    .in_file(file)
    .hint("add `[model]` with `effects = [...]`: the runs are chosen to teach most about its terms")
}

fn no_log(file: &str) -> Error {
    Error::new(
        ErrorKind::Unreadable,
        format!("the runs log that `{file}` names has no line of headings"),
    )
    .in_file(file)
    .hint("write its headings, or leave out `--csv`")
}
