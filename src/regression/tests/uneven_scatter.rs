//! Fits where levels of a choice scatter differently.
//!
//! In: short logs on two routes. Out: tests against mean, variance and the two-sample formulas for unequal variances, worked out here.
//! This module never takes an expected value from a fit.

use super::testing::{amount, choice, digits, model, runs};
use crate::caveat::Doubt;
use crate::regression::{FitData, ScatterOf, Settings};

const STEADY: [f64; 10] = [
    0.9901, 0.9899, 0.9902, 0.9898, 0.9900, 0.9903, 0.9897, 0.9901, 0.9899, 0.9902,
];
const ROUGH: [f64; 12] = [
    0.981, 0.993, 0.987, 0.979, 0.996, 0.990, 0.984, 0.975, 0.989, 0.998, 0.983, 0.992,
];

/// Digits that must agree: variances are solved to twelve.
const DIGITS: f64 = 9.0;

fn log(steady: &[f64], rough: &[f64]) -> FitData {
    let mut routes = vec!["steady"; steady.len()];
    routes.extend(vec!["rough"; rough.len()]);
    runs(
        [steady, rough].concat(),
        vec![choice("route", &["steady", "rough"], &routes)],
    )
}

fn at(route: &str) -> Settings {
    Settings::default().level("route", route)
}

/// Number, mean and variance.
fn moments(values: &[f64]) -> [f64; 3] {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let squares: f64 = values.iter().map(|y| (y - mean).powi(2)).sum();
    [count, mean, squares / (count - 1.0)]
}

#[test]
fn each_level_has_the_variance_about_its_mean() {
    let fitted = model(&["route"]).measured().fitted(&log(&STEADY, &ROUGH));
    let uneven = fitted.uneven.as_ref().expect("uneven scatter");
    assert_eq!(uneven.factor, "route");
    assert!(uneven.p <= 0.025, "{}", uneven.p);
    for (level, values) in uneven.levels.iter().zip([&STEADY[..], &ROUGH[..]]) {
        let [count, _, variance] = moments(values);
        assert!(digits(level.sd.powi(2), variance) > DIGITS, "{}", level.sd);
        assert!(digits(level.degrees_of_freedom, count - 1.0) > DIGITS);
    }
    let parts: Vec<&ScatterOf> = fitted.variance_components.iter().map(|c| &c.of).collect();
    assert_eq!(parts.len(), 2);
    let doubted = |doubt: &Doubt| matches!(doubt, Doubt::ScatterDiffersByLevel { .. });
    assert!(fitted.caveats.iter().any(|caveat| doubted(&caveat.doubt)));
}

#[test]
fn a_difference_is_that_of_two_samples_with_unequal_variances() {
    // Welch, Biometrika 34 (1947) 28-35; degrees of freedom of Satterthwaite, Biometrics Bulletin 2 (1946) 110-114.
    let fitted = model(&["route"]).measured().fitted(&log(&STEADY, &ROUGH));
    let found = fitted.difference(&at("rough"), &at("steady")).unwrap();
    let [[n, mean, variance], [m, other, beside]] = [moments(&STEADY), moments(&ROUGH)];
    let (own, further) = (variance / n, beside / m);
    assert!((found.value - (other - mean)).abs() < 1e-14);
    assert!(digits(found.standard_error.unwrap(), (own + further).sqrt()) > DIGITS);
    let degrees = (own + further).powi(2) / (own.powi(2) / (n - 1.0) + further.powi(2) / (m - 1.0));
    assert!(digits(found.degrees_of_freedom, degrees) > DIGITS);
}

#[test]
fn a_new_run_scatters_as_its_level_does() {
    let fitted = model(&["route"]).measured().fitted(&log(&STEADY, &ROUGH));
    // Two-sided 95 % points of t from tables: 2.262157 with 9 degrees of freedom, 2.200985 with 11.
    for (route, values, t) in [
        ("steady", &STEADY[..], 2.262157),
        ("rough", &ROUGH[..], 2.200985),
    ] {
        let run = fitted.new_run_interval(&at(route)).unwrap();
        let [count, mean, variance] = moments(values);
        let half = t * (variance * (1.0 + 1.0 / count)).sqrt();
        let ends = run.interval.unwrap();
        assert!(digits(ends.high - mean, half) > 6.0, "{route}");
        assert!(digits(mean - ends.low, half) > 6.0, "{route}");
        let scatter = run.scatter.unwrap();
        assert!(digits(scatter.run_to_run, variance) > DIGITS);
    }
    // Where no route is named, the mean of both variances.
    let run = fitted.new_run_interval(&Settings::default()).unwrap();
    let mixed = (moments(&STEADY)[2] + moments(&ROUGH)[2]) / 2.0;
    assert!(digits(run.scatter.unwrap().run_to_run, mixed) > DIGITS);
}

#[test]
fn a_level_without_scatter_meets_a_limit_always_or_never() {
    let fitted = model(&["route"])
        .measured()
        .fitted(&log(&[0.990; 10], &ROUGH));
    assert!(fitted.uneven.is_some());
    let chance = |limit| {
        fitted
            .chance_of_new_run_above(&at("steady"), limit)
            .unwrap()
            .unwrap()
    };
    assert!(chance(0.9899) > 1.0 - 1e-6, "{}", chance(0.9899));
    assert!(chance(0.9901) < 1e-6, "{}", chance(0.9901));
    let rough = fitted
        .chance_of_new_run_above(&at("rough"), 0.987)
        .unwrap()
        .unwrap();
    assert!((0.3..0.7).contains(&rough), "{rough}");
}

#[test]
fn the_order_of_runs_and_levels_does_not_decide_whether_scatter_is_uneven() {
    let mut order: Vec<usize> = (0..22).collect();
    order.reverse();
    order.rotate_left(5);
    let data = log(&STEADY, &ROUGH);
    let responses: Vec<f64> = order.iter().map(|&run| data.response[run]).collect();
    let routes: Vec<&str> = order
        .iter()
        .map(|&run| ["rough", "steady"][usize::from(run < 10)])
        .collect();
    let turned = runs(
        responses,
        vec![choice("route", &["rough", "steady"], &routes)],
    );
    let [one, other] = [data, turned].map(|data| model(&["route"]).measured().fitted(&data));
    assert_eq!(one.uneven.unwrap().p, other.uneven.unwrap().p);
}

#[test]
fn even_scatter_changes_no_digit() {
    // The same deviations on both routes.
    let moved: Vec<f64> = STEADY.iter().map(|y| y - 0.01).collect();
    let data = log(&STEADY, &moved);
    let [plain, measured] =
        [model(&["route"]), model(&["route"]).measured()].map(|m| m.fitted(&data));
    assert!(measured.uneven.is_none());
    let run =
        |fitted: &crate::regression::FittedModel| fitted.new_run_interval(&at("rough")).unwrap();
    assert_eq!(run(&plain), run(&measured));
    assert_eq!(plain.terms, measured.terms);
}

#[test]
fn a_plain_fit_takes_scatter_to_be_even() {
    assert!(
        model(&["route"])
            .fitted(&log(&STEADY, &ROUGH))
            .uneven
            .is_none()
    );
}

#[test]
fn blocks_and_stated_errors_stay_beside_scatter_by_level() {
    let mut data = log(&STEADY, &ROUGH);
    let lots: Vec<&str> = (0..22).map(|run| ["A", "B", "C"][run % 3]).collect();
    data.factors.push(choice("lot", &["A", "B", "C"], &lots));
    data.factors.push(amount(
        "x",
        (0..22).map(|run| ((run * 7) % 11) as f64).collect(),
    ));
    let fitted = model(&["route", "x"])
        .with_block("lot")
        .measured()
        .fitted(&data);
    let uneven = fitted.uneven.as_ref().expect("uneven scatter");
    // Lots and the amount have nothing to do with these responses: within a fifth the scatter stays.
    for (level, values) in uneven.levels.iter().zip([&STEADY[..], &ROUGH[..]]) {
        assert!(
            (level.sd / moments(values)[2].sqrt() - 1.0).abs() < 0.2,
            "{}",
            level.sd
        );
    }
    assert!(fitted.all_finite());
    assert_eq!(fitted.variance_components.len(), 3);
}
