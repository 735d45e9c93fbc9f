//! A crop that was never taken.
//!
//! In: the solubility of the product, how far a liquor is boiled down and chilled, and which liquor. Out: [`Crop`].
//! This module never counts losses, supersaturation or what else the liquor holds: the words beside it do.

use serde::Serialize;

use super::bars::{Bar, Settings, bars};
use super::liquors::Liquor;
use super::{Figure, Known, MILLILITRES, NotForeseen};
use crate::crystallisation::{Curve, DensityFrom, NoCrop, Saturated};
use crate::distributions::middle;

/// Which crop is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CropAsked {
    /// Liquor left beside the crystals \[mL\]; as much as before where nothing is boiled off.
    pub boil_to: Option<f64>,
    /// Temperature of the filtration \[degC\].
    pub chill_to: f64,
    /// Volume \[mL\] and strength of the liquor; those of the log where none is stated.
    #[serde(skip)]
    pub from: Option<(f64, Strength)>,
}

/// How strong a liquor is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Strength {
    /// Saturated at a temperature \[degC\].
    SaturatedAt(f64),
    /// Product in it [g/L].
    Grams(f64),
}

/// Where a crop comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CropFrom {
    /// A liquor of stated volume and strength.
    Stated,
    /// A liquor of stated volume, taken for saturated.
    StatedSaturated,
    /// Liquors whose strength was measured.
    Measured,
    /// Liquors of the log, taken for saturated at their last filtration.
    Saturated,
}

/// A crop, of the log in the middle of its runs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Crop {
    /// What was asked.
    #[serde(flatten)]
    pub asked: CropAsked,
    /// Product that comes \[g\].
    pub mass: Figure,
    /// Whether that can only be too large: the liquor is taken for saturated in plain water.
    pub upper_bound: bool,
    /// Product in the liquor before \[g\].
    pub holds: f64,
    /// Product that the liquor keeps \[g\].
    pub keeps: Figure,
    /// The crop if the volume is read hot, with everything still dissolved \[g\].
    pub read_hot: f64,
    /// Volume at which crystals begin to come at the temperature of the filtration \[mL\].
    pub begins_at: f64,
    /// The same of each run of the log.
    pub runs: Vec<CropOfRun>,
    /// Runs whose liquor is smaller than what it should be boiled down to.
    pub smaller: Vec<String>,
    /// Runs whose liquor is no plain solution of the product, such as one with alcohol.
    pub other_solvents: Vec<String>,
    /// Where it comes from.
    #[serde(skip)]
    pub from: CropFrom,
    /// Where the solubility comes from.
    #[serde(skip)]
    pub source: String,
    /// Whether the density of the saturated liquor was estimated.
    #[serde(skip)]
    pub density_estimated: bool,
    /// What the campaign file bars of it.
    #[serde(skip)]
    pub bars: Vec<Bar>,
}

/// The crop from the liquor of one run.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CropOfRun {
    /// The run; empty for a liquor that was stated.
    pub run: String,
    /// Liquor before \[mL\].
    pub volume: f64,
    /// Product in it \[g\].
    pub holds: f64,
    /// Product that comes \[g\].
    pub mass: Figure,
    /// Product that stays \[g\].
    pub keeps: f64,
    /// The crop if the volume is read hot \[g\].
    pub read_hot: f64,
}

/// The crop that is asked for.
///
/// `m = n − s(T)·V`: product `n` in the liquor before, `s` product in a litre of saturated liquor, `V` liquor left beside the
/// crystals, at the temperature of the filtration. Nothing comes where that is below zero.
///
/// # Errors
/// [`NotForeseen`] where the solubility is not known at a temperature or the liquor would not become less.
/// # Source
/// Balance of the product; common practice, no source. Checked in `tests/it/foresee/`.
pub(super) fn crop(curve: &Curve, asked: &CropAsked, known: &Known) -> Result<Crop, NotForeseen> {
    let saturated = |temperature| {
        let found = curve.saturated(temperature);
        found.map_err(NotForeseen::OutOfTable)
    };
    let cold = saturated(asked.chill_to)?;
    let is_plain = |liquor: &&Liquor| !known.other_solvents.contains(&liquor.run);
    let logged = || known.liquors.iter().filter(is_plain).cloned();
    let (liquors, from): (Vec<Liquor>, _) = match asked.from {
        Some((volume, strength)) => {
            let (product, u, from, saturated_at) = match strength {
                Strength::Grams(grams) => (grams, 0.0, CropFrom::Stated, None),
                Strength::SaturatedAt(at) => {
                    let warm = saturated(at)?;
                    let u = warm.product_per_litre * warm.relative_uncertainty();
                    let from = CropFrom::StatedSaturated;
                    (warm.product_per_litre, u, from, Some(at))
                }
            };
            let litres = volume / MILLILITRES;
            let stated = Liquor {
                run: String::new(),
                volume,
                holds: Figure::of(product * litres, u * litres),
                saturated_at,
            };
            (vec![stated], from)
        }
        None if logged().any(|of| of.saturated_at.is_some()) => {
            (logged().collect(), CropFrom::Saturated)
        }
        None => (logged().collect(), CropFrom::Measured),
    };
    let largest = liquors.iter().map(|liquor| liquor.volume);
    let largest = largest.reduce(f64::max).ok_or(NotForeseen::NoLiquors)?;
    let fits = |liquor: &&Liquor| asked.boil_to.is_none_or(|to| to <= liquor.volume);
    let (those, smaller): (Vec<&Liquor>, Vec<&Liquor>) = liquors.iter().partition(fits);
    let mut runs: Vec<CropOfRun> = those.iter().map(|one| of_one(one, asked, &cold)).collect();
    let middle_of = |of: fn(&CropOfRun) -> f64| {
        let to = asked.boil_to.unwrap_or(largest);
        middle(runs.iter().map(of).collect()).ok_or(match asked.from {
            Some((from, _)) => NotForeseen::NoCrop(NoCrop::NotConcentrated { from, to }),
            None => NotForeseen::AllSmaller { largest, to },
        })
    };
    let (holds, keeps) = (middle_of(|one| one.holds)?, middle_of(|one| one.keeps)?);
    let settings = Settings {
        route: None,
        end_volume: asked.boil_to,
        end_temperature: Some(asked.chill_to),
    };
    Ok(Crop {
        mass: Figure::of(
            middle_of(|one| one.mass.value)?,
            middle_of(|one| one.mass.u.unwrap_or_default())?,
        ),
        upper_bound: matches!(from, CropFrom::StatedSaturated | CropFrom::Saturated),
        holds,
        keeps: Figure::of(keeps, keeps * cold.relative_uncertainty()),
        read_hot: middle_of(|one| one.read_hot)?,
        begins_at: holds / cold.product_per_litre * MILLILITRES,
        smaller: smaller.iter().map(|liquor| liquor.run.clone()).collect(),
        other_solvents: match asked.from {
            None => known.other_solvents.to_vec(),
            Some(_) => Vec::new(),
        },
        runs: {
            runs.retain(|one| !one.run.is_empty());
            runs
        },
        from,
        source: curve.source().to_string(),
        density_estimated: matches!(cold.density_from, DensityFrom::Estimated { .. }),
        bars: bars(known.campaign, &settings),
        asked: *asked,
    })
}

fn of_one(liquor: &Liquor, asked: &CropAsked, cold: &Saturated) -> CropOfRun {
    let to = asked.boil_to.unwrap_or(liquor.volume);
    let keeps = cold.product_per_litre * to / MILLILITRES;
    let relative = cold.relative_uncertainty();
    let holds = liquor.holds.value;
    let mass = (holds - keeps).max(0.0);
    let u = match liquor.saturated_at {
        // One content before and after, so that its relative error is that of the mass.
        Some(at) if at == asked.chill_to => mass * relative,
        _ => (liquor.holds.u.unwrap_or_default()).hypot(keeps * relative),
    };
    // Where it is sure that nothing comes, it comes with no scatter.
    let u = if holds + 2.0 * u < keeps { 0.0 } else { u };
    CropOfRun {
        run: liquor.run.clone(),
        volume: liquor.volume,
        holds,
        mass: Figure::of(mass, u),
        keeps,
        read_hot: (mass / (1.0 - room_of_crystals(cold))).clamp(mass, holds.max(mass)),
    }
}

/// Part of the volume of a saturated liquor that the product in it takes up, its crystal water included: by so much the liquor
/// becomes less when the product crystallises.
///
/// `s·(h + (1 − h)·v)`: product per volume `s` [g/mL], part `h` of crystal water in it, volume `v` that a gram of the
/// anhydrous salt takes up, from the density `ρ` of the liquor: `v = (1/ρ − (1 − w))/w`.
///
/// # Assumes
/// Volumes add; a millilitre of water is a gram.
fn room_of_crystals(liquor: &Saturated) -> f64 {
    let Saturated {
        mass_fraction,
        density,
        anhydrous_per_litre,
        product_per_litre,
        ..
    } = *liquor;
    if mass_fraction <= 0.0 {
        return 0.0;
    }
    let of_salt = (1.0 / density - (1.0 - mass_fraction)) / mass_fraction;
    let water = product_per_litre - anhydrous_per_litre;
    ((water + anhydrous_per_litre * of_salt) / MILLILITRES).clamp(0.0, 0.9)
}
