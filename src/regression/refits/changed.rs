//! A model with a term more, or with runs left out.
//!
//! In: what was asked, the runs, and one [`Asking`]. Out: the fit with that change.
//! This module never changes two things at once, and never writes a fit that somebody reads: it goes as near as decisions need.

use crate::regression::asked::{Curve, Factor, FactorValues, FitData, ModelParams};
use crate::regression::measured::Closeness;
use crate::regression::model::FittedModel;

/// The name of the order of the runs among the factors, which no log can hold.
const ORDER: &str = "\u{1}order";

/// One thing that is asked otherwise.
#[derive(Debug, Clone, Copy)]
pub enum Asking<'a> {
    /// A smooth drift: the place of each run, with its powers up to this one.
    Drift {
        /// Place of each run of the data in the order of all runs, one a run.
        places: &'a [f64],
        /// Highest power.
        power: u32,
    },
    /// The square of an amount.
    Bend(&'a str),
    /// The joint effect of two factors.
    Joint([&'a str; 2]),
    /// Runs left out, by their names.
    Without(&'a [String]),
}

/// Fits a model with one thing asked otherwise; `None` where that cannot be fitted.
///
/// # Assumes
/// As [`crate::regression::ValidModel::fit`]; variances are estimated anew, as near as decisions need.
pub fn asked_otherwise(
    params: &ModelParams,
    data: &FitData,
    change: Asking,
) -> Option<FittedModel> {
    let (mut params, mut data) = (params.clone(), data.clone());
    match change {
        Asking::Drift { places, power } => {
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
    valid.fit_to(&data, Closeness::FOR_DECISIONS).ok()
}
