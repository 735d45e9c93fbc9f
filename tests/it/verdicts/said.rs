//! Is what shakes an answer said where the answer stands, in words and in data?
//!
//! In: campaigns of a known truth, through the program. Out: tests of the first screen, of the calls and of the JSON.
//! This module never counts a verdict.

use residuum::pipeline::{self, Asked};
use residuum::report;

use super::SEED;
use super::logs::{CLEAN, Charges, Truth};
use crate::support::{residuum, residuum_json, without_links};

/// Charged in the second half only, with a step between.
const STEPPED: Truth = Truth {
    charges: Charges::SecondHalf(&[0.2, 0.35, 0.5]),
    step: 0.03,
    ..CLEAN
};

/// The report of one campaign.
fn page(truth: &Truth) -> String {
    let worked = truth.campaign(4_001, 0.5).work_out();
    let analysis = pipeline::analyse(worked.campaign, worked.normalised, Asked::usual(SEED));
    let analysis = analysis.unwrap_or_else(|faults| panic!("{faults}"));
    let files = report::report(&analysis).expect("the charts can be drawn");
    let page = files.into_iter().find(|file| file.path == "report.md");
    String::from_utf8(page.expect("a report has a page").bytes).expect("text")
}

#[test]
fn the_first_sentence_says_what_stands_in_the_way_and_what_would_lift_it() {
    let report = page(&STEPPED);
    let mut lines = report.lines().map(without_links);
    let line = lines.find(|line| line.starts_with("- **5"));
    let line = line.expect("question 5 is answered");
    let why = "Residue_ratio changed over only once along the order of the runs";
    assert!(line.contains(&format!("** {why}")), "{line}");
    assert!(line.contains("make the next runs with residue_ratio in mixed order, and log dates"));
    assert!(line.contains("Would be: ") && line.ends_with("*in doubt*"));
}

#[test]
fn the_call_says_so_too_and_its_data_hold_the_status() {
    let folder = STEPPED.campaign(4_001, 0.5).folder();
    let text = residuum(&["recycle".as_ref(), folder.path()]).stdout;
    assert!(
        text.starts_with("in doubt: residue_ratio changed over only once"),
        "{text}"
    );
    let data = residuum_json("recycle", folder.path());
    let answer = &data["answers"][0];
    assert_eq!(answer["question"], "5");
    assert_eq!(answer["status"], "in doubt");
    assert!(
        answer["otherwise"]
            .as_array()
            .is_some_and(|held| !held.is_empty())
    );
}

#[test]
fn a_small_log_leads_with_the_runs_to_make() {
    let small = Truth {
        runs: 8,
        charges: Charges::Mixed(&[0.0, 0.3, 0.0, 0.5]),
        ..CLEAN
    };
    let report = page(&small);
    assert!(report.contains(
        "**Little to go on:** of 8 runs, 3 go into the model and 5 are left to tell the scatter by."
    ));
    let first = report.lines().find(|line| line.starts_with("- **"));
    let first = without_links(first.expect("an answer"));
    assert!(first.starts_with("- **7 "), "{first}");
}
