//! Are two units for one column, and shares of lots in another form, told or taken for what they are?
//!
//! In: headings, units of the campaign file and shares. Out: tests of messages and figures.
//! This module never spoils a reading.

use super::bench::{Edit, RUNS, campaign, change, whole, with_column};
use super::promises::{check_left_out, check_stops, fault};
use crate::support::{check_digits, list, member, number, residuum_json};

const DIGITS: f64 = 9.0;

fn mapped(heading: &str, unit: &str) -> Edit {
    change(
        "campaign.toml",
        "[titration]",
        format!(
            "[columns.runs]\nfeed_mass = {{ heading = \"{heading}\", unit = \"{unit}\" }}\n\n[titration]"
        ),
    )
}

#[test]
fn a_heading_and_a_mapping_with_two_units_stop_with_both() {
    check_stops(
        &[
            change("runs.csv", "feed_mass", "feed_mass (g)"),
            mapped("feed_mass", "kg"),
        ],
        &[fault(
            "column `feed_mass (g)` in `runs.csv` has two units: `g` in its heading, `kg` on line 34 in `campaign.toml`",
            "leave out the one that is wrong: `unit = \"kg\"` or the `g` in the heading",
        )
        .in_file("runs.csv")
        .on_line(1)
        .in_column("feed_mass (g)")],
    );
}

#[test]
fn one_unit_said_twice_is_no_fault() {
    let folder = campaign(&[
        change("runs.csv", "feed_mass", "feed_mass (g)"),
        mapped("feed_mass", "g"),
    ]);
    let yields = residuum_json("yields", folder.path());
    let line = member(list(&yields, "yields"), "run", "R3").expect("the run is there");
    // 200 g of 75 %.
    check_digits(
        "theory",
        number(&line["theory_fresh"], "value"),
        150.0,
        DIGITS,
    );
}

/// The bath is a factor whose heading is in hours.
fn bath(unit: &str) -> Vec<Edit> {
    vec![
        change("runs.csv", "bath", "bath / h"),
        change(
            "campaign.toml",
            "[model]",
            format!("[factors.bath]\nkind = \"amount\"\nunit = \"{unit}\"\n\n[model]"),
        ),
        change(
            "campaign.toml",
            "effects = [\"heating\"]",
            "effects = [\"bath\"]",
        ),
    ]
}

#[test]
fn a_unit_that_the_heading_cannot_be_converted_to_stops_with_both() {
    for (unit, hint) in [
        (
            "mins",
            "write the same unit in both, or two of: s, min, h, d",
        ),
        ("g", "the two do not measure the same; correct one of them"),
    ] {
        check_stops(
            &bath(unit),
            &[fault(
                &format!("`bath` in `campaign.toml` line 20 is in `{unit}`, and its column in `h`"),
                hint,
            )
            .in_file("campaign.toml")
            .on_line(20)
            .in_column("bath")],
        );
    }
}

#[test]
fn a_unit_that_can_be_converted_is() {
    let slope = |unit: &str| {
        let fit = residuum_json("fit", campaign(&bath(unit)).path());
        let terms = list(&list(&fit, "models")[0], "terms");
        number(member(terms, "term", "bath").expect("a slope"), "value")
    };
    // What an hour changes is sixty times what a minute changes.
    check_digits("per hour", slope("h"), 60.0 * slope("min"), DIGITS);
}

fn shared(lots: &str, shares: &str) -> [Edit; 1] {
    let runs = with_column(RUNS, "lot_share", "R3", shares)
        .replace("R3,2025-03-05,B", &format!("R3,2025-03-05,{lots}"));
    [whole("runs.csv", runs)]
}

#[test]
fn shares_are_understood_in_per_cent_and_divided_by_their_sum_within_rounding() {
    for (shares, theory) in [
        // 200 g · (0.6 · 0.80 + 0.4 · 0.75).
        ("60;40", 156.0),
        ("60 %;40 %", 156.0),
        ("60%; 40%", 156.0),
        // 200 g · (59 · 0.80 + 40 · 0.75) / 99.
        ("0.59;0.40", 200.0 * (59.0 * 0.80 + 40.0 * 0.75) / 99.0),
        ("33;67", 200.0 * (33.0 * 0.80 + 67.0 * 0.75) / 100.0),
    ] {
        let result = residuum_json("yields", campaign(&shared("A;B", shares)).path());
        let line = member(list(&result, "yields"), "run", "R3").expect("the run is there");
        check_digits(
            shares,
            number(&line["theory_fresh"], "value"),
            theory,
            DIGITS,
        );
    }
}

#[test]
fn shares_that_miss_their_sum_by_more_than_rounding_are_a_fault() {
    for (shares, sum) in [("0.6;0.38", "0.98"), ("60;30", "90"), ("1;1", "2")] {
        let reason = format!("column `lot_share` in `runs.csv` line 4 adds up to {sum}");
        let hint = "the shares of the lots of a run add up to 1, or to 100 %";
        let fault = fault(&reason, hint).in_file("runs.csv").on_line(4);
        check_left_out(&shared("A;B", shares), &[fault.of_run("R3")], &["R3"]);
    }
}
