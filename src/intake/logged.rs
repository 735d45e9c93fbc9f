//! Rows of the logs as they were logged, and the rows that could not be used.
//!
//! In: nothing. Out: [`Logged`] and the rows of each log.
//! This module never reads a cell.

use std::collections::{BTreeMap, BTreeSet};

use super::cell_values::{LoggedDate, LoggedNumber};
use super::crop_row::CropRow;
use super::marks::Marks;
use super::not_used::{LeftOut, PassedIn, Superseded, UsedAs};
use super::residue_row::ResidueRow;
use super::titre_row::{BlankTitre, TitreRow};
use crate::campaign::{LogKind, Price};
use crate::caveat::{Part, Reason};
use crate::chemistry::Formula;
use crate::error::Place;
use crate::name::Name;

/// Everything that was logged.
#[derive(Debug, Clone, Default)]
pub struct Logged {
    /// One entry a row of the runs log that could be read, in the order of the file.
    pub runs: RunsLog,
    /// Rows of the runs log that are planned runs; they are none of `runs` but in its names and lines.
    pub planned: RunsLog,
    /// Whether every run made has a date, so that a row without one is a plan for sure.
    pub dates_tell_plans: bool,
    /// Lines of the runs log that a later version supersedes.
    pub superseded: Vec<Superseded>,
    /// Lots of feed.
    pub lots: Vec<LotRow>,
    /// Crops.
    pub crops: Vec<CropRow>,
    /// Titres of samples of runs.
    pub titres: Vec<TitreRow>,
    /// Titres of the control sample.
    pub controls: Vec<TitreRow>,
    /// Titrants and standardisations.
    pub titrants: Vec<TitrantRow>,
    /// Rows of titrants whose strength could not be used.
    pub unusable_titrants: Vec<UnusableTitrant>,
    /// Titrations without sample.
    pub blanks: Vec<BlankTitre>,
    /// Residues taken out.
    pub residues: Vec<ResidueRow>,
    /// What the furnace readings of each run come to.
    pub heating: Vec<HeatingCurve>,
    /// Formula that strengths of mother liquors are stated as, by their heading or by the campaign file; the product where
    /// neither says one.
    pub liquor_as: Option<Formula>,
    /// Which logs there are.
    pub present: Vec<LogKind>,
    /// Logs of which a file or a needed column is missing, so that nothing follows from what they do not hold.
    pub incomplete: Vec<LogKind>,
    /// Columns of the design that each of them has, by name.
    pub columns: Vec<(LogKind, String)>,
    /// Columns that are missing where a fault says so already.
    pub lacks: Vec<(LogKind, String)>,
    /// Columns with spellings that mean one level, each with what is written there before they are joined.
    pub as_written: BTreeSet<(String, String)>,
    /// Headings that are those of a column but for their spelling.
    pub used_as: Vec<UsedAs>,
    /// Rows that could not be used.
    pub left_out: Vec<LeftOut>,
    /// Lines of the files that are no rows of a log, and how files had to be read.
    pub passed: Vec<PassedIn>,
}

impl Logged {
    /// What each row of another log than that of the runs is, its place and its run.
    pub(super) fn of_runs(&self) -> impl Iterator<Item = (&'static str, &Place, &Name)> {
        let (crops, titres) = (self.crops.iter(), self.titres.iter());
        let crops = crops.map(|row| ("a crop", &row.place, &row.run));
        let titres = titres.map(|row| ("a titre", &row.place, &row.run));
        let (residues, heating) = (self.residues.iter(), self.heating.iter());
        let residues = residues.map(|row| ("a residue", &row.place, &row.run));
        let heating = heating.map(|row| ("a reading", &row.place, &row.run));
        crops.chain(titres).chain(residues).chain(heating)
    }
}

/// The runs log.
#[derive(Debug, Clone, Default)]
pub struct RunsLog {
    /// Rows that could be read, in the order of the files.
    pub rows: Vec<RunRow>,
    /// Names of all runs, of unreadable rows too.
    pub names: Vec<String>,
    /// Number of rows, readable or not.
    pub lines: usize,
    /// Columns that are no column of the design: possible factors and responses, one cell a readable row.
    pub columns: Vec<LoggedColumn>,
}

impl RunsLog {
    /// Rows of runs that are not set aside.
    pub fn used(&self) -> impl Iterator<Item = &RunRow> {
        self.rows.iter().filter(|row| row.set_aside.is_none())
    }

    /// Rows by the names of their runs.
    pub fn by_name(&self) -> BTreeMap<&str, &RunRow> {
        let rows = self.rows.iter();
        rows.map(|row| (row.run.as_str(), row)).collect()
    }

    /// The kept column of that name.
    pub fn column(&self, name: &str) -> Option<&LoggedColumn> {
        self.columns.iter().find(|column| column.name == name)
    }
}

/// A column of the runs log that is kept as it is.
#[derive(Debug, Clone, Default)]
pub struct LoggedColumn {
    /// Its name: the heading, without the unit part where a factor or response is called so.
    pub name: String,
    /// Unit as written.
    pub unit: Option<String>,
    /// One cell a readable row, in their order.
    pub cells: Vec<Option<String>>,
    /// What stands in rows that are left out, in their order.
    pub left_out: Vec<String>,
    /// How the numbers of each log are written, with its first row here.
    pub(super) marks: Vec<(usize, Marks)>,
    /// Whether any cell without a `%` of its own is above 1.
    pub(super) has_above_one: bool,
}

impl LoggedColumn {
    /// All texts, in rows that are left out too.
    pub fn texts(&self) -> impl Iterator<Item = &str> {
        let kept = self.cells.iter().flatten();
        kept.chain(&self.left_out).map(String::as_str)
    }

    /// Drops the cells of all rows but those that are to be kept.
    pub fn keep_rows(&mut self, keep: impl Fn(usize) -> bool) {
        for (first, _) in &mut self.marks {
            *first = (0..*first).filter(|row| keep(*row)).count();
        }
        let mut rows = 0..self.cells.len();
        self.cells.retain(|_| rows.next().is_some_and(&keep));
    }
}

/// One run as logged.
#[derive(Debug, Clone, Default)]
pub struct RunRow {
    /// Where in the log.
    pub place: Place,
    /// Name of the run.
    pub run: String,
    /// Date, ISO 8601.
    pub date: Option<LoggedDate>,
    /// Lots of feed with their shares.
    pub lots: Vec<LotShare>,
    /// Fresh feed \[g\].
    pub feed_mass: Option<LoggedNumber>,
    /// Assay of the feed of this run alone [mass fraction].
    pub feed_assay: Option<LoggedNumber>,
    /// Oxidant \[g\].
    pub oxidant_mass: Option<LoggedNumber>,
    /// Residue charged \[g\].
    pub residue_mass: Option<LoggedNumber>,
    /// Runs whose residue was charged.
    pub residue_from: Vec<String>,
    /// Shares of them in the charge, which add up to 1; empty where they go by what each run left.
    pub residue_shares: Vec<f64>,
    /// Assay of the residue charged [mass fraction].
    pub residue_assay: Option<LoggedNumber>,
    /// Free moisture of the residue when it was charged [mass fraction].
    pub residue_moisture: Option<LoggedNumber>,
    /// Mother liquor of earlier runs charged \[mL\].
    pub liquor_in: Option<LoggedNumber>,
    /// Runs whose mother liquor was charged.
    pub liquor_from: Vec<String>,
    /// Strength of the mother liquor charged [g/L of [`Logged::liquor_as`]].
    pub liquor_in_conc: Option<LoggedNumber>,
    /// Labour \[min\].
    pub labour: Option<LoggedNumber>,
    /// Mother liquor left \[mL\].
    pub liquor_volume: Option<LoggedNumber>,
    /// Strength of the mother liquor left [g/L of [`Logged::liquor_as`]].
    pub liquor_conc: Option<LoggedNumber>,
    /// Why the run is set aside.
    pub set_aside: Option<String>,
    /// Purity of the whole product [mass fraction].
    pub purity: Option<LoggedNumber>,
    /// Crops in the flat style.
    pub crops: Vec<FlatCrop>,
    /// What cannot be right and is used by no result.
    pub withheld: Vec<Part>,
    /// Whether it has settings and neither a date nor a result in its own row.
    pub is_open: bool,
}

impl RunRow {
    /// The number in a column of the design; `None` for an empty cell, and for a column that holds no numbers.
    pub fn number(&self, column: &str) -> Option<LoggedNumber> {
        match column {
            "feed_mass" => self.feed_mass,
            "feed_assay" => self.feed_assay,
            "oxidant_mass" => self.oxidant_mass,
            "residue_mass" => self.residue_mass,
            "residue_assay" => self.residue_assay,
            "residue_moisture" => self.residue_moisture,
            "liquor_in" => self.liquor_in,
            "liquor_in_conc" => self.liquor_in_conc,
            "labour" => self.labour,
            "liquor_volume" => self.liquor_volume,
            "liquor_conc" => self.liquor_conc,
            "purity" => self.purity,
            _ => None,
        }
    }

    /// The reason why there is no result that rests on one of these parts.
    ///
    /// # Errors
    /// [`Reason::Withheld`] with the first that is withheld.
    pub fn may_use(&self, parts: &[Part]) -> Result<(), Reason> {
        match self.withheld.iter().find(|part| parts.contains(part)) {
            Some(part) => Err(Reason::Withheld { part: *part }),
            None => Ok(()),
        }
    }
}

/// A lot and the share of the feed that came from it.
#[derive(Debug, Clone, PartialEq)]
pub struct LotShare {
    /// The lot.
    pub lot: String,
    /// Share of the feed mass.
    pub share: f64,
}

/// A crop logged in the runs log itself.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FlatCrop {
    /// Number of the crop, from 1.
    pub crop: u32,
    /// Mass \[g\].
    pub mass: Option<LoggedNumber>,
    /// Purity [mass fraction].
    pub purity: Option<LoggedNumber>,
    /// Free moisture [mass fraction].
    pub moisture: Option<LoggedNumber>,
}

/// One lot of feed.
#[derive(Debug, Clone)]
pub struct LotRow {
    /// Where in the log.
    pub place: Place,
    /// Name of the lot.
    pub lot: String,
    /// Assay [mass fraction]; `None` when the row could not be used.
    pub assay: Option<LoggedNumber>,
    /// Where that is from; empty where the log does not say.
    pub source: String,
    /// Further assays of the lot, each from another source.
    pub further: Vec<FurtherAssay>,
    /// Price, where the cell is not empty.
    pub price: Option<LotPrice>,
    /// The day on which it was opened.
    pub opened: Option<LoggedDate>,
    /// Impurities that use up oxidant, in the order of the campaign file [mass fraction].
    pub impurities: Vec<f64>,
    /// Assays of further elements, in the order of the campaign file [mass fraction].
    pub second: Vec<Option<LoggedNumber>>,
}

impl LotRow {
    /// Where its assays are from.
    pub(super) fn sources(&self) -> impl Iterator<Item = &str> {
        let further = self.further.iter().map(|further| further.source.as_str());
        std::iter::once(self.source.as_str()).chain(further)
    }

    /// Its assays, each with its place.
    pub(super) fn assays(&self) -> impl Iterator<Item = (&Place, LoggedNumber)> {
        let first = self.assay.iter().map(|assay| (&self.place, *assay));
        let further = self.further.iter();
        first.chain(further.map(|further| (&further.place, further.assay)))
    }
}

/// A further assay of a lot.
#[derive(Debug, Clone)]
pub struct FurtherAssay {
    /// Where in the log.
    pub place: Place,
    /// Where it is from; empty where the log does not say.
    pub source: String,
    /// The assay [mass fraction].
    pub assay: LoggedNumber,
}

/// The price of a lot.
#[derive(Debug, Clone)]
pub struct LotPrice {
    /// As written.
    pub text: String,
    /// What it means, or what to do about a text that is no price.
    pub read: Result<Price, String>,
}

/// One titrant, given or standardised.
#[derive(Debug, Clone)]
pub struct TitrantRow {
    /// Where in the log.
    pub place: Place,
    /// Name of the titrant.
    pub titrant: String,
    /// Date, ISO 8601.
    pub date: Option<LoggedDate>,
    /// Its strength.
    pub strength: TitrantStrength,
}

/// How the concentration of a titrant is known.
#[derive(Debug, Clone)]
pub enum TitrantStrength {
    /// Stated [mol/L].
    Given(LoggedNumber),
    /// Against a weighed standard.
    Standardised {
        /// Formula of the standard.
        standard: Formula,
        /// Standard weighed in \[g\].
        mass: LoggedNumber,
        /// Purity of the standard [mass fraction].
        purity: Option<LoggedNumber>,
        /// Moles of titrant per mole of standard; 1 where none is logged.
        ratio: Option<f64>,
        /// Titrant used \[mL\].
        titre: LoggedNumber,
        /// Titrant used without standard \[mL\].
        blank: Option<LoggedNumber>,
        /// Fraction of the dissolved standard that was titrated.
        aliquot: Option<LoggedNumber>,
    },
}

/// A row of the titrants log whose strength could not be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnusableTitrant {
    /// Where in the log.
    pub place: Place,
    /// Name of the titrant.
    pub titrant: String,
}

/// The heating curve of one run.
#[derive(Debug, Clone)]
pub struct HeatingCurve {
    /// First line of the run in its log.
    pub place: Place,
    /// Its run.
    pub run: Name,
    /// Its figures.
    pub heating: Heating,
    /// Lowest temperature \[degC\].
    pub lowest: f64,
    /// Where the time goes back or stands twice.
    pub goes_back: Option<Place>,
}

/// The figures of one heating curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heating {
    /// Highest temperature \[degC\].
    pub peak_temperature: f64,
    /// Time above `[readings] above`, straight lines between readings \[min\]; `None` without `above`.
    pub soak_time: Option<f64>,
    /// Rise from the first reading to the peak over the time it took [degC/min]; `None` with one reading.
    pub heating_rate: Option<f64>,
}
