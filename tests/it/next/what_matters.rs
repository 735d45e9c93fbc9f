//! Does `next` spend runs on what would change a decision alone, and say where it cannot foretell what they bring?
//!
//! In: small invented campaigns without chemistry, about what the right answer is by eye. Out: what `next` prints.
//! This module never checks where runs lie.

use serde_json::Value;

use super::{FACTORS, next, plain, planned};
use crate::support::{CampaignFolder, list, number};

/// Stirring is worth about 1 over what was run; the vessels, about nothing, cannot be told from 0.3 either way.
const LOG: &str = "run,stirring,vessel,rate\na,120,steel,4.1\nb,250,steel,5.3\nc,130,glass,4.3\nd,260,glass,5.2\ne,200,steel,4.7\nf,190,glass,4.9\n";

/// The kinds of the runs planned, and what they are about.
fn purposes(plan: &Value) -> Vec<String> {
    let runs = list(plan, "next_runs").iter();
    let about = |run: &Value| format!("{} {}", run["kind"], run["about"]);
    runs.map(about).collect()
}

#[test]
fn a_difference_that_does_not_matter_gets_no_run() {
    let asked = |margin: &str| {
        let aim = format!("[aim]\nmaximise = \"rate\"\nmargin = {{ rate = {margin} }}\n");
        plain(FACTORS, &aim, LOG)
    };
    let all = planned(asked("0.1").path(), &["--runs", "8"]);
    let settling = |plan: &Value| {
        let about = purposes(plan);
        about.iter().filter(|run| run.contains("settle")).count()
    };
    assert!(settling(&all) > 0, "{:?}", purposes(&all));
    // Nothing here can be worth 9: neither a difference nor better settings.
    let none = planned(asked("9").path(), &["--runs", "8"]);
    for run in purposes(&none) {
        assert!(run.contains("cover") || run.contains("repeat"), "{run}");
    }
    assert_eq!(list(&none["next_runs_for"], "power").len(), 0);
}

/// Three routes: `a` far ahead of `b` and `c`, which nobody can tell apart.
fn three_routes(lead: f64) -> CampaignFolder {
    let mut log = String::from("run,route,rate\n");
    let about = [0.31, -0.24, 0.12, -0.29, 0.16, -0.06];
    for (route, mean) in [("b", 5.0), ("c", 5.05), ("a", 5.0 + lead)] {
        for (run, scatter) in about.iter().enumerate() {
            let rate = mean + scatter * if run % 2 == 0 { 1.0 } else { 1.1 };
            log.push_str(&format!("{route}{run},{route},{rate}\n"));
        }
    }
    let campaign = "[campaign]\ntitle = \"Slurry tests\"\n[logs]\nruns = \"runs.csv\"\n[factors.route]\nkind = \"choice\"\nstands_for = \"route\"\nlevels = [\"a\", \"b\", \"c\"]\nbaseline = \"b\"\n[responses.rate]\ncolumn = \"rate\"\n[model]\nresponses = [\"rate\"]\neffects = [\"route\"]\nmethod = \"plain\"\n[aim]\nmaximise = \"rate\"\nmargin = { rate = 0.01 }\n";
    CampaignFolder::new()
        .with("campaign.toml", campaign)
        .with("runs.csv", &log)
}

#[test]
fn two_routes_behind_the_best_get_no_run_to_be_told_apart() {
    let behind = planned(three_routes(3.0).path(), &["--runs", "8"]);
    for run in purposes(&behind) {
        assert!(!run.contains("settle"), "{run}");
    }
    // Where all three are about alike, the best may be any of them.
    let open = planned(three_routes(0.1).path(), &["--runs", "8"]);
    let settling = purposes(&open);
    let settling = settling.iter().filter(|run| run.contains("settle"));
    assert!(settling.count() >= 4, "{open}");
}

#[test]
fn two_degrees_of_freedom_foretell_nothing() {
    let lines = |count: usize| {
        let lines: Vec<&str> = LOG.lines().take(count + 1).collect();
        let aim = "[aim]\nmaximise = \"rate\"\nmargin = { rate = 0.2 }\n";
        plain(FACTORS, aim, &lines.join("\n"))
    };
    // Three terms: five runs leave two degrees of freedom, six leave three.
    let few = lines(5);
    let brings = &planned(few.path(), &["--runs", "6"])["next_runs_for"];
    for width in list(brings, "widths") {
        assert!(number(width, "before") > 0.0, "{width}");
        assert!(width["after"].is_null(), "{width}");
        let why = width["reason"].as_str().expect("a reason");
        assert!(why.contains("2 degrees of freedom"), "{why}");
    }
    for power in list(brings, "power") {
        assert!(power["before"].is_null() && power["after"].is_null());
    }
    let said = next(few.path(), &["--runs", "6"]).stdout;
    assert!(said.contains("too little is known"), "{said}");
    assert!(said.contains("repeat others"), "{said}");
    let enough = lines(6);
    let brings = &planned(enough.path(), &["--runs", "6"])["next_runs_for"];
    let widths = list(brings, "widths");
    assert!(!widths.is_empty());
    for width in widths {
        assert!(number(width, "after") > 0.0 && width["reason"].is_null());
    }
}
