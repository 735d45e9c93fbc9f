//! Does the answer say where the time to handle residue stands, and is no minute paid twice?
//!
//! In: bluestone, which logs labour of every run, with other lines under `[recycling]`. Out: tests of what is said and settled.
//! This module never works out a gain: `reference/recycling_gain.rs` does.

use std::path::Path;

use serde_json::Value;

use crate::support::{CampaignFolder, list, member, residuum, residuum_json};

/// The line of the demo that says where the handling stands.
pub const HANDLING: &str =
    "handling = \"extra\"            # the bench book times the run alone, not the grinding\n";
/// The line that says what becomes of product off specification.
pub const OFF_SPEC: &str =
    "off_spec = \"sold\"             # product below purity_spec still finds a buyer\n";

/// Bluestone with other lines in place of some.
pub fn edited(edits: &[(&str, &str)]) -> CampaignFolder {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone");
    let text = std::fs::read_to_string(demo.join("campaign.toml")).expect("the campaign file");
    let edited = edits.iter().fold(text, |text, (from, to)| {
        assert_eq!(text.matches(from).count(), 1, "{from}");
        text.replace(from, to)
    });
    CampaignFolder::copy_of(&demo).with("campaign.toml", &edited)
}

fn result(folder: &CampaignFolder) -> Value {
    residuum_json("report", folder.path())
}

fn answer<'a>(result: &'a Value, question: &str) -> &'a Value {
    member(list(result, "answers"), "question", question).expect("an answer")
}

fn doubts(result: &Value) -> Vec<&str> {
    let all = list(result, "caveats").iter();
    all.filter_map(|of| of["kind"].as_str()).collect()
}

/// The minutes of handling and of all labour that the campaign pays for, as parts of its cost.
fn paid(result: &Value) -> Vec<&str> {
    let parts = list(&result["costs"]["campaign"], "parts").iter();
    parts.filter_map(|part| part["what"].as_str()).collect()
}

#[test]
fn where_nothing_says_so_both_gains_stand_side_by_side_and_neither_is_settled() {
    let result = result(&edited(&[(HANDLING, "")]));
    let [logged, extra] = ["logged", "extra"].map(|of| &result["recycling"]["handling"][of]);
    // Three minutes at 24 an hour are 1.2.
    let gains = [logged, extra].map(|of| of["gain_per_run"]["value"].as_f64().expect("a gain"));
    assert!((gains[0] - gains[1] - 1.2).abs() < 1e-9, "{gains:?}");
    assert_eq!(
        [&logged["verdict"], &extra["verdict"]],
        ["pays", "not settled"]
    );
    let answer = answer(&result, "5");
    assert_ne!(answer["status"], "settled");
    let headline = answer["headline"].as_str().expect("a headline");
    assert!(
        headline.contains("holds the handling already"),
        "{headline}"
    );
    assert!(doubts(&result).contains(&"handling unsaid"));
    // Of minutes that may stand in the log none is paid a second time.
    assert!(!paid(&result).contains(&"handling of residue"));
    let named = result["costs"]["not_counted"].to_string();
    assert!(named.contains("[recycling] handling"), "{named}");
}

#[test]
fn a_firm_gain_is_partly_open_where_only_one_place_of_the_handling_is_firm() {
    // At 40 a kilogram the gain is firm beside the log and within it; at ten minutes within it alone.
    for (minutes, status) in [("3", "settled"), ("10", "partly open")] {
        let text = format!("residue_handling = \"{minutes} min/run\"");
        let edits = [
            (HANDLING, ""),
            ("product = \"18 /kg\"", "product = \"40 /kg\""),
            ("residue_handling = \"3 min/run\"", text.as_str()),
        ];
        let result = result(&edited(&edits));
        let handling = &result["recycling"]["handling"];
        println!("{minutes}: {handling}");
        let answer = answer(&result, "5");
        let firm =
            handling["extra"]["verdict"] == "pays" && handling["logged"]["verdict"] == "pays";
        assert_eq!(firm, status == "settled", "{handling}");
        match status {
            "settled" => assert_ne!(answer["status"], "partly open"),
            _ => assert_ne!(answer["status"], "settled"),
        }
        assert!(doubts(&result).contains(&"handling unsaid"));
    }
}

#[test]
fn handling_that_the_log_holds_is_paid_once() {
    let logged = result(&edited(&[(
        "handling = \"extra\"",
        "handling = \"logged\"",
    )]));
    let extra = result(&edited(&[]));
    for (result, handling) in [(&logged, false), (&extra, true)] {
        assert_eq!(paid(result).contains(&"handling of residue"), handling);
        assert_eq!(result["recycling"]["handling"], Value::Null);
        assert!(!doubts(result).contains(&"handling unsaid"));
        let terms = &result["recycling"]["terms"];
        assert_eq!(terms["handling"].as_f64().expect("a term") != 0.0, handling);
        assert_ne!(terms["labour"], 0.0);
    }
    let flips =
        |result: &Value, figure: &str| result["recycling"]["break_even"][figure].is_object();
    assert!(flips(&logged, "extra_labour_minutes") && !flips(&logged, "handling_minutes"));
    assert!(flips(&extra, "handling_minutes") && !flips(&extra, "extra_labour_minutes"));
}

#[test]
fn handling_that_no_log_can_hold_is_doubted_and_still_counts_for_residue() {
    let folder = edited(&[("handling = \"extra\"", "handling = \"logged\"")]);
    let log = std::fs::read_to_string(folder.path().join("runs.csv")).expect("the runs");
    let folder = folder.with(
        "runs.csv",
        &log.replacen(",labour,", ",minutes_of_the_book,", 1),
    );
    let result = result(&folder);
    assert!(doubts(&result).contains(&"handling not logged"));
    let terms = &result["recycling"]["terms"];
    assert_eq!(terms["labour"], 0.0);
    assert!((terms["handling"].as_f64().expect("a term") + 1.2).abs() < 1e-9);
}

#[test]
fn what_is_no_place_time_or_worth_is_told_with_file_line_and_hint() {
    let handling = "`logged` or `extra`";
    for (line, told) in [
        ("handling = \"loged\"", handling),
        ("handling = \"\"", handling),
        ("handling = 6", "recycling.handling"),
        ("handeling = \"extra\"", "did you mean `handling`?"),
        (
            "attended = [\"filter time\"]",
            "did you mean `filter_time`?",
        ),
        ("attended = \"\"", "known here: filter_time"),
        ("attended = [\"yield\"]", "known here: filter_time"),
        ("attended = 5", "a text, or a list of texts"),
        (
            "attended = [\"filter_time\", \"filter_time\"]",
            "is paid already",
        ),
        ("atended = [\"filter_time\"]", "did you mean `attended`?"),
        ("off_spec = \"12\"", "what it is per"),
        ("off_spec = \"12,5 /kg\"", "use a decimal point"),
        ("off_spec = \"12 /h\"", "it is counted per kg"),
        ("off_spec = \"-3 /kg\"", "a price is not negative"),
        ("off_spec = \"$12 /kg\"", "the other prices are in EUR"),
        ("off_spec = \"\"", "a rework such as"),
        ("off_spec = \"given away\"", "a rework such as"),
        ("off_spec = 12", "recycling.off_spec"),
        ("off_spec = { cost = \"3 /kg\" }", "loses nothing"),
        ("off_spec = { cost = \"3 /kg\", loss = 0 }", "loses nothing"),
        (
            "off_spec = { cost = \"3 /kg\", loss = 4 }",
            "between 0 and 1",
        ),
        (
            "off_spec = { cost = \"3 /kg\", loss = \"4 %\" }",
            "recycling.off_spec.loss",
        ),
        (
            "off_spec = { cost = \"3 /h\", loss = 0.04 }",
            "it is counted per kg",
        ),
        ("off_spec = { loss = 0.04 }", "has no `cost`"),
        (
            "off_spec = { cost = \"3 /kg\", los = 0.04 }",
            "did you mean `loss`?",
        ),
    ] {
        let folder = edited(&[(HANDLING, ""), (OFF_SPEC, &format!("{line}\n"))]);
        let outcome = residuum(&["recycle".as_ref(), folder.path().as_os_str()]);
        assert_eq!(outcome.exit_code, 2, "{line}");
        let found = &outcome.stderr;
        assert!(found.contains(told), "{line}: {found}");
        assert!(found.contains("campaign.toml` line 10"), "{line}: {found}");
    }
}

#[test]
fn a_time_whose_column_is_labour_is_paid_already() {
    let own = "[responses.bench]\ncolumn = \"labour\"\nunit = \"min\"\n\n[model]";
    let folder = edited(&[("[model]", own), (OFF_SPEC, "attended = [\"bench\"]\n")]);
    let outcome = residuum(&["recycle".as_ref(), folder.path().as_os_str()]);
    assert_eq!(outcome.exit_code, 2);
    assert!(outcome.stderr.contains("column `labour` is paid already"));
}

#[test]
fn worth_off_specification_that_cannot_be_right_is_doubted() {
    for (line, kind) in [
        ("off_spec = \"19 /kg\"", Some("off specification dearer")),
        ("off_spec = \"18 /kg\"", None),
        (
            "off_spec = { cost = \"18 /kg\", loss = 0.04 }",
            Some("rework at a loss"),
        ),
        ("off_spec = { cost = \"3 /kg\", loss = 0.04 }", None),
    ] {
        let result = result(&edited(&[(OFF_SPEC, &format!("{line}\n"))]));
        let kinds = ["off specification dearer", "rework at a loss"];
        let found = doubts(&result).into_iter().find(|of| kinds.contains(of));
        assert_eq!(found, kind, "{line}");
    }
}

#[test]
fn one_run_with_every_key_of_residue_says_what_is_missing() {
    let demo = edited(&[
        (
            OFF_SPEC,
            "attended = [\"filter_time\"]\noff_spec = \"12 /kg\"\n",
        ),
        ("baseline = \"muffle\"", "baseline = \"torch\""),
        ("baseline = \"chill\"", "baseline = \"spirit\""),
        ("never = [{ heating = \"torch\", route = \"spirit\" }]", ""),
        (
            "effects = [\"heating\", \"oxidant_excess\", \"route\", \"residue_ratio\"]",
            "effects = []",
        ),
        ("joint = [[\"route\", \"residue_ratio\"]]", "joint = []"),
        ("curved = { oxidant_excess = 2 }", "curved = {}"),
        ("blocks = [\"lot\"]", "blocks = []"),
        (
            "candidates = [[\"heating\", \"oxidant_excess\"], [\"route\", \"oxidant_excess\"]]",
            "candidates = []",
        ),
    ]);
    let log = std::fs::read_to_string(demo.path().join("runs.csv")).expect("the runs");
    let lines: Vec<&str> = log.lines().take(2).collect();
    let demo = demo.with("runs.csv", &(lines.join("\n") + "\n"));
    let outcome = residuum(&["recycle".as_ref(), demo.path().as_os_str()]);
    assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
    assert!(
        outcome.stdout.starts_with("Cannot be said"),
        "{}",
        outcome.stdout
    );
}
