//! Is a cell that holds a word for nothing, what nobody sees, or no reason told for what it is?
//!
//! In: runs logs with one such cell. Out: tests of the whole message, and of the runs that stay.
//! This module never spoils a number.

use serde_json::Value;

use super::bench::{Edit, RUNS, campaign, change, whole, with_column};
use super::promises::{check_left_out, fault, faults_of};
use crate::support::{list, residuum, residuum_json};

const ROW: &str = "R3,2025-03-05,B,200,muffle";

/// Only R3, on line 4 of the runs log, goes.
fn check(edit: Edit, reason: &str, hint: &str) {
    let fault = fault(reason, hint).in_file("runs.csv").on_line(4);
    check_left_out(&[edit], &[fault.of_run("R3")], &["R3"]);
}

#[test]
fn a_word_for_nothing_is_no_level() {
    for word in ["#N/A", "NaN", "-", "?", "#REF!", "n/a", "none"] {
        check(
            change("runs.csv", ROW, format!("R3,2025-03-05,B,200,{word}")),
            &format!(
                "column `heating` in `runs.csv` line 4 holds a word for a missing value: `{word}`"
            ),
            &format!(
                "leave the cell empty, or list the level: `levels = [\"{word}\"]` under `[factors.heating]`"
            ),
        );
    }
}

#[test]
fn a_level_that_the_campaign_file_lists_is_one_whatever_it_is_called() {
    let folder = campaign(&[
        change(
            "campaign.toml",
            "baseline = \"muffle\"",
            "baseline = \"muffle\"\nlevels = [\"none\"]",
        ),
        change("runs.csv", ROW, "R3,2025-03-05,B,200,none"),
    ]);
    let yields = residuum_json("yields", folder.path());
    assert_eq!(list(&yields, "left_out").len(), 0);
}

#[test]
fn a_word_for_nothing_is_no_lot_and_no_run() {
    check(
        change("runs.csv", ROW, "R3,2025-03-05,?,200,muffle"),
        "column `lot` in `runs.csv` line 4 holds a word for a missing value: `?`",
        "leave the cell empty, or write the name",
    );
    let faults = faults_of(campaign(&[change("runs.csv", "R3,", "#REF!,")]).path());
    let first = &list(&faults, "left_out")[0];
    assert_eq!(
        first["reason"],
        "column `run` in `runs.csv` line 4 holds a word for a missing value: `#REF!`"
    );
}

#[test]
fn what_nobody_sees_is_told_by_its_code_point() {
    for (code, sign) in [
        ("200B", '\u{200b}'),
        ("FEFF", '\u{feff}'),
        ("00AD", '\u{ad}'),
        ("202E", '\u{202e}'),
    ] {
        let level = format!("muf{sign}fle");
        check(
            change("runs.csv", ROW, format!("R3,2025-03-05,B,200,{level}")),
            &format!(
                "column `heating` in `runs.csv` line 4 holds a character that nobody sees, U+{code}: `{level}`"
            ),
            "type the name anew, letter by letter",
        );
    }
    let lot = "B\u{200d}";
    check(
        change("runs.csv", ROW, format!("R3,2025-03-05,{lot},200,muffle")),
        &format!(
            "column `lot` in `runs.csv` line 4 holds a character that nobody sees, U+200D: `{lot}`"
        ),
        "type the name anew, letter by letter",
    );
}

#[test]
fn a_run_is_set_aside_for_a_reason_and_for_nothing_less() {
    for word in ["no", "-", "0", "false", "n", "none", "x"] {
        check(
            whole("runs.csv", with_column(RUNS, "set_aside", "R3", word)),
            &format!("column `set_aside` in `runs.csv` line 4 is no reason: `{word}`"),
            "leave the cell empty to keep the run, or write the reason that sets it aside",
        );
    }
}

#[test]
fn a_row_over_other_rows_is_no_run() {
    for name in ["Mean", "Total", "average:", "SUM"] {
        let folder = campaign(&[whole("runs.csv", format!("{RUNS}{name},,,1200,,585\n"))]);
        let yields = residuum_json("yields", folder.path());
        assert_eq!(list(&yields, "left_out"), [Value::Null; 0]);
        let told = residuum(&["check".as_ref(), folder.path().as_os_str()]);
        let said = "not read as rows: `runs.csv`: line 10 is a sum or mean over other rows";
        assert!(told.stdout.contains(said), "{}", told.stdout);
        assert_eq!(list(&yields, "yields").len(), 8);
    }
}

#[test]
fn a_word_for_nothing_in_a_cell_that_is_needed_leaves_out_its_run() {
    for written in ["NaN", "n/a", "-", "#REF!"] {
        let edit = change(
            "runs.csv",
            "R3,2025-03-05,B,200",
            format!("R3,2025-03-05,B,{written}"),
        );
        let reason = format!(
            "column `feed_mass` in `runs.csv` line 4 holds a word for a missing value: `{written}`"
        );
        let hint = "write the value, or give the run a reason under `set_aside`";
        let fault = fault(&reason, hint).in_file("runs.csv").on_line(4);
        let fault = fault.in_column("feed_mass").of_run("R3");
        check_left_out(&[edit], &[fault], &["R3"]);
    }
}
