//! `residuum recycle`: does feeding the residue forward pay?
//!
//! In: the options of the call. Out: text or JSON on stdout, doubts on stderr.
//! This module never computes a gain.

use residuum::report::{json_money, plain_recycle};

use super::calls::{answered, told};
use super::tell::failed;
use super::width::of_stdout;
use super::{Common, Ending};

pub(super) fn recycle(common: &Common) -> Ending {
    match answered(common) {
        Err(faults) => failed(&faults),
        Ok(analysis) => {
            let answer = &analysis.answers.recycling;
            let text = plain_recycle::recycling(answer, of_stdout());
            let value = json_money::recycling(answer);
            told(common, &analysis, "recycling", value, text)
        }
    }
}
