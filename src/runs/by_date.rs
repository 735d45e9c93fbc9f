//! What was measured on several days, on the day asked for: the strength of a titrant, what a control sample was found at.
//!
//! In: what days compared came to, and the days of titrations. Out: [`ByDate`]: one mean, a straight line or the way between neighbours, each with its ±.
//! This module never decides which of them it is.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::intake::{Logged, TitreRow};
use crate::measured::Measured;

/// How a value comes about on a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Used {
    /// One mean for all days.
    Pooled,
    /// A straight line through all days.
    Line,
    /// The straight way between the days before and behind it.
    Between,
}

impl Used {
    /// Its name in results.
    pub fn name(self) -> &'static str {
        match self {
            Used::Pooled => "pooled",
            Used::Line => "line",
            Used::Between => "between neighbours",
        }
    }
}

/// A quantity by its day.
#[derive(Debug, Clone)]
pub struct ByDate {
    pub(super) pooled: Measured,
    pub(super) law: Law,
}

/// How it goes with the days.
#[derive(Debug, Clone)]
pub(super) enum Law {
    /// Not at all.
    Pooled,
    /// Along a line.
    Line {
        /// Weighted mean of the days.
        middle: f64,
        /// Its value there.
        level: Measured,
        /// Its change in a day.
        per_day: Measured,
    },
    /// From day to day.
    Between {
        /// Days in their order with the value of each.
        days: Vec<(f64, Measured)>,
        /// What one day may add before the first, between two, and behind the last of these: value 0.
        wander: Vec<Measured>,
    },
}

impl ByDate {
    /// How values of this quantity come about.
    pub fn used(&self) -> Used {
        match self.law {
            Law::Pooled => Used::Pooled,
            Law::Line { .. } => Used::Line,
            Law::Between { .. } => Used::Between,
        }
    }

    /// The value on a day; on an unknown one the mean of all.
    ///
    /// Line: `c̄ + b·(t − t̄)`. Between neighbours at `t₁` and `t₂`: `((t₂ − t)·c₁ + (t − t₁)·c₂)/(t₂ − t₁)`, and the error that
    /// a wandering value may have there, `σ²·(t − t₁)(t₂ − t)/(t₂ − t₁)`; beyond the last one its value and `σ²·|t − t₂|`.
    ///
    /// # Source
    /// JCGM 100:2008, 5.2.2, every measurement with its own sources. The error between neighbours is that of a Wiener
    /// process tied at both (Brownian bridge); textbook knowledge, from memory.
    pub fn at(&self, day: Option<i32>) -> Cow<'_, Measured> {
        let Some(day) = day.map(f64::from) else {
            return Cow::Borrowed(&self.pooled);
        };
        Cow::Owned(match &self.law {
            Law::Pooled => return Cow::Borrowed(&self.pooled),
            Law::Line {
                middle,
                level,
                per_day,
            } => level + &(per_day.clone() * (day - middle)),
            Law::Between { days, wander } => {
                let behind = days.partition_point(|(known, _)| *known < day);
                let known = |position: usize| &days[position.min(days.len() - 1)];
                let (before, after) = (known(behind.saturating_sub(1)), known(behind));
                let (gap, part) = match after.0 - before.0 {
                    gap if gap > 0.0 => {
                        let part = (day - before.0) / gap;
                        (gap * part * (1.0 - part), part)
                    }
                    // Before the first or behind the last, both of which stand for themselves.
                    _ => ((day - after.0).abs(), 1.0),
                };
                let value = &(before.1.clone() * (1.0 - part)) + &(after.1.clone() * part);
                match wander.get(behind) {
                    Some(wander) => &value + &(wander.clone() * gap.sqrt()),
                    None => value,
                }
            }
        })
    }
}

/// The days of titrations: their own, else those of their runs.
pub struct Days<'l>(BTreeMap<&'l str, i32>);

impl<'l> Days<'l> {
    /// The days of the runs log.
    pub fn of(logged: &'l Logged) -> Self {
        let rows = logged.runs.rows.iter();
        let dated = rows.filter_map(|row| Some((row.run.as_str(), row.date.as_ref()?.day)));
        Days(dated.collect())
    }

    /// The day of a titration; `None` where neither it nor its run has one.
    pub fn day(&self, titre: &TitreRow) -> Option<i32> {
        let own = titre.date().map(|date| date.day);
        own.or_else(|| self.0.get(titre.run.as_str()).copied())
    }
}
