//! Which assays are worth repeating for what is open?
//!
//! In: `tests/data/assays.json` of `tests/check-scripts/assays.py`, with dense matrices, and logs in which an assay is known
//! better. Out: tests of `assays_worth_repeating` and of what the report says of it.
//! This module never takes an expected figure from residuum, but where two of its own calls must agree.

use std::path::Path;

use serde_json::Value;

use crate::support::{CampaignFolder, check_digits, data_json, list, member, number, residuum};

/// Digits asked: the fit settles its values to a ten-thousand-millionth of their standard error, and the script its variance likewise.
const DIGITS: f64 = 7.0;

/// Digits asked of shares of a ten-thousandth, in which what both fits round is seen a hundred times larger.
const DIGITS_OF_SHARES: f64 = 6.0;

/// What a refit may differ by from a forecast that keeps the variances: with a smaller known error the same residuals leave more
/// to the scatter from run to run, and degrees of freedom move with it.
const REFIT: f64 = 0.05;

fn campaign(reference: &Value) -> CampaignFolder {
    let text = |value: &Value| value.as_str().expect("a text").to_string();
    let folder = CampaignFolder::new().with("campaign.toml", &text(&reference["campaign"]));
    let logs = reference["logs"].as_object().expect("logs by name");
    logs.iter()
        .fold(folder, |folder, (name, log)| folder.with(name, &text(log)))
}

/// `result.json` and `report.md` of a campaign.
fn report(campaign: &Path) -> (Value, String) {
    let out = tempfile::tempdir().expect("a folder");
    let call = [
        "report".as_ref(),
        campaign.as_os_str(),
        "--quiet".as_ref(),
        "--out".as_ref(),
        out.path().as_os_str(),
    ];
    let done = residuum(&call);
    assert_eq!(done.exit_code, 0, "{}", done.stderr);
    let of = out.path().join(campaign.file_name().expect("a name"));
    let read = |name: &str| std::fs::read_to_string(of.join(name)).expect("written");
    let result = serde_json::from_str(&read("result.json")).expect("JSON");
    (result, read("report.md"))
}

/// The one figure of a kind.
fn figure<'a>(result: &'a Value, of: &str) -> &'a Value {
    let all = list(result, "assays_worth_repeating");
    member(all, "of", of).unwrap_or_else(|| panic!("no {of} in {all:?}"))
}

#[test]
fn what_a_repeated_assay_leaves_agrees_with_dense_matrices() {
    let reference = data_json("assays.json");
    let folder = campaign(&reference);
    let (result, report) = report(folder.path());
    let open = figure(&result, "difference");
    check_digits(
        "effect",
        number(open, "value"),
        number(&reference, "value"),
        DIGITS,
    );
    let half = number(open, "half_width");
    for expected in list(&reference, "assays") {
        let name = expected["assay"].as_str().expect("a name");
        let found = member(list(open, "assays"), "assay", name).expect("the assay");
        check_digits(
            name,
            number(found, "share"),
            number(expected, "share"),
            DIGITS,
        );
        for (key, place) in [("half_width_once_more", 0), ("half_width_twice_more", 1)] {
            let left = expected["left"][place].as_f64().expect("a number");
            check_digits(
                &format!("{name} {key}"),
                number(found, key) / half,
                left,
                DIGITS,
            );
        }
    }
    // The interval holds zero now, and would not with the assay of lot B once more.
    let first = &list(open, "assays")[0];
    let value = number(open, "value").abs();
    assert_eq!(first["assay"], "assay of lot B");
    assert!(
        value < half && value > number(first, "half_width_once_more"),
        "{open}"
    );
    assert_eq!(first["would_tell_after"], 1);
    let screen = report.split("\n## ").next().expect("a first screen");
    assert!(screen.contains("Repeat the assay of lot B: if the estimate stays, that tells heating: hob against muffle in yield"), "{screen}");
    assert!(
        report.contains("assay of lot B 29 % of the variance, made once more"),
        "{report}"
    );
    assert!(
        report.contains("A repeated assay moves the estimate too"),
        "{report}"
    );
}

#[test]
fn a_log_in_which_the_assay_is_known_better_has_nearly_the_interval_foretold() {
    let reference = data_json("assays.json");
    let folder = campaign(&reference);
    let (before, _) = report(folder.path());
    let once = &list(figure(&before, "difference"), "assays")[0];
    // u/√2 of 0.011.
    let better = "lot,assay,u_assay\nA,0.861,0.004\nB,0.842,0.0077781745930520\nC,0.874,0.006\n";
    let (after, _) = report(folder.with("lots.csv", better).path());
    let change = &list(&after, "moves")[0]["changes"][0];
    let [low, high] = [0, 1].map(|end| change["interval"][end].as_f64().expect("an end"));
    let foretold = number(once, "half_width_once_more");
    let refitted = (high - low) / 2.0;
    assert!(
        (refitted / foretold - 1.0).abs() < REFIT,
        "{refitted} for {foretold}"
    );
}

#[test]
fn shares_of_the_gain_of_residue_are_those_of_an_independent_calculation() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone");
    let (result, _) = report(&demo);
    let reference = data_json("recycling_gain.json");
    let gain = figure(&result, "gain of residue");
    let half = number(gain, "half_width");
    let of_script = reference["expected"].as_object().expect("figures");
    let of_script = of_script.iter().filter_map(|(key, share)| {
        let assay = key.strip_prefix("gain_share ")?;
        Some((assay, share.as_f64()?))
    });
    let mut compared = 0;
    for (assay, share) in of_script {
        let found = member(list(gain, "assays"), "assay", assay).expect("the assay");
        check_digits(assay, number(found, "share"), share, DIGITS_OF_SHARES);
        // JCGM 100:2008, 4.2.3: half of its variance, then a third, is left.
        for (key, taken) in [
            ("half_width_once_more", 1.0 / 2.0),
            ("half_width_twice_more", 2.0 / 3.0),
        ] {
            let left = (1.0 - taken * share).sqrt();
            check_digits(key, number(found, key) / half, left, 9.0);
        }
        compared += 1;
    }
    assert_eq!(compared, 6, "five lots and the residues");
}

#[test]
fn where_no_assay_matters_one_sentence_says_so() {
    let reference = data_json("assays.json");
    // Assays that are hardly wrong.
    let sure = "lot,assay,u_assay\nA,0.861,0.00004\nB,0.842,0.00001\nC,0.874,0.00006\n";
    // Two runs of either lot are said to have been heated the other way, so that the effect is small and stays open.
    let runs = reference["logs"]["runs.csv"].as_str().expect("a log");
    let runs = runs
        .replace("H-01,A,muffle", "H-01,A,hob")
        .replace("H-02,A,muffle", "H-02,A,hob");
    let runs = runs
        .replace("H-03,B,hob", "H-03,B,muffle")
        .replace("H-04,B,hob", "H-04,B,muffle");
    let folder = campaign(&reference)
        .with("lots.csv", sure)
        .with("runs.csv", &runs);
    let (result, report) = report(folder.path());
    assert!(
        list(figure(&result, "difference"), "assays")
            .iter()
            .all(|of| of["would_tell_after"].is_null())
    );
    assert!(report.contains("No assay has 5 % or more of the variance of any figure that an open decision rests on: repeating assays would tell nothing that is open."), "{report}");
    assert!(!report.contains("Repeat the assay"));
}
