//! Does `next` plan the first runs of a campaign whose runs log has nothing but headings?
//!
//! In: small invented campaigns without chemistry. Out: what stands on the output of the program.
//! This module never checks how good a plan is: `reference/optimal_designs.rs` does.

use super::{FACTORS, HEADINGS, check_refused, next, plain, planned};
use crate::support::{list, number, residuum};

#[test]
fn an_empty_log_is_planned_from_limits_and_levels_alone() {
    let folder = plain(FACTORS, "", HEADINGS);
    let plan = planned(folder.path(), &["--runs", "4"]);
    let runs = list(&plan, "next_runs");
    // Four runs for two factors: each combination of both ends once, by Hadamard's bound the best there is.
    let mut seen: Vec<String> = runs
        .iter()
        .map(|run| {
            format!(
                "{} {}",
                run["settings"]["stirring"], run["settings"]["vessel"]
            )
        })
        .collect();
    seen.sort();
    assert_eq!(
        seen,
        [
            "100.0 \"glass\"",
            "100.0 \"steel\"",
            "300.0 \"glass\"",
            "300.0 \"steel\""
        ]
    );
    assert!(number(&plan["next_runs_for"], "d_efficiency") > 0.0);
    // Every other call still stops at a log without rows.
    let fit = residuum(&["fit", &folder.path().display().to_string()]);
    check_refused(&fit, "has headings but no row", "write a row");
}

#[test]
fn an_empty_log_without_limits_or_levels_cannot_be_planned() {
    let no_limits = FACTORS.replace("low = 100\nhigh = 300\n", "");
    let folder = plain(&no_limits, "", HEADINGS);
    check_refused(&next(folder.path(), &[]), "`stirring`", "`low` and `high`");
    let no_levels = FACTORS.replace(
        "levels = [\"steel\", \"glass\"]\nbaseline = \"steel\"\n",
        "",
    );
    let folder = plain(&no_levels, "", HEADINGS);
    check_refused(&next(folder.path(), &[]), "`vessel`", "levels");
}

#[test]
fn a_first_plan_for_the_effect_of_lots_needs_lots_on_the_shelf() {
    let folder = plain(FACTORS, "", HEADINGS);
    let text =
        std::fs::read_to_string(folder.path().join("campaign.toml")).expect("the file was written");
    let with_lot = text.replace("\"vessel\"]\n", "\"vessel\", \"lot\"]\n");
    let folder = folder.with("campaign.toml", &with_lot);
    check_refused(&next(folder.path(), &[]), "`lot` has no value", "`[shelf]`");
    let folder = folder.with(
        "campaign.toml",
        &format!("{with_lot}[shelf]\nlots = [\"A\", \"B\"]\n"),
    );
    let plan = planned(folder.path(), &["--runs", "4"]);
    let on_a = list(&plan, "next_runs")
        .iter()
        .filter(|run| run["lot"] == "A")
        .count();
    assert_eq!(on_a, 2);
}

#[test]
fn too_few_first_runs_are_refused_with_the_number_that_is_needed() {
    let folder = plain(FACTORS, "", HEADINGS);
    check_refused(
        &next(folder.path(), &["--runs", "2"]),
        "2 runs cannot tell the 3 terms",
        "--runs 3",
    );
}
