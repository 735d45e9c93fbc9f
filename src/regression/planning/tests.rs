//! Checks that plans and forecasts keep what they promise.
//!
//! In: small logs, and simulated ones. Out: tests.
//! This module never takes an expected value from the code it checks.

use super::*;
use crate::distributions::coverage_factor;
use crate::regression::algebra::{Matrix, cholesky};
use crate::regression::tests::testing::{amount, choice, model, runs, written};
use crate::regression::{
    Barred, ErrorEffect, ErrorSize, FactorValues, FitData, FittedModel, OwnError, Setting,
    SharedError,
};
use crate::seeded::Seeded;

/// Digits that terms of which nothing is known cost: their variance is ten million times that of a run.
const FREE_TERMS: f64 = 1e-6;

/// How far the mean width of a few hundred simulated intervals may lie from the forecast: the estimates of the variances
/// scatter, and the mean of a root lies below the root of a mean.
const SIMULATED: f64 = 0.05;

fn part(weight: f64, settings: Settings) -> Weighted {
    Weighted { weight, settings }
}

fn at(level: &str) -> Settings {
    Settings::default().level("route", level)
}

fn routes(levels: &[&str]) -> PlanFactor {
    let levels: Vec<String> = levels.iter().map(|level| level.to_string()).collect();
    PlanFactor::choice("route", &levels)
}

#[test]
fn more_runs_shrink_a_difference_as_by_hand() {
    // Groups of 3 and 2 runs about 2 and 5: squares 2 + 2 = 4 on 3 degrees of freedom.
    let data = runs(
        vec![1.0, 2.0, 3.0, 4.0, 6.0],
        vec![choice("route", &["a", "b"], &["a", "a", "a", "b", "b"])],
    );
    let fitted = model(&["route"]).fitted(&data);
    let space = Space {
        factors: vec![routes(&["a", "b"])],
        never: Vec::new(),
    };
    let planner = Planner::of_model(&fitted, space, None).unwrap();
    let contrast = [part(1.0, at("b")), part(-1.0, at("a"))];
    let square = 4.0 / 3.0;
    let now = planner.variance_after(&[], &contrast).unwrap();
    assert!((now / (square * (1.0 / 3.0 + 1.0 / 2.0)) - 1.0).abs() < FREE_TERMS);
    let after = planner
        .variance_after(&[at("b"), at("b")], &contrast)
        .unwrap();
    assert!((after / (square * (1.0 / 3.0 + 1.0 / 4.0)) - 1.0).abs() < FREE_TERMS);
    // One more run is best spent on the smaller group.
    let criterion = Criterion::Contrasts(vec![PlanContrast {
        weight: 1.0,
        parts: contrast.to_vec(),
    }]);
    let plan = planner
        .plan(1, &[], &criterion, BlocksAs::Random, 1)
        .unwrap();
    assert_eq!(plan.runs, [at("b")]);
}

#[test]
fn a_slope_is_known_best_from_both_ends_and_so_is_a_straight_line() {
    // Elfving, Ann. Math. Stat. 23 (1952) 255-262: half of the runs at each end; from memory.
    let x = |value: f64| Settings::default().amount("x", value);
    let slope = Criterion::Contrasts(vec![PlanContrast {
        weight: 1.0,
        parts: vec![part(1.0, x(8.0)), part(-1.0, x(2.0))],
    }]);
    for criterion in [slope, Criterion::Prediction, Criterion::Everything] {
        let space = Space {
            factors: vec![PlanFactor::amount("x", 2.0, 8.0, 7)],
            never: Vec::new(),
        };
        let planner = Planner::of_nothing(&model(&["x"]), space).unwrap();
        let mut plan = planner
            .plan(4, &[], &criterion, BlocksAs::Random, 1)
            .unwrap()
            .runs;
        plan.sort_by(|a, b| format!("{a:?}").cmp(&format!("{b:?}")));
        assert_eq!(plan, [x(2.0), x(2.0), x(8.0), x(8.0)], "{criterion:?}");
    }
}

/// Twelve runs on two lots, with a shared error of each lot and one of all runs.
fn on_lots() -> FitData {
    let lots = ["A", "A", "A", "A", "A", "B", "B", "B", "B", "B", "B", "B"];
    let levels = ["a", "b", "a", "b", "a", "a", "b", "b", "a", "b", "a", "b"];
    let x = vec![1.0, 2.0, 3.0, 4.0, 5.0, 1.5, 2.5, 3.5, 4.5, 5.5, 6.0, 0.5];
    let y = vec![
        10.3, 12.9, 11.8, 14.2, 13.1, 10.9, 12.6, 13.9, 13.4, 15.8, 14.4, 11.7,
    ];
    let mut data = runs(
        y,
        vec![choice("route", &["a", "b"], &levels), amount("x", x)],
    );
    let shared = |name: &str, size: f64, of: &dyn Fn(usize) -> bool| SharedError {
        name: name.into(),
        effects: (0..12)
            .filter(|&run| of(run))
            .map(|run| ErrorEffect {
                run,
                size: ErrorSize::Absolute(size),
            })
            .collect(),
    };
    data.measurement.shared = vec![
        shared("assay of A", 0.4, &|run| lots[run] == "A"),
        shared("assay of B", 0.3, &|run| lots[run] == "B"),
        shared("burette", 0.2, &|_| true),
    ];
    data.measurement.own = vec![
        OwnError {
            relative: 0.0,
            absolute: 0.1,
        };
        12
    ];
    data
}

fn grouping(data: &FitData) -> Grouping {
    Grouping {
        factor: "lot".into(),
        levels: (0..data.runs.len())
            .map(|run| Some(if run < 5 { "A" } else { "B" }.to_string()))
            .collect(),
    }
}

#[test]
fn shared_errors_count_as_in_the_whole_covariance_matrix() {
    let data = on_lots();
    let fitted = model(&["route", "x"]).measured().fitted(&data);
    let lots: Vec<String> = ["A", "B", "C"].map(String::from).into();
    let space = Space {
        factors: vec![
            routes(&["a", "b"]),
            PlanFactor::amount("x", 0.0, 8.0, 3),
            PlanFactor::choice("lot", &lots),
        ],
        never: Vec::new(),
    };
    let planner = Planner::of_model(&fitted, space, Some(&grouping(&data))).unwrap();
    let extra: Vec<Settings> = [
        ("a", 0.0, "B"),
        ("b", 8.0, "B"),
        ("b", 4.0, "C"),
        ("a", 8.0, "C"),
    ]
    .map(|(level, x, lot)| at(level).amount("x", x).level("lot", lot))
    .into();
    let contrast = [
        part(1.0, at("b").amount("x", 6.0)),
        part(-1.0, at("a").amount("x", 1.0)),
    ];
    // The whole matrix V of old and new runs, by the definition of the measurement.
    let run_to_run = {
        let run = fitted.new_run_interval(&at("a").amount("x", 3.0)).unwrap();
        run.scatter.unwrap().run_to_run
    };
    let lot_of = |run: usize| match run {
        0..5 => 0,
        5..14 => 1,
        _ => 2,
    };
    // A new lot has the mean variance of those before.
    let assay = [0.16, 0.09, (0.16 + 0.09) / 2.0];
    let design = |run: usize| -> [f64; 3] {
        let (level, x) = match run {
            0..12 => {
                let FactorValues::Choice { codes, .. } = &data.factors[0].values else {
                    panic!("a choice")
                };
                let FactorValues::Amount(x) = &data.factors[1].values else {
                    panic!("an amount")
                };
                (codes[run] as f64, x[run])
            }
            12 => (0.0, 0.0),
            13 => (1.0, 8.0),
            14 => (1.0, 4.0),
            _ => (0.0, 8.0),
        };
        [1.0, level, x]
    };
    for (count, runs_after) in [(12, &extra[..0]), (16, &extra[..])] {
        let mut v = Matrix::zeros(count, count);
        for one in 0..count {
            for other in 0..count {
                let mut entry = 0.04;
                if lot_of(one) == lot_of(other) {
                    entry += assay[lot_of(one)];
                }
                if one == other {
                    entry += run_to_run + 0.01;
                }
                v.set(one, other, entry);
            }
        }
        let inverse = cholesky::inverse(&v, count).unwrap();
        let mut information = Matrix::zeros(3, 3);
        for row in 0..3 {
            for column in 0..3 {
                let mut sum = 0.0;
                for one in 0..count {
                    for other in 0..count {
                        sum += design(one)[row] * inverse.get(one, other) * design(other)[column];
                    }
                }
                information.set(row, column, sum);
            }
        }
        let covariance = cholesky::inverse(&information, 3).unwrap();
        let asked = [0.0, 1.0, 5.0];
        let mut expected = 0.0;
        for row in 0..3 {
            for column in 0..3 {
                expected += asked[row] * covariance.get(row, column) * asked[column];
            }
        }
        let found = planner.variance_after(runs_after, &contrast).unwrap();
        assert!(
            (found / expected - 1.0).abs() < FREE_TERMS,
            "{count}: {found} {expected}"
        );
    }
}

#[test]
fn a_level_that_only_one_lot_saw_is_not_known_until_another_lot_sees_it() {
    let lots = ["A", "A", "B", "B", "C", "C", "D", "D"];
    let levels = ["a", "b", "b", "a", "a", "b", "c", "c"];
    let data = runs(
        vec![10.1, 12.3, 12.0, 10.4, 9.8, 12.4, 14.0, 14.3],
        vec![
            choice("route", &["a", "b", "c"], &levels),
            choice("lot", &["A", "B", "C", "D"], &lots),
        ],
    );
    let fitted = model(&["route"]).with_block("lot").measured().fitted(&data);
    let all: Vec<String> = ["A", "B", "E"].map(String::from).into();
    let space = Space {
        factors: vec![routes(&["a", "b", "c"]), PlanFactor::choice("lot", &all)],
        never: vec![Barred::default().level("route", "c").level("lot", "A")],
    };
    let planner = Planner::of_model(&fitted, space, None).unwrap();
    let contrast = [part(1.0, at("c")), part(-1.0, at("a"))];
    assert_eq!(written(&planner.unknown_terms(&[])), ["route: c"]);
    assert_eq!(planner.variance_after(&[], &contrast), None);
    let on = |lot: &str| at("c").level("lot", lot);
    assert!(planner.variance_after(&[on("B")], &contrast).is_some());
    // A new lot that sees this level alone tells nothing.
    assert_eq!(planner.variance_after(&[on("E")], &contrast), None);
    let plan = planner
        .plan(2, &[], &Criterion::Everything, BlocksAs::Free, 1)
        .unwrap();
    assert!(plan.runs.contains(&on("B")), "{:?}", plan.runs);
    assert!(!plan.runs.contains(&on("A")));
}

#[test]
fn the_order_is_drawn_again_alike_and_keeps_every_run() {
    let items: Vec<usize> = (0..20).collect();
    let drawn = shuffled(items.clone(), 7);
    assert_eq!(drawn, shuffled(items.clone(), 7));
    assert_ne!(drawn, items);
    let mut sorted = drawn;
    sorted.sort_unstable();
    assert_eq!(sorted, items);
}

/// Half the width of the interval of a contrast.
fn half_width(fitted: &FittedModel, contrast: &[Weighted]) -> f64 {
    let interval = fitted.weighted_sum(contrast).unwrap().interval.unwrap();
    (interval.high - interval.low) / 2.0
}

/// The runs made with the planned ones behind them, new responses simulated from the fit.
fn joined(fitted: &FittedModel, data: &FitData, plan: &[Settings], random: &mut Seeded) -> FitData {
    let mut joined = data.clone();
    let lot_errors: Vec<f64> = (0..3).map(|_| random.normal()).collect();
    // All responses are drawn anew about the fit, so that old and new scatter alike.
    let run_to_run = {
        let settings = at("a").amount("x", 3.0);
        let run = fitted.new_run_interval(&settings).unwrap();
        run.scatter.unwrap().run_to_run
    };
    let common = random.normal();
    let mut scatter = |lot: usize| {
        let size = [0.4, 0.3][lot];
        size * lot_errors[lot] + 0.2 * common + (run_to_run + 0.01).sqrt() * random.normal()
    };
    for (run, response) in joined.response.iter_mut().enumerate() {
        *response = fitted.fitted[run] + scatter(usize::from(run >= 5));
    }
    for settings in plan {
        let place = joined.runs.len();
        joined.runs.push(format!("n{place}"));
        let mean = fitted.estimate(&settings.without("lot")).unwrap().value;
        joined.response.push(mean + scatter(1));
        for factor in &mut joined.factors {
            match (&mut factor.values, settings.get(&factor.name)) {
                (FactorValues::Amount(values), Some(Setting::Amount(value))) => values.push(*value),
                (FactorValues::Choice { levels, codes }, Some(Setting::Level(level))) => {
                    codes.push(levels.iter().position(|known| known == level).unwrap());
                }
                other => panic!("{other:?}"),
            }
        }
        for (source, size) in [(1, 0.3), (2, 0.2)] {
            joined.measurement.shared[source].effects.push(ErrorEffect {
                run: place,
                size: ErrorSize::Absolute(size),
            });
        }
        joined.measurement.own.push(OwnError {
            relative: 0.0,
            absolute: 0.1,
        });
    }
    joined
}

#[test]
fn intervals_after_the_runs_planned_are_as_wide_as_foretold() {
    let data = on_lots();
    let params = model(&["route", "x"]).measured();
    let fitted = params.clone().fitted(&data);
    let lots = vec!["B".to_string()];
    let space = Space {
        factors: vec![
            routes(&["a", "b"]),
            PlanFactor::amount("x", 0.0, 8.0, 5),
            PlanFactor::choice("lot", &lots),
        ],
        never: Vec::new(),
    };
    let planner = Planner::of_model(&fitted, space, Some(&grouping(&data))).unwrap();
    let contrasts = [
        vec![part(1.0, at("b")), part(-1.0, at("a"))],
        vec![
            part(1.0, at("a").amount("x", 6.0)),
            part(-1.0, at("a").amount("x", 2.0)),
        ],
    ];
    let criterion = Criterion::Contrasts(
        contrasts
            .iter()
            .map(|parts| PlanContrast {
                weight: 1.0,
                parts: parts.clone(),
            })
            .collect(),
    );
    let plan = planner
        .plan(8, &[], &criterion, BlocksAs::Random, 1)
        .unwrap()
        .runs;
    for contrast in &contrasts {
        let forecast = planner.known_after(&plan, contrast).unwrap();
        let factor = coverage_factor(0.95, forecast.degrees_of_freedom).unwrap();
        let foretold = factor * forecast.standard_error;
        let trials = 300;
        let mut sum = 0.0;
        for trial in 0..trials {
            let mut random = Seeded::stream(11, trial);
            let logs = joined(&fitted, &data, &plan, &mut random);
            sum += half_width(&params.clone().fitted(&logs), contrast);
        }
        let mean = sum / trials as f64;
        println!("foretold {foretold:.4}, simulated {mean:.4}");
        assert!(
            (mean / foretold - 1.0).abs() < SIMULATED,
            "{mean} {foretold}"
        );
        assert!(foretold < half_width(&fitted, contrast));
    }
}
