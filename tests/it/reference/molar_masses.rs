//! Does a formula weigh what the published atomic weights say?
//!
//! In: 20 formulae of inorganic and analytical chemistry with molar masses from the abridged standard atomic
//! weights of 2021, computed with two general-purpose libraries and two parsers. Out: tests of the library's
//! formula reader, because no call of the program prints a molar mass.
//! This module never uses the library's own table of atomic weights for an expected value.

use residuum::chemistry::{AtomicWeights, Formula};
use residuum::measured::{Measured, Sources};

use crate::support::{data_json, list, matching_digits, number};

/// Agreement asked in g/mol: what the reference file states for the same atomic weights. Rounding in binary64 stays
/// far below it, and one atom more or less, or an older atomic weight of most elements, far above.
const TOLERANCE: f64 = 1e-4;

/// Digits asked of the standard uncertainty: a root of a sum of a few squares in binary64.
const DIGITS_OF_UNCERTAINTY: f64 = 9.0;

/// Texts that are no formula: empty, unknown element, wrong case, unbalanced brackets, a dangling hydrate dot.
const REFUSED: [&str; 8] = [
    "",
    "Xy2O3",
    "cuso4",
    "(CuSO4",
    "CuSO4)",
    "K3[Fe(CN)6)",
    "CuSO4·",
    "Cu SO4 + H2O",
];

fn molar_mass(formula: &str) -> Measured {
    let weights = AtomicWeights::new(&mut Sources::default());
    Formula::parse(formula)
        .unwrap_or_else(|error| panic!("`{formula}` is a formula, but: {error}"))
        .molar_mass(&weights)
}

#[test]
fn formulae_weigh_what_the_atomic_weights_of_2021_say() {
    let reference = data_json("molar_masses.json");
    let plain = list(&reference["inputs"], "formulas");
    let dotted = list(&reference["inputs"], "unicode_formulas");
    assert_eq!((plain.len(), dotted.len()), (20, 20));
    for (plain, dotted) in plain.iter().zip(dotted) {
        let (plain, dotted) = (plain.as_str().unwrap(), dotted.as_str().unwrap());
        let expected = number(&reference["expected"][plain], "M_g_per_mol");
        // All three hydrate dots that a campaign file may hold.
        for formula in [plain, dotted, &plain.replace('.', "*")] {
            let actual = molar_mass(formula).value();
            assert!(
                (actual - expected).abs() <= TOLERANCE,
                "`{formula}` weighs {actual} g/mol, not {expected} g/mol"
            );
        }
    }
}

/// Printed uncertainties are half-widths of rectangles; atoms of one element share their error, elements do not.
#[test]
fn molar_masses_carry_the_uncertainty_of_their_atomic_weights() {
    let reference = data_json("molar_masses.json");
    for formula in list(&reference["inputs"], "formulas") {
        let formula = formula.as_str().unwrap();
        let expected = number(&reference["expected"][formula], "u_M_rectangular_g_per_mol");
        let actual = molar_mass(formula).uncertainty();
        assert!(
            matching_digits(actual, expected) >= DIGITS_OF_UNCERTAINTY,
            "u of `{formula}` is {actual} g/mol, not {expected} g/mol"
        );
    }
}

#[test]
fn what_is_no_formula_is_refused() {
    for text in REFUSED {
        assert!(
            Formula::parse(text).is_err(),
            "`{text}` was taken for a formula"
        );
    }
}
