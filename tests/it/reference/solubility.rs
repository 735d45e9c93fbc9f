//! Is the built-in solubility table what the handbook says, and is it read between its points as it should be?
//!
//! In: a second transcription of the handbook table (which may share its origin with the first), and mass fractions between the points from scipy's
//! PchipInterpolator, computed by `tests/check-scripts/solubility_pchip.py`. Out: tests of the library's curves,
//! because no call of the program prints a solubility.
//! This module never takes an expected value from the table that it checks.

use residuum::campaign::{Solubility, SolubilityPoint};
use residuum::chemistry::{AtomicWeights, Formula};
use residuum::crystallisation::Curve;
use residuum::measured::Sources;
use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::support::{check_digits, data, data_json, list, number};

/// Digits asked between two points: two ways to write the same cubic, each with a few roundings in binary64.
const DIGITS: f64 = 10.0;

/// The second transcription is in g on 100 g of water with four decimals: half a unit of the last one.
const HALF_A_UNIT: f64 = 0.5e-4;

/// The table that the expected values between its points were computed from.
const TABLE: &[u8] = include_bytes!("../../../src/crystallisation/solubility.csv");

fn curve(salt: &str, points: Vec<SolubilityPoint>) -> Curve {
    let weights = AtomicWeights::new(&mut Sources::default());
    let plan = Solubility {
        product: None,
        points,
        density: None,
    };
    let formula = Formula::parse(salt).expect("a salt of the reference data is a formula");
    Curve::of(&formula, Some(&plan), &weights).expect("a salt of the reference data has figures")
}

fn check_between(what: &str, curve: &Curve, expected: &Value) {
    let readings = list(expected, "between");
    assert!(!readings.is_empty(), "{what}: nothing to compare");
    for reading in readings {
        let temperature = number(reading, "temperature");
        let found = curve
            .saturated(temperature)
            .unwrap_or_else(|reason| panic!("{what}: {reason:?}"));
        let place = format!("{what} at {temperature} degC");
        check_digits(
            &place,
            found.mass_fraction,
            number(reading, "mass_fraction"),
            DIGITS,
        );
    }
}

#[test]
fn the_table_agrees_with_a_second_transcription_of_the_handbook() {
    let text = data("solubility_second_transcription.csv");
    let mut compared = 0;
    for line in text.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let [salt, temperature, expected] = cells[..] else {
            panic!("`{line}` has not three cells")
        };
        let figure = |text: &str| text.parse::<f64>().expect("a cell is a number");
        let found = curve(salt, vec![])
            .saturated(figure(temperature))
            .unwrap_or_else(|reason| panic!("{salt}: {reason:?}"));
        let per_100_g = 100.0 * found.mass_fraction / (1.0 - found.mass_fraction);
        let difference = per_100_g - figure(expected);
        assert!(
            difference.abs() <= HALF_A_UNIT * 1.001,
            "{line}: {per_100_g}"
        );
        compared += 1;
    }
    // 34 salts at twelve temperatures, but permanganate at eight and sodium sulfate at ten.
    assert_eq!(compared, 402);
}

#[test]
fn the_table_is_read_between_its_points_as_scipy_reads_it() {
    let expected = data_json("solubility_pchip.json");
    let digest: String = Sha256::digest(TABLE)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    assert_eq!(
        expected["table_sha256"], digest,
        "the table has changed: run tests/check-scripts/solubility_pchip.py again"
    );
    for salt in list(&expected, "table") {
        let name = salt["formula"].as_str().expect("a formula is text");
        check_between(name, &curve(name, vec![]), salt);
    }
}

#[test]
fn own_points_are_joined_as_scipy_joins_them() {
    let expected = data_json("solubility_pchip.json");
    for case in list(&expected, "own_points") {
        let points = list(case, "points").iter().map(|point| SolubilityPoint {
            temperature: number(point, "temperature"),
            per_100_g: number(point, "per_100_g"),
        });
        let name = case["name"].as_str().expect("a name is text");
        check_between(name, &curve("KMnO4", points.collect()), case);
    }
}
