//! Does a comparison of two results say what changed, and nothing else?
//!
//! In: small results as JSON, with differences that can be reckoned in the head. Out: tests.
//! This module never reads a report.

use serde_json::{Value, json};

use super::{Flag, Inputs, Part, Record, Since};

fn record(result: &Value) -> Record {
    record_of(result, "1.0.0", "log")
}

fn record_of(result: &Value, program: &str, log: &str) -> Record {
    let part = |name: &str, digest: &str| Part {
        name: name.to_string(),
        digest: digest.to_string(),
    };
    let inputs = Inputs {
        digest: format!("{program} {log}"),
        program: program.to_string(),
        parts: vec![part("campaign file", "same"), part("runs log", log)],
    };
    Record::of(result, inputs, 1)
}

/// A result with one run, one effect, and one decision.
fn result() -> Value {
    json!({
        "campaign": {"title": "Invented"},
        "yields": [{"run": "R1", "contained": {"value": 0.60, "u": 0.01}}, {"run": "R2", "contained": null}],
        "models": [{
            "response": "yield", "unit": "1", "scale": "plain",
            "terms": [
                {"term": "constant", "value": 0.6, "u": 0.02, "interval": [0.56, 0.64]},
                {"term": "oxidant", "value": 0.002, "u": 0.0005, "interval": [0.001, 0.003]},
                {"term": "route: boil", "value": 0.05, "u": 0.01, "interval": [0.03, 0.07]},
            ],
            "against_baseline": [{"factor": "route", "level": "boil", "against": "chill", "interval": [0.03, 0.07]}],
            "adjusted_means": {"route": [{"level": "boil", "value": 0.65, "u": 0.01, "interval": [0.63, 0.67]}]},
            "alike": [], "not_separable": [],
        }],
        "recycling": {"verdict": "not settled", "gain_per_run": {"value": 0.4, "u": 0.3, "interval": [-0.2, 1.0]}},
        "titrants": [{"titrant": "T1", "concentration": {"value": 0.1, "u": 0.0001}}],
        "drift": [{"response": "yield", "chart": "ewma", "points": [{"run": "R1", "flag": null}]}],
        "caveats": [{}],
        "left_out": [{"file": "runs.csv", "run": "R9", "reason": "set aside", "on_purpose": true}],
    })
}

/// The result after one of its values became another.
fn with(place: &str, value: Value) -> Value {
    let mut result = result();
    *result.pointer_mut(place).expect("the place is there") = value;
    result
}

fn since(now: &Value) -> Since {
    Since::between(&record(&result()), &record(now))
}

#[test]
fn the_same_result_shows_no_change() {
    let since = since(&result());
    assert_eq!(
        since,
        Since {
            round: 1,
            ..Since::default()
        }
    );
    assert_eq!(since.flags(), []);
}

#[test]
fn a_record_holds_runs_doubts_verdicts_and_figures() {
    let record = record(&result());
    assert_eq!(record.title, "Invented");
    assert_eq!(record.runs.len(), 2);
    assert_eq!(record.runs[0].value, Some(0.60));
    assert_eq!(record.runs[1].value, None);
    assert_eq!(record.caveats, 1);
    assert!(
        record.left_out.is_empty(),
        "set aside on purpose is no fault"
    );
    let verdicts: Vec<String> = record
        .verdicts
        .iter()
        .map(|verdict| format!("{}: {}", verdict.about, verdict.says))
        .collect();
    assert_eq!(
        verdicts,
        [
            "feeding residue forward: not settled",
            "yield with route: boil against chill: higher",
            "yield with more oxidant: rises",
        ]
    );
    assert_eq!(record.verdicts[0].interval, Some([-0.2, 1.0]));
    let figures: Vec<&str> = record
        .figures
        .iter()
        .map(|figure| figure.about.as_str())
        .collect();
    assert_eq!(
        figures,
        [
            "adjusted mean of yield with route: boil",
            "effect on yield of oxidant",
            "effect on yield of route: boil",
            "gain of feeding residue forward, per run",
            "concentration of titrant T1",
        ]
    );
}

#[test]
fn an_estimate_moved_when_it_left_its_standard_uncertainty() {
    let place = "/models/0/adjusted_means/route/0/value";
    // 0.65 with u = 0.01: 0.0099 is not more than that, 0.0101 is.
    assert_eq!(since(&with(place, json!(0.6599))).moved, []);
    let since = since(&with(place, json!(0.6601)));
    assert_eq!(since.moved.len(), 1);
    assert_eq!(
        since.moved[0].about,
        "adjusted mean of yield with route: boil"
    );
    assert_eq!(since.moved[0].before, 0.65);
    assert_eq!(since.moved[0].now, 0.6601);
    assert_eq!(since.flags(), [Flag::Moved]);
}

#[test]
fn it_is_the_uncertainty_before_that_counts_and_none_is_not_compared() {
    let mut before = result();
    before["titrants"][0]["concentration"] = json!({"value": 0.1, "u": null});
    let moved = |before: &Value, now: &Value| Since::between(&record(before), &record(now)).moved;
    let now = with("/titrants/0/concentration/value", json!(0.2));
    assert_eq!(moved(&before, &now), []);
    assert_eq!(moved(&result(), &now).len(), 1);
    let wide = with(
        "/titrants/0/concentration",
        json!({"value": 0.1002, "u": 0.1}),
    );
    assert_eq!(moved(&result(), &wide).len(), 1);
}

#[test]
fn a_verdict_that_changed_is_told_with_what_it_was() {
    let mut now = result();
    now["recycling"] = json!({"verdict": "pays", "gain_per_run": {"value": 0.45, "u": 0.2, "interval": [0.05, 0.85]}});
    let since = since(&now);
    assert_eq!(since.verdicts.len(), 1);
    assert_eq!(since.verdicts[0].before.as_deref(), Some("not settled"));
    assert_eq!(since.verdicts[0].now.as_deref(), Some("pays"));
    assert_eq!(since.verdicts[0].interval, Some([0.05, 0.85]));
    assert_eq!(since.flags(), [Flag::Verdict]);
}

#[test]
fn what_was_chosen_counts_only_where_it_is_settled() {
    let decided = |routes: &str, best: &str, settings: &str, heating: &str, oxidant: f64| {
        let mut result = result();
        result["routes"] = json!({"verdict": routes, "best": best, "levels": []});
        let at = json!({"heating": heating, "oxidant": oxidant});
        result["settings"] = json!({"verdict": settings, "at": at, "response": null});
        record(&result)
    };
    let before = decided("not settled", "chill", "settled", "hob", 60.0);
    let changed = |now: Record| {
        let verdicts = Since::between(&before, &now).verdicts;
        let told = |says: Option<String>| says.unwrap_or_default();
        verdicts
            .into_iter()
            .map(|verdict| [told(verdict.before), told(verdict.now)])
            .collect::<Vec<_>>()
    };
    assert!(changed(decided("not settled", "boil", "settled", "hob", 61.0)).is_empty());
    assert_eq!(
        changed(decided("settled", "boil", "settled", "kiln", 60.0)),
        [
            ["not settled", "settled for boil"],
            ["settled for heating: hob", "settled for heating: kiln"],
        ]
    );
}

#[test]
fn an_interval_that_comes_to_hold_zero_changes_the_verdict() {
    let since = since(&with("/models/0/terms/1/interval", json!([-0.0001, 0.003])));
    assert_eq!(since.verdicts[0].about, "yield with more oxidant");
    assert_eq!(since.verdicts[0].now.as_deref(), Some("not told from zero"));
}

#[test]
fn a_term_that_a_power_or_another_factor_bends_has_no_verdict_of_its_own() {
    for other in ["oxidant to the 2", "route: boil with oxidant"] {
        let mut now = result();
        let terms = now["models"][0]["terms"].as_array_mut().expect("a list");
        terms.push(json!({"term": other, "value": 0.0, "u": 0.1, "interval": [-0.2, 0.2]}));
        let verdicts = record(&now).verdicts;
        assert!(
            !verdicts
                .iter()
                .any(|verdict| verdict.about == "yield with more oxidant")
        );
    }
}

#[test]
fn effects_that_can_be_told_apart_at_last_are_told() {
    let group = json!([{"terms": ["heating: kiln", "lot: D"]}]);
    let tangled = with("/models/0/not_separable", group);
    let now = Since::between(&record(&tangled), &record(&result())).verdicts;
    assert_eq!(now[0].about, "yield: heating: kiln and lot: D");
    assert_eq!(now[0].before.as_deref(), Some("cannot be told apart"));
    assert_eq!(now[0].now, None);
    assert_eq!(since(&tangled).verdicts[0].before, None);
}

#[test]
fn a_question_that_is_answered_for_the_first_time_is_no_change() {
    let mut before = result();
    before["recycling"] = Value::Null;
    let since = Since::between(&record(&before), &record(&result()));
    assert_eq!(since.verdicts, []);
    assert_eq!(since.moved, []);
}

#[test]
fn runs_that_came_went_or_changed_are_told_apart() {
    let mut now = result();
    now["yields"] = json!([
        {"run": "R1", "contained": {"value": 0.62, "u": 0.01}},
        {"run": "R3", "contained": {"value": 0.61, "u": 0.01}},
    ]);
    let since = since(&now);
    assert_eq!(since.new_runs, ["R3"]);
    assert_eq!(since.gone_runs, ["R2"]);
    assert_eq!(since.changed_runs, ["R1"]);
    assert_eq!(since.flags(), [Flag::GoneRuns, Flag::EarlierRuns]);
}

#[test]
fn new_runs_alone_raise_no_flag() {
    let mut now = result();
    let runs = now["yields"].as_array_mut().expect("a list");
    runs.push(json!({"run": "R3", "contained": {"value": 0.61, "u": 0.01}}));
    let since = since(&now);
    assert_eq!(since.new_runs, ["R3"]);
    assert_eq!(since.flags(), []);
}

#[test]
fn a_run_that_a_fault_leaves_out_is_told_as_that_and_not_as_gone() {
    let mut now = result();
    now["yields"] = json!([{"run": "R1", "contained": {"value": 0.60, "u": 0.01}}]);
    now["left_out"] =
        json!([{"file": "runs.csv", "run": "R2", "reason": "no number", "on_purpose": false}]);
    let forth = since(&now);
    assert!(forth.gone_runs.is_empty());
    assert_eq!(forth.newly_left_out.len(), 1);
    assert_eq!(forth.flags(), [Flag::LeftOut]);
    let back = Since::between(&record(&now), &record(&result()));
    assert_eq!(back.new_runs, ["R2"]);
}

#[test]
fn a_point_that_a_chart_flags_is_told_once_however_the_flag_is_written() {
    for flag in [
        json!(true),
        json!("beyond the upper limit"),
        json!({"size": 3.1}),
    ] {
        let flagged = with("/drift/0/points/0/flag", flag);
        let since = since(&flagged);
        assert_eq!(since.drift, ["yield, ewma chart, R1"]);
        assert_eq!(since.flags(), [Flag::Drift]);
        assert_eq!(
            Since::between(&record(&flagged), &record(&flagged)).flags(),
            []
        );
    }
    assert!(
        since(&with("/drift/0/points/0/flag", json!(false)))
            .drift
            .is_empty()
    );
}

#[test]
fn inputs_and_program_that_changed_are_named() {
    let [before, now] = [("1.0.0", "log"), ("1.1.0", "longer log")]
        .map(|(program, log)| record_of(&result(), program, log));
    let since = Since::between(&before, &now);
    assert_eq!(since.inputs, ["runs log"]);
    let program = since.program.as_ref().expect("another version");
    assert_eq!(
        [program.before.as_str(), program.now.as_str()],
        ["1.0.0", "1.1.0"]
    );
    assert_eq!(since.flags(), []);
}
