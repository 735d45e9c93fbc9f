//! Fits on the logit scale against general-purpose libraries.
//!
//! In: figures of `tests/check-scripts/logit_scale.py`, and runs near both ends. Out: nothing but passing tests.
//! This module never takes an expected value from the code that it checks.

use super::testing::{amount, certified, choice, model, relative, runs};
use crate::error::ErrorKind;
use crate::regression::{
    Estimate, FitData, FittedModel, Interval, Measurement, ModelParams, OwnError, Refusal,
    ScatterOf, Settings, comparisons, diagnostics,
};

const FIGURES: &str = include_str!("../../../tests/data/logit_scale.json");

/// Relative: the script works in 64-bit numbers, and differences of purities near one lose four of their digits.
const COMPUTED: f64 = 1e-10;
/// Relative: the small sums of squares and tails carry the roundings of the logarithms into fewer digits.
const SQUARES: f64 = 1e-10;

#[track_caller]
fn agrees(found: f64, name: &str, tolerance: f64) {
    let expected = certified(FIGURES, name);
    let error = (found / expected - 1.0).abs();
    assert!(error < tolerance, "{name}: {found} is not {expected}");
}

#[track_caller]
fn agrees_to_all(found: &Estimate, name: &str) {
    agrees(found.value, &format!("{name}_value"), COMPUTED);
    agrees(
        found.standard_error.unwrap(),
        &format!("{name}_error"),
        COMPUTED,
    );
    ends_agree(found.interval, name);
}

#[track_caller]
fn ends_agree(found: Option<Interval>, name: &str) {
    let Interval { low, high } = found.unwrap();
    agrees(low, &format!("{name}_low"), COMPUTED);
    agrees(high, &format!("{name}_high"), COMPUTED);
}

/// The log of the script.
fn purities() -> FitData {
    let routes = ["chill", "boildown", "alcohol"];
    let of_runs = routes.repeat(6);
    let oxidant = vec![
        20.0, 35.0, 50.0, 65.0, 80.0, 95.0, 25.0, 40.0, 55.0, 70.0, 85.0, 100.0, 30.0, 45.0, 60.0,
        75.0, 90.0, 22.0,
    ];
    let purity = vec![
        0.9712, 0.9381, 0.9903, 0.9795, 0.9522, 0.9947, 0.9688, 0.9418, 0.9919, 0.9824, 0.9547,
        0.9962, 0.9741, 0.9433, 0.9931, 0.9843, 0.9571, 0.9872,
    ];
    let route = choice("route", &routes, &of_runs);
    runs(purity, vec![route, amount("oxidant", oxidant)])
}

/// The same with the errors of the script.
fn measured_purities() -> FitData {
    FitData {
        measurement: Measurement {
            shared: vec![
                relative("titrant 1", 0.0005, 0..9),
                relative("titrant 2", 0.0005, 9..18),
            ],
            own: vec![
                OwnError {
                    relative: 0.0004,
                    absolute: 0.0003,
                };
                18
            ],
        },
        ..purities()
    }
}

fn asked() -> ModelParams {
    model(&["route", "oxidant"]).on_logit()
}

fn first() -> Settings {
    Settings::default()
        .level("route", "chill")
        .amount("oxidant", 60.0)
}

fn second() -> Settings {
    Settings::default()
        .level("route", "alcohol")
        .amount("oxidant", 95.0)
}

#[test]
fn terms_stay_on_the_logit_scale_and_agree_with_least_squares_there() {
    let fitted = asked().fitted(&purities());
    let names = [
        ("constant", "constant"),
        ("route: boildown", "boildown"),
        ("route: alcohol", "alcohol"),
        ("oxidant", "oxidant"),
    ];
    for (ours, theirs) in names {
        let term = fitted.written(ours).unwrap();
        agrees(term.value, &format!("term_{theirs}"), COMPUTED);
        agrees(
            term.standard_error.unwrap(),
            &format!("term_{theirs}_error"),
            COMPUTED,
        );
    }
    agrees(fitted.r_squared.unwrap(), "r_squared", COMPUTED);
    agrees(fitted.ss_residual, "ss_residual", COMPUTED);
}

#[test]
fn means_differences_and_new_runs_come_back_as_by_the_delta_method() {
    let fitted = asked().fitted(&purities());
    for (settings, name) in [(first(), "first"), (second(), "second")] {
        let mean = fitted.estimate(&settings).unwrap();
        agrees_to_all(&mean, &format!("{name}_mean"));
        assert_eq!(mean.p, None);
        let new = fitted.new_run_interval(&settings).unwrap();
        agrees(new.value, &format!("{name}_new_value"), COMPUTED);
        agrees(
            new.standard_deviation.unwrap(),
            &format!("{name}_new_sd"),
            COMPUTED,
        );
        ends_agree(new.interval, &format!("{name}_new"));
    }
    let difference = fitted.difference(&second(), &first()).unwrap();
    agrees_to_all(&difference, "difference");
    agrees(difference.p.unwrap(), "difference_p", SQUARES);
    let levels = fitted
        .level_difference("route", "boildown", "chill")
        .unwrap();
    agrees_to_all(&levels, "level");
    agrees(levels.p.unwrap(), "level_p", SQUARES);
    let shared = fitted.covariance(&first(), &second()).unwrap().unwrap();
    agrees(shared, "covariance", SQUARES);
}

#[test]
fn figures_of_the_runs_are_in_the_unit_of_the_response() {
    let data = purities();
    let fitted = asked().fitted(&data);
    agrees(fitted.residual_sd.unwrap(), "residual_sd", SQUARES);
    agrees(
        fitted.leave_one_out_sd.unwrap(),
        "leave_one_out_sd",
        SQUARES,
    );
    agrees(fitted.variance_components[0].sd, "run_to_run", COMPUTED);
    for (run, response) in data.response.iter().enumerate() {
        assert_eq!(fitted.residuals[run], response - fitted.fitted[run]);
    }
}

#[test]
fn known_errors_are_taken_over_at_fitted_values() {
    let data = measured_purities();
    let fitted = asked().measured().fitted(&data);
    let (one, two) = (fitted.estimate(&first()), fitted.estimate(&second()));
    agrees(one.unwrap().value, "measured_first", COMPUTED);
    agrees(two.unwrap().value, "measured_second", COMPUTED);
    let component = |of: ScatterOf| {
        let found = fitted.variance_components.iter().find(|c| c.of == of);
        found.unwrap().sd
    };
    agrees(
        component(ScatterOf::RunToRun),
        "measured_run_to_run",
        COMPUTED,
    );
    agrees(
        component(ScatterOf::Measurement),
        "measured_measurement",
        COMPUTED,
    );
    // JCGM 100:2008, 5.1.2, by hand: relative and absolute parts at the expected value, in the unit of the response.
    let new = fitted.new_run_interval(&second()).unwrap();
    let (value, scatter) = (new.value, new.scatter.unwrap());
    let own = (0.0004 * value).powi(2) + 0.0003 * 0.0003;
    assert!((scatter.own_measurement / own - 1.0).abs() < COMPUTED);
    let shared = (0.0005 * value).powi(2);
    assert!((scatter.shared_measurement / shared - 1.0).abs() < COMPUTED);
}

#[test]
fn no_prediction_and_no_end_leaves_0_to_1() {
    let params = [asked(), asked().measured()];
    for fitted in params.map(|params| params.fitted(&measured_purities())) {
        for oxidant in [-1e9, -1e4, -300.0, 20.0, 100.0, 500.0, 1e4, 1e9] {
            let settings = first().amount("oxidant", oxidant);
            let mean = fitted.estimate(&settings).unwrap();
            let new = fitted.new_run_interval(&settings).unwrap();
            for ends in [mean.interval, new.interval].into_iter().flatten() {
                for value in [mean.value, new.value, ends.low, ends.high] {
                    assert!(value > 0.0 && value < 1.0, "{value} at {oxidant}");
                }
            }
            for error in [mean.standard_error, new.standard_deviation]
                .into_iter()
                .flatten()
            {
                assert!(error.is_finite() && error >= 0.0, "{error} at {oxidant}");
            }
        }
        for level in fitted.adjusted_means.iter().flat_map(|means| &means.levels) {
            let mean = level.mean.as_ref().unwrap();
            let ends = mean.interval.unwrap();
            assert!(ends.low > 0.0 && ends.low < mean.value && mean.value < ends.high);
            assert!(ends.high < 1.0);
        }
        assert!(fitted.all_finite());
    }
}

#[test]
fn comparisons_are_differences_of_the_means_brought_back() {
    let fitted = asked().fitted(&purities());
    let found = comparisons(&fitted, 1);
    let pairs = &found[0].pairs;
    assert_eq!(pairs.len(), 3);
    let boildown = pairs.iter().find(|pair| pair.level == "boildown").unwrap();
    agrees(boildown.value, "level_value", COMPUTED);
    agrees(boildown.standard_error.unwrap(), "level_error", COMPUTED);
    assert!(pairs.iter().all(|pair| pair.p.is_some_and(|p| p < 0.01)));
}

#[test]
fn diagnostics_of_residuals_are_those_of_the_logits() {
    let data = purities();
    let logits = FitData {
        response: data.response.iter().map(|y| (y / (1.0 - y)).ln()).collect(),
        ..data.clone()
    };
    let of = |params: ModelParams, data: &FitData| {
        let valid = params.check(data).unwrap();
        diagnostics(&valid, &valid.fit(data).unwrap(), data, &[])
    };
    let plain = of(model(&["route", "oxidant"]), &logits);
    let found = of(asked(), &data);
    assert_eq!(found.len(), plain.len());
    for (one, other) in found.iter().zip(&plain) {
        assert_eq!(one, other);
    }
}

#[test]
fn a_purity_of_one_is_a_fault_of_the_model_that_names_the_run() {
    let mut data = purities();
    data.response[4] = 1.0;
    let faults = asked().check(&data).map(|_| ()).unwrap_err();
    let fault = &faults.errors()[0];
    assert_eq!(fault.kind(), ErrorKind::OutOfRange);
    assert!(
        fault.message().contains("run `5` (1)"),
        "{}",
        fault.message()
    );
    assert!(model(&["route"]).check(&data).is_ok());
}

#[test]
fn a_difference_needs_both_means_on_the_logit_scale() {
    // Every run is on lot A with route chill or on lot B with boildown: neither factor can be told, only both together.
    let lots = ["A", "B"].repeat(4);
    let routes = ["chill", "boildown"].repeat(4);
    let data = runs(
        vec![0.91, 0.95, 0.92, 0.96, 0.93, 0.95, 0.92, 0.97],
        vec![
            choice("lot", &["A", "B"], &lots),
            choice("route", &["chill", "boildown"], &routes),
        ],
    );
    let fitted: FittedModel = model(&["lot", "route"]).on_logit().fitted(&data);
    let refused = fitted.level_difference("route", "boildown", "chill");
    assert!(
        matches!(refused, Err(Refusal::NotSeparable(_))),
        "{refused:?}"
    );
}
