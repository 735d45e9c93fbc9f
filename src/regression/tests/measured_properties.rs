//! What must hold for any data when the measurement is known.
//!
//! In: small invented logs, and the same logs written in another way. Out: nothing but passing tests.
//! This module never compares with a number that a fit gave before.

use super::testing::{digits, measured_log, model, relative};
use crate::regression::{
    FactorValues, FitData, FittedModel, Measurement, Method, ModelParams, OwnError,
};

/// Digits that a fit with refinement keeps.
const DIGITS: f64 = 11.0;

fn asked() -> ModelParams {
    model(&["heating", "oxidant"]).with_block("lot").measured()
}

/// The same runs in another order.
fn reordered(data: &FitData) -> FitData {
    let count = data.runs.len();
    let order: Vec<usize> = (0..count).map(|run| (run * 5 + 3) % count).collect();
    let place = |run: usize| order.iter().position(|&old| old == run).unwrap();
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
            _ => panic!("the factors are the same"),
        }
    }
    for source in &mut other.measurement.shared {
        source
            .effects
            .iter_mut()
            .for_each(|effect| effect.run = place(effect.run));
    }
    other
}

#[track_caller]
fn same(one: &FittedModel, other: &FittedModel, response_unit: f64) {
    for (a, b) in one.terms.iter().zip(&other.terms) {
        let scaled = [
            (a.value * response_unit, b.value),
            (
                a.standard_error.unwrap() * response_unit,
                b.standard_error.unwrap(),
            ),
            (a.degrees_of_freedom, b.degrees_of_freedom),
            (a.p.unwrap(), b.p.unwrap()),
        ];
        for (expected, found) in scaled {
            assert!(
                digits(found, expected) > DIGITS - 2.0,
                "{}: {found} {expected}",
                a.name
            );
        }
    }
    for (a, b) in one
        .variance_components
        .iter()
        .zip(&other.variance_components)
    {
        assert!(
            digits(b.sd, a.sd * response_unit) > DIGITS - 2.0,
            "{a:?} {b:?}"
        );
    }
}

#[test]
fn row_order_does_not_matter_for_a_measured_fit() {
    let data = measured_log();
    same(
        &asked().fitted(&data),
        &asked().fitted(&reordered(&data)),
        1.0,
    );
}

#[test]
fn a_change_of_unit_scales_value_and_error_of_a_measured_fit() {
    let data = measured_log();
    let mut per_cent = data.clone();
    per_cent.response.iter_mut().for_each(|y| *y *= 100.0);
    per_cent
        .measurement
        .own
        .iter_mut()
        .for_each(|own| own.absolute *= 100.0);
    same(&asked().fitted(&data), &asked().fitted(&per_cent), 100.0);
}

#[test]
fn more_confidence_makes_a_wider_interval_of_a_measured_fit() {
    let wide = |confidence: f64| {
        let mut params = asked();
        params.confidence = confidence;
        let fitted = params.fitted(&measured_log());
        let interval = fitted.written("oxidant").unwrap().interval.unwrap();
        interval.high - interval.low
    };
    assert!(wide(0.8) < wide(0.95) && wide(0.95) < wide(0.99));
}

#[test]
fn a_measured_fit_of_which_nothing_is_known_is_the_plain_one() {
    let mut data = measured_log();
    data.measurement = Measurement::default();
    let mut zero = data.clone();
    zero.measurement.own = vec![OwnError::default(); 16];
    zero.measurement.shared = vec![relative("nothing", 0.0, 0..16)];
    let plain = model(&["heating", "oxidant"]).fitted(&data);
    for data in [data, zero] {
        let measured = model(&["heating", "oxidant"]).measured().fitted(&data);
        assert_eq!(measured.method, Method::Measured);
        assert_eq!(measured.method.to_string(), "measured");
        assert_eq!(measured.terms, plain.terms);
        assert_eq!(measured.tests, plain.tests);
        assert_eq!(measured.variance_components, plain.variance_components);
        assert_eq!(measured.leave_one_out_sd, plain.leave_one_out_sd);
        assert!(measured.caveats.is_empty(), "{:?}", measured.caveats);
    }
}

#[test]
fn equal_independent_errors_change_nothing_but_where_the_scatter_comes_from() {
    // With U = u² I the sum σ² + u² takes the place of the residual mean square.
    let mut data = measured_log();
    data.measurement = Measurement::default();
    let params = model(&["heating", "oxidant"]).with_curve("oxidant", 2);
    let plain = params.clone().fitted(&data);
    let known = 0.004;
    data.measurement.own = vec![
        OwnError {
            relative: 0.0,
            absolute: known,
        };
        16
    ];
    let measured = params.measured().fitted(&data);
    for (a, b) in plain.terms.iter().zip(&measured.terms) {
        // The coefficients themselves keep 12 digits and more.
        assert!(digits(b.value, a.value) > 12.0, "{} {}", b.value, a.value);
        let (error, expected) = (b.standard_error.unwrap(), a.standard_error.unwrap());
        assert!(digits(error, expected) > 12.0, "{error} {expected}");
        // The degrees of freedom are more: 2 (σ² + u²)² / u²(σ²), which is that of the sum again.
        assert!(digits(b.degrees_of_freedom, plain.residual_df as f64) > DIGITS);
        assert!(digits(b.p.unwrap(), a.p.unwrap()) > DIGITS - 1.0);
    }
    for (a, b) in plain.tests.iter().zip(&measured.tests) {
        assert!(digits(b.ss, a.ss) > DIGITS && digits(b.f.unwrap(), a.f.unwrap()) > DIGITS);
    }
    for (a, b) in plain.leverages.iter().zip(&measured.leverages) {
        assert!(digits(*b, *a) > DIGITS);
    }
    let error = (plain.leave_one_out_sd, measured.leave_one_out_sd);
    assert!(digits(error.1.unwrap(), error.0.unwrap()) > DIGITS);
    let squares = measured
        .variance_components
        .iter()
        .map(|part| part.sd * part.sd);
    assert!(digits(squares.sum::<f64>(), plain.residual_sd.unwrap().powi(2)) > DIGITS);
}

#[test]
fn a_new_run_scatters_by_all_parts() {
    let fitted = asked().fitted(&measured_log());
    let new = fitted.new_run_interval(&Default::default()).unwrap();
    let mean = fitted.estimate(&Default::default()).unwrap();
    let scatter = new.scatter.unwrap();
    let sd = |position: usize| fitted.variance_components[position].sd;
    assert!(digits(scatter.run_to_run, sd(0).powi(2)) > DIGITS);
    assert!(digits(scatter.between_blocks, sd(1).powi(2)) > DIGITS);
    // 0.5 % of the value and 0.003 for each run; of 16 runs four each have the assays, all the titrant, two the residue.
    let value = mean.value;
    let own = (0.005 * value).powi(2) + 0.003_f64.powi(2);
    let shared = 4.0 * 0.011_f64.powi(2) + 4.0 * 0.015_f64.powi(2) + 16.0 * 0.003_f64.powi(2);
    let shared = (shared + 2.0 * 0.004_f64.powi(2)) / 16.0 * value * value;
    assert!(digits(scatter.own_measurement, own) > DIGITS);
    assert!(digits(scatter.shared_measurement, shared) > DIGITS);
    let variance = scatter.total() + mean.standard_error.unwrap().powi(2);
    assert!(digits(new.standard_deviation.unwrap(), variance.sqrt()) > DIGITS);
    assert!(new.interval.unwrap().low < mean.interval.unwrap().low);
}
