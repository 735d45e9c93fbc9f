//! The call that charts whether the process drifts.
//!
//! In: the options of the call. Out: text or JSON on stdout, doubts on stderr.
//! This module never formats a figure.

use residuum::pipeline;
use residuum::report::{json, terminal};
use residuum::result::WholeResult;

use super::calls::{analysed, one_object, strictly, tell_doubts};
use super::tell::{ended, failed};
use super::width::of_stdout;
use super::{Common, Ending};

pub(super) fn drift(common: &Common) -> Ending {
    let found = analysed(common, |loaded, normalised| {
        let runs = normalised.runs;
        let only = common.response.as_deref();
        pipeline::known_response(&loaded.campaign, &runs, only)?;
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
                terminal::drift(&drifts, of_stdout())
            };
            ended(&text, strictly(common, &runs, caveats.len()))
        }
    }
}
