//! Does of several lines of one run the last version count, with the others named?
//!
//! In: the sound campaign with a column `revision`. Out: tests of what each call says.
//! This module never checks how revisions are compared: tests beside the code do.

use serde_json::{Value, json};

use crate::support::{CampaignFolder, Outcome, list, residuum};

const CAMPAIGN: &str = "[campaign]\ntitle = \"Slurry tests\"\n[logs]\nruns = \"runs.csv\"\n[factors.stirring]\nkind = \"amount\"\n[responses.rate]\ncolumn = \"rate\"\nunit = \"g/h\"\n[model]\nresponses = [\"rate\"]\neffects = [\"stirring\"]\n";

const LOG: &str = "run,date,revision,stirring,rate\na,2025-03-01,,120,4.1\nb,2025-03-02,,250,5.3\nc,2025-03-03,,130,4.4\nd,2025-03-04,,260,5.9\ne,2025-03-05,,200,4.7\n";

fn folder(log: &str) -> CampaignFolder {
    CampaignFolder::new()
        .with("campaign.toml", CAMPAIGN)
        .with("runs.csv", log)
}

fn call(name: &str, log: &str, options: &[&str]) -> Outcome {
    let folder = folder(log);
    let path = folder.path().display().to_string();
    residuum(&[&[name, path.as_str()], options].concat())
}

/// The log with a first version of run b, which lacks a digit and has a word for its rate.
fn corrected() -> String {
    LOG.replace(
        "b,2025-03-02,,250,5.3\n",
        "b,2025-03-02,1,25,none yet\nb,2025-03-02,2,250,5.3\n",
    )
}

#[test]
fn the_last_version_counts_and_the_others_are_named() {
    let [with, without] =
        [corrected(), LOG.to_string()].map(|log| call("fit", &log, &["--json"]).json());
    assert_eq!(with["models"], without["models"]);
    assert_eq!(
        with["campaign"],
        json!({ "title": "Slurry tests", "runs": 6, "left_out": 0 })
    );
    assert_eq!(list(&with, "left_out").len(), 0);
    assert_eq!(
        with["superseded"],
        json!([{ "file": "runs.csv", "line": 3, "run": "b", "revision": "1", "by_file": "runs.csv", "by_line": 4 }])
    );
    assert_eq!(without["superseded"], json!([]));
    let checked = call("check", &corrected(), &[]);
    assert_eq!(checked.exit_code, 0);
    assert!(
        checked.stdout.contains(
            "superseded: run `b` in `runs.csv` line 3, revision 1, by `runs.csv` line 4\n"
        ),
        "{}",
        checked.stdout
    );
    assert!(checked.stdout.ends_with("5 of 5 runs can be used\n"));
}

#[test]
fn a_report_lists_superseded_lines_apart_from_faults() {
    let folder = folder(&corrected());
    let path = folder.path().display().to_string();
    let out = folder.path().join("out").display().to_string();
    assert_eq!(residuum(&["report", &path, "--out", &out]).exit_code, 0);
    let name = folder.path().file_name().expect("a name").to_owned();
    let report = folder.path().join("out").join(name);
    let page = std::fs::read_to_string(report.join("report.md")).expect("the report");
    assert!(page.contains("\n5 of 5 runs used. ± is 95 %."), "{page}");
    assert!(page.contains("\n## Superseded lines\n") && !page.contains("## Left out"));
    let table = std::fs::read_to_string(report.join("tables/superseded.csv")).expect("a table");
    assert_eq!(
        table,
        "run,log,line,revision,in_its_place\nb,runs.csv,3,1,runs.csv line 4\n"
    );
    assert!(!report.join("tables/left-out.csv").exists());
}

#[test]
fn a_run_doubled_without_a_revision_and_equal_revisions_stop() {
    let doubled = LOG.replace("c,2025-03-03", "b,2025-03-03");
    let equal = corrected().replace(",2,250", ",1,250");
    for (log, message) in [
        (
            doubled,
            "error: run `b` stands in `runs.csv` line 3 and in `runs.csv` line 4, which differ in `date`: `2025-03-02` and `2025-03-03`, `stirring`: `250` and `130`, `rate`: `5.3` and `4.4`\n\nhint: if the later line corrects the other one, write `1` and `2` into a column `revision`; if it is another run, give it another name\n",
        ),
        (
            equal,
            "error: run `b` has the revision `1` in `runs.csv` line 3 and in `runs.csv` line 4, which differ in `stirring`: `25` and `250`, `rate`: `none yet` and `5.3`\n\nhint: give the line that counts a higher revision\n",
        ),
    ] {
        let outcome = call("fit", &log, &[]);
        assert_eq!(outcome.exit_code, 2);
        assert_eq!(outcome.stderr, message);
    }
}

#[test]
fn a_plan_that_is_revised_is_planned_once() {
    let log = format!("{LOG}p,,1,150,\np,,2,180,\n");
    let found: Value = call("yields", &log, &["--json"]).json();
    let planned = list(&found, "planned");
    assert_eq!(planned.len(), 1);
    assert_eq!(planned[0]["settings"]["stirring"], 180.0);
    assert_eq!(list(&found, "superseded").len(), 1);
}
