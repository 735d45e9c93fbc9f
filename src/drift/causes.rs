//! Changes in the log where a departure began.
//!
//! In: runs, which of them are charted, and where a departure began. Out: the first candidate [`Cause`].
//! This module never says that a candidate is the cause.

use super::statistics::ChartKind;
use crate::campaign::LOT;
use crate::runs::{FactorColumn, FactorValues, RunResult, Runs, TitrantResult};

/// Runs before the estimated onset that are looked at too, because an onset is only an estimate.
const RUNS_BEFORE: usize = 3;

/// Something that changed from one run to the next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// Another lot.
    Lot {
        /// The lot before.
        before: String,
        /// The lot now.
        now: String,
    },
    /// A titrant that the run before was not titrated with.
    Titrant {
        /// Its name.
        titrant: String,
    },
    /// A titrant of the run was standardised since the run before.
    Standardised {
        /// Its name.
        titrant: String,
        /// When, as written.
        date: String,
    },
    /// Another level of a choice.
    Level {
        /// The factor.
        factor: String,
        /// Its level before.
        before: String,
        /// Its level now.
        now: String,
        /// Whether the model takes its effect out of what is charted.
        in_model: bool,
    },
}

/// A change that may have caused a departure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cause {
    /// The run at which it is first seen.
    pub run: String,
    /// How many charted runs after the estimated onset; below zero if before.
    pub after_onset: i64,
    /// What changed.
    pub change: Change,
}

/// Where to look for a cause.
pub(super) struct Lookout<'a> {
    pub runs: &'a Runs,
    /// Positions of the charted runs among the results.
    pub charted: &'a [usize],
    /// Factors whose effects are taken out.
    pub in_model: &'a [String],
}

impl Lookout<'_> {
    /// The change nearest to the onset: lots, titrants and levels whose effect stays in the chart first, from three runs
    /// before an estimated onset to the flag; else a level that the model knows, at the onset alone. A single value has
    /// no onset but itself.
    pub fn first_cause(&self, kind: ChartKind, onset: usize, first_flag: usize) -> Option<Cause> {
        let before = match kind {
            ChartKind::Individuals => 0,
            ChartKind::Ewma | ChartKind::Cusum => RUNS_BEFORE,
        };
        let from = onset.saturating_sub(before);
        let mut places: Vec<usize> = (from.max(1)..=first_flag).collect();
        places.sort_by_key(|place| (place.abs_diff(onset), *place));
        let change_at = |place: usize| {
            let change = self.of_stock(place);
            Some((place, change.or_else(|| self.of_levels(place, false))?))
        };
        let near = places.into_iter().find_map(change_at);
        let (place, change) = near.or_else(|| Some((onset, self.of_levels(onset, true)?)))?;
        Some(Cause {
            run: self.result(place).run.clone(),
            after_onset: place as i64 - onset as i64,
            change,
        })
    }

    fn result(&self, place: usize) -> &RunResult {
        &self.runs.results[self.charted[place]]
    }

    /// Lot, then titrant, then standardisation.
    fn of_stock(&self, place: usize) -> Option<Change> {
        let (before, now) = (self.result(place.checked_sub(1)?), self.result(place));
        if let (Some(lot_before), Some(lot)) = (&before.lot, &now.lot)
            && lot_before != lot
        {
            return Some(Change::Lot {
                before: lot_before.clone(),
                now: lot.clone(),
            });
        }
        let (old, new) = (&before.titrants, &now.titrants);
        if old.is_empty() {
            return None;
        }
        let fresh = new.iter().find(|titrant| !old.contains(titrant)).cloned();
        fresh
            .map(|titrant| Change::Titrant { titrant })
            .or_else(|| standardised(self.runs, new, before.date.as_ref()?, now.date.as_ref()?))
    }

    /// A choice at another level, known to the model or not.
    fn of_levels(&self, place: usize, in_model: bool) -> Option<Change> {
        let before = self.charted[place.checked_sub(1)?];
        let now = self.charted[place];
        let looked_at = |column: &&FactorColumn| {
            column.name != LOT && self.in_model.contains(&column.name) == in_model
        };
        let mut columns = self.runs.factors.iter().filter(looked_at);
        columns.find_map(|column| {
            let FactorValues::Choice { levels, codes } = &column.values else {
                return None;
            };
            let (old, new) = (codes[before]?, codes[now]?);
            (old != new).then(|| Change::Level {
                factor: column.name.clone(),
                before: levels[old].clone(),
                now: levels[new].clone(),
                in_model,
            })
        })
    }
}

/// A standardisation of one of these titrants after the date of one run and up to that of the next.
fn standardised(runs: &Runs, titrants: &[String], after: &str, until: &str) -> Option<Change> {
    let used = |titrant: &&TitrantResult| titrants.contains(&titrant.titrant);
    runs.titrants.iter().filter(used).find_map(|titrant| {
        let mut dates = titrant.rows.iter().filter_map(|row| row.date.as_deref());
        let fresh = dates.rfind(|date| *date > after && *date <= until)?;
        Some(Change::Standardised {
            titrant: titrant.titrant.clone(),
            date: fresh.to_string(),
        })
    })
}
