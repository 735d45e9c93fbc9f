//! Is the right thing charted?
//!
//! In: small invented campaigns whose effects are known by construction. Out: tests of which runs are charted, what is
//! taken out, and where centre and standard deviation come from.
//! This module never takes an expected value from residuum.

use serde_json::Value;

use crate::support::{CampaignFolder, list, member, number, residuum_json};

/// Sums of a few numbers with three digits, in binary.
const ROUNDING: f64 = 1e-9;

/// Head of a campaign on logged columns.
const HEAD: &str = r#"[campaign]
title = "Charted"

[logs]
runs = "runs.csv"

[factors.heating]
kind = "choice"
baseline = "muffle"

[responses.output]
column = "output"
unit = "g"
"#;

/// Twelve runs: heating on the hob takes 10 g, and what is left alternates by 1 g.
fn rows() -> String {
    let row = |run: usize| {
        let hob = matches!(run, 2 | 3 | 6 | 7 | 9 | 12);
        let left = [
            1.0, -1.0, 1.0, -1.0, -1.0, 1.0, -1.0, 1.0, 1.0, -1.0, 1.0, -1.0,
        ][run - 1];
        let heating = if hob { "hob" } else { "muffle" };
        format!(
            "r{run:02},{heating},{}\n",
            if hob { 40.0 + left } else { 50.0 + left }
        )
    };
    (1..=12).map(row).collect()
}

fn drift(rest: &str, log: &str) -> Value {
    let folder = CampaignFolder::new()
        .with("campaign.toml", &format!("{HEAD}{rest}\n"))
        .with("runs.csv", log);
    residuum_json("drift", folder.path())
}

fn chart<'a>(result: &'a Value, kind: &str) -> &'a Value {
    member(list(result, "drift"), "chart", kind).unwrap_or_else(|| panic!("no chart {kind}"))
}

fn log() -> String {
    format!("run,heating,output\n{}", rows())
}

#[test]
fn without_a_model_or_effects_the_response_is_charted_as_logged() {
    for model in ["", "[model]\neffects = []\nresponses = [\"output\"]"] {
        let result = drift(model, &log());
        let found = chart(&result, "individuals");
        assert_eq!(list(found, "taken_out").len(), 0);
        assert_eq!(list(found, "points").len(), 12);
        for point in list(found, "points") {
            assert_eq!(point["statistic"], point["value"]);
        }
    }
}

#[test]
fn effects_of_declared_factors_are_taken_out_against_the_reference_mix() {
    let model = "[model]\neffects = [\"heating\"]\nresponses = [\"output\"]\nmethod = \"plain\"";
    let result = drift(model, &log());
    let found = chart(&result, "individuals");
    assert_eq!(found["taken_out"], serde_json::json!(["heating: hob"]));
    for (point, row) in list(found, "points").iter().zip(rows().lines()) {
        // Both levels are half of the reference mix, so that a run on the hob is lifted by half its effect of −10 g,
        // estimated from six runs each whose rests average to the same.
        let logged: f64 = row
            .rsplit(',')
            .next()
            .expect("a last cell")
            .parse()
            .expect("a number");
        let expected = if row.contains("hob") {
            logged + 5.0
        } else {
            logged - 5.0
        };
        assert_eq!(number(point, "value"), logged);
        let charted = number(point, "statistic");
        assert!(
            (charted - expected).abs() < ROUNDING,
            "{charted} for {expected}"
        );
    }
}

#[test]
fn a_factor_that_cannot_be_told_apart_stays_in_the_chart_and_a_doubt_says_so() {
    let twin = log()
        .lines()
        .enumerate()
        .map(|(line, row)| {
            let cell = match line {
                0 => "place",
                _ if row.contains("hob") => "yard",
                _ => "hall",
            };
            format!("{row},{cell}\n")
        })
        .collect::<String>();
    let model = "[factors.place]\nkind = \"choice\"\n[model]\neffects = [\"heating\", \"place\"]\nresponses = [\"output\"]\nmethod = \"plain\"";
    let result = drift(model, &twin);
    let found = chart(&result, "individuals");
    assert_eq!(list(found, "taken_out").len(), 0);
    for point in list(found, "points") {
        assert_eq!(point["statistic"], point["value"]);
    }
    let doubt = member(list(&result, "caveats"), "kind", "effect left in the chart");
    let seen = doubt.expect("a doubt")["seen"].to_string();
    assert!(
        seen.contains("heating: hob") && seen.contains("place: yard"),
        "{seen}"
    );
}

#[test]
fn lots_are_never_taken_out_even_where_they_are_among_the_effects() {
    let lots = log()
        .lines()
        .enumerate()
        .map(|(line, row)| match line {
            0 => format!("{row},lot\n"),
            1..=6 => format!("{row},A\n"),
            _ => format!("{row},B\n"),
        })
        .collect::<String>();
    let model = "[model]\neffects = [\"heating\", \"lot\"]\njoint = [[\"heating\", \"lot\"]]\nresponses = [\"output\"]\nmethod = \"plain\"";
    let result = drift(model, &lots);
    let found = chart(&result, "individuals");
    assert_eq!(found["taken_out"], serde_json::json!(["heating: hob"]));
    assert_eq!(list(found, "points")[11]["lot"], "B");
}

#[test]
fn runs_set_aside_or_without_a_value_are_not_charted() {
    let log = "run,heating,output,set_aside\na,muffle,1,\nb,hob,,\nc,hob,3,spilt\nd,hob,2,\ne,hob,1,\nf,hob,2,\n";
    let result = drift("", log);
    let points = list(chart(&result, "cusum"), "points");
    let runs: Vec<&str> = points
        .iter()
        .filter_map(|point| point["run"].as_str())
        .collect();
    assert_eq!(runs, ["a", "d", "e", "f"]);
}

#[test]
fn a_fraction_fitted_on_the_logit_scale_is_charted_between_0_and_1() {
    let log: String = (1..=12)
        .map(|run| {
            let (heating, odd) = if run % 3 == 0 {
                ("hob", 0.004)
            } else {
                ("muffle", 0.0)
            };
            format!(
                "r{run:02},{heating},{}\n",
                0.99 + odd + 0.001 * f64::from(run % 2)
            )
        })
        .collect();
    let model = "[model]\neffects = [\"heating\"]\nresponses = [\"part\"]\nscale = { part = \"logit\" }\n[responses.part]\ncolumn = \"output\"\nunit = \"1\"";
    let result = drift(model, &format!("run,heating,output\n{log}"));
    let found = member(list(&result, "drift"), "response", "part").expect("a chart of part");
    assert_eq!(list(found, "taken_out").len(), 1);
    for point in list(found, "points") {
        let charted = number(point, "charted");
        assert!(charted > 0.985 && charted < 1.0, "{charted}");
        // The hob raises it, so its runs are charted lower than logged, and the others higher.
        let logged = number(point, "value");
        let hob = logged > 0.9935;
        assert_eq!(charted < logged, hob, "{charted} for {logged}");
    }
}

#[test]
fn a_known_centre_and_deviation_are_used_for_the_response_that_they_are_stated_for() {
    let stated = "[drift]\nresponse = \"output\"\ncentre = 45\nsd = 4\nlambda = 0.25\nlimits = 2.5";
    let result = drift(stated, &log());
    for kind in ["individuals", "ewma", "cusum"] {
        assert_eq!(number(chart(&result, kind), "centre"), 45.0);
        assert_eq!(chart(&result, kind)["centre_from"], "stated");
    }
    let single = chart(&result, "individuals");
    assert_eq!(
        (number(single, "lower"), number(single, "upper")),
        (35.0, 55.0)
    );
    // Exact width, by hand: 2.5 · 4 · √(0.25/1.75 · (1 − 0.75²)) at the first run, without the last factor at the end.
    let mean = chart(&result, "ewma");
    let first = &list(mean, "points")[0];
    assert!((number(first, "upper") - 47.5).abs() < ROUNDING);
    assert!((number(first, "statistic") - (0.25 * 51.0 + 0.75 * 45.0)).abs() < ROUNDING);
    let steady = 10.0 / 7.0_f64.sqrt();
    assert!((number(mean, "upper") - 45.0 - steady).abs() < ROUNDING);
    assert_eq!(number(chart(&result, "cusum"), "upper"), 20.0);
}

#[test]
fn without_stated_values_they_come_from_the_first_runs_alone() {
    let result = drift("[drift]\nresponse = \"output\"\nbaseline = 4", &log());
    let found = chart(&result, "individuals");
    // The first four are 51, 39, 41, 49 g: mean 45, mean range (12 + 2 + 8)/3, and the constant of two neighbours.
    assert_eq!(number(found, "centre"), 45.0);
    let sd = 22.0 / 3.0 * std::f64::consts::PI.sqrt() / 2.0;
    assert!((number(found, "sd") - sd).abs() < ROUNDING);
    assert_eq!(found["sd_from"], "first 4 runs");
}
