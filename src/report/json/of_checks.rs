//! What a look at a campaign brought up, as data.
//!
//! In: faults, rows left out, doubts, headings, what is missing. Out: what stands under `causes`, `used_as` and `missing`.
//! This module never drops what stands in other lists: a cause holds positions in them.

use serde_json::{Value, json};

use crate::answers::{ToDo, WhyOpen};
use crate::caveat::Caveat;
use crate::error::Error;
use crate::intake::{LeftOut, UsedAs};
use crate::report::answer_words::{reason, to_do};
use crate::report::causes;
use crate::report::doubts::advice;
use crate::report::print::escape::raw;

/// One entry a cause: what stops first, then what leaves runs out, then what is doubtful; `of` are positions in the list of its
/// class.
pub fn causes(stops: &[Error], left_out: &[LeftOut], doubts: &[Caveat]) -> Value {
    let of_stops = causes::of_faults(stops).into_iter().map(|cause| {
        let faults = cause.of(stops);
        of_faults("stops", &faults, &cause.0)
    });
    let of_left_out = causes::of_left_out(left_out).into_iter().map(|cause| {
        let entries = cause.of(left_out);
        let faults: Vec<&Error> = entries.iter().map(|entry| &entry.error).collect();
        of_faults("left_out", &faults, &cause.0)
    });
    let of_doubts = causes::of_doubts(doubts).into_iter().map(|cause| {
        let kind = cause.of(doubts);
        json!({
            "class": "caveats",
            "reason": causes::doubt(&kind),
            "hint": kind.first().map(|first| advice(first)),
            "of": cause.0,
        })
    });
    of_stops.chain(of_left_out).chain(of_doubts).collect()
}

fn of_faults(class: &str, faults: &[&Error], positions: &[usize]) -> Value {
    json!({
        "class": class,
        "reason": causes::message(faults),
        "hint": causes::hint(faults),
        "of": positions,
    })
}

/// One entry a heading that is used for a column although it is spelt in another way.
pub fn used_as(headings: &[UsedAs]) -> Value {
    let headings = headings.iter();
    headings
        .map(|of| json!({ "file": of.file, "heading": of.heading, "column": of.name }))
        .collect()
}

/// One entry a piece that an answer still lacks.
pub fn missing(missing: &[(WhyOpen, ToDo)]) -> Value {
    let missing = missing.iter();
    missing
        .map(|(why, what)| json!({ "reason": reason(why, raw), "to_do": to_do(what, raw) }))
        .collect()
}
