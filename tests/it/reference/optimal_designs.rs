//! Are runs planned from nothing as good as the standard designs?
//!
//! In: `optimal_design.json`: determinants of two-level designs, composites, Box-Behnken, and the best of all designs of a
//! few runs by exhaustive search. Out: `det(XᵀX)^(1/p)` of what is planned, against that of the reference.
//! This module never takes a determinant from the library's own report of it: it works out `XᵀX` from the planned settings.

use residuum::regression::{
    BlocksAs, Constant, Criterion, Curve, Method, ModelParams, PlanFactor, Planner, ResponseScale,
    Setting, Settings, Space,
};

use crate::support::{data_json, number};

/// Share of the reference that a search which is not exhaustive has to reach, as the reference itself says.
const REACHED: f64 = 0.999;

/// Rounding of a determinant of order ten.
const ROUNDING: f64 = 1e-9;

/// Which terms a design is for.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Terms {
    /// The constant and each amount.
    Main,
    /// With all products of two and all squares.
    Quadratic,
}

fn names(factors: usize) -> Vec<String> {
    (1..=factors).map(|factor| format!("x{factor}")).collect()
}

fn params(factors: usize, terms: Terms) -> ModelParams {
    let effects = names(factors);
    let mut joint = Vec::new();
    let mut curved = Vec::new();
    if terms == Terms::Quadratic {
        for (place, one) in effects.iter().enumerate() {
            joint.extend(
                effects[place + 1..]
                    .iter()
                    .map(|other| vec![one.clone(), other.clone()]),
            );
            curved.push(Curve {
                factor: one.clone(),
                power: 2,
            });
        }
    }
    ModelParams {
        response: "y".into(),
        unit: "1".into(),
        effects,
        joint,
        curved,
        blocks: Vec::new(),
        constant: Constant::Present,
        confidence: 0.95,
        method: Method::Plain,
        scale: ResponseScale::Plain,
    }
}

/// The determinant of `XᵀX` to the power of one over the number of terms, from settings between −1 and 1.
fn root_of_determinant(runs: &[Settings], factors: usize, terms: Terms) -> f64 {
    let rows: Vec<Vec<f64>> = runs
        .iter()
        .map(|run| {
            let x: Vec<f64> = names(factors)
                .iter()
                .map(|name| match run.get(name) {
                    Some(Setting::Amount(value)) => *value,
                    other => panic!("{name} is {other:?}"),
                })
                .collect();
            let mut row = vec![1.0];
            row.extend(&x);
            if terms == Terms::Quadratic {
                for (place, one) in x.iter().enumerate() {
                    row.extend(x[place..].iter().map(|other| one * other));
                }
            }
            row
        })
        .collect();
    let size = rows[0].len();
    let mut square = vec![vec![0.0; size]; size];
    for row in &rows {
        for (line, one) in square.iter_mut().zip(row) {
            for (value, other) in line.iter_mut().zip(row) {
                *value += one * other;
            }
        }
    }
    determinant(square).powf(1.0 / size as f64)
}

/// By elimination with the largest pivot of each column.
fn determinant(mut square: Vec<Vec<f64>>) -> f64 {
    let size = square.len();
    let mut product = 1.0;
    for step in 0..size {
        let largest = (step..size)
            .max_by(|&a, &b| square[a][step].abs().total_cmp(&square[b][step].abs()))
            .expect("there is a row");
        if largest != step {
            square.swap(step, largest);
            product = -product;
        }
        let pivot = square[step].clone();
        product *= pivot[step];
        for row in &mut square[step + 1..] {
            let share = row[step] / pivot[step];
            for (value, by) in row.iter_mut().zip(&pivot) {
                *value -= share * by;
            }
        }
    }
    product
}

/// Plans from nothing and compares with the determinant of the reference.
fn check(what: &str, factors: usize, terms: Terms, runs: usize, reference: f64) {
    let values = if terms == Terms::Main { 2 } else { 3 };
    let space = Space {
        factors: names(factors)
            .into_iter()
            .map(|name| PlanFactor::amount(name, -1.0, 1.0, values))
            .collect(),
        never: Vec::new(),
    };
    let planner = Planner::of_nothing(&params(factors, terms), space).expect("a planner");
    let planned = planner
        .plan(runs, &[], &Criterion::Everything, BlocksAs::Random, 1)
        .expect("a plan");
    assert_eq!(planned.runs.len(), runs);
    let found = root_of_determinant(&planned.runs, factors, terms);
    let size = planner.terms().len();
    let expected = reference.powf(1.0 / size as f64);
    println!("{what}: {:.6} of the reference", found / expected);
    assert!(found >= REACHED * expected, "{what}: {found} of {expected}");
    let reported = planned.efficiency.expect("all terms are known") * runs as f64;
    assert!(
        (reported / found - 1.0).abs() < ROUNDING,
        "{what}: {reported} {found}"
    );
}

fn expected() -> serde_json::Value {
    data_json("optimal_design.json")["expected"].clone()
}

#[test]
fn two_level_designs_reach_the_bound_of_hadamard() {
    // |XᵀX| = N^p for orthogonal columns.
    for factors in 2..=5 {
        let key = format!("2^{factors} main effects det(XtX)");
        let what = format!("2^{factors}");
        check(
            &what,
            factors,
            Terms::Main,
            1 << factors,
            number(&expected(), &key),
        );
    }
}

#[test]
fn twelve_runs_for_eleven_factors_are_as_good_as_those_of_plackett_and_burman() {
    // Biometrika 33 (1946) 305: 12 runs, all columns orthogonal, det = 12^12.
    let reference = number(&expected(), "Plackett-Burman 12 det(XtX)");
    check("Plackett-Burman 12", 11, Terms::Main, 12, reference);
}

#[test]
fn plans_for_a_curved_surface_are_as_good_as_the_standard_ones() {
    for (key, factors) in [
        ("3^2 factorial = face-centred CCD k=2, 1 centre", 2),
        ("face-centred CCD k=2, 3 centres", 2),
        ("face-centred CCD k=3, 1 centre", 3),
        ("face-centred CCD k=3, 3 centres", 3),
        ("Box-Behnken k=3, 3 centres", 3),
    ] {
        let design = &expected()[key];
        let runs = number(design, "n") as usize;
        check(
            key,
            factors,
            Terms::Quadratic,
            runs,
            number(design, "det_XtX"),
        );
    }
}

#[test]
fn a_few_runs_are_as_good_as_the_best_of_all_choices() {
    // Exhaustive search over the 3 × 3 grid.
    let designs =
        &expected()["exact D-optimal, full quadratic, candidates = 3x3 grid, by exhaustive search"];
    for runs in 6..=10 {
        let design = &designs[runs.to_string()];
        check(
            &format!("{runs} runs"),
            2,
            Terms::Quadratic,
            runs,
            number(design, "det_XtX"),
        );
    }
}
