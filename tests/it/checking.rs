//! Does `check` name every cause once, go on past each, and say what it understood?
//!
//! In: the bluestone demo with headings, levels and tables of the campaign file spelt as people spell them. Out: tests of `check`,
//! and of results that spellings must not change.
//! This module never asks for the words of single faults: `bad_corpus.rs` does.

use std::fs;

use crate::routes::demo;
use crate::support::{CampaignFolder, Outcome, residuum};

/// A file of the demo.
fn read(file: &str) -> String {
    fs::read_to_string(demo("bluestone").join(file)).expect("a file of the demo")
}

/// The demo with these files edited.
fn edited(edits: &[(&str, &str, &str)]) -> CampaignFolder {
    let mut folder = CampaignFolder::copy_of(&demo("bluestone"));
    for (file, from, to) in edits {
        let text = fs::read_to_string(folder.path().join(file)).expect("the file is there");
        assert!(text.contains(from), "{file} holds {from}");
        folder = folder.with(file, &text.replacen(from, to, 1));
    }
    folder
}

fn call(name: &str, folder: &CampaignFolder, options: &[&str]) -> Outcome {
    let path = folder.path().display().to_string();
    let arguments: Vec<&str> = [name, &path]
        .into_iter()
        .chain(options.iter().copied())
        .collect();
    residuum(&arguments)
}

/// What a call prints as JSON, as it is printed.
fn json(name: &str, folder: &CampaignFolder) -> String {
    call(name, folder, &["--json", "--quiet"]).stdout
}

const ROUTE: &str = "[factors.route]\n";

#[test]
fn headings_that_differ_in_case_blanks_or_dashes_are_used_with_a_note() {
    let folder = edited(&[
        (
            "runs.csv",
            "oxidant_mass,residue_mass",
            "Oxidant Mass,RESIDUE-MASS",
        ),
        ("crops.csv", "mass,", "Mass,"),
    ]);
    let checked = call("check", &folder, &[]).stdout;
    for (heading, name) in [
        ("Oxidant Mass", "oxidant_mass"),
        ("RESIDUE-MASS", "residue_mass"),
        ("Mass", "mass"),
    ] {
        let note = format!("`{heading}` as `{name}`");
        assert!(checked.contains(&note), "{note}: {checked}");
    }
    assert_eq!(json("fit", &folder), json("fit", &edited(&[])));
}

#[test]
fn spellings_of_one_level_are_joined_by_the_key_that_the_doubt_names() {
    let spelt = [
        ("runs.csv", ",boildown,", ",boil down,"),
        ("runs.csv", ",spirit,", ",Spirit,"),
    ];
    let doubted = call("check", &edited(&spelt), &[]).stdout;
    assert!(
        doubted.contains("levels of route are spelt alike"),
        "{doubted}"
    );
    let joined = "same_as = { boildown = [\"boil down\"], spirit = [\"Spirit\"] }";
    assert!(
        doubted.contains(&format!("write `{joined}` under `[factors.route]`")),
        "{doubted}"
    );
    let with_key = format!("{ROUTE}{joined}\n");
    let [one, other] = spelt;
    let folder = edited(&[one, other, ("campaign.toml", ROUTE, &with_key)]);
    assert_eq!(json("fit", &folder), json("fit", &edited(&[])));
    assert_eq!(json("yields", &folder), json("yields", &edited(&[])));
}

#[test]
fn a_key_of_spellings_that_cannot_be_meant_so_stops_with_what_to_do() {
    for (key, told) in [
        (
            "same_as = { boildown = [\"spirit\"] }",
            "`spirit` in `factors.route.same_as` is a level itself",
        ),
        (
            "same_as = { boildown = [\"b\"], spirit = [\"b\"] }",
            "`b` in `factors.route.same_as` stands for two levels: `boildown` and `spirit`",
        ),
        (
            "same_as = { boilt = [\"b\"] }",
            "unknown level `boilt` of `route` in `factors.route.same_as`",
        ),
        (
            "same_as = { boildown = [\"\"] }",
            "`factors.route.same_as.boildown` holds an empty spelling",
        ),
        (
            "same_as = [\"b\"]",
            "`factors.route.same_as` is of type array",
        ),
        (
            "same_az = { boildown = [\"b\"] }",
            "did you mean `same_as`?",
        ),
        ("called = \"\"", "`factors.route.called` is ``"),
        (
            "called = \"Heating\"",
            "`factors.route` is called as `factors.heating` is",
        ),
        (
            "called = \"yield\"",
            "`factors.route` is called as `yield` is",
        ),
        ("called = 3", "`factors.route.called` is of type integer"),
    ] {
        let text = format!("{ROUTE}{key}\n");
        let outcome = call("check", &edited(&[("campaign.toml", ROUTE, &text)]), &[]);
        assert_eq!(outcome.exit_code, 1, "{key}");
        assert!(outcome.stdout.contains(told), "{key}: {}", outcome.stdout);
    }
}

#[test]
fn a_factor_is_called_in_the_answers_as_its_file_says() {
    let residue = "[factors.residue_ratio]";
    let text = format!("{residue}\ncalled = \"residue per feed\" ");
    let folder = edited(&[("campaign.toml", residue, &text)]);
    let out = folder.path().join("out").display().to_string();
    let page = call("report", &folder, &["--out", &out]).stdout;
    let page = fs::read_to_string(page.trim_end()).expect("a report");
    let third = page
        .lines()
        .find(|line| line.contains("[3 What moves yield?]"));
    assert!(
        third.is_some_and(|line| line.contains("Residue per feed 0 → 0.55 g/g")),
        "{third:?}"
    );
    assert_eq!(
        json("fit", &folder),
        json("fit", &edited(&[])),
        "data keep the name"
    );
}

#[test]
fn many_cells_of_one_cause_are_one_entry_with_their_lines() {
    let lines: Vec<String> = read("crops.csv").lines().map(str::to_string).collect();
    let spoilt = lines.iter().enumerate().map(|(at, line)| {
        let cells: Vec<&str> = line.split(',').collect();
        match (3..30).contains(&at) {
            true => [&cells[..2], &["about 9"], &cells[3..]].concat().join(","),
            false => line.clone(),
        }
    });
    let spoilt: Vec<String> = spoilt.collect();
    let folder = CampaignFolder::copy_of(&demo("bluestone")).with("crops.csv", &spoilt.join("\n"));
    let checked = call("check", &folder, &[]).stdout;
    let told: Vec<&str> = checked
        .lines()
        .filter(|line| line.contains("about 9"))
        .collect();
    assert_eq!(told.len(), 1, "{checked}");
    assert!(
        told[0].contains("27 times") || told[0].contains("27 cells"),
        "{}",
        told[0]
    );
    assert!(told[0].contains("lines 4 to 30"), "{}", told[0]);
}

#[test]
fn check_goes_on_past_faults_of_the_campaign_file_and_past_missing_columns() {
    let folder = edited(&[
        ("campaign.toml", "[oxidant]", "[oxidamt]"),
        ("lots.csv", "lot,assay", "lot,strength"),
        ("titres.csv", "T1,40.88,", "T1,4o.88,"),
    ]);
    let outcome = call("check", &folder, &[]);
    assert_eq!(outcome.exit_code, 1);
    for told in [
        "oxidamt",
        "did you mean `oxidant`?",
        "`assay`",
        "lots.csv",
        "titres.csv",
        "`4o.88`",
    ] {
        assert!(outcome.stdout.contains(told), "{told}: {}", outcome.stdout);
    }
}

#[test]
fn what_was_understood_of_each_column_is_shown() {
    let shown = call("check", &edited(&[]), &["--columns"]).stdout;
    let row = |heading: &str| {
        let mut lines = shown.lines();
        let found = lines.find(|line| line.starts_with("runs.csv") && line.contains(heading));
        found.unwrap_or_else(|| panic!("no row of {heading}: {shown}"))
    };
    let feed: Vec<&str> = row("Scale charged")
        .split("  ")
        .map(str::trim)
        .filter(|cell| !cell.is_empty())
        .collect();
    assert_eq!(
        feed[1..5],
        ["Scale charged (kg)", "feed_mass", "kg", "0 of 64"]
    );
    assert_eq!(feed[6], "0.5018, 0.5046, 0.5063");
    assert!(row("set_aside").contains("63 of 64"));
    assert!(row("heating").contains("factor heating"));
    let both = call("check", &edited(&[]), &["--columns", "--chain", "B-001"]);
    assert_eq!(both.exit_code, 2, "one or the other");
}
