//! Do control charts agree with the handbooks?
//!
//! In: the worked examples of single values and of cumulative sums, and the table of constants, in `tests/data`.
//! Out: tests of `residuum drift` through the program.
//! This module never takes a limit or a sum from residuum for an expected value.

use residuum::drift::{range_of_two, spread_of_range_of_two};
use serde_json::Value;

use crate::support::{
    CampaignFolder, check_digits, check_printed, data, data_json, list, member, number,
    residuum_json,
};

/// Digits asked of limits and sums: sums and one division of three-digit numbers lose almost nothing.
const DIGITS: f64 = 12.0;

/// Digits asked of constants, which the table prints with ten decimals.
const CONSTANT_DIGITS: f64 = 9.5;

/// The handbook divides by 1.128 where `2/√π` is 1.12838: limits move by 3 × 1.8778 × 0.0003 at most.
const ROUNDED_CONSTANT: f64 = 0.002;

/// The handbook prints sums of steps that were rounded to two decimals.
const PRINTED_SUMS: f64 = 0.02;

/// A campaign that charts the last column of a table and nothing else.
fn charts(table: &str, heading: &str, drift: &str) -> Value {
    let campaign = format!(
        "[campaign]\ntitle = \"Handbook\"\n\n[logs]\nruns = \"runs.csv\"\n\n[responses.charted]\ncolumn = \"{heading}\"\n\n[drift]\nresponse = \"charted\"\n{drift}\n"
    );
    let (_, rows) = table.split_once('\n').expect("the table has a heading");
    let rows: String = rows
        .lines()
        .map(|row| {
            let cells: Vec<&str> = row.split(',').collect();
            format!("{},{}\n", cells[0], cells[1])
        })
        .collect();
    let folder = CampaignFolder::new()
        .with("campaign.toml", &campaign)
        .with("runs.csv", &format!("run,{heading}\n{rows}"));
    residuum_json("drift", folder.path())
}

fn chart<'a>(result: &'a Value, kind: &str) -> &'a Value {
    member(list(result, "drift"), "chart", kind).unwrap_or_else(|| panic!("no chart `{kind}`"))
}

#[test]
fn single_values_have_the_limits_of_the_handbook() {
    let example = data_json("nist_individuals_flowrate.json");
    let expected = &example["expected"];
    let result = charts(
        &data("nist_individuals_flowrate.csv"),
        "flowrate",
        "baseline = 10",
    );
    let found = chart(&result, "individuals");
    check_printed("centre", number(found, "centre"), "50.81");
    for (key, with, printed) in [("lower", "LCL", "LCL"), ("upper", "UCL", "UCL")] {
        let exact = number(&expected["with_exact_d2"], with);
        check_digits(key, number(found, key), exact, DIGITS);
        let off = (number(found, key) - number(expected, printed)).abs();
        assert!(off <= ROUNDED_CONSTANT, "{key} is {off} from the handbook");
    }
    let ranges = &found["moving_range"];
    check_printed("mean range", number(ranges, "mean"), "1.8778");
    let printed = number(expected, "MR_chart_UCL_D4_3.267");
    assert!((number(ranges, "upper") - printed).abs() <= ROUNDED_CONSTANT);
    assert_eq!(ranges["beyond"], Value::Array(Vec::new()));
    assert!(
        list(found, "points")
            .iter()
            .all(|point| point["flag"].is_null())
    );
}

#[test]
fn constants_of_two_neighbours_are_those_of_the_tables() {
    let constants = data_json("control_chart_constants.json");
    let of_two = &constants["expected"]["table"]["2"];
    check_digits("d2", range_of_two(), number(of_two, "d2"), CONSTANT_DIGITS);
    check_digits(
        "d3",
        spread_of_range_of_two(),
        number(of_two, "d3"),
        CONSTANT_DIGITS,
    );
    let upper = 1.0 + 3.0 * spread_of_range_of_two() / range_of_two();
    check_digits("D4", upper, number(of_two, "D4"), CONSTANT_DIGITS);
    check_digits(
        "E2",
        3.0 / range_of_two(),
        number(of_two, "E2"),
        CONSTANT_DIGITS,
    );
    // ISO 7870-2:2013, table 2, and ASTM E2587, table 1, print three decimals; from memory.
    for (what, found, printed) in [
        ("d2", range_of_two(), "1.128"),
        ("d3", spread_of_range_of_two(), "0.853"),
        ("D4", upper, "3.267"),
    ] {
        check_printed(what, found, printed);
    }
}

#[test]
fn cumulative_sums_are_those_of_the_handbook_and_flag_at_the_same_group() {
    let example = data_json("nist_cusum.json");
    let (inputs, expected) = (&example["inputs"], &example["expected"]);
    // The handbook states slack and decision in the unit of the data: half a standard deviation is the slack.
    let sd = 2.0 * number(inputs, "k");
    let drift = format!(
        "centre = {}\nsd = {sd}\ncusum = {{ reference = 0.5, decision = {} }}",
        number(inputs, "target"),
        number(inputs, "h") / sd
    );
    let result = charts(&data("nist_cusum.csv"), "x", &drift);
    let found = chart(&result, "cusum");
    check_digits(
        "decision",
        number(found, "upper"),
        number(inputs, "h"),
        DIGITS,
    );
    let points = list(found, "points");
    for (side, exact, printed) in [
        ("upper_statistic", "S_hi", "S_hi_published"),
        ("lower_statistic", "S_lo", "S_lo_published"),
    ] {
        let rows = list(expected, exact).iter().zip(list(expected, printed));
        for (point, (exact, printed)) in points.iter().zip(rows) {
            let sum = number(point, side);
            let off = |expected: &Value| (sum - expected.as_f64().expect("a number")).abs();
            // Twenty sums of numbers near 325 with three decimals, in binary.
            assert!(off(exact) < 1e-9, "{side}: {sum} for {exact}");
            assert!(off(printed) <= PRINTED_SUMS, "{side}: {sum} for {printed}");
        }
    }
    let flagged: Vec<u64> = points
        .iter()
        .enumerate()
        .filter(|(_, point)| !point["flag"].is_null())
        .map(|(group, _)| group as u64 + 1)
        .collect();
    let signals: Vec<u64> = list(expected, "signal_groups")
        .iter()
        .filter_map(Value::as_u64)
        .collect();
    assert_eq!(flagged, signals);
    assert_eq!(list(found, "signals")[0]["onset"], "13");
}
