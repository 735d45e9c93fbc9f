//! Can a fraction near its end be fitted on a scale that cannot leave 0 to 100 %?
//!
//! In: an invented log of fractions, `tests/data/logit_scale.json` for its figures, and the demo campaign. Out: tests
//! of `scale` under `[model]`, of its faults, and of the doubt that recommends it.
//! This module never takes an expected value from residuum itself.

use std::ffi::OsStr;
use std::path::Path;

use serde_json::Value;

use crate::support::{
    CampaignFolder, check_digits, data_json, list, member, number, residuum, residuum_json,
};

/// The terms and differences of the check script are good to more; printed numbers read back unchanged.
const DIGITS: f64 = 10.0;

/// The log of `tests/check-scripts/logit_scale.py`.
const LOG: &str = "run,route,oxidant,assay\n\
    r1,chill,20,0.9712\nr2,boildown,35,0.9381\nr3,alcohol,50,0.9903\nr4,chill,65,0.9795\n\
    r5,boildown,80,0.9522\nr6,alcohol,95,0.9947\nr7,chill,25,0.9688\nr8,boildown,40,0.9418\n\
    r9,alcohol,55,0.9919\nr10,chill,70,0.9824\nr11,boildown,85,0.9547\nr12,alcohol,100,0.9962\n\
    r13,chill,30,0.9741\nr14,boildown,45,0.9433\nr15,alcohol,60,0.9931\nr16,chill,75,0.9843\n\
    r17,boildown,90,0.9571\nr18,alcohol,22,0.9872\n";

const CAMPAIGN: &str = r#"[campaign]
title = "Invented fractions"

[logs]
runs = "runs.csv"

[factors.route]
kind = "choice"
baseline = "chill"

[factors.oxidant]
kind = "amount"

[responses.content]
column = "assay"
unit = "1"

[model]
effects = ["route", "oxidant"]
"#;

fn folder(scale: &str, log: &str) -> CampaignFolder {
    CampaignFolder::new()
        .with("campaign.toml", &format!("{CAMPAIGN}{scale}\n"))
        .with("runs.csv", log)
}

fn fitted(scale: &str, log: &str) -> Value {
    residuum_json("fit", folder(scale, log).path())
}

fn beyond(result: &Value) -> Option<&Value> {
    member(list(result, "caveats"), "kind", "prediction beyond 100 %")
}

/// Asks that a call stops, and says this with this advice.
#[track_caller]
fn check_stops(folder: &CampaignFolder, says: &[&str]) {
    let outcome = residuum(&[OsStr::new("fit"), folder.path().as_os_str()]);
    assert_ne!(outcome.exit_code, 0, "stdout: {}", outcome.stdout);
    for text in says {
        assert!(
            outcome.stderr.contains(text),
            "no `{text}`: {}",
            outcome.stderr
        );
    }
}

#[test]
fn a_fraction_on_the_logit_scale_agrees_with_statsmodels() {
    let result = fitted("scale = { content = \"logit\" }", LOG);
    let model = &list(&result, "models")[0];
    let figures = data_json("logit_scale.json");
    let names = [
        ("constant", "constant"),
        ("route: boildown", "boildown"),
        ("route: alcohol", "alcohol"),
        ("oxidant", "oxidant"),
    ];
    for (ours, theirs) in names {
        let term = member(list(model, "terms"), "term", ours).expect("the term can be told");
        let expected = number(&figures, &format!("term_{theirs}"));
        check_digits(ours, number(term, "value"), expected, DIGITS);
        let error = number(&figures, &format!("term_{theirs}_error"));
        check_digits(ours, number(term, "u"), error, DIGITS);
    }
    for key in ["r_squared", "residual_sd", "leave_one_out_sd"] {
        check_digits(key, number(model, key), number(&figures, key), DIGITS);
    }
    let pair = list(model, "comparisons")
        .iter()
        .find(|pair| pair["level"] == "boildown" && pair["against"] == "chill")
        .expect("the pair is compared");
    check_digits(
        "difference",
        number(pair, "value"),
        number(&figures, "level_value"),
        DIGITS,
    );
    let error = number(&figures, "level_error");
    check_digits("its error", number(pair, "u"), error, DIGITS);
}

#[test]
fn a_plain_fit_beyond_100_percent_recommends_the_scale_that_ends_it() {
    let plain = fitted("", LOG);
    let doubt = beyond(&plain).expect("a new run of the best route may come to more than 100 %");
    let seen = doubt["seen"].as_str().expect("a text");
    assert!(
        seen.contains("`content`") && seen.contains("100."),
        "{seen}"
    );
    let advice = doubt["advice"].as_str().expect("a text");
    let setting = "scale = { content = \"logit\" }";
    assert!(advice.contains(setting), "{advice}");
    assert!(beyond(&fitted(setting, LOG)).is_none());
    // Asking for the plain scale by its name changes nothing.
    assert_eq!(fitted("scale = { content = \"plain\" }", LOG), plain);
}

/// The doubt of this kind, with what was seen.
#[track_caller]
fn seen(result: &Value, kind: &str) -> String {
    let doubt = member(list(result, "caveats"), "kind", kind);
    let doubt = doubt.unwrap_or_else(|| panic!("no `{kind}`: {}", result["caveats"]));
    assert_eq!(doubt["about"], "model of content");
    doubt["seen"].as_str().expect("a text").to_string()
}

const LOGIT: &str = "scale = { content = \"logit\" }";

#[test]
fn a_fraction_at_an_end_is_taken_half_a_decimal_inside_and_a_doubt_names_its_run() {
    for (row, at_the_end, inside, says) in [
        (
            "r12,alcohol,100,0.9962",
            "1",
            "0.99995",
            "r12 (100.0 %, taken at 99.995 %)",
        ),
        (
            "r2,boildown,35,0.9381",
            "0",
            "0.00005",
            "r2 (0.0 %, taken at 0.005 %)",
        ),
    ] {
        let (run, _) = row.rsplit_once(',').expect("a last cell");
        let with = |value: &str| fitted(LOGIT, &LOG.replace(row, &format!("{run},{value}")));
        let found = with(at_the_end);
        assert!(seen(&found, "fraction at an end of its scale").ends_with(says));
        // The log has four decimals, so the fit is that of a log with half a fifth one there.
        assert_eq!(
            found["models"][0]["terms"],
            with(inside)["models"][0]["terms"]
        );
    }
    let clean = fitted(LOGIT, LOG);
    for kind in [
        "fraction at an end of its scale",
        "fraction beyond its scale",
    ] {
        assert!(member(list(&clean, "caveats"), "kind", kind).is_none());
    }
}

#[test]
fn a_fraction_beyond_one_is_left_out_with_the_name_of_its_run() {
    let with = |cell: &str| {
        let row = format!("r12,alcohol,100,{cell}");
        fitted(LOGIT, &LOG.replace("r12,alcohol,100,0.9962", &row))
    };
    let found = with("1.0003");
    assert!(seen(&found, "fraction beyond its scale").ends_with("r12 (100.03 %)"));
    assert_eq!(found["models"], with("")["models"]);
}

#[test]
fn numbers_that_are_no_fractions_at_all_still_stop_the_logit_scale() {
    let percent: String = LOG
        .replace(",0.9", ",9")
        .lines()
        .map(|line| format!("{line}\n"))
        .collect();
    check_stops(
        &folder(LOGIT, &percent),
        &[
            "`content`",
            "18 runs, first `r1` (9712)",
            "leave the scale plain",
        ],
    );
}

/// Twelve runs with a purity and its standard uncertainty, the last as stated.
fn assayed(last: &str) -> CampaignFolder {
    let campaign = r#"[campaign]
title = "Nearly pure"
product = "CuSO4·5H2O"
followed = "Cu"
assay_as = "CuO"

[logs]
runs = "runs.csv"

[factors.route]
kind = "choice"
baseline = "chill"

[model]
responses = ["purity"]
effects = ["route"]
scale = { purity = "logit" }
"#;
    let mut log = String::from("run,route,feed_mass,feed_assay,crop1_mass,purity,u_purity\n");
    for run in 1..=11 {
        let (route, better) = if run % 2 == 0 {
            ("chill", 0.0)
        } else {
            ("spirit", 0.003)
        };
        let purity = 0.985 + better + 0.001 * f64::from(run % 5);
        log += &format!("r{run},{route},500,0.82,900,{purity:.3},0.002\n");
    }
    log += &format!("r12,spirit,500,0.82,900,{last},0.002\n");
    CampaignFolder::new()
        .with("campaign.toml", campaign)
        .with("runs.csv", &log)
}

#[test]
fn a_purity_above_one_within_its_uncertainty_is_fitted_and_one_beyond_is_left_out() {
    let runs = |result: &Value| number(&list(result, "models")[0], "residual_df") as usize + 2;
    let caveats = |result: &Value| result["caveats"].to_string();
    // Two and a half standard uncertainties above 1, taken at half a one below.
    let within = residuum_json("fit", assayed("1.005").path());
    assert_eq!(runs(&within), 12);
    assert!(caveats(&within).contains("r12 (100.5 %, taken at 99.90 %)"));
    // Four of them.
    let beyond = residuum_json("fit", assayed("1.008").path());
    assert_eq!(runs(&beyond), 11);
    assert!(caveats(&beyond).contains("in no model of it: r12 (100.8 %)"));
    let inside = residuum_json("fit", assayed("0.999").path());
    assert_eq!(runs(&inside), 12);
    assert!(!caveats(&inside).contains("r12 ("));
}

#[test]
fn scales_that_cannot_be_are_faults_with_a_near_name() {
    let check = |scale: &str, says: &[&str]| check_stops(&folder(scale, LOG), says);
    check(
        "scale = { contend = \"logit\" }",
        &[
            "unknown response `contend` in `model.scale`",
            "did you mean `content`?",
        ],
    );
    check(
        "scale = { content = \"logti\" }",
        &["`model.scale.content` is `logti`", "did you mean `logit`?"],
    );
    check(
        "scale = { content = \"probability\" }",
        &[
            "`model.scale.content` is `probability`",
            "write `plain` or `logit`",
        ],
    );
    check(
        "scale = { content = 1 }",
        &["`model.scale.content` is of type integer"],
    );
    check("scale = \"logit\"", &["`model.scale` is of type string"]);
}

#[test]
fn only_a_fraction_has_a_logit() {
    let campaign = CAMPAIGN.replace("unit = \"1\"", "unit = \"g\"");
    let folder = CampaignFolder::new()
        .with(
            "campaign.toml",
            &format!("{campaign}scale = {{ content = \"logit\" }}\n"),
        )
        .with("runs.csv", LOG);
    let says = [
        "`content` is in `g` and is no fraction",
        "line 20",
        "unit = \"1\"",
    ];
    check_stops(&folder, &says);
}

#[test]
fn purities_of_the_demo_campaign_stay_inside_on_the_logit_scale() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone");
    let text = std::fs::read_to_string(demo.join("campaign.toml")).expect("the demo is there");
    let logit = text.replace("[model]\n", "[model]\nscale = { purity = \"logit\" }\n");
    assert_ne!(text, logit);
    let plain = residuum_json("fit", &demo);
    let folder = CampaignFolder::copy_of(&demo).with("campaign.toml", &logit);
    let result = residuum_json("fit", folder.path());
    let of = |result: &Value, response: &str| {
        let models = list(result, "models");
        member(models, "response", response)
            .expect("a model")
            .clone()
    };
    // The scale of one response is no matter to the other.
    assert_eq!(of(&result, "yield"), of(&plain, "yield"));
    let purity = of(&result, "purity");
    let routes = list(&purity["adjusted_means"], "route");
    assert!(!routes.is_empty());
    for mean in routes {
        let ends = list(mean, "interval");
        let (low, high) = (ends[0].as_f64().unwrap(), ends[1].as_f64().unwrap());
        let value = number(mean, "value");
        assert!(
            0.0 < low && low < value && value < high && high < 1.0,
            "{mean}"
        );
        // Back on its own scale, the interval reaches further down than up: there is less room above.
        assert!(value - low > high - value, "{mean}");
    }
}
