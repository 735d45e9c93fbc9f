//! A campaign without chemistry: logged columns, a choice, an amount, a response.
//!
//! In: the rows of its runs log and what is asked of the model. Out: what `residuum fit` says of it.
//! This module never knows what the right answer is.

use std::ffi::OsStr;

use serde_json::Value;

use crate::support::{CampaignFolder, Outcome, list, residuum, residuum_json};

const CAMPAIGN: &str = r#"[campaign]
title = "Colour of a pigment"

[logs]
runs = "runs.csv"

[factors.heating]
kind = "choice"

[factors.time]
kind = "amount"
unit = "min"

[responses.colour]
column = "colour"
unit = "1"

[model]
responses = ["colour"]
"#;

/// Headings of the runs log.
pub const HEADINGS: &str = "run,heating,time,colour";

/// The campaign with these lines of `[model]` and these rows.
pub fn folder(model: &str, headings: &str, rows: &[String]) -> CampaignFolder {
    CampaignFolder::new()
        .with("campaign.toml", &format!("{CAMPAIGN}{model}\n"))
        .with("runs.csv", &format!("{headings}\n{}\n", rows.join("\n")))
}

/// The object that `residuum fit --json` prints for it.
pub fn fit(model: &str, rows: &[String]) -> Value {
    residuum_json("fit", folder(model, HEADINGS, rows).path())
}

/// The one model of such an object.
pub fn only_model(result: &Value) -> &Value {
    let models = list(result, "models");
    assert_eq!(models.len(), 1, "one response, one model");
    &models[0]
}

/// What a call of `residuum fit` leaves behind that cannot be done.
pub fn refused(folder: &CampaignFolder) -> Outcome {
    let outcome = residuum(&[OsStr::new("fit"), folder.path().as_os_str()]);
    assert_eq!(outcome.exit_code, 2, "{}", outcome.stderr);
    assert_eq!(outcome.stdout, "", "nothing is written");
    outcome
}
