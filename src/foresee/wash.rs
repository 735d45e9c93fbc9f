//! A wash in portions: what stays on the filter, and what of the product it dissolves.
//!
//! In: number and volume of portions, the liquor that the solid holds back. Out: [`Wash`].
//! This module never knows how long a portion stands, nor whether it runs through evenly.

use serde::Serialize;

use super::crop::Strength;
use super::{Figure, Known, MILLILITRES, NotForeseen, curve};
use crate::crystallisation::Saturated;
use crate::distributions::middle;
use crate::runs::{FactorValues, Runs};
use crate::units::{Dimension, Unit};

/// The factor or response under which a log may have what was washed with.
const WASH_VOLUME: &str = "wash_volume";

/// Which wash is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WashAsked {
    /// Portions.
    pub portions: u32,
    /// Volume of each \[mL\].
    pub portion: f64,
    /// Liquor that the solid holds back \[mL\].
    pub holds: f64,
    /// Temperature of the wash \[degC\].
    pub wash_at: Option<f64>,
    /// Strength of the liquor that is washed out.
    #[serde(skip)]
    pub strength: Option<Strength>,
}

/// What a wash does.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wash {
    /// What was asked.
    #[serde(flatten)]
    pub asked: WashAsked,
    /// Part of what the liquor held back had dissolved that stays after all portions \[fraction\].
    pub left: f64,
    /// The same after one portion of the same volume in all \[fraction\].
    pub left_in_one: f64,
    /// Product in the liquor held back, where its strength is known.
    pub held: Option<Held>,
    /// Product that the wash can dissolve, where its temperature is stated.
    pub dissolves: Option<Dissolved>,
    /// What logged washes can have dissolved, where the log has their volumes and the temperature is stated.
    pub logged: Option<Logged>,
}

/// Product in the liquor held back.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Held {
    /// Before the wash \[g\].
    pub mass: Figure,
    /// After all portions \[g\].
    pub left: f64,
    /// After one portion of the same volume in all \[g\].
    pub left_in_one: f64,
}

/// Product that a wash dissolves at most.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Dissolved {
    /// Its mass \[g\].
    pub mass: Figure,
    /// Always: no portion becomes more than saturated.
    pub upper_bound: bool,
    /// Where the solubility comes from.
    #[serde(skip)]
    pub source: String,
}

/// Washes of the log beside what is accounted for nowhere, both in the middle of its runs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
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
    let left = (holds / (holds + portion)).powf(f64::from(portions));
    let left_in_one = holds / (holds + volume);
    let held = asked.strength.map(|strength| {
        let (product, relative) = match strength {
            Strength::Grams(grams) => (grams, None),
            Strength::SaturatedAt(at) => {
                let (liquor, _) = saturated(at)?;
                let relative = liquor.relative_uncertainty();
                (liquor.product_per_litre, Some(relative))
            }
        };
        let value = product * holds / MILLILITRES;
        let u = relative.map(|relative| value * relative);
        Ok(Held {
            mass: Figure { value, u },
            left: value * left,
            left_in_one: value * left_in_one,
        })
    });
    let per_millilitre = asked.wash_at.map(|at| {
        let (liquor, source) = saturated(at)?;
        let found = dissolved(&liquor, 1.0);
        let melts = NotForeseen::MeltsInItsWater { temperature: at };
        Ok((found.ok_or(melts)?, source))
    });
    let per_millilitre = per_millilitre.transpose()?;
    let each = per_millilitre.as_ref().map(|((mass, _), _)| *mass);
    Ok(Wash {
        asked: *asked,
        left,
        left_in_one,
        held: held.transpose()?,
        logged: each.and_then(|each| logged(known.runs, each)),
        dissolves: per_millilitre.map(|((mass, relative), source)| Dissolved {
            mass: Figure::of(mass * volume, mass * volume * relative),
            upper_bound: true,
            source,
        }),
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
