//! The measured fit against dense matrices of runs by runs.
//!
//! In: figures of `tests/check-scripts/measured_fit.py`, and closed forms. Out: nothing but passing tests.
//! This module never compares with a number that a fit gave before.

use super::testing::{amount, cells, certified, choice, digits, model, numbers, runs};
use crate::regression::algebra::{Matrix, dot};
use crate::regression::design::dense;
use crate::regression::measured::variances::Problem;
use crate::regression::measured::{Errors, Shape};
use crate::regression::{
    ErrorEffect, ErrorSize, FitData, FittedModel, Measurement, Method, OwnError, ResponseScale,
    ScatterOf, SharedError,
};

const PEAS: &str = include_str!("../../../tests/data/factorial_in_blocks.csv");
const INVENTED: &str = include_str!("../../../tests/data/measured_fit.csv");
const EXPECTED: &str = include_str!("../../../tests/data/measured_fit.json");

/// Digits that both ways of computing keep: dense inverses of matrices of condition 1e3 keep about 12.
const DIGITS: f64 = 10.0;
/// Degrees of freedom are ratios of differences of such inverses.
const DIGITS_OF_DEGREES: f64 = 9.0;

#[track_caller]
fn agree(name: &str, found: f64, least: f64) {
    let expected = certified(EXPECTED, name);
    let kept = digits(found, expected);
    assert!(
        kept >= least,
        "{name}: {found} is not {expected}: {kept:.1} digits"
    );
}

fn peas() -> FitData {
    let factor = |name: &str| choice(name, &["0", "1"], &cells(PEAS, name));
    let block = choice(
        "block",
        &["1", "2", "3", "4", "5", "6"],
        &cells(PEAS, "block"),
    );
    runs(
        numbers(PEAS, "yield"),
        vec![factor("N"), factor("P"), factor("K"), block],
    )
}

fn invented() -> FitData {
    let days = [
        "day1", "day2", "day3", "day4", "day5", "day6", "day7", "day8",
    ];
    runs(
        numbers(INVENTED, "yield"),
        vec![
            choice(
                "heating",
                &["muffle", "hob", "torch"],
                &cells(INVENTED, "heating"),
            ),
            amount("oxidant", numbers(INVENTED, "oxidant")),
            choice(
                "lot",
                &["A", "B", "C", "D", "E", "F"],
                &cells(INVENTED, "lot"),
            ),
            choice("day", &days, &cells(INVENTED, "day")),
        ],
    )
}

/// Assays of lots and titrants relative, one burette absolute, own errors.
fn measurement() -> Measurement {
    let shared = |name: &str, which: Vec<usize>, size: &dyn Fn(usize) -> ErrorSize| SharedError {
        name: name.into(),
        effects: which
            .into_iter()
            .map(|run| ErrorEffect {
                run,
                size: size(run),
            })
            .collect(),
    };
    let mut sources = Vec::new();
    for (of, by) in [("lot", "assay"), ("titrant", "strength")] {
        let (levels, sizes) = (cells(INVENTED, of), numbers(INVENTED, by));
        let mut names = levels.clone();
        names.sort_unstable();
        names.dedup();
        for name in names {
            let which = (0..levels.len())
                .filter(|&run| levels[run] == name)
                .collect();
            sources.push(shared(name, which, &|run| ErrorSize::Relative(sizes[run])));
        }
    }
    let burette = numbers(INVENTED, "burette");
    sources.push(shared("burette", (0..burette.len()).collect(), &|run| {
        ErrorSize::Absolute(burette[run])
    }));
    let own = numbers(INVENTED, "own_relative").into_iter();
    let own = own.zip(numbers(INVENTED, "own_absolute"));
    Measurement {
        shared: sources,
        own: own
            .map(|(relative, absolute)| OwnError { relative, absolute })
            .collect(),
    }
}

/// The standard errors of the terms for given variances, before they are widened for small samples.
fn unadjusted(fitted: &FittedModel) -> Vec<f64> {
    let machinery = &fitted.machinery;
    let Errors::Measured(errors) = &machinery.errors else {
        panic!("a measured fit")
    };
    let natural = machinery.coding.natural(&machinery.design);
    natural
        .iter()
        .map(|term| {
            let scaled = errors.sample.scaled_doubled(&dense(term, natural.len()));
            dot(&scaled, &scaled).sqrt()
        })
        .collect()
}

#[track_caller]
fn check(name: &str, fitted: &FittedModel) {
    assert_eq!(fitted.method, Method::Measured);
    for (position, component) in fitted
        .variance_components
        .iter()
        .filter(|component| component.of != ScatterOf::Measurement)
        .enumerate()
    {
        let variance = component.sd * component.sd;
        agree(&format!("{name} variance {position}"), variance, DIGITS);
    }
    for (term, unadjusted) in fitted.terms.iter().zip(unadjusted(fitted)) {
        let label = &term.name;
        agree(&format!("{name} value {label}"), term.value, DIGITS);
        agree(&format!("{name} unadjusted {label}"), unadjusted, DIGITS);
        agree(
            &format!("{name} error {label}"),
            term.standard_error.unwrap(),
            DIGITS,
        );
        agree(
            &format!("{name} df {label}"),
            term.degrees_of_freedom,
            DIGITS_OF_DEGREES,
        );
    }
    agree(
        &format!("{name} F all"),
        fitted.f.unwrap(),
        DIGITS_OF_DEGREES,
    );
    agree(
        &format!("{name} F df all"),
        fitted.f_denominator_df.unwrap(),
        DIGITS_OF_DEGREES,
    );
    agree(
        &format!("{name} p all"),
        fitted.f_p.unwrap(),
        DIGITS_OF_DEGREES - 1.0,
    );
    agree(&format!("{name} leverage 1"), fitted.leverages[0], DIGITS);
    agree(
        &format!("{name} leave one out"),
        fitted.leave_one_out_sd.unwrap(),
        DIGITS,
    );
}

fn check_heating(name: &str, fitted: &FittedModel) {
    let test = &fitted.tests[0];
    assert_eq!((test.name().as_str(), test.df), ("heating", 2));
    agree(
        &format!("{name} F heating"),
        test.f.unwrap(),
        DIGITS_OF_DEGREES,
    );
    agree(
        &format!("{name} F df heating"),
        test.denominator_df.unwrap(),
        DIGITS_OF_DEGREES,
    );
    agree(
        &format!("{name} p heating"),
        test.p.unwrap(),
        DIGITS_OF_DEGREES - 1.0,
    );
}

#[test]
fn a_balanced_factorial_in_random_blocks_is_that_of_dense_matrices() {
    let fitted = model(&["N", "P", "K"])
        .with_joint(&["N", "P"])
        .with_joint(&["N", "K"])
        .with_joint(&["P", "K"])
        .with_block("block")
        .measured()
        .fitted(&peas());
    check("peas", &fitted);
    // Yates 1937: within blocks the residual mean square has 12 degrees of freedom, printed as 15.44;
    // the mean square of blocks is 68.66, so that their variance is (68.66 − 15.44)/4.
    let run_to_run = fitted.variance_components[0].sd.powi(2);
    let blocks = fitted.variance_components[1].sd.powi(2);
    assert!((run_to_run - 15.44).abs() < 0.005 && (blocks - 13.305).abs() < 0.005);
}

#[test]
fn unequal_random_lots_and_days_are_those_of_dense_matrices() {
    let lots = model(&["heating", "oxidant"]).with_block("lot").measured();
    let both = lots.clone().with_block("day").fitted(&invented());
    let lots = lots.fitted(&invented());
    check("lots", &lots);
    check_heating("lots", &lots);
    check("lots and days", &both);
    check_heating("lots and days", &both);
}

#[test]
fn known_errors_at_fitted_values_are_those_of_dense_matrices() {
    let mut data = invented();
    data.measurement = measurement();
    let alone = model(&["heating", "oxidant"]).measured();
    let with_lots = alone.clone().with_block("lot").fitted(&data);
    let alone = alone.fitted(&data);
    for (name, fitted) in [("measured", &alone), ("measured lots", &with_lots)] {
        check(name, fitted);
        check_heating(name, fitted);
        let known = fitted.variance_components.last().unwrap();
        assert_eq!(known.of, ScatterOf::Measurement);
        agree(&format!("{name} measurement"), known.sd, DIGITS);
        assert!(fitted.all_finite());
    }
}

#[test]
fn a_known_covariance_gives_generalised_least_squares() {
    let mut data = invented();
    data.measurement = measurement();
    let count = data.runs.len();
    let shape = Shape::new(
        &data.measurement,
        count,
        &[&data.factors[2]],
        ResponseScale::Plain,
    );
    let heating = data.factors[0].codes();
    let oxidant = data.factors[1].amounts().unwrap();
    let mut columns = Matrix::zeros(count, 4);
    for run in 0..count {
        columns.set(run, 0, 1.0);
        if heating[run] > 0 {
            columns.set(run, heating[run], 1.0);
        }
        columns.set(run, 3, oxidant[run]);
    }
    let problem = Problem {
        columns,
        rank: 4,
        response: data.response.clone(),
        shape: &shape,
    };
    let at = shape.at(&vec![0.6; count]);
    let found = problem.evaluate(&at, &[2e-4, 3e-4]).unwrap();
    let labels = ["constant", "heating: hob", "heating: torch", "oxidant"];
    for (position, label) in labels.iter().enumerate() {
        agree(
            &format!("known value {label}"),
            found.coefficients[position],
            DIGITS,
        );
        let mut unit = vec![0.0; 4];
        unit[position] = 1.0;
        let scaled = crate::regression::algebra::solve_transposed(&found.upper, &unit);
        agree(
            &format!("known error {label}"),
            dot(&scaled, &scaled).sqrt(),
            DIGITS,
        );
    }
}

#[test]
fn standard_errors_of_nearly_singular_powers_keep_their_digits() {
    // Powers to the ninth without a constant, so that nothing can be centred; compared with exact fractions.
    let x = (0..40).map(|run| 3.0 + f64::from(run) / 32.0).collect();
    let y = (0..40).map(|run| f64::from(run * 7 % 11) / 8.0 + f64::from(run));
    let data = runs(y.collect(), vec![amount("x", x)]);
    let fitted = model(&["x"])
        .without_constant()
        .with_curve("x", 9)
        .fitted(&data);
    assert_eq!(fitted.terms.len(), 9);
    for (position, term) in fitted.terms.iter().enumerate() {
        agree(&format!("powers value {}", position + 1), term.value, 13.0);
        let error = term.standard_error.unwrap();
        agree(&format!("powers error {}", position + 1), error, 13.0);
    }
}

#[test]
fn balanced_lots_have_the_variances_of_their_mean_squares() {
    // Searle, Casella and McCulloch, Variance Components, 1992, 4.2: with a lots of n runs the restricted likelihood gives
    // the mean square within, and (mean square between − within)/n, when that is not negative.
    let response = vec![
        61.2, 60.4, 62.1, 60.9, 64.8, 65.9, 64.1, 65.3, 58.8, 59.9, 60.2, 58.1, 62.7, 61.9, 63.3,
        64.0,
    ];
    let (lots, of_lot) = (4, 4);
    let of_runs: Vec<&str> = (0..16)
        .map(|run| ["A", "B", "C", "D"][run / of_lot])
        .collect();
    let means: Vec<f64> = response
        .chunks(of_lot)
        .map(|lot| lot.iter().sum::<f64>() / 4.0)
        .collect();
    let centre = means.iter().sum::<f64>() / lots as f64;
    let between = 4.0
        * means
            .iter()
            .map(|mean| (mean - centre).powi(2))
            .sum::<f64>()
        / 3.0;
    let squares = response.chunks(of_lot).zip(&means);
    let within: f64 = squares
        .map(|(lot, mean)| lot.iter().map(|y| (y - mean).powi(2)).sum::<f64>())
        .sum::<f64>()
        / 12.0;
    let data = runs(
        response,
        vec![choice("lot", &["A", "B", "C", "D"], &of_runs)],
    );
    let fitted = model(&[]).with_block("lot").measured().fitted(&data);
    let [run_to_run, lot] = fitted.variance_components.as_slice() else {
        panic!("two components")
    };
    assert!(digits(run_to_run.sd.powi(2), within) > 12.0);
    assert!(digits(lot.sd.powi(2), (between - within) / 4.0) > 12.0);
    // The mean is known as well as that of four lots, with 3 degrees of freedom.
    let constant = fitted.written("constant").unwrap();
    assert!(digits(constant.value, centre) > 13.0);
    assert!(digits(constant.standard_error.unwrap(), (between / 16.0).sqrt()) > 12.0);
    assert!(digits(constant.degrees_of_freedom, 3.0) > 11.0);
}
