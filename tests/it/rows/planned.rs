//! Is a planned run told from a run made, named wherever rows are named, and in no figure?
//!
//! In: the demo campaigns and a small one, with rows to come. Out: tests of what each call says of them.
//! This module never checks which runs are proposed: `next.rs` does.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use crate::support::{CampaignFolder, Outcome, list, member, residuum};

fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("data-demo")
        .join(name)
}

/// The demo campaign with rows behind those of its runs log.
fn bluestone(rows: &str) -> CampaignFolder {
    let log = std::fs::read_to_string(demo("bluestone").join("runs.csv")).expect("the log");
    CampaignFolder::copy_of(&demo("bluestone")).with("runs.csv", &(log + rows))
}

fn call(name: &str, folder: &CampaignFolder, options: &[&str]) -> Outcome {
    let path = folder.path().display().to_string();
    residuum(&[&[name, path.as_str()], options].concat())
}

fn json_of(name: &str, folder: &CampaignFolder, options: &[&str]) -> Value {
    call(name, folder, &[&["--json"], options].concat()).json()
}

/// The line of `text` that begins so.
fn line<'t>(text: &'t str, start: &str) -> &'t str {
    let mut lines = text.lines();
    let found = lines.find(|line| line.starts_with(start));
    found.unwrap_or_else(|| panic!("no line `{start}` in {text}"))
}

const CAMPAIGN: &str = "[campaign]\ntitle = \"Slurry tests\"\n[logs]\nruns = \"runs.csv\"\n[factors.stirring]\nkind = \"amount\"\nlow = 100\nhigh = 300\n[factors.vessel]\nkind = \"choice\"\nlevels = [\"steel\", \"glass\"]\nbaseline = \"steel\"\n[responses.rate]\ncolumn = \"rate\"\nunit = \"g/h\"\n[model]\nresponses = [\"rate\"]\neffects = [\"stirring\", \"vessel\"]\n";

const DATED: &str = "run,date,stirring,vessel,rate\na,2025-03-01,120,steel,4.1\nb,2025-03-02,250,steel,5.3\nc,2025-03-03,130,glass,4.4\nd,2025-03-04,260,glass,5.9\ne,2025-03-05,200,steel,4.7\nf,2025-03-06,190,glass,5.2\n";

fn slurry(log: &str) -> CampaignFolder {
    CampaignFolder::new()
        .with("campaign.toml", CAMPAIGN)
        .with("runs.csv", log)
}

/// The same log without the column of dates.
fn undated(log: &str) -> String {
    let cells = log.lines().map(|line| {
        let mut cells: Vec<&str> = line.split(',').collect();
        cells.remove(1);
        cells.join(",") + "\n"
    });
    cells.collect()
}

#[test]
fn a_planned_run_is_listed_and_changes_no_figure() {
    // 0.5 kg of lot E, half as much residue, 210 g of oxidant.
    let planned = bluestone("P-1,,E,0.5000,210,150,,,,,,muffle,chill,,,\n");
    let without = bluestone("");
    for name in ["yields", "fit", "routes", "recycle", "settings", "drift"] {
        let [with, without] = [&planned, &without].map(|folder| json_of(name, folder, &[]));
        let keys = without.as_object().expect("an object").keys();
        for key in keys.filter(|key| !["campaign", "planned"].contains(&key.as_str())) {
            assert_eq!(with[key], without[key], "{name}: {key}");
        }
        assert_eq!(with["campaign"]["runs"], 65, "{name}");
        assert_eq!(
            with["campaign"]["left_out"], without["campaign"]["left_out"],
            "{name}"
        );
        let plan = &list(&with, "planned")[0];
        assert_eq!((&plan["run"], &plan["line"]), (&json!("P-1"), &json!(66)));
        assert_eq!(plan["file"], "runs.csv");
        assert_eq!(plan["status"], "planned");
        assert_eq!(plan["settings"]["heating"], "muffle");
        assert_eq!(plan["settings"]["residue_ratio"], 0.3);
    }
}

#[test]
fn check_names_planned_runs_with_what_their_rows_say() {
    let folder = slurry(&format!("{DATED}p,,150,glass,\nq,,,steel,\n"));
    let outcome = call("check", &folder, &[]);
    assert_eq!(outcome.exit_code, 0, "{}", outcome.stdout);
    let text = outcome.stdout;
    assert_eq!(
        line(&text, "planned: run `p`"),
        "planned: run `p` in `runs.csv` line 8: stirring 150, vessel glass"
    );
    assert_eq!(
        line(&text, "planned: run `q`"),
        "planned: run `q` in `runs.csv` line 9: stirring not said, vessel steel"
    );
    assert_eq!(
        line(&text, "doubt: planned run q"),
        "doubt: planned run q does not count when further runs are chosen: its row does not say its stirring"
    );
    assert!(
        text.ends_with("6 of 8 runs can be used, 2 planned\n"),
        "{text}"
    );
    let strict = call(
        "yields",
        &slurry(&format!("{DATED}p,,150,glass,\n")),
        &["--strict"],
    );
    assert_eq!(strict.exit_code, 0, "{}", strict.stderr);
}

#[test]
fn a_report_lists_planned_runs_and_counts_them_on_its_first_screen() {
    let report = |log: &str| {
        let folder = slurry(log);
        let out = folder.path().join("out").display().to_string();
        assert_eq!(call("report", &folder, &["--out", &out]).exit_code, 0);
        let name = folder.path().file_name().expect("a name").to_owned();
        let report = folder.path().join("out").join(name);
        let read = |file: &str| std::fs::read_to_string(report.join(file)).unwrap_or_default();
        (read("report.md"), read("tables/planned.csv"))
    };
    let (page, table) = report(&format!("{DATED}p,,150,glass,\n"));
    line(
        &page,
        "6 of 7 runs used; 1 planned [in the log](#planned-in-the-log). ± is 95 %.",
    );
    assert!(page.contains("\n## Planned in the log\n"), "{page}");
    assert_eq!(
        table,
        "run,log,line,stirring,vessel,status\np,runs.csv,8,150,glass,planned\n"
    );
    let (page, table) = report(DATED);
    line(&page, "6 of 6 runs used. ± is 95 %.");
    assert!(!page.contains("lanned in the log"), "{page}");
    assert_eq!(table, "");
}

#[test]
fn without_dates_a_row_without_a_result_is_named_as_what_it_may_be() {
    let folder = slurry(&undated(&format!("{DATED}p,,150,glass,\n")));
    let seen = "1 run with settings and without a result (p): planned, or the result is not logged, which no date tells";
    let outcome = call("fit", &folder, &[]);
    assert_eq!(
        line(&outcome.stderr, "doubt: 1 run with"),
        format!("doubt: {seen}")
    );
    let found = json_of("check", &folder, &[]);
    assert_eq!(
        list(&found, "planned")[0]["status"],
        "planned, or its result is not logged"
    );
    let doubt = member(list(&found, "caveats"), "kind", "planned or not logged");
    assert_eq!(doubt.expect("the doubt")["seen"], seen);
    assert_eq!(call("yields", &folder, &["--strict"]).exit_code, 1);
    let text = call("check", &folder, &[]).stdout;
    line(
        &text,
        "planned, or its result is not logged: run `p` in `runs.csv` line 8: ",
    );
}

#[test]
fn a_row_with_a_date_and_no_result_stays_a_run() {
    let folder = slurry(&format!("{DATED}g,2025-03-07,150,glass,\n"));
    let found = json_of("yields", &folder, &[]);
    assert_eq!(list(&found, "planned").len(), 0);
    assert_eq!(list(&found, "yields").len(), 7);
}

#[test]
fn an_entry_that_cannot_be_leaves_a_planned_row_out_as_any_other() {
    let folder = bluestone("P-1,,X,0.5000,210,0,,,,,,muffle,chill,,,\n");
    let found = json_of("yields", &folder, &[]);
    assert_eq!(list(&found, "planned").len(), 0);
    let fault = member(list(&found, "left_out"), "run", "P-1").expect("the row");
    assert_eq!(fault["reason"], "unknown lot in `runs.csv` line 66: `X`");
    let folder = slurry(&format!("{DATED}p,,fast,glass,\n"));
    let found = json_of("yields", &folder, &[]);
    assert_eq!(list(&found, "planned").len(), 0);
    assert_eq!(
        list(&found, "left_out")[0]["reason"],
        "column `stirring` in `runs.csv` line 8 is not a number: `fast`"
    );
}

#[test]
fn a_log_of_plans_alone_has_no_run_yet_and_its_plans_are_told() {
    let log = "run,date,stirring,vessel,rate\np,,100,steel,\nq,,300,glass,\n";
    let folder = slurry(log);
    let outcome = call("yields", &folder, &[]);
    assert_eq!(outcome.exit_code, 2);
    assert_eq!(
        outcome.stderr,
        "error: no run is made so far; planned in the runs log: 2\n\nhint: write date and results beside each run when it is made; `residuum next` plans further ones\n"
    );
    let undated = slurry(&undated(log));
    assert_eq!(
        call("yields", &undated, &[]).stderr,
        "error: no run has a result so far; planned in the runs log: 2\n\nhint: write its result beside each run that was made; `residuum next` plans further ones\n"
    );
    let checked = call("check", &folder, &[]).stdout;
    line(&checked, "planned: run `p` in `runs.csv` line 2: ");
    // Four first runs: the two of the log, and two beside them.
    let plan = json_of("next", &folder, &["--runs", "4"]);
    assert_eq!(plan["next_runs_for"]["in_the_log"], json!(["p", "q"]));
    let runs = list(&plan, "next_runs");
    assert_eq!(runs.len(), 2);
    for run in runs {
        let settings = &run["settings"];
        let is = |stirring: f64, vessel: &str| {
            settings["stirring"] == stirring && settings["vessel"] == vessel
        };
        assert!(!is(100.0, "steel") && !is(300.0, "glass"), "{settings}");
    }
}

#[test]
fn planned_runs_count_among_those_asked_for_and_are_not_proposed_again() {
    let folder = slurry(&format!("{DATED}p,,100,steel,\nq,,300,glass,\n"));
    let plan = json_of("next", &folder, &["--runs", "6"]);
    assert_eq!(plan["next_runs_for"]["in_the_log"], json!(["p", "q"]));
    let runs = list(&plan, "next_runs");
    assert_eq!(runs.len(), 4);
    for run in runs {
        let settings = &run["settings"];
        let is = |stirring: f64, vessel: &str| {
            settings["stirring"] == stirring && settings["vessel"] == vessel
        };
        assert!(!is(100.0, "steel") && !is(300.0, "glass"), "{settings}");
    }
    // What they bring is counted with what is to come.
    let widths = |log: &str| {
        json_of("next", &slurry(log), &["--runs", "2"])["next_runs_for"]["widths"].clone()
    };
    let [with, without] = [
        format!("{DATED}p,,100,steel,\nq,,300,glass,\n"),
        DATED.to_string(),
    ];
    let [with, without] = [with, without].map(|log| widths(&log));
    for (with, without) in with
        .as_array()
        .expect("widths")
        .iter()
        .zip(without.as_array().expect("widths"))
    {
        assert_eq!(with["before"], without["before"]);
    }
    let text = call("next", &folder, &["--runs", "2", "--quiet"]).stdout;
    assert!(
        text.starts_with("2 runs are planned in the log already: p and q\n"),
        "{text}"
    );
}

#[test]
fn where_all_that_may_be_run_is_planned_nothing_is_proposed() {
    let campaign = CAMPAIGN
        .replace(
            "[factors.stirring]\nkind = \"amount\"\nlow = 100\nhigh = 300\n",
            "",
        )
        .replace("\"stirring\", ", "");
    let log = "run,date,vessel,rate\na,2025-03-01,steel,4.1\nb,2025-03-02,glass,5.3\nc,2025-03-03,steel,4.4\nd,2025-03-04,glass,5.9\np,,steel,\nq,,glass,\n";
    let folder = CampaignFolder::new()
        .with("campaign.toml", &campaign)
        .with("runs.csv", log);
    let plan = json_of("next", &folder, &["--runs", "8"]);
    assert_eq!(list(&plan, "next_runs").len(), 0);
    assert_eq!(plan["next_runs_for"]["in_the_log"], json!(["p", "q"]));
}

#[test]
fn a_planned_run_outside_of_what_may_be_planned_is_named_and_does_not_count() {
    let ban = "[limits]\nnever = [{ stirring = \"> 200\", vessel = \"glass\" }]\n";
    for (row, why) in [
        (
            "p,,400,steel,\n",
            "its stirring, 400, lies outside of what may be planned",
        ),
        (
            "p,,150,enamel,\n",
            "its vessel, enamel, lies outside of what may be planned",
        ),
        ("p,,250,glass,\n", "`[limits] never` forbids its settings"),
    ] {
        let folder =
            slurry(&format!("{DATED}{row}")).with("campaign.toml", &format!("{CAMPAIGN}{ban}"));
        let plan = json_of("next", &folder, &["--runs", "3"]);
        assert_eq!(plan["next_runs_for"]["in_the_log"], json!([]), "{row}");
        assert_eq!(list(&plan, "next_runs").len(), 3, "{row}");
        let doubt = member(list(&plan, "caveats"), "kind", "planned run not counted");
        let doubt = doubt.unwrap_or_else(|| panic!("no doubt about {row}"));
        assert_eq!(
            doubt["seen"],
            format!("planned run p does not count when further runs are chosen: {why}")
        );
        assert_eq!(
            doubt["advice"],
            "correct its row, or widen what `[factors]`, `[limits]` and `[shelf]` allow"
        );
    }
}

#[test]
fn a_planned_run_has_no_chain() {
    let outcome = call(
        "check",
        &bluestone("P-1,,E,0.5000,210,150,,,,,,muffle,chill,,,\n"),
        &["--chain", "P-1"],
    );
    assert_eq!(outcome.exit_code, 2);
    assert_eq!(
        outcome.stderr,
        "error: no chain of run `P-1`: it has no result\n\nhint: it is planned in the log, and not made yet\n"
    );
}
