//! What do residuals, leverages and distances of single runs say?
//!
//! In: names of runs and sides of the model. Out: sentences, each bound in them written from the constant that judges.
//! This module never decides which runs stand out.

use super::{all_quoted, quoted};
use crate::regression::{APART_LEVERAGE, FAR_LEVERAGE, OWN_REGION, PULLING_DISTANCE, SideOfModel};
use crate::report::print::numbers::plain;
use crate::report::print::words::{and_list, times_in_words};

pub(super) const NONE_PULLS: &str = "no single run pulls the fit noticeably";

fn side_word(side: SideOfModel) -> &'static str {
    match side {
        SideOfModel::Above => "above",
        SideOfModel::Below => "below",
    }
}

/// ``run `7` ``, ``runs `7` and `9` ``.
fn run_list(runs: &[String]) -> String {
    let noun = if runs.len() == 1 { "run" } else { "runs" };
    format!("{noun} {}", and_list(&all_quoted(runs)))
}

pub(super) fn beyond_chance(furthest: &str, side: SideOfModel) -> String {
    format!(
        "run {} lies further {} the model than chance explains, allowing for all runs: look for a slip in its logs before believing the rest",
        quoted(furthest),
        side_word(side)
    )
}

pub(super) fn none_beyond_chance(furthest: &str, side: SideOfModel) -> String {
    format!(
        "no run lies further off than chance explains, allowing for all runs; {} is the furthest, {} the model",
        quoted(furthest),
        side_word(side)
    )
}

pub(super) fn only_with_a_term(runs: &[String]) -> String {
    format!(
        "{}: each is the only one to show some term, so that nothing checks its reading; repeat it",
        run_list(runs)
    )
}

pub(super) fn settings_far_off(runs: &[String]) -> String {
    format!(
        "{}: settings so far from the others (beyond {} the average) that few runs check the reading",
        run_list(runs),
        times_in_words(FAR_LEVERAGE)
    )
}

pub(super) fn settings_apart(runs: &[String]) -> String {
    format!(
        "{}: settings somewhat apart from the others (beyond {} the average); a slip there would cost more than elsewhere",
        run_list(runs),
        times_in_words(APART_LEVERAGE)
    )
}

pub(super) fn no_settings_apart() -> String {
    format!(
        "no run's settings stand apart: all are within {} the average",
        times_in_words(APART_LEVERAGE)
    )
}

pub(super) fn decides_fit(run: &str) -> String {
    format!(
        "without run {} the fit would move to the edge of its own {} % region: the result rests on this run, so repeat it",
        quoted(run),
        plain(100.0 * OWN_REGION)
    )
}

pub(super) fn pulls_fit(run: &str) -> String {
    format!(
        "run {} pulls the fit more than most do (above {} over the number of runs), though not far",
        quoted(run),
        plain(PULLING_DISTANCE)
    )
}
