//! What is wrong with what was asked?
//!
//! In: what is asked of a model, and the runs. Out: the design, or every fault at once.
//! This module never stops at the first fault, and never looks at what a fit would give.

use std::collections::BTreeSet;

use super::data::{FactorValues, FitData};
use super::params::{Constant, ModelParams};
use super::quoted::{one_of, quoted};
use super::terms::{Design, TermName};
use crate::error::{Error, ErrorKind, Faults};

/// A model that fits the factors it was checked against.
#[derive(Debug, Clone)]
pub struct ValidModel {
    params: ModelParams,
    terms: Vec<TermName>,
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
        let design = design(&self, data)?;
        Ok(ValidModel {
            params: self,
            terms: design.columns.into_iter().map(|c| c.name).collect(),
        })
    }
}

impl ValidModel {
    /// What was asked.
    pub fn params(&self) -> &ModelParams {
        &self.params
    }

    /// The names of all terms, estimable or not, in the order of the design.
    pub fn terms(&self) -> &[TermName] {
        &self.terms
    }

    /// The design for these runs, which may be others than those of the check.
    pub(crate) fn design(&self, data: &FitData) -> Result<Design, Faults> {
        design(&self.params, data)
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
        faults.push(
            Error::new(
                ErrorKind::OutOfRange,
                format!(
                    "the confidence is not between 0 and 1: {}",
                    params.confidence
                ),
            )
            .hint("0.95 is usual"),
        );
    }
    // The size of the design is known only when every name in it is.
    Faults::or(faults, ())?;
    of_size(params, data)
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
    let mut lengths = |what: String, found: usize| {
        if found != runs {
            faults.push(Error::new(
                ErrorKind::Missing,
                format!("{what} has {found} values for {runs} runs"),
            ));
        }
    };
    lengths("the response".into(), data.response.len());
    for factor in &data.factors {
        let found = match &factor.values {
            FactorValues::Amount(values) => values.len(),
            FactorValues::Choice { codes, .. } => codes.len(),
        };
        lengths(quoted(&factor.name), found);
    }
    let mut finite = |what: &str, values: &[f64]| {
        if let Some(position) = values.iter().position(|value| !value.is_finite()) {
            let run = data.runs.get(position).map_or("?", String::as_str);
            faults.push(Error::new(
                ErrorKind::NotANumber,
                format!("{what} of run `{run}` is not a finite number"),
            ));
        }
    };
    finite("the response", &data.response);
    for factor in &data.factors {
        finite(&quoted(&factor.name), factor.amounts().unwrap_or(&[]));
    }
    let mut names = BTreeSet::new();
    for factor in &data.factors {
        if !names.insert(&factor.name) {
            faults.push(Error::new(
                ErrorKind::Model,
                format!("two factors have the same name: {}", quoted(&factor.name)),
            ));
        }
        if let FactorValues::Choice { levels, codes } = &factor.values {
            let name = quoted(&factor.name);
            if levels.iter().collect::<BTreeSet<_>>().len() != levels.len() {
                faults.push(Error::new(
                    ErrorKind::Model,
                    format!("two levels of {name} have the same name"),
                ));
            }
            if codes.iter().any(|&code| code >= levels.len()) {
                faults.push(Error::new(
                    ErrorKind::UnknownName,
                    format!("a run has a level of {name} that is not in its list of levels"),
                ));
            }
        }
    }
    faults.extend(data.measurement.faults(runs));
    faults
}

/// A fault when there is no factor of this name.
fn unknown(name: &str, place: &str, data: &FitData) -> Option<Error> {
    if data.position(name).is_some() {
        return None;
    }
    let known: Vec<String> = data.factors.iter().map(|f| quoted(&f.name)).collect();
    let hint = if known.is_empty() {
        "no factor is known".to_string()
    } else {
        format!("use one of the known factors: {}", one_of(&known))
    };
    Some(
        Error::new(
            ErrorKind::UnknownName,
            format!("{place} names a factor that is not known: {}", quoted(name)),
        )
        .hint(hint),
    )
}

fn of_factors(params: &ModelParams, data: &FitData, faults: &mut Vec<Error>) {
    let mut seen: BTreeSet<BTreeSet<&str>> = BTreeSet::new();
    for effect in &params.effects {
        faults.extend(unknown(effect, "`effects`", data));
        if !seen.insert(BTreeSet::from([effect.as_str()])) {
            faults.push(Error::new(
                ErrorKind::Model,
                format!("`effects` names a factor twice: {}", quoted(effect)),
            ));
        }
    }
    for set in &params.joint {
        faults.extend(set.iter().filter_map(|name| unknown(name, "`joint`", data)));
        let names: BTreeSet<&str> = set.iter().map(String::as_str).collect();
        let shown = quoted(&set.join(" with "));
        if set.is_empty() {
            faults.push(
                Error::new(ErrorKind::Model, "a list in `joint` is empty")
                    .hint("name the factors that change one another's effect"),
            );
        } else if names.len() != set.len() {
            faults.push(
                Error::new(
                    ErrorKind::Model,
                    format!("a list in `joint` names a factor twice: {shown}"),
                )
                .hint("use `curved` for powers of an amount"),
            );
        } else if !seen.insert(names) {
            faults.push(Error::new(
                ErrorKind::Model,
                format!("the model names the same effect twice: {shown}"),
            ));
        }
    }
}

fn of_curves(params: &ModelParams, data: &FitData, faults: &mut Vec<Error>) {
    let mut seen = BTreeSet::new();
    for curve in &params.curved {
        let name = quoted(&curve.factor);
        if !seen.insert(&curve.factor) {
            faults.push(Error::new(
                ErrorKind::Model,
                format!("`curved` names a factor twice: {name}"),
            ));
        }
        if curve.power < 2 {
            faults.push(
                Error::new(
                    ErrorKind::Model,
                    format!("the highest power of {name} is below 2: {}", curve.power),
                )
                .hint("2 lets the effect bend once"),
            );
        }
        let Some(position) = data.position(&curve.factor) else {
            faults.extend(unknown(&curve.factor, "`curved`", data));
            continue;
        };
        if data.factors[position].amounts().is_none() {
            faults.push(
                Error::new(
                    ErrorKind::Model,
                    format!("a choice has no powers: {name} in `curved`"),
                )
                .hint("only amounts can be curved"),
            );
        } else if !params.effects.contains(&curve.factor) {
            faults.push(
                Error::new(
                    ErrorKind::Model,
                    format!("a curved amount is not among the effects: {name}"),
                )
                .hint("add it to `effects`"),
            );
        }
    }
}

fn of_blocks(params: &ModelParams, data: &FitData, faults: &mut Vec<Error>) {
    let mut seen = BTreeSet::new();
    for block in &params.blocks {
        let name = quoted(block);
        faults.extend(unknown(block, "`blocks`", data));
        if !seen.insert(block) {
            faults.push(Error::new(
                ErrorKind::Model,
                format!("`blocks` names a factor twice: {name}"),
            ));
        }
        if let Some(position) = data.position(block)
            && data.factors[position].amounts().is_some()
        {
            faults.push(
                Error::new(
                    ErrorKind::Model,
                    format!("an amount cannot be a block: {name}"),
                )
                .hint("declare it as a choice"),
            );
        }
        if params.effects.contains(block) || params.joint.iter().flatten().any(|n| n == block) {
            faults.push(
                Error::new(
                    ErrorKind::Model,
                    format!("a factor is both an effect and a block: {name}"),
                )
                .hint("an effect asks about these levels, a block about any level like them; keep one"),
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
        return Err(Error::new(ErrorKind::Model, "the model has no term")
            .hint(hint)
            .into());
    }
    if terms > runs {
        return Err(Error::new(
            ErrorKind::Model,
            format!(
                "the model of `{}` has more terms than runs: {terms} terms, {runs} {}",
                params.response,
                if runs == 1 { "run" } else { "runs" }
            ),
        )
        .hint("ask for fewer effects, joint effects or powers, or make more runs")
        .into());
    }
    Ok(Design::build(params, data))
}
