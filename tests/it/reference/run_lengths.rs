//! How many runs pass until a chart flags?
//!
//! In: `tests/data/run_lengths.json`: published mean run lengths with the integral equations that confirm them.
//! Out: tests of the charts over 10,000 seeded simulations for each scheme and shift, centre and SD known.
//! This module never takes a run length from residuum for an expected value.

use residuum::campaign::{CusumPlan, Drift, RunRule};
use residuum::drift::{
    ChartKind, InControl, Limited, Origin, chance_by_luck, cumulative_sums, steady_limits,
    weighted_means,
};
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

/// How wide the limits of a weighted mean are.
#[derive(Debug, Clone, Copy)]
enum Width {
    /// That of the statistic at each run: narrow at first. All charts of a campaign have it.
    Exact,
    /// That which it comes to after many runs, from the first on; published run lengths are for these.
    Steady,
}

/// Mean number of runs until the first flag, with the mean of the runs off by a shift in standard deviations.
///
/// `first_flag` gives the position of the first flag in an endless series of values.
fn mean_length(shift: f64, first_flag: impl Fn(&mut dyn Iterator<Item = f64>) -> usize) -> f64 {
    let mut runs = 0;
    for series in 0..SERIES {
        let mut seeded = Seeded::stream(SEED, series);
        let value = || KNOWN.centre + KNOWN.sd * (shift + seeded.normal());
        runs += 1 + first_flag(&mut std::iter::repeat_with(value));
    }
    runs as f64 / SERIES as f64
}

/// The settings that a row states; those of the other charts are no numbers.
fn plan(row: &Value) -> Drift {
    let of = |key: &str| match row[key] {
        Value::Null => f64::NAN,
        _ => number(row, key),
    };
    Drift {
        response: None,
        centre: None,
        sd: None,
        baseline: None,
        limits: of("limits"),
        lambda: of("lambda"),
        cusum: CusumPlan {
            reference: of("reference"),
            decision: of("decision"),
        },
        rules: Vec::new(),
    }
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
    let plan = plan(row);
    let shift = number(row, "shift");
    let steady = steady_limits(ChartKind::Ewma, KNOWN, &plan);
    let flags = |point: Limited| match width {
        Width::Exact => point.beyond().is_some(),
        Width::Steady => {
            let statistic = point.statistic;
            Limited {
                statistic,
                ..steady
            }
            .beyond()
            .is_some()
        }
    };
    let found = mean_length(shift, |values| {
        let mut points = weighted_means(values, KNOWN, &plan);
        points.position(flags).expect("a chart flags at last")
    });
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
        let plan = plan(row);
        let shift = number(row, "shift");
        let limit = steady_limits(ChartKind::Cusum, KNOWN, &plan).upper;
        let found = mean_length(shift, |values| {
            cumulative_sums(values, KNOWN, &plan)
                .position(|sums| sums.upper > limit || sums.lower > limit)
                .expect("a chart flags at last")
        });
        let what = format!("decision {}, shift {shift}", plan.cusum.decision);
        check(&what, found, row)
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
