//! From logged rows to results: each run on one footing.
//!
//! In: campaign and logs. Out: [`Runs`].
//! This module never repeats what its neighbours decide: assays, titres, residues and balance have files of their own.

use std::collections::{BTreeMap, BTreeSet};

use super::balance::Flows;
use super::book::Book;
use super::columns::Material;
use super::lots::{Lot, feed_assay, impurity, lots};
use super::order::run_order;
use super::residue::{AssayOrigin, ResidueOut, charged_assay, residues_out};
use super::scatter::Scatter;
use super::titrants::{TitrantResult, titrants};
use super::titration::{Bench, SampleKey, Titrated, as_weighed, scatter_of_replicates, titrate};
use super::{CropResult, Outcome, RunResult, Runs, caveats};
use crate::campaign::{Campaign, Chemistry, FactorKind, SampleBasis, StandsFor};
use crate::caveat::{About, Caveat};
use crate::chemistry::{AtomicWeights, Oxidation, product_per_feed};
use crate::error::{Error, ErrorKind, Faults};
use crate::intake::{CropRow, LeftOut, Logged, LoggedNumber, RunRow, TitreOf};
use crate::measured::{Draws, Measured, Sources};

/// Puts every run on one footing.
///
/// # Errors
/// Faults that stop the work: a factor or response without a column, a baseline that no run has.
pub fn normalise(campaign: &Campaign, logged: &Logged) -> Result<Runs, Faults> {
    let mut left_out = logged.left_out.clone();
    leave_out_unknown_names(logged, &mut left_out);
    let mut worked = work_out(campaign, logged, &mut left_out, None);
    let mut caveats = worked.caveats;
    caveats.extend(caveats::of_runs(&worked.results));
    caveats.extend(caveats::of_balance(&worked.results));
    caveats.extend(caveats::not_stated(&worked.results, &worked.sources));
    for run in &mut worked.results {
        if let Ok(contained) = &run.contained {
            run.budget = worked.sources.budget(contained);
        }
    }
    let collected = Collected {
        rows: worked.rows,
        positions: worked.positions,
        results: worked.results,
        left_out,
    };
    finish(campaign, logged, collected, |parts| Runs {
        sources: worked.sources,
        lines: logged.runs.lines,
        left_out_lines: logged.runs.lines
            - parts
                .results
                .iter()
                .filter(|r| r.set_aside.is_none())
                .count(),
        results: parts.results,
        factors: parts.factors,
        responses: parts.responses,
        titrants: worked.titrants,
        scatter: worked.scatter,
        cross_checks: Vec::new(),
        caveats,
        left_out: parts.left_out,
    })
}

/// Runs worked out, before columns and judgements.
pub(super) struct Worked<'a> {
    pub rows: Vec<&'a RunRow>,
    pub positions: Vec<usize>,
    pub results: Vec<RunResult>,
    pub sources: Sources,
    pub titrants: Vec<TitrantResult>,
    pub scatter: Option<Scatter>,
    pub caveats: Vec<Caveat>,
}

/// One batch of a simulation.
#[derive(Debug, Clone, Copy)]
pub(super) struct Simulation {
    pub draws: Draws,
    /// Scatter of titrations in the whole campaign, of which a simulation may see only some runs.
    pub scatter: Option<Scatter>,
}

/// Works out every run that no fault leaves out, by propagation or as one batch of a simulation.
pub(super) fn work_out<'a>(
    campaign: &Campaign,
    logged: &'a Logged,
    left_out: &mut Vec<LeftOut>,
    simulation: Option<Simulation>,
) -> Worked<'a> {
    let mut caveats = Vec::new();
    let mut book = Book::new(&campaign.uncertainty, simulation.map(|s| s.draws));
    let weights = book.atomic_weights();
    let repeatability = campaign.titration.as_ref().and_then(|t| t.repeatability);
    let titrants = titrants(logged, &weights, repeatability, &mut book, &mut caveats);
    let lots = lots(logged, &mut book, &mut caveats);
    let basis = campaign
        .titration
        .as_ref()
        .map_or(SampleBasis::AsWeighed, |titration| titration.sample);
    let mut scatter = None;
    let titrated = match (&campaign.titration, &campaign.chemistry) {
        (Some(titration), Some(chemistry)) => {
            let mut bench = Bench {
                titration,
                chemistry,
                weights: &weights,
                titrants: &titrants,
                scatter: None,
            };
            scatter = match simulation {
                Some(simulation) => simulation.scatter,
                None => scatter_of_replicates(&bench, logged),
            };
            bench.scatter = scatter;
            titrate(&bench, logged, &mut book, &mut caveats, left_out)
        }
        _ => Titrated::new(),
    };
    let residues = residues_out(logged, &titrated, basis, &mut book);
    let out: BTreeSet<String> = faulty(left_out);
    let positions: Vec<usize> = run_order(&logged.runs.rows)
        .into_iter()
        .filter(|position| !out.contains(&logged.runs.rows[*position].run))
        .collect();
    let rows: Vec<&RunRow> = positions.iter().map(|p| &logged.runs.rows[*p]).collect();
    let mut crops: BTreeMap<&str, Vec<&CropRow>> = BTreeMap::new();
    for crop in &logged.crops {
        crops.entry(&crop.run).or_default().push(crop);
    }
    let mut desk = Desk {
        campaign,
        logged,
        weights: &weights,
        lots: &lots,
        titrated: &titrated,
        residues,
        crops: &crops,
        basis,
        book,
        caveats: Vec::new(),
    };
    let results: Vec<RunResult> = rows
        .iter()
        .zip(&positions)
        .map(|(row, position)| desk.run(row, *position))
        .collect();
    caveats.extend(desk.caveats);
    Worked {
        rows,
        positions,
        results,
        sources: desk.book.sources,
        titrants,
        scatter,
        caveats,
    }
}

struct Collected<'a> {
    rows: Vec<&'a RunRow>,
    positions: Vec<usize>,
    results: Vec<RunResult>,
    left_out: Vec<LeftOut>,
}

struct Parts {
    results: Vec<RunResult>,
    factors: Vec<super::FactorColumn>,
    responses: Vec<super::ResponseColumn>,
    left_out: Vec<LeftOut>,
}

/// Builds the columns; a run with a faulty cell in one of them is taken out and the columns are built again.
fn finish(
    campaign: &Campaign,
    logged: &Logged,
    mut collected: Collected,
    assemble: impl FnOnce(Parts) -> Runs,
) -> Result<Runs, Faults> {
    let mut stops = Vec::new();
    let mut faults = Vec::new();
    let build = |collected: &Collected, faults: &mut Vec<LeftOut>, stops: &mut Vec<Error>| {
        let material = Material {
            campaign,
            logged,
            rows: &collected.rows,
            positions: &collected.positions,
            results: &collected.results,
        };
        (
            material.factors(faults, stops),
            material.responses(faults, stops),
        )
    };
    let (mut factors, mut responses) = build(&collected, &mut faults, &mut stops);
    if stops.is_empty() && !faults.is_empty() {
        let out = faulty(&faults);
        let keep: Vec<bool> = collected
            .rows
            .iter()
            .map(|row| !out.contains(&row.run))
            .collect();
        let mut kept = keep.iter();
        collected.rows.retain(|_| *kept.next().unwrap_or(&true));
        let mut kept = keep.iter();
        collected
            .positions
            .retain(|_| *kept.next().unwrap_or(&true));
        let mut kept = keep.iter();
        collected.results.retain(|_| *kept.next().unwrap_or(&true));
        (factors, responses) = build(&collected, &mut Vec::new(), &mut stops);
    }
    collected.left_out.extend(faults);
    Faults::or(stops, ()).map(|()| {
        assemble(Parts {
            results: collected.results,
            factors,
            responses,
            left_out: collected.left_out,
        })
    })
}

/// Runs that a fault of any log leaves out.
fn faulty(left_out: &[LeftOut]) -> BTreeSet<String> {
    left_out
        .iter()
        .filter(|entry| !entry.on_purpose)
        .filter_map(|entry| entry.run.clone())
        .collect()
}

/// Lists runs whose lot or whose residue is of an unknown name.
fn leave_out_unknown_names(logged: &Logged, left_out: &mut Vec<LeftOut>) {
    let names: BTreeSet<&str> = logged.runs.names.iter().map(String::as_str).collect();
    let lots_logged = logged.present.contains(&crate::campaign::LogKind::Lots);
    for row in &logged.runs.rows {
        let mut fault = |column: &str, what: String, hint: String| {
            left_out.push(LeftOut {
                file: row.file.clone(),
                line: row.line,
                run: Some(row.run.clone()),
                error: Error::new(ErrorKind::UnknownName, what)
                    .in_file(&row.file)
                    .on_line(row.line)
                    .in_column(column)
                    .hint(hint),
                on_purpose: false,
            });
        };
        for share in &row.lots {
            let lot = &share.lot;
            match logged.lots.iter().find(|known| known.lot == *lot) {
                None if lots_logged && row.feed_assay.is_none() => {
                    let known: Vec<&str> = logged.lots.iter().map(|l| l.lot.as_str()).collect();
                    fault(
                        "lot",
                        format!("unknown lot in `{}` line {}: `{lot}`", row.file, row.line),
                        format!("lots that are logged: {}", known.join(", ")),
                    );
                }
                Some(known) if known.assay.is_none() && row.feed_assay.is_none() => fault(
                    "lot",
                    format!(
                        "lot `{lot}` of run `{}` in `{}` line {} has no usable assay",
                        row.run, row.file, row.line
                    ),
                    format!("correct `{}` line {}", known.file, known.line),
                ),
                _ => {}
            }
        }
        for from in &row.residue_from {
            if !names.contains(from.as_str()) {
                fault(
                    "residue_from",
                    format!(
                        "residue of an unknown run in `{}` line {}: `{from}`",
                        row.file, row.line
                    ),
                    "name runs of the runs log, `;` between them".into(),
                );
            }
        }
    }
}

/// What stands on the desk while run after run is worked out.
struct Desk<'a> {
    campaign: &'a Campaign,
    logged: &'a Logged,
    weights: &'a AtomicWeights,
    lots: &'a BTreeMap<String, Lot>,
    titrated: &'a Titrated,
    residues: BTreeMap<String, ResidueOut>,
    crops: &'a BTreeMap<&'a str, Vec<&'a CropRow>>,
    basis: SampleBasis,
    book: Book<'a>,
    caveats: Vec<Caveat>,
}

const NO_CHEMISTRY: &str = "the campaign names no product";

impl Desk<'_> {
    fn run(&mut self, row: &RunRow, position: usize) -> RunResult {
        match &self.campaign.chemistry {
            Some(chemistry) => self.with_chemistry(row, position, chemistry),
            None => bare(row, NO_CHEMISTRY),
        }
    }

    fn with_chemistry(
        &mut self,
        row: &RunRow,
        position: usize,
        chemistry: &Chemistry,
    ) -> RunResult {
        let Some(feed_number) = row.feed_mass else {
            return bare(row, "no feed mass is logged");
        };
        let mut result = bare(row, "");
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
        result.of_ceiling = self.ceiling(position).map(|ceiling| {
            result
                .contained
                .clone()
                .map(|contained| contained / ceiling)
        });
        result.oxidant_excess =
            self.oxidant_excess(row, chemistry, assay.as_ref().ok(), feed_number);
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
                self.caveats.push(Caveat {
                    kind: "residue without assay",
                    about: About::Run(row.run.clone()),
                    seen: format!(
                        "run {} charged {} g of residue but its content is unknown ({reason}), so its yields count fresh feed only",
                        row.run,
                        row.residue_mass.map_or(0.0, |mass| mass.value)
                    ),
                    advice: "log `residue_assay`, or `residue_from` and the assay in the residues log".into(),
                });
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
                    format!("crop {crop} has no titre")
                } else {
                    format!("crop {crop} has no purity")
                });
            }
        };
        Ok(as_weighed(found, moisture.as_ref(), self.basis))
    }

    /// Product in the mother liquor left [g].
    fn liquor(&mut self, row: &RunRow) -> Outcome {
        let (Some(volume), Some(concentration)) = (row.liquor_volume, row.liquor_conc) else {
            return Err("the mother liquor was not measured".into());
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
            residue.assay = Some(&(&rest / per_feed) / &residue.mass);
            residue.origin = AssayOrigin::ByDifference;
        }
    }

    /// Product that the residue taken out could still give [g].
    fn residue_out(&self, row: &RunRow, per_feed: &Measured) -> Outcome {
        let residue = self
            .residues
            .get(&row.run)
            .ok_or("the residue was not measured")?;
        let assay = residue.assay.as_ref().ok_or("the residue has no assay")?;
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
        let moles = |grams: f64, formula: &crate::chemistry::Formula| {
            grams / formula.molar_mass(self.weights).value()
        };
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

/// A run of which nothing is known but what the runs log names.
fn bare(row: &RunRow, reason: &str) -> RunResult {
    let none = || -> Outcome { Err(reason.to_string()) };
    let lots: Vec<&str> = row.lots.iter().map(|share| share.lot.as_str()).collect();
    RunResult {
        run: row.run.clone(),
        date: row.date.clone(),
        lot: (!lots.is_empty()).then(|| lots.join(";")),
        set_aside: row.set_aside.clone(),
        gross: none(),
        assay_adjusted: none(),
        contained: none(),
        contained_fresh: none(),
        purity: none(),
        theory_fresh: none(),
        theory_total: none(),
        balance: super::Balance {
            crops: none(),
            liquor: none(),
            residue: none(),
            closure: none(),
            unaccounted: none(),
        },
        of_ceiling: None,
        residue_assay: None,
        residue_by_difference: false,
        oxidant_excess: None,
        crops: Vec::new(),
        budget: Vec::new(),
        labour: row.labour.map(|labour| labour.value),
    }
}

fn weighed(crops: &[CropResult]) -> Outcome {
    if crops.is_empty() {
        return Err("no crop is logged".into());
    }
    Ok(Measured::sum(crops.iter().map(|crop| &crop.mass)))
}

fn pure(crops: &[CropResult]) -> Outcome {
    let mut sum = Measured::exact(0.0);
    if crops.is_empty() {
        return Err("no crop is logged".into());
    }
    for crop in crops {
        sum = &sum + &(&crop.mass * crop.purity.as_ref().map_err(Clone::clone)?);
    }
    Ok(sum)
}

fn ratio(of: &Outcome, to: &Outcome) -> Outcome {
    let (of, to) = (
        of.as_ref().map_err(Clone::clone)?,
        to.as_ref().map_err(Clone::clone)?,
    );
    if to.value() <= 0.0 {
        return Err("there is nothing to compare with: the divisor is zero".into());
    }
    Ok(of / to)
}
