//! The charge that a gain is worked out for, held against the same run without residue.
//!
//! In: the runs of a model of yield. Out: [`Reference`]: ratio, masses and contents of a typical charged run; [`Case`], what is
//! asked of it.
//! This module never goes beyond what the runs show.

use std::cell::RefCell;
use std::rc::Rc;

use super::answer::Unanswered;
use super::gain::{Carried, Charged};
use crate::campaign::{Campaign, Handling, RecyclingValue, StandsFor};
use crate::chemistry::{AtomicWeights, product_per_feed};
use crate::decide::costs::{CostKind, Costs, HandlingStands};
use crate::decide::evidence::{Material, margin_of_gain};
use crate::decide::models::runs_of;
use crate::decide::plannable::barred;
use crate::distributions::{mean, middle};
use crate::measured::{Measured, Sources};
use crate::regression::{Estimate, FittedModel, Refusal, Settings, Weighted};
use crate::runs::{RunResult, Runs};

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

/// A charge with everything that it is judged by.
#[derive(Clone)]
pub(super) struct Case<'a> {
    pub material: Material<'a>,
    /// Model of contained yield.
    pub yields: &'a FittedModel,
    pub reference: Reference,
    /// Where the time to handle residue stands.
    pub handling: Handling,
    /// What the measurements of the runs bring into means that were asked for: the same settings are asked for again and again.
    errors: Rc<RefCell<Vec<(Settings, Rc<Measured>)>>>,
}

impl<'a> Case<'a> {
    /// The typical charge of the runs of the model of yield.
    pub fn of(material: &Material<'a>, carried: Carried) -> Result<Self, Unanswered> {
        let factor = match carried {
            Carried::Residue => residue_factor(material.campaign),
            Carried::Liquor => liquor_factor(material.campaign),
        };
        let factor = factor.ok_or(Unanswered::NoFactor)?;
        let yields = material.models.yields().ok_or(Unanswered::NoModel)?;
        Ok(Self::at(
            material,
            yields,
            typical(material, carried, factor, yields)?,
        ))
    }

    /// A charge that is known.
    pub fn at(material: &Material<'a>, yields: &'a FittedModel, reference: Reference) -> Self {
        let stands = material.costs.map(|costs| costs.labour.handling);
        Self {
            material: *material,
            yields,
            reference,
            errors: Rc::default(),
            handling: match stands {
                Some(HandlingStands::Known(handling)) => handling,
                Some(HandlingStands::NotLogged) => Handling::Logged,
                // What may be paid is paid, so that a gain is not too good.
                Some(HandlingStands::Unsaid(_)) | None => Handling::Extra,
            },
        }
    }

    /// The same charge with a choice at one level.
    pub fn at_level(&self, choice: &str, level: &str) -> Self {
        let mut found = self.clone();
        found.reference.with = found.reference.with.level(choice, level);
        found.reference.without = found.reference.without.level(choice, level);
        found
    }

    /// The same charge at another ratio and content of the residue.
    pub fn at_ratio(&self, ratio: f64, residue_content: Measured) -> Self {
        let mut found = self.clone();
        let reference = &mut found.reference;
        reference.ratio = ratio;
        reference.charged.ratio = ratio;
        reference.with = self.reference.with.clone().amount(&reference.factor, ratio);
        reference.residue_content = residue_content;
        found
    }

    /// The same charge by another model of yield.
    pub fn with_yields(&self, yields: &'a FittedModel) -> Self {
        Self {
            yields,
            errors: Rc::default(),
            ..self.clone()
        }
    }

    /// The same charge valued in another way.
    pub fn valued(&self, value: RecyclingValue) -> Self {
        let mut found = self.clone();
        found.reference.charged.value = value;
        found
    }

    /// The same charge with the time to handle residue elsewhere.
    pub fn handled(&self, handling: Handling) -> Self {
        let mut found = self.clone();
        found.handling = handling;
        found
    }

    /// The same charge with product off specification sold at a price of its own [currency/g].
    pub fn with_off_spec_at(&self, price: f64) -> Self {
        let mut found = self.clone();
        found.reference.charged.off_spec_kept = 0.0;
        found.reference.off_spec_price = Measured::exact(price);
        found
    }

    /// What charged runs log more of labour \[min\]; `None` where none is paid or its model cannot tell it from its scatter.
    pub fn extra_labour(&self) -> Option<Estimate> {
        self.material.costs?.prices.labour.as_ref()?;
        let extra = self
            .difference(self.material.models.side.labour.as_ref()?)
            .ok()?;
        Some(extra).filter(|extra| extra.standard_error.is_some_and(|error| error > 0.0))
    }

    /// The errors that the measurements of the runs bring into the mean yield at these settings.
    ///
    /// # Errors
    /// Why the model cannot tell that mean.
    pub fn errors_of_runs(&self, settings: &Settings) -> Result<Rc<Measured>, Refusal> {
        let known = |(before, _): &&(Settings, Rc<Measured>)| before == settings;
        if let Some((_, found)) = self.errors.borrow().iter().find(known) {
            return Ok(found.clone());
        }
        let alone = Weighted {
            weight: 1.0,
            settings: settings.clone(),
        };
        let found = Rc::new(from_runs(self.material.runs, self.yields, &[alone])?);
        let entry = (settings.clone(), found.clone());
        self.errors.borrow_mut().push(entry);
        Ok(found)
    }

    /// What residue changes about the response of a model.
    pub fn difference(&self, model: &FittedModel) -> Result<Estimate, Refusal> {
        model.difference(&self.reference.with, &self.reference.without)
    }

    /// The yields by how much the product of the charged and of the uncharged run hangs on them \[g\].
    pub fn contrast(&self) -> [Weighted; 2] {
        let reference = &self.reference;
        let feed = reference.feed_mass * reference.feed_content.value();
        let residue = reference.feed_mass * reference.ratio * reference.residue_content.value();
        [
            Weighted {
                weight: feed + residue,
                settings: reference.with.clone(),
            },
            Weighted {
                weight: -feed,
                settings: reference.without.clone(),
            },
        ]
    }

    /// Whether nothing forbids the charge.
    pub fn may_be_charged(&self) -> bool {
        let never = barred(self.material.campaign);
        !never
            .iter()
            .any(|never| never.forbids(&self.reference.with))
    }

    /// The price that a gain cannot do without, where it is missing.
    pub fn priceless(&self) -> Option<Unanswered> {
        let Some(costs) = self.material.costs else {
            return Some(Unanswered::NoPrices);
        };
        let value = self.reference.charged.value;
        let price = match value {
            RecyclingValue::Product => &costs.prices.product,
            RecyclingValue::Feed | RecyclingValue::Runs => &self.reference.feed_price,
        };
        price.is_none().then_some(Unanswered::NoPrice(value))
    }

    /// The gain below which it does not matter; 0 where the campaign states none \[currency\].
    pub fn margin(&self) -> f64 {
        margin_of_gain(self.material.campaign)
    }

    /// Coverage of intervals.
    pub fn confidence(&self) -> f64 {
        self.material.campaign.confidence()
    }
}

/// The errors that the measurements of the runs bring into a weighted sum of means of the model.
pub(super) fn from_runs(
    runs: &Runs,
    model: &FittedModel,
    parts: &[Weighted],
) -> Result<Measured, Refusal> {
    let runs = runs_of(model, runs);
    let mut weights = vec![0.0; runs.len()];
    for part in parts {
        let of_part = model.run_weights(&part.settings)?;
        for (sum, weight) in weights.iter_mut().zip(of_part) {
            *sum += part.weight * weight;
        }
    }
    let known = runs.into_iter().zip(weights);
    let known = known.filter_map(|((_, run), weight)| Some((run.contained.as_ref().ok()?, weight)));
    Ok(Measured::errors(known))
}

/// The factor that stands for residue fed forward.
pub fn residue_factor(campaign: &Campaign) -> Option<&str> {
    let declared = campaign.factor_for(StandsFor::Residue);
    let plan = declared.or_else(|| campaign.factor("residue_ratio"))?;
    Some(&plan.name)
}

/// The factor that stands for mother liquor carried on.
fn liquor_factor(campaign: &Campaign) -> Option<&str> {
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

fn typical(
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
