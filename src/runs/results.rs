//! Runs on one footing, with their factors and responses.
//!
//! In: results and the reasons why there are none. Out: [`Runs`], [`RunResult`], [`FactorColumn`] and [`ResponseColumn`].
//! This module never works a result out, and never knows where a value comes from.

use std::collections::BTreeSet;

use super::blanks::Blanks;
use super::by_date::ByDate;
use super::factor_columns::{FactorColumn, ResponseColumn, ResponseKind};
use super::replicates::Scatter;
use crate::campaign::Price;
use crate::caveat::{Caveat, Reason};
use crate::error::Place;
use crate::intake::{LedgerLine, LeftOut, PassedIn, Superseded, TitreRow};
use crate::measured::{Consensus, CrossCheck, Measured, Share, Sources};

/// What all runs gave of the product of a further element.
#[derive(Debug, Clone)]
pub struct SecondRuns {
    /// Its symbol.
    pub element: String,
    /// One entry for each of the results of the first element, in their order.
    pub runs: Vec<RunResult>,
}

/// A result, or the reason why there is none.
pub type Outcome = Result<Measured, Reason>;

/// All runs of a campaign on one footing.
#[derive(Debug, Clone)]
pub struct Runs {
    /// Every source of uncertainty that a result may rest on.
    pub sources: Sources,
    /// Number of rows in the runs log.
    pub lines: usize,
    /// How many of them are out of every fit, planned runs and superseded lines not counted.
    pub left_out_lines: usize,
    /// Runs that are planned, in the order of the log.
    pub planned: Vec<PlannedRun>,
    /// Whether each of them is a plan for sure: every run made has a date.
    pub plans_are_sure: bool,
    /// Lines of the runs log that a later version supersedes.
    pub superseded: Vec<Superseded>,
    /// Runs with results, in run order; those set aside are among them.
    pub results: Vec<RunResult>,
    /// Factors, one value for each of `results`.
    pub factors: Vec<FactorColumn>,
    /// Responses, one value for each of `results`.
    pub responses: Vec<ResponseColumn>,
    /// What the runs gave of the products of further elements, in the order of the campaign file.
    pub second: Vec<SecondRuns>,
    /// Residues as stocks, in run order; empty where no run says where its residue came from.
    pub ledger: Vec<LedgerLine>,
    /// Lots of which several assays were combined.
    pub combined: Vec<CombinedAssay>,
    /// Concentration of each titrant.
    pub titrants: Vec<TitrantResult>,
    /// Blanks of the blanks log.
    pub blanks: Blanks,
    /// What the control sample was found at, where one was titrated.
    pub control: Option<ControlResult>,
    /// Scatter of replicate titrations over the whole campaign.
    pub scatter: Option<Scatter>,
    /// Doubts about single runs, lots and titrants.
    pub caveats: Vec<Caveat>,
    /// Rows that could not be used and runs set aside.
    pub left_out: Vec<LeftOut>,
    /// What the files hold besides rows.
    pub passed_over: Vec<PassedIn>,
}

/// Several assays of one lot, combined.
#[derive(Debug, Clone)]
pub struct CombinedAssay {
    /// The lot.
    pub lot: String,
    /// Its assays, in the order of the log.
    pub sources: Vec<AssayOf>,
    /// What they say together.
    pub consensus: Consensus,
}

/// One assay of a lot.
#[derive(Debug, Clone)]
pub struct AssayOf {
    /// Where it is from; empty where the log does not say.
    pub source: String,
    /// As stated [mass fraction].
    pub value: f64,
    /// Its standard uncertainty; `None` where neither log nor campaign file states one.
    pub uncertainty: Option<f64>,
    /// Its share of the consensus.
    pub weight: f64,
}

/// A run that is planned.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedRun {
    /// Where it stands.
    pub place: Place,
    /// Name.
    pub run: String,
    /// Each factor with its value; `None` where the row does not give it.
    pub settings: Vec<(String, Option<PlannedValue>)>,
}

/// What a factor is to be in a planned run.
#[derive(Debug, Clone, PartialEq)]
pub enum PlannedValue {
    /// A number in the unit of the factor.
    Amount(f64),
    /// A level.
    Level(String),
}

/// One run on one footing.
#[derive(Debug, Clone)]
pub struct RunResult {
    /// Name.
    pub run: String,
    /// Date as written.
    pub date: Option<String>,
    /// The same as a number of days, from any day on.
    pub day: Option<i32>,
    /// Lot or lots of feed, joined by `;`.
    pub lot: Option<String>,
    /// Why it is out of every fit.
    pub set_aside: Option<String>,
    /// Product as weighed over theory, the feed taken as 100 % \[fraction\].
    pub gross: Outcome,
    /// Product as weighed over theory on the assayed content, total basis \[fraction\].
    pub assay_adjusted: Outcome,
    /// Pure product over theory on the assayed content, total basis \[fraction\].
    pub contained: Outcome,
    /// Pure product over theory on the assayed content of the fresh feed \[fraction\].
    pub contained_fresh: Outcome,
    /// Purity of all crops together, by mass [mass fraction].
    pub purity: Outcome,
    /// Product that the assayed fresh feed can give \[g\].
    pub theory_fresh: Outcome,
    /// Product that fresh feed and residue charged can give \[g\].
    pub theory_total: Outcome,
    /// Where the followed element went.
    pub balance: Balance,
    /// Largest fraction of theory that its route allows, where one is declared.
    pub ceiling: Option<f64>,
    /// Contained yield over the ceiling of the run's route \[fraction\]; absent where no ceiling is declared.
    pub of_ceiling: Option<Outcome>,
    /// Assay of the residue taken out, as weighed [mass fraction].
    pub residue_assay: Option<Measured>,
    /// Whether that assay is what the balance leaves, not a measurement.
    pub residue_by_difference: bool,
    /// Excess of oxidant [%].
    pub oxidant_excess: Option<f64>,
    /// What went in and what stayed on the filter.
    pub charge: Charge,
    /// The crops.
    pub crops: Vec<CropResult>,
    /// Impurities that are followed, in the order of the campaign file.
    pub impurities: Vec<ImpurityFlow>,
    /// Parts of the variance of `contained`, the largest first.
    pub budget: Vec<Share>,
    /// Labour \[min\].
    pub labour: Option<f64>,
    /// Titrants and back titrants of its crops, each once, in the order of the titres log.
    pub titrants: Vec<String>,
    /// A simulation beside the propagated contained yield, where it was asked for.
    pub cross_check: Option<CrossCheck>,
}

/// An impurity on its way through a run \[g\]; `None` where a column is empty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ImpurityFlow {
    /// In all crops.
    pub crops: Option<f64>,
    /// In the residue charged.
    pub residue_in: Option<f64>,
    /// In the residue taken out.
    pub residue_out: Option<f64>,
}

/// One crop.
#[derive(Debug, Clone)]
pub struct CropResult {
    /// Its number.
    pub crop: u32,
    /// Mass as weighed \[g\].
    pub mass: Measured,
    /// Purity of the crop as weighed [mass fraction].
    pub purity: Outcome,
    /// Where that is from.
    pub purity_by: PurityBy,
    /// Free moisture by its drying, where that was weighed [mass fraction].
    pub dried_to: Option<Measured>,
    /// Liquor it was filtered from \[mL\].
    pub liquor_volume: Option<f64>,
    /// Temperature of the filtration \[degC\].
    pub temperature: Option<f64>,
}

/// Where the purity of a crop is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PurityBy {
    /// Its titres.
    Titres,
    /// What it left on ignition.
    Ignition,
    /// An entry of the log, or nothing.
    Entry,
    /// What moisture and impurities leave.
    Difference,
}

/// What went into a run and what stayed on the filter.
#[derive(Debug, Clone, Default)]
pub struct Charge {
    /// Fresh feed \[g\].
    pub feed_mass: Option<f64>,
    /// Its assay [mass fraction]; `None` without chemistry.
    pub feed_assay: Option<Outcome>,
    /// What its lots cost, where all of them have a price of their own [currency/g].
    pub feed_price: Option<Price>,
    /// Oxidant \[g\].
    pub oxidant_mass: Option<f64>,
    /// Residue charged \[g\]; 0 when the log names none.
    pub residue_mass: f64,
    /// Product that the residue charged can give \[g\]; `None` without residue.
    pub residue_theory: Option<Outcome>,
    /// Mother liquor of earlier runs charged \[mL\]; 0 when the log names none.
    pub liquor_in: f64,
    /// Product in it \[g\]; `None` without it.
    pub liquor_theory: Option<Outcome>,
    /// Residue taken out \[g\].
    pub residue_out: Option<f64>,
    /// Further reagents with a price, in the order of `[prices] other` \[g\]; `None` where the cell is empty or no number.
    pub reagents: Vec<Option<f64>>,
}

/// Where the followed element went, as fractions of what was charged.
#[derive(Debug, Clone)]
pub struct Balance {
    /// In the crops.
    pub crops: Outcome,
    /// In the mother liquor left.
    pub liquor: Outcome,
    /// In the residue taken out.
    pub residue: Outcome,
    /// All that was measured of what came out.
    pub closure: Outcome,
    /// The rest.
    pub unaccounted: Outcome,
}

/// Concentration of one titrant.
#[derive(Debug, Clone)]
pub struct TitrantResult {
    /// Its name.
    pub titrant: String,
    /// Concentration [mol/L], the mean of all rows.
    pub concentration: Measured,
    /// What it is on each day.
    pub by_date: ByDate,
    /// Parts of the variance, the largest first.
    pub budget: Vec<Share>,
    /// Each row of the log by itself, in the order of the dates.
    pub rows: Vec<TitrantPoint>,
}

/// Concentration from one row of the log.
#[derive(Debug, Clone)]
pub struct TitrantPoint {
    /// Where it stands.
    pub place: Place,
    /// Date as written.
    pub date: Option<String>,
    /// The same as a day.
    pub day: Option<i32>,
    /// Concentration [mol/L].
    pub concentration: Measured,
}

/// What the control sample was found at.
#[derive(Debug, Clone)]
pub struct ControlResult {
    /// Each titration, in the order of the days.
    pub points: Vec<ControlPoint>,
    /// What was found over what is stated, the mean of all \[fraction\].
    pub recovery: Measured,
    /// The same on each day.
    pub by_date: ByDate,
    /// Whether purities are corrected by it.
    pub corrects: bool,
}

/// One titration of the control sample.
#[derive(Debug, Clone)]
pub struct ControlPoint {
    /// Date as written.
    pub date: Option<String>,
    /// The same as a day.
    pub day: Option<i32>,
    /// What was found [mass fraction].
    pub found: Measured,
}

impl Runs {
    /// The blank that a titre is corrected by \[mL\]: its own, else the one that it names, else none.
    pub fn blank(&self, titre: &TitreRow) -> f64 {
        let named = titre.blank_of().and_then(|name| self.blanks.get(name));
        let named = named.map(Measured::value);
        titre
            .blank
            .map(|blank| blank.value)
            .or(named)
            .unwrap_or(0.0)
    }

    /// Runs that every fit may use, in run order.
    pub fn counted(&self) -> impl Iterator<Item = &RunResult> {
        self.results.iter().filter(|run| run.set_aside.is_none())
    }

    /// Runs that the log names: its lines but those that a later version supersedes.
    pub fn named(&self) -> usize {
        self.lines - self.superseded.len()
    }

    /// Number of runs that every fit may use.
    pub fn used(&self) -> usize {
        self.counted().count()
    }

    /// The factor of this name.
    pub fn factor(&self, name: &str) -> Option<&FactorColumn> {
        self.factors.iter().find(|column| column.name == name)
    }

    /// The response of this name.
    pub fn response(&self, name: &str) -> Option<&ResponseColumn> {
        self.responses.iter().find(|column| column.name == name)
    }

    /// Amounts of a factor in the runs that every fit may use, in run order; none of a choice.
    pub fn amounts(&self, factor: &str) -> Vec<f64> {
        let column = self.factor(factor);
        let amounts = self.positions().filter_map(|run| column?.amount(run));
        amounts.collect()
    }

    /// Levels of a factor that the runs which every fit may use have, in the order of the column; none of an amount.
    pub fn levels_run(&self, factor: &str) -> Vec<String> {
        let Some(column) = self.factor(factor) else {
            return Vec::new();
        };
        let run: BTreeSet<&str> = self
            .positions()
            .filter_map(|run| column.level(run))
            .collect();
        let levels = column
            .levels()
            .iter()
            .filter(|level| run.contains(level.as_str()));
        levels.cloned().collect()
    }

    /// Positions of the runs that every fit may use.
    fn positions(&self) -> impl Iterator<Item = usize> {
        (0..self.results.len()).filter(|run| self.results[*run].set_aside.is_none())
    }
}

/// A balance that misses by more than so many standard uncertainties counts as not closed (about 95 %).
const CLOSES_WITHIN: f64 = 2.0;

impl Balance {
    /// Whether what was measured of what came out is no more than was charged, but for two standard uncertainties.
    pub fn closes(&self) -> bool {
        let closure = self.closure.as_ref();
        closure.is_ok_and(|closure| closure.value() - 1.0 <= CLOSES_WITHIN * closure.uncertainty())
    }
}

impl ResponseKind {
    /// The value of a run that was worked out \[fraction\]; `None` where there is none, or where the response is a logged column.
    pub fn of(self, run: &RunResult) -> Option<&Measured> {
        match self {
            ResponseKind::Yield => run.contained.as_ref().ok(),
            ResponseKind::Purity => run.purity.as_ref().ok(),
            ResponseKind::Declared => None,
        }
    }
}
