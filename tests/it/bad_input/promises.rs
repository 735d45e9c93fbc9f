//! What does the program owe for each class of bad input?
//!
//! In: edits that spoil the sound campaign, and the whole messages expected. Out: panics that say what differs.
//! This module never knows a message.

use std::ffi::{OsStr, OsString};
use std::path::Path;

use serde_json::{Value, json};

use super::bench::{ALL_RUNS, Edit, campaign};
use super::hostile_names::shown;
use crate::support::{CampaignFolder, Outcome, list, member, residuum, residuum_json};

/// One fault with all that a message about it says.
#[derive(Clone, Copy)]
pub struct Fault<'a> {
    reason: &'a str,
    hint: &'a str,
    file: Option<&'a str>,
    line: Option<u64>,
    column: Option<&'a str>,
    run: Option<&'a str>,
}

/// What is wrong and what to do about it, without a place.
pub fn fault<'a>(reason: &'a str, hint: &'a str) -> Fault<'a> {
    Fault {
        reason,
        hint,
        file: None,
        line: None,
        column: None,
        run: None,
    }
}

impl<'a> Fault<'a> {
    pub fn in_file(self, file: &'a str) -> Self {
        Fault {
            file: Some(file),
            ..self
        }
    }

    pub fn on_line(self, line: u64) -> Self {
        Fault {
            line: Some(line),
            ..self
        }
    }

    pub fn in_column(self, column: &'a str) -> Self {
        Fault {
            column: Some(column),
            ..self
        }
    }

    pub fn of_run(self, run: &'a str) -> Self {
        Fault {
            run: Some(run),
            ..self
        }
    }

    fn stop(&self) -> Value {
        json!({
            "reason": self.reason,
            "hint": self.hint,
            "file": self.file,
            "line": self.line,
            "column": self.column,
        })
    }

    fn left_out(&self) -> Value {
        json!({
            "reason": self.reason,
            "hint": self.hint,
            "file": self.file,
            "line": self.line,
            "run": self.run,
            "on_purpose": false,
        })
    }

    fn left_out_text(&self) -> String {
        let run = self
            .run
            .map_or_else(String::new, |run| format!(" run `{run}`"));
        shown(&format!(
            "left out:{run} {}\n  hint: {}\n",
            self.reason, self.hint
        ))
    }
}

/// One doubt with all that a message about it says.
pub struct Doubt<'a> {
    pub kind: &'a str,
    pub about: &'a str,
    pub seen: &'a str,
    pub advice: &'a str,
}

/// Calls that need the logs, and those among them that need the model too.
pub const CALLS: &[&str] = &["yields", "fit", "report"];
pub const CALLS_WITH_A_MODEL: &[&str] = &["fit", "report"];

/// One call on a campaign with its reports below `out`.
pub fn call(name: &str, folder: &Path, out: &Path, options: &[&str]) -> Outcome {
    let mut arguments: Vec<OsString> = vec![name.into(), folder.into(), "--out".into(), out.into()];
    arguments.extend(options.iter().map(OsString::from));
    residuum(&arguments)
}

/// Every call stops with exactly these faults on stderr, exit code 2, and nothing on stdout or on disk; `check` tells
/// them on stdout, as text and as JSON, and exits with 1.
pub fn check_stops(edits: &[Edit], faults: &[Fault]) {
    check_stops_calls(CALLS, edits, faults);
}

/// As [`check_stops`], for some calls only.
pub fn check_stops_calls(calls: &[&str], edits: &[Edit], faults: &[Fault]) {
    let folder = campaign(edits);
    let place = CampaignFolder::new();
    let out = place.path().join("reports");
    let told: Vec<String> = faults
        .iter()
        .map(|fault| format!("error: {}\n\nhint: {}", fault.reason, fault.hint))
        .collect();
    for name in calls {
        let outcome = call(name, folder.path(), &out, &[]);
        assert_eq!(outcome.stderr, format!("{}\n", told.join("\n\n")), "{name}");
        assert_eq!(outcome.exit_code, 2, "{name}");
        assert_eq!(outcome.stdout, "", "{name}");
        assert!(!out.exists(), "{name} left something behind");
    }
    let checked = call("check", folder.path(), &out, &["--json"]);
    assert_eq!(checked.exit_code, 1, "{}", checked.stderr);
    let result: Value = serde_json::from_str(&checked.stdout).expect("check prints JSON");
    let stops: Vec<Value> = faults.iter().map(Fault::stop).collect();
    assert_eq!(result["stops"], Value::Array(stops));
    let text = call("check", folder.path(), &out, &[]);
    assert_eq!(text.exit_code, 1);
    for fault in faults {
        let line = format!("stops: {}\n\nhint: {}\n", fault.reason, fault.hint);
        assert!(text.stdout.contains(&line), "{}", text.stdout);
    }
}

/// Exactly these faults are listed and exactly these runs are gone, from yields and from fits; every other run has
/// the yield and the balance that it has in the sound campaign.
pub fn check_left_out(edits: &[Edit], faults: &[Fault], gone: &[&str]) {
    let folder = campaign(edits);
    let place = CampaignFolder::new();
    let out = place.path().join("reports");
    let yields = residuum_json("yields", folder.path());
    let listed: Vec<Value> = faults.iter().map(Fault::left_out).collect();
    assert_eq!(yields["left_out"], Value::Array(listed));
    assert_eq!(yields["campaign"]["runs"], ALL_RUNS.len());
    assert_eq!(yields["campaign"]["left_out"], gone.len());
    let sound = residuum_json("yields", campaign(&[]).path());
    let kept: Vec<&Value> = list(&sound, "yields")
        .iter()
        .filter(|line| gone.iter().all(|run| line["run"] != *run))
        .collect();
    assert_eq!(list(&yields, "yields").iter().collect::<Vec<_>>(), kept);
    let models = residuum_json("fit", folder.path());
    assert_eq!(models["models"][0]["runs"], ALL_RUNS.len() - gone.len());
    for (name, exit_code) in [("yields", 0), ("fit", 0), ("report", 0), ("check", 1)] {
        let outcome = call(name, folder.path(), &out, &[]);
        assert_eq!(outcome.exit_code, exit_code, "{name}: {}", outcome.stderr);
        for fault in faults {
            let told = if name == "check" {
                &outcome.stdout
            } else {
                &outcome.stderr
            };
            // Faults of one cause are told once, with how many they are.
            let once = format!("  hint: {}\n", fault.hint);
            let is_grouped = told.contains(" runs: ") && told.contains(&once);
            let is_told = told.contains(&fault.left_out_text()) || is_grouped;
            assert!(is_told, "{name}: {told}");
        }
    }
    let strict = call("yields", folder.path(), &out, &["--strict"]);
    assert_eq!(strict.exit_code, 1);
}

/// Nothing is left out, and every run has the yield and the balance that it has in the sound campaign.
pub fn check_as_sound(edits: &[Edit]) {
    let [own, sound] = [edits, &[]].map(|edits| residuum_json("yields", campaign(edits).path()));
    assert_eq!(own["left_out"], json!([]));
    assert_eq!(own["yields"], sound["yields"]);
}

/// What a doubt is about as a key with its name; the campaign as a whole has none.
fn subject(about: &str) -> Value {
    match about.split_once(' ') {
        None => json!({ "campaign": {} }),
        Some(("model", response)) => json!({ "response": response.trim_start_matches("of ") }),
        Some((what, name)) => json!({ what: name }),
    }
}

/// Exactly these doubts are raised, no run is gone, and only `--strict` minds.
pub fn check_doubts(edits: &[Edit], doubts: &[Doubt]) {
    let folder = campaign(edits);
    let expected: Vec<Value> = doubts
        .iter()
        .map(|doubt| {
            json!({
                "kind": doubt.kind,
                "about": doubt.about,
                "subject": subject(doubt.about),
                "seen": doubt.seen,
                "advice": doubt.advice,
            })
        })
        .collect();
    let checked = residuum_json("check", folder.path());
    assert_eq!(checked["caveats"], Value::Array(expected));
    assert_eq!(checked["left_out"], json!([]));
    assert_eq!(checked["stops"], json!([]));
    let yields = residuum_json("yields", folder.path());
    for run in ALL_RUNS {
        assert!(
            member(list(&yields, "yields"), "run", run).is_some(),
            "{run}"
        );
    }
    let place = CampaignFolder::new();
    for name in ["fit", "report"] {
        let strict = call(name, folder.path(), place.path(), &["--strict"]);
        assert_eq!(strict.exit_code, 1, "{name}: {}", strict.stderr);
    }
    // A report lists the doubts itself, and its call only counts them.
    let strict = call("fit", folder.path(), place.path(), &["--strict"]);
    for doubt in doubts {
        let told = format!("doubt: {}\n  hint: {}\n", doubt.seen, doubt.advice);
        assert!(strict.stderr.contains(&told), "{}", strict.stderr);
    }
}

/// The object of one run in `yields --json` of a spoilt campaign.
pub fn yield_of(run: &str, edits: &[Edit]) -> Value {
    let result = residuum_json("yields", campaign(edits).path());
    member(list(&result, "yields"), "run", run)
        .unwrap_or_else(|| panic!("no run `{run}`"))
        .clone()
}

/// `check --json` on a campaign that has faults.
pub fn faults_of(folder: &Path) -> Value {
    let outcome = residuum(&[
        OsStr::new("check"),
        folder.as_os_str(),
        OsStr::new("--json"),
    ]);
    assert_eq!(outcome.exit_code, 1, "{}", outcome.stderr);
    serde_json::from_str(&outcome.stdout).expect("check prints JSON")
}
