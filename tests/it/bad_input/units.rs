//! Are two units for one column, and shares of lots in another form, told or taken for what they are?
//!
//! In: headings, units of the campaign file and shares. Out: tests of messages and figures.
//! This module never spoils a reading.

use super::bench::{Edit, RESIDUES, RUNS, TITRES, campaign, change, whole, with_column};
use super::promises::{check_as_sound, check_left_out, check_stops, fault};
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

#[test]
fn a_column_without_a_unit_says_so() {
    let titres = with_column(TITRES, "dilution / mL", "R3", "1");
    check_stops(
        &[whole("titres.csv", titres)],
        &[fault(
            "column `dilution / mL` in `titres.csv` has a unit that does not fit: `mL`",
            "its numbers have no unit: take `mL` out of the heading",
        )
        .in_file("titres.csv")
        .on_line(1)
        .in_column("dilution / mL")],
    );
    check_stops(
        &[change(
            "campaign.toml",
            "[uncertainty]",
            "[uncertainty]\ndilution = \"0.1 mL\"",
        )],
        &[fault(
            "`uncertainty.dilution` is `0.1 mL`, in `campaign.toml` line 26",
            "take `mL` out: these numbers have no unit",
        )
        .in_file("campaign.toml")
        .on_line(26)],
    );
}

#[test]
fn a_unit_is_understood_in_words_and_behind_a_comma_or_a_blank() {
    let theory = |edits: &[Edit]| {
        let yields = residuum_json("yields", campaign(edits).path());
        let line = member(list(&yields, "yields"), "run", "R3").cloned();
        number(&line.expect("the run is there")["theory_fresh"], "value")
    };
    for (heading, grams) in [
        ("feed_mass / grams", 1.0),
        ("feed_mass (kilograms)", 1000.0),
        ("feed_mass, kg", 1000.0),
        ("feed_mass_kilograms", 1000.0),
    ] {
        let heading = match heading.contains(',') {
            true => format!("\"{heading}\""),
            false => heading.to_string(),
        };
        let edits = [change("runs.csv", "feed_mass", heading.clone())];
        // 200 of 75 %.
        check_digits(&heading, theory(&edits), 150.0 * grams, DIGITS);
    }
    // An own heading that is given whole ends in its unit all the same.
    let mapped = |heading: &str| {
        change(
            "campaign.toml",
            "[titration]",
            format!("[columns.runs]\nfeed_mass = \"{heading}\"\n\n[titration]"),
        )
    };
    for heading in ["Scale in, kg", "Scale in (kg)"] {
        let edits = [
            change("runs.csv", "feed_mass", format!("\"{heading}\"")),
            mapped(heading),
        ];
        check_digits(heading, theory(&edits), 150_000.0, DIGITS);
    }
}

#[test]
fn per_cents_of_a_residue_may_stand_behind_a_blank_in_the_heading() {
    let residues = |heading: &str| {
        let rows = RESIDUES.replace("0.60", "60").replace("assay", heading);
        whole("residues.csv", rows)
    };
    let mapped = |heading: &str| {
        change(
            "campaign.toml",
            "[titration]",
            format!("[columns.residues]\nassay = \"{heading}\"\n\n[titration]"),
        )
    };
    for heading in ["assay %", "assay wt%", "assay / per cent", "assay [w/w %]"] {
        check_as_sound(&[residues(heading)]);
    }
    for (heading, given) in [
        ("Residue Cu out %", "Residue Cu out %"),
        ("Residue Cu out %", "Residue Cu out"),
    ] {
        check_as_sound(&[residues(heading), mapped(given)]);
    }
}
