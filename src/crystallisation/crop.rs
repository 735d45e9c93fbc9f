//! Another crop from a saturated liquor.
//!
//! In: the solubility of the product, a temperature, and the volume of the liquor before and after it is boiled down.
//! Out: [`NextCrop`], or [`NoCrop`].
//! This module never counts what sticks to the crop or is lost in handling.

use super::curve::{Curve, MILLILITRES, Saturated};
use super::reason::NoCrop;

/// The crop that a saturated liquor gives when it is concentrated and brought back to its temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NextCrop {
    /// Mass of product, the water of its formula included \[g\].
    pub mass: f64,
    /// The liquor before and after, which is the same; relative uncertainties of the crop are those of its figures
    /// per litre.
    pub liquor: Saturated,
}

impl NextCrop {
    /// Standard uncertainty of the mass from solubility and density, both volumes taken as exact \[g\].
    ///
    /// `u(m) = m·u(s)/s`: both volumes hold liquor of one content `s`, so that its relative error is that of the mass.
    pub fn uncertainty(&self) -> f64 {
        self.mass * self.liquor.relative_uncertainty()
    }
}

/// Product that comes when liquor saturated at a temperature \[degC\] is brought from one volume to another \[mL\].
///
/// `m = s·(V₁ − V₂)·M_product/M_anhydrous`: `s` anhydrous salt per volume of liquor, both volumes at that temperature.
///
/// # Units and shapes
/// Temperature \[degC\], volumes \[mL\] at that temperature, the crop \[g\] with the water of its formula.
/// # Assumes
/// Saturated before and after, in water with this salt alone; free acid or a common ion makes it an upper bound.
/// # Errors
/// [`NoCrop::Solubility`] where the curve has no figure, [`NoCrop::NotAVolume`] for a negative volume or none,
/// [`NoCrop::NotConcentrated`] if the second volume is the larger one.
/// # Example
/// ```
/// use residuum::chemistry::{AtomicWeights, Formula};
/// use residuum::crystallisation::{Curve, next_crop};
/// use residuum::measured::Sources;
/// let weights = AtomicWeights::new(&mut Sources::default());
/// let permanganate = Curve::of(&Formula::parse("KMnO4").unwrap(), None, &weights).unwrap();
/// let crop = next_crop(&permanganate, 0.0, 300.0, 100.0).unwrap();
/// assert!((crop.mass - 5.59).abs() < 0.005);
/// assert!((crop.uncertainty() - 0.12).abs() < 0.005);
/// ```
/// # Source
/// Balance of the salt between the two volumes; common practice, no source.
pub fn next_crop(
    curve: &Curve,
    temperature: f64,
    from_volume: f64,
    to_volume: f64,
) -> Result<NextCrop, NoCrop> {
    for volume in [from_volume, to_volume] {
        if !(volume.is_finite() && volume >= 0.0) {
            return Err(NoCrop::NotAVolume { volume });
        }
    }
    if to_volume > from_volume {
        return Err(NoCrop::NotConcentrated {
            from: from_volume,
            to: to_volume,
        });
    }
    let liquor = curve.saturated(temperature).map_err(NoCrop::Solubility)?;
    Ok(NextCrop {
        mass: liquor.product_per_litre * (from_volume - to_volume) / MILLILITRES,
        liquor,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::campaign::Solubility;
    use crate::chemistry::{AtomicWeights, Formula};
    use crate::measured::Sources;

    fn curve(product: &str, density: Option<f64>) -> Curve {
        let weights = AtomicWeights::new(&mut Sources::default());
        let plan = Solubility {
            product: None,
            points: vec![],
            density,
        };
        Curve::of(&Formula::parse(product).unwrap(), Some(&plan), &weights).unwrap()
    }

    /// Half a unit of the last digit of "about 5.7 g".
    const ABOUT: f64 = 0.05;

    #[test]
    fn ice_cold_permanganate_liquor_gives_the_second_crop_of_the_trade() {
        let crop = next_crop(&curve("KMnO4", None), 0.0, 300.0, 100.0).unwrap();
        // Common practice, no source: 2.83 g per 100 mL, thus about 5.7 g from 300 mL brought to 100 mL. That figure is
        // per 100 g of water, read as if it were 100 mL of liquor, so it can agree only within the uncertainty.
        assert!((crop.mass - 2.0 * 2.83).abs() <= crop.uncertainty());
        assert!((crop.mass - 5.7).abs() <= ABOUT + crop.uncertainty());
        assert!(crop.uncertainty() < 0.025 * crop.mass);
    }

    #[test]
    fn bluestone_comes_with_its_water() {
        let crop = next_crop(&curve("CuSO4·5H2O", Some(1.18)), 20.0, 500.0, 150.0).unwrap();
        // 16.7 % of 350 mL at 1.18 g/mL, times 249.677/159.602 (IUPAC 2021).
        let expected = 0.167 * 350.0 * 1.18 * 249.677 / 159.602;
        assert!((crop.mass / expected - 1.0).abs() < 1e-12);
    }

    #[test]
    fn liquor_that_is_not_concentrated_brings_nothing() {
        let permanganate = curve("KMnO4", None);
        assert_eq!(
            next_crop(&permanganate, 0.0, 100.0, 100.0).unwrap().mass,
            0.0
        );
        let (from, to) = (100.0, 300.0);
        assert_eq!(
            next_crop(&permanganate, 0.0, from, to),
            Err(NoCrop::NotConcentrated { from, to })
        );
    }

    #[test]
    fn volumes_and_temperatures_that_make_no_sense_are_refused() {
        let permanganate = curve("KMnO4", None);
        for volume in [-1.0, f64::NAN, f64::INFINITY] {
            let crop = next_crop(&permanganate, 0.0, 300.0, volume);
            assert!(matches!(crop, Err(NoCrop::NotAVolume { .. })));
        }
        let crop = next_crop(&permanganate, 61.0, 300.0, 100.0);
        assert!(matches!(crop, Err(NoCrop::Solubility(_))));
    }
}
