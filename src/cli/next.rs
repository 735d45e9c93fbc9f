//! The call that plans further runs.
//!
//! In: the options of the call. Out: a table, lines of the runs log or JSON on stdout, doubts on stderr; a longer runs log where that
//! was asked for.
//! This module never decides which run is worth making.

use std::path::PathBuf;

use clap::Args;
use residuum::campaign::Campaign;
use residuum::decide::{NextRun, NextRuns, RUNS_PLANNED};
use residuum::error::{Error, Faults};
use residuum::intake::{BlankRow, LogFile, Logged, blank_row, with_rows};
use residuum::pipeline::{self, Asked};
use residuum::report::{json, terminal};
use residuum::result::{CampaignHead, WholeResult};
use residuum::runs;

use super::append::{Appended, Target, append, target};
use super::faults::{lacking, unreadable};
use super::load::Loaded;
use super::tell::{Told, failed, output, told};
use super::width::of_stdout;
use super::work::{logged, watched};
use super::{Common, Ending};

/// Options of the call.
#[derive(Debug, Args)]
pub(super) struct NextOptions {
    #[command(flatten)]
    common: Common,
    /// How many runs there are to be planned; those that the runs log plans already count.
    #[arg(long, default_value_t = RUNS_PLANNED, value_name = "N")]
    runs: usize,
    /// Print the runs as lines of the runs log, with its own headings, to be filled in.
    #[arg(long, conflicts_with = "json")]
    csv: bool,
    /// Add the runs to this runs log of the campaign, whole or not at all, and never twice.
    #[arg(long, value_name = "FILE")]
    append: Option<PathBuf>,
}

pub(super) fn next(options: &NextOptions) -> Ending {
    let found = watched(&options.common, |loaded, progress| {
        progress.step("planning runs");
        planned(options, &loaded)
    });
    let (found, appended) = match found {
        Ok(found) => found,
        Err(faults) => return failed(&faults),
    };
    let ending = told(&options.common, Ok(found));
    if let (Ending::Failed, Some(appended)) = (ending, appended) {
        // What could not be told is not done.
        appended.take_back();
    }
    ending
}

/// What was planned, and what it is told with.
struct Plan {
    next: NextRuns,
    told: Told,
    part: WholeResult,
}

fn planned(options: &NextOptions, loaded: &Loaded) -> Result<(Told, Option<Appended>), Faults> {
    let campaign = &loaded.campaign;
    let append_to = options.append.as_deref();
    let target = append_to.map(|file| target(loaded, file)).transpose()?;
    let files = match &target {
        Some(target) => std::slice::from_ref(target.log),
        None => loaded.files.as_slice(),
    };
    // Faults of the logs are told, all together, where they are read.
    let mut log = blank_row(campaign, files).ok().flatten();
    let plan = match &log {
        Some(log) if log.rows == 0 && loaded.unread.is_empty() => {
            // A campaign without any run has no analysis.
            first(options, campaign, &Logged::default())?
        }
        _ => {
            let logged = logged(loaded)?;
            if let Some(log) = &mut log {
                // A name that any log has is taken.
                let others = logged.left_out.iter().filter_map(|entry| entry.run.clone());
                log.names
                    .extend(logged.runs.names.iter().cloned().chain(others));
            }
            match logged.runs.rows.is_empty() && !logged.planned.rows.is_empty() {
                true => first(options, campaign, &logged)?,
                false => further(options, campaign, logged)?,
            }
        }
    };
    let needed = options.csv || target.is_some();
    let log = match (log, needed) {
        (None, true) => return Err(no_log(&campaign.file).into()),
        (log, _) => log,
    };
    let added = match (&target, &log) {
        (Some(target), Some(log)) => Some(add(loaded, &plan.next, target, log)?),
        _ => None,
    };
    let output = text(options, campaign, log.as_ref(), &plan, added.as_ref());
    let told = Told {
        output,
        ..plan.told
    };
    Ok((told, added.and_then(|added| added.appended)))
}

/// The first runs of a campaign, beside those that its log plans.
fn first(options: &NextOptions, campaign: &Campaign, logged: &Logged) -> Result<Plan, Faults> {
    let (in_log, of_planned) = runs::planned(campaign, logged);
    let seed = options.common.seed;
    let next = pipeline::first_runs(campaign, &in_log, options.runs, seed)?;
    let left_out = [logged.left_out.as_slice(), &of_planned].concat();
    let superseded = logged.superseded.as_slice();
    let part = WholeResult {
        campaign: CampaignHead {
            title: campaign.title.clone(),
            runs: logged.runs.lines,
            left_out: logged.runs.lines - in_log.len() - superseded.len(),
        },
        caveats: json::caveats(&next.caveats),
        left_out: json::left_out(&left_out),
        planned: json::planned(&in_log, logged.dates_tell_plans),
        superseded: json::superseded(superseded),
        ..WholeResult::default()
    };
    Ok(Plan {
        told: Told::of(String::new(), left_out, next.caveats.clone()),
        next,
        part,
    })
}

/// Runs beside those made.
fn further(options: &NextOptions, campaign: &Campaign, logged: Logged) -> Result<Plan, Faults> {
    let asked = Asked {
        response: options.common.response.as_deref(),
        planned: options.runs,
        ..Asked::usual(options.common.seed)
    };
    let normalised = pipeline::on_one_footing(campaign, logged);
    let normalised = normalised.map_err(|stopped| stopped.faults)?;
    let analysis = pipeline::analyse(campaign.clone(), normalised, asked)?;
    let next = analysis.next.ok_or_else(|| no_model(&campaign.file))??;
    let caveats = [analysis.caveats.as_slice(), &next.caveats].concat();
    Ok(Plan {
        next,
        part: json::part(campaign, &analysis.runs, &caveats),
        told: Told::of(String::new(), analysis.runs.left_out, caveats),
    })
}

/// Runs that were added to a log.
struct Added {
    /// The log, as messages call it.
    log: String,
    names: Vec<String>,
    /// The lines as they stand there.
    lines: String,
    /// None where there was nothing to be added.
    appended: Option<Appended>,
}

/// Adds the runs to a log, once it is sure that they will be read back from it as what they are.
fn add(loaded: &Loaded, plan: &NextRuns, target: &Target, log: &BlankRow) -> Result<Added, Faults> {
    let campaign = &loaded.campaign;
    let rows = terminal::next_cells(campaign, plan, log);
    let file = target.log.file.clone();
    if rows.is_empty() {
        return Ok(Added {
            log: file,
            names: Vec::new(),
            lines: String::new(),
            appended: None,
        });
    }
    let cells = rows.iter().map(|row| {
        let cells = row.cells.iter();
        cells.map(|cell| cell.text().to_string()).collect()
    });
    let cells: Vec<Vec<String>> = cells.collect();
    let after = with_rows(campaign, target.log, &cells)?;
    let longer = loaded.files.iter().map(|one| LogFile {
        bytes: match std::ptr::eq(one, target.log) {
            true => after.clone(),
            false => one.bytes.clone(),
        },
        ..one.clone()
    });
    let longer: Vec<LogFile> = longer.collect();
    let runs: Vec<(&str, &NextRun)> = rows
        .iter()
        .map(|row| row.run.as_str())
        .zip(&plan.runs)
        .collect();
    pipeline::read_back(campaign, &longer, &runs, &file)?;
    let lines = String::from_utf8_lossy(&after[target.log.bytes.len()..]);
    let lines = lines.trim_start_matches(['\r', '\n']).replace('\r', "");
    Ok(Added {
        log: file,
        names: rows.iter().map(|row| row.run.clone()).collect(),
        lines,
        appended: Some(append(target, after)?),
    })
}

/// The plan as it was asked for: lines of the log, one JSON object, or a table.
fn text(
    options: &NextOptions,
    campaign: &Campaign,
    log: Option<&BlankRow>,
    plan: &Plan,
    added: Option<&Added>,
) -> String {
    let next = &plan.next;
    match (options.csv, log, added) {
        (true, _, Some(added)) => return added.lines.clone(),
        (true, Some(log), None) => return terminal::next_rows(campaign, next, log),
        _ => {}
    }
    let result = || WholeResult {
        next_runs: Some(json::next_runs(Some(next))),
        next_runs_for: Some(json::brought(next)),
        appended: added.map(|added| json::appended(&added.log, &added.names)),
        ..plan.part.clone()
    };
    let table = || {
        let told = added.map(|added| terminal::appended(&added.log, &added.names));
        terminal::next(next, of_stdout()) + &told.unwrap_or_default()
    };
    output(&options.common, table, result)
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
