//! Coverage of the intervals of the measured fit.
//!
//! In: simulated campaigns, each from its own stream of one seed. Out: nothing but passing tests, and the rates, printed.
//! This module never draws without a seed.

use crate::seeded::Seeded;

use super::testing::{choice, model, runs};
use crate::regression::{
    ErrorEffect, ErrorSize, FitData, FittedModel, Measurement, OwnError, SharedError,
};

const SEED: u64 = 19;
/// Campaigns simulated: a rate of 95 % is then known to 0.34 points.
const CAMPAIGNS: usize = 4000;
/// Rates allowed: four standard errors and a little more to each side.
const ALLOWED: std::ops::RangeInclusive<f64> = 0.935..=0.965;
const LOTS: usize = 14;
const RUNS_A_LOT: usize = 10;
const MEAN: f64 = 0.62;
/// Of a level of the factor that changes within lots, and of the one that changes between them.
const EFFECTS: [f64; 2] = [-0.03, 0.02];
const ASSAY: f64 = 0.017;
const TITRANT: f64 = 0.004;
/// Independent error of measurement of one run, relative, and scatter from run to run, absolute: about as large.
const OWN: f64 = 0.015;
const SCATTER: f64 = 0.008;

/// Rates of coverage: the factor within lots, the one between lots.
#[derive(Debug, Default, Clone, Copy)]
struct Covered {
    within: f64,
    between: f64,
}

/// One campaign; lots differ by `spread` beyond the error of their assay.
fn simulated(stream: u64, spread: f64) -> FitData {
    let mut generator = Seeded::stream(SEED, stream);
    let mut normal = || -> f64 { generator.normal() };
    let titrants: Vec<f64> = (0..3).map(|_| normal()).collect();
    let mut shared: Vec<SharedError> = Vec::new();
    let mut of_titrant = vec![Vec::new(); titrants.len()];
    let (mut response, mut heating, mut supplier, mut lots) =
        (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for lot in 0..LOTS {
        let (assay, beyond) = (normal(), spread * normal());
        let mut effects = Vec::new();
        for at in 0..RUNS_A_LOT {
            let run = response.len();
            let (hob, other) = (at % 2, lot % 2);
            let titrant = run * titrants.len() / (LOTS * RUNS_A_LOT);
            let true_value = MEAN
                + EFFECTS[0] * hob as f64
                + EFFECTS[1] * other as f64
                + beyond
                + SCATTER * normal();
            let error = ASSAY * assay + TITRANT * titrants[titrant] + OWN * normal();
            response.push(true_value * (1.0 + error));
            heating.push(["muffle", "hob"][hob]);
            supplier.push(["first", "second"][other]);
            lots.push(format!("L{lot}"));
            effects.push(relative(run, ASSAY));
            of_titrant[titrant].push(relative(run, TITRANT));
        }
        shared.push(SharedError {
            name: format!("assay of L{lot}"),
            effects,
        });
    }
    shared.extend(of_titrant.into_iter().map(|effects| SharedError {
        name: "titrant".into(),
        effects,
    }));
    let names: Vec<String> = (0..LOTS).map(|lot| format!("L{lot}")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let lots: Vec<&str> = lots.iter().map(String::as_str).collect();
    let own = OwnError {
        relative: OWN,
        absolute: 0.0,
    };
    let mut data = runs(
        response,
        vec![
            choice("heating", &["muffle", "hob"], &heating),
            choice("supplier", &["first", "second"], &supplier),
            choice("lot", &names, &lots),
        ],
    );
    data.measurement = Measurement {
        shared,
        own: vec![own; data.runs.len()],
    };
    data
}

fn relative(run: usize, size: f64) -> ErrorEffect {
    ErrorEffect {
        run,
        size: ErrorSize::Relative(size),
    }
}

/// How often the intervals of both factors cover the truth.
fn rates(spread: f64, fit: impl Fn(&FitData) -> FittedModel) -> Covered {
    let mut covered = Covered::default();
    for campaign in 0..CAMPAIGNS {
        let fitted = fit(&simulated(campaign as u64, spread));
        let covers = |term: &str, truth: f64| {
            let interval = fitted.written(term).and_then(|term| term.interval).unwrap();
            f64::from(u8::from(interval.low <= truth && truth <= interval.high))
        };
        covered.within += covers("heating: hob", EFFECTS[0]) / CAMPAIGNS as f64;
        covered.between += covers("supplier: second", EFFECTS[1]) / CAMPAIGNS as f64;
    }
    covered
}

#[track_caller]
fn as_stated(rate: f64) {
    assert!(ALLOWED.contains(&rate), "{rate}");
}

#[test]
fn intervals_cover_the_truth_as_often_as_they_say_where_lots_share_the_error_of_their_assay() {
    let params = model(&["heating", "supplier"]);
    let measured = rates(0.0, |data| params.clone().measured().fitted(data));
    let plain = rates(0.0, |data| params.clone().fitted(data));
    println!("shared assays: measured {measured:?}, plain {plain:?}");
    as_stated(measured.within);
    as_stated(measured.between);
    // Plain least squares takes ten runs on a lot for ten independent ones.
    assert!(plain.between < 0.80, "{plain:?}");
}

#[test]
fn intervals_cover_the_truth_as_often_as_they_say_where_lots_differ_besides() {
    let params = model(&["heating", "supplier"]).with_block("lot");
    let measured = rates(0.012, |data| params.clone().measured().fitted(data));
    let plain = rates(0.012, |data| params.clone().fitted(data));
    println!("random lots: measured {measured:?}, plain {plain:?}");
    as_stated(measured.within);
    as_stated(measured.between);
    assert!(plain.between < 0.80, "{plain:?}");
}
