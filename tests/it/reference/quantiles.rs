//! Do quantiles and tails agree with the tables of the handbooks?
//!
//! In: the tables of t, F, chi-squared, normal and Grubbs' values in `tests/data`. Out: tests of the library.
//! This module never takes a quantile from the library for an expected value.

use residuum::distributions::{
    chi_squared_upper, coverage_factor, f_for_tail, f_upper, grubbs_critical, t_for_confidence,
    t_two_sided,
};

use crate::reference::study::Table;
use crate::support::{check_printed, data_json, list, matching_digits, number};

/// Digits asked of quantiles, which the tables print with ten decimals.
const QUANTILE_DIGITS: f64 = 9.0;

/// Digits asked of a tail at a printed quantile: half a unit of the tenth decimal moves the tail by so much.
const TAIL_DIGITS: f64 = 8.0;

/// Distance that the table of Grubbs' values allows.
const GRUBBS: f64 = 1e-6;

/// How a table went, figure by figure.
struct Rows {
    fewest: f64,
    count: usize,
}

impl Rows {
    fn new() -> Self {
        Self {
            fewest: f64::INFINITY,
            count: 0,
        }
    }

    fn check(&mut self, what: &str, found: Option<f64>, expected: f64, at_least: f64) {
        let found = found.unwrap_or_else(|| panic!("{what}: nothing"));
        let digits = matching_digits(found, expected);
        assert!(
            digits >= at_least,
            "{what}: {found} agrees with {expected} to {digits:.1} digits"
        );
        self.fewest = self.fewest.min(digits);
        self.count += 1;
    }

    fn report(&self, table: &str, at_least_rows: usize) {
        println!(
            "{table}: {} figures, {:.1} digits or more",
            self.count, self.fewest
        );
        assert!(self.count >= at_least_rows, "{table}: {}", self.count);
    }
}

#[test]
fn every_quantile_of_t_agrees_with_the_table() {
    // NIST/SEMATECH e-Handbook 1.3.6.7.2, ten decimals computed with scipy 1.17.1.
    let table = Table::read("student_t");
    let degrees = table.numbers("df");
    let mut rows = Rows::new();
    for (column, one_sided) in [
        ("p90", 0.9),
        ("p95", 0.95),
        ("p975", 0.975),
        ("p99", 0.99),
        ("p995", 0.995),
    ] {
        for (df, expected) in degrees.iter().zip(table.numbers(column)) {
            let what = format!("{column} of t with {df}");
            let found = t_for_confidence(2.0 * one_sided - 1.0, *df);
            rows.check(&what, found, expected, QUANTILE_DIGITS);
            let tail = t_two_sided(expected, *df);
            rows.check(&what, tail, 2.0 * (1.0 - one_sided), TAIL_DIGITS);
        }
    }
    rows.report("t", 300);
}

#[test]
fn every_quantile_of_f_agrees_with_the_table() {
    // NIST/SEMATECH e-Handbook 1.3.6.7.3, ten decimals computed with scipy 1.17.1.
    let table = Table::read("f_quantiles");
    let (tails, expected) = (table.numbers("alpha"), table.numbers("F_upper"));
    let (above, below) = (table.numbers("df1"), table.numbers("df2"));
    let mut rows = Rows::new();
    for row in 0..tails.len() {
        let what = format!("{} of F with {} and {}", tails[row], above[row], below[row]);
        let found = f_for_tail(tails[row], above[row], below[row]);
        rows.check(&what, found, expected[row], QUANTILE_DIGITS);
        let tail = f_upper(expected[row], above[row], below[row]);
        rows.check(&what, tail, tails[row], TAIL_DIGITS);
    }
    rows.report("F", 200);
}

#[test]
fn every_quantile_of_chi_squared_has_its_tail() {
    // NIST/SEMATECH e-Handbook 1.3.6.7.4, ten decimals computed with scipy 1.17.1.
    let table = Table::read("chi2_quantiles");
    let degrees = table.numbers("df");
    let mut rows = Rows::new();
    for (column, below) in [
        ("p025", 0.025),
        ("p05", 0.05),
        ("p95", 0.95),
        ("p975", 0.975),
        ("p99", 0.99),
    ] {
        for (df, quantile) in degrees.iter().zip(table.numbers(column)) {
            let what = format!("{column} of chi-squared with {df}");
            let tail = chi_squared_upper(quantile, *df);
            rows.check(&what, tail, 1.0 - below, TAIL_DIGITS);
        }
    }
    rows.report("chi-squared", 150);
}

#[test]
fn without_estimated_scatter_the_coverage_factor_is_normal() {
    // Standard normal quantiles, computed with scipy 1.17.1.
    let table = Table::read("normal_quantiles");
    let mut rows = Rows::new();
    for (below, quantile) in table.numbers("p").into_iter().zip(table.numbers("z")) {
        let found = coverage_factor(2.0 * below - 1.0, f64::INFINITY);
        rows.check(
            &format!("z below {below}"),
            found,
            quantile,
            QUANTILE_DIGITS,
        );
    }
    rows.report("normal", 4);
}

#[test]
fn every_critical_value_of_grubbs_agrees_with_the_table() {
    // Computed with scipy 1.17.1 from the relation of ISO 5725-2:1994, 7.3.4; one side takes twice the level.
    let table = Table::read("grubbs");
    for (column, level) in [
        ("two_sided_05", 0.05),
        ("two_sided_01", 0.01),
        ("one_sided_05", 0.1),
        ("one_sided_01", 0.02),
    ] {
        for (n, expected) in table.numbers("n").iter().zip(table.numbers(column)) {
            let found = grubbs_critical(*n as usize, level).expect("a critical value");
            assert!(
                (found - expected).abs() < GRUBBS,
                "{column} for {n}: {found} {expected}"
            );
        }
    }
    // Printed in ISO 5725-2:1994, table 5 (two-sided), and ASTM E178, table 1 (one-sided); recalled from memory.
    let reference = data_json("grubbs.json");
    let published = list(&reference["expected"], "published_3_decimals");
    assert!(published.len() > 10);
    for line in published {
        let level = number(line, "alpha") * if line["sided"] == 1 { 2.0 } else { 1.0 };
        let found = grubbs_critical(number(line, "n") as usize, level).expect("a critical value");
        check_printed("Grubbs", found, &format!("{:.3}", number(line, "G")));
    }
}

#[test]
fn two_values_have_no_odd_one_out() {
    assert_eq!(grubbs_critical(2, 0.05), None);
}

#[test]
fn spot_values_of_the_printed_tables_come_back() {
    // NIST/SEMATECH e-Handbook 1.3.6.7, printed to three decimals; recalled from memory.
    let expected = data_json("quantiles.json")["expected"].take();
    let printed = |table: &str| -> Vec<(String, String)> {
        let entries = expected[table].as_object().expect("a table").iter();
        entries
            .map(|(at, figure)| (at.clone(), figure.as_str().expect("printed").to_string()))
            .collect()
    };
    for (df, figure) in printed("t_0.975_df") {
        let found = t_for_confidence(0.95, df.parse().expect("a number")).expect("a quantile");
        check_printed(&format!("t with {df}"), found, &figure);
    }
    for (degrees, figure) in printed("F_0.05") {
        let (above, below) = degrees.split_once(',').expect("two degrees of freedom");
        let found = f_for_tail(0.05, above.parse().unwrap(), below.parse().unwrap());
        check_printed(
            &format!("F with {degrees}"),
            found.expect("a quantile"),
            &figure,
        );
    }
    for (below, figure) in printed("z") {
        let below: f64 = below.parse().expect("a number");
        let found = coverage_factor(2.0 * below - 1.0, f64::INFINITY).expect("a quantile");
        check_printed(&format!("z at {below}"), found, &figure);
    }
}
