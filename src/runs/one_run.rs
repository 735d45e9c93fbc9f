//! Results of one run after another, worked out from what was logged of each.
//!
//! In: a row of the runs log, with assays, titres and residues at hand. Out: [`RunResult`].
//! This module never repeats what its neighbours decide: assays, titres, residues and balance have files of their own.

use std::collections::BTreeMap;

use super::caveats::{COVERAGE, plus_minus};
use super::charge::{LotPrices, charge_of};
use super::impurities::Columns;
use super::liquors::{self, Liquors};
use super::lots::{Lot, feed_assay, impurity};
use super::reading_errors::Book;
use super::residue::{ResidueOut, charged_assay, content};
use super::results::{Charge, Outcome, RunResult};
use super::titration::Titrated;
use super::yields::{balance, bare, pure, ratio, weighed};
use crate::campaign::{Campaign, Chemistry, FactorKind, SampleBasis, StandsFor};
use crate::caveat::{Caveat, Doubt, Part, Reason};
use crate::chemistry::{AtomicWeights, Formula, Oxidation, product_per_feed};
use crate::intake::{CropRow, Logged, LoggedNumber, RunRow, TitreOf};
use crate::measured::Measured;
use crate::name::Name;

/// What stands on the desk while run after run is worked out.
pub(super) struct Desk<'a> {
    pub campaign: &'a Campaign,
    pub logged: &'a Logged,
    pub weights: &'a AtomicWeights,
    pub lots: &'a BTreeMap<String, Lot>,
    pub lot_prices: &'a LotPrices,
    pub titrated: &'a Titrated,
    /// Names of the titrants of the crops of each run, back titrants among them.
    pub titrants: BTreeMap<&'a str, Vec<String>>,
    /// Crops of each run, in the order of their log.
    pub crops: BTreeMap<&'a str, Vec<&'a CropRow>>,
    pub residues: BTreeMap<Name, ResidueOut>,
    pub liquors: Liquors,
    pub impurities: Columns<'a>,
    /// Grams of product per gram of the formula that strengths of liquors are stated as.
    pub per_stated: Measured,
    /// Grams of product per gram of what a crop leaves on ignition.
    pub per_left: Option<Measured>,
    pub basis: SampleBasis,
    pub residue_basis: SampleBasis,
    pub book: Book<'a>,
    pub caveats: Vec<Caveat>,
}

/// Names of the titrants of the crops of each run, back titrants among them, in the order of the log.
pub(super) fn titrants_of_crops<'l>(
    campaign: &Campaign,
    logged: &'l Logged,
) -> BTreeMap<&'l str, Vec<String>> {
    let titration = campaign.titration.as_ref();
    let usual = titration.and_then(|titration| titration.titrant.as_deref());
    let mut of_runs: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    let titres = logged.titres.iter();
    for titre in titres.filter(|titre| matches!(titre.of, TitreOf::Crop(_))) {
        let known = of_runs.entry(&titre.run).or_default();
        let back = titre.back_titrant().map(Name::as_str);
        for name in titre.titrant.as_deref().or(usual).into_iter().chain(back) {
            if known.iter().all(|known| known != name) {
                known.push(name.to_string());
            }
        }
    }
    of_runs
}

impl Desk<'_> {
    /// Works out one run, which stands at a position of the runs log.
    pub fn run(&mut self, row: &RunRow, position: usize) -> RunResult {
        let residue = self.residues.get(row.run.as_str());
        let residue = residue.filter(|_| row.may_use(&[Part::Residue]).is_ok());
        let charge = Charge {
            residue_out: residue.map(|out| out.mass.value()),
            ..charge_of(self.campaign, self.logged, row, position, self.lot_prices)
        };
        let chemistry = self.campaign.chemistry.as_ref();
        let reason = match (chemistry, row.feed_mass) {
            (None, _) => Reason::NoProduct,
            (Some(_), _) if row.may_use(&[Part::Feed]).is_err() => {
                Reason::Withheld { part: Part::Feed }
            }
            (Some(_), None) => Reason::NoFeedMass,
            // Every figure that this leaves open is worked out below.
            (Some(_), Some(_)) => Reason::NoCrop,
        };
        let mut result = RunResult {
            titrants: self.titrants.remove(&*row.run).unwrap_or_default(),
            charge,
            ..bare(row, reason)
        };
        if let (Some(chemistry), Some(feed), Ok(())) =
            (chemistry, row.feed_mass, row.may_use(&[Part::Feed]))
        {
            self.work_out(&mut result, row, feed, chemistry);
            result.ceiling = self.ceiling(position);
            let of = |ceiling| result.contained.clone().map(|yields| yields / ceiling);
            result.of_ceiling = result.ceiling.map(of);
        }
        result
    }

    /// Yields, purity, balance and charge of a run with chemistry.
    ///
    /// With the masses of feed `F`, residue charged `R` and crops `mᵢ` \[g\], assays `w` [mass fraction], purities `pᵢ`, and `q`
    /// grams of product per gram of pure feed: theory `T = q·w_F·F`, on the total basis `q·(w_F·F + w_R·R)`; gross
    /// `Σ mᵢ / (q·F)`, assay-adjusted `Σ mᵢ / T_total`, contained `Σ pᵢ·mᵢ / T_total` or over `T` of the fresh feed; purity
    /// `Σ pᵢ·mᵢ / Σ mᵢ`.
    ///
    /// # Assumes
    /// All of the followed element in feed and residue could become product.
    /// # Source
    /// Stoichiometry; uncertainties by JCGM 100:2008, 5.1.2, each source kept apart.
    fn work_out(
        &mut self,
        result: &mut RunResult,
        row: &RunRow,
        feed_number: LoggedNumber,
        chemistry: &Chemistry,
    ) {
        let feed = self.book.reading(feed_number, &["feed_mass"], "feed mass");
        let per_feed = product_per_feed(
            &chemistry.assay_as,
            &chemistry.product,
            &chemistry.followed,
            self.weights,
        );
        let titrated_feed = self.titrated.get(&(Name::from(&row.run), TitreOf::Feed));
        let assay = row
            .may_use(&[Part::FeedAssay])
            .and_then(|()| feed_assay(row, titrated_feed, self.lots, &mut self.book));
        let at_full_assay = &feed * &per_feed;
        let fresh: Outcome = assay.clone().map(|assay| &at_full_assay * &assay);
        let charged_residue = self.charged_residue(row);
        let residue_theory: Option<Outcome> = charged_residue.as_ref().map(|(mass, assay)| {
            let assay = assay.as_ref().map_err(Clone::clone)?;
            Ok(&(mass * assay) * &per_feed)
        });
        let liquor_theory = liquors::charged(row, &self.liquors, &self.per_stated, &mut self.book);
        let total = self.total(row, &fresh, &residue_theory, &liquor_theory);
        result.crops = self.crops_of(row);
        let crops: Vec<Part> = result.crops.iter().map(|of| Part::Crop(of.crop)).collect();
        let is_weighed = row.may_use(&[crops, vec![Part::Crops]].concat());
        let weighed = is_weighed.clone().and_then(|()| weighed(&result.crops));
        let pure = is_weighed.and_then(|()| pure(&result.crops));
        result.purity = ratio(&pure, &weighed);
        result.gross = ratio(&weighed, &Ok(at_full_assay));
        result.assay_adjusted = ratio(&weighed, &total);
        result.contained = ratio(&pure, &total);
        result.contained_fresh = ratio(&pure, &fresh);
        let charged = match (&residue_theory, &liquor_theory) {
            (Some(Err(reason)), _) | (_, Some(Err(reason))) => Err(reason.clone()),
            _ => total.clone(),
        };
        let liquor = liquors::left(row, &self.liquors);
        if row.may_use(&[Part::Residue, Part::ResidueAssay]).is_ok() {
            self.residue_by_difference(row, &charged, &pure, &liquor, &per_feed);
        }
        let residue_out = row
            .may_use(&[Part::Residue, Part::ResidueAssay])
            .and_then(|()| content(self.residues.get(row.run.as_str()), &per_feed));
        result.balance = balance(&charged, [&pure, &liquor, &residue_out]);
        if let Some(residue) = self.residues.get(row.run.as_str()) {
            result.residue_assay = residue.assay.clone();
            result.residue_by_difference = residue.by_difference;
        }
        let parts = [
            Part::Balance,
            Part::Liquor,
            Part::Residue,
            Part::ResidueAssay,
        ];
        // What closes the balance by itself proves nothing.
        let tells = match result.residue_by_difference {
            true => Err(Reason::ResidueByDifference),
            false => row.may_use(&parts),
        };
        if let Err(reason) = tells {
            result.balance.closure = Err(reason.clone());
            result.balance.unaccounted = Err(reason);
        }
        let of = (assay.as_ref().ok(), charged_residue.as_ref());
        result.oxidant_excess = self.oxidant_excess(row, chemistry, feed_number, of);
        result.charge.feed_assay = Some(assay);
        result.impurities = self.impurities.flows(row, &result.crops);
        result.charge.residue_theory = residue_theory;
        result.charge.liquor_theory = liquor_theory;
        result.theory_fresh = fresh;
        result.theory_total = total;
    }

    /// Residue charged \[g\] and its assay [mass fraction]; `None` without residue.
    fn charged_residue(&mut self, row: &RunRow) -> Option<(Measured, Outcome)> {
        let mass = row.residue_mass.filter(|mass| mass.value > 0.0)?;
        let names = ["residue_mass", "feed_mass"];
        let mass = self.book.reading(mass, &names, "mass of residue charged");
        let assay = row
            .may_use(&[Part::Charged])
            .and_then(|()| charged_assay(row, &self.residues, self.residue_basis, &mut self.book));
        Some((mass, assay))
    }

    /// Theory on the total basis; on the fresh basis, with a caveat, where the residue has no assay.
    fn total(
        &mut self,
        row: &RunRow,
        fresh: &Outcome,
        residue: &Option<Outcome>,
        liquor: &Option<Outcome>,
    ) -> Outcome {
        let fresh = fresh.as_ref().map_err(Clone::clone)?;
        let fresh = match liquor {
            None => fresh.clone(),
            Some(Ok(liquor)) => fresh + liquor,
            Some(Err(reason @ Reason::Withheld { .. })) => return Err(reason.clone()),
            Some(Err(reason)) => {
                let doubt = Doubt::LiquorWithoutStrength {
                    charged: row.liquor_in.map_or(0.0, |volume| volume.value),
                    reason: reason.clone(),
                };
                self.caveats.push(Caveat::of_run(&row.run, doubt));
                fresh.clone()
            }
        };
        match residue {
            None => Ok(fresh),
            Some(Ok(residue)) => Ok(&fresh + residue),
            Some(Err(reason @ Reason::Withheld { .. })) => Err(reason.clone()),
            Some(Err(reason)) => {
                let doubt = Doubt::ResidueWithoutAssay {
                    charged: row.residue_mass.map_or(0.0, |mass| mass.value),
                    reason: reason.clone(),
                };
                self.caveats.push(Caveat::of_run(&row.run, doubt));
                Ok(fresh)
            }
        }
    }

    /// A residue that was weighed but not assayed holds what neither crops nor liquor took, losses included.
    ///
    /// `w = (charged − crops − liquor) / (q·m)`, all three in grams of product, `m` the mass of the residue \[g\] and `q` grams of
    /// product per gram of pure feed; not taken where it lies outside 0 to 1 beyond its uncertainty.
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
        if let Some(residue) = self.residues.get_mut(row.run.as_str())
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
            residue.by_difference = true;
        }
    }

    /// Ceiling of the route that a run took [fraction of theory].
    fn ceiling(&self, position: usize) -> Option<f64> {
        let route = self.campaign.factor_for(StandsFor::Route);
        let plans = route.into_iter().chain(&self.campaign.factors);
        for plan in plans {
            let FactorKind::Choice { ceiling, .. } = &plan.kind else {
                continue;
            };
            let name = plan.column();
            let level = self.logged.runs.column(name)?.cells[position].as_deref();
            if let Some(found) = ceiling.iter().find(|c| Some(c.level.as_str()) == level) {
                return Some(found.fraction);
            }
        }
        None
    }

    /// Excess of oxidant [%], of best estimates alone: electrons that it takes up beside those that feed, residue and
    /// impurities give, as [`Oxidation::excess`] has it.
    fn oxidant_excess(
        &self,
        row: &RunRow,
        chemistry: &Chemistry,
        feed: LoggedNumber,
        (assay, residue): (Option<&Measured>, Option<&(Measured, Outcome)>),
    ) -> Option<f64> {
        let oxidant = self.campaign.oxidant.as_ref()?;
        let moles =
            |grams: f64, formula: &Formula| grams / formula.molar_mass(self.weights).value();
        let followed = |grams: f64| {
            moles(grams, &chemistry.assay_as) * chemistry.assay_as.atoms_of(&chemistry.followed)
        };
        let residue = match residue {
            None => 0.0,
            Some((mass, assay)) => followed(mass.value() * assay.as_ref().ok()?.value()),
        };
        let impurities = oxidant.impurities.iter().enumerate();
        let impurities = impurities.map(|(position, plan)| {
            let grams = feed.value * impurity(row, self.lots, position);
            moles(grams, &plan.formula) * plan.electrons
        });
        Oxidation {
            offered: moles(row.oxidant_mass?.value * oxidant.assay, &oxidant.formula)
                * oxidant.electrons,
            needed: oxidant.needed * (followed(feed.value * assay?.value()) + residue),
            impurities: impurities.sum(),
        }
        .excess()
    }
}
