//! Sums, weights, draws and chances at several settings against what the model says of each.
//!
//! In: small logs. Out: tests.
//! This module never takes an expected value from the function that it tests.

use super::testing::{amount, choice, model, runs};
use crate::regression::Weighted;
use crate::regression::{FitData, FittedModel, ModelParams, ResponseScale, Settings};
use crate::seeded::Seeded;

/// A few roundings of the values themselves.
const ROUNDING: f64 = 1e-12;

fn fitted(params: ModelParams, data: &FitData) -> FittedModel {
    params
        .check(data)
        .and_then(|valid| valid.fit(data))
        .expect("a model of these runs")
}

fn two_levels() -> FittedModel {
    let data = runs(
        vec![1.0, 2.4, 3.0, 5.0, 6.0, 8.8],
        vec![
            choice("route", &["a", "b"], &["a", "a", "a", "b", "b", "b"]),
            amount("x", vec![0.0, 1.0, 2.0, 0.0, 1.0, 3.0]),
        ],
    );
    fitted(model(&["route", "x"]), &data)
}

#[test]
fn a_sum_of_two_means_is_the_difference_that_the_model_gives() {
    let model = two_levels();
    let at = |level: &str| Settings::default().level("route", level).amount("x", 1.5);
    let part = |weight, level| Weighted {
        weight,
        settings: at(level),
    };
    let sum = model
        .weighted_sum(&[part(1.0, "b"), part(-1.0, "a")])
        .unwrap();
    let difference = model.difference(&at("b"), &at("a")).unwrap();
    assert!((sum.value - difference.value).abs() < ROUNDING);
    let (one, other) = (
        sum.standard_error.unwrap(),
        difference.standard_error.unwrap(),
    );
    assert!((one - other).abs() < ROUNDING);
}

#[test]
fn the_weights_of_the_runs_give_the_mean_back() {
    let model = two_levels();
    let settings = Settings::default().level("route", "b").amount("x", 0.7);
    let weights = model.run_weights(&settings).unwrap();
    let responses = [1.0, 2.4, 3.0, 5.0, 6.0, 8.8];
    let mean: f64 = weights.iter().zip(responses).map(|(w, y)| w * y).sum();
    assert!((mean - model.estimate(&settings).unwrap().value).abs() < ROUNDING);
    assert!((weights.iter().sum::<f64>() - 1.0).abs() < ROUNDING);
}

#[test]
fn the_weights_of_the_runs_are_the_slopes_of_a_mean_on_the_logit_scale_too() {
    // Logits beyond 1 and below 0, which are no fractions.
    let yields = vec![0.62, 0.71, 0.78, 0.83, 0.9, 0.41];
    let params = ModelParams {
        scale: ResponseScale::Logit,
        ..model(&["x"])
    };
    let x = || vec![amount("x", vec![0.0, 1.0, 2.0, 3.0, 4.0, 0.5])];
    let settings = Settings::default().amount("x", 2.7);
    let mean = |yields: Vec<f64>| {
        let model = fitted(params.clone(), &runs(yields, x()));
        model.estimate(&settings).unwrap().value
    };
    let whole = fitted(params.clone(), &runs(yields.clone(), x()));
    for (run, weight) in whole.run_weights(&settings).unwrap().iter().enumerate() {
        let moved = |by: f64| {
            let mut yields = yields.clone();
            yields[run] += by;
            mean(yields)
        };
        // A symmetric difference over a step of 1e-5 is off by its square, relative to values of order one.
        let slope = (moved(1e-5) - moved(-1e-5)) / 2e-5;
        assert!((weight - slope).abs() < 1e-8, "{run}: {weight}, {slope}");
    }
}

#[test]
fn draws_scatter_as_the_standard_errors_say() {
    let model = two_levels();
    let at = |level: &str| Settings::default().level("route", level).amount("x", 1.0);
    let count = 40_000;
    let draws = model
        .draws_of_means(&[at("a"), at("b")], count, &mut Seeded::stream(1, 0))
        .unwrap();
    let apart: Vec<f64> = draws[1].iter().zip(&draws[0]).map(|(b, a)| b - a).collect();
    let exact = model.difference(&at("b"), &at("a")).unwrap();
    let reach = exact.interval.unwrap();
    let outside = apart.iter().filter(|d| **d < reach.low || **d > reach.high);
    let share = outside.count() as f64 / count as f64;
    // Five standard errors of a share of 5 % in 40,000 draws.
    assert!((share - 0.05).abs() < 0.0055, "{share}");
}

#[test]
fn equal_settings_are_drawn_alike() {
    let model = two_levels();
    let at = || Settings::default().level("route", "a");
    let draws = model
        .draws_of_means(&[at(), at()], 10, &mut Seeded::stream(1, 0))
        .unwrap();
    for (one, other) in draws[0].iter().zip(&draws[1]) {
        assert!((one - other).abs() < ROUNDING);
    }
}

#[test]
fn the_chance_of_a_new_run_is_that_of_its_interval() {
    // In a plain fit the chance above the lower end of the 95 % interval for a new run is 97.5 %.
    let model = two_levels();
    let settings = Settings::default().level("route", "a");
    let run = model.new_run_interval(&settings).unwrap();
    let chance = model
        .chance_of_new_run_above(&settings, run.interval.unwrap().low)
        .unwrap()
        .unwrap();
    assert!((chance - 0.975).abs() < 1e-9, "{chance}");
}
