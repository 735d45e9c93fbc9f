//! Checks of forecasts where lots differ by chance.
//!
//! In: an invented log on five lots. Out: tests.
//! This module never takes an expected value from the code it checks.

use super::*;
use crate::distributions::coverage_factor;
use crate::regression::algebra::{Matrix, cholesky};
use crate::regression::tests::testing::{choice, model, runs};
use crate::regression::{FactorValues, FitData, FittedModel, ScatterOf, Setting};
use crate::seeded::Seeded;

/// Digits that terms of which nothing is known cost: their variance is ten million times that of a run.
const FREE_TERMS: f64 = 1e-6;

/// How far the mean width of a few hundred simulated intervals may lie from the forecast: both variances are estimated
/// anew each time, that of the lots from five of them, and the small-sample correction moves with them.
const SIMULATED: f64 = 0.06;

const LOTS: [&str; 5] = ["A", "B", "C", "D", "E"];

fn at(level: &str) -> Settings {
    Settings::default().level("route", level)
}

fn contrast() -> Vec<Weighted> {
    [(1.0, "b"), (-1.0, "a")]
        .map(|(weight, level)| Weighted {
            weight,
            settings: at(level),
        })
        .into()
}

/// Twenty-five runs: routes spread unevenly over five lots.
fn on_five_lots() -> FitData {
    let lots: Vec<&str> = (0..25).map(|run| LOTS[run / 5]).collect();
    let levels: Vec<&str> = (0..25)
        .map(|run| {
            if [0, 1, 2, 6, 8, 11, 12, 15, 20, 22, 23].contains(&run) {
                "b"
            } else {
                "a"
            }
        })
        .collect();
    let lot_effects = [1.1, -0.9, 0.4, -1.3, 0.8];
    let mut random = Seeded::stream(5, 0);
    let response = (0..25)
        .map(|run| {
            let route = if levels[run] == "b" { 1.5 } else { 0.0 };
            20.0 + route + lot_effects[run / 5] + 0.6 * random.normal()
        })
        .collect();
    runs(
        response,
        vec![
            choice("route", &["a", "b"], &levels),
            choice("lot", &LOTS, &lots),
        ],
    )
}

fn planner(fitted: &FittedModel) -> Planner {
    let lots: Vec<String> = ["E", "F"].map(String::from).into();
    let space = Space {
        factors: vec![
            PlanFactor::choice("route", &["a", "b"].map(String::from)),
            PlanFactor::choice("lot", &lots),
        ],
        never: Vec::new(),
    };
    Planner::of_model(fitted, space, None).unwrap()
}

/// The variances of run and lot that the fit found.
fn variances(fitted: &FittedModel) -> [f64; 2] {
    [ScatterOf::RunToRun, ScatterOf::Block("lot".into())].map(|of| {
        let mut components = fitted.variance_components.iter();
        components.find(|c| c.of == of).unwrap().sd.powi(2)
    })
}

#[test]
fn runs_on_old_and_new_lots_count_as_in_the_whole_covariance_matrix() {
    let data = on_five_lots();
    let fitted = model(&["route"]).with_block("lot").measured().fitted(&data);
    let [own, between] = variances(&fitted);
    assert!(between > 0.0);
    let extra = [("b", "E"), ("a", "F"), ("b", "F"), ("b", "F")];
    let FactorValues::Choice { codes: routes, .. } = &data.factors[0].values else {
        panic!("a choice")
    };
    let route = |run: usize| match run {
        0..25 => routes[run] as f64,
        _ => f64::from(u8::from(extra[run - 25].0 == "b")),
    };
    let lot = |run: usize| match run {
        0..25 => run / 5,
        25 => 4,
        _ => 5,
    };
    let planned: Vec<Settings> = extra.map(|(level, lot)| at(level).level("lot", lot)).into();
    for (count, runs_after) in [(25, &planned[..0]), (29, &planned[..])] {
        let mut v = Matrix::zeros(count, count);
        for one in 0..count {
            for other in 0..count {
                let mut entry = 0.0;
                if lot(one) == lot(other) {
                    entry += between;
                }
                if one == other {
                    entry += own;
                }
                v.set(one, other, entry);
            }
        }
        let inverse = cholesky::inverse(&v, count).unwrap();
        let mut information = Matrix::zeros(2, 2);
        for one in 0..count {
            for other in 0..count {
                let (x, y) = ([1.0, route(one)], [1.0, route(other)]);
                for (row, one_entry) in x.iter().enumerate() {
                    for (column, other_entry) in y.iter().enumerate() {
                        let sum = information.get(row, column)
                            + one_entry * inverse.get(one, other) * other_entry;
                        information.set(row, column, sum);
                    }
                }
            }
        }
        let expected = cholesky::inverse(&information, 2).unwrap().get(1, 1);
        let found = planner(&fitted)
            .variance_after(runs_after, &contrast())
            .unwrap();
        assert!(
            (found / expected - 1.0).abs() < FREE_TERMS,
            "{count}: {found} {expected}"
        );
    }
}

#[test]
fn intervals_with_lots_drawn_by_chance_are_as_wide_as_foretold() {
    let data = on_five_lots();
    let params = model(&["route"]).with_block("lot").measured();
    let fitted = params.clone().fitted(&data);
    let [own, between] = variances(&fitted);
    let planner = planner(&fitted);
    let criterion = Criterion::Contrasts(vec![PlanContrast {
        weight: 1.0,
        parts: contrast(),
    }]);
    let plan = planner
        .plan(8, &[], &criterion, BlocksAs::Random, 1)
        .unwrap()
        .runs;
    let forecast = planner.known_after(&plan, &contrast()).unwrap();
    let factor = coverage_factor(0.95, forecast.degrees_of_freedom).unwrap();
    let foretold = factor * forecast.standard_error;
    let trials = 300;
    let mut sum = 0.0;
    for trial in 0..trials {
        let mut random = Seeded::stream(13, trial);
        let lots: Vec<f64> = (0..6).map(|_| between.sqrt() * random.normal()).collect();
        let mut joined = data.clone();
        for (run, response) in joined.response.iter_mut().enumerate() {
            *response = fitted.fitted[run] + lots[run / 5] + own.sqrt() * random.normal();
        }
        for settings in &plan {
            let Some(Setting::Level(lot)) = settings.get("lot") else {
                panic!("a lot")
            };
            let lot = usize::from(lot == "F") + 4;
            let mean = fitted.estimate(&settings.without("lot")).unwrap().value;
            joined.runs.push(format!("n{}", joined.runs.len()));
            joined
                .response
                .push(mean + lots[lot] + own.sqrt() * random.normal());
            let b = usize::from(settings.get("route") == Some(&Setting::Level("b".into())));
            for (factor, code) in joined.factors.iter_mut().zip([b, lot]) {
                let FactorValues::Choice { levels, codes } = &mut factor.values else {
                    panic!("a choice")
                };
                if code == levels.len() {
                    levels.push("F".into());
                }
                codes.push(code);
            }
        }
        let again = params.clone().fitted(&joined);
        let interval = again.weighted_sum(&contrast()).unwrap().interval.unwrap();
        sum += (interval.high - interval.low) / 2.0;
    }
    let mean = sum / trials as f64;
    println!("foretold {foretold:.4}, simulated {mean:.4}");
    assert!(
        (mean / foretold - 1.0).abs() < SIMULATED,
        "{mean} {foretold}"
    );
}
