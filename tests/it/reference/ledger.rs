//! Is what should stand on the shelf of residue that of an independent calculation?
//!
//! In: `tests/data/ledger.json`, worked out from the logs of the bluestone campaign by `tests/check-scripts/ledger.py` with pandas.
//! Out: tests of `ledger` in `result.json`, and of the shares in a charge.
//! This module never takes a figure from residuum.

use std::path::{Path, PathBuf};

use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::support::{
    CampaignFolder, Outcome, check_digits, data_json, list, member, number, residuum,
};

fn bluestone() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone")
}

fn recycle(folder: &Path) -> Outcome {
    residuum(&["recycle".as_ref(), folder.as_os_str(), "--json".as_ref()])
}

/// Bluestone with another log of runs.
fn with_runs(change: impl Fn(&str) -> String) -> CampaignFolder {
    let folder = CampaignFolder::copy_of(&bluestone());
    let path = folder.path().join("runs.csv");
    let text = std::fs::read_to_string(&path).expect("the log");
    std::fs::write(&path, change(&text)).expect("it can be written");
    folder
}

/// A further column of shares, filled for one run.
fn with_shares(run: &str, shares: &str) -> CampaignFolder {
    with_runs(|text| {
        let lines = text.lines().map(|line| match line.split(',').next() {
            Some("run") => format!("{line},residue_share\n"),
            Some(name) if name == run => format!("{line},{shares}\n"),
            _ => format!("{line},\n"),
        });
        lines.collect()
    })
}

#[test]
fn what_each_run_left_and_what_is_left_of_it_agree() {
    let independent = data_json("ledger.json");
    for (name, expected) in independent["sha256"].as_object().expect("digests by file") {
        let bytes = std::fs::read(bluestone().join(name)).expect("a file of the demo campaign");
        let digest = Sha256::digest(&bytes);
        let digest: String = digest.iter().map(|byte| format!("{byte:02x}")).collect();
        let again = "run `python tests/check-scripts/ledger.py` again";
        assert_eq!(expected, &digest, "`{name}` has changed: {again}");
    }
    let result = recycle(&bluestone()).json();
    let found = list(&result, "ledger");
    let expected = list(&independent, "expected");
    assert_eq!(found.len(), expected.len());
    for (line, expected) in found.iter().zip(expected) {
        assert_eq!(line["run"], expected["run"]);
        for key in ["left", "taken", "now"] {
            let what = format!("{} {key}", line["run"]);
            check_digits(&what, number(line, key), number(expected, key), 10.0);
        }
    }
}

/// B-011 charged 132.7 g of B-005 and B-006, which left 115.6 and 122.1 g.
#[test]
fn shares_that_are_logged_count_in_the_ledger() {
    let result = recycle(with_shares("B-011", "0.25;0.75").path()).json();
    let taken = |run: &str| {
        let line = member(list(&result, "ledger"), "run", run).expect("a line");
        number(line, "taken")
    };
    check_digits("B-005", taken("B-005"), 0.25 * 132.7, 10.0);
    check_digits("B-006", taken("B-006"), 0.75 * 132.7, 10.0);
}

#[test]
fn shares_that_fit_nothing_are_told_with_their_line() {
    let faulty = [
        ("0.25;0.70", "adds up to 0.95", "add up to 1"),
        ("1", "names 1 shares for 2 residues", "one share a residue"),
        ("a;b", "is not a share: `a`", "0.6;0.4"),
        ("-0.5;1.5", "is not a share: `-0.5`", "0.6;0.4"),
    ];
    for (shares, what, hint) in faulty {
        let folder = with_shares("B-011", shares);
        let outcome = residuum(&["check".as_ref(), folder.path().as_os_str()]);
        let told = outcome.stdout + &outcome.stderr;
        for words in [what, hint, "residue_share", "line 12"] {
            assert!(told.contains(words), "{shares}: no `{words}` in {told}");
        }
    }
}

#[test]
fn a_log_that_names_no_source_has_no_ledger() {
    let without = with_runs(|text| text.replacen("residue_from", "notes", 1));
    let result = recycle(without.path()).json();
    assert_eq!(result["ledger"], Value::Array(Vec::new()));
}
