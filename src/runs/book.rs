//! Which uncertainty a reading carries.
//!
//! In: a logged number and the name of its source. Out: [`Measured`] with a source that is its own,
//! shared by name, or marked as not stated.
//! This module never decides what depends on a reading.

use std::collections::BTreeMap;

use crate::campaign::UncertaintyPlan;
use crate::intake::LoggedNumber;
use crate::measured::{Distribution, Measured, SourceId, Sources};

/// The sources of a campaign as they are given out.
pub(super) struct Book<'c> {
    pub sources: Sources,
    plan: &'c UncertaintyPlan,
    shared: BTreeMap<String, SourceId>,
}

impl<'c> Book<'c> {
    pub fn new(plan: &'c UncertaintyPlan) -> Self {
        Book {
            sources: Sources::default(),
            plan,
            shared: BTreeMap::new(),
        }
    }

    /// A reading with an error of its own, or with the campaign's where `shared` names its source.
    ///
    /// `names` are the keys of `[uncertainty]` that may speak for it, the first that is there counts;
    /// `label` is its name in the budget.
    pub fn reading(&mut self, number: LoggedNumber, names: &[&str], label: &str) -> Measured {
        let key = names.iter().find(|name| self.plan.of(name).is_some());
        let stated = key.and_then(|name| self.plan.of(name));
        let (distribution, uncertainty) = match (number.uncertainty, stated) {
            (Some(logged), _) => (Distribution::Normal, logged),
            (None, Some(stated)) => (stated.distribution, stated.standard_uncertainty()),
            (None, None) => (Distribution::NotStated, 0.0),
        };
        let source = match names.iter().find(|name| self.plan.is_shared(name)) {
            Some(name) => self.shared(name, label, distribution),
            None => self.sources.add(label, distribution, f64::INFINITY),
        };
        Measured::new(number.value, source, uncertainty)
    }

    /// An error of mean zero that `[uncertainty]` states under a name; `None` where it states nothing.
    pub fn error(&mut self, name: &str, label: &str) -> Option<Measured> {
        let stated = self.plan.of(name)?;
        let source = if self.plan.is_shared(name) {
            self.shared(name, label, stated.distribution)
        } else {
            self.sources.add(label, stated.distribution, f64::INFINITY)
        };
        Some(Measured::new(0.0, source, stated.standard_uncertainty()))
    }

    fn shared(&mut self, name: &str, label: &str, distribution: Distribution) -> SourceId {
        if let Some(source) = self.shared.get(name) {
            return *source;
        }
        let source = self.sources.add(label, distribution, f64::INFINITY);
        self.shared.insert(name.to_string(), source);
        source
    }
}
