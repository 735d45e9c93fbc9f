//! Which terms are still unknown, and which run tells of them?
//!
//! In: a planner and runs to make. Out: names of terms.
//! This module never plans a run.

use super::information::FREE;
use super::planner::{Planner, UNKNOWN};
use super::space::PlanValues;
use crate::regression::{Setting, Settings, TermName};

/// Growth of a variance without a run from which on the run counts as one that tells of the term.
const TELLS: f64 = 1.1;

impl Planner {
    /// Terms that the runs made and these cannot tell, with the levels of blocks as free as any term.
    ///
    /// The constant is left out where there are blocks: it cannot be told from all their levels together.
    pub fn unknown_terms(&self, extra: &[Settings]) -> Vec<TermName> {
        let names = self.terms();
        self.free_variances(extra)
            .into_iter()
            .zip(names)
            .filter(|(variance, name)| *variance > UNKNOWN * FREE && !self.is_free_constant(name))
            .map(|(_, name)| name)
            .collect()
    }

    /// How many terms become known by these runs.
    pub fn terms_found(&self, runs: &[Settings]) -> usize {
        let before = self.unknown_terms(&[]).len();
        before.saturating_sub(self.unknown_terms(runs).len())
    }

    /// The terms, unknown so far, that are known less well without one of the runs.
    pub fn terms_served(&self, runs: &[Settings], run: usize) -> Vec<TermName> {
        let unknown = self.unknown_terms(&[]);
        let mut without = runs.to_vec();
        if run < without.len() {
            without.remove(run);
        }
        let (with, without) = (self.free_variances(runs), self.free_variances(&without));
        self.terms()
            .into_iter()
            .zip(with.into_iter().zip(without))
            .filter(|(name, (with, without))| *without > TELLS * with && unknown.contains(name))
            .map(|(name, _)| name)
            .collect()
    }

    /// The same settings with the first value of the space for each factor that they do not name; names that the space
    /// does not know are dropped.
    pub fn completed(&self, settings: &Settings) -> Settings {
        let factors = self.space().factors.iter();
        factors.fold(Settings::default(), |all, factor| {
            match (settings.get(&factor.name), &factor.values) {
                (Some(Setting::Amount(value)), _) => all.amount(&factor.name, *value),
                (Some(Setting::Level(level)), _) => all.level(&factor.name, level),
                (None, PlanValues::Amounts(amounts)) => all.amount(&factor.name, amounts[0]),
                (None, PlanValues::Levels(levels)) => all.level(&factor.name, &levels[0]),
            }
        })
    }
}
