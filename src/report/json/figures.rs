//! Estimates, gaps and doubts as data, under the keys that they have everywhere.
//!
//! In: finished figures. Out: values with `u` and `interval`, or null with the reason.
//! This module never rounds.

use serde_json::{Value, json};

use crate::caveat::{About, Caveat, Doubt, Weight};
use crate::decide::{Amount, Gap};
use crate::regression::{EquivalenceVerdict, Estimate, Interval};
use crate::report::doubts;
use crate::report::reasons::{missing, still};
use crate::result::{AmountFigures, Ends, Estimated};

/// Value, standard error and interval.
pub(super) fn figures(estimate: &Estimate) -> Value {
    json!({
        "value": estimate.value,
        "u": estimate.standard_error,
        "interval": estimate.interval,
    })
}

/// The same, or null figures with the reason.
pub(super) fn estimate<Reason>(
    found: &Result<Estimate, Reason>,
    in_words: fn(&Reason) -> String,
) -> Estimated {
    let known = found.as_ref().ok();
    Estimated {
        value: known.map(|mean| mean.value),
        u: known.and_then(|mean| mean.standard_error),
        interval: ends(known.and_then(|mean| mean.interval)),
        reason: found.as_ref().err().map(in_words),
    }
}

/// Value, standard uncertainty and interval of an amount.
pub(super) fn amount(amount: &Amount) -> AmountFigures {
    AmountFigures {
        value: amount.value,
        u: amount.uncertainty,
        interval: [amount.low, amount.high],
    }
}

pub(super) fn ends(interval: Option<Interval>) -> Ends {
    interval.map(Into::into)
}

/// Whether a difference lies within the margin; null where that is not settled.
pub(super) fn inside(verdict: EquivalenceVerdict) -> Option<bool> {
    match verdict {
        EquivalenceVerdict::Inside => Some(true),
        EquivalenceVerdict::Outside => Some(false),
        EquivalenceVerdict::NotSettled => None,
    }
}

/// What is missing, and what is answered without it.
pub(super) fn gaps(gaps: &[Gap]) -> Value {
    gaps.iter()
        .map(|gap| json!({ "missing": missing(gap), "still": still(gap) }))
        .collect()
}

/// One entry for each entry of a log that is doubted.
pub fn slips(caveats: &[Caveat]) -> Vec<Value> {
    let slips = caveats.iter().filter_map(|caveat| match &caveat.doubt {
        Doubt::Entry(slip) => Some(slip),
        _ => None,
    });
    slips
        .map(|slip| {
            json!({
                "file": slip.place.file.as_str(),
                "line": slip.place.line,
                "column": slip.column,
                "value": slip.value,
                "kind": match slip.weight {
                    Weight::Impossible => "impossible",
                    Weight::Unlikely => "unlikely",
                    Weight::Odd => "odd",
                },
                "likely": slip.likely.as_ref().map(doubts::likely),
                "run": slip.run,
                "accepted": slip.accepted,
            })
        })
        .collect()
}

/// One entry a doubt.
pub fn caveats(caveats: &[Caveat]) -> Vec<Value> {
    caveats
        .iter()
        .map(|caveat| {
            json!({
                "kind": doubts::kind_text(&caveat.doubt),
                "about": doubts::about_text(&caveat.about),
                "subject": subject(&caveat.about),
                "seen": doubts::seen(caveat),
                "advice": doubts::advice(caveat),
            })
        })
        .collect()
}

fn subject(about: &About) -> Value {
    match about {
        About::Campaign => json!({ "campaign": {} }),
        About::Lot(lot) => json!({ "lot": lot }),
        About::Titrant(titrant) => json!({ "titrant": titrant }),
        About::Run(run) => json!({ "run": run }),
        About::Response(response) => json!({ "response": response }),
    }
}
