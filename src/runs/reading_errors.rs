//! The uncertainty that each reading carries.
//!
//! In: a logged number and the name of its source. Out: [`Measured`] with a source that is its own,
//! shared by name, or marked as not stated; in a simulation, the simulated readings instead.
//! This module never decides what depends on a reading.

use std::collections::BTreeMap;

use crate::campaign::UncertaintyPlan;
use crate::chemistry::AtomicWeights;
use crate::intake::LoggedNumber;
use crate::measured::{Distribution, Draws, Growth, Measured, SourceFamily, SourceId, Sources};

/// The one reading of a yield whose error does not grow with it: the mass of a crop.
const WEIGHED_OUT: &str = "crop_mass";

/// The sources of a campaign as they are given out.
#[derive(Clone)]
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

/// What is known of one error.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spread {
    pub distribution: Distribution,
    pub uncertainty: f64,
    pub degrees_of_freedom: f64,
}

impl Spread {
    /// An error whose size was stated, not estimated.
    pub fn stated(distribution: Distribution, uncertainty: f64) -> Self {
        Spread {
            distribution,
            uncertainty,
            degrees_of_freedom: f64::INFINITY,
        }
    }

    /// A normal error whose size is known with some degrees of freedom.
    pub fn normal(uncertainty: f64, degrees_of_freedom: f64) -> Self {
        Spread {
            distribution: Distribution::Normal,
            uncertainty,
            degrees_of_freedom,
        }
    }
}

/// What a source is called in the budget, and what it is.
pub(super) struct Label {
    name: String,
    family: SourceFamily,
}

impl Label {
    /// The assay of a lot.
    pub fn of_lot(lot: &str) -> Self {
        Label {
            name: format!("assay of lot {lot}"),
            family: SourceFamily::LotAssay,
        }
    }

    /// An assay that can be made again, of neither lot nor titrant.
    pub fn of_assay(name: &str) -> Self {
        Label {
            name: name.into(),
            family: SourceFamily::Assay,
        }
    }

    /// Something that the strength of a titrant rests on.
    pub fn of_titrant(what: &str, titrant: &str) -> Self {
        Label {
            name: format!("{what} of {titrant}"),
            family: SourceFamily::TitrantStrength,
        }
    }
}

impl<T: Into<String>> From<T> for Label {
    fn from(name: T) -> Self {
        Label {
            name: name.into(),
            family: SourceFamily::Other,
        }
    }
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
            draws: None,
            ..self.clone()
        }
    }

    /// Atomic weights, each element one source.
    pub fn atomic_weights(&mut self) -> AtomicWeights {
        AtomicWeights::with(|weight| {
            let spread = Spread::stated(AtomicWeights::DISTRIBUTION, weight.standard_uncertainty);
            self.own(weight.value, AtomicWeights::BUDGET_NAME, spread)
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
        let stated = names.iter().find_map(|name| self.plan.of(name));
        let spread = match (number.uncertainty, stated) {
            (Some(logged), _) => Spread::stated(Distribution::Normal, logged),
            (None, Some(stated)) => {
                Spread::stated(stated.distribution, stated.standard_uncertainty())
            }
            (None, None) => Spread::stated(Distribution::NotStated, 0.0),
        };
        let source = self.source(names, label.into(), spread);
        if names.contains(&WEIGHED_OUT) {
            self.sources.get_mut(source).growth = Growth::Fixed;
        }
        self.number(number.value, source, spread)
    }

    /// An error of mean zero that `[uncertainty]` states under a name; `None` where it states nothing.
    pub fn error(&mut self, name: &str, label: &str) -> Option<Measured> {
        let stated = self.plan.of(name)?;
        let spread = Spread::stated(stated.distribution, stated.standard_uncertainty());
        let source = self.source(&[name], label.into(), spread);
        Some(self.number(0.0, source, spread))
    }

    /// A number with a new source of its own whose uncertainty comes from one estimate for all that share a name.
    pub fn pooled(&mut self, value: f64, label: &str, spread: Spread) -> Measured {
        let source = self.add(Label::of_assay(label), spread);
        let first = *self.estimates.entry(label.to_string()).or_insert(source);
        self.sources.get_mut(source).estimate = Some(first);
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
        let source = self.add(label.into(), spread);
        self.number(value, source, spread)
    }

    fn add(&mut self, label: Label, spread: Spread) -> SourceId {
        let Label { name, family } = label;
        let source = self
            .sources
            .add(name, spread.distribution, spread.degrees_of_freedom);
        self.sources.get_mut(source).family = family;
        source
    }

    /// The source of the first of these names that the campaign shares, else a new one.
    fn source(&mut self, names: &[&str], label: Label, spread: Spread) -> SourceId {
        let Some(name) = names.iter().find(|name| self.plan.is_shared(name)) else {
            return self.add(label, spread);
        };
        if let Some(source) = self.shared.get(*name) {
            return *source;
        }
        let source = self.add(label, spread);
        self.shared.insert(name.to_string(), source);
        source
    }

    fn number(&mut self, value: f64, source: SourceId, spread: Spread) -> Measured {
        let known = self.sources.get_mut(source);
        if value != 0.0 {
            known.relative = Some(spread.uncertainty / value.abs());
        }
        let number = Measured::new(value, source, spread.uncertainty);
        let Some(draws) = self.draws else {
            return number;
        };
        let errors = draws.errors(source, known).into_iter();
        number.with_lanes(
            errors
                .map(|error| value + spread.uncertainty * error)
                .collect(),
        )
    }
}
