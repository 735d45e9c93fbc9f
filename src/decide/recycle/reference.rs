//! Which charge is a gain worked out for?
//!
//! In: the runs of a model of yield. Out: [`Reference`]: ratio, masses and contents of a typical charged run.
//! This module never goes beyond what the runs show.

use super::gain::Charged;
use super::inputs::Untold;
use crate::campaign::{Campaign, RecyclingValue, StandsFor};
use crate::chemistry::AtomicWeights;
use crate::decide::costs::{CostKind, Costs};
use crate::decide::middle;
use crate::measured::{Measured, Sources};
use crate::regression::{FittedModel, Settings, Weighted};
use crate::runs::{RunResult, Runs};

/// Why a question cannot be answered; what to log, declare or run, and what can be answered instead, goes with each.
#[derive(Debug, Clone, PartialEq)]
pub enum Unanswered {
    /// No factor stands for residue fed forward.
    NoFactor,
    /// There is no model of yield.
    NoModel,
    /// No run charged residue.
    NotCharged,
    /// Every run charged residue at this ratio, so that there is nothing to hold it against [g/g].
    OneRatio(f64),
    /// No residue that was charged has an assay.
    NoAssay,
    /// The model cannot tell a charged run from one without residue.
    CannotBeTold {
        /// Factor that stands for residue fed forward.
        factor: String,
        /// Residual degrees of freedom of the model.
        residual_df: usize,
        /// Why.
        why: Untold,
    },
    /// There are no prices.
    NoPrices,
    /// What is valued has no price.
    NoPrice(RecyclingValue),
}

/// A typical charge, held against the same run without residue.
#[derive(Debug, Clone)]
pub struct Reference {
    /// Factor that stands for residue fed forward.
    pub factor: String,
    /// Runs of the model that charged residue.
    pub charged_runs: usize,
    /// Residue per fresh feed: the middle of the runs that charged any [g/g].
    pub ratio: f64,
    /// Smallest and largest ratio of all runs [g/g].
    pub tried: [f64; 2],
    /// Fresh feed of a run: the mean [g].
    pub feed_mass: f64,
    /// Product that a gram of fresh feed can give [g/g].
    pub feed_content: Measured,
    /// Product that a gram of residue can give [g/g].
    pub residue_content: Measured,
    /// Product that a gram of the formula of assays can give [g/g].
    pub content_per_assay: f64,
    /// What a gram of fresh feed cost [currency/g].
    pub feed_price: Option<Measured>,
    /// Most solids one run can hold, where the campaign states it [g].
    pub vessel_solids: Option<f64>,
    /// Where the model is asked for the charged run.
    pub with: Settings,
    /// Where it is asked for the same run without residue.
    pub without: Settings,
    /// What is fixed about the charge.
    pub charged: Charged,
}

/// The runs of a model, in run order, with their positions.
pub(super) fn of_model<'a>(runs: &'a Runs, model: &FittedModel) -> Vec<(usize, &'a RunResult)> {
    let mut all = runs.results.iter().enumerate();
    model
        .runs
        .iter()
        .filter_map(|name| all.find(|(_, run)| run.run == *name))
        .collect()
}

impl Reference {
    /// The typical charge of the runs of a model of yield.
    pub(super) fn of(
        campaign: &Campaign,
        runs: &Runs,
        costs: Option<&Costs>,
        model: Option<&FittedModel>,
    ) -> Result<Self, Unanswered> {
        let factor = campaign
            .factor_for(StandsFor::Residue)
            .map(|plan| plan.name.clone())
            .or_else(|| {
                campaign
                    .factor("residue_ratio")
                    .map(|plan| plan.name.clone())
            })
            .ok_or(Unanswered::NoFactor)?;
        let model = model.ok_or(Unanswered::NoModel)?;
        let of_model = of_model(runs, model);
        let ratio = |run: &RunResult| {
            let feed = run.charge.feed_mass?;
            (feed > 0.0).then(|| run.charge.residue_mass / feed)
        };
        let charged: Vec<&RunResult> = of_model
            .iter()
            .map(|(_, run)| *run)
            .filter(|run| run.charge.residue_mass > 0.0)
            .collect();
        if charged.is_empty() {
            return Err(Unanswered::NotCharged);
        }
        let ratios: Vec<f64> = of_model.iter().filter_map(|(_, run)| ratio(run)).collect();
        let tried = [
            ratios.iter().copied().fold(f64::INFINITY, f64::min),
            ratios.iter().copied().fold(0.0, f64::max),
        ];
        if tried[1] - tried[0] <= 1e-9 * tried[1] {
            return Err(Unanswered::OneRatio(tried[1]));
        }
        let grams = |of: fn(&RunResult) -> Option<f64>, runs: &[&RunResult]| -> f64 {
            runs.iter().filter_map(|run| of(run)).sum()
        };
        let all: Vec<&RunResult> = of_model.iter().map(|(_, run)| *run).collect();
        let feed = grams(|run| run.charge.feed_mass, &all);
        let fresh: Vec<&Measured> = all
            .iter()
            .filter_map(|run| run.theory_fresh.as_ref().ok())
            .collect();
        let known: Vec<(&RunResult, &Measured)> = charged
            .iter()
            .filter_map(|run| Some((*run, run.charge.residue_theory.as_ref()?.as_ref().ok()?)))
            .collect();
        if known.is_empty() {
            return Err(Unanswered::NoAssay);
        }
        let known_mass: f64 = known.iter().map(|(run, _)| run.charge.residue_mass).sum();
        let content: Vec<&Measured> = known.iter().map(|(_, theory)| *theory).collect();
        let typical =
            middle(charged.iter().filter_map(|run| ratio(run)).collect()).unwrap_or_default();
        let mean_excess = mean(all.iter().filter_map(|run| run.oxidant_excess));
        let value = campaign
            .recycling
            .as_ref()
            .map_or(RecyclingValue::Product, |plan| plan.value);
        let feed_mass = feed / all.len() as f64;
        Ok(Self {
            charged_runs: charged.len(),
            ratio: typical,
            tried,
            feed_mass,
            feed_content: Measured::sum(fresh) / feed,
            residue_content: Measured::sum(content) / known_mass,
            content_per_assay: content_per_assay(campaign),
            feed_price: costs.and_then(|costs| feed_price(costs, &of_model, feed)),
            vessel_solids: campaign
                .recycling
                .as_ref()
                .and_then(|plan| plan.vessel_solids),
            with: Settings::default().amount(&factor, typical),
            without: Settings::default().amount(&factor, 0.0),
            charged: Charged {
                ratio: typical,
                feed_mass,
                oxidant_per_content: oxidant_per_content(campaign, mean_excess),
                value,
            },
            factor,
        })
    }

    /// The same charge with a choice at one level.
    pub(super) fn at_level(&self, choice: &str, level: &str) -> Self {
        let mut found = self.clone();
        found.with = found.with.level(choice, level);
        found.without = found.without.level(choice, level);
        found
    }

    /// The same charge at another ratio and content of the residue.
    pub(super) fn at_ratio(&self, ratio: f64, residue_content: Measured) -> Self {
        let mut found = self.clone();
        found.ratio = ratio;
        found.charged.ratio = ratio;
        found.with = found.with.amount(&self.factor, ratio);
        found.residue_content = residue_content;
        found
    }

    /// The yields by how much the product of the charged and of the uncharged run hangs on them [g].
    pub(super) fn contrast(&self) -> [Weighted; 2] {
        let feed = self.feed_mass * self.feed_content.value();
        let residue = self.feed_mass * self.ratio * self.residue_content.value();
        [
            Weighted {
                weight: feed + residue,
                settings: self.with.clone(),
            },
            Weighted {
                weight: -feed,
                settings: self.without.clone(),
            },
        ]
    }
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (mut sum, mut count) = (0.0, 0_u32);
    for value in values {
        sum += value;
        count += 1;
    }
    if count == 0 {
        0.0
    } else {
        sum / f64::from(count)
    }
}

fn feed_price(costs: &Costs, of_model: &[(usize, &RunResult)], feed: f64) -> Option<Measured> {
    let parts: Option<Vec<&Measured>> = of_model
        .iter()
        .map(|(position, _)| costs.runs[*position].part(CostKind::Feed))
        .collect();
    Some(Measured::sum(parts?) / feed)
}

/// Product that a gram of the formula of assays can give [g/g]; 0 without chemistry.
fn content_per_assay(campaign: &Campaign) -> f64 {
    let weights = AtomicWeights::new(&mut Sources::default());
    campaign.chemistry.as_ref().map_or(0.0, |chemistry| {
        crate::chemistry::product_per_feed(
            &chemistry.assay_as,
            &chemistry.product,
            &chemistry.followed,
            &weights,
        )
        .value()
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
