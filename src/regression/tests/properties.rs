//! What must hold for any data.
//!
//! In: small invented logs. Out: nothing but passing tests.
//! This module never compares with a number that a fit gave before.

use super::testing::{amount, choice, model, runs};
use crate::caveat::Doubt;
use crate::error::ErrorKind;
use crate::regression::{
    Constant, FactorValues, FitData, FittedModel, ReferenceMix, Refusal, Settings,
};

/// Rounding of a fit with refinement, relative.
const ROUNDING: f64 = 1e-12;

#[track_caller]
fn close(found: f64, expected: f64) {
    let size = expected.abs().max(1e-3);
    assert!(
        (found - expected).abs() <= ROUNDING * size,
        "{found} is not {expected}"
    );
}

/// A campaign of twelve runs with a choice and two amounts.
fn log() -> FitData {
    let heating = [
        "muffle", "hob", "muffle", "hob", "torch", "muffle", "hob", "torch", "torch", "muffle",
        "hob", "torch",
    ];
    runs(
        vec![
            0.71, 0.66, 0.74, 0.69, 0.62, 0.75, 0.71, 0.64, 0.66, 0.77, 0.70, 0.69,
        ],
        vec![
            choice("heating", &["muffle", "hob", "torch"], &heating),
            amount(
                "oxidant",
                vec![
                    20.0, 20.0, 45.0, 50.0, 30.0, 80.0, 85.0, 60.0, 90.0, 100.0, 70.0, 110.0,
                ],
            ),
            amount(
                "ratio",
                vec![0.0, 0.2, 0.4, 0.0, 0.2, 0.4, 0.3, 0.1, 0.0, 0.5, 0.6, 0.2],
            ),
        ],
    )
}

fn reordered(data: &FitData) -> FitData {
    let order: Vec<usize> = (0..data.runs.len())
        .map(|run| (run * 5 + 3) % data.runs.len())
        .collect();
    let mut other = data.clone();
    other.runs = order.iter().map(|&run| data.runs[run].clone()).collect();
    other.response = order.iter().map(|&run| data.response[run]).collect();
    for (to, from) in other.factors.iter_mut().zip(&data.factors) {
        match (&mut to.values, &from.values) {
            (FactorValues::Amount(to), FactorValues::Amount(from)) => {
                *to = order.iter().map(|&run| from[run]).collect();
            }
            (FactorValues::Choice { codes: to, .. }, FactorValues::Choice { codes: from, .. }) => {
                *to = order.iter().map(|&run| from[run]).collect();
            }
            _ => unreachable!("the factors are the same"),
        }
    }
    other
}

fn same_terms(one: &FittedModel, other: &FittedModel) {
    assert_eq!(one.terms.len(), other.terms.len());
    for (a, b) in one.terms.iter().zip(&other.terms) {
        assert_eq!(a.name, b.name);
        close(a.value, b.value);
        close(a.standard_error.unwrap(), b.standard_error.unwrap());
    }
}

#[test]
fn row_order_does_not_matter() {
    let params = model(&["heating", "oxidant", "ratio"])
        .with_curve("oxidant", 2)
        .with_joint(&["heating", "ratio"]);
    let data = log();
    same_terms(
        &params.clone().fitted(&data),
        &params.fitted(&reordered(&data)),
    );
}

#[test]
fn a_change_of_unit_scales_value_and_error() {
    let params = model(&["heating", "oxidant"]).with_curve("oxidant", 2);
    let data = log();
    let mut per_cent = data.clone();
    per_cent.response.iter_mut().for_each(|y| *y *= 100.0);
    let mut fraction = data.clone();
    let FactorValues::Amount(values) = &mut fraction.factors[1].values else {
        panic!("an amount")
    };
    values.iter_mut().for_each(|x| *x /= 100.0);
    let plain = params.clone().fitted(&data);
    let scaled = params.clone().fitted(&per_cent);
    let other_unit = params.fitted(&fraction);
    for (a, b) in plain.terms.iter().zip(&scaled.terms) {
        close(b.value, 100.0 * a.value);
        close(b.standard_error.unwrap(), 100.0 * a.standard_error.unwrap());
        close(b.p.unwrap(), a.p.unwrap());
    }
    let (a, b) = (
        plain.written("oxidant to the 2").unwrap(),
        other_unit.written("oxidant to the 2").unwrap(),
    );
    close(b.value, 1e4 * a.value);
    close(b.standard_error.unwrap(), 1e4 * a.standard_error.unwrap());
}

#[test]
fn more_confidence_makes_a_wider_interval() {
    let wide = |confidence: f64| {
        let mut params = model(&["heating", "oxidant"]);
        params.confidence = confidence;
        let interval = params
            .fitted(&log())
            .written("oxidant")
            .unwrap()
            .interval
            .unwrap();
        interval.high - interval.low
    };
    assert!(wide(0.8) < wide(0.95) && wide(0.95) < wide(0.99));
}

#[test]
fn adjusted_means_of_one_choice_are_the_means_of_its_runs() {
    // With nothing else in the model the mean of a level is the mean of its runs, and its error s/√n.
    let data = log();
    let fitted = model(&["heating"]).fitted(&data);
    let means = &fitted.adjusted_means[0];
    let muffle = [0.71, 0.74, 0.75, 0.77];
    let found = means.levels[0].mean.as_ref().unwrap();
    close(found.value, muffle.iter().sum::<f64>() / 4.0);
    close(
        found.standard_error.unwrap(),
        fitted.residual_sd.unwrap() / 2.0,
    );
    assert_eq!(means.mix, ReferenceMix::default());
}

#[test]
fn the_difference_of_levels_is_the_term() {
    let fitted = model(&["heating", "oxidant"]).fitted(&log());
    let term = fitted.written("heating: hob").unwrap();
    let found = fitted.level_difference("heating", "hob", "muffle").unwrap();
    close(found.value, term.value);
    close(found.standard_error.unwrap(), term.standard_error.unwrap());
    let slope = fitted.written("oxidant").unwrap();
    let at = |value: f64| Settings::default().amount("oxidant", value);
    let ten = fitted.difference(&at(30.0), &at(20.0)).unwrap();
    close(ten.value, 10.0 * slope.value);
    close(
        ten.standard_error.unwrap(),
        10.0 * slope.standard_error.unwrap(),
    );
    close(ten.p.unwrap(), slope.p.unwrap());
}

#[test]
fn the_error_of_a_difference_comes_from_both_variances_and_the_covariance() {
    let fitted = model(&["heating", "oxidant"]).fitted(&log());
    let (a, b) = (
        Settings::default().level("heating", "hob"),
        Settings::default().amount("oxidant", 90.0),
    );
    let (one, two) = (fitted.estimate(&a).unwrap(), fitted.estimate(&b).unwrap());
    let difference = fitted.difference(&a, &b).unwrap();
    let covariance = fitted.covariance(&a, &b).unwrap().unwrap();
    let variance = one.standard_error.unwrap().powi(2) + two.standard_error.unwrap().powi(2)
        - 2.0 * covariance;
    close(difference.standard_error.unwrap(), variance.sqrt());
    close(difference.value, one.value - two.value);
}

#[test]
fn the_estimate_at_the_settings_of_a_run_is_its_fitted_value() {
    let fitted = model(&["heating", "oxidant", "ratio"])
        .with_curve("oxidant", 2)
        .with_joint(&["heating", "ratio"])
        .fitted(&log());
    let settings = Settings::default()
        .level("heating", "torch")
        .amount("oxidant", 30.0)
        .amount("ratio", 0.2);
    let found = fitted.estimate(&settings).unwrap();
    close(found.value, fitted.fitted[4]);
    // The variance of a fitted value is its leverage times the residual variance.
    close(
        found.standard_error.unwrap(),
        fitted.residual_sd.unwrap() * fitted.leverages[4].sqrt(),
    );
    let new = fitted.new_run_interval(&settings).unwrap();
    close(
        new.standard_deviation.unwrap(),
        fitted.residual_sd.unwrap() * (1.0 + fitted.leverages[4]).sqrt(),
    );
}

#[test]
fn leaving_one_run_out_gives_the_leave_one_out_error() {
    let data = log();
    let params = model(&["heating", "oxidant"]);
    let fitted = params.clone().fitted(&data);
    let mut squares = 0.0;
    for left_out in 0..data.runs.len() {
        let mut fewer = data.clone();
        fewer.runs.remove(left_out);
        fewer.response.remove(left_out);
        for factor in &mut fewer.factors {
            match &mut factor.values {
                FactorValues::Amount(values) => {
                    values.remove(left_out);
                }
                FactorValues::Choice { codes, .. } => {
                    codes.remove(left_out);
                }
            }
        }
        let other = params.clone().fitted(&fewer);
        let heating = data.factors[0].levels()[data.factors[0].codes()[left_out]].clone();
        let oxidant = data.factors[1].amounts().unwrap()[left_out];
        let at = Settings::default()
            .level("heating", heating)
            .amount("oxidant", oxidant);
        squares += (data.response[left_out] - other.estimate(&at).unwrap().value).powi(2);
    }
    close(
        fitted.leave_one_out_sd.unwrap(),
        (squares / data.runs.len() as f64).sqrt(),
    );
}

#[test]
fn a_single_run_has_no_standard_error() {
    let fitted = model(&[]).fitted(&runs(vec![0.7], vec![]));
    let term = &fitted.terms[0];
    assert_eq!(
        (term.value, term.standard_error, term.interval, term.p),
        (0.7, None, None, None)
    );
    assert_eq!(
        (
            fitted.residual_sd,
            fitted.leave_one_out_sd,
            fitted.f,
            fitted.lag1
        ),
        (None, None, None, None)
    );
}

#[test]
fn a_constant_response_is_a_caveat_and_no_fault() {
    let mut data = log();
    data.response = vec![0.7; 12];
    let fitted = model(&["heating", "oxidant"]).fitted(&data);
    assert!(
        fitted
            .caveats
            .iter()
            .any(|caveat| matches!(caveat.doubt, Doubt::ConstantResponse { .. }))
    );
    assert_eq!(fitted.r_squared, None);
    assert_eq!(fitted.f, None);
    assert!(
        fitted
            .terms
            .iter()
            .all(|term| term.value.is_finite() && term.p.is_none())
    );
}

#[test]
fn without_an_effect_the_constant_is_the_mean() {
    let data = log();
    let fitted = model(&[]).fitted(&data);
    close(
        fitted.written("constant").unwrap().value,
        data.response.iter().sum::<f64>() / 12.0,
    );
    assert_eq!(fitted.model_df, 0);
    assert_eq!((fitted.f, fitted.f_p), (None, None));
    close(fitted.r_squared.unwrap() + 1.0, 1.0);
}

#[test]
fn every_fault_is_reported_at_once() {
    let mut params = model(&["heating", "heat"])
        .with_curve("heating", 2)
        .with_joint(&["oxidant", "oxidant"]);
    params = params.with_block("ratio");
    params.confidence = 95.0;
    let faults = params.check(&log()).unwrap_err();
    let text = faults.to_string();
    for part in [
        "`heat`",
        "a choice has no powers",
        "twice",
        "an amount cannot be a block",
        "confidence",
    ] {
        assert!(text.contains(part), "{part} is missing in: {text}");
    }
    assert!(faults.errors().len() >= 5);
}

#[test]
fn more_terms_than_runs_is_a_fault_with_a_hint() {
    let params = model(&["oxidant"]).with_curve("oxidant", 12);
    let faults = params.check(&log()).unwrap_err();
    assert_eq!(faults.errors()[0].kind(), ErrorKind::Model);
    assert!(faults.errors()[0].advice().is_some());
    let mut none = model(&[]);
    none.constant = Constant::Absent;
    assert_eq!(
        none.check(&log()).unwrap_err().errors()[0].kind(),
        ErrorKind::Model
    );
    assert_eq!(
        model(&[])
            .check(&runs(vec![], vec![]))
            .unwrap_err()
            .errors()[0]
            .kind(),
        ErrorKind::Empty
    );
}

#[test]
fn unknown_settings_are_refused_with_their_reason() {
    let fitted = model(&["heating", "oxidant"]).fitted(&log());
    let refuse = |settings: Settings| fitted.estimate(&settings).unwrap_err();
    assert_eq!(
        refuse(Settings::default().amount("ratio", 0.1)),
        Refusal::UnknownFactor("ratio".into())
    );
    assert_eq!(
        refuse(Settings::default().amount("heating", 0.1)),
        Refusal::NotAnAmount("heating".into())
    );
    assert_eq!(
        refuse(Settings::default().level("oxidant", "much")),
        Refusal::NotAChoice("oxidant".into())
    );
    assert_eq!(
        refuse(Settings::default().amount("oxidant", f64::NAN)),
        Refusal::NotANumber("oxidant".into())
    );
    let oven = refuse(Settings::default().level("heating", "oven"));
    assert!(
        matches!(&oven, Refusal::UnknownLevel { factor, level, .. } if factor == "heating" && level == "oven"),
        "{oven:?}"
    );
}

#[test]
fn numbers_at_the_ends_of_the_range_give_a_fault_or_finite_figures() {
    let params = model(&["heating", "oxidant"]).with_curve("oxidant", 2);
    let (mut faults, mut fits) = (0, 0);
    for of_response in [1e-310, 1e-200, 1e-100, 1e100, 1e160, 1e300] {
        for of_amount in [1e-310, 1e-200, 1e-100, 1.0, 1e100, 1e160, 1e300] {
            let mut data = log();
            data.response.iter_mut().for_each(|y| *y *= of_response);
            let FactorValues::Amount(values) = &mut data.factors[1].values else {
                panic!("an amount")
            };
            values.iter_mut().for_each(|x| *x *= of_amount);
            match params.clone().check(&data).unwrap().fit(&data) {
                Err(_) => faults += 1,
                Ok(fitted) => {
                    fits += 1;
                    assert!(fitted.all_finite(), "{of_response} {of_amount}");
                    // An estimate is refused or finite, as all figures are.
                    let asked = fitted.estimate(&Settings::default().amount("oxidant", 1e300));
                    assert!(asked.is_err() || asked.unwrap().value.is_finite());
                }
            }
        }
    }
    assert!(faults > 0 && fits > 0);
}
