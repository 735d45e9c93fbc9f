//! Which faults of a log stop the work, and what is said about them?
//!
//! In: logs that no run can be read from, or not without doubt. Out: tests of the whole message.
//! This module never spoils a single cell that only its own run needs.

use super::bench::{CROPS, LOTS, RUNS, change, whole, write_campaign};
use super::output::files_below;
use super::promises::{Fault, call, check_stops, fault};
use crate::support::CampaignFolder;

const COLUMNS_OF_CROPS: &str = "headings found: `run`, `crop`, `scales`; own headings go under `[columns.crops]`: `mass = { heading = \"...\" }`";

fn missing<'a>(file: &'a str, column: &'a str, reason: &'a str, hint: &'a str) -> Fault<'a> {
    fault(reason, hint)
        .in_file(file)
        .on_line(1)
        .in_column(column)
}

#[test]
fn an_empty_log_stops_with_its_name() {
    for text in ["", "\n\n", "\u{feff}", "   \r\n"] {
        check_stops(
            &[whole("crops.csv", text)],
            &[fault(
                "`crops.csv` is empty",
                "a log has one line of headings and one row for each entry",
            )
            .in_file("crops.csv")],
        );
    }
}

#[test]
fn a_log_of_headings_alone_stops_with_its_line() {
    check_stops(
        &[whole("crops.csv", "\nrun,crop,mass\n\n")],
        &[fault(
            "`crops.csv` has headings but no row",
            "write the first row, or take the log out of `[logs]`",
        )
        .in_file("crops.csv")
        .on_line(2)],
    );
}

#[test]
fn a_log_of_empty_cells_alone_stops_as_one_of_headings_does() {
    check_stops(
        &[whole("crops.csv", "run,crop,mass\n,,\n , ,\n")],
        &[fault(
            "`crops.csv` has headings but no row",
            "write the first row, or take the log out of `[logs]`",
        )
        .in_file("crops.csv")
        .on_line(1)],
    );
}

#[test]
fn a_missing_column_stops_with_the_heading_that_looks_like_it() {
    check_stops(
        &[change("runs.csv", "feed_mass", "feed_mas")],
        &[missing(
            "runs.csv",
            "feed_mass",
            "column `feed_mass` is missing in `runs.csv`",
            "did you mean `feed_mas`? own headings go under `[columns.runs]`: `feed_mass = { heading = \"feed_mas\" }`",
        )],
    );
}

#[test]
fn a_missing_column_like_no_heading_stops_with_the_columns_of_the_log() {
    check_stops(
        &[change("crops.csv", "mass", "scales")],
        &[missing(
            "crops.csv",
            "mass",
            "column `mass` is missing in `crops.csv`",
            COLUMNS_OF_CROPS,
        )],
    );
}

#[test]
fn a_run_that_stands_twice_stops_with_the_second_line() {
    check_stops(
        &[change("runs.csv", "R3,2025-03-05", "R2,2025-03-05")],
        &[fault(
            "run `R2` stands in `runs.csv` line 3 and in `runs.csv` line 4, which differ in `date`: `2025-03-04` and `2025-03-05`, `lot`: `A` and `B`, `feed_mass`: `100` and `200`, and in 2 more columns",
            "if the later line corrects the other one, write `1` and `2` into a column `revision`; if it is another run, give it another name",
        )
        .in_file("runs.csv")
        .on_line(4)
        .in_column("run")],
    );
}

#[test]
fn a_lot_that_stands_twice_stops_with_the_second_line() {
    check_stops(
        &[whole("lots.csv", format!("{LOTS}A,0.81,0.004\n"))],
        &[fault(
            "lot `A` in `lots.csv` line 4 stands there already",
            "each lot has one row",
        )
        .in_file("lots.csv")
        .on_line(4)
        .in_column("lot")],
    );
}

#[test]
fn two_columns_of_one_meaning_stop_with_both_headings() {
    check_stops(
        &[whole(
            "crops.csv",
            CROPS.replace("crop,mass", "mass / g,mass (kg)"),
        )],
        &[fault(
            "two columns in `crops.csv` have one meaning: `mass / g` and `mass (kg)`",
            "rename one of them",
        )
        .in_file("crops.csv")
        .on_line(1)
        .in_column("mass (kg)")],
    );
}

#[test]
fn a_unit_that_does_not_fit_its_column_stops_with_those_that_do() {
    check_stops(
        &[change("runs.csv", "feed_mass", "feed_mass / mL")],
        &[fault(
            "column `feed_mass / mL` in `runs.csv` has a unit that does not fit: `mL`",
            "units that fit: g, kg, mg, t",
        )
        .in_file("runs.csv")
        .on_line(1)
        .in_column("feed_mass / mL")],
    );
}

#[test]
fn a_runs_log_without_the_column_run_stops() {
    check_stops(
        &[whole("runs.csv", RUNS.replacen("run,", "batch,", 1))],
        &[missing(
            "runs.csv",
            "run",
            "column `run` is missing in `runs.csv`",
            "headings found: `batch`, `date`, `lot`, `feed_mass`, `heating`, `bath`; own headings go under `[columns.runs]`: `run = { heading = \"...\" }`",
        )],
    );
}

#[test]
fn an_older_report_stays_as_it_is_when_the_logs_stop_the_work() {
    let place = CampaignFolder::new();
    let campaign = place.path().join("scale");
    let out = place.path().join("reports");
    write_campaign(&campaign, &[]);
    assert_eq!(call("report", &campaign, &out, &[]).exit_code, 0);
    let before = files_below(&out);
    write_campaign(&campaign, &[change("runs.csv", "R3,", "R2,")]);
    assert_eq!(call("report", &campaign, &out, &[]).exit_code, 2);
    assert!(files_below(&out) == before);
}
