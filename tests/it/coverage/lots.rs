//! Do means over lots, new runs and differences within lots hold the truth as often as they say, with two to six lots?
//!
//! In: seeded logs of 24 to 30 runs by two routes on lots that are alike or differ. Out: tests of how often the interval of
//! an adjusted mean, of a new run on a new lot and of a difference within lots holds the truth, the mean half-widths,
//! printed, and of how often a route run on one lot only is named with it.
//! This module never draws an unseeded number.

use residuum::regression::{
    Constant, Factor, FactorValues, FitData, FittedModel, Interval, Measurement, Method,
    ModelParams, ResponseScale, Settings,
};
use residuum::seeded::Seeded;

use super::full_size;

const SEED: u64 = 20_261_129;

/// Logs of each kind in the test command, and at full size: a coverage of 95 % is then known to 0.34 and to 0.11 points.
const LOGS: u64 = 4_000;
const LOGS_AT_FULL_SIZE: u64 = 40_000;

/// Logs in which a route was run on one lot only; each of them must say so.
const TANGLED_LOGS: u64 = 400;

/// Coverage asked for; with two or three lots the upper limit does not hold, since next to nothing is known of their spread.
const LEAST: f64 = 0.935;
const MOST: f64 = 0.965;

/// Most that a half-width within lots may be of that with the lot as a fixed term, and least.
const AS_NARROW: std::ops::RangeInclusive<f64> = 0.95..=1.02;

/// Points of yield: middle, effect of the second route, slope of an amount, scatter from run to run.
const MIDDLE: f64 = 70.0;
const SECOND: f64 = 2.0;
const SLOPE: f64 = 0.5;
const SCATTER: f64 = 1.5;

/// Standard deviation between lots, in points: none, and more than that between runs.
const SPREADS: [f64; 2] = [0.0, 2.0];

/// Numbers of lots and runs.
const BENCHES: [(usize, usize); 4] = [(2, 24), (3, 30), (4, 28), (6, 24)];

/// How often intervals held the truth, and how wide they were.
#[derive(Default)]
struct Held {
    intervals: f64,
    held: f64,
    widths: f64,
}

impl Held {
    fn count(&mut self, interval: Option<Interval>, truth: f64) {
        let Interval { low, high } = interval.expect("residual degrees of freedom");
        self.intervals += 1.0;
        self.held += f64::from(u8::from(low <= truth && truth <= high));
        self.widths += (high - low) / 2.0;
    }

    fn share(&self) -> f64 {
        self.held / self.intervals
    }

    fn half_width(&self) -> f64 {
        self.widths / self.intervals
    }

    fn said(&self) -> String {
        format!("{:.1} %, ± {:.2}", 100.0 * self.share(), self.half_width())
    }
}

/// What one log holds, with the truth that no log tells.
struct Log {
    data: FitData,
    /// Mean of the amount over the runs.
    amount: f64,
    /// What a new run lies above its expectation, one for each route.
    new_runs: [f64; 2],
}

/// Where a run was made.
struct At {
    lot: usize,
    route: usize,
}

/// A log of runs at these places.
fn log(lots: usize, places: Vec<At>, spread: f64, random: &mut Seeded) -> Log {
    let between: Vec<f64> = (0..=lots).map(|_| spread * random.normal()).collect();
    let amounts: Vec<f64> = places
        .iter()
        .map(|_| (4.0 * random.uniform()).floor())
        .collect();
    let response = places.iter().zip(&amounts).map(|(at, amount)| {
        let expected = MIDDLE + SECOND * at.route as f64 + SLOPE * amount;
        expected + between[at.lot] + SCATTER * random.normal()
    });
    let response: Vec<f64> = response.collect();
    let new_runs = [0, 1].map(|_| between[lots] + SCATTER * random.normal());
    let mean = amounts.iter().sum::<f64>() / amounts.len() as f64;
    let names = (0..lots).map(|lot| format!("L{lot}")).collect();
    let routes = ["chill", "boildown"].map(str::to_string).to_vec();
    let choice = |name: &str, levels, codes| Factor {
        name: name.into(),
        unit: String::new(),
        values: FactorValues::Choice { levels, codes },
    };
    let factors = vec![
        choice("route", routes, places.iter().map(|at| at.route).collect()),
        choice("lot", names, places.iter().map(|at| at.lot).collect()),
        Factor {
            name: "excess".into(),
            unit: "%".into(),
            values: FactorValues::Amount(amounts),
        },
    ];
    Log {
        data: FitData {
            never: Vec::new(),
            runs: (0..response.len())
                .map(|run| format!("R{run:02}"))
                .collect(),
            response,
            factors,
            measurement: Measurement::default(),
        },
        amount: mean,
        new_runs,
    }
}

/// A model of yield by these effects and blocks.
fn model(effects: &[&str], blocks: &[&str], method: Method) -> ModelParams {
    let names = |names: &[&str]| names.iter().map(|name| name.to_string()).collect();
    ModelParams {
        response: "yield".into(),
        unit: "%".into(),
        effects: names(effects),
        joint: Vec::new(),
        curved: Vec::new(),
        blocks: names(blocks),
        constant: Constant::Present,
        confidence: 0.95,
        method,
        scale: ResponseScale::Plain,
    }
}

fn fitted(params: ModelParams, data: &FitData) -> FittedModel {
    let valid = params.check(data).expect("a model of these runs");
    valid
        .watching("lot")
        .fit(data)
        .expect("a fit of these runs")
}

/// Intervals of one bench.
#[derive(Default)]
struct Found {
    means: Held,
    new_runs: Held,
    within: Held,
    within_fixed: Held,
}

/// Both routes are run on each lot, one after the other.
fn simulated(lots: usize, runs: usize, spread: f64, logs: u64) -> Found {
    let mut found = Found::default();
    for number in 0..logs {
        let mut random = Seeded::stream(SEED, number);
        let places = (0..runs).map(|run| At {
            lot: run % lots,
            route: run / lots % 2,
        });
        let log = log(lots, places.collect(), spread, &mut random);
        let random_lots = fitted(
            model(&["route", "excess"], &["lot"], Method::Measured),
            &log.data,
        );
        for (route, name) in ["chill", "boildown"].into_iter().enumerate() {
            let settings = Settings::default().level("route", name);
            let truth = MIDDLE + SECOND * route as f64 + SLOPE * log.amount;
            let mean = random_lots.estimate(&settings).expect("a mean");
            found.means.count(mean.interval, truth);
            let new = random_lots.new_run_interval(&settings).expect("a new run");
            found
                .new_runs
                .count(new.interval, truth + log.new_runs[route]);
        }
        let fixed_lots = fitted(
            model(&["route", "excess", "lot"], &[], Method::Plain),
            &log.data,
        );
        for (held, fit) in [
            (&mut found.within, &random_lots),
            (&mut found.within_fixed, &fixed_lots),
        ] {
            let apart = fit.level_difference("route", "boildown", "chill");
            held.count(apart.expect("a difference").interval, SECOND);
        }
    }
    found
}

#[test]
fn means_new_runs_and_differences_within_lots_hold_the_truth_with_two_to_six_lots() {
    let logs = if full_size() { LOGS_AT_FULL_SIZE } else { LOGS };
    let mut missed = Vec::new();
    for (lots, runs) in BENCHES {
        for spread in SPREADS {
            let found = simulated(lots, runs, spread, logs);
            let what = format!("{lots} lots, {runs} runs, lots scatter by {spread} points");
            println!(
                "{what}: means {}; new runs {}; within lots {}, with fixed lots {}",
                found.means.said(),
                found.new_runs.said(),
                found.within.said(),
                found.within_fixed.said()
            );
            let most = if lots < 4 { 1.0 } else { MOST };
            for (of, held, most) in [
                ("means", &found.means, most),
                ("new runs", &found.new_runs, most),
                ("within lots", &found.within, MOST),
            ] {
                if !(LEAST..=most).contains(&held.share()) {
                    missed.push(format!("{what}: {of} {}", held.share()));
                }
            }
            let ratio = found.within.half_width() / found.within_fixed.half_width();
            if !AS_NARROW.contains(&ratio) {
                missed.push(format!(
                    "{what}: differences within lots {ratio} times as wide"
                ));
            }
        }
    }
    assert!(missed.is_empty(), "{missed:#?}");
}

#[test]
fn a_route_run_on_one_lot_only_is_named_with_that_lot_in_every_log() {
    // The last lot was run by the second route alone, and that route on no other lot.
    let mut told = 0;
    for number in 0..TANGLED_LOGS {
        let mut random = Seeded::stream(SEED + 1, number);
        let lots = 2 + (number % 2) as usize;
        let places = (0..24).map(|run| At {
            lot: run % lots,
            route: usize::from(run % lots == lots - 1),
        });
        let log = log(lots, places.collect(), SPREADS[1], &mut random);
        for (blocks, method) in [
            (&["lot"][..], Method::Measured),
            (&["lot"][..], Method::Plain),
            (&[][..], Method::Measured),
            (&[][..], Method::Plain),
        ] {
            let fit = fitted(model(&["route", "excess"], blocks, method), &log.data);
            let named = fit.not_separable.iter().any(|group| {
                let terms: Vec<String> = group.terms.iter().map(ToString::to_string).collect();
                terms == ["route: boildown".to_string(), format!("lot: L{}", lots - 1)]
            });
            let refused = fit.level_difference("route", "boildown", "chill").is_err();
            told += usize::from(named && refused);
        }
    }
    println!("named with its lot: {told} of {}", 4 * TANGLED_LOGS);
    assert_eq!(told as u64, 4 * TANGLED_LOGS);
}
