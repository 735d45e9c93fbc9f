//! Responses that are fitted on the logit scale, and faults for those that are no fraction.
//!
//! In: the model asked for, and the responses with their units. Out: [`ResponseScale`], and faults.
//! This module never looks at a value.

use crate::campaign::{Campaign, ModelPlan};
use crate::error::{Error, ErrorKind};
use crate::regression::ResponseScale;
use crate::runs::Runs;

/// The unit of yield and purity, and of any other fraction.
const FRACTION: &str = "1";

/// The scale that the campaign asks for.
pub(super) fn of(plan: &ModelPlan, response: &str) -> ResponseScale {
    if plan.logit.contains_key(response) {
        ResponseScale::Logit
    } else {
        ResponseScale::Plain
    }
}

/// A fault for each response that is to be fitted as a fraction and is none.
pub(super) fn faults(campaign: &Campaign, runs: &Runs) -> Vec<Error> {
    let asked = campaign.model.iter().flat_map(|plan| &plan.logit);
    asked
        .filter_map(|(name, &line)| {
            let column = runs.responses.iter().find(|column| column.name == *name)?;
            let unit = match column.unit.as_str() {
                FRACTION => return None,
                "" => "has no unit".to_string(),
                unit => format!("is in `{unit}`"),
            };
            let message = format!(
                "`model.scale.{name}` is `logit`, but `{name}` {unit} and is no fraction, in `{}` line {line}",
                campaign.file
            );
            let hint = format!(
                "only yield, purity and responses with `unit = \"1\"` have a logit; take `{name}` out of `scale`, or declare its unit under `[responses.{name}]`"
            );
            let fault = Error::new(ErrorKind::Campaign, message).in_file(&campaign.file);
            Some(fault.on_line(line).hint(hint))
        })
        .collect()
}
