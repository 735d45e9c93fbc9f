//! Masses to be weighed in for a planned run.
//!
//! In: its settings, a usual feed mass, the assays of the lots. Out: [`Weighing`].
//! This module never proposes more feed than the middle run had, and less where the vessel would not hold its residue.

use crate::campaign::{Campaign, StandsFor};
use crate::chemistry::{AtomicWeights, Formula};
use crate::measured::Sources;
use crate::regression::Settings;

/// What lies ready to be charged.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Bench {
    /// Middle feed mass of the runs made \[g\].
    pub feed_mass: f64,
    /// Middle assay of the residues taken out [mass fraction].
    pub residue_assay: Option<f64>,
    /// Lots with their assays.
    pub lots: Vec<LotContent>,
}

/// What a lot holds.
#[derive(Debug, Clone, PartialEq)]
pub struct LotContent {
    /// Its name.
    pub lot: String,
    /// Its assay [mass fraction].
    pub assay: f64,
    /// Impurities that use up oxidant, in the order of the campaign file [mass fraction].
    pub impurities: Vec<f64>,
}

/// Masses for one run; a suggestion to be checked against what the vessel holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weighing {
    /// Fresh feed \[g\].
    pub feed_mass: f64,
    /// Residue charged \[g\], where its ratio is a factor.
    pub residue_mass: Option<f64>,
    /// Oxidant solution \[g\], where its excess is a factor and the contents are known.
    pub oxidant_mass: Option<f64>,
}

/// Masses that give these settings with the usual feed mass.
///
/// `m = M / (a e) · (1 + x/100) · (n · followed atoms in feed and residue + electrons of impurities)`, the excess `x` [%]
/// turned round: assay `a` and molar mass `M` of the oxidant, electrons `e` that it takes up, electrons `n` needed an atom.
pub(super) fn weighing(
    campaign: &Campaign,
    bench: &Bench,
    settings: &Settings,
    lot: Option<&str>,
) -> Option<Weighing> {
    campaign.chemistry.as_ref()?;
    let residue = campaign.factor_for(StandsFor::Residue);
    let ratio = residue.and_then(|plan| settings.amount_of(&plan.name));
    let ratio = ratio.or_else(|| settings.amount_of("residue_ratio"));
    let recycling = campaign.recycling.as_ref();
    let vessel = recycling.and_then(|plan| plan.vessel_solids);
    let feed_mass = match vessel {
        Some(most) => bench.feed_mass.min(most / (1.0 + ratio.unwrap_or(0.0))),
        None => bench.feed_mass,
    };
    let residue_mass = ratio.map(|ratio| ratio * feed_mass);
    let charge = Charge {
        feed_mass,
        residue_mass: residue_mass.unwrap_or(0.0),
        lot,
    };
    Some(Weighing {
        feed_mass,
        oxidant_mass: oxidant_mass(campaign, bench, settings, &charge),
        residue_mass,
    })
}

/// What is charged besides oxidant.
struct Charge<'a> {
    feed_mass: f64,
    residue_mass: f64,
    lot: Option<&'a str>,
}

fn oxidant_mass(
    campaign: &Campaign,
    bench: &Bench,
    settings: &Settings,
    charge: &Charge,
) -> Option<f64> {
    let (oxidant, chemistry) = (campaign.oxidant.as_ref()?, campaign.chemistry.as_ref()?);
    let excess = settings.amount_of("oxidant_excess")?;
    let mut lots = bench.lots.iter();
    let content = lots.find(|known| Some(known.lot.as_str()) == charge.lot)?;
    let weights = AtomicWeights::new(&mut Sources::default());
    let moles = |grams: f64, formula: &Formula| grams / formula.molar_mass(&weights).value();
    let followed = |grams: f64| {
        moles(grams, &chemistry.assay_as) * chemistry.assay_as.atoms_of(&chemistry.followed)
    };
    let residue = match charge.residue_mass > 0.0 {
        true => followed(charge.residue_mass * bench.residue_assay?),
        false => 0.0,
    };
    let impurities = oxidant.impurities.iter().zip(&content.impurities);
    let impurities = impurities
        .map(|(plan, part)| moles(charge.feed_mass * part, &plan.formula) * plan.electrons);
    let impurities: f64 = impurities.sum();
    let electrons =
        oxidant.needed * (followed(charge.feed_mass * content.assay) + residue) + impurities;
    let wanted = (1.0 + excess / 100.0) * electrons / oxidant.electrons;
    Some(wanted * oxidant.formula.molar_mass(&weights).value() / oxidant.assay)
}
