//! What is said where a log can carry no model, or hardly one?
//!
//! In: campaigns with too few runs, with nothing that varies, with nothing logged. Out: a test a case, which reads the
//! message or the doubt and asks that no figure is missing without one.
//! This module never asks for the whole of a message that is also tested in `bad_input/`.

use std::ffi::OsStr;
use std::fmt::Write;

use serde_json::Value;

use super::plain::{HEADINGS, fit, folder, only_model, refused};
use crate::support::{CampaignFolder, list, member, number, residuum, residuum_json};

const BOTH: &str = "effects = [\"heating\", \"time\"]";

/// Figures worked out on paper agree to this, relative: a few roundings of binary64.
const ROUNDING: f64 = 1e-12;

/// How far a figure may lie from the one on paper, in standard errors: scatter that adds up to nothing leaves the
/// weights of the runs alone, which differ by the square of their fitted values.
const ON_PAPER: f64 = 0.1;

/// Relative standard uncertainty of the assay of the one lot.
const ASSAY: f64 = 0.017;

/// Scatter of 2.6 g in 155 g over 100 runs is 0.0017 of the mean beside 0.017, which adds half a per cent; as much
/// again is left to the degrees of freedom.
const ADDED_BY_SCATTER: f64 = 0.01;

/// The difference has the same scatter in both means, 0.0024 of the mean, and 0.017 of itself: a seventh of the error
/// of a level.
const SHARE_OF_THE_LEVEL: f64 = 0.2;

/// Ways in which a figure that is none might be printed.
const NO_FIGURES: [&str; 5] = ["NaN", "nan", "inf", "Infinity", "null"];

/// Rows of runs at alternating or equal heating and growing time.
fn rows(count: usize, heating: [&str; 2], colour: impl Fn(usize) -> String) -> Vec<String> {
    (0..count)
        .map(|run| format!("r{run},{},{run},{}", heating[run % 2], colour(run)))
        .collect()
}

/// Colours that grow with time, with a little scatter.
fn grown(run: usize) -> String {
    let scatter = [0.03, -0.05, 0.02, 0.04, -0.06];
    format!("{:.2}", 2.5 + 0.3 * run as f64 + scatter[run % 5])
}

/// The doubt of this kind about the model.
fn doubt<'a>(result: &'a Value, kind: &str) -> &'a str {
    let caveats = list(result, "caveats");
    let caveat =
        member(caveats, "kind", kind).unwrap_or_else(|| panic!("no `{kind}`: {caveats:?}"));
    assert!(
        caveat["about"]
            .as_str()
            .is_some_and(|about| about.contains("model"))
    );
    assert!(
        caveat["advice"]
            .as_str()
            .is_some_and(|advice| !advice.is_empty())
    );
    caveat["seen"].as_str().expect("what was seen")
}

/// Everything in the object that is null, with what stands beside it.
fn nulls<'a>(value: &'a Value, beside: &'a Value, key: &str, found: &mut Vec<(String, &'a Value)>) {
    match value {
        Value::Null => found.push((key.to_string(), beside)),
        Value::Array(members) => {
            for member in members {
                nulls(member, beside, key, found);
            }
        }
        Value::Object(members) => {
            for (key, member) in members {
                nulls(member, value, key, found);
            }
        }
        _ => {}
    }
}

/// Every null of the model has its reason: beside it, among what cannot be told apart, or in a doubt about the model.
fn check_reasons(result: &Value) {
    let model = only_model(result);
    let doubted = list(result, "caveats").iter().any(|caveat| {
        let about = caveat["about"].as_str().unwrap_or_default();
        about.starts_with("model of")
    });
    let tangled = !list(model, "not_separable").is_empty();
    let mut found = Vec::new();
    nulls(model, model, "", &mut found);
    for (key, beside) in found {
        let no_need = key == "reason" && beside["value"].is_number();
        // A statistic without a chance of its own says so in its verdict, and so does one that cannot be worked out.
        let verdict = beside["verdict"].as_str();
        let judged = verdict.is_some_and(|verdict| {
            beside["value"].is_number() || verdict.starts_with("cannot be judged: ")
        });
        // The error of measurement is stated by the user, not found, and so has no interval.
        let stated = key == "interval" && beside["name"] == "measurement";
        assert!(
            no_need || judged || stated || tangled || doubted || beside["reason"].is_string(),
            "`{key}` is null without a reason in {beside}"
        );
    }
    for term in list(model, "terms") {
        assert!(term["value"].is_number(), "{term}");
    }
}

/// No figure that is none stands in what a person reads: on the terminal, and in any file of the report.
fn check_words(folder: &CampaignFolder) {
    let out = tempfile::tempdir().expect("a temporary folder can be made");
    let fitted = residuum(&[OsStr::new("fit"), folder.path().as_os_str()]);
    let report = residuum(&[
        OsStr::new("report"),
        folder.path().as_os_str(),
        OsStr::new("--quiet"),
        OsStr::new("--out"),
        out.path().as_os_str(),
    ]);
    assert_eq!(
        [fitted.exit_code, report.exit_code],
        [0, 0],
        "{}",
        report.stderr
    );
    let name = folder.path().file_name().expect("the folder has a name");
    let report = out.path().join(name).join("report.md");
    let report = std::fs::read_to_string(report).expect("the report");
    for text in [&fitted.stdout, &fitted.stderr, &report] {
        let mut words = text.split(|letter: char| !letter.is_alphanumeric());
        assert_eq!(words.find(|word| NO_FIGURES.contains(word)), None, "{text}");
    }
}

/// The campaign as it is asked about, checked in every form.
fn checked(model: &str, rows: &[String]) -> Value {
    let result = fit(model, rows);
    check_reasons(&result);
    check_words(&folder(model, HEADINGS, rows));
    result
}

#[test]
fn more_terms_than_runs_is_refused_with_both_numbers() {
    // Constant, one other heating, and four powers of time.
    let model = format!("{BOTH}\ncurved = {{ time = 4 }}");
    let outcome = refused(&folder(&model, HEADINGS, &rows(4, ["hob", "pot"], grown)));
    assert_eq!(
        outcome.stderr,
        "error: the model of `colour` has more terms than runs: 6 terms, 4 runs\n\n\
         hint: ask for fewer effects, joint effects or powers, or make more runs\n"
    );
}

#[test]
fn as_many_terms_as_runs_gives_values_without_errors_and_says_so() {
    let result = checked(BOTH, &rows(3, ["hob", "pot"], grown));
    assert!(doubt(&result, "few degrees of freedom").ends_with(": 0"));
    for term in list(only_model(&result), "terms") {
        for key in ["u", "t", "p", "interval"] {
            assert!(term[key].is_null(), "{term}");
        }
    }
}

#[test]
fn one_run_carries_no_effect() {
    let outcome = refused(&folder(BOTH, HEADINGS, &rows(1, ["hob", "pot"], grown)));
    assert!(outcome.stderr.contains("`colour`"), "{}", outcome.stderr);
    assert!(
        outcome.stderr.contains("more terms than runs"),
        "{}",
        outcome.stderr
    );
}

#[test]
fn the_mean_of_one_run_is_that_run_without_an_error() {
    let result = checked("effects = []", &rows(1, ["hob", "pot"], |_| "2.5".into()));
    assert!(doubt(&result, "few degrees of freedom").ends_with(": 0"));
    let model = only_model(&result);
    let mean = &list(model, "terms")[0];
    assert_eq!(number(mean, "value"), 2.5);
    assert!(mean["u"].is_null() && mean["interval"].is_null(), "{mean}");
    assert!(model["residual_sd"].is_null() && model["r_squared"].is_null());
}

#[test]
fn the_mean_of_two_runs_has_the_error_of_their_difference() {
    let result = checked(
        "effects = []",
        &rows(2, ["hob", "pot"], |run| ["2.0", "2.3"][run].into()),
    );
    assert!(doubt(&result, "few degrees of freedom").ends_with(": 1"));
    let mean = &list(only_model(&result), "terms")[0];
    // On paper: mean 2.15, standard error half the difference, one degree of freedom, t = 2.15 / 0.15.
    for (key, expected) in [("value", 2.15), ("u", 0.15), ("t", 2.15 / 0.15)] {
        let found = number(mean, key);
        assert!((found / expected - 1.0).abs() < ROUNDING, "{key}: {found}");
    }
    assert_eq!(number(mean, "df"), 1.0);
}

#[test]
fn a_line_through_two_runs_has_no_error() {
    let result = checked(
        "effects = [\"time\"]",
        &rows(2, ["hob", "hob"], |run| ["2.0", "2.3"][run].into()),
    );
    assert!(doubt(&result, "few degrees of freedom").ends_with(": 0"));
    let model = only_model(&result);
    let slope = member(list(model, "terms"), "term", "time").expect("a slope");
    assert!(
        (number(slope, "value") / 0.3 - 1.0).abs() < ROUNDING,
        "{slope}"
    );
    assert!(slope["u"].is_null() && slope["p"].is_null(), "{slope}");
}

#[test]
fn a_response_that_never_changes_is_named_and_tests_nothing() {
    let result = checked(BOTH, &rows(8, ["hob", "pot"], |_| "2.5".into()));
    let seen = doubt(&result, "constant response");
    assert!(seen.contains("8 runs") && seen.ends_with(": 2.5"), "{seen}");
    let model = only_model(&result);
    assert!(model["f"].is_null() && model["r_squared"].is_null());
    for term in list(model, "terms") {
        let expected = if term["term"] == "constant" { 2.5 } else { 0.0 };
        assert_eq!(number(term, "value"), expected, "{term}");
        assert!(term["t"].is_null() && term["p"].is_null(), "{term}");
    }
}

#[test]
fn a_factor_with_one_level_is_named_and_the_rest_is_fitted() {
    let result = checked(BOTH, &rows(8, ["hob", "hob"], grown));
    let model = only_model(&result);
    assert_eq!(list(model, "terms").len(), 2, "constant and time");
    // Somewhere it is said that the heating was the same in all runs, as it is said of an amount.
    let doubts = list(&result, "caveats")
        .iter()
        .map(|caveat| &caveat["seen"]);
    let reasons = list(model, "not_separable")
        .iter()
        .map(|group| &group["why"]);
    let said: Vec<&str> = doubts.chain(reasons).filter_map(Value::as_str).collect();
    assert!(
        said.iter()
            .any(|text| text.contains("heating") && text.contains("hob")),
        "nothing is said of the heating: {said:?}"
    );
}

#[test]
fn an_amount_that_never_changes_is_named_with_a_run_that_would_tell() {
    let rows: Vec<String> = (0..8)
        .map(|run| format!("r{run},hob,5,{}", grown(run)))
        .collect();
    let result = checked("effects = [\"time\"]", &rows);
    let groups = list(only_model(&result), "not_separable");
    assert_eq!(groups.len(), 1, "{groups:?}");
    assert_eq!(groups[0]["why"], "`time` was 5 in every run");
    assert_eq!(
        groups[0]["runs_that_would_separate"][0],
        "a run with `time` away from 5"
    );
}

#[test]
fn all_runs_set_aside_is_refused_and_says_that_they_are() {
    let rows: Vec<String> = rows(8, ["hob", "pot"], grown)
        .iter()
        .map(|row| format!("{row},spilt"))
        .collect();
    let outcome = refused(&folder(BOTH, &format!("{HEADINGS},set_aside"), &rows));
    assert!(outcome.stderr.contains("set aside"), "{}", outcome.stderr);
    assert!(outcome.stderr.contains("\n\nhint: "), "{}", outcome.stderr);
}

#[test]
fn runs_without_any_response_are_planned_runs() {
    let rows = rows(8, ["hob", "pot"], |_| String::new());
    let outcome = refused(&folder(BOTH, HEADINGS, &rows));
    let said = "no run has a result so far; planned in the runs log: 8";
    assert!(outcome.stderr.contains(said), "{}", outcome.stderr);
    assert!(outcome.stderr.contains("\n\nhint: "), "{}", outcome.stderr);
}

#[test]
fn a_block_with_one_level_is_named_and_counts_as_nothing() {
    let one = checked(
        "effects = [\"time\"]\nblocks = [\"heating\"]",
        &rows(8, ["hob", "hob"], grown),
    );
    let seen = doubt(&one, "unknown spread between blocks");
    assert!(seen.contains("`heating`"), "{seen}");
    let none = fit("effects = [\"time\"]", &rows(8, ["hob", "hob"], grown));
    for key in ["terms", "residual_sd"] {
        assert_eq!(only_model(&one)[key], only_model(&none)[key], "{key}");
    }
}

/// Two hundred runs on one lot with an assay known to 1.7 %, half of them by each way of heating.
fn on_one_lot() -> CampaignFolder {
    let mut runs = String::from("run,lot,heating,feed_mass,crop1_mass,purity1\n");
    for run in 0..200 {
        // Hob 155 g, pot 160 g, and scatter of a few grams that adds up to nothing over ten runs.
        let scatter = [-4.0, -3.0, -2.0, -1.0, 0.0, 0.0, 1.0, 2.0, 3.0, 4.0][run / 2 % 10];
        let mass = [155.0, 160.0][run % 2] + scatter;
        let heating = ["hob", "pot"][run % 2];
        writeln!(runs, "r{run},A,{heating},100,{mass},0.99").expect("text can be written to");
    }
    CampaignFolder::new()
        .with(
            "campaign.toml",
            "[campaign]\ntitle = \"One lot\"\nproduct = \"CuSO4·5H2O\"\nfollowed = \"Cu\"\nassay_as = \"CuO\"\n\n\
             [logs]\nruns = \"runs.csv\"\nlots = \"lots.csv\"\n\n[factors.heating]\nkind = \"choice\"\n\n\
             [model]\nresponses = [\"yield\"]\neffects = [\"heating\"]\n\n\
             [uncertainty]\nfeed_mass = \"0.01 g\"\ncrop_mass = \"0.01 g\"\npurity = \"0.0001\"\n",
        )
        .with("lots.csv", "lot,assay,u_assay\nA,0.8,0.0136\n")
        .with("runs.csv", &runs)
}

#[test]
fn two_hundred_runs_on_one_lot_keep_their_mean_and_tell_heatings_apart_better_than_the_assay() {
    let folder = on_one_lot();
    let result = residuum_json("fit", folder.path());
    check_reasons(&result);
    check_words(&folder);
    let model = only_model(&result);
    assert_eq!(model["method"], "measured");
    // On paper: 0.99 of the mean masses over the pentahydrate that 80 g of oxide make (M 249.677 and 79.545 g/mol).
    let theory = 80.0 / 79.545 * 249.677;
    let hob = 0.99 * 155.0 / theory;
    let difference = 0.99 * 5.0 / theory;
    let term = |name: &str| member(list(model, "terms"), "term", name).expect("the term");
    let [constant, pot] = ["constant", "heating: pot"].map(term);
    let off = (number(constant, "value") - hob).abs() / number(constant, "u");
    assert!(off < ON_PAPER, "{constant}: {hob}");
    let off = (number(pot, "value") - difference).abs() / number(pot, "u");
    assert!(off < ON_PAPER, "{pot}: {difference}");
    // The level is known no better than the assay, the difference far better.
    let relative = number(constant, "u") / number(constant, "value");
    assert!(
        (ASSAY..ASSAY * (1.0 + ADDED_BY_SCATTER)).contains(&relative),
        "{constant}"
    );
    assert!(
        number(pot, "u") < SHARE_OF_THE_LEVEL * number(constant, "u"),
        "{pot}"
    );
}
