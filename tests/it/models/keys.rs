//! Are the keys of a model that scripts rely on all there, each in its shape?
//!
//! In: the demo campaign and a plain regression, through `residuum fit --json`. Out: a test a campaign.
//! This module never reads a value for anything but its kind.

use std::path::Path;

use serde_json::Value;

use super::plain;
use crate::support::{list, residuum_json};

/// What a key may hold.
#[derive(Debug, Clone, Copy)]
enum Kind {
    Text,
    Texts,
    /// Never null.
    Number,
    /// Null where there is a reason.
    NumberOrNull,
    /// Two numbers, the lower first, or null where there is a reason.
    Interval,
}

use Kind::{Interval, Number, NumberOrNull, Text, Texts};

const MODEL: [(&str, Kind); 15] = [
    ("response", Text),
    ("unit", Text),
    ("method", Text),
    ("runs", Number),
    ("residual_df", Number),
    ("residual_sd", NumberOrNull),
    ("leave_one_out_sd", NumberOrNull),
    ("r_squared", NumberOrNull),
    ("adjusted_r_squared", NumberOrNull),
    ("leave_one_out_r_squared", NumberOrNull),
    ("ss_model", Number),
    ("ss_residual", Number),
    ("f", NumberOrNull),
    ("f_p", NumberOrNull),
    ("lag1", NumberOrNull),
];

const TERM: [(&str, Kind); 7] = [
    ("term", Text),
    ("value", Number),
    ("u", NumberOrNull),
    ("df", Number),
    ("t", NumberOrNull),
    ("p", NumberOrNull),
    ("interval", Interval),
];

const NOT_SEPARABLE: [(&str, Kind); 3] = [
    ("terms", Texts),
    ("why", Text),
    ("runs_that_would_separate", Texts),
];

const TEST: [(&str, Kind); 5] = [
    ("factor", Text),
    ("df", Number),
    ("ss", Number),
    ("f", NumberOrNull),
    ("p", NumberOrNull),
];

const DIAGNOSTIC: [(&str, Kind); 5] = [
    ("name", Text),
    ("value", NumberOrNull),
    ("p", NumberOrNull),
    ("standing", Text),
    ("verdict", Text),
];

const MEAN: [(&str, Kind); 4] = [
    ("level", Text),
    ("value", NumberOrNull),
    ("u", NumberOrNull),
    ("interval", Interval),
];

const COMPARISON: [(&str, Kind); 7] = [
    ("factor", Text),
    ("level", Text),
    ("against", Text),
    ("value", Number),
    ("u", NumberOrNull),
    ("interval", Interval),
    ("p", NumberOrNull),
];

fn check(object: &Value, keys: &[(&str, Kind)]) {
    let members = object.as_object().expect("an object");
    for (key, kind) in keys {
        let value = members
            .get(*key)
            .unwrap_or_else(|| panic!("no `{key}` in {object}"));
        let right = match kind {
            Text => value.is_string(),
            Number => value.is_number(),
            NumberOrNull => value.is_number() || value.is_null(),
            Texts => value
                .as_array()
                .is_some_and(|texts| !texts.is_empty() && texts.iter().all(Value::is_string)),
            Interval => value.is_null() || is_interval(value),
        };
        assert!(right, "`{key}` is not {kind:?}: {value}");
    }
}

fn is_interval(value: &Value) -> bool {
    let ends: Vec<f64> = value
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_f64)
        .collect();
    ends.len() == 2 && ends[0] <= ends[1]
}

fn check_model(model: &Value) {
    check(model, &MODEL);
    for (key, keys) in [
        ("terms", &TERM[..]),
        ("not_separable", &NOT_SEPARABLE),
        ("tests", &TEST),
        ("diagnostics", &DIAGNOSTIC),
        ("comparisons", &COMPARISON),
        ("against_baseline", &COMPARISON),
    ] {
        for entry in list(model, key) {
            check(entry, keys);
        }
    }
    assert!(!list(model, "terms").is_empty() && !list(model, "diagnostics").is_empty());
    assert!(list(model, "candidates").iter().all(Value::is_object));
    let means = model["adjusted_means"].as_object().expect("an object");
    for (factor, levels) in means {
        let levels = levels.as_array().expect("a list of levels");
        for level in levels {
            check(level, &MEAN);
        }
        check_comparisons(model, factor, levels);
    }
}

/// Each unordered pair of levels that can be told stands there once, each level but the first against the baseline.
fn check_comparisons(model: &Value, factor: &str, levels: &[Value]) {
    let told: Vec<&Value> = levels
        .iter()
        .filter(|level| level["value"].is_number())
        .map(|level| &level["level"])
        .collect();
    let of_factor = |key: &str| -> Vec<[&Value; 2]> {
        list(model, key)
            .iter()
            .filter(|pair| pair["factor"] == factor)
            .map(|pair| [&pair["level"], &pair["against"]])
            .collect()
    };
    let pairs = of_factor("comparisons");
    assert_eq!(pairs.len(), told.len() * (told.len() - 1) / 2, "{factor}");
    for (position, one) in told.iter().enumerate() {
        for other in &told[..position] {
            let times = pairs
                .iter()
                .filter(|pair| pair.contains(one) && pair.contains(other))
                .count();
            assert_eq!(times, 1, "{factor}: {one} and {other}");
        }
    }
    let baseline = of_factor("against_baseline");
    assert_eq!(baseline.len(), told.len() - 1, "{factor}");
    assert!(baseline.iter().all(|pair| pair[1] == &levels[0]["level"]));
}

fn names<'a>(model: &'a Value, key: &str, name: &str) -> Vec<&'a str> {
    list(model, key)
        .iter()
        .map(|entry| entry[name].as_str().expect("a name"))
        .collect()
}

#[test]
fn the_models_of_bluestone_hold_every_key_in_its_shape() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone");
    let result = residuum_json("fit", &folder);
    let models = list(&result, "models");
    assert_eq!(names(&result, "models", "response"), ["yield", "purity"]);
    for model in models {
        check_model(model);
        for key in [
            "not_separable",
            "candidates",
            "comparisons",
            "against_baseline",
            "tests",
        ] {
            assert!(!list(model, key).is_empty(), "{key} is empty");
        }
        assert_eq!(model["method"], "measured");
        let tests = names(model, "tests", "factor");
        let factors = ["heating", "oxidant_excess", "route", "residue_ratio"];
        assert_eq!(tests[..4], factors);
        assert_eq!(tests[4..], ["route with residue_ratio"]);
        let terms = names(model, "terms", "term");
        // Term names are those that scripts look for.
        for term in [
            "constant",
            "heating: hob",
            "oxidant_excess to the 2",
            "route: spirit with residue_ratio",
        ] {
            assert!(terms.contains(&term), "{term} is not in {terms:?}");
        }
    }
}

#[test]
fn the_model_of_a_plain_regression_holds_every_key_in_its_shape() {
    let rows: Vec<String> = (0..12)
        .map(|run| {
            let heating = ["hob", "muffle", "torch"][run % 3];
            let time = 5 * (run / 3) + 2 * (run % 2);
            let colour = 4.0 + 0.1 * time as f64 + [0.0, 0.4, -0.3][run % 3];
            // A little scatter that no term explains.
            let colour = colour + [0.05, -0.02, 0.01, -0.04, 0.03][run % 5];
            format!("r{run},{heating},{time},{colour:.3}")
        })
        .collect();
    let result = plain::fit(
        "effects = [\"heating\", \"time\"]\nmethod = \"plain\"",
        &rows,
    );
    let model = plain::only_model(&result);
    check_model(model);
    assert_eq!(model["method"], "plain");
    assert_eq!(model["unit"], "1");
    assert_eq!(model["runs"], 12);
    assert_eq!(model["residual_df"], 8);
    assert_eq!(
        names(model, "terms", "term"),
        ["constant", "heating: muffle", "heating: torch", "time"]
    );
    assert_eq!(names(model, "tests", "factor"), ["heating", "time"]);
    assert_eq!(list(model, "comparisons").len(), 3);
    assert_eq!(list(model, "against_baseline").len(), 2);
    // Nothing is tangled and nothing was asked for besides; the lists are there all the same.
    assert!(list(model, "not_separable").is_empty() && list(model, "candidates").is_empty());
    // Where nothing is wrong nothing is null.
    for key in MODEL.map(|(key, _)| key) {
        assert!(!model[key].is_null(), "{key} is null");
    }
}
