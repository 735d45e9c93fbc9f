//! A charge with everything that it is judged by.
//!
//! In: the reference charge, models and prices. Out: [`Case`], and the same charge at other ratios, levels or values.
//! This module never chooses a charge.

use std::cell::RefCell;
use std::rc::Rc;

use super::answer::Unanswered;
use super::gain::Carried;
use super::reference_charge::{Reference, liquor_factor, residue_factor, typical};
use crate::campaign::{Handling, RecyclingValue};
use crate::decide::costs::HandlingStands;
use crate::decide::evidence::{Material, margin_of_gain};
use crate::decide::models::runs_of;
use crate::decide::plannable::barred;
use crate::measured::Measured;
use crate::regression::{Estimate, FittedModel, Refusal, Settings, Weighted};
use crate::runs::Runs;

/// Settings, and what the measurements of the runs bring into the mean there.
type ErrorsAt = (Settings, Rc<Measured>);

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
    errors: Rc<RefCell<Vec<ErrorsAt>>>,
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
        let known = |(before, _): &&ErrorsAt| before == settings;
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
