//! Is the uncertainty of each yield right, and what two yields share?
//!
//! In: `tests/data/bluestone_uncertainties.json`, worked out from the same logs by
//! `tests/check-scripts/bluestone_uncertainties.py` with the package `uncertainties`. Out: tests of the library:
//! results run by run, strength of the titrants, and what becomes of shared errors in differences and ratios.
//! This module never asks whether a stated uncertainty is plausible.

use std::path::{Path, PathBuf};

use residuum::caveat::{Part, Reason};
use residuum::measured::Measured;
use residuum::runs::Outcome;
use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::in_memory::{InMemory, WorkedOut};
use crate::support::{data_json, list, matching_digits, number};

/// Digits asked: both sides sum a few dozen squares in binary64 in another order, and a difference of two yields
/// loses a digit or two to cancellation.
const DIGITS: f64 = 8.0;

/// Largest error of a part, in parts of the whole variance: a part that is itself the rest of a cancellation, such as
/// a burette used for standard and sample alike, has fewer digits of its own.
const PART: f64 = 1e-9;

/// Largest error of a covariance, in parts of the product of both uncertainties, for the same reason.
const SHARED: f64 = 1e-9;

/// An independent check of few runs would leave most kinds of charge out.
const FEWEST_RUNS: usize = 60;

fn bluestone() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone")
}

fn independent() -> Value {
    data_json("bluestone_uncertainties.json")
}

fn worked_out() -> WorkedOut {
    InMemory::of_folder(&bluestone()).work_out()
}

/// The fewest digits in which value and standard uncertainty agree, at least [`DIGITS`].
fn agreeing(what: &str, actual: &Measured, expected: &Value) -> f64 {
    let pairs = [
        ("value", actual.value(), number(expected, "value")),
        ("u", actual.uncertainty(), number(expected, "u")),
    ];
    pairs.into_iter().fold(f64::INFINITY, |fewest, pair| {
        let (key, actual, expected) = pair;
        let digits = matching_digits(actual, expected);
        assert!(
            digits >= DIGITS,
            "{key} of {what}: {actual:e} agrees with {expected:e} to {digits:.1} digits"
        );
        fewest.min(digits)
    })
}

#[test]
fn the_independent_propagation_read_the_campaign_as_it_is_now() {
    let digests = independent()["sha256"].take();
    let digests = digests.as_object().expect("digests by file");
    assert!(digests.contains_key("campaign.toml"));
    for (name, expected) in digests {
        let bytes = std::fs::read(bluestone().join(name)).expect("a file of the demo campaign");
        let digest: String = Sha256::digest(&bytes)
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        assert_eq!(
            expected, &digest,
            "`{name}` has changed: run `python tests/check-scripts/bluestone_uncertainties.py` again"
        );
    }
}

#[test]
fn each_titrant_is_as_strong_and_as_sure() {
    let worked = worked_out();
    let reference = independent();
    let expected = list(&reference, "titrants");
    assert_eq!(worked.runs().titrants.len(), expected.len());
    for (found, expected) in worked.runs().titrants.iter().zip(expected) {
        assert_eq!(expected["titrant"], found.titrant.as_str());
        let digits = agreeing(&found.titrant, &found.concentration, expected);
        println!("{}: {digits:.1} digits", found.titrant);
    }
}

#[test]
fn yields_purity_and_closure_of_each_run_are_as_sure() {
    let worked = worked_out();
    let reference = independent();
    let expected = list(&reference, "yields");
    assert!(expected.len() >= FEWEST_RUNS);
    assert_eq!(worked.runs().results.len(), expected.len());
    let mut fewest = f64::INFINITY;
    for line in expected {
        let name = line["run"].as_str().expect("a name");
        let run = worked.run(name);
        let figures: [(&str, &Outcome); 4] = [
            ("gross", &run.gross),
            ("contained", &run.contained),
            ("purity", &run.purity),
            ("closure", &run.balance.closure),
        ];
        for (key, outcome) in figures {
            let what = format!("{key} of {name}");
            match outcome {
                Ok(found) => fewest = fewest.min(agreeing(&what, found, &line[key])),
                // The mistyped residue of the demo is withheld, and its balance with it.
                Err(Reason::Withheld { part }) => {
                    assert_eq!((key, *part), ("closure", Part::Residue), "{what}");
                }
                Err(reason) => assert!(line[key].is_null(), "{what}: {reason:?}"),
            }
        }
    }
    println!("{} runs: {fewest:.1} digits or more", expected.len());
}

#[test]
fn each_source_has_the_same_part_in_the_variance() {
    let worked = worked_out();
    let reference = independent();
    for line in list(&reference, "yields") {
        let Some(expected) = line["budget"].as_object() else {
            continue;
        };
        let name = line["run"].as_str().expect("a name");
        let budget = worked.runs().sources.budget(worked.contained(name));
        for (source, share) in expected {
            let found = budget.iter().find(|share| *share.source == **source);
            let found = found.and_then(|share| share.share).unwrap_or(0.0);
            let share = share.as_f64().expect("a share");
            assert!(
                (found - share).abs() <= PART,
                "{source} in run {name}: {found} and not {share}"
            );
        }
        let unknown = budget
            .iter()
            .find(|share| share.share > Some(PART) && !expected.contains_key(&*share.source));
        assert_eq!(unknown, None, "run {name}");
    }
}

#[test]
fn degrees_of_freedom_count_one_pooled_scatter_once() {
    let worked = worked_out();
    let reference = independent();
    for line in list(&reference, "yields") {
        if line["contained"].is_null() {
            continue;
        }
        let name = line["run"].as_str().expect("a name");
        let sources = &worked.runs().sources;
        let found = sources.effective_degrees_of_freedom(worked.contained(name));
        let expected = number(line, "effective_df");
        let digits = matching_digits(found, expected);
        assert!(
            digits >= DIGITS - 1.0,
            "run {name}: {found} degrees of freedom and not {expected}"
        );
    }
}

#[test]
fn what_two_runs_share_is_the_same_in_covariance_difference_and_ratio() {
    let worked = worked_out();
    let reference = independent();
    let mut kinds: Vec<&str> = Vec::new();
    for pair in list(&reference, "pairs") {
        let kind = pair["kind"].as_str().expect("a kind");
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
        let names = [0, 1].map(|place| pair["runs"][place].as_str().expect("a name"));
        let [a, b] = names.map(|name| worked.contained(name));
        let what = format!("{} and {} ({kind})", names[0], names[1]);
        let scale = a.uncertainty() * b.uncertainty();
        let apart = (a.covariance(b) - number(pair, "covariance")).abs();
        assert!(apart <= SHARED * scale, "covariance of {what}: {apart:e}");
        agreeing(
            &format!("difference of {what}"),
            &(a - b),
            &pair["difference"],
        );
        agreeing(&format!("ratio of {what}"), &(a / b), &pair["ratio"]);
    }
    // Lot alike or not, titrant alike or not, residue of one in the other at first or second hand.
    assert_eq!(kinds.len(), 6, "{kinds:?}");
}

#[test]
fn two_runs_of_one_lot_are_compared_more_sharply_than_each_is_known() {
    let worked = worked_out();
    let reference = independent();
    let same_lot = list(&reference, "pairs")
        .iter()
        .filter(|pair| pair["kind"] == "same lot, same titrant");
    let mut checked = 0;
    for pair in same_lot {
        let [a, b] = [0, 1].map(|place| {
            let name = pair["runs"][place].as_str().expect("a name");
            worked.contained(name)
        });
        let apart = a.uncertainty().hypot(b.uncertainty());
        assert!(number(&pair["difference"], "u") < apart);
        assert!((a - b).uncertainty() < apart);
        checked += 1;
    }
    assert!(checked > 0);
}
