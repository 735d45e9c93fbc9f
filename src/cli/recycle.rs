//! `residuum recycle`: does feeding the residue forward pay?
//!
//! In: the options of the call. Out: text or JSON on stdout, doubts on stderr.
//! This module never computes a gain.

use residuum::report::{json, plain_recycle};
use residuum::result::WholeResult;

use super::calls::{answered, told};
use super::tell::failed;
use super::width::of_stdout;
use super::{Common, Ending};

pub(super) fn recycle(common: &Common) -> Ending {
    match answered(common) {
        Err(faults) => failed(&faults),
        Ok(analysis) => {
            let answer = &analysis.findings.recycling;
            let text = plain_recycle::recycling(answer, of_stdout());
            let under_its_key = |part| WholeResult {
                recycling: Some(json::recycling(answer)),
                ..part
            };
            told(common, &analysis, under_its_key, text)
        }
    }
}
