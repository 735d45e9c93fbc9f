//! The call that charts whether the process drifts.
//!
//! In: the options of the call. Out: text or JSON on stdout, doubts on stderr.
//! This module never formats a figure.

use residuum::error::{Error, ErrorKind, Faults};
use residuum::pipeline;
use residuum::report::{json, plain_drift};
use residuum::result::WholeResult;
use residuum::runs::Runs;

use super::calls::{analysed, one_object, strictly, tell_doubts};
use super::load::Loaded;
use super::tell::{ended, failed};
use super::width::of_stdout;
use super::{Common, Ending};

pub(super) fn drift(common: &Common) -> Ending {
    let found = analysed(common, |loaded, normalised| {
        let runs = normalised.runs;
        let only = common.response.as_deref();
        is_known(&loaded, &runs, only)?;
        let drifts = pipeline::drift(&loaded.campaign, &runs, &[], only, common.seed);
        Ok((loaded, runs, drifts))
    });
    match found {
        Err(faults) => failed(&faults),
        Ok((loaded, runs, drifts)) => {
            let mut caveats = runs.caveats.clone();
            caveats.extend(drifts.doubts());
            tell_doubts(common, &runs, &caveats);
            let text = if common.json {
                one_object(&WholeResult {
                    drift: Some(json::drift(&drifts)),
                    not_charted: Some(json::not_charted(&drifts)),
                    ..json::part(&loaded.campaign, &runs, &caveats)
                })
            } else {
                plain_drift::drift(&drifts, of_stdout())
            };
            ended(&text, strictly(common, &runs, caveats.len()))
        }
    }
}

/// Refuses a response that the campaign does not have.
fn is_known(loaded: &Loaded, runs: &Runs, only: Option<&str>) -> Result<(), Faults> {
    let Some(name) = only.filter(|name| !runs.responses.iter().any(|known| known.name == *name))
    else {
        return Ok(());
    };
    let known: Vec<&str> = runs
        .responses
        .iter()
        .map(|known| known.name.as_str())
        .collect();
    let file = &loaded.campaign.file;
    let error = Error::new(ErrorKind::Campaign, format!("unknown response `{name}`"));
    let hint = format!("responses of this campaign: {}", known.join(", "));
    Err(error.in_file(file).hint(hint).into())
}
