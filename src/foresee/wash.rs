//! A wash in portions: what stays on the filter, and what of the product it dissolves.
//!
//! In: number and volume of portions, the liquor that the solid holds back. Out: [`Wash`].
//! This module never knows how long a portion stands, nor whether it runs through evenly.

use super::crop::Strength;
use super::{Known, NotForeseen, curve};
use crate::crystallisation::Saturated;
use crate::distributions::middle;
use crate::runs::{FactorValues, Runs};
use crate::units::{Dimension, Unit};

/// The factor or response under which a log may have what was washed with.
const WASH_VOLUME: &str = "wash_volume";

/// Millilitres in a litre.
const MILLILITRES: f64 = 1000.0;

/// Which wash is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WashAsked {
    /// Portions.
    pub portions: u32,
    /// Volume of each \[mL\].
    pub portion: f64,
    /// Liquor that the solid holds back \[mL\].
    pub holds: f64,
    /// Temperature of the wash \[degC\].
    pub at: Option<f64>,
    /// Strength of the liquor that is washed out.
    pub strength: Option<Strength>,
}

/// What a wash does.
#[derive(Debug, Clone, PartialEq)]
pub struct Wash {
    /// What was asked.
    pub asked: WashAsked,
    /// Part of what the liquor held back had dissolved that stays after all portions \[fraction\].
    pub left: f64,
    /// The same after one portion of the same volume in all \[fraction\].
    pub left_in_one: f64,
    /// Product in the liquor held back before the wash, where its strength is known.
    pub held: Option<Held>,
    /// Product that the wash can dissolve, where its temperature is stated.
    pub dissolves: Option<Dissolved>,
    /// What logged washes can have dissolved, where the log has their volumes and the temperature is stated.
    pub logged: Option<Logged>,
}

/// Washes of the log beside what is accounted for nowhere, both in the middle of its runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Logged {
    /// Runs that have both.
    pub runs: usize,
    /// Volume of the wash \[mL\].
    pub volume: f64,
    /// Product that it dissolves at most \[fraction of theory\].
    pub of_theory: f64,
    /// What is accounted for nowhere \[fraction of theory\].
    pub unaccounted: f64,
}

/// Product in the liquor held back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Held {
    /// Its mass \[g\].
    pub mass: f64,
    /// Standard uncertainty of that \[g\]; zero for a strength that was stated.
    pub uncertainty: f64,
}

/// Product that a wash dissolves at most.
#[derive(Debug, Clone, PartialEq)]
pub struct Dissolved {
    /// Its mass \[g\].
    pub mass: f64,
    /// Standard uncertainty of that \[g\].
    pub uncertainty: f64,
    /// Where the solubility comes from.
    pub source: String,
}

/// What a wash does.
///
/// `f = (h / (h + v))ⁿ`: liquor held back `h`, `n` portions of `v` each; in one portion `h / (h + n·v)`.
///
/// # Assumes
/// Each portion mixes with what is held back before it runs off, and as much is held back as before.
/// # Errors
/// [`NotForeseen`] where the solubility at a stated temperature is not known.
/// # Source
/// Balance of the liquor from portion to portion; common practice, no source. Checked in `tests/it/foresee/`.
pub(super) fn wash(asked: &WashAsked, known: &Known) -> Result<Wash, NotForeseen> {
    let WashAsked {
        portions,
        portion,
        holds,
        ..
    } = *asked;
    let volume = f64::from(portions) * portion;
    let saturated = |temperature| {
        let curve = curve(known.campaign)?;
        let found = curve.saturated(temperature);
        let found = found.map_err(NotForeseen::OutOfTable)?;
        Ok((found, curve.source().to_string()))
    };
    let held = asked.strength.map(|strength| {
        Ok(match strength {
            Strength::Grams(grams) => Held {
                mass: grams * holds / MILLILITRES,
                uncertainty: 0.0,
            },
            Strength::SaturatedAt(at) => {
                let (liquor, _) = saturated(at)?;
                let mass = liquor.product_per_litre * holds / MILLILITRES;
                Held {
                    mass,
                    uncertainty: mass * liquor.relative_uncertainty(),
                }
            }
        })
    });
    let dissolves = asked.at.map(|at| {
        let (liquor, source) = saturated(at)?;
        let (mass, relative_uncertainty) =
            dissolved(&liquor, volume).ok_or(NotForeseen::MeltsInItsWater { temperature: at })?;
        Ok(Dissolved {
            mass,
            uncertainty: mass * relative_uncertainty,
            source,
        })
    });
    let logged = asked.at.map(|at| {
        let per_millilitre = dissolved(&saturated(at)?.0, 1.0);
        Ok(per_millilitre.and_then(|(mass, _)| logged(known.runs, mass)))
    });
    Ok(Wash {
        asked: *asked,
        left: (holds / (holds + portion)).powf(f64::from(portions)),
        left_in_one: holds / (holds + volume),
        held: held.transpose()?,
        dissolves: dissolves.transpose()?,
        logged: logged.transpose()?.flatten(),
    })
}

/// Washes of the log, each of whose millilitres dissolves so much product at most \[g\].
fn logged(runs: &Runs, per_millilitre: f64) -> Option<Logged> {
    let factor = runs.factor(WASH_VOLUME);
    let factor = factor.and_then(|factor| match &factor.values {
        FactorValues::Amount(values) => Some((values, &factor.unit)),
        FactorValues::Choice { .. } => None,
    });
    let response = || runs.responses.iter().find(|of| of.name == WASH_VOLUME);
    let (values, unit) = factor.or_else(|| response().map(|of| (&of.values, &of.unit)))?;
    let unit = Unit::of(unit, Dimension::Volume);
    let washes = runs.results.iter().zip(values).filter_map(|(run, value)| {
        let volume = unit.map_or(*value, |unit| value.map(|value| unit.to_base(value)))?;
        let theory = run.theory_total.as_ref().ok()?.value();
        let unaccounted = run.balance.unaccounted.as_ref().ok()?.value();
        let is_in = run.set_aside.is_none();
        is_in.then_some([volume, volume * per_millilitre / theory, unaccounted])
    });
    let washes: Vec<[f64; 3]> = washes.collect();
    let middle_of = |which: usize| middle(washes.iter().map(|of| of[which]).collect());
    Some(Logged {
        runs: washes.len(),
        volume: middle_of(0)?,
        of_theory: middle_of(1)?,
        unaccounted: middle_of(2)?,
    })
}

/// Product that so much water \[mL\] dissolves until it is saturated \[g\], with its relative standard uncertainty; `None` where
/// the product melts in its own water.
///
/// `m = S·W / (a − S·(1 − a))`: water `W`, anhydrous salt `S = w/(1 − w)` that a gram of water takes up, anhydrous part `a` of
/// the product, whose own water helps to dissolve it; `u(m)/m = u(w)/w · a / ((1 − w)·(a − S·(1 − a)))`.
///
/// # Assumes
/// A millilitre of water is a gram; each portion becomes saturated, which makes it an upper bound.
fn dissolved(liquor: &Saturated, water: f64) -> Option<(f64, f64)> {
    let rest = 1.0 - liquor.mass_fraction;
    let per_water = liquor.mass_fraction / rest;
    let anhydrous = liquor.anhydrous_per_litre / liquor.product_per_litre;
    let net = anhydrous - per_water * (1.0 - anhydrous);
    let relative = liquor.relative_uncertainty_of_mass_fraction * anhydrous / (rest * net);
    (net > 0.0).then(|| (per_water * water / net, relative))
}
