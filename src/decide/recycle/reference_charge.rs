//! The charge that a gain is worked out for, held against the same run without residue.
//!
//! In: the runs of a model of yield. Out: [`Reference`]: ratio, masses and contents of a typical charged run.
//! This module never goes beyond what the runs show.

use super::answer::Unanswered;
use super::gain::{Carried, Charged};
use crate::campaign::{Campaign, RecyclingValue, StandsFor};
use crate::chemistry::{AtomicWeights, product_per_feed};
use crate::decide::costs::{CostKind, Costs};
use crate::decide::evidence::Material;
use crate::decide::models::runs_of;
use crate::decide::plannable::barred;
use crate::distributions::{mean, middle};
use crate::measured::{Measured, Sources};
use crate::regression::{FittedModel, Settings};
use crate::runs::RunResult;

/// A typical charge, held against the same run without residue.
#[derive(Debug, Clone)]
pub struct Reference {
    /// Factor that stands for residue fed forward.
    pub factor: String,
    /// Runs of the model that charged residue.
    pub charged_runs: usize,
    /// Residue per fresh feed: the middle of the runs that charged any, at a ratio that is not forbidden [g/g].
    pub ratio: f64,
    /// Smallest and largest ratio of all runs [g/g].
    pub tried: [f64; 2],
    /// Fresh feed of a run: the mean \[g\].
    pub feed_mass: f64,
    /// Product that a gram of fresh feed can give [g/g].
    pub feed_content: Measured,
    /// Product that a gram of residue can give [g/g].
    pub residue_content: Measured,
    /// Product that a gram of the formula of assays can give [g/g].
    pub content_per_assay: f64,
    /// What a gram of fresh feed cost [currency/g].
    pub feed_price: Option<Measured>,
    /// Heat of a run \[currency\].
    pub heat: Measured,
    /// What a gram of product off specification brings beside the share of it that counts as product [currency/g].
    pub off_spec_price: Measured,
    /// Most solids one run can hold, where the campaign states it \[g\].
    pub vessel_solids: Option<f64>,
    /// Where the model is asked for the charged run.
    pub with: Settings,
    /// Where it is asked for the same run without residue.
    pub without: Settings,
    /// What is fixed about the charge.
    pub(super) charged: Charged,
}

/// The factor that stands for residue fed forward.
pub fn residue_factor(campaign: &Campaign) -> Option<&str> {
    let declared = campaign.factor_for(StandsFor::Residue);
    let plan = declared.or_else(|| campaign.factor("residue_ratio"))?;
    Some(&plan.name)
}

/// The factor that stands for mother liquor carried on.
pub(super) fn liquor_factor(campaign: &Campaign) -> Option<&str> {
    let declared = campaign.factor_for(StandsFor::Liquor);
    let plan = declared.or_else(|| campaign.factor("liquor_ratio"))?;
    Some(&plan.name)
}

/// How much of what is carried on a run charged [g, mL of liquor].
fn carried_in(run: &RunResult, carried: Carried) -> f64 {
    match carried {
        Carried::Residue => run.charge.residue_mass,
        Carried::Liquor => run.charge.liquor_in,
    }
}

/// The typical charge of the runs of a model of yield.
pub(super) fn typical(
    material: &Material,
    carried: Carried,
    factor: &str,
    yields: &FittedModel,
) -> Result<Reference, Unanswered> {
    let (campaign, plan) = (material.campaign, material.campaign.recycling.as_ref());
    let all = runs_of(yields, material.runs);
    let charged = || {
        let all = all.iter();
        all.filter(|(_, run)| carried_in(run, carried) > 0.0)
    };
    if charged().next().is_none() {
        return Err(Unanswered::NotCharged);
    }
    let ratio = |(_, run): &(usize, &RunResult)| {
        let feed = run.charge.feed_mass?;
        (feed > 0.0).then(|| carried_in(run, carried) / feed)
    };
    let ratios: Vec<f64> = all.iter().filter_map(ratio).collect();
    let tried = [
        ratios.iter().copied().fold(f64::INFINITY, f64::min),
        ratios.iter().copied().fold(0.0, f64::max),
    ];
    if tried[1] - tried[0] <= 1e-9 * tried[1] {
        return Err(Unanswered::OneRatio(tried[1]));
    }
    let known: Vec<(f64, &Measured)> = charged()
        .filter_map(|(_, run)| {
            let theory = match carried {
                Carried::Residue => &run.charge.residue_theory,
                Carried::Liquor => &run.charge.liquor_theory,
            };
            Some((carried_in(run, carried), theory.as_ref()?.as_ref().ok()?))
        })
        .collect();
    if known.is_empty() {
        return Err(Unanswered::NoAssay);
    }
    let known_mass: f64 = known.iter().map(|(mass, _)| mass).sum();
    let feed: f64 = all.iter().filter_map(|(_, run)| run.charge.feed_mass).sum();
    let fresh = all
        .iter()
        .filter_map(|(_, run)| run.theory_fresh.as_ref().ok());
    let excesses: Vec<f64> = all
        .iter()
        .filter_map(|(_, run)| run.oxidant_excess)
        .collect();
    let excess = if excesses.is_empty() {
        0.0
    } else {
        mean(&excesses)
    };
    let never = barred(campaign);
    let may_be = |ratio: &f64| {
        let settings = Settings::default().amount(factor, *ratio);
        !never.iter().any(|never| never.forbids(&settings))
    };
    let allowed = charged().filter_map(ratio).filter(may_be);
    let typical = middle(allowed.collect()).ok_or(Unanswered::Forbidden)?;
    let feed_mass = feed / all.len() as f64;
    Ok(Reference {
        factor: factor.to_string(),
        charged_runs: charged().count(),
        ratio: typical,
        tried,
        feed_mass,
        feed_content: Measured::sum(fresh) / feed,
        residue_content: Measured::sum(known.iter().map(|(_, theory)| *theory)) / known_mass,
        content_per_assay: content_per_assay(campaign),
        feed_price: material
            .costs
            .and_then(|costs| feed_price(costs, &all, feed)),
        heat: material
            .costs
            .map_or_else(Measured::default, |costs| heat(costs, &all)),
        off_spec_price: material
            .costs
            .map_or_else(Measured::default, |costs| costs.prices.off_spec.clone()),
        vessel_solids: plan
            .and_then(|plan| plan.vessel_solids)
            .filter(|_| carried == Carried::Residue),
        with: Settings::default().amount(factor, typical),
        without: Settings::default().amount(factor, 0.0),
        charged: Charged {
            carried,
            ratio: typical,
            feed_mass,
            oxidant_per_content: oxidant_per_content(campaign, excess),
            off_spec_kept: plan.map_or(1.0, |plan| plan.off_spec.kept()),
            value: plan
                .and_then(|plan| plan.value)
                .unwrap_or(RecyclingValue::Product),
        },
    })
}

fn feed_price(costs: &Costs, runs: &[(usize, &RunResult)], feed: f64) -> Option<Measured> {
    let parts = runs
        .iter()
        .map(|(position, _)| costs.runs[*position].part(CostKind::Feed));
    let parts: Vec<&Measured> = parts.collect::<Option<_>>()?;
    Some(Measured::sum(parts) / feed)
}

/// Heat of a run: the mean of those that have a cost of it; 0 where none has.
fn heat(costs: &Costs, runs: &[(usize, &RunResult)]) -> Measured {
    let parts = runs.iter();
    let parts = parts.filter_map(|(position, _)| costs.runs[*position].part(CostKind::Heat));
    let parts: Vec<&Measured> = parts.collect();
    match parts.len() {
        0 => Measured::default(),
        count => Measured::sum(parts) / count as f64,
    }
}

/// Product that a gram of the formula of assays can give [g/g]; 0 without chemistry.
fn content_per_assay(campaign: &Campaign) -> f64 {
    let weights = AtomicWeights::new(&mut Sources::default());
    campaign.chemistry.as_ref().map_or(0.0, |chemistry| {
        let (assay, product) = (&chemistry.assay_as, &chemistry.product);
        product_per_feed(assay, product, &chemistry.followed, &weights).value()
    })
}

/// Oxidant that a gram of product in the charge takes at an excess [g/g]; 0 where no oxidant is declared.
///
/// `(f / M) · needed · (1 + x / 100) · M_ox / (electrons · assay)`, with `f` followed atoms in the product formula.
fn oxidant_per_content(campaign: &Campaign, excess: f64) -> f64 {
    let (Some(chemistry), Some(oxidant)) = (&campaign.chemistry, &campaign.oxidant) else {
        return 0.0;
    };
    let weights = AtomicWeights::new(&mut Sources::default());
    let product = &chemistry.product;
    let followed = product.atoms_of(&chemistry.followed) / product.molar_mass(&weights).value();
    let per_electron =
        oxidant.formula.molar_mass(&weights).value() / (oxidant.electrons * oxidant.assay);
    followed * oxidant.needed * (1.0 + excess / 100.0) * per_electron
}
