//! The check of what is asked of a model against the runs.
//!
//! In: what is asked of a model, and the runs. Out: the design, or every fault at once.
//! This module never stops at the first fault, and never looks at what a fit would give.

use std::collections::BTreeSet;

use super::data::{Factor, FitData};
use super::listed_names::{one_of, quoted};
use super::params::{Constant, ModelParams};
use super::terms::Design;
use crate::error::{Error, ErrorKind, Faults};

/// A model that fits the factors it was checked against.
#[derive(Debug, Clone)]
pub struct ValidModel {
    params: ModelParams,
    /// Choices that are no blocks, whose levels may hide behind terms all the same.
    watched: Vec<String>,
    /// Choices that are no effects, whose levels may scatter differently all the same.
    scattering: Vec<String>,
    is_even: bool,
}

impl ModelParams {
    /// Checks what is asked against the runs.
    ///
    /// # Errors
    /// Every fault at once: no runs or values that are missing or not finite, unknown or repeated factors,
    /// errors of measurement that are no standard uncertainties of these runs, a curved choice, a block that is an amount or also an effect, a confidence outside (0, 1),
    /// responses that have no place on the scale asked for;
    /// [`crate::error::ErrorKind::Model`] for no terms at all and for more terms than runs.
    pub fn check(self, data: &FitData) -> Result<ValidModel, Faults> {
        design(&self, data)?;
        Ok(ValidModel {
            params: self,
            watched: Vec::new(),
            scattering: Vec::new(),
            is_even: false,
        })
    }
}

impl ValidModel {
    /// What was asked.
    pub fn params(&self) -> &ModelParams {
        &self.params
    }

    /// The same model, which also tells where a term does the same as a level of this choice, block or not.
    ///
    /// Blocks are always looked at in this way; a choice among the effects is a term itself, and one that the runs do not have is no fault.
    pub fn watching(mut self, choice: &str) -> Self {
        self.watched.push(choice.to_string());
        self
    }

    /// The same model, which also looks whether levels of this choice scatter differently, such as those of a block; the choices
    /// among the effects are always looked at.
    pub fn scattering_by(mut self, choice: &str) -> Self {
        self.scattering.push(choice.to_string());
        self
    }

    /// The same model, whose scatter counts as even whatever the residuals look like: for what is no measured response, such as
    /// a cost that only one level has.
    pub fn with_even_scatter(self) -> Self {
        Self {
            is_even: true,
            ..self
        }
    }

    /// Whether its scatter counts as even.
    pub(crate) fn is_even(&self) -> bool {
        self.is_even
    }

    /// The design for these runs, which may be others than those of the check.
    pub(crate) fn design(&self, data: &FitData) -> Result<Design, Faults> {
        let mut design = design(&self.params, data)?;
        let more = self.watched.iter().filter_map(|name| data.position(name));
        design.watch(more, data);
        let scattering = self.scattering.iter();
        design.scattering = scattering.filter_map(|name| data.position(name)).collect();
        Ok(design)
    }
}

/// The design that was asked for, or all faults.
fn design(params: &ModelParams, data: &FitData) -> Result<Design, Faults> {
    let mut faults = of_data(data);
    faults.extend(params.scale.fault(&params.response, data));
    of_factors(params, data, &mut faults);
    of_curves(params, data, &mut faults);
    of_blocks(params, data, &mut faults);
    if !(params.confidence > 0.0 && params.confidence < 1.0) {
        let message = format!(
            "the confidence is not between 0 and 1: {}",
            params.confidence
        );
        faults.push(Error::new(ErrorKind::OutOfRange, message).hint("0.95 is usual"));
    }
    // The size of the design is known only when every name in it is.
    Faults::or(faults, ())?;
    of_size(params, data)
}

fn model(message: impl Into<String>) -> Error {
    Error::new(ErrorKind::Model, message)
}

fn twice(list: &str, name: &str) -> Error {
    model(format!("`{list}` names a factor twice: {}", quoted(name)))
}

fn of_data(data: &FitData) -> Vec<Error> {
    let mut faults = Vec::new();
    let runs = data.runs.len();
    if runs == 0 {
        faults.push(
            Error::new(ErrorKind::Empty, "there is no run to fit a model to")
                .hint("log at least as many runs as the model has terms"),
        );
    }
    let of_factor = |factor: &Factor| (quoted(&factor.name), factor.values.len());
    let mut lengths = vec![("the response".to_string(), data.response.len())];
    lengths.extend(data.factors.iter().map(of_factor));
    for (what, found) in lengths.iter().filter(|(_, found)| *found != runs) {
        let message = format!("{what} has {found} values for {runs} runs");
        faults.push(Error::new(ErrorKind::Missing, message));
    }
    let amounts = |factor| Factor::amounts(factor).unwrap_or(&[]);
    let lists = std::iter::once(data.response.as_slice()).chain(data.factors.iter().map(amounts));
    for ((what, _), values) in lengths.iter().zip(lists) {
        if let Some(position) = values.iter().position(|value| !value.is_finite()) {
            let run = data.runs.get(position).map_or("?", String::as_str);
            let message = format!("{what} of run `{run}` is not a finite number");
            faults.push(Error::new(ErrorKind::NotANumber, message));
        }
    }
    let mut names = BTreeSet::new();
    for factor in &data.factors {
        let name = quoted(&factor.name);
        if !names.insert(&factor.name) {
            faults.push(model(format!("two factors have the same name: {name}")));
        }
        let levels = factor.levels();
        if levels.iter().collect::<BTreeSet<_>>().len() != levels.len() {
            faults.push(model(format!("two levels of {name} have the same name")));
        }
        if factor.codes().iter().any(|&code| code >= levels.len()) {
            let message = format!("a run has a level of {name} that is not in its list of levels");
            faults.push(Error::new(ErrorKind::UnknownName, message));
        }
    }
    faults.extend(data.measurement.faults(runs));
    faults
}

/// A fault when there is no factor of this name.
fn unknown(name: &str, list: &str, data: &FitData) -> Option<Error> {
    if data.position(name).is_some() {
        return None;
    }
    let known: Vec<String> = data.factors.iter().map(|f| quoted(&f.name)).collect();
    let hint = if known.is_empty() {
        "no factor is known".to_string()
    } else {
        format!("use one of the known factors: {}", one_of(&known))
    };
    let message = format!(
        "`{list}` names a factor that is not known: {}",
        quoted(name)
    );
    Some(Error::new(ErrorKind::UnknownName, message).hint(hint))
}

fn of_factors(params: &ModelParams, data: &FitData, faults: &mut Vec<Error>) {
    let mut seen: BTreeSet<BTreeSet<&str>> = BTreeSet::new();
    for effect in &params.effects {
        faults.extend(unknown(effect, "effects", data));
        if !seen.insert(BTreeSet::from([effect.as_str()])) {
            faults.push(twice("effects", effect));
        }
    }
    for set in &params.joint {
        faults.extend(set.iter().filter_map(|name| unknown(name, "joint", data)));
        let names: BTreeSet<&str> = set.iter().map(String::as_str).collect();
        let shown = quoted(&set.join(" with "));
        if set.is_empty() {
            faults.push(
                model("a list in `joint` is empty")
                    .hint("name the factors that change one another's effect"),
            );
        } else if names.len() != set.len() {
            faults.push(
                model(format!("a list in `joint` names a factor twice: {shown}"))
                    .hint("use `curved` for powers of an amount"),
            );
        } else if !seen.insert(names) {
            faults.push(model(format!(
                "the model names the same effect twice: {shown}"
            )));
        }
    }
}

fn of_curves(params: &ModelParams, data: &FitData, faults: &mut Vec<Error>) {
    let mut seen = BTreeSet::new();
    for curve in &params.curved {
        let name = quoted(&curve.factor);
        if !seen.insert(&curve.factor) {
            faults.push(twice("curved", &curve.factor));
        }
        if curve.power < 2 {
            let message = format!("the highest power of {name} is below 2: {}", curve.power);
            faults.push(model(message).hint("2 lets the effect bend once"));
        }
        let Some(position) = data.position(&curve.factor) else {
            faults.extend(unknown(&curve.factor, "curved", data));
            continue;
        };
        if data.factors[position].amounts().is_none() {
            faults.push(
                model(format!("a choice has no powers: {name} in `curved`"))
                    .hint("only amounts can be curved"),
            );
        } else if !params.effects.contains(&curve.factor) {
            faults.push(
                model(format!("a curved amount is not among the effects: {name}"))
                    .hint("add it to `effects`"),
            );
        }
    }
}

fn of_blocks(params: &ModelParams, data: &FitData, faults: &mut Vec<Error>) {
    let mut seen = BTreeSet::new();
    for block in &params.blocks {
        let name = quoted(block);
        faults.extend(unknown(block, "blocks", data));
        if !seen.insert(block) {
            faults.push(twice("blocks", block));
        }
        let position = data.position(block);
        if position.is_some_and(|position| data.factors[position].amounts().is_some()) {
            faults.push(
                model(format!("an amount cannot be a block: {name}"))
                    .hint("declare it as a choice"),
            );
        }
        if params.effects.contains(block) || params.joint.iter().flatten().any(|n| n == block) {
            faults.push(
                model(format!("a factor is both an effect and a block: {name}")).hint(
                    "an effect asks about these levels, a block about any level like them; keep one",
                ),
            );
        }
    }
}

/// The design, unless it has no term or more terms than runs.
fn of_size(params: &ModelParams, data: &FitData) -> Result<Design, Faults> {
    let runs = data.runs.len();
    // Counted before the design is built, so that an absurd joint effect takes no memory.
    let terms = Design::count(params, data);
    if terms == 0 {
        let hint = match params.constant {
            Constant::Present => "a choice needs at least two levels",
            Constant::Absent => "name an effect, or give the model its constant",
        };
        return Err(model("the model has no term").hint(hint).into());
    }
    if terms > runs {
        let noun = if runs == 1 { "run" } else { "runs" };
        let message = format!(
            "the model of `{}` has more terms than runs: {terms} terms, {runs} {noun}",
            params.response
        );
        let hint = "ask for fewer effects, joint effects or powers, or make more runs";
        return Err(model(message).hint(hint).into());
    }
    Ok(Design::build(params, data))
}
