//! How many runs pass until a chart flags?
//!
//! In: `tests/data/run_lengths.json`: published mean run lengths with the integral equations that confirm them.
//! Out: tests of the charts over 10,000 seeded simulations for each scheme and shift, centre and SD known.
//! This module never takes a run length from residuum for an expected value.

use residuum::campaign::{CusumPlan, RunRule};
use residuum::drift::{Cusum, Ewma, EwmaPlan, InControl, Origin, Width, chance_by_luck};
use residuum::seeded::Seeded;
use serde_json::Value;

use crate::support::{check_digits, data_json, list, number};

/// Simulated series of runs for each scheme and shift.
const SERIES: u64 = 10_000;

/// Part of the expected length by which a simulated mean may be off: three standard errors of a geometric length.
const ALLOWED: f64 = 0.03;

/// Digits asked of the chances of rules: the script and the program know them exactly but for the tail of two SD.
const CHANCE_DIGITS: f64 = 9.0;

const SEED: u64 = 20_261_125;

/// Where the process stands in all of them; neither zero nor one, so that both are used.
const KNOWN: InControl = InControl {
    centre: 62.0,
    centre_from: Origin::Stated,
    sd: 2.5,
    sd_from: Origin::Stated,
};

/// Mean number of runs until the first flag, with the mean of the runs off by a shift in standard deviations.
fn mean_length<C>(shift: f64, start: impl Fn() -> C, flags: impl Fn(&mut C, f64) -> bool) -> f64 {
    let mut runs = 0_u64;
    for series in 0..SERIES {
        let mut seeded = Seeded::stream(SEED, series);
        let mut chart = start();
        loop {
            runs += 1;
            let value = KNOWN.centre + KNOWN.sd * (shift + seeded.normal());
            if flags(&mut chart, value) {
                break;
            }
        }
    }
    runs as f64 / SERIES as f64
}

/// Compares a simulated length with the integral equation and, where there is one, with the printed figure.
fn check(what: &str, found: f64, row: &Value) -> f64 {
    let computed = number(row, "computed");
    let off = (found - computed).abs() / computed;
    assert!(off <= ALLOWED, "{what}: {found} instead of {computed}");
    if let Some(printed) = row["published"].as_str() {
        let figure = number(row, "published");
        let decimals = printed.split_once('.').map_or(0, |(_, after)| after.len());
        let half_a_unit = 0.5 * 10f64.powi(-(decimals as i32));
        let apart = (found - figure).abs();
        assert!(
            apart <= ALLOWED * figure + half_a_unit,
            "{what}: {found} instead of the printed {printed}"
        );
    }
    off
}

fn ewma(row: &Value, width: Width) -> f64 {
    let plan = EwmaPlan {
        lambda: number(row, "lambda"),
        limits: number(row, "limits"),
        width,
    };
    let shift = number(row, "shift");
    let found = mean_length(
        shift,
        || Ewma::new(KNOWN, plan),
        |chart, value| chart.next(value).beyond().is_some(),
    );
    let what = format!("weight {}, shift {shift}, {width:?}", plan.lambda);
    check(&what, found, row)
}

fn worst(what: &str, offs: impl Iterator<Item = f64>) {
    let (count, worst) = offs.fold((0, 0.0_f64), |(count, worst), off| {
        (count + 1, worst.max(off))
    });
    println!(
        "{what}: {count} mean run lengths within {:.1} % of the integral equations",
        100.0 * worst
    );
    assert!(count > 0);
}

#[test]
fn weighted_means_run_as_long_as_the_tables_of_lucas_and_saccucci_say() {
    let expected = &data_json("run_lengths.json")["expected"];
    let rows = list(expected, "ewma_steady").iter();
    worst("weighted mean", rows.map(|row| ewma(row, Width::Steady)));
}

#[test]
fn weighted_means_with_limits_of_exact_width_run_as_long_as_the_integral_equations_say() {
    let expected = &data_json("run_lengths.json")["expected"];
    let rows = list(expected, "ewma_exact").iter();
    worst(
        "weighted mean, exact width",
        rows.map(|row| ewma(row, Width::Exact)),
    );
}

#[test]
fn cumulative_sums_run_as_long_as_the_tables_say() {
    let expected = &data_json("run_lengths.json")["expected"];
    let rows = list(expected, "cusum").iter().map(|row| {
        let plan = CusumPlan {
            reference: number(row, "reference"),
            decision: number(row, "decision"),
        };
        let shift = number(row, "shift");
        let found = mean_length(
            shift,
            || Cusum::new(KNOWN, plan),
            |chart, value| {
                let sums = chart.next(value);
                sums.upper > chart.decision() || sums.lower > chart.decision()
            },
        );
        check(
            &format!("decision {}, shift {shift}", plan.decision),
            found,
            row,
        )
    });
    worst("cumulative sums", rows);
}

#[test]
fn rules_hold_by_luck_as_often_as_counting_says() {
    let rules = &data_json("run_lengths.json")["expected"]["rules"];
    for rule in [
        RunRule::NineOnOneSide,
        RunRule::SixRisingOrFalling,
        RunRule::TwoOfThreeBeyondTwo,
    ] {
        let expected = number(rules, rule.words());
        check_digits(rule.words(), chance_by_luck(rule), expected, CHANCE_DIGITS);
    }
}
