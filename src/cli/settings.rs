//! `residuum settings`: the best settings inside the limits and the purity specification.
//!
//! In: the options of the call. Out: text or JSON on stdout, doubts on stderr.
//! This module never searches itself.

use residuum::report::{json, plain_routes};
use residuum::result::WholeResult;

use super::calls::{answered, told};
use super::tell::failed;
use super::width::of_stdout;
use super::{Common, Ending};

pub(super) fn settings(common: &Common) -> Ending {
    match answered(common) {
        Err(faults) => failed(&faults),
        Ok(analysis) => {
            let answer = analysis.findings.settings.as_ref();
            let text = answer.map_or_else(String::new, |answer| {
                plain_routes::settings(answer, of_stdout())
            });
            let under_its_key = |part| WholeResult {
                settings: Some(json::settings(answer)),
                ..part
            };
            told(common, &analysis, under_its_key, text)
        }
    }
}
