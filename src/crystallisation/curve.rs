//! Solubility of the product against temperature, and what a litre of its saturated liquor holds.
//!
//! In: the formula of the product and `[solubility]` of the campaign file. Out: [`Curve`], or [`Unknown`]; at a
//! temperature [`Saturated`].
//! This module never mixes the campaign's own points with the built-in table.

use super::between_points::Points;
use super::density::estimate;
use super::hydrate::anhydrous;
use super::reason::{OutOfTable, Unknown};
use super::solubility_figures::{OWN_POINTS, SOURCE, own_points, points_of};
use crate::campaign::Solubility;
use crate::chemistry::{AtomicWeights, Formula};

/// Millilitres in a litre.
pub(super) const MILLILITRES: f64 = 1000.0;

/// Solubility of one salt in water against temperature.
///
/// # Units and shapes
/// Temperatures \[degC\]; contents of the saturated liquor as mass fraction of the anhydrous salt and in grams a litre [g/L],
/// of the salt and of the product with the water of its formula.
/// # Assumes
/// Water with this salt alone.
/// # Example
/// ```
/// use residuum::chemistry::{AtomicWeights, Formula};
/// use residuum::crystallisation::Curve;
/// use residuum::measured::Sources;
/// let weights = AtomicWeights::new(&mut Sources::default());
/// let bluestone = Formula::parse("CuSO4·5H2O").unwrap();
/// let liquor = Curve::of(&bluestone, None, &weights).unwrap().saturated(20.0).unwrap();
/// assert!((liquor.mass_fraction - 0.167).abs() < 1e-12);
/// // With the table's 3 % for a figure that stands alone, and the density estimated.
/// assert!((liquor.product_per_litre - 298.1).abs() < 0.1);
/// assert!((liquor.relative_uncertainty() - 0.045).abs() < 0.001);
/// ```
#[derive(Debug, Clone)]
pub struct Curve {
    points: Points,
    source: &'static str,
    /// The salt without hydrate water.
    salt: Formula,
    /// Product that a gram of the anhydrous salt makes \[g\].
    product_per_anhydrous: f64,
    /// Density of the saturated liquor, if the campaign states one [g/mL].
    density: Option<f64>,
}

impl Curve {
    /// The solubility of a product: own points if the campaign has some, else the built-in table.
    ///
    /// Hydrate water of the product, and of the salt in the campaign file, is taken off before the look-up. Own points
    /// are in g of the anhydrous salt per 100 g of water, so `w = s/(100 + s)`; they count as certain as a good handbook
    /// figure.
    ///
    /// # Errors
    /// [`Unknown::NoFigures`] for a salt that is neither in the table nor in the file, [`Unknown::OtherSalt`] if the
    /// file states another salt than the product, [`Unknown::SameTemperature`] and [`Unknown::Impossible`] for faulty
    /// figures.
    /// # Source
    /// The head of `solubility.csv` beside this file; own points by the definition of mass fraction.
    pub fn of(
        product: &Formula,
        plan: Option<&Solubility>,
        weights: &AtomicWeights,
    ) -> Result<Curve, Unknown> {
        let salt = anhydrous(product);
        if let Some(stated) = plan.and_then(|plan| plan.product.as_ref())
            && anhydrous(stated) != salt
        {
            return Err(Unknown::OtherSalt {
                stated: stated.text().to_string(),
                product: product.text().to_string(),
            });
        }
        let own = plan.map_or(&[][..], |plan| &plan.points);
        let (points, source) = if own.is_empty() {
            (points_of(&salt), SOURCE)
        } else {
            (own_points(own)?, OWN_POINTS)
        };
        let points = Points::join(points).ok_or_else(|| Unknown::NoFigures {
            salt: salt.text().to_string(),
        })?;
        let density = plan.and_then(|plan| plan.density);
        if let Some(value) = density.filter(|density| !(density.is_finite() && *density > 0.0)) {
            let what = "density";
            return Err(Unknown::Impossible { what, value });
        }
        Ok(Curve {
            points,
            source,
            product_per_anhydrous: product.molar_mass(weights).value()
                / salt.molar_mass(weights).value(),
            density,
            salt,
        })
    }

    /// The saturated liquor at a temperature \[degC\].
    ///
    /// Between two points a monotone cubic is read in mass fraction; a point that stands alone answers within 0.05 K.
    ///
    /// # Errors
    /// [`OutOfTable`] outside the points and between two points with a change of the solid between them.
    pub fn saturated(&self, temperature: f64) -> Result<Saturated, OutOfTable> {
        let read = self.points.at(temperature)?;
        let mass_fraction = read.mass_fraction;
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
        Ok(Saturated {
            temperature,
            mass_fraction,
            relative_uncertainty_of_mass_fraction: read.relative_uncertainty,
            density,
            density_from,
            anhydrous_per_litre,
            product_per_litre: anhydrous_per_litre * self.product_per_anhydrous,
            relative_uncertainty_from_solubility: gain * read.relative_uncertainty,
        })
    }

    /// Where the figures come from.
    pub fn source(&self) -> &str {
        self.source
    }
}

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
    /// Temperature \[degC\].
    pub temperature: f64,
    /// Anhydrous salt in the liquor [mass fraction].
    pub mass_fraction: f64,
    /// Relative standard uncertainty of that mass fraction.
    pub relative_uncertainty_of_mass_fraction: f64,
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
    /// Part of the relative standard uncertainty of the figures per litre that comes from the density \[1\]; `None` when
    /// the density was stated, because its uncertainty was not.
    pub fn relative_uncertainty_from_density(&self) -> Option<f64> {
        match self.density_from {
            DensityFrom::Stated => None,
            DensityFrom::Estimated {
                relative_uncertainty,
            } => Some(relative_uncertainty),
        }
    }

    /// Relative standard uncertainty of the figures per litre \[1\]; a lower bound when the density was stated.
    ///
    /// `u/s = √(g²·(u(w)/w)² + (u(ρ)/ρ)²)`, with `g` the relative change of `w·ρ` for one of the mass fraction `w`: 1 for a
    /// stated density, more for one that was estimated from `w`.
    ///
    /// # Assumes
    /// The errors of the solubility and of the rule for the density are independent of each other.
    /// # Source
    /// JCGM 100:2008, 5.1.6 (relative uncertainties of a product).
    pub fn relative_uncertainty(&self) -> f64 {
        self.relative_uncertainty_from_solubility
            .hypot(self.relative_uncertainty_from_density().unwrap_or(0.0))
    }
}
