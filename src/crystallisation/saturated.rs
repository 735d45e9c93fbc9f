//! What does a litre of saturated liquor hold?
//!
//! In: a mass fraction and a density. Out: [`Saturated`], the salt in a litre with its relative uncertainty.
//! This module never chooses a temperature.

use super::density::estimate;
use super::piece::Reading;
use crate::chemistry::Formula;

/// Millilitres in a litre.
const MILLILITRES: f64 = 1000.0;

/// Where the density of a liquor comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DensityFrom {
    /// The campaign file states it, without an uncertainty.
    Stated,
    /// It was estimated from the mass fraction: a caveat.
    Estimated {
        /// Relative standard uncertainty of the estimate.
        relative_uncertainty: f64,
    },
}

/// Liquor that is saturated with the product at a temperature.
///
/// `s = w·ρ·1000`: mass fraction `w`, density `ρ` [g/mL]; as product `s·M_product/M_anhydrous`.
///
/// # Assumes
/// Pure water with this salt alone: free acid or a common ion leaves less in the liquor, so the figures are then upper
/// bounds. Both sources of uncertainty are independent of each other. The molar masses count as exact: their ratio is
/// known to better than 0.01 %.
/// # Source
/// Definition of mass concentration.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Saturated {
    /// Temperature [degC].
    pub temperature: f64,
    /// Anhydrous salt in the liquor [mass fraction].
    pub mass_fraction: f64,
    /// Relative standard uncertainty of the mass fraction.
    pub mass_fraction_relative_uncertainty: f64,
    /// Density of the liquor [g/mL].
    pub density: f64,
    /// Where the density comes from.
    pub density_from: DensityFrom,
    /// Anhydrous salt in a litre of liquor [g/L].
    pub anhydrous_per_litre: f64,
    /// Product in a litre of liquor, the water of its formula included [g/L].
    pub product_per_litre: f64,
    /// Part of the relative standard uncertainty of the figures per litre that comes from the solubility itself,
    /// with what it does to an estimated density.
    pub relative_uncertainty_from_solubility: f64,
}

impl Saturated {
    /// Part of the relative standard uncertainty of the figures per litre that comes from the density; `None` when
    /// the density was stated, because its uncertainty was not.
    pub fn relative_uncertainty_from_density(&self) -> Option<f64> {
        match self.density_from {
            DensityFrom::Stated => None,
            DensityFrom::Estimated {
                relative_uncertainty,
            } => Some(relative_uncertainty),
        }
    }

    /// Relative standard uncertainty of the figures per litre; a lower bound when the density was stated.
    pub fn relative_uncertainty(&self) -> f64 {
        self.relative_uncertainty_from_solubility
            .hypot(self.relative_uncertainty_from_density().unwrap_or(0.0))
    }
}

/// The salt, how it is weighed as product, and the density if the campaign states one.
#[derive(Debug, Clone)]
pub(super) struct Liquor {
    /// The salt without hydrate water.
    pub salt: Formula,
    /// Product that a gram of the anhydrous salt makes [g].
    pub product_per_anhydrous: f64,
    /// Density of the saturated liquor, if it was measured [g/mL].
    pub density: Option<f64>,
}

impl Liquor {
    /// What a litre of it holds at a temperature [degC].
    pub fn saturated(&self, temperature: f64, reading: Reading) -> Saturated {
        let mass_fraction = reading.mass_fraction;
        let (density, density_from, gain) = match self.density {
            Some(density) => (density, DensityFrom::Stated, 1.0),
            None => {
                let found = estimate(&self.salt, mass_fraction, temperature);
                let from = DensityFrom::Estimated {
                    relative_uncertainty: found.relative_uncertainty,
                };
                (found.density, from, found.gain)
            }
        };
        let anhydrous_per_litre = mass_fraction * density * MILLILITRES;
        Saturated {
            temperature,
            mass_fraction,
            mass_fraction_relative_uncertainty: reading.relative_uncertainty,
            density,
            density_from,
            anhydrous_per_litre,
            product_per_litre: anhydrous_per_litre * self.product_per_anhydrous,
            relative_uncertainty_from_solubility: gain * reading.relative_uncertainty,
        }
    }
}
