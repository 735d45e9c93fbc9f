//! Which uncertainty a reading carries.
//!
//! In: a logged number and the name of its source. Out: [`Measured`] with a source that is its own,
//! shared by name, or marked as not stated; in a simulation, the simulated readings instead.
//! This module never decides what depends on a reading.

use std::collections::BTreeMap;

use crate::campaign::UncertaintyPlan;
use crate::chemistry::AtomicWeights;
use crate::intake::LoggedNumber;
use crate::measured::{Distribution, Draws, Measured, SourceFamily, SourceId, Sources};

/// The one reading of a yield whose error does not grow with it: the mass of a crop.
const WEIGHED_OUT: &str = "crop_mass";

/// The sources of a campaign as they are given out.
pub(super) struct Book<'c> {
    pub sources: Sources,
    plan: &'c UncertaintyPlan,
    shared: BTreeMap<String, SourceId>,
    /// First source of each pooled estimate, by name.
    estimates: BTreeMap<String, SourceId>,
    /// Readings of things that several rows name, by name and figure.
    commons: BTreeMap<String, Measured>,
    /// The batch that is being simulated; without one, uncertainties are propagated.
    draws: Option<Draws>,
}

/// What a source is called in the budget, and what it counts together with.
#[derive(Debug, Clone)]
pub(super) struct Label {
    name: String,
    family: SourceFamily,
}

impl Label {
    /// A name of one of several sources that count together.
    pub fn of(family: SourceFamily, name: String) -> Self {
        Label { name, family }
    }
}

impl From<&str> for Label {
    fn from(name: &str) -> Self {
        Label::of(SourceFamily::Name, name.to_string())
    }
}

/// What is known of one error.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spread {
    pub distribution: Distribution,
    pub uncertainty: f64,
    pub degrees_of_freedom: f64,
}

impl<'c> Book<'c> {
    pub fn new(plan: &'c UncertaintyPlan, draws: Option<Draws>) -> Self {
        Book {
            sources: Sources::default(),
            plan,
            shared: BTreeMap::new(),
            estimates: BTreeMap::new(),
            commons: BTreeMap::new(),
            draws,
        }
    }

    /// A book to try something out: it knows all sources so far, and what is written into it stays there.
    pub fn scratch(&self) -> Book<'c> {
        Book {
            sources: self.sources.clone(),
            plan: self.plan,
            shared: self.shared.clone(),
            estimates: self.estimates.clone(),
            commons: self.commons.clone(),
            draws: None,
        }
    }

    /// Atomic weights, each element one source.
    pub fn atomic_weights(&mut self) -> AtomicWeights {
        AtomicWeights::with(|weight| {
            self.own(
                weight.value,
                AtomicWeights::BUDGET_NAME,
                Spread {
                    distribution: AtomicWeights::DISTRIBUTION,
                    uncertainty: weight.standard_uncertainty,
                    degrees_of_freedom: f64::INFINITY,
                },
            )
        })
    }

    /// A reading with an error of its own, or with the campaign's where `shared` names its source.
    ///
    /// `names` are the keys of `[uncertainty]` that may speak for it, the first that is there counts;
    /// `label` is its name in the budget.
    pub fn reading(
        &mut self,
        number: LoggedNumber,
        names: &[&str],
        label: impl Into<Label>,
    ) -> Measured {
        let key = names.iter().find(|name| self.plan.of(name).is_some());
        let stated = key.and_then(|name| self.plan.of(name));
        let label = label.into();
        let (distribution, uncertainty) = match (number.uncertainty, stated) {
            (Some(logged), _) => (Distribution::Normal, logged),
            (None, Some(stated)) => (stated.distribution, stated.standard_uncertainty()),
            (None, None) => (Distribution::NotStated, 0.0),
        };
        let spread = Spread {
            distribution,
            uncertainty,
            degrees_of_freedom: f64::INFINITY,
        };
        let source = match names.iter().find(|name| self.plan.is_shared(name)) {
            Some(name) => self.shared(name, &label, spread),
            None => self.source(&label, spread),
        };
        if names.contains(&WEIGHED_OUT) {
            self.sources.note_fixed(source);
        }
        self.number(number.value, source, spread)
    }

    /// An error of mean zero that `[uncertainty]` states under a name; `None` where it states nothing.
    pub fn error(&mut self, name: &str, label: &str) -> Option<Measured> {
        let stated = self.plan.of(name)?;
        let spread = Spread {
            distribution: stated.distribution,
            uncertainty: stated.standard_uncertainty(),
            degrees_of_freedom: f64::INFINITY,
        };
        Some(if self.plan.is_shared(name) {
            let source = self.shared(name, &label.into(), spread);
            self.number(0.0, source, spread)
        } else {
            self.own(0.0, label, spread)
        })
    }

    /// A number with a new source of its own whose uncertainty comes from one estimate for all that share a name.
    pub fn pooled(&mut self, value: f64, label: &str, spread: Spread) -> Measured {
        let source = self.source(&label.into(), spread);
        let first = *self.estimates.entry(label.to_string()).or_insert(source);
        self.sources.note_estimate(source, first);
        self.number(value, source, spread)
    }

    /// A reading that all who name the same thing share, such as the purity of one bottle of standard.
    pub fn common(&mut self, number: LoggedNumber, names: &[&str], label: &str) -> Measured {
        let key = format!("{label} {} {:?}", number.value, number.uncertainty);
        if let Some(known) = self.commons.get(&key) {
            return known.clone();
        }
        let reading = self.reading(number, names, label);
        self.commons.insert(key, reading.clone());
        reading
    }

    /// A number with a new source of its own.
    pub fn own(&mut self, value: f64, label: impl Into<Label>, spread: Spread) -> Measured {
        let source = self.source(&label.into(), spread);
        self.number(value, source, spread)
    }

    fn source(&mut self, label: &Label, spread: Spread) -> SourceId {
        let source = self
            .sources
            .add(&label.name, spread.distribution, spread.degrees_of_freedom);
        self.sources.note_family(source, label.family);
        source
    }

    fn shared(&mut self, name: &str, label: &Label, spread: Spread) -> SourceId {
        if let Some(source) = self.shared.get(name) {
            return *source;
        }
        let source = self.source(label, spread);
        self.shared.insert(name.to_string(), source);
        source
    }

    fn number(&mut self, value: f64, source: SourceId, spread: Spread) -> Measured {
        if value != 0.0 {
            self.sources
                .note_relative(source, spread.uncertainty / value.abs());
        }
        let number = Measured::new(value, source, spread.uncertainty);
        let Some(draws) = self.draws else {
            return number;
        };
        let errors = draws.errors(source, self.sources.get(source));
        number.with_lanes(
            errors
                .into_iter()
                .map(|error| value + spread.uncertainty * error)
                .collect(),
        )
    }
}
