//! Is the process drifting?
//!
//! In: a campaign, its runs, and the models that were fitted. Out: [`Drifts`].
//! This module never stops the work: a response whose model cannot be fitted is charted as logged, with a doubt.

use super::{Analysis, fit};
use crate::campaign::Campaign;
use crate::caveat::{Caveat, Doubt};
use crate::drift::{self, Drifts};
use crate::regression::FittedModel;
use crate::runs::Runs;

/// Charts of the responses that the campaign names, or of one alone, and of its titrants.
///
/// A charted response that no model is about is fitted here, if the campaign has a `[model]`.
pub fn drift<'a>(
    campaign: &Campaign,
    runs: &Runs,
    models: impl IntoIterator<Item = &'a FittedModel>,
    only: Option<&str>,
    seed: u64,
) -> Drifts {
    let mut known: Vec<FittedModel> = models.into_iter().cloned().collect();
    let mut caveats = Vec::new();
    if campaign.model.is_some() {
        for name in drift::charted_responses(campaign, runs, only) {
            if known.iter().any(|model| model.response == name) {
                continue;
            }
            match fit(campaign, runs, Some(&name), seed) {
                Ok(fitted) => {
                    known.extend(fitted.models);
                    let unused = fitted.caveats.into_iter();
                    let of_runs =
                        |caveat: &Caveat| matches!(caveat.doubt, Doubt::RunWithoutFactor { .. });
                    caveats.extend(unused.filter(of_runs));
                }
                Err(faults) => caveats.extend(faults.errors().first().map(|fault| {
                    let fault = fault.message().to_string();
                    Caveat::of_response(&name, Doubt::ChartedAsLogged { fault })
                })),
            }
        }
    }
    let mut found = drift::drifts(campaign, runs, &known, only);
    found.caveats.extend(caveats);
    found
}

impl Analysis {
    /// All doubts, those about control charts last.
    pub fn doubts(&self) -> Vec<Caveat> {
        [self.caveats.as_slice(), &self.drift.caveats].concat()
    }
}
