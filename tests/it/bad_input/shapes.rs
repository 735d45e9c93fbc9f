//! Are logs read that spreadsheets and people write in their own ways, and refused where nobody could be sure?
//!
//! In: the runs log in other encodings, with other separators, quotes and ragged rows. Out: tests that the yields are
//! the same, or of the whole message with its line.
//! This module never changes a figure.

use serde_json::{Value, json};

use super::bench::{
    ALL_RUNS, CROPS, Edit, LOTS, RESIDUES, RUNS, TITRANTS, TITRES, campaign, change, whole,
};
use super::promises::{check_left_out, check_stops, fault, faults_of};
use crate::support::{list, residuum, residuum_json};

const CELLS: &str = "check the separators on that line; a cell that holds one needs quotes";

fn yields(edits: &[Edit]) -> Value {
    residuum_json("yields", campaign(edits).path())["yields"].clone()
}

/// The runs log in this form gives the yields of the sound campaign.
fn check_same(runs: impl Into<Vec<u8>>) {
    assert_eq!(yields(&[whole("runs.csv", runs)]), yields(&[]));
}

#[test]
fn a_byte_order_mark_windows_line_ends_and_semicolons_are_no_matter() {
    let text = RUNS.replace(',', ";").replace('\n', "\r\n");
    check_same(format!("\u{feff}{text}"));
}

#[test]
fn tabs_bars_and_old_line_ends_are_no_matter() {
    check_same(RUNS.replace(',', "\t"));
    check_same(RUNS.replace(',', "|"));
    check_same(RUNS.replace('\n', "\r"));
    check_same(RUNS.trim_end());
}

#[test]
fn empty_lines_and_empty_cells_at_the_end_are_no_matter() {
    check_same(RUNS.replace('\n', "\n\n,,,,,\n"));
    check_same(RUNS.replace('\n', ",,,\n").replacen(",,,\n", "\n", 1));
}

#[test]
fn blanks_around_cells_and_headings_are_no_matter() {
    check_same(RUNS.replace(',', " , "));
}

#[test]
fn every_cell_may_stand_in_quotes() {
    let quoted: String = RUNS
        .lines()
        .map(|row| {
            let cells: Vec<String> = row.split(',').map(|cell| format!("\"{cell}\"")).collect();
            format!("{}\n", cells.join(","))
        })
        .collect();
    check_same(quoted);
}

/// All logs with decimal commas and semicolons, in a campaign that says so; the charges are written in two more ways.
fn with_decimal_commas(crops: &str) -> Vec<Edit> {
    let comma = |text: &str| text.replace(',', ";").replace('.', ",");
    let runs = RUNS
        .replace(',', ";")
        .replace(";100;", ";100,0;")
        .replace(";200;", ";2e2;");
    vec![
        change("campaign.toml", "[logs]", "[logs]\ndecimal = \",\""),
        whole("runs.csv", runs),
        whole("lots.csv", comma(LOTS)),
        whole("crops.csv", crops.replace(',', ";")),
        whole("titres.csv", comma(TITRES)),
        whole("titrants.csv", comma(TITRANTS)),
        whole("residues.csv", comma(RESIDUES)),
    ]
}

#[test]
fn decimal_commas_are_read_where_the_campaign_says_so() {
    assert_eq!(yields(&with_decimal_commas(CROPS)), yields(&[]));
}

#[test]
fn a_decimal_point_where_the_campaign_says_comma_leaves_out_its_run() {
    check_left_out(
        &with_decimal_commas(&CROPS.replace("R3,1,117", "R3,1,117.5")),
        &[fault(
            "column `mass` in `crops.csv` line 4 is not a number: `117.5`",
            "the campaign says `decimal = \",\"`, so write a decimal comma: `117,5`",
        )
        .in_file("crops.csv")
        .on_line(4)
        .of_run("R3")],
        &["R3"],
    );
}

#[test]
fn a_line_break_in_quotes_does_not_shift_the_lines_after_it() {
    let runs = RUNS
        .replace("heating,bath", "heating,note")
        .replace("hob,70", "hob,\"boiled\r\nover, twice\"")
        .replace("R5,2025-03-07,A,100", "R5,2025-03-07,A,x");
    check_left_out(
        &[whole("runs.csv", runs)],
        &[fault(
            "column `feed_mass` in `runs.csv` line 7 is not a number: `x`",
            "write the number and nothing else, or give the run a reason under `set_aside`",
        )
        .in_file("runs.csv")
        .on_line(7)
        .of_run("R5")],
        &["R5"],
    );
}

#[test]
fn a_quote_that_is_never_closed_stops_with_the_line_it_begins_on() {
    check_stops(
        &[change("runs.csv", "R3,", "\"R3,")],
        &[fault(
            "a quote in `runs.csv` line 4 is never closed",
            "close it, or write a quote inside a cell twice",
        )
        .in_file("runs.csv")
        .on_line(4)],
    );
}

#[test]
fn quotes_in_the_middle_of_cells_stop_with_a_line_in_our_own_words() {
    let runs = RUNS
        .replace("muffle,60", "5\" muffle,60")
        .replace("muffle,75", "5\" muffle,75");
    let stops = faults_of(campaign(&[whole("runs.csv", runs)]).path())["stops"].clone();
    assert_eq!(stops.as_array().map(Vec::len), Some(1), "{stops}");
    assert_eq!(stops[0]["file"], "runs.csv");
    assert_eq!(stops[0]["line"], 2);
    let reason = stops[0]["reason"].as_str().unwrap_or_default();
    assert!(!reason.contains("chunk"), "{reason}");
}

/// UTF-16 with the lower byte first, as spreadsheets write it.
fn utf16(text: &str) -> Vec<u8> {
    text.encode_utf16().flat_map(u16::to_le_bytes).collect()
}

#[test]
fn a_log_in_utf16_is_read_like_any_other() {
    check_same(utf16(&format!("\u{feff}{RUNS}")));
}

#[test]
fn a_log_in_utf16_without_a_byte_order_mark_is_read_in_the_same_way() {
    check_same(utf16(RUNS));
}

#[test]
fn a_log_in_windows_1252_is_read_and_the_page_says_so() {
    let runs: Vec<u8> = RUNS
        .replace("R3,2025-03-05", "R\u{fc}3,2025-03-05")
        .chars()
        .map(|c| c as u8)
        .collect();
    let folder = campaign(&[whole("runs.csv", runs)]);
    let told = residuum(&["check".as_ref(), folder.path().as_os_str()]);
    assert!(
        told.stdout.contains("`runs.csv`: read as windows-1252"),
        "{}",
        told.stdout
    );
}

#[test]
fn a_row_with_too_few_or_too_many_cells_leaves_out_its_run_and_nothing_more() {
    for (row, reason) in [
        (
            "R3,2025-03-05,B,200,muffle\n",
            "`runs.csv` line 4 has 5 cells where the heading has 6",
        ),
        (
            "R3,2025-03-05,B,200,muffle,80,1,2\n",
            "`runs.csv` line 4 has 8 cells where the heading has 6",
        ),
    ] {
        check_left_out(
            &[change("runs.csv", "R3,2025-03-05,B,200,muffle,80\n", row)],
            &[fault(reason, CELLS)
                .in_file("runs.csv")
                .on_line(4)
                .of_run("R3")],
            &["R3"],
        );
    }
}

#[test]
fn a_ragged_row_of_another_log_leaves_out_the_run_it_names() {
    check_left_out(
        &[change("crops.csv", "R3,1,117", "R3,1,1,17")],
        &[fault(
            "`crops.csv` line 4 has 4 cells where the heading has 3",
            CELLS,
        )
        .in_file("crops.csv")
        .on_line(4)
        .of_run("R3")],
        &["R3"],
    );
}

#[test]
fn a_ragged_row_that_names_no_run_stops_the_work() {
    check_stops(
        &[change("crops.csv", "R3,1,117", ",1")],
        &[fault(
            "`crops.csv` line 4 has 2 cells where the heading has 3",
            CELLS,
        )
        .in_file("crops.csv")
        .on_line(4)],
    );
}

#[test]
fn a_log_in_which_no_row_fits_its_heading_says_so_for_each() {
    let folder = campaign(&[change("runs.csv", "heating,bath", "heating,bath,remark")]);
    let faults = faults_of(folder.path());
    let reasons: Vec<&Value> = list(&faults, "left_out")
        .iter()
        .map(|entry| &entry["reason"])
        .collect();
    // A campaign of which no run is left has nothing to work out, which is a stop of its own.
    assert_eq!(
        faults["stops"],
        json!([{
            "reason": "none of the 8 runs can be used",
            "hint": "`residuum check` lists every reason; the first: `runs.csv` line 2 has 6 cells where the heading has 7",
            "file": null, "line": null, "column": null,
        }])
    );
    assert_eq!(reasons.len(), ALL_RUNS.len());
    assert_eq!(
        reasons[0],
        "`runs.csv` line 2 has 6 cells where the heading has 7"
    );
}

#[test]
fn two_headings_of_the_same_name_stop_with_both() {
    check_stops(
        &[change("runs.csv", "heating,bath", "heating,heating")],
        &[fault(
            "two columns in `runs.csv` have one meaning: `heating` and `heating`",
            "rename one of them",
        )
        .in_file("runs.csv")
        .on_line(1)
        .in_column("heating")],
    );
}

#[test]
fn a_separator_that_the_campaign_names_wins_over_the_likeliest() {
    let folder = campaign(&[change(
        "campaign.toml",
        "[logs]",
        "[logs]\nseparator = \"#\"",
    )]);
    let stops = faults_of(folder.path())["stops"].clone();
    assert_eq!(stops[0]["reason"], "column `run` is missing in `runs.csv`");
}
