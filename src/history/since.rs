//! The differences between two records of a campaign.
//!
//! In: the record before and the record now. Out: [`Since`], and the [`Flag`]s that somebody should be told of.
//! This module never judges whether a change is good or bad.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use super::{
    Decided, Estimated, Figure, FigureKind, FlaggedPoint, LeftOutRow, Record, RunYield, Says,
    Verdict,
};

/// What changed since the record before.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Since {
    /// Position of the record that this one is compared with.
    pub round: u64,
    /// Runs that are new in the log.
    pub new_runs: Vec<String>,
    /// Runs that are no longer in it.
    pub gone_runs: Vec<String>,
    /// Earlier runs whose contained yield moved by more than its standard uncertainty, or came or went.
    pub changed_runs: Vec<String>,
    /// Rows that a fault leaves out now and did not before.
    pub newly_left_out: Vec<LeftOutRow>,
    /// Names of the parts of the inputs that changed.
    pub inputs: Vec<String>,
    /// Version of the program, where it is another one.
    pub program: Option<ProgramChange>,
    /// Verdicts that changed.
    pub verdicts: Vec<ChangedVerdict>,
    /// Estimates that moved by more than their standard uncertainty.
    pub moved: Vec<Moved>,
    /// Points that a control chart flags now and did not before.
    #[serde(rename = "flags")]
    pub drift: Vec<FlaggedPoint>,
}

/// Another version of the program.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ProgramChange {
    /// The version before.
    pub before: String,
    /// The version now.
    pub now: String,
}

/// A question that is answered otherwise than before.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChangedVerdict {
    /// The question.
    #[serde(rename = "subject")]
    pub about: Decided,
    /// The answer before; none when the question is new.
    #[serde(rename = "was")]
    pub before: Option<Says>,
    /// The answer now; none when the question no longer arises.
    #[serde(rename = "is")]
    pub now: Option<Says>,
    /// The interval that the answer rests on now.
    pub interval: Option<[f64; 2]>,
}

/// An estimate that moved by more than the standard uncertainty it had.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Moved {
    /// What is estimated.
    #[serde(rename = "subject")]
    pub about: Estimated,
    /// Its unit; `1` is a fraction.
    pub unit: String,
    /// Whether it is a level or a difference.
    pub kind: FigureKind,
    /// The estimate before.
    pub before: f64,
    /// The standard uncertainty that it had.
    pub before_u: f64,
    /// The estimate now.
    pub now: f64,
    /// Its standard uncertainty now.
    pub u: Option<f64>,
    /// Its interval now.
    pub interval: Option<[f64; 2]>,
}

/// Why somebody should look at a campaign.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Flag {
    /// A verdict changed.
    Verdict,
    /// An estimate moved by more than its standard uncertainty.
    Moved,
    /// The contained yield of an earlier run changed.
    EarlierRuns,
    /// A run is no longer in the log.
    GoneRuns,
    /// A fault leaves out a row that was not left out before.
    LeftOut,
    /// A control chart flags a point that it did not flag before.
    Drift,
    /// The whole campaign is no longer there; found by whoever looks for it, never by comparing records.
    GoneCampaign,
}

impl Since {
    /// Compares the record now with the one before.
    ///
    /// An estimate moved when it lies more than the standard uncertainty that it had before away from where it was.
    /// When `k` runs join `n` and nothing else changes, chance alone moves it by about `sqrt(k / (n + k))` of that,
    /// so a few new runs in a campaign of 60 do it about never, and doubling the log does it one time in six.
    ///
    /// # Assumes
    /// All runs count about the same; an estimate without uncertainty is not compared.
    /// # Source
    /// For estimates from nested data the variance of their difference is the difference of their variances:
    /// Hausman, J. A., Econometrica 46 (1978) 1251-1271, lemma 2.1 (from memory).
    pub fn between(before: &Record, now: &Record) -> Since {
        let known = now.runs.iter().map(|run| run.run.as_str());
        let left_out = now.left_out.iter().filter_map(|row| row.run.as_deref());
        let figures = now.figures.iter();
        Since {
            round: before.round,
            // One that a fault had left out is new to every figure; one that a fault leaves out now is told of as such.
            new_runs: runs_without(now, before.runs.iter().map(|run| run.run.as_str())),
            gone_runs: runs_without(before, known.chain(left_out)),
            changed_runs: changed_runs(before, now),
            newly_left_out: new_among(&before.left_out, &now.left_out),
            inputs: changed_inputs(before, now),
            program: (before.inputs.program != now.inputs.program).then(|| ProgramChange {
                before: before.inputs.program.clone(),
                now: now.inputs.program.clone(),
            }),
            verdicts: changed_verdicts(before, now),
            moved: figures
                .filter_map(|of| moved(&before.figures, of))
                .collect(),
            drift: match before.is_partial {
                true => Vec::new(),
                false => new_among(&before.drift, &now.drift),
            },
        }
    }

    /// What somebody should be told of, most weighty first; new runs alone are no reason.
    pub fn flags(&self) -> Vec<Flag> {
        let flags = [
            (Flag::Verdict, self.verdicts.is_empty()),
            (Flag::Drift, self.drift.is_empty()),
            (Flag::LeftOut, self.newly_left_out.is_empty()),
            (Flag::GoneRuns, self.gone_runs.is_empty()),
            (Flag::EarlierRuns, self.changed_runs.is_empty()),
            (Flag::Moved, self.moved.is_empty()),
        ];
        let raised = flags.into_iter().filter(|(_, nothing)| !nothing);
        raised.map(|(flag, _)| flag).collect()
    }
}

/// Runs of a record without those that are known.
fn runs_without<'a>(record: &Record, known: impl Iterator<Item = &'a str>) -> Vec<String> {
    let known: BTreeSet<&str> = known.collect();
    let runs = record.runs.iter().map(|run| &run.run);
    let others = runs.filter(|run| !known.contains(run.as_str()));
    others.cloned().collect()
}

fn changed_runs(before: &Record, now: &Record) -> Vec<String> {
    let before = before.runs.iter().map(|run| (run.run.as_str(), run));
    let before: BTreeMap<&str, &RunYield> = before.collect();
    let changed = now.runs.iter().filter(|run| {
        let old = before.get(run.run.as_str());
        old.is_some_and(|old| is_changed(old, run))
    });
    changed.map(|run| run.run.clone()).collect()
}

/// The entries that were not there before.
fn new_among<T: Clone + PartialEq>(before: &[T], now: &[T]) -> Vec<T> {
    let new = now.iter().filter(|entry| !before.contains(entry));
    new.cloned().collect()
}

fn is_changed(before: &RunYield, now: &RunYield) -> bool {
    match (before.value, now.value) {
        (Some(old), Some(new)) => (new - old).abs() > before.u.unwrap_or(0.0),
        (None, None) => false,
        _ => true,
    }
}

fn changed_inputs(before: &Record, now: &Record) -> Vec<String> {
    let [old, new] = [&before.inputs.parts, &now.inputs.parts];
    let parts = [new_among(old, new), new_among(new, old)].concat();
    let names: BTreeSet<String> = parts.into_iter().map(|part| part.name).collect();
    names.into_iter().collect()
}

fn changed_verdicts(before: &Record, now: &Record) -> Vec<ChangedVerdict> {
    let among = |verdicts: &[Verdict], about: &Decided| -> Option<Says> {
        let found = verdicts.iter().find(|verdict| verdict.about == *about);
        found.map(|verdict| verdict.says.clone())
    };
    let changed = now.verdicts.iter().filter_map(|verdict| {
        let old = among(&before.verdicts, &verdict.about);
        let is_news = match &old {
            Some(old) => *old != verdict.says,
            // A level that is run for the first time brings verdicts of its own; those are news, not changes.
            None => verdict.says == Says::CannotBeToldApart && !before.is_partial,
        };
        is_news.then(|| ChangedVerdict {
            about: verdict.about.clone(),
            before: old,
            now: Some(verdict.says.clone()),
            interval: verdict.interval,
        })
    });
    let gone = before.verdicts.iter().filter(|old| {
        old.says == Says::CannotBeToldApart && among(&now.verdicts, &old.about).is_none()
    });
    let gone = gone.map(|old| ChangedVerdict {
        about: old.about.clone(),
        before: Some(old.says.clone()),
        now: None,
        interval: None,
    });
    changed.chain(gone).collect()
}

fn moved(before: &[Figure], now: &Figure) -> Option<Moved> {
    let is_it = |old: &&Figure| old.about == now.about && old.unit == now.unit;
    let old = before.iter().find(is_it)?;
    let before_u = old.u?;
    ((now.value - old.value).abs() > before_u).then(|| Moved {
        about: now.about.clone(),
        unit: now.unit.clone(),
        kind: now.kind,
        before: old.value,
        before_u,
        now: now.value,
        u: now.u,
        interval: now.interval,
    })
}
