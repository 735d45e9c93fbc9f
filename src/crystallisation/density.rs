//! Estimated density of a saturated liquor that nobody weighed.
//!
//! In: the salt, its mass fraction and the temperature. Out: [`Estimate`], a density with its uncertainty.
//! This module never looks a density up: it takes all salts of a kind for alike and says how wrong that can be.

use crate::chemistry::Formula;

/// An estimated density.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Estimate {
    /// Density of the liquor [g/mL].
    pub density: f64,
    /// Relative standard uncertainty of the density.
    pub relative_uncertainty: f64,
    /// Relative change of (mass fraction × density) for a relative change of the mass fraction.
    pub gain: f64,
}

/// How much lighter a gram of salt makes the volume than a gram of water would, and how much that differs.
struct Contraction {
    k: f64,
    uncertainty: f64,
}

/// Salts of a metal. Chlorides and nitrates of the alkalis have about 0.6, sulfates of the heavy metals 0.9.
const OF_A_METAL: Contraction = Contraction {
    k: 0.75,
    uncertainty: 0.15,
};
/// Ammonium salts and acids: light ions that take more room for their mass.
const WITHOUT_METAL: Contraction = Contraction {
    k: 0.40,
    uncertainty: 0.10,
};

/// Elements that are no metal, of which salts of ammonium and solid acids are made.
const NON_METALS: [&str; 11] = ["B", "Br", "C", "Cl", "F", "H", "I", "N", "O", "P", "S"];

/// Density of a liquor from the mass fraction of the salt in it and the temperature \[degC\].
///
/// `ρ = ρ_water / (1 − k·w)`: with `w` the mass fraction of the salt and `k = 1 − v·ρ_water`, where `v` is the volume
/// that a gram of the dissolved salt takes up. `k` is 0.75 ± 0.15 for salts of a metal and 0.40 ± 0.10 for others.
/// What is not known of `k` makes a relative standard uncertainty of `u(k)·w / (1 − k·w)`: 1 % at 6 % of salt, 4 % at
/// 20 %, 9 % at 40 %.
///
/// # Units and shapes
/// Temperature \[degC\], density [g/mL]; both uncertainties relative.
/// # Assumes
/// Volumes of salt and water add; `w` below 1. Below 0 and above 150 degC water is taken as it is at that bound.
/// # Source
/// Definition of the apparent specific volume. `k` is taken from the densities in the tests below, which are from memory.
pub(super) fn estimate(salt: &Formula, mass_fraction: f64, temperature: f64) -> Estimate {
    let has_metal = salt.elements().any(|symbol| !NON_METALS.contains(&symbol));
    let contraction = if has_metal { OF_A_METAL } else { WITHOUT_METAL };
    let room = 1.0 - contraction.k * mass_fraction;
    Estimate {
        density: water(temperature) / room,
        relative_uncertainty: contraction.uncertainty * mass_fraction / room,
        gain: 1.0 / room,
    }
}

/// Density of water free of air at 1 atm [g/mL].
///
/// # Source
/// Kell, G. S., J. Chem. Eng. Data 20 (1975) 97-105, equation 16; coefficients from memory, checked below.
fn water(temperature: f64) -> f64 {
    let t = temperature.clamp(0.0, 150.0);
    let above = [
        999.83952,
        16.945176,
        -7.987_040_1e-3,
        -46.170461e-6,
        105.56302e-9,
        -280.54253e-12,
    ];
    let sum = above.iter().rev().fold(0.0, |sum, c| sum * t + c);
    sum / (1.0 + 16.879850e-3 * t) / 1000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Densities of water [g/mL] at 0, 20, 25, 50 and 100 degC as handbooks print them; from memory.
    const WATER: [(f64, f64); 5] = [
        (0.0, 0.99984),
        (20.0, 0.99821),
        (25.0, 0.99705),
        (50.0, 0.98804),
        (100.0, 0.95836),
    ];

    /// Half a unit of the last printed digit, and as much again for the change of the temperature scale in 1990.
    const WATER_TOLERANCE: f64 = 1e-5;

    /// Salt, mass fraction, density [g/mL] of (nearly) saturated solutions at 20 degC; from memory, good to 1 %.
    const SOLUTIONS: [(&str, f64, f64); 15] = [
        ("NaCl", 0.264, 1.198),
        ("KCl", 0.24, 1.162),
        ("KNO3", 0.24, 1.162),
        ("NaNO3", 0.40, 1.317),
        ("K2SO4", 0.10, 1.082),
        ("CuSO4", 0.16, 1.180),
        ("FeSO4", 0.20, 1.213),
        ("MgSO4", 0.24, 1.270),
        ("KMnO4", 0.06, 1.041),
        ("K2Cr2O7", 0.10, 1.070),
        ("KI", 0.59, 1.71),
        ("KOH", 0.50, 1.51),
        ("(NH4)2SO4", 0.40, 1.228),
        ("NH4Cl", 0.24, 1.068),
        ("NH4NO3", 0.65, 1.31),
    ];

    /// Coverage factor within which each of these solutions has to lie: 95 % of many would.
    const COVERAGE: f64 = 2.0;

    #[test]
    fn water_weighs_what_handbooks_print() {
        for (temperature, density) in WATER {
            let difference = water(temperature) - density;
            assert!(
                difference.abs() <= WATER_TOLERANCE,
                "{temperature}: {difference}"
            );
        }
    }

    #[test]
    fn known_solutions_lie_within_the_stated_uncertainty() {
        let mut within_one = 0;
        for (salt, mass_fraction, density) in SOLUTIONS {
            let found = estimate(&Formula::parse(salt).unwrap(), mass_fraction, 20.0);
            let off = (found.density / density - 1.0).abs() / found.relative_uncertainty;
            println!(
                "{salt}: {:.3}, {off:.2} standard uncertainties off",
                found.density
            );
            assert!(off <= COVERAGE, "{salt}: {off}");
            within_one += usize::from(off <= 1.0);
        }
        // An uncertainty that is far too wide would be no better than one that is too narrow: a share of 0.68 is
        // expected within one standard uncertainty, and not each single one.
        assert!((8..SOLUTIONS.len()).contains(&within_one), "{within_one}");
    }

    #[test]
    fn liquor_without_salt_is_water() {
        let found = estimate(&Formula::parse("NaCl").unwrap(), 0.0, 25.0);
        assert_eq!(found.density, water(25.0));
        assert_eq!(found.relative_uncertainty, 0.0);
    }
}
