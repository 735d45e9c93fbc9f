//! Does every call fit the terminal that it is read on, and leave alone what goes into a pipe?
//!
//! In: both demo campaigns and one with long names, at terminals of 80 and of 120 columns. Out: tests that no line is too
//! long, that no word is cut or lost, and that pipes, JSON and exit codes don't depend on a terminal.
//! This module never says how a table is laid out.

mod pseudo;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use pseudo::{Seen, at_a_terminal};
use tempfile::TempDir;

use crate::names::campaign::{Log, Names, campaign};
use crate::routes::demo;
use crate::support::CampaignFolder;

const WIDTHS: [u16; 2] = [80, 120];

/// Calls on one campaign, with further options.
const CALLS: [&[&str]; 9] = [
    &["check"],
    &["yields"],
    &["fit"],
    &["routes"],
    &["recycle"],
    &["settings"],
    &["next"],
    &["drift"],
    &["report"],
];

fn long_names() -> CampaignFolder {
    let text = str::to_string;
    let names = Names {
        roast: "way of roasting the annealing scale".into(),
        roasts: [
            "muffle, lid on, over night",
            "hob, stirred by hand",
            "torch, outdoors",
        ]
        .map(text),
        ways: [
            "chill, covered, over night",
            "spirit of wine, second wash, slow",
        ]
        .map(text),
        bent: "excess of dilute sulfuric acid".into(),
        lots: ["first bag", "second bag, opened", "third bag, damp"].map(text),
        timed: "minutes at the filter, both crops".into(),
        run: "autumn ".into(),
        ..Names::ordinary()
    };
    campaign(&names, Log::Rises)
}

/// A call in a folder of its own, so that paths in its output are short and the same each time.
struct Call {
    folder: TempDir,
    arguments: Vec<String>,
}

impl Call {
    fn on(call: &[&str], campaign: &Path) -> Self {
        let mut arguments: Vec<String> = call.iter().map(ToString::to_string).collect();
        arguments.insert(1, campaign.to_str().expect("UTF-8").to_string());
        Call::with(arguments)
    }

    fn with(arguments: Vec<String>) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder can be made");
        Call { folder, arguments }
    }

    fn command(&self) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_residuum"));
        command
            .args(&self.arguments)
            .current_dir(self.folder.path());
        command
    }

    fn piped(&self, columns: Option<&str>) -> Seen {
        let mut command = self.command();
        match columns {
            Some(columns) => command.env("COLUMNS", columns),
            None => command.env_remove("COLUMNS"),
        };
        let output = command
            .stdin(Stdio::null())
            .output()
            .expect("the program starts");
        let text = |bytes| String::from_utf8(bytes).expect("the program writes UTF-8");
        Seen {
            exit_code: output.status.code().expect("the program ends by itself"),
            stdout: text(output.stdout),
            stderr: text(output.stderr),
        }
    }
}

/// Asks that a call says in a terminal of each width what it says in a pipe, in lines that fit.
fn check_call(call: impl Fn() -> Call, faults: &mut Vec<String>) {
    let piped = call().piped(None);
    for columns in WIDTHS {
        let call = call();
        let seen = at_a_terminal(call.command(), columns);
        let what = format!("`{}` at {columns} columns", call.arguments[0]);
        if seen.exit_code != piped.exit_code {
            faults.push(format!("{what}: exit code {}", seen.exit_code));
        }
        for (shown, told) in [(&seen.stdout, &piped.stdout), (&seen.stderr, &piped.stderr)] {
            let too_long = shown
                .lines()
                .filter(|line| line.chars().count() > columns.into() && line.trim().contains(' '));
            let count = too_long.clone().count();
            if let Some(line) = too_long.max_by_key(|line| line.chars().count()) {
                let letters = line.chars().count();
                let beginning: String = line.chars().take(columns.into()).collect();
                faults.push(format!(
                    "{what}: {count} lines too long, one of {letters}: {beginning}..."
                ));
            }
            let lost = lost(told, shown);
            if !lost.is_empty() {
                faults.push(format!("{what}: cut or lost: {}", lost.join(" ")));
            }
        }
    }
}

/// Words of a text that another does not hold as often.
fn lost(told: &str, shown: &str) -> Vec<String> {
    let mut left = BTreeMap::new();
    for word in words(shown) {
        *left.entry(word).or_insert(0_usize) += 1;
    }
    words(told)
        .filter(|word| match left.get_mut(word) {
            Some(count @ 1..) => {
                *count -= 1;
                false
            }
            _ => true,
        })
        .map(str::to_string)
        .collect()
}

/// Words, whether they are headings of a column or of a cell: `cost` or `cost:`.
fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split_whitespace()
        .map(|word| word.trim_end_matches(':'))
}

#[track_caller]
fn check_calls(campaign: &Path) {
    let mut faults = Vec::new();
    for call in CALLS {
        check_call(|| Call::on(call, campaign), &mut faults);
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_call_on_bluestone_fits_its_terminal() {
    check_calls(&demo("bluestone"));
}

#[test]
fn every_call_on_iodate_fits_its_terminal() {
    check_calls(&demo("iodate"));
}

#[test]
fn every_call_on_a_campaign_with_long_names_fits_its_terminal() {
    check_calls(&long_names().path().join("campaign"));
}

#[test]
fn a_round_and_a_new_campaign_fit_their_terminal() {
    let campaigns = long_names();
    let all = campaigns.path().to_str().expect("UTF-8").to_string();
    let mut faults = Vec::new();
    let arguments = |list: &[&str]| list.iter().map(ToString::to_string).collect();
    check_call(|| Call::with(arguments(&["rounds", &all])), &mut faults);
    check_call(|| Call::with(arguments(&["start", "mine"])), &mut faults);
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn a_fault_fits_its_terminal() {
    let broken = CampaignFolder::new()
        .with("campaign.toml", "[campaign]\ntitle = \"Broken\"\n[logs]\nruns = \"runs.csv\"\n[model]\nresponses = [\"yeild\"]\n")
        .with("runs.csv", "run,feed_mass\n");
    let mut faults = Vec::new();
    for call in ["check", "report"] {
        check_call(|| Call::on(&[call], broken.path()), &mut faults);
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

fn campaigns() -> [PathBuf; 2] {
    [demo("bluestone"), demo("iodate")]
}

#[test]
fn a_pipe_gets_the_same_bytes_whatever_the_columns() {
    for campaign in campaigns() {
        for call in CALLS {
            let [none, narrow] =
                [None, Some("40")].map(|columns| Call::on(call, &campaign).piped(columns));
            assert_eq!(none.stdout, narrow.stdout, "{call:?}");
            assert_eq!(none.stderr, narrow.stderr, "{call:?}");
        }
    }
}

#[test]
fn a_table_in_a_pipe_keeps_one_line_a_run() {
    let long = long_names();
    let told = Call::on(&["yields"], &long.path().join("campaign")).piped(None);
    let of_runs = told
        .stdout
        .lines()
        .filter(|line| line.starts_with("autumn "))
        .count();
    assert_eq!(of_runs, 27, "{}", told.stdout);
}

#[test]
fn what_programs_read_is_the_same_at_a_terminal() {
    let mut calls: Vec<Vec<&str>> = vec![vec!["next", "--csv"], vec!["next", "--json"]];
    calls.extend(CALLS.iter().map(|call| [call, &["--json"][..]].concat()));
    for campaign in campaigns() {
        for call in &calls {
            let call = Call::on(call, &campaign);
            let piped = call.piped(None);
            let seen = at_a_terminal(call.command(), WIDTHS[0]);
            assert_eq!(seen.exit_code, piped.exit_code, "{:?}", call.arguments);
            assert!(seen.stdout == piped.stdout, "{:?}", call.arguments);
        }
    }
}
