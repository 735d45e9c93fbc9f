//! One round over all campaigns: which changed, and what is new in them. Made to be started by a scheduler.
//!
//! In: a folder of campaigns. Out: their reports, an index of all, one line each on stdout, an exit code.
//! This module never lets one campaign stop another, and never leaves a report half-written.

mod collected;
mod digest;
mod entry;
mod find;
mod history_file;
mod limit;
mod lock;
mod pages;
mod report_in_place;
mod seen;
mod share;
mod work;

use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread::available_parallelism;
use std::time::Duration;

use clap::{Args, ValueEnum};
use residuum::at_once::each;
use residuum::error::{Error, Faults};
use residuum::history::Flag;
use residuum::report::{one_line, wrapped};

use super::faults::{unreadable, unwritable};
use super::progress::Progress;
use super::publish::clear_away;
use super::tell::{ended, failed, remark};
use super::width::of_stdout;
use super::{Besides, Ending};
use entry::{Entry, Standing};
use find::{Case, Found, Place, Refused};
use seen::{AllSeen, Seen};
use work::Round;

/// Folder of our own in the output folder; campaigns are never named like it, because of the dot.
const KEPT: &str = ".residuum";

/// What `rounds` takes.
#[derive(Debug, Args)]
pub(super) struct RoundsOptions {
    /// Folder that holds the campaigns, at any depth.
    dir: PathBuf,
    /// Folder that reports, index and history are written into.
    #[arg(long, default_value = "reports", value_name = "DIR")]
    out: PathBuf,
    /// Print the content of `rounds.json`, and nothing else, on stdout.
    #[arg(long)]
    json: bool,
    /// Say nothing on stderr but errors.
    #[arg(long)]
    quiet: bool,
    /// Model this response only.
    #[arg(long, value_name = "NAME")]
    response: Option<String>,
    /// Seed of whatever is simulated.
    #[arg(long, default_value_t = 1, value_name = "N")]
    seed: u64,
    /// Exit with 1 if there is any doubt or any run was left out in any campaign.
    #[arg(long)]
    strict: bool,
    /// Read logs that a campaign file names outside of its folder.
    #[arg(long)]
    allow_outside: bool,
    /// How each campaign is told of on stdout.
    #[arg(long, value_enum, default_value_t = LogStyle::Text, value_name = "STYLE")]
    log: LogStyle,
    #[command(flatten)]
    besides: Besides,
    /// Only print the campaigns that need work, one a line, and write nothing.
    #[arg(long, conflicts_with_all = ["listed", "gather"])]
    due: bool,
    /// Only work on the campaigns that this file names, one a line, beside others that do so; write no index.
    #[arg(long, value_name = "FILE", conflicts_with = "gather")]
    listed: Option<PathBuf>,
    /// Only write index and collected tables from what is there, and leave what is due.
    #[arg(long)]
    gather: bool,
    /// Longest time for one campaign, such as `90 s` or `1 h`; it is then ended, and its old report stays.
    #[arg(long, value_name = "TIME", default_value = "10 min", value_parser = limit::read)]
    limit: Duration,
    /// Put the time into the index page; nothing else ever holds one.
    #[arg(long)]
    dated: bool,
    /// Campaigns worked on at the same time; as many as there are cores when absent.
    #[arg(long, value_name = "N")]
    threads: Option<NonZeroUsize>,
}

/// How each campaign is told of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum LogStyle {
    /// One line of words.
    Text,
    /// One JSON object a line.
    Json,
}

/// One round over all campaigns.
pub(super) fn rounds(options: RoundsOptions) -> Ending {
    let options = Arc::new(options);
    match &options.listed {
        Some(listed) => share::listed(&options, listed),
        None if options.due => share::due(&options),
        None => whole(&options),
    }
}

fn whole(options: &Arc<RoundsOptions>) -> Ending {
    let (found, _lock) = match ready(options) {
        Ok(found) => found,
        Err(error) => return failed(&error.into()),
    };
    clear_away(&options.out, None);
    clear_away(&options.out.join(KEPT), None);
    let before = seen::read(&options.out);
    let mut now = worked_on(options, &found.places, &before);
    let refused = found.refused.iter();
    now.extend(refused.map(|refused| of_refused(options, refused)));
    for name in history_file::names(&options.out) {
        if !now.contains_key(&name)
            && let Some(gone) = of_gone(options, &name, before.get(&name))
        {
            now.insert(name, gone);
        }
    }
    let entries: Vec<Entry> = now.values().map(|seen| seen.entry.clone()).collect();
    let made = if options.dated { pages::now() } else { None };
    let kept = pages::write(
        &options.out,
        &entries,
        made.as_deref(),
        options.besides.form(),
    )
    .and_then(|()| match options.besides.form().parquet {
        true => collected::write(&options.out, &entries),
        false => Ok(()),
    })
    .and_then(|()| seen::write(&options.out, &now));
    told(options, &entries, kept.err())
}

/// Finds the campaigns and takes the lock, before anything is changed.
fn ready(options: &RoundsOptions) -> Result<(Found, lock::Lock), Error> {
    let is_same = |a: &Path, b: &Path| {
        let [a, b] = [a, b].map(std::fs::canonicalize);
        a.is_ok_and(|a| b.is_ok_and(|b| a == b))
    };
    if is_same(&options.dir, &options.out) {
        let dir = options.dir.display();
        return Err(unwritable(
            format!("reports would be written among the campaigns of `{dir}`"),
            "choose another folder with `--out`; it may lie below the campaigns",
        ));
    }
    // Looked into once before the output folder is made, so that a wrong path leaves nothing behind.
    let found = find::find(&options.dir, &options.out, Case::Matters)?;
    if found == Found::default() && history_file::names(&options.out).is_empty() {
        return Err(unreadable(
            format!("no campaign below `{}`", options.dir.display()),
            "a campaign is a folder that holds a `campaign.toml`; `residuum start DIR` writes one",
        ));
    }
    let lock = lock::take(&options.out)?;
    let case = if options.out.join(KEPT.to_uppercase()).exists() {
        Case::Ignored
    } else {
        Case::Matters
    };
    Ok((find::find(&options.dir, &options.out, case)?, lock))
}

fn worked_on(options: &Arc<RoundsOptions>, places: &[Place], before: &AllSeen) -> AllSeen {
    let round = Arc::new(Round::of(options));
    let done = each_of(options, places, |place| {
        limit::within(&round, place, before.get(&place.name))
    });
    let names = places.iter().map(|place| place.name.clone());
    names.zip(done).collect()
}

/// Does something with each campaign on as many threads as were asked for, with a bar for who waits.
fn each_of<R: Send>(
    options: &RoundsOptions,
    places: &[Place],
    work: impl Fn(&Place) -> R + Sync,
) -> Vec<R> {
    let threads = options
        .threads
        .or_else(|| available_parallelism().ok())
        .map_or(1, NonZeroUsize::get);
    let progress = Progress::over(places.len() as u64, options.quiet);
    let done = each(places.iter().collect(), threads, |place| {
        let done = work(place);
        progress.step("campaigns");
        done
    });
    progress.finish();
    done
}

fn of_refused(options: &RoundsOptions, refused: &Refused) -> (String, Seen) {
    let known = work::from_history(&options.out, &refused.name, Standing::Failed);
    let faults = Faults::from(refused.error.clone());
    let seen = Seen {
        entry: known.failed(&faults),
        mark: None,
        history_bytes: 0,
    };
    (refused.name.clone(), seen)
}

/// A campaign that has a history and a report and no folder any more; whoever deletes the report is done with it.
fn of_gone(options: &RoundsOptions, name: &str, before: Option<&Seen>) -> Option<Seen> {
    let folder = options.out.join(name);
    if !folder.join("report.md").is_file() {
        return None;
    }
    let was_known = before.is_some_and(|seen| seen.entry.standing == Standing::Gone);
    let known = match before {
        Some(seen) => seen.entry.clone().at_rest(),
        None => work::from_history(&options.out, name, Standing::Gone),
    };
    Some(Seen {
        entry: Entry {
            standing: Standing::Gone,
            flags: match was_known {
                true => Vec::new(),
                false => vec![Flag::GoneCampaign],
            },
            ..known
        },
        mark: before.and_then(|seen| seen.mark.clone()),
        history_bytes: history_file::bytes(&options.out, name),
    })
}

/// Tells how the round went and gives its exit code.
fn told(options: &RoundsOptions, entries: &[Entry], unkept: Option<Error>) -> Ending {
    let lines = |line: fn(&Entry) -> String| -> String {
        let lines = entries.iter().map(line);
        lines.map(|line| format!("{line}\n")).collect()
    };
    let text = match options.log {
        _ if options.json => format!("{}\n", pages::result(entries)),
        LogStyle::Json => lines(|entry| entry.json_line().to_string()),
        LogStyle::Text => {
            tell_faults(entries);
            if !options.quiet {
                remark(&format!("{}\n", pages::in_one_line(entries)));
            }
            wrapped(&lines(Entry::line), of_stdout())
        }
    };
    let any = |calls: fn(&Entry) -> bool| entries.iter().any(calls);
    let doubtful = options.strict && any(|entry| entry.caveats > 0 || entry.left_out > 0);
    let ending = if any(|entry| entry.standing == Standing::Failed) {
        Ending::Failed
    } else {
        Ending::flagged(any(Entry::calls) || doubtful)
    };
    let ending = ended(&text, ending);
    match unkept {
        Some(error) => failed(&error.into()),
        None => ending,
    }
}

/// The line of a campaign has room for its first fault alone; here are all of them, with what to do.
fn tell_faults(entries: &[Entry]) {
    for entry in entries {
        for fault in &entry.faults {
            let text = one_line(&format!("{}: {}", entry.campaign, fault.what));
            let hint = fault.hint.as_deref().map(one_line);
            let hint = hint.map_or_else(String::new, |hint| format!("\nhint: {hint}\n"));
            remark(&format!("error: {text}\n{hint}\n"));
        }
    }
}
