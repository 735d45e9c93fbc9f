//! The nine answers as data.
//!
//! In: an analysis. Out: what stands under `answers`.
//! This module never words a sentence of its own.

use crate::pipeline::Analysis;
use crate::report::answer_words::{key, reason, to_do};
use crate::report::headlines::headline;
use crate::report::print::escape::raw;
use crate::result;

/// One entry a question, of question 3 one a response.
pub fn answers(analysis: &Analysis) -> Vec<result::Answer> {
    let answers = analysis.answers.iter();
    answers
        .map(|answer| result::Answer {
            question: key(analysis, &answer.question),
            status: answer.status,
            headline: headline(analysis, answer, raw),
            figures: answer.figures.clone(),
            reason: answer.reason.as_ref().map(|why| reason(why, raw)),
            doubts: answer.doubts.clone(),
            to_do: answer.to_do.iter().map(|what| to_do(what, raw)).collect(),
        })
        .collect()
}
