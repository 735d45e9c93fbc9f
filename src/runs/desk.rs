//! One run after another, worked out from what was logged of it.
//!
//! In: a row of the runs log, with assays, titres and residues at hand. Out: [`RunResult`].
//! This module never repeats what its neighbours decide: assays, titres, residues and balance have files of their own.

use std::collections::BTreeMap;

use super::balance::Flows;
use super::book::Book;
use super::caveats::{COVERAGE, plus_minus};
use super::charge::{Charge, LotPrices};
use super::footing::{bare, pure, ratio, weighed};
use super::lots::{Lot, feed_assay, impurity};
use super::residue::{AssayOrigin, ResidueOut, charged_assay};
use super::titration::{SampleKey, Titrated, as_weighed};
use super::{CropResult, Outcome, Reason, RunResult};
use crate::campaign::{Campaign, Chemistry, FactorKind, SampleBasis, StandsFor};
use crate::caveat::{Caveat, Doubt};
use crate::chemistry::{AtomicWeights, Formula, Oxidation, product_per_feed};
use crate::intake::{CropRow, Logged, LoggedNumber, RunRow, TitreOf};
use crate::measured::Measured;

/// What stands on the desk while run after run is worked out.
pub(super) struct Desk<'a> {
    pub campaign: &'a Campaign,
    pub logged: &'a Logged,
    pub weights: &'a AtomicWeights,
    pub lots: &'a BTreeMap<String, Lot>,
    pub lot_prices: &'a LotPrices,
    pub titrated: &'a Titrated,
    pub residues: BTreeMap<String, ResidueOut>,
    pub crops: &'a BTreeMap<&'a str, Vec<&'a CropRow>>,
    pub basis: SampleBasis,
    pub book: Book<'a>,
    pub caveats: Vec<Caveat>,
}

impl Desk<'_> {
    /// Works out one run, which stands at a position of the runs log.
    pub fn run(&mut self, row: &RunRow, position: usize) -> RunResult {
        let residue_out = self.residues.get(&row.run).map(|out| out.mass.value());
        let charge = Charge::of(
            self.campaign,
            self.logged,
            row,
            position,
            self.lot_prices,
            residue_out,
        );
        let mut result = match &self.campaign.chemistry {
            Some(chemistry) => self.with_chemistry(row, position, chemistry),
            None => bare(row, Reason::NoProduct),
        };
        result.charge = Charge {
            feed_assay: result.charge.feed_assay.take(),
            residue_theory: result.charge.residue_theory.take(),
            ..charge
        };
        result
    }

    fn with_chemistry(
        &mut self,
        row: &RunRow,
        position: usize,
        chemistry: &Chemistry,
    ) -> RunResult {
        let Some(feed_number) = row.feed_mass else {
            return bare(row, Reason::NoFeedMass);
        };
        // Every figure that this leaves open is worked out below.
        let mut result = bare(row, Reason::NoCrop);
        let feed = self.book.reading(feed_number, &["feed_mass"], "feed mass");
        let per_feed = product_per_feed(
            &chemistry.assay_as,
            &chemistry.product,
            &chemistry.followed,
            self.weights,
        );
        let titrated_feed = self.titrated.get(&SampleKey {
            run: row.run.clone(),
            of: TitreOf::Feed,
        });
        let assay = feed_assay(row, titrated_feed, self.lots, &mut self.book);
        let at_full_assay = &feed * &per_feed;
        let fresh: Outcome = assay
            .as_ref()
            .map(|assay| &at_full_assay * assay)
            .map_err(Clone::clone);
        let charged_residue = self.charged_residue(row, &per_feed);
        let total = self.total(row, &fresh, &charged_residue);
        result.crops = self.crops(row);
        let weighed = weighed(&result.crops);
        let pure = pure(&result.crops);
        result.purity = ratio(&pure, &weighed);
        result.gross = ratio(&weighed, &Ok(at_full_assay));
        result.assay_adjusted = ratio(&weighed, &total);
        result.contained = ratio(&pure, &total);
        result.contained_fresh = ratio(&pure, &fresh);
        let charged = match &charged_residue {
            Some(Err(reason)) => Err(reason.clone()),
            _ => total.clone(),
        };
        let liquor = self.liquor(row);
        self.residue_by_difference(row, &charged, &pure, &liquor, &per_feed);
        result.balance = Flows {
            charged: &charged,
            crops: &pure,
            liquor,
            residue: self.residue_out(row, &per_feed),
        }
        .balance();
        result.residue_assay = self.residues.get(&row.run).and_then(|r| r.assay.clone());
        result.residue_by_difference = self
            .residues
            .get(&row.run)
            .is_some_and(|r| r.origin == AssayOrigin::ByDifference);
        if result.residue_by_difference {
            result.balance.close_by_difference();
        }
        result.ceiling = self.ceiling(position);
        result.of_ceiling = result.ceiling.map(|ceiling| {
            result
                .contained
                .clone()
                .map(|contained| contained / ceiling)
        });
        result.oxidant_excess =
            self.oxidant_excess(row, chemistry, assay.as_ref().ok(), feed_number);
        result.charge.feed_assay = Some(assay);
        result.charge.residue_theory = charged_residue;
        result.theory_fresh = fresh;
        result.theory_total = total;
        result
    }

    /// Product that the residue charged can give [g]; `None` without residue.
    fn charged_residue(&mut self, row: &RunRow, per_feed: &Measured) -> Option<Outcome> {
        let mass = row.residue_mass.filter(|mass| mass.value > 0.0)?;
        let mass = self.book.reading(
            mass,
            &["residue_mass", "feed_mass"],
            "mass of residue charged",
        );
        let assay = charged_assay(row, &self.residues, &mut self.book);
        Some(assay.map(|assay| &(&mass * &assay) * per_feed))
    }

    /// Theory on the total basis; on the fresh basis, with a caveat, where the residue has no assay.
    fn total(&mut self, row: &RunRow, fresh: &Outcome, residue: &Option<Outcome>) -> Outcome {
        let fresh = fresh.as_ref().map_err(Clone::clone)?;
        match residue {
            None => Ok(fresh.clone()),
            Some(Ok(residue)) => Ok(fresh + residue),
            Some(Err(reason)) => {
                let doubt = Doubt::ResidueWithoutAssay {
                    charged: row.residue_mass.map_or(0.0, |mass| mass.value),
                    reason: reason.clone(),
                };
                self.caveats.push(Caveat::of_run(&row.run, doubt));
                Ok(fresh.clone())
            }
        }
    }

    fn crops(&mut self, row: &RunRow) -> Vec<CropResult> {
        let logged: Vec<CropRow> = self
            .crops
            .get(row.run.as_str())
            .map(|crops| crops.iter().map(|crop| (*crop).clone()).collect())
            .unwrap_or_default();
        let whole = row
            .purity
            .map(|purity| self.book.reading(purity, &["purity"], "purity"));
        let mut crops: Vec<CropResult> = Vec::new();
        for crop in logged {
            let mass = self.book.reading(crop.mass, &["crop_mass"], "crop mass");
            let purity = self.purity(row, crop.crop, crop.moisture, None, whole.as_ref());
            crops.push(CropResult {
                crop: crop.crop,
                mass,
                purity,
                liquor_volume: crop.liquor_volume.map(|volume| volume.value),
                temperature: crop.temperature.map(|temperature| temperature.value),
            });
        }
        for flat in &row.crops {
            let Some(mass) = flat.mass else { continue };
            if crops.iter().any(|known| known.crop == flat.crop) {
                continue;
            }
            let mass = self.book.reading(mass, &["crop_mass"], "crop mass");
            let purity = self.purity(row, flat.crop, flat.moisture, flat.purity, whole.as_ref());
            crops.push(CropResult {
                crop: flat.crop,
                mass,
                purity,
                liquor_volume: None,
                temperature: None,
            });
        }
        crops.sort_by_key(|crop| crop.crop);
        crops
    }

    /// Purity of one crop as weighed: from its titres, else logged for the crop, else logged for the run.
    fn purity(
        &mut self,
        row: &RunRow,
        crop: u32,
        moisture: Option<LoggedNumber>,
        own: Option<LoggedNumber>,
        whole: Option<&Measured>,
    ) -> Outcome {
        let moisture = moisture.map(|m| self.book.reading(m, &["moisture"], "moisture"));
        let key = SampleKey {
            run: row.run.clone(),
            of: TitreOf::Crop(crop),
        };
        let found = match (self.titrated.get(&key), own, whole) {
            (Some(titrated), _, _) => titrated.clone(),
            (None, Some(own), _) => self.book.reading(own, &["purity"], "purity"),
            (None, None, Some(whole)) => whole.clone(),
            (None, None, None) => {
                return Err(if self.campaign.titration.is_some() {
                    Reason::NoTitre { crop }
                } else {
                    Reason::NoPurity { crop }
                });
            }
        };
        Ok(as_weighed(found, moisture.as_ref(), self.basis))
    }

    /// Product in the mother liquor left [g].
    fn liquor(&mut self, row: &RunRow) -> Outcome {
        let (Some(volume), Some(concentration)) = (row.liquor_volume, row.liquor_conc) else {
            return Err(Reason::LiquorNotMeasured);
        };
        let volume = self
            .book
            .reading(volume, &["liquor_volume"], "liquor volume");
        let concentration =
            self.book
                .reading(concentration, &["liquor_conc"], "liquor concentration");
        Ok((&volume * &concentration) / 1000.0)
    }

    /// A residue that was weighed but not assayed holds what neither crops nor liquor took, losses included.
    fn residue_by_difference(
        &mut self,
        row: &RunRow,
        charged: &Outcome,
        crops: &Outcome,
        liquor: &Outcome,
        per_feed: &Measured,
    ) {
        let (Ok(charged), Ok(crops), Ok(liquor)) = (charged, crops, liquor) else {
            return;
        };
        if let Some(residue) = self.residues.get_mut(&row.run)
            && residue.assay.is_none()
            && residue.mass.value() > 0.0
        {
            let rest = &(charged - crops) - liquor;
            let assay = &(&rest / per_feed) / &residue.mass;
            let error = COVERAGE * assay.uncertainty();
            if assay.value() + error < 0.0 || assay.value() - error > 1.0 {
                let assay = plus_minus(&assay);
                let doubt = Doubt::BalanceLeavesNoResidue { assay };
                self.caveats.push(Caveat::of_run(&row.run, doubt));
                return;
            }
            residue.assay = Some(assay);
            residue.origin = AssayOrigin::ByDifference;
        }
    }

    /// Product that the residue taken out could still give [g].
    fn residue_out(&self, row: &RunRow, per_feed: &Measured) -> Outcome {
        let residue = self
            .residues
            .get(&row.run)
            .ok_or(Reason::ResidueNotMeasured)?;
        let assay = residue.assay.as_ref().ok_or(Reason::ResidueNotAssayed)?;
        Ok(&(&residue.mass * assay) * per_feed)
    }

    /// Ceiling of the route that a run took.
    fn ceiling(&self, position: usize) -> Option<f64> {
        let route = self.campaign.factor_for(StandsFor::Route);
        let plans = route.into_iter().chain(&self.campaign.factors);
        for plan in plans {
            let FactorKind::Choice { ceiling, .. } = &plan.kind else {
                continue;
            };
            let name = plan.column.as_deref().unwrap_or(&plan.name);
            let level = self.logged.runs.column(name)?.cells[position].as_deref();
            if let Some(found) = ceiling.iter().find(|c| Some(c.level.as_str()) == level) {
                return Some(found.fraction);
            }
        }
        None
    }

    fn oxidant_excess(
        &self,
        row: &RunRow,
        chemistry: &Chemistry,
        assay: Option<&Measured>,
        feed: LoggedNumber,
    ) -> Option<f64> {
        let oxidant = self.campaign.oxidant.as_ref()?;
        let moles =
            |grams: f64, formula: &Formula| grams / formula.molar_mass(self.weights).value();
        let followed = |grams: f64| {
            moles(grams, &chemistry.assay_as) * chemistry.assay_as.atoms_of(&chemistry.followed)
        };
        let residue = match row.residue_mass.filter(|mass| mass.value > 0.0) {
            None => 0.0,
            Some(mass) => {
                let assay = charged_assay_value(row, &self.residues)?;
                followed(mass.value * assay)
            }
        };
        let impurities = oxidant
            .impurities
            .iter()
            .enumerate()
            .map(|(position, impurity_plan)| {
                let grams = feed.value * impurity(row, self.lots, position);
                moles(grams, &impurity_plan.formula) * impurity_plan.electrons
            })
            .sum();
        Oxidation {
            offered: moles(row.oxidant_mass?.value * oxidant.assay, &oxidant.formula)
                * oxidant.electrons,
            needed: oxidant.needed * (followed(feed.value * assay?.value()) + residue),
            impurities,
        }
        .excess()
    }
}

/// Best estimate of the assay of the residue charged.
fn charged_assay_value(row: &RunRow, residues: &BTreeMap<String, ResidueOut>) -> Option<f64> {
    let plan = crate::campaign::UncertaintyPlan::default();
    charged_assay(row, residues, &mut Book::new(&plan, None))
        .ok()
        .map(|assay| assay.value())
}
