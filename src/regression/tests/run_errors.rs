//! Draws of the errors of runs against the covariance that they were stated with.
//!
//! In: small logs with a stated error that some runs share. Out: tests.
//! This module never draws an unseeded number.

use super::testing::{amount, choice, model, runs};
use crate::regression::{
    ErrorEffect, ErrorSize, FitData, Measurement, OwnError, RunErrors, ScatterOf, SharedError,
};
use crate::seeded::Seeded;

const SEED: u64 = 31_415;

/// Draws of each log.
const DRAWS: u64 = 20_000;

/// Standard errors that a mean over all draws may be off.
const STANDARD_ERRORS: f64 = 4.5;

/// A few roundings of the values themselves.
const ROUNDING: f64 = 1e-12;

/// Eight runs, the first three of which share an error of 1.5; the first has one of 2 for itself.
fn with_shared_error() -> FitData {
    let effects = (0..3).map(|run| ErrorEffect {
        run,
        size: ErrorSize::Absolute(1.5),
    });
    let mut own = vec![OwnError::default(); 8];
    own[0].absolute = 2.0;
    FitData {
        measurement: Measurement {
            shared: vec![SharedError {
                name: "assay of lot A".into(),
                effects: effects.collect(),
            }],
            own,
        },
        ..runs(vec![4.0, 9.0, 6.5, 5.0, 8.0, 2.0, 7.0, 3.5], Vec::new())
    }
}

#[test]
fn draws_have_the_covariance_of_what_is_stated_and_of_what_the_fit_estimated() {
    let model = model(&[]).measured().fitted(&with_shared_error());
    let run_to_run = model.variance_components.iter();
    let run_to_run = run_to_run.filter(|part| part.of == ScatterOf::RunToRun);
    let run_to_run: f64 = run_to_run.map(|part| part.sd * part.sd).sum();
    assert!(run_to_run > 0.0);
    let errors = model.run_errors(&[]).expect("seven degrees of freedom");
    assert!(!errors.are_independent_and_alike());
    let mut products = [[0.0; 4]; 4];
    for draw in 0..DRAWS {
        let drawn = errors.draw(&mut Seeded::stream(SEED, draw));
        for (one, row) in products.iter_mut().enumerate() {
            for (other, sum) in row.iter_mut().enumerate() {
                *sum += drawn[one] * drawn[other] / DRAWS as f64;
            }
        }
    }
    let variances = [2.25 + 4.0, 2.25, 2.25, 0.0].map(|known| known + run_to_run);
    for (one, row) in products.iter().enumerate() {
        for (other, found) in row.iter().enumerate() {
            let expected = match (one, other) {
                _ if one == other => variances[one],
                (3, _) | (_, 3) => 0.0,
                _ => 2.25,
            };
            // Of normal errors the product of two has this variance.
            let variance = variances[one] * variances[other] + expected * expected;
            let allowed = STANDARD_ERRORS * (variance / DRAWS as f64).sqrt();
            assert!(
                (found - expected).abs() <= allowed,
                "{one}, {other}: {found} for {expected}"
            );
        }
    }
}

#[test]
fn what_is_taken_out_of_the_runs_is_taken_out_of_their_errors() {
    let factors = vec![
        choice("route", &["a", "b"], &["a", "a", "b", "b", "a", "b", "b"]),
        amount("x", vec![0.0, 1.0, 2.0, 0.0, 1.5, 3.0, 2.2]),
    ];
    let data = runs(vec![1.0, 2.4, 3.0, 5.0, 6.0, 8.8, 4.1], factors);
    let model_of = |data: &FitData| model(&["route", "x"]).fitted(data);
    let errors = model_of(&data).run_errors(&[]).expect("four degrees left");
    let draw = |errors: &RunErrors| errors.draw(&mut Seeded::stream(SEED, 0));
    let effects = |response: Vec<f64>| {
        let again = model_of(&FitData {
            response,
            ..data.clone()
        });
        ["route: b", "x"].map(|name| {
            let mut terms = again.terms.iter();
            let term = terms.find(|term| term.name.to_string() == name);
            term.expect("the term can be told").value
        })
    };
    assert!(effects(draw(&errors)).iter().all(|v| v.abs() < ROUNDING));
    let [route, x] = effects(draw(
        &model_of(&data)
            .run_errors(&["x"])
            .expect("four degrees left"),
    ));
    assert!(route.abs() < ROUNDING && x.abs() > 1e-3, "{route}, {x}");
}

#[test]
fn runs_of_a_plain_log_have_independent_errors_until_groups_share_one() {
    let data = runs(vec![4.0, 9.0, 6.5, 5.0], Vec::new());
    let errors = model(&[]).fitted(&data).run_errors(&[]);
    let errors = errors.expect("three degrees of freedom");
    assert!(errors.are_independent_and_alike());
    let grouped = errors.with_groups(&[vec![0, 1], vec![2, 3]], 100.0);
    assert!(!grouped.are_independent_and_alike());
    let drawn = grouped.draw(&mut Seeded::stream(SEED, 1));
    // Neighbours of a group lie together, whatever the groups do.
    assert!((drawn[0] - drawn[1]).abs() < 20.0 && (drawn[2] - drawn[3]).abs() < 20.0);
    let perfect = runs(vec![4.0], Vec::new());
    assert!(model(&[]).fitted(&perfect).run_errors(&[]).is_none());
}
