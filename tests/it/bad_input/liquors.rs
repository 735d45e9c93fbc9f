//! Is the strength of a mother liquor taken for what its heading says it is of?
//!
//! In: one strength in several units and formulas. Out: tests of the product in the liquor and of whole messages.
//! This module never closes a balance.

use super::bench::{Edit, RUNS, campaign, change, whole, with_column};
use super::promises::{check_stops, fault};
use crate::support::{check_digits, list, member, number, residuum_json};

/// Atomic weights are known to four or five digits, and these are the abridged ones of 2021: Cu 63.546, O 15.999.
const DIGITS: f64 = 9.0;

const COPPER: f64 = 63.546;
const OXIDE: f64 = 63.546 + 15.999;

/// R3 with 10 mL of liquor of this strength.
fn liquor(heading: &str, strength: &str) -> Edit {
    let runs = with_column(RUNS, "liquor_volume", "R3", "10");
    whole("runs.csv", with_column(&runs, heading, "R3", strength))
}

fn liquor_as(formula: &str) -> Edit {
    change(
        "campaign.toml",
        "ratio = 1.0",
        format!("ratio = 1.0\nliquor_as = \"{formula}\""),
    )
}

fn mapped(heading: &str) -> Edit {
    change(
        "campaign.toml",
        "[titration]",
        format!("[columns.runs]\nliquor_conc = {{ heading = \"{heading}\" }}\n\n[titration]"),
    )
}

/// Product in the liquor of R3 \[g\].
fn product(edits: &[Edit]) -> f64 {
    let yields = residuum_json("yields", campaign(edits).path());
    let line = member(list(&yields, "yields"), "run", "R3").expect("the run is there");
    let [liquor, theory] = [&line["balance"]["liquor"], &line["theory_total"]];
    number(liquor, "value") * number(theory, "value")
}

#[test]
fn a_strength_is_of_the_formula_in_its_unit() {
    // 10 mL of 60 g/L hold 0.6 g of what is counted.
    let of_copper = 0.6 * OXIDE / COPPER;
    for (heading, grams) in [
        ("liquor_conc", 0.6),
        ("liquor_conc / g/L", 0.6),
        ("liquor_conc / g CuO/L", 0.6),
        ("liquor_conc / g Cu/L", of_copper),
        ("liquor_conc (g/L Cu)", of_copper),
        ("liquor_conc [g/L of Cu]", of_copper),
        ("liquor_conc Cu g/L", of_copper),
        ("liquor_conc g/L", 0.6),
    ] {
        check_digits(heading, product(&[liquor(heading, "60")]), grams, DIGITS);
    }
    let milligrams = product(&[liquor("liquor_conc / mg Cu/L", "60000")]);
    check_digits("mg Cu/L", milligrams, of_copper, DIGITS);
    let copper = [liquor("liquor_conc / g/L", "60"), liquor_as("Cu")];
    check_digits("liquor_as", product(&copper), of_copper, DIGITS);
    let twice = [liquor("liquor_conc / g Cu/L", "60"), liquor_as("Cu")];
    check_digits("said twice", product(&twice), of_copper, DIGITS);
}

#[test]
fn an_own_heading_may_name_the_formula_before_its_unit() {
    let of_copper = 0.6 * OXIDE / COPPER;
    for (heading, given) in [
        ("ML Cu g/L", "ML Cu g/L"),
        ("ML Cu g/L", "ML"),
        ("ML Cu / g/L", "ML Cu"),
        ("ML Cu", "ML Cu"),
    ] {
        let edits = [liquor(heading, "60"), mapped(given)];
        check_digits(heading, product(&edits), of_copper, DIGITS);
    }
    let plain = [liquor("ML g/L", "60"), mapped("ML g/L")];
    check_digits("ML g/L", product(&plain), 0.6, DIGITS);
}

#[test]
fn moles_are_of_the_formula_that_is_counted() {
    // 10 mL of 0.7 mol/L hold 7 mmol of the followed element, whatever formula is counted.
    for edits in [
        vec![liquor("liquor_conc / mol/L", "0.7")],
        vec![liquor("liquor_conc / mmol/L", "700")],
        vec![liquor("liquor_conc / mol/L", "0.7"), liquor_as("Cu")],
        vec![liquor("liquor_conc / mol Cu/L", "0.7")],
    ] {
        check_digits("mol/L", product(&edits), 0.007 * OXIDE, DIGITS);
    }
    // Two atoms in a formula: 7 mmol of it are 14 mmol of copper.
    let doubled = [liquor("liquor_conc / mol/L of Cu2O", "0.7")];
    check_digits("mol/L of Cu2O", product(&doubled), 0.014 * OXIDE, DIGITS);
}

#[test]
fn a_formula_without_the_followed_element_and_another_unit_stop() {
    for (heading, unit, hint) in [
        (
            "liquor_conc / g Fe/L",
            "g Fe/L",
            "Fe holds no Cu: name the product, its salt without water, or the followed element",
        ),
        (
            "liquor_conc / mL",
            "mL",
            "units that fit: g/L, mg/L, g/mL, mol/L, mmol/L; a formula may stand in them: `g Cu/L`",
        ),
        (
            "liquor_conc / g Xx/L",
            "g Xx/L",
            "units that fit: g/L, mg/L, g/mL, mol/L, mmol/L; a formula may stand in them: `g Cu/L`",
        ),
    ] {
        check_stops(
            &[liquor(heading, "60")],
            &[fault(
                &format!("column `{heading}` in `runs.csv` has a unit that does not fit: `{unit}`"),
                hint,
            )
            .in_file("runs.csv")
            .on_line(1)
            .in_column(heading)],
        );
    }
}

#[test]
fn two_formulas_that_differ_stop_with_both_places() {
    check_stops(
        &[liquor("liquor_conc / g Cu/L", "60"), liquor_as("CuSO4")],
        &[fault(
            "column `liquor_conc / g Cu/L` in `runs.csv` is of `Cu`, and `liquor_as` in `campaign.toml` line 37 of `CuSO4`",
            "say in both of which formula the strengths are",
        )
        .in_file("runs.csv")
        .on_line(1)
        .in_column("liquor_conc / g Cu/L")],
    );
    let second = "run,date,lot,feed_mass,heating,bath,liquor_volume,liquor_conc / g Cu/L\nR9,2025-03-13,A,100,hob,60,10,60\n";
    check_stops(
        &[
            change("campaign.toml", "runs = \"runs.csv\"", "runs = [\"runs.csv\", \"more.csv\"]"),
            liquor("liquor_conc / g/L", "60"),
            whole("more.csv", second),
        ],
        &[fault(
            "column `liquor_conc / g Cu/L` in `more.csv` is of `Cu`, and column `liquor_conc / g/L` in `runs.csv` of `CuO`",
            "say in both of which formula the strengths are",
        )
        .in_file("more.csv")
        .on_line(1)
        .in_column("liquor_conc / g Cu/L")],
    );
}
