//! The work of a round on one campaign.
//!
//! In: its place, and what the round before left of it. Out: its [`Entry`], its report exchanged and its history longer.
//! This module never touches the report of a campaign that it could not analyse.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use residuum::error::{Error, ErrorKind, Faults};
use residuum::history::{Inputs, Record, Since};
use residuum::pipeline::Asked;
use residuum::report::{self, ReportFile, Standing as Kept, json};

use super::entry::{Entry, Standing};
use super::find::Place;
use super::history_file::{self, HistoryFile};
use super::seen::Seen;
use super::{RoundsOptions, digest, report_in_place};

use crate::cli::faults::{not_written, too_long};
use crate::cli::load::{Loaded, Outside, load};
use crate::cli::publish::publish_among;
use crate::cli::work::{normalised, whole_analysis};

/// How often a campaign is taken again when its files change while they are read.
const ATTEMPTS: usize = 3;

/// Time that a writer gets to finish before the next attempt: a log is saved in a few hundredths of a second.
const PAUSE: Duration = Duration::from_millis(100);

/// What all campaigns of a round share.
pub(super) struct Round {
    /// What was asked for.
    pub options: Arc<RoundsOptions>,
    /// Digest of the program.
    pub program: String,
}

impl Round {
    /// A round as it was asked for.
    pub fn of(options: &Arc<RoundsOptions>) -> Round {
        Round {
            options: Arc::clone(options),
            program: digest::program(),
        }
    }
}

/// Whether the work on one campaign may still put its report into place: only one of the work and its end wins.
#[derive(Debug, Default)]
pub(super) struct Turn(AtomicBool);

impl Turn {
    /// Takes the turn; false where it is taken.
    pub fn take(&self) -> bool {
        !self.0.swap(true, Ordering::AcqRel)
    }
}

/// Does one campaign; whatever goes wrong in it stays in its entry. Without its turn it puts nothing into place.
pub(super) fn work(round: &Round, place: &Place, before: Option<&Seen>, turn: &Turn) -> Seen {
    let entry = catch_unwind(AssertUnwindSafe(|| attempts(round, place, before, turn)));
    let entry = entry.unwrap_or_else(|_| {
        let error = Error::new(
            ErrorKind::Model,
            "the program met a fault of its own on this campaign",
        );
        known(&round.options.out, place, before).failed(&error.into())
    });
    seen(round, place, entry)
}

/// An entry with the marks of what lies in its place now.
pub(super) fn seen(round: &Round, place: &Place, entry: Entry) -> Seen {
    let out = &round.options.out;
    Seen {
        mark: report_in_place::mark(&out.join(&place.name)),
        history_bytes: history_file::bytes(out, &place.name),
        entry,
    }
}

fn attempts(round: &Round, place: &Place, before: Option<&Seen>, turn: &Turn) -> Entry {
    for attempt in 0..ATTEMPTS {
        if attempt > 0 {
            std::thread::sleep(PAUSE);
        }
        if let Some(entry) = once(round, place, before, turn) {
            return entry;
        }
    }
    let known = known(&round.options.out, place, before).at_rest();
    Entry {
        standing: Standing::Busy,
        stale: known.report.is_some(),
        ..known
    }
}

/// One attempt; none where the files changed meanwhile.
fn once(round: &Round, place: &Place, before: Option<&Seen>, turn: &Turn) -> Option<Entry> {
    let out = &round.options.out;
    let read = || load(&place.folder, Outside::of(round.options.allow_outside));
    let loaded = read();
    let state = digest::state(&loaded, &round.options, &round.program);
    if let Some(seen) = before
        && is_as_it_was(out, &place.name, seen, &state)
    {
        return Some(Entry {
            standing: Standing::Unchanged,
            ..seen.entry.clone().at_rest()
        });
    }
    if round.options.gather && loaded.is_err() {
        return Some(still_due(round, place, before));
    }
    let again = || digest::state(&read(), &round.options, &round.program) != state;
    let done = loaded.and_then(|loaded| {
        let inputs = digest::inputs(&loaded, &round.options, &round.program);
        look_closer(round, place, before, loaded, inputs, &again, turn)
    });
    match done {
        Ok(entry) => entry,
        // A log that was half written may hold faults that it will not have when it is whole.
        Err(_) if again() => None,
        Err(faults) => Some(known(out, place, before).failed(&faults)),
    }
}

/// Whether inputs, report and history are those that the round before left.
fn is_as_it_was(out: &Path, name: &str, seen: &Seen, state: &str) -> bool {
    seen.entry.inputs.as_deref() == Some(state)
        && seen.mark.is_some()
        && seen.mark == report_in_place::mark(&out.join(name))
        && seen.history_bytes == history_file::bytes(out, name)
}

/// Reads history and report, and analyses the campaign unless both say that it was done.
fn look_closer(
    round: &Round,
    place: &Place,
    before: Option<&Seen>,
    loaded: Loaded,
    inputs: Inputs,
    is_changed: &dyn Fn() -> bool,
    turn: &Turn,
) -> Result<Option<Entry>, Faults> {
    let (out, options) = (&round.options.out, &round.options);
    let folder = out.join(&place.name);
    let file = HistoryFile::read(out, &place.name)
        .map_err(|error| not_written(&history_file::path_of(out, &place.name), &error))?;
    let remark = remark(&file);
    let in_place = report_in_place::look(&folder);
    let was_done = file
        .history
        .last()
        .filter(|last| last.inputs.digest == inputs.digest);
    // A round that was killed told nobody; the next one does.
    let was_told = before.is_some_and(|seen| seen.entry.inputs.as_ref() == Some(&inputs.digest));
    let entry = |record: &Record, since: Option<Since>, if_told| {
        let standing = match &since {
            _ if was_told => if_told,
            None => Standing::New,
            Some(_) => Standing::Changed,
        };
        let flags = since.as_ref().filter(|_| !was_told).map(Since::flags);
        Entry {
            flags: flags.unwrap_or_default(),
            remark: remark.clone(),
            ..Entry::of(&place.name, standing, record, since)
        }
    };
    if let Some(last) = was_done
        && in_place.is_whole
        && in_place.inputs.as_ref() == Some(&inputs.digest)
    {
        return Ok(Some(entry(last, in_place.since, Standing::Unchanged)));
    }
    if options.gather {
        return Ok(Some(still_due(round, place, before)));
    }
    let worked_out = normalised(&loaded)?;
    let asked = Asked {
        response: options.response.as_deref(),
        ..Asked::usual(options.seed)
    };
    let analysis = whole_analysis(loaded, worked_out, asked)?;
    let result = json::whole(&analysis);
    let position = was_done.map_or_else(|| file.history.next_round(), |last| last.round);
    let record = Record::of(&result, inputs, position);
    let since = file
        .history
        .before(&record.inputs.digest, in_place.inputs.as_deref())
        .map(|earlier| Since::between(earlier, &record));
    let kept = Kept {
        inputs: record.inputs.digest.clone(),
        since: since.clone(),
        records: file.history.up_to(&record),
    };
    let files = report::report_since(&analysis, &result, &kept, options.besides.form())?;
    if is_changed() {
        return Ok(None);
    }
    if !turn.take() {
        return Err(too_long(options.limit).into());
    }
    let new = was_done.is_none().then_some(&record);
    keep(out, place, &file, new, &files)?;
    Ok(Some(entry(&record, since, Standing::Remade)))
}

/// Appends the record and publishes the report: both, or neither and the old ones stay.
fn keep(
    out: &Path,
    place: &Place,
    file: &HistoryFile,
    record: Option<&Record>,
    files: &[ReportFile],
) -> Result<(), Error> {
    if let Some(record) = record {
        file.append(record)
            .map_err(|error| not_written(&history_file::path_of(out, &place.name), &error))?;
    }
    let published = publish_among(out, &place.name, files);
    if published.is_err() && record.is_some() {
        // Should this fail too, the next round finds a record without its report and makes the report.
        let _ = file.take_back();
    }
    published.map(|_| ())
}

/// A campaign that needs work, in a round that does none.
fn still_due(round: &Round, place: &Place, before: Option<&Seen>) -> Entry {
    let known = known(&round.options.out, place, before).at_rest();
    Entry {
        standing: Standing::Due,
        stale: known.report.is_some(),
        ..known
    }
}

/// Whether a campaign needs work: its report or its record is not of the inputs that lie there now.
pub(super) fn is_due(round: &Round, place: &Place, before: Option<&Seen>) -> bool {
    let (out, options) = (&round.options.out, &round.options);
    let loaded = load(&place.folder, Outside::of(options.allow_outside));
    let state = digest::state(&loaded, options, &round.program);
    if before.is_some_and(|seen| is_as_it_was(out, &place.name, seen, &state)) {
        return false;
    }
    let in_place = report_in_place::look(&out.join(&place.name));
    let is_last = history_file::is_last(out, &place.name, &state);
    !(loaded.is_ok() && in_place.is_whole && in_place.inputs.as_ref() == Some(&state) && is_last)
}

/// What is known of a campaign from before.
pub(super) fn known(out: &Path, place: &Place, before: Option<&Seen>) -> Entry {
    let name = &place.name;
    let known = match before {
        Some(seen) => seen.entry.clone(),
        None => from_history(out, name, Standing::Failed),
    };
    let is_there = out.join(name).join("report.md").is_file();
    Entry {
        report: is_there.then(|| format!("{name}/report.md")),
        ..known
    }
}

/// A campaign as its history tells it.
pub(super) fn from_history(out: &Path, name: &str, standing: Standing) -> Entry {
    let file = HistoryFile::read(out, name).ok();
    let last = file.as_ref().and_then(|file| file.history.last());
    last.map_or_else(
        || Entry::unknown(name, standing),
        |record| Entry::of(name, standing, record, None),
    )
}

fn remark(file: &HistoryFile) -> Option<String> {
    let history = &file.history;
    match (history.torn, history.unreadable) {
        (0, 0) => None,
        (0, n) => Some(format!(
            "{n} lines of its history cannot be read and were passed over"
        )),
        (bytes, _) => Some(format!(
            "the last line of its history was cut short; its {bytes} bytes were put aside"
        )),
    }
}
