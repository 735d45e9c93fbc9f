//! Checks that the sentences of diagnostics say what was found.
//!
//! In: readings made up for each sentence. Out: nothing but passing tests.
//! This module never fits a model.

use super::sentences::MOST_NAMED;
use super::*;
use crate::regression::{
    APART_LEVERAGE, Change, Changing, FAR_LEVERAGE, MOST_FOR_NORMALITY, Reading, RestingDecision,
    SideOfModel, WhyNot,
};
use crate::report::print::words::times_in_words;

fn texts(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| name.to_string()).collect()
}

#[track_caller]
fn check(reading: Reading, expected: &str) {
    assert_eq!(reading_text(&reading), expected);
}

fn decision(about: &str, change: Change, runs: &[&str]) -> Reading {
    Reading::SomeRestOnOneRun(vec![RestingDecision {
        about: about.into(),
        change,
        runs: texts(runs),
    }])
}

#[test]
fn a_run_that_stands_out_is_named_with_its_side() {
    check(
        Reading::RunsBeyondChance {
            furthest: "7".into(),
            side: SideOfModel::Below,
            called_out: texts(&["7", "9"]),
        },
        "run `7` lies further below the model than chance explains, allowing for all runs: look for a slip in its logs before believing the rest",
    );
    check(
        Reading::OnlyRunsWithATerm(texts(&["5"])),
        "run `5`: each is the only one to show some term, so that nothing checks its reading; repeat it",
    );
}

#[test]
fn a_bound_in_a_sentence_is_the_one_that_judges() {
    let far = reading_text(&Reading::SettingsFarOff(texts(&["1", "2"])));
    let words = times_in_words(FAR_LEVERAGE);
    assert!(far.starts_with("runs `1` and `2`: settings so far"));
    assert!(far.contains(&format!("(beyond {words} the average)")));
    let words = times_in_words(APART_LEVERAGE);
    assert!(
        reading_text(&Reading::NoSettingsApart).ends_with(&format!("within {words} the average"))
    );
    let many = reading_text(&Reading::NotJudged(WhyNot::TooManyForNormality));
    assert!(many.contains(&format!("above {MOST_FOR_NORMALITY} runs")));
}

#[test]
fn a_level_stands_behind_its_factor() {
    check(
        Reading::NoneWentWithOrder(Changing::Level {
            factor: "heating".into(),
            level: "hob".into(),
        }),
        "no factor went with the order of the runs more than chance explains; `heating: hob` did most",
    );
}

#[test]
fn the_scale_of_neighbours_is_told_with_its_figure_alone() {
    let told = |what, reading| {
        verdict_text(&Diagnostic {
            what,
            value: None,
            p: None,
            reading,
            runs: Vec::new(),
        })
    };
    let scale = "; 2 means no connection, 0 the same error, 4 opposite errors";
    let alike = Reading::NeighboursAlike;
    assert!(told(DiagnosticKind::Neighbours, alike.clone()).ends_with(scale));
    assert!(told(DiagnosticKind::LagOne, alike).ends_with("intervals are too narrow"));
    let none = Reading::NotJudged(WhyNot::NoScatter);
    assert!(told(DiagnosticKind::Neighbours, none).ends_with("no scatter to look at"));
}

#[test]
fn terms_of_a_relation_are_named_where_they_are_more_than_one() {
    let together = |terms: &[&str]| Reading::StronglyTogether(texts(terms));
    let named = reading_text(&together(&["x", "nearly"]));
    assert!(named.starts_with("`x` and `nearly` hang together strongly: "));
    assert!(reading_text(&together(&["x"])).starts_with("several terms hang together"));
}

#[test]
fn runs_that_decide_are_named_while_they_are_few() {
    check(
        decision("ratio", Change::WouldMatter, &["14", "17", "18", "24"]),
        "without any one of `14`, `17`, `18` or `24`, `ratio` would matter",
    );
    check(
        decision("heating: torch", Change::CouldNotBeTold, &["5"]),
        "without run `5`, `heating: torch` could not be told",
    );
    let many = vec!["1"; MOST_NAMED + 1];
    check(
        decision("", Change::NoFit, &many),
        &format!(
            "without any one of {} runs there would be no fit",
            many.len()
        ),
    );
}
