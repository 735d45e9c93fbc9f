//! How soluble is the product, from which figures, over which temperatures?
//!
//! In: the formula of the product and `[solubility]` of the campaign file. Out: [`Curve`], or [`Unknown`].
//! This module never mixes the campaign's own points with the built-in table.

use super::hydrate::anhydrous;
use super::own_figures::{own_points, stated_density};
use super::points::{Points, SolidChange, TemperatureRange};
use super::reason::{OutOfTable, Unknown};
use super::saturated::{Liquor, Saturated};
use super::table;
use crate::campaign::Solubility;
use crate::chemistry::{AtomicWeights, Formula};

/// Where own points come from.
const OWN_POINTS: &str = "points of the campaign file";

/// Solubility of one salt in water against temperature.
///
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
    liquor: Liquor,
    source: &'static str,
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
            (table::points_of(&salt), table::SOURCE)
        } else {
            (own_points(own)?, OWN_POINTS)
        };
        let points = Points::join(&points).ok_or_else(|| Unknown::NoFigures {
            salt: salt.text().to_string(),
        })?;
        let liquor = Liquor {
            product_per_anhydrous: product.molar_mass(weights).value()
                / salt.molar_mass(weights).value(),
            density: stated_density(plan)?,
            salt,
        };
        Ok(Curve {
            points,
            liquor,
            source,
        })
    }

    /// The saturated liquor at a temperature [degC].
    ///
    /// Between two points a monotone cubic is read in mass fraction; a point that stands alone answers within 0.05 K.
    ///
    /// # Errors
    /// [`OutOfTable`] outside the points and between two points with a change of the solid between them.
    pub fn saturated(&self, temperature: f64) -> Result<Saturated, OutOfTable> {
        let reading = self.points.at(temperature)?;
        Ok(self.liquor.saturated(temperature, reading))
    }

    /// Temperatures of the first and the last point.
    pub fn range(&self) -> TemperatureRange {
        self.points.range()
    }

    /// Known changes of the solid that leave a gap in the curve: beyond one, the crop is another hydrate.
    pub fn solid_changes(&self) -> &[SolidChange] {
        self.points.changes()
    }

    /// Where the figures come from.
    pub fn source(&self) -> &str {
        self.source
    }
}
