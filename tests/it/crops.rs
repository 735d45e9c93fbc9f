//! Are crops looked at one by one where the campaign says so, and is a wrong word about them told?
//!
//! In: bluestone with other words under `[aim]`, responses of single crops. Out: tests of costs, doubts, models and faults.
//! This module never works out a blend: `reference/blending.rs` does.

use std::path::Path;

use serde_json::Value;

use crate::support::{CampaignFolder, Outcome, check_digits, list, member, number, residuum};

fn changed(changes: &[(&str, &str)]) -> CampaignFolder {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone");
    let folder = CampaignFolder::copy_of(&demo);
    let path = folder.path().join("campaign.toml");
    let mut text = std::fs::read_to_string(&path).expect("the campaign file");
    for (old, new) in changes {
        assert!(text.contains(old), "`{old}`");
        text = text.replacen(old, new, 1);
    }
    std::fs::write(&path, text).expect("it can be written");
    folder
}

fn call(name: &str, folder: &CampaignFolder, further: &[&str]) -> Outcome {
    let path = folder.path().to_string_lossy().into_owned();
    let mut arguments = vec![name, path.as_str()];
    arguments.extend(further);
    residuum(&arguments)
}

fn sold(word: &str) -> CampaignFolder {
    changed(&[("[aim]\n", &format!("[aim]\nsold = {word}\n"))])
}

/// The report of a campaign as data.
fn whole(folder: &CampaignFolder) -> Value {
    let out = tempfile::tempdir().expect("a temporary folder can be made");
    let out = out.path().to_string_lossy().into_owned();
    let outcome = call("report", folder, &["--quiet", "--out", &out]);
    assert!(outcome.exit_code <= 1, "{}", outcome.stderr);
    let name = folder.path().file_name().expect("a name");
    let path = Path::new(&out).join(name).join("result.json");
    let text = std::fs::read_to_string(path).expect("a result");
    serde_json::from_str(&text).expect("JSON")
}

#[test]
fn sold_crop_by_crop_each_crop_counts_by_itself_and_what_does_not_follow_is_doubted() {
    let result = whole(&sold("\"crop by crop\""));
    // Contained product of the runs that have a cost, all of it and that of crops that reach the specification.
    let costs = list(&result["costs"], "runs");
    let (mut all, mut good) = (0.0, 0.0);
    for run in list(&result, "yields") {
        let name = run["run"].as_str().expect("a name");
        let cost = member(costs, "run", name).map(|cost| &cost["per_gram"]);
        if !run["set_aside"].is_null() || !cost.is_some_and(Value::is_object) {
            continue;
        }
        for crop in list(run, "crops") {
            let [mass, purity] = ["mass", "purity"].map(|key| number(&crop[key], "value"));
            all += mass * purity;
            good += if purity >= 0.985 { mass * purity } else { 0.0 };
        }
    }
    let share = number(&result["costs"]["campaign"], "on_specification");
    check_digits("part to specification", share, good / all, 9.0);
    let doubts = list(&result, "caveats");
    assert!(member(doubts, "kind", "sold one by one").is_some());
    assert_eq!(result["crops"]["best"], Value::Null);
}

#[test]
fn a_way_to_sell_that_nobody_knows_is_told_with_those_that_are_known() {
    for word in ["\"crop by cropp\"", "\"\"", "true", "[\"together\"]"] {
        let outcome = call("check", &sold(word), &[]);
        assert_ne!(outcome.exit_code, 0, "{word}: {}", outcome.stdout);
        let told = outcome.stdout + &outcome.stderr;
        assert!(
            told.contains("aim.sold") && told.contains("line 123"),
            "{told}"
        );
        if word.starts_with("\"c") {
            assert!(told.contains("`together` or `crop by crop`"), "{told}");
        }
    }
}

#[test]
fn a_crop_is_a_response_where_a_run_has_it_and_a_fault_where_none_has() {
    let response = |name: &str| {
        let declared = format!("[responses.{name}]\nunit = \"%\"\n\n[aim]\n");
        let folder = changed(&[("[aim]\n", &declared)]);
        call("fit", &folder, &["--response", name, "--json"])
    };
    let fit = response("purity_crop1").json();
    let model = &list(&fit, "models")[0];
    assert_eq!(
        (&model["response"], &model["unit"]),
        (&"purity_crop1".into(), &"%".into())
    );
    // Of 64 runs one is set aside; every other one has a first crop with a purity.
    assert_eq!(model["runs"], 63);
    let seconds = response("purity_crop2").json();
    assert_eq!(list(&seconds, "models")[0]["runs"], 19);
    let none = response("purity_crop3");
    assert_eq!(none.exit_code, 2);
    let told = none.stdout + &none.stderr;
    assert!(
        told.contains("`purity_crop3`") && told.contains("campaign.toml"),
        "{told}"
    );
}

#[test]
fn a_specification_that_no_mixture_reaches_is_said_to_be_one() {
    let folder = changed(&[("purity_spec = 0.985", "purity_spec = 0.9995")]);
    let crops = call("routes", &folder, &["--json"]).json()["crops"].take();
    assert!(member(list(&crops, "ways"), "sold", "blended").is_none());
    let out = tempfile::tempdir().expect("a temporary folder can be made");
    let path = out.path().to_string_lossy().into_owned();
    call("report", &folder, &["--quiet", "--out", &path]);
    let name = folder.path().file_name().expect("a name");
    let report = std::fs::read_to_string(out.path().join(name).join("report.md"));
    assert!(
        report
            .expect("a report")
            .contains("No mixture of these crops")
    );
}

/// The acid of bluestone stands for water here: grams of each run over kilograms of contained product.
#[test]
fn what_a_kilogram_takes_is_the_sum_over_the_runs_that_log_it() {
    let declared = "[responses.water]\ncolumn = \"acid_mass\"\nunit = \"g\"\n\n[aim]\n";
    let folder = changed(&[("[aim]\n", declared)]);
    let result = whole(&folder);
    let log = std::fs::read_to_string(folder.path().join("runs.csv")).expect("the log");
    let mut lines = log.lines().map(|line| line.split(',').collect::<Vec<_>>());
    let head = lines.next().expect("a heading");
    let at = head
        .iter()
        .position(|name| *name == "acid_mass")
        .expect("a column");
    let acid: Vec<(&str, f64)> = lines
        .filter_map(|cells| Some((cells[0], cells[at].parse().ok()?)))
        .collect();
    let (mut used, mut made, mut runs) = (0.0, 0.0, 0);
    for run in list(&result, "yields") {
        let name = run["run"].as_str().expect("a name");
        let acid = acid.iter().find(|(run, _)| *run == name);
        let Some(((_, acid), true)) = acid.zip(Some(run["set_aside"].is_null())) else {
            continue;
        };
        if run["contained"].is_object() {
            used += acid;
            made += number(&run["contained"], "value") * number(&run["theory_total"], "value");
            runs += 1;
        }
    }
    let found = &list(&result, "consumption")[0];
    assert_eq!(found["runs"], runs);
    let per_kilogram = number(found, "per_kilogram");
    check_digits(
        "  grams a kilogram",
        per_kilogram,
        1000.0 * used / made,
        9.0,
    );
    assert!(number(found, "u") > 0.0);
}
