//! The response over one factor, everything else at the reference mix.
//!
//! In: a fitted model and the name of a factor. Out: [`OverFactor`]: the mean at each of its places, and the runs.
//! This module never goes beyond the amounts that were run.

use super::adjusted_responses::WithoutEffects;
use super::fitted::FittedModel;
use super::means::ReferenceMix;
use crate::regression::asked::Settings;
use crate::regression::estimable::Refusal;
use crate::regression::estimate::Estimate;

/// How many places of an amount have a mean: a bow looks round, and a table can be read.
const PLACES: usize = 21;

/// The response over one factor.
#[derive(Debug, Clone, PartialEq)]
pub struct OverFactor {
    /// Name of the factor.
    pub factor: String,
    /// Its unit; empty for a choice.
    pub unit: String,
    /// Means at its levels, or at even steps from its smallest amount to its largest.
    pub means: Vec<MeanAt>,
    /// The runs of the model, in run order.
    pub runs: Vec<RunAt>,
    /// What all else stands at.
    pub mix: ReferenceMix,
}

/// Where on a factor.
#[derive(Debug, Clone, PartialEq)]
pub enum At {
    /// At an amount, in the unit of the factor.
    Amount(f64),
    /// At a level.
    Level(String),
}

/// The mean response at one place.
#[derive(Debug, Clone, PartialEq)]
pub struct MeanAt {
    /// The place.
    pub at: At,
    /// The mean, in the unit of the response.
    ///
    /// # Errors
    /// [`Refusal`] where the runs cannot tell it apart from something else.
    pub mean: Result<Estimate, Refusal>,
}

/// One run.
#[derive(Debug, Clone, PartialEq)]
pub struct RunAt {
    /// Its name.
    pub run: String,
    /// Where it was.
    pub at: At,
    /// Its response, in its unit, with what the other factors do brought to the reference mix:
    /// see [`FittedModel::without_effects`].
    pub response: f64,
}

impl FittedModel {
    /// The response over one factor of the model, everything else at the reference mix.
    ///
    /// # Errors
    /// [`Refusal::UnknownFactor`] where no effect of the model has the factor in it.
    pub fn over(&self, factor: &str) -> Result<OverFactor, Refusal> {
        let machinery = &self.machinery;
        let unknown = || Refusal::UnknownFactor(factor.to_string());
        let factors = &machinery.data.factors;
        let mut members = machinery.members().into_iter();
        let position = members.rfind(|&one| factors[one].name == factor);
        let position = position.ok_or_else(unknown)?;
        let of = &factors[position];
        let (places, of_runs): (Vec<At>, Vec<At>) = match of.amounts() {
            Some(amounts) => {
                let low = amounts.iter().copied().fold(f64::INFINITY, f64::min);
                let high = amounts.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                let last = (PLACES - 1) as f64;
                let places = (0..PLACES).map(|step| low + (high - low) * step as f64 / last);
                (
                    places.map(At::Amount).collect(),
                    amounts.iter().copied().map(At::Amount).collect(),
                )
            }
            None => {
                let level = |code: &usize| At::Level(of.levels()[*code].clone());
                (
                    of.levels().iter().cloned().map(At::Level).collect(),
                    of.codes().iter().map(level).collect(),
                )
            }
        };
        let means = places.into_iter().map(|at| MeanAt {
            mean: self.estimate(&settings(factor, &at)),
            at,
        });
        let WithoutEffects { values, .. } = self.without_effects(&[factor]);
        let runs = self.runs.iter().zip(of_runs).zip(values);
        let runs = runs.map(|((run, at), response)| RunAt {
            run: run.clone(),
            at,
            response,
        });
        Ok(OverFactor {
            factor: factor.to_string(),
            unit: of.unit.clone(),
            means: means.collect(),
            runs: runs.collect(),
            mix: machinery.mix_beside(position),
        })
    }

    /// Names of the factors that the effects of the model hold.
    pub fn factors(&self) -> impl Iterator<Item = &str> {
        let machinery = &self.machinery;
        let members = machinery.members().into_iter();
        members.map(|factor| machinery.data.factors[factor].name.as_str())
    }
}

fn settings(factor: &str, at: &At) -> Settings {
    match at {
        At::Amount(amount) => Settings::default().amount(factor, *amount),
        At::Level(level) => Settings::default().level(factor, level),
    }
}
