//! Does `next` plan runs that may be made, for what is open, and say why where it cannot?
//!
//! In: the demo campaigns, and small invented ones without chemistry. Out: what stands on the output of the program.
//! This module never checks how good a plan is: `reference/optimal_designs.rs` does, and tests beside the code.

mod append;
#[cfg(unix)]
mod append_held;
mod calibrated_power;
mod first_runs;
mod what_matters;

use std::path::Path;

use serde_json::Value;

use crate::support::{CampaignFolder, Outcome, list, number, residuum};

/// Amounts are planned at values that are written with all their digits.
const ROUNDING: f64 = 1e-9;

fn demo(name: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("data-demo")
        .join(name)
}

fn next(campaign: &Path, options: &[&str]) -> Outcome {
    let path = campaign.display().to_string();
    let mut arguments = vec!["next", path.as_str()];
    arguments.extend(options);
    residuum(&arguments)
}

fn planned(campaign: &Path, options: &[&str]) -> Value {
    let mut all = vec!["--json"];
    all.extend(options);
    next(campaign, &all).json()
}

/// A campaign without chemistry: one amount, one choice.
fn plain(factors: &str, more: &str, log: &str) -> CampaignFolder {
    let campaign = format!(
        "[campaign]\ntitle = \"Slurry tests\"\n[logs]\nruns = \"runs.csv\"\n{factors}\n[responses.rate]\ncolumn = \"rate\"\nunit = \"g/h\"\n[model]\nresponses = [\"rate\"]\neffects = [\"stirring\", \"vessel\"]\n{more}"
    );
    CampaignFolder::new()
        .with("campaign.toml", &campaign)
        .with("runs.csv", log)
}

const FACTORS: &str = "[factors.stirring]\nkind = \"amount\"\nlow = 100\nhigh = 300\n[factors.vessel]\nkind = \"choice\"\nlevels = [\"steel\", \"glass\"]\nbaseline = \"steel\"\n";
const HEADINGS: &str = "run,stirring,vessel,rate\n";
const LOG: &str = "run,stirring,vessel,rate\na,120,steel,4.1\nb,250,steel,5.3\nc,130,glass,4.4\nd,260,glass,5.9\ne,200,steel,4.7\nf,190,glass,5.2\n";

/// Asks that a call fails with exit code 2, nothing on the output, and this in the message.
fn check_refused(outcome: &Outcome, why: &str, hint: &str) {
    assert_eq!(outcome.exit_code, 2, "{}", outcome.stdout);
    assert_eq!(outcome.stdout, "");
    assert!(outcome.stderr.contains(why), "{}", outcome.stderr);
    assert!(outcome.stderr.contains(hint), "{}", outcome.stderr);
}

#[test]
fn the_kiln_and_its_lot_are_told_apart_by_the_runs_planned() {
    // In the demo the kiln was only run on lot D; lot E is on the shelf.
    let plan = planned(&demo("bluestone"), &["--runs", "6"]);
    let runs = list(&plan, "next_runs");
    assert_eq!(runs.len(), 6);
    let separating: Vec<&Value> = runs
        .iter()
        .filter(|run| run["kind"] == "separate")
        .collect();
    assert!(!separating.is_empty());
    for run in &separating {
        assert_eq!(run["settings"]["heating"], "kiln");
        assert_eq!(run["lot"], "E");
    }
    let brings = &plan["next_runs_for"];
    assert_eq!(brings["separated"][0], "heating: kiln");
    assert_eq!(list(brings, "still_tangled").len(), 0);
    let kiln = list(brings, "widths")
        .iter()
        .find(|width| {
            width["about"] == "heating: kiln against muffle" && width["response"] == "yield"
        })
        .expect("the kiln is among the differences");
    assert!(kiln["before"].is_null() && number(kiln, "after") > 0.0);
}

#[test]
fn the_settings_recommended_are_confirmed_by_two_runs_at_them() {
    // In the demo they are better than the best run by less than the 2 points that matter: nothing to confirm.
    let confirming = |campaign: &Path| -> Vec<Value> {
        let plan = planned(campaign, &["--runs", "8"]);
        let runs = list(&plan, "next_runs").iter();
        let confirm = runs.filter(|run| run["kind"] == "confirm");
        confirm.cloned().collect()
    };
    assert_eq!(confirming(&demo("bluestone")).len(), 0);
    let text = std::fs::read_to_string(demo("bluestone").join("campaign.toml"));
    let text = text.expect("the file is there");
    let narrow = text.replace("margin = { yield = 0.02,", "margin = { yield = 0.001,");
    assert_ne!(narrow, text);
    let folder = CampaignFolder::copy_of(&demo("bluestone")).with("campaign.toml", &narrow);
    let path = folder.path().display().to_string();
    let recommended = residuum(&["settings", &path, "--json"]).json();
    let confirming = confirming(folder.path());
    assert_eq!(confirming.len(), 2);
    let at = &recommended["settings"]["at"];
    for run in confirming {
        for factor in ["heating", "route", "oxidant_excess", "residue_ratio"] {
            assert_eq!(run["settings"][factor], at[factor], "{factor}: {at}");
        }
    }
}

#[test]
fn no_run_leaves_limits_shelf_or_what_is_allowed() {
    let plan = planned(&demo("bluestone"), &["--runs", "30", "--seed", "3"]);
    let runs = list(&plan, "next_runs");
    assert_eq!(runs.len(), 30);
    let mut orders = Vec::new();
    for run in runs {
        let settings = &run["settings"];
        let (oxidant, residue) = (
            number(settings, "oxidant_excess"),
            number(settings, "residue_ratio"),
        );
        assert!((10.0..=120.0).contains(&oxidant) && (0.0..=0.6).contains(&residue));
        assert_eq!(run["lot"], "E");
        assert!(!(settings["heating"] == "torch" && settings["route"] == "spirit"));
        orders.push(run["order"].as_u64().expect("an order"));
    }
    assert_eq!(orders, (1..=30).collect::<Vec<u64>>());
}

#[test]
fn the_same_seed_plans_the_same_and_intervals_only_shrink() {
    let one = next(&demo("iodate"), &["--json", "--runs", "5"]);
    let again = next(&demo("iodate"), &["--json", "--runs", "5"]);
    assert_eq!(one.stdout, again.stdout);
    for width in list(&one.json()["next_runs_for"], "widths") {
        assert!(number(width, "after") < number(width, "before"), "{width}");
    }
    for power in list(&one.json()["next_runs_for"], "power") {
        assert!(number(power, "after") > number(power, "before"), "{power}");
    }
}

#[test]
fn the_masses_give_back_the_excess_that_was_planned() {
    // By hand: CuO 79.545, H2O2 34.014, C 12.011 g/mol; lot E holds what `lots.csv` says of it.
    let plan = planned(&demo("bluestone"), &["--runs", "8"]);
    let lots =
        std::fs::read_to_string(demo("bluestone").join("lots.csv")).expect("the lots can be read");
    let row: Vec<&str> = lots
        .lines()
        .find(|line| line.starts_with("E,"))
        .expect("lot E")
        .split(',')
        .collect();
    let heads: Vec<&str> = lots.lines().next().expect("headings").split(',').collect();
    let cell = |name: &str| -> f64 {
        let place = heads
            .iter()
            .position(|head| *head == name)
            .expect("the column is there");
        row[place].parse().expect("a number")
    };
    let mut checked = 0;
    for run in list(&plan, "next_runs") {
        if number(&run["settings"], "residue_ratio") != 0.0 {
            continue;
        }
        let weigh = &run["weigh"];
        let feed = number(weigh, "feed_mass");
        let copper = feed * cell("assay") / 79.545;
        let carbon = feed * cell("carbon") / 12.011;
        let needed = 0.4 * copper + 4.0 * carbon;
        let offered = 2.0 * 0.30 * number(weigh, "oxidant_mass") / 34.014;
        let excess = 100.0 * (offered / needed - 1.0);
        // Molar masses by hand have five digits.
        assert!(
            (excess - number(&run["settings"], "oxidant_excess")).abs() < 0.05,
            "{excess}"
        );
        checked += 1;
    }
    assert!(checked > 0);
}

#[test]
fn lines_of_the_runs_log_have_its_own_headings() {
    let log =
        std::fs::read_to_string(demo("bluestone").join("runs.csv")).expect("the log can be read");
    let outcome = next(&demo("bluestone"), &["--csv", "--quiet", "--runs", "4"]);
    assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
    let lines: Vec<&str> = outcome.stdout.lines().collect();
    assert_eq!(lines.len(), 5);
    assert_eq!(Some(lines[0]), log.lines().next());
    let columns = lines[0].split(',').count();
    for (number, line) in lines[1..].iter().enumerate() {
        assert_eq!(line.split(',').count(), columns, "{line}");
        assert!(line.starts_with(&format!("next-{},", number + 1)), "{line}");
    }
}

#[test]
fn a_log_with_decimal_commas_and_semicolons_gets_lines_like_its_own() {
    let outcome = next(&demo("iodate"), &["--csv", "--quiet", "--runs", "3"]);
    let lines: Vec<&str> = outcome.stdout.lines().collect();
    let columns = lines[0].split(';').count();
    assert!(
        lines.iter().all(|line| line.split(';').count() == columns),
        "{}",
        outcome.stdout
    );
    assert!(
        lines[1..].iter().all(|line| !line.contains('.')),
        "{}",
        outcome.stdout
    );
}

#[test]
fn lines_appended_to_the_log_and_filled_in_are_read_and_settle_more() {
    let folder = plain(FACTORS, "", LOG);
    let lines = next(folder.path(), &["--csv", "--quiet", "--runs", "4"]).stdout;
    let filled: String = lines
        .lines()
        .skip(1)
        .map(|line| format!("{line}5.0\n"))
        .collect();
    let folder = folder.with("runs.csv", &format!("{LOG}{filled}"));
    let fit = residuum(&["fit", &folder.path().display().to_string(), "--json"]).json();
    assert_eq!(number(&fit["models"][0], "runs"), 10.0);
}

#[test]
fn a_response_on_the_logit_scale_is_planned_like_any_other() {
    let folder = CampaignFolder::copy_of(&demo("bluestone"));
    let text =
        std::fs::read_to_string(folder.path().join("campaign.toml")).expect("the file is there");
    let logit = text
        .replace(
            "method = \"measured\"",
            "method = \"measured\"\nscale = { purity = \"logit\" }",
        )
        .replace("maximise = \"yield\"", "maximise = \"purity\"");
    let folder = folder.with("campaign.toml", &logit);
    let plan = planned(folder.path(), &["--runs", "6"]);
    let brings = &plan["next_runs_for"];
    assert_eq!(brings["response"], "purity");
    for width in list(brings, "widths") {
        let after = number(width, "after");
        assert!(
            width["before"].is_null() || after <= number(width, "before"),
            "{width}"
        );
    }
}

#[test]
fn an_amount_without_limits_is_planned_within_what_was_run_with_a_doubt() {
    let no_limits = FACTORS.replace("low = 100\nhigh = 300\n", "");
    let folder = plain(&no_limits, "", LOG);
    let plan = planned(folder.path(), &["--runs", "5"]);
    for run in list(&plan, "next_runs") {
        let stirring = number(&run["settings"], "stirring");
        assert!((120.0 - ROUNDING..=260.0 + ROUNDING).contains(&stirring));
    }
    assert!(
        list(&plan, "caveats")
            .iter()
            .any(|caveat| caveat["kind"] == "plan without limits")
    );
}

#[test]
fn a_level_that_was_never_run_is_proposed_when_it_is_declared() {
    let more = FACTORS.replace("\"glass\"]", "\"glass\", \"enamel\"]");
    let folder = plain(&more, "", LOG);
    let plan = planned(folder.path(), &["--runs", "4"]);
    let runs = list(&plan, "next_runs");
    assert!(
        runs.iter()
            .any(|run| run["settings"]["vessel"] == "enamel" && run["kind"] == "separate")
    );
    assert_eq!(plan["next_runs_for"]["separated"][0], "vessel: enamel");
}

#[test]
fn no_runs_and_too_many_are_refused() {
    let folder = plain(FACTORS, "", LOG);
    check_refused(
        &next(folder.path(), &["--runs", "0"]),
        "no run was asked for",
        "1 to 100",
    );
    check_refused(
        &next(folder.path(), &["--runs", "100000"]),
        "more runs than can be planned",
        "1 to 100",
    );
}

#[test]
fn an_empty_shelf_and_a_ban_on_everything_are_refused() {
    let folder = plain(FACTORS, "[shelf]\nlots = []\n", LOG);
    check_refused(
        &next(folder.path(), &[]),
        "no lot is on the shelf",
        "`[shelf]`",
    );
    let ban = "[limits]\nnever = [{ vessel = \"steel\" }, { vessel = \"glass\" }]\n";
    let folder = plain(FACTORS, ban, LOG);
    check_refused(&next(folder.path(), &[]), "forbidden", "limits.never");
}

#[test]
fn a_campaign_without_a_model_has_nothing_to_plan_for() {
    let folder = plain(FACTORS, "", LOG);
    let text =
        std::fs::read_to_string(folder.path().join("campaign.toml")).expect("the file was written");
    let cut = text
        .split("[model]")
        .next()
        .expect("the part before")
        .to_string();
    let folder = folder.with("campaign.toml", &cut);
    check_refused(&next(folder.path(), &[]), "no `[model]`", "effects");
    let folder = folder.with("runs.csv", HEADINGS);
    check_refused(&next(folder.path(), &[]), "no `[model]`", "effects");
}

#[test]
fn a_report_keeps_its_other_answers_when_nothing_can_be_planned() {
    let folder = plain(FACTORS, "[shelf]\nlots = []\n", LOG);
    let out = tempfile::tempdir().expect("a temporary folder can be made");
    let report = residuum(&[
        "report",
        &folder.path().display().to_string(),
        "--json",
        "--out",
        &out.path().display().to_string(),
    ])
    .json();
    assert!(report["next_runs"].is_null());
    assert!(
        report["next_runs_for"]["reason"]
            .as_str()
            .is_some_and(|why| why.contains("shelf"))
    );
    assert_eq!(list(&report, "models").len(), 1);
}
