//! The whole chain of one run, from what was read to its purity and its yield.
//!
//! In: a campaign, its logs and its runs on one footing. Out: [`Chain`]: every number that goes in, step by step.
//! This module never propagates an uncertainty: it shows the equation that the eye can check.

use super::by_date::Days;
use super::drying::as_present;
use super::results::{PurityBy, RunResult, Runs};
use super::titration::{per_analyte, usual_titrant};
use crate::campaign::{Campaign, Chemistry, SampleBasis, Titration};
use crate::chemistry::{AtomicWeights, Formula, product_per_feed};
use crate::error::Place;
use crate::intake::{CropRow, Logged, TitreOf, TitreRow};
use crate::measured::{Measured, Sources};

/// The chain of one run.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// The run.
    pub run: String,
    /// Its titres, as far as they belong to crops.
    pub titres: Vec<TitreStep>,
    /// Its crops whose purity is from an ignition or by difference.
    pub weighed: Vec<WeighedStep>,
    /// Its crops.
    pub crops: Vec<CropStep>,
    /// What its charge could give; `None` where that is not known.
    pub theory: Option<TheoryStep>,
    /// Contained yield \[fraction\].
    pub contained: Option<f64>,
}

/// From one titre to a mass fraction: `w = r·n·M / (m·q/d)`, over the recovery of the control where it corrects, `n = c·(V − V₀) − b·c′·V′`.
#[derive(Debug, Clone, PartialEq)]
pub struct TitreStep {
    /// Where it stands.
    pub place: Place,
    /// The crop.
    pub crop: u32,
    /// Titrant with its concentration [mol/L].
    pub titrant: (String, f64),
    /// Titrant used \[mL\].
    pub titre: f64,
    /// Blank \[mL\]; 0 where none is logged.
    pub blank: f64,
    /// Back titrant with its concentration [mol/L], volume \[mL\], and moles of titrant that one mole of it uses up.
    pub back: Option<(String, f64, f64, f64)>,
    /// Moles of product per mole of titrant.
    pub ratio: f64,
    /// Formula and molar mass of the product [g/mol].
    pub product: (String, f64),
    /// Sample \[g\].
    pub sample: f64,
    /// Aliquot; 1 where none is logged.
    pub aliquot: f64,
    /// Dilution; 1 where none is logged.
    pub dilution: f64,
    /// What the control sample was found at over what is stated, where purities are corrected by it.
    pub recovery: Option<f64>,
    /// Mass fraction.
    pub found: f64,
}

/// How one crop came to a purity without a titre.
#[derive(Debug, Clone, PartialEq)]
pub struct WeighedStep {
    /// Where it stands.
    pub place: Place,
    /// The crop.
    pub crop: u32,
    /// What was weighed, or looked for.
    pub how: WeighedHow,
    /// Mass fraction.
    pub found: f64,
}

/// What a purity without a titre is from.
#[derive(Debug, Clone, PartialEq)]
pub enum WeighedHow {
    /// `w = q·(m_left − m_dish) / (m_sample − m_dish)`.
    Ignition {
        /// Formula of what is left.
        leaves: String,
        /// Grams of product per gram of it.
        per_left: f64,
        /// Sample, what it left and the dish, each with the dish \[g\].
        masses: [f64; 3],
    },
    /// `w = 1 − Σ parts`.
    Difference {
        /// Moisture and impurities, each with what it is present as and its content as that [mass fraction].
        parts: Vec<(String, f64)>,
    },
}

/// One crop.
#[derive(Debug, Clone, PartialEq)]
pub struct CropStep {
    /// Its number.
    pub crop: u32,
    /// Mass \[g\].
    pub mass: f64,
    /// Purity as weighed [mass fraction].
    pub purity: Option<f64>,
    /// Where that is from.
    pub by: PurityBy,
    /// Free moisture by which that was corrected [mass fraction].
    pub moisture: Option<f64>,
}

/// What a charge could give: `T = q·(w_F·F + w_R·R) + c_L·L`.
#[derive(Debug, Clone, PartialEq)]
pub struct TheoryStep {
    /// Fresh feed \[g\].
    pub feed: f64,
    /// Its assay [mass fraction].
    pub assay: f64,
    /// Residue charged \[g\].
    pub residue: f64,
    /// Its assay [mass fraction].
    pub residue_assay: f64,
    /// Mother liquor charged \[mL\] and what it holds [g of product per mL].
    pub liquor: (f64, f64),
    /// Product per gram of pure feed \[g\].
    pub per_feed: f64,
    /// Theory \[g\].
    pub theory: f64,
}

/// The chain of a run; `None` for one that has no result.
pub fn chain(campaign: &Campaign, logged: &Logged, runs: &Runs, run: &str) -> Option<Chain> {
    let result = runs.results.iter().find(|result| result.run == run)?;
    let mut chain = Chain {
        run: run.to_string(),
        titres: Vec::new(),
        weighed: Vec::new(),
        crops: crops(campaign, logged, result),
        theory: None,
        contained: result.contained.as_ref().ok().map(Measured::value),
    };
    if let Some(chemistry) = &campaign.chemistry {
        let weights = AtomicWeights::new(&mut Sources::default());
        chain.theory = theory(chemistry, &weights, result);
        let rows = logged.crops.iter().filter(|row| row.run == run);
        let step = |row| weighed_step(campaign, chemistry, &weights, result, row);
        chain.weighed = rows.filter_map(step).collect();
        if let Some(titration) = &campaign.titration {
            let titres = logged.titres.iter().filter(|titre| titre.run == run);
            let days = Days::of(logged);
            let step = |titre| {
                let day = days.day(titre);
                titre_step(titration, chemistry, &weights, (runs, day), titre)
            };
            chain.titres = titres.filter_map(step).collect();
        }
    }
    Some(chain)
}

fn titre_step(
    titration: &Titration,
    chemistry: &Chemistry,
    weights: &AtomicWeights,
    (runs, day): (&Runs, Option<i32>),
    titre: &TitreRow,
) -> Option<TitreStep> {
    let TitreOf::Crop(crop) = titre.of else {
        return None;
    };
    let strength = |name: &str| {
        let of_name = runs.titrants.iter().find(|of| of.titrant == name)?;
        Some(of_name.by_date.at(day).value())
    };
    let name = usual_titrant(titration, titre)?;
    let value = |number: Option<crate::intake::LoggedNumber>, default: f64| {
        number.map_or(default, |number| number.value)
    };
    let back = match (titre.back_titrant(), titre.back_titre()) {
        (Some(name), Some(volume)) => Some((
            name.to_string(),
            strength(name)?,
            volume.value,
            titration.back_ratio,
        )),
        _ => None,
    };
    let mut step = TitreStep {
        place: titre.place.clone(),
        crop,
        titrant: (name.to_string(), strength(name)?),
        titre: titre.titre.value,
        blank: runs.blank(titre),
        back,
        ratio: titration.ratio
            * per_analyte(&titration.analyte, &chemistry.product, &chemistry.followed),
        product: (
            chemistry.product.text().to_string(),
            chemistry.product.molar_mass(weights).value(),
        ),
        sample: titre.sample_mass.value,
        aliquot: value(titre.aliquot(), 1.0),
        dilution: value(titre.dilution(), 1.0),
        recovery: runs
            .control
            .as_ref()
            .filter(|control| control.corrects)
            .map(|control| control.by_date.at(day).value()),
        found: 0.0,
    };
    let back = step.back.as_ref();
    let back = back.map_or(0.0, |(_, strength, volume, ratio)| {
        strength * volume * ratio
    });
    let moles = (step.titrant.1 * (step.titre - step.blank) - back) / 1000.0;
    step.found = step.ratio * moles * step.product.1 * step.dilution / (step.sample * step.aliquot);
    step.found /= step.recovery.unwrap_or(1.0);
    Some(step)
}

fn weighed_step(
    campaign: &Campaign,
    chemistry: &Chemistry,
    weights: &AtomicWeights,
    result: &RunResult,
    row: &CropRow,
) -> Option<WeighedStep> {
    let of = result.crops.iter().find(|crop| crop.crop == row.crop)?;
    let step = |how, found| WeighedStep {
        place: row.place.clone(),
        crop: row.crop,
        how,
        found,
    };
    if of.purity_by == PurityBy::Difference {
        let moisture = row.moist().map(|part| ("moisture".to_string(), part.value));
        let followed = campaign.impurities.iter().zip(&row.impurities);
        let present = followed.filter_map(|(of, content)| {
            let called = of
                .present_as
                .as_ref()
                .map_or(of.name.as_str(), Formula::text);
            let content = (*content)?.value * as_present(of, weights).value();
            Some((called.to_string(), content))
        });
        let parts = moisture.into_iter().chain(present).collect();
        return Some(step(
            WeighedHow::Difference { parts },
            of.purity.as_ref().ok()?.value(),
        ));
    }
    let (ignition, weighed) = (campaign.ignition.as_ref()?, row.ignition.as_deref()?);
    let (product, followed) = (&chemistry.product, &chemistry.followed);
    let per_left = product_per_feed(&ignition.leaves, product, followed, weights).value();
    let how = WeighedHow::Ignition {
        leaves: ignition.leaves.text().to_string(),
        per_left,
        masses: [weighed.before, weighed.after, weighed.tare].map(|mass| mass.value),
    };
    Some(step(how, per_left * weighed.left()))
}

fn crops(campaign: &Campaign, logged: &Logged, result: &RunResult) -> Vec<CropStep> {
    let titrated = campaign
        .titration
        .as_ref()
        .map(|titration| titration.sample);
    let ignited = campaign.ignition.as_ref().map(|ignition| ignition.sample);
    let crops = result.crops.iter();
    crops
        .map(|crop| {
            let row = logged.crops.iter();
            let mut row = row.filter(|row| row.run == result.run && row.crop == crop.crop);
            let moisture = row.next().and_then(CropRow::moist);
            let basis = match crop.purity_by {
                PurityBy::Titres | PurityBy::Entry => titrated,
                PurityBy::Ignition => ignited,
                PurityBy::Difference => None,
            };
            let dried = basis == Some(SampleBasis::Dried);
            CropStep {
                crop: crop.crop,
                mass: crop.mass.value(),
                purity: crop.purity.as_ref().ok().map(Measured::value),
                by: crop.purity_by,
                moisture: moisture.map(|moisture| moisture.value).filter(|_| dried),
            }
        })
        .collect()
}

fn theory(
    chemistry: &Chemistry,
    weights: &AtomicWeights,
    result: &RunResult,
) -> Option<TheoryStep> {
    let of = (&chemistry.product, &chemistry.followed);
    let per_feed = product_per_feed(&chemistry.assay_as, of.0, of.1, weights).value();
    let residue = result.charge.residue_mass;
    let in_residue = match &result.charge.residue_theory {
        Some(content) => content.as_ref().ok()?.value(),
        None => 0.0,
    };
    let liquor = result.charge.liquor_in;
    let in_liquor = match &result.charge.liquor_theory {
        Some(content) => content.as_ref().ok()?.value(),
        None => 0.0,
    };
    Some(TheoryStep {
        liquor: (
            liquor,
            if liquor > 0.0 {
                in_liquor / liquor
            } else {
                0.0
            },
        ),
        feed: result.charge.feed_mass?,
        assay: result.charge.feed_assay.as_ref()?.as_ref().ok()?.value(),
        residue,
        residue_assay: match residue > 0.0 {
            true => in_residue / per_feed / residue,
            false => 0.0,
        },
        per_feed,
        theory: result.theory_total.as_ref().ok()?.value(),
    })
}
