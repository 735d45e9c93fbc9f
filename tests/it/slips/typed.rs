//! Is an entry that is wrong found, named and kept from settling an answer?
//!
//! In: the slips of the table, each made in its campaign. Out: a test of all of them, and a table of counts.
//! This module never judges an entry.

use std::collections::BTreeMap;
use std::path::Path;

use residuum::campaign::{Campaign, CampaignDraft};
use residuum::error::Faults;
use residuum::pipeline::{self, Analysis, Asked, Extent};
use residuum::seeded::Seeded;

use super::files::{Files, Touched};
use super::judged::{Clean, Outcome, analysed, failure, stopped};
use super::logs::make;
use super::plans::{Draws, Plan, Style};
use super::preparations::PREPARATIONS;
use super::table::{Base, Case, Must, cases};

const SEED: u64 = 1;
/// The seed of the small campaigns; each has a stream of its own.
const SEED_OF_SMALL: u64 = 77;

/// Least slips that the table holds.
const LEAST: usize = 150;

fn files(base: Base) -> Files {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo");
    let small = |preparation: usize, style| {
        let mut draws = Draws(Seeded::stream(SEED_OF_SMALL, preparation as u64));
        let plan = Plan::small(PREPARATIONS[preparation], style);
        Files::of(make(&plan, &mut draws))
    };
    match base {
        Base::Bluestone => Files::of_folder(&demo.join("bluestone")),
        Base::Iodate => Files::of_folder(&demo.join("iodate")),
        Base::Nickel => small(2, Style::Separate),
        Base::Copper => small(0, Style::Flat),
    }
}

fn work_out(files: &Files) -> Result<Analysis, Faults> {
    let campaign: Campaign = CampaignDraft::read(files.campaign_file())?.check()?;
    let normalised = pipeline::normalise(&campaign, &files.logs)?;
    let asked = Asked {
        extent: Extent::WithoutCharts,
        ..Asked::usual(SEED)
    };
    pipeline::analyse(campaign, normalised, asked)
}

fn outcome(case: &Case, clean: &Clean) -> Outcome {
    let mut files = clean.files.clone();
    let touched: Vec<Touched> = case.edits.iter().map(|edit| files.edited(edit)).collect();
    match work_out(&files) {
        Ok(analysis) => analysed(case, clean, &analysis, &touched),
        Err(faults) => stopped(case, &faults, &touched),
    }
}

/// Outcomes of all slips of one campaign, worked out on two threads.
fn outcomes(base: Base, all: &[Case]) -> Vec<(Case, Outcome)> {
    let files = files(base);
    let analysis = work_out(&files).unwrap_or_else(|faults| panic!("{base:?}: {faults}"));
    let clean = Clean::of(files, &analysis);
    let own: Vec<&Case> = all.iter().filter(|case| case.base == base).collect();
    let (first, second) = own.split_at(own.len() / 2);
    let each = |cases: &[&Case]| -> Vec<(Case, Outcome)> {
        let done = cases
            .iter()
            .map(|case| ((*case).clone(), outcome(case, &clean)));
        done.collect()
    };
    std::thread::scope(|scope| {
        let beside = scope.spawn(|| each(first));
        let rest = each(second);
        let mut done = beside.join().expect("the first half ends");
        done.extend(rest);
        done
    })
}

const ALL: [Must; 7] = [
    Must::Stops,
    Must::Fault,
    Must::LeftOut,
    Must::Impossible,
    Must::Unlikely,
    Must::Odd,
    Must::Silent,
];

/// Counts by what must happen, a row each, and what did.
fn count_table(counts: &BTreeMap<(Must, Must), usize>) -> String {
    let happen: Vec<Must> = ALL
        .into_iter()
        .filter(|must| *must != Must::Fault)
        .collect();
    let heads: Vec<String> = happen.iter().map(|must| format!("{must:?}")).collect();
    let ends = "---: |".repeat(happen.len() + 1);
    let mut text = format!("| must | {} | all |\n| --- |{ends}\n", heads.join(" | "));
    for must in ALL {
        let count = |happened: &Must| counts.get(&(must, *happened)).copied().unwrap_or_default();
        let row: Vec<usize> = happen.iter().map(count).collect();
        let cells: Vec<String> = row.iter().map(usize::to_string).collect();
        let all: usize = row.iter().sum();
        text.push_str(&format!("| {must:?} | {} | {all} |\n", cells.join(" | ")));
    }
    text
}

#[test]
fn slips_are_found_and_settle_nothing() {
    let all = cases();
    assert!(all.len() >= LEAST, "{} slips", all.len());
    let mut counts = BTreeMap::new();
    let mut failures = Vec::new();
    for base in [Base::Bluestone, Base::Iodate, Base::Nickel, Base::Copper] {
        for (case, outcome) in outcomes(base, &all) {
            *counts.entry((case.must, outcome.happened)).or_default() += 1;
            failures.extend(failure(&case, &outcome));
        }
    }
    let of = all.len();
    println!(
        "{of} slips, by what must happen and what did:\n{}",
        count_table(&counts)
    );
    let count = failures.len();
    assert!(
        failures.is_empty(),
        "{count} of {of}:\n{}",
        failures.join("\n")
    );
}
