//! Do the answers hold where a campaign stands at an end: of the vessel, of the bleed, of its scale, of its runs?
//!
//! In: the priced campaign with settings that nothing forbids and few would choose. Out: tests of sentences and figures.
//! This module never takes a figure from the program: they follow from how the runs are made up, or two ways must agree.

use serde_json::Value;

use super::priced::{
    Asked, MONEY_CALLS, PRICED, PRICED_LOTS, PRICED_RUNS, edited, priced, with_cells, with_rows,
};
use super::promises::call;
use crate::support::{check_digits, list, number, without_links};

/// Digits asked of a fit to yields that follow a model but for the rounding of masses to twelve digits.
const DIGITS: f64 = 8.0;

fn recycling(edits: &[(&str, &str)]) -> Value {
    Asked::of(&edited(edits), PRICED_RUNS).json("recycle", "recycling")
}

#[test]
fn a_charge_that_the_vessel_does_not_hold_is_told_beside_the_gain() {
    // 100 g of feed with 30 g of residue.
    let asked = Asked::of(&edited(&[("900 g", "80 g")]), PRICED_RUNS);
    let told = "But such a charge is 130 g of solids, and the vessel holds 80 g.";
    let text = asked.text("recycle");
    assert!(text.lines().any(|line| line.ends_with(told)), "{text}");
    assert!(asked.line("5").contains(told));
    for cycle in list(&asked.json("recycle", "recycling"), "cycles") {
        // Fresh feed alone fills it.
        assert_eq!(number(cycle, "residue"), 0.0, "{cycle}");
        assert_eq!(number(cycle, "gain"), 0.0, "{cycle}");
    }
    let roomy = Asked::of(PRICED, PRICED_RUNS);
    assert!(!roomy.text("recycle").contains("the vessel holds"));
}

#[test]
fn residue_that_is_all_thrown_away_is_never_charged_again() {
    let cycles = recycling(&[("bleed = 0.2", "bleed = 1")]);
    for cycle in list(&cycles, "cycles") {
        assert_eq!(
            (number(cycle, "residue"), number(cycle, "gain")),
            (0.0, 0.0),
            "{cycle}"
        );
    }
}

#[test]
fn residue_that_is_never_thrown_away_is_charged_up_to_the_largest_ratio_tried() {
    let kept = recycling(&[("bleed = 0.2", "bleed = 0")]);
    assert_eq!(list(&kept, "cycles").len(), 4);
    for cycle in list(&kept, "cycles") {
        // 0.3 g on each of 100 g of feed.
        assert!(number(cycle, "residue") <= 30.0 + 1e-9, "{cycle}");
    }
}

#[test]
fn one_cycle_is_one_line_and_none_is_a_fault() {
    assert_eq!(
        list(&recycling(&[("cycles = 4", "cycles = 1")]), "cycles").len(),
        1
    );
    for (from, to, said, hint) in [
        (
            "cycles = 4",
            "cycles = 0",
            "`recycling.cycles` is 0",
            "write a whole number of at least 1",
        ),
        (
            "bleed = 0.2",
            "bleed = 1.5",
            "`recycling.bleed` is 1.5",
            "it must lie between 0 and 1",
        ),
        (
            "900 g",
            "0 g",
            "`recycling.vessel_solids` is `0 g`",
            "it must be above zero",
        ),
        (
            "900 g",
            "900",
            "`recycling.vessel_solids` is `900`",
            "add the unit, such as `900 g`",
        ),
    ] {
        let campaign = edited(&[(from, to)]);
        let before = campaign.split(to).next().unwrap_or_default();
        let line = before.matches('\n').count() + 1;
        let folder = priced(&campaign, PRICED_RUNS, PRICED_LOTS);
        for name in MONEY_CALLS {
            let outcome = call(
                name,
                &folder.path().join("campaign"),
                &folder.path().join("out"),
                &[],
            );
            assert_eq!(outcome.exit_code, 2, "{name}");
            assert_eq!(
                outcome.stderr,
                format!("error: {said}, in `campaign.toml` line {line}\n\nhint: {hint}\n"),
                "{name}"
            );
        }
    }
}

#[test]
fn other_ways_to_fit_the_same_runs_agree_on_the_product_gained_within_its_error() {
    let sound = recycling(&[]);
    let extra = |answer: &Value| number(&answer["extra_product"], "value");
    let error = number(&sound["extra_product"], "u");
    for way in [
        "scale = { yield = \"logit\", purity = \"logit\" }",
        "method = \"plain\"",
    ] {
        let other = recycling(&[("[uncertainty]", &format!("{way}\n\n[uncertainty]"))]);
        let apart = (extra(&other) - extra(&sound)).abs();
        assert!(
            apart < error,
            "{way}: {apart} g apart, with an error of {error} g"
        );
        let ratio = number(&other["extra_product"], "u") / error;
        // The same scatter of the same runs: a half more or less would be another answer.
        assert!((0.5..1.5).contains(&ratio), "{way}: {ratio}");
        assert_eq!(other["verdict"], sound["verdict"], "{way}");
    }
}

#[test]
fn a_model_without_constant_answers_too() {
    let without = recycling(&[("[uncertainty]", "constant = false\n\n[uncertainty]")]);
    assert!(number(&without["gain_per_run"], "u") > 0.0);
}

/// The priced runs with yields of 70 % in the muffle and 65 % on the hob, whatever else.
fn perfect() -> String {
    let mut rows = PRICED_RUNS.lines();
    let headings = rows.next().expect("headings");
    let rows = rows.map(|row| {
        let mut cells: Vec<String> = row.split(',').map(String::from).collect();
        let assay = if cells[1] == "A" { 0.80 } else { 0.75 };
        let residue: f64 = cells[6].parse().expect("a mass");
        let share = if cells[3] == "hob" { 0.65 } else { 0.70 };
        cells[9] = format!("{:.12}", (100.0 * assay + 0.4 * residue) * share / 0.99);
        cells[10] = "0.99".into();
        cells.join(",") + "\n"
    });
    format!("{headings}\n{}", rows.collect::<String>())
}

#[test]
fn a_perfect_fit_gives_what_the_runs_are_made_of_and_no_digits_of_rounding() {
    // Labour costs next to nothing, so that the gain hangs on the residue.
    let campaign = edited(&[
        ("[uncertainty]", "method = \"plain\"\n\n[uncertainty]"),
        ("labour = \"24 /h\"", "labour = \"0.24 /h\""),
        ("0.1 min/run", "3 min/run"),
    ]);
    let asked = Asked::of(&campaign, &perfect());
    let answer = asked.json("recycle", "recycling");
    // 30 g of residue with 40 % give 12 g at the mean of 70 and 65 %.
    check_digits(
        "extra product",
        number(&answer["extra_product"], "value"),
        8.1,
        DIGITS,
    );
    // The yields hang on the assay of the feed, which is all that is uncertain: an interval about one place.
    let assay = &answer["break_even"]["residue_assay"];
    let ends: Vec<f64> = list(assay, "interval")
        .iter()
        .filter_map(|end| end.as_f64())
        .collect();
    let value = number(assay, "value");
    assert!(ends[0] < value && value < ends[1], "{assay}");
    for question in ["3", "4", "5", "7"] {
        assert!(
            !asked.line(question).contains("0.00000000"),
            "{}",
            asked.line(question)
        );
    }
}

#[test]
fn as_many_terms_as_runs_leave_the_gain_open_and_the_advice_is_more_runs() {
    let rows = ["R1,", "R2,", "R3,", "R5,", "R16,"];
    let runs = with_rows(|row| rows.iter().any(|name| row.starts_with(name)));
    let asked = Asked::of(PRICED, &runs);
    assert_eq!(
        asked.text("recycle"),
        "Cannot be said: the model cannot tell a charged run from one without residue: the model has no residual degrees of freedom, so nothing is known of its error. What to do: make more runs, or ask for fewer effects.\nYields and balances of the runs stand as they are.\n"
    );
}

#[test]
fn one_run_has_no_model_and_each_response_says_so() {
    let folder = priced(
        PRICED,
        &with_rows(|row| row.starts_with("R1,")),
        PRICED_LOTS,
    );
    let fault = |response: &str| {
        format!(
            "error: the model of `{response}` has more terms than runs: 3 terms, 1 run\n\nhint: ask for fewer effects, joint effects or powers, or make more runs\n"
        )
    };
    for name in MONEY_CALLS {
        let outcome = call(
            name,
            &folder.path().join("campaign"),
            &folder.path().join("out"),
            &[],
        );
        assert_eq!(outcome.exit_code, 2, "{name}");
        assert_eq!(
            outcome.stderr,
            format!("{}\n{}", fault("yield"), fault("purity")),
            "{name}"
        );
    }
    // Without effects there is a mean, and nothing that moves it.
    let effects = "effects = [\"heating\", \"route\", \"bath\", \"residue_ratio\"]";
    let asked = Asked::of(
        &edited(&[(effects, "effects = []")]),
        &with_rows(|row| row.starts_with("R1,")),
    );
    let line = asked.line("5");
    assert!(
        line.contains("Cannot be said: no run charged residue."),
        "{line}"
    );
}

#[test]
fn a_regression_without_chemistry_has_settings_and_is_not_asked_about_residue() {
    let campaign = r#"[campaign]
title = "Uptake of a dye"

[logs]
runs = "runs.csv"

[factors.heating]
kind = "choice"

[factors.bath]
kind = "amount"
low = 60
high = 80

[responses.uptake]
column = "labour"

[model]
responses = ["uptake"]
effects = ["heating", "bath"]

[aim]
maximise = "uptake"
"#;
    let runs = with_cells("residue_mass", |_| String::new());
    let folder = priced(campaign, &runs.replace("labour", "taken_up"), PRICED_LOTS);
    let campaign = campaign.replace("\"labour\"", "\"taken_up\"");
    let folder = folder.with("campaign/campaign.toml", &campaign);
    let (place, out) = (folder.path().join("campaign"), folder.path().join("out"));
    let routes = call("routes", &place, &out, &[]);
    assert_eq!(
        (routes.exit_code, routes.stderr.as_str()),
        (
            2,
            "error: no factor of `campaign.toml` stands for the recovery route\n\nhint: add `stands_for = \"route\"` to the choice that says how the product was recovered\n"
        )
    );
    let recycle = call("recycle", &place, &out, &["--quiet"]);
    assert_eq!(recycle.exit_code, 0, "{}", recycle.stderr);
    assert!(
        recycle
            .stdout
            .starts_with("Cannot be said: no factor stands for residue fed forward.")
    );
    let settings = call("settings", &place, &out, &["--json"]).json();
    assert_eq!(settings["settings"]["aim"]["response"], "uptake");
    assert_eq!(call("next", &place, &out, &[]).exit_code, 0);
    let report = call("report", &place, &out, &[]);
    assert_eq!(report.exit_code, 0, "{}", report.stderr);
    let text = std::fs::read_to_string(out.join("campaign/report.md")).expect("a report");
    for number in ["5", "9"] {
        let mut lines = text.lines().map(without_links);
        let line = lines.find(|line| line.starts_with(&format!("- **{number} ")));
        let line = line.expect("all nine questions are there");
        assert!(line.ends_with(" *not asked*"), "{line}");
        assert!(!text.contains(&format!("\n## {number} ")), "{text}");
    }
}
