//! Control charts of a campaign, with the models that they need.
//!
//! In: a campaign, its runs, and the models that were fitted. Out: [`Drifts`].
//! This module never stops the work: a response whose model cannot be fitted is charted as logged, with a doubt.

use super::fit_data::fit_data;
use super::fit_models::{Depth, fit_to};
use crate::campaign::Campaign;
use crate::caveat::{Caveat, Doubt};
use crate::drift::{self, Drifts};
use crate::regression::{Constant, FittedModel, Method, ModelParams, ResponseScale};
use crate::runs::Runs;

/// Confidence of intervals that nobody reads.
const USUAL_CONFIDENCE: f64 = 0.95;

/// Charts of the responses that the campaign names, or of one alone, and of its titrants.
///
/// A charted response that no model is about is fitted here; without a `[model]`, and where its model cannot be fitted, by
/// the constant alone, which takes nothing out and says which errors its runs share.
pub fn drift<'a>(
    campaign: &Campaign,
    runs: &Runs,
    models: impl IntoIterator<Item = &'a FittedModel>,
    only: Option<&str>,
    seed: u64,
) -> Drifts {
    let mut known: Vec<FittedModel> = models.into_iter().cloned().collect();
    let mut caveats = Vec::new();
    let mut charted = drift::charted_responses(campaign, runs, only);
    charted.retain(|name| known.iter().all(|model| model.response != *name));
    for name in charted {
        if campaign.model.is_none() {
            known.extend(constant_alone(campaign, runs, &name));
            continue;
        }
        match fit_to(Depth::Models, campaign, runs, Some(&name), seed) {
            Ok(fitted) => {
                known.extend(fitted.models);
                let of_runs = |caveat: &Caveat| {
                    matches!(
                        caveat.doubt,
                        Doubt::RunWithoutFactor { .. }
                            | Doubt::FractionAtAnEnd { .. }
                            | Doubt::FractionBeyondAnEnd { .. }
                    )
                };
                caveats.extend(fitted.caveats.into_iter().filter(of_runs));
            }
            Err(faults) => {
                known.extend(constant_alone(campaign, runs, &name));
                caveats.extend(faults.errors().first().map(|fault| {
                    let fault = fault.message().to_string();
                    Caveat::of_response(&name, Doubt::ChartedAsLogged { fault })
                }));
            }
        }
    }
    let mut found = drift::drifts(campaign, runs, &known, only);
    found.caveats.extend(caveats);
    found
}

/// The model of a response that explains nothing, or none where there is nothing to fit.
fn constant_alone(campaign: &Campaign, runs: &Runs, name: &str) -> Option<FittedModel> {
    let column = runs.response(name)?;
    let (data, _) = fit_data(campaign, runs, name, &column.values, &[]);
    let params = ModelParams {
        response: name.to_string(),
        unit: column.unit.clone(),
        effects: Vec::new(),
        joint: Vec::new(),
        curved: Vec::new(),
        blocks: Vec::new(),
        constant: Constant::Present,
        confidence: USUAL_CONFIDENCE,
        method: Method::Measured,
        scale: ResponseScale::Plain,
    };
    params.check(&data).ok()?.fit(&data).ok()
}
