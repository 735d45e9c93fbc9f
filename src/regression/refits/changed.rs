//! A model with a term more, or with runs left out.
//!
//! In: what was asked, the runs, and one [`Asking`]. Out: the fit with that change.
//! This module never changes two things at once, and never writes a fit that somebody reads: it goes as near as decisions need.

use crate::regression::asked::{
    Curve, ErrorEffect, ErrorSize, Factor, FactorValues, FitData, ModelParams, SharedError,
};
use crate::regression::measured::{Closeness, ScatterOf};
use crate::regression::model::FittedModel;

/// The name of the order of the runs among the factors, which no log can hold.
const ORDER: &str = "\u{1}order";

/// One thing that is asked otherwise.
#[derive(Debug, Clone, Copy)]
pub enum Asking<'a> {
    /// A smooth drift: the place of each run, with its powers up to this one. Blocks scatter as they do without it: in the order
    /// of the runs a drift and blocks that follow one another compete, and what little tells them apart says nothing of an effect.
    Drift {
        /// Place of each run of the data in the order of all runs, one a run.
        places: &'a [f64],
        /// Highest power.
        power: u32,
        /// The fit without it.
        without: &'a FittedModel,
    },
    /// The square of an amount.
    Bend(&'a str),
    /// The joint effect of two factors.
    Joint([&'a str; 2]),
    /// Runs left out, by their names.
    Without(&'a [String]),
}

/// Fits a model with one thing asked otherwise, beginning near the fit without that; `None` where that cannot be fitted.
///
/// # Assumes
/// As [`crate::regression::ValidModel::fit`]; variances are estimated anew, as near as decisions need.
pub fn asked_otherwise(
    params: &ModelParams,
    data: &FitData,
    change: Asking,
    near: Option<&FittedModel>,
) -> Option<FittedModel> {
    let (mut params, mut data) = (params.clone(), data.clone());
    match change {
        Asking::Drift {
            places,
            power,
            without,
        } => {
            hold_blocks(&mut params, &mut data, without);
            params.effects.push(ORDER.into());
            params.curved.extend((power > 1).then(|| Curve {
                factor: ORDER.into(),
                power,
            }));
            data.factors.push(Factor {
                name: ORDER.into(),
                unit: String::new(),
                values: FactorValues::Amount(places.to_vec()),
            });
        }
        Asking::Bend(amount) => params.curved.push(Curve {
            factor: amount.into(),
            power: 2,
        }),
        Asking::Joint(pair) => params.joint.push(pair.map(String::from).to_vec()),
        Asking::Without(left_out) => {
            let places = (0..data.runs.len()).filter(|run| left_out.contains(&data.runs[*run]));
            let places: Vec<usize> = places.collect();
            if places.is_empty() {
                return None;
            }
            data = data.without(&places);
        }
    }
    let valid = params.check(&data).ok()?;
    valid.fit_to(&data, Closeness::FOR_DECISIONS, near).ok()
}

/// Takes the variances of blocks for known, as an error that the runs of each level share.
fn hold_blocks(params: &mut ModelParams, data: &mut FitData, without: &FittedModel) {
    let sd_of = |block: &str| {
        let mut all = without.variance_components.iter();
        let of = all.find(|one| matches!(&one.of, ScatterOf::Block(name) if name == block));
        of.map_or(0.0, |one| one.sd)
    };
    for block in std::mem::take(&mut params.blocks) {
        let sd = sd_of(&block);
        let Some(factor) = data.position(&block).filter(|_| sd > 0.0) else {
            continue;
        };
        let factor = &data.factors[factor];
        let levels = factor.levels().iter().enumerate().map(|(level, name)| {
            let runs = factor.codes().iter().enumerate();
            let runs = runs.filter(|(_, code)| **code == level);
            let effects = runs.map(|(run, _)| ErrorEffect {
                run,
                size: ErrorSize::Absolute(sd),
            });
            SharedError {
                name: format!("{block} {name}"),
                effects: effects.collect(),
            }
        });
        let levels: Vec<SharedError> = levels.collect();
        data.measurement.shared.extend(levels);
    }
}
