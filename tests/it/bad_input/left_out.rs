//! Which faults leave a run out, and is nothing else touched?
//!
//! In: logs with one bad cell or row. Out: tests of the whole message, of the runs that are gone and of those that stay.
//! This module never spoils what all runs need.

use super::bench::{CAMPAIGN, CROPS, RESIDUES, RUNS, TITRANTS, TITRES, change, whole, with_column};
use super::promises::{Fault, check_left_out, fault};

const FINITE: &str = "write a finite number, or give the run a reason under `set_aside`";
const NOTHING_ELSE: &str =
    "write the number and nothing else, or give the run a reason under `set_aside`";
const CHARGED: &str = "check the entry, or give the run a reason under `set_aside`";
const SIGN: &str = "check the sign of the entry";
const UNKNOWN_RUN: &str = "add the run to the runs log, or correct its name";

fn cell<'a>(file: &'a str, line: u64, run: &'a str, reason: &'a str, hint: &'a str) -> Fault<'a> {
    fault(reason, hint).in_file(file).on_line(line).of_run(run)
}

/// The charge of R3 is replaced; R3 stands on line 4 and is the only run that goes.
fn check_charge(written: &str, reason: &str, hint: &str) {
    check_left_out(
        &[change(
            "runs.csv",
            "R3,2025-03-05,B,200",
            format!("R3,2025-03-05,B,{written}"),
        )],
        &[cell("runs.csv", 4, "R3", reason, hint)],
        &["R3"],
    );
}

#[test]
fn text_where_a_charge_should_be_leaves_out_its_run() {
    check_charge(
        "about 200",
        "column `feed_mass` in `runs.csv` line 4 is not a number: `about 200`",
        NOTHING_ELSE,
    );
    check_charge(
        "200 g",
        "column `feed_mass` in `runs.csv` line 4 is not a number: `200 g`",
        NOTHING_ELSE,
    );
}

#[test]
fn infinity_leaves_out_its_run() {
    for written in ["inf", "-Infinity", "1e999"] {
        check_charge(
            written,
            &format!("column `feed_mass` in `runs.csv` line 4 is not a number: `{written}`"),
            FINITE,
        );
    }
}

#[test]
fn a_negative_or_zero_charge_leaves_out_its_run() {
    for written in ["-200", "0", "-0.0"] {
        check_charge(
            written,
            &format!("column `feed_mass` in `runs.csv` line 4 is not above zero: `{written}`"),
            CHARGED,
        );
    }
}

#[test]
fn an_empty_charge_leaves_out_its_run() {
    check_charge(
        "",
        "column `feed_mass` in `runs.csv` line 4 is empty",
        "write the value, or give the run a reason under `set_aside`",
    );
}

#[test]
fn a_decimal_comma_without_decimal_leaves_out_its_run_and_says_how_to_allow_it() {
    check_charge(
        "\"200,5\"",
        "column `feed_mass` in `runs.csv` line 4 is not a number: `200,5`",
        "use a decimal point, `200.5`, or set `decimal = \",\"` in the campaign file",
    );
}

#[test]
fn the_heading_is_named_as_it_is_written() {
    check_left_out(
        &[
            change("runs.csv", "feed_mass", "feed_mass / g"),
            change("runs.csv", "R3,2025-03-05,B,200", "R3,2025-03-05,B,x"),
        ],
        &[cell(
            "runs.csv",
            4,
            "R3",
            "column `feed_mass / g` in `runs.csv` line 4 is not a number: `x`",
            NOTHING_ELSE,
        )],
        &["R3"],
    );
}

#[test]
fn bad_crops_residues_and_samples_leave_out_their_run() {
    for (file, from, to, reason, hint) in [
        (
            "crops.csv",
            "R3,1,117",
            "R3,1,-117",
            "column `mass` in `crops.csv` line 4 is negative: `-117`",
            SIGN,
        ),
        (
            "crops.csv",
            "R3,1,117",
            "R3,first,117",
            "column `crop` in `crops.csv` line 4 is no number of a crop: `first`",
            "number the crops of a run 1, 2, ...",
        ),
        (
            "residues.csv",
            "R3,56,0.60",
            "R3,56,60",
            "column `assay` in `residues.csv` line 4 is above 1: `60`",
            "a mass fraction goes from 0 to 1; percent are written `82 %`, or with the unit in the heading: `assay / %`",
        ),
        (
            "titres.csv",
            "R3,1,0.1600,20.00",
            "R3,1,0,20.00",
            "column `sample_mass` in `titres.csv` line 4 is not above zero: `0`",
            CHARGED,
        ),
        (
            "titres.csv",
            "R3,1,0.1600,20.00",
            "R3,1,0.1600,20.00 mL",
            "column `titre` in `titres.csv` line 4 is not a number: `20.00 mL`",
            NOTHING_ELSE,
        ),
    ] {
        check_left_out(
            &[change(file, from, to)],
            &[cell(file, 4, "R3", reason, hint)],
            &["R3"],
        );
    }
}

#[test]
fn a_date_that_is_none_leaves_out_its_run() {
    for written in ["32.3.2025", "2025-02-30", "2025-03-05 or so"] {
        check_left_out(
            &[change("runs.csv", "2025-03-05", written)],
            &[cell(
                "runs.csv",
                4,
                "R3",
                &format!("column `date` in `runs.csv` line 4 is not a date: `{written}`"),
                "write year-month-day, such as `2025-10-03`",
            )],
            &["R3"],
        );
    }
}

/// A third lot, from which R3 alone is charged, with this assay.
fn check_assay_of_third_lot(written: &str, reason: &str, hint: &str) {
    let lots = format!("lot,assay,u_assay\nA,0.80,0.004\nB,0.75,0.004\nC,{written},0.004\n");
    check_left_out(
        &[
            whole("lots.csv", lots),
            change("runs.csv", "R3,2025-03-05,B", "R3,2025-03-05,C"),
        ],
        &[
            fault(reason, hint).in_file("lots.csv").on_line(4),
            cell(
                "runs.csv",
                4,
                "R3",
                "lot `C` of run `R3` in `runs.csv` line 4 has no usable assay",
                "correct `lots.csv` line 4",
            ),
        ],
        &["R3"],
    );
}

#[test]
fn an_assay_above_one_leaves_out_the_runs_of_its_lot() {
    check_assay_of_third_lot(
        "82",
        "column `assay` in `lots.csv` line 4 is above 1: `82`",
        "a mass fraction goes from 0 to 1; percent are written `82 %`, or with the unit in the heading: `assay / %`",
    );
}

#[test]
fn an_assay_of_zero_or_below_leaves_out_the_runs_of_its_lot() {
    check_assay_of_third_lot(
        "0",
        "column `assay` in `lots.csv` line 4 is not above zero: `0`",
        "a feed without content gives no product",
    );
    check_assay_of_third_lot(
        "-0.82",
        "column `assay` in `lots.csv` line 4 is negative: `-0.82`",
        SIGN,
    );
}

#[test]
fn an_assay_a_hundred_times_off_the_other_lots_leaves_out_its_runs() {
    // Middle of 0.0082, 0.75 and 0.80 is 0.75; 0.75 / 0.0082 = 91.5.
    check_assay_of_third_lot(
        "0.0082",
        "column `assay` in `lots.csv` line 4 is 91 times off the other lots: `0.0082`",
        "a percent typed as a fraction, or the other way round? write `82 %` or `0.82`",
    );
}

#[test]
fn an_unknown_lot_leaves_out_its_run_with_the_lots_that_are_logged() {
    check_left_out(
        &[change("runs.csv", "R3,2025-03-05,B", "R3,2025-03-05,b")],
        &[cell(
            "runs.csv",
            4,
            "R3",
            "unknown lot in `runs.csv` line 4: `b`",
            "lots that are logged: A, B",
        )],
        &["R3"],
    );
}

#[test]
fn crops_titres_and_residues_of_an_unknown_run_are_listed_and_touch_no_other_run() {
    for (file, log, row, what) in [
        ("crops.csv", CROPS, "R33,1,50", "a crop"),
        ("titres.csv", TITRES, "R33,1,0.1600,20.00", "a titre"),
        ("residues.csv", RESIDUES, "R33,50,0.60", "a residue"),
    ] {
        check_left_out(
            &[whole(file, format!("{log}{row}\n"))],
            &[cell(
                file,
                10,
                "R33",
                &format!("{what} of an unknown run in `{file}` line 10: `R33`"),
                UNKNOWN_RUN,
            )],
            &[],
        );
    }
}

#[test]
fn residue_from_an_unknown_run_leaves_out_the_run_that_charged_it() {
    check_left_out(
        &[whole(
            "runs.csv",
            with_column(RUNS, "residue_from", "R3", "R0"),
        )],
        &[cell(
            "runs.csv",
            4,
            "R3",
            "residue of an unknown run in `runs.csv` line 4: `R0`",
            "name runs of the runs log, or jars of the residues log that held residue by then, `;` between them",
        )],
        &["R3"],
    );
}

#[test]
fn a_titre_without_titrant_leaves_out_its_run() {
    let named = TITRES
        .replace("titre\n", "titre,titrant\n")
        .replace("20.00\n", "20.00,T1\n");
    check_left_out(
        &[
            whole("campaign.toml", CAMPAIGN.replace("titrant = \"T1\"\n", "")),
            whole(
                "titres.csv",
                named.replace("R3,1,0.1600,20.00,T1", "R3,1,0.1600,20.00,"),
            ),
        ],
        &[cell(
            "titres.csv",
            4,
            "R3",
            "a titre without `titrant` in `titres.csv` line 4",
            "titrants that are logged: T1",
        )],
        &["R3"],
    );
}

#[test]
fn a_titre_with_an_unknown_titrant_leaves_out_its_run() {
    check_left_out(
        &[whole(
            "titres.csv",
            with_column(TITRES, "titrant", "R3", "T9"),
        )],
        &[cell(
            "titres.csv",
            4,
            "R3",
            "unknown `titrant` in `titres.csv` line 4: `T9`",
            "titrants that are logged: T1",
        )],
        &["R3"],
    );
}

#[test]
fn shares_that_do_not_fit_their_lots_leave_out_the_run() {
    for (lots, shares, reason, hint) in [
        (
            "A;B",
            "0.6",
            "column `lot_share` in `runs.csv` line 4 names 1 shares for 2 lots",
            "write one share a lot, such as `0.6;0.4`",
        ),
        (
            "A;B",
            "0.6;0.6",
            "column `lot_share` in `runs.csv` line 4 adds up to 1.2",
            "the shares of the lots of a run add up to 1, or to 100 %",
        ),
        (
            "B",
            "0.6",
            "column `lot_share` in `runs.csv` line 4 adds up to 0.6",
            "the shares of the lots of a run add up to 1, or to 100 %",
        ),
    ] {
        let runs = with_column(RUNS, "lot_share", "R3", shares)
            .replace("R3,2025-03-05,B", &format!("R3,2025-03-05,{lots}"));
        check_left_out(
            &[whole("runs.csv", runs)],
            &[cell("runs.csv", 4, "R3", reason, hint)],
            &["R3"],
        );
    }
}

#[test]
fn a_bad_standardisation_is_listed_and_the_other_ones_count() {
    check_left_out(
        &[whole(
            "titrants.csv",
            format!("{TITRANTS}T1,2025-03-02,-0.1,0.0001\n"),
        )],
        &[fault(
            "column `concentration` in `titrants.csv` line 3 is not above zero: `-0.1`",
            "check the entry, or take the row out",
        )
        .in_file("titrants.csv")
        .on_line(3)],
        &[],
    );
}

#[test]
fn every_bad_cell_of_a_row_is_listed() {
    check_left_out(
        &[change(
            "runs.csv",
            "R3,2025-03-05,B,200",
            "R3,yesterday,B,-200",
        )],
        &[
            cell(
                "runs.csv",
                4,
                "R3",
                "column `feed_mass` in `runs.csv` line 4 is not above zero: `-200`",
                CHARGED,
            ),
            cell(
                "runs.csv",
                4,
                "R3",
                "column `date` in `runs.csv` line 4 is not a date: `yesterday`",
                "write year-month-day, such as `2025-10-03`",
            ),
        ],
        &["R3"],
    );
}
