//! What came out of each run: crops, titres, residues.
//!
//! In: tables. Out: [`CropRow`], [`TitreRow`], [`ResidueRow`].
//! This module never turns a titre into a purity.

use std::collections::BTreeSet;

use super::Logged;
use super::rows::{LoggedNumber, RowReader};
use super::table::Table;
use crate::error::ErrorKind;

/// One crop.
#[derive(Debug, Clone)]
pub struct CropRow {
    /// The log.
    pub file: String,
    /// Line of the log.
    pub line: usize,
    /// Its run.
    pub run: String,
    /// Its number, from 1.
    pub crop: u32,
    /// Mass as weighed [g].
    pub mass: LoggedNumber,
    /// Free moisture [mass fraction].
    pub moisture: Option<LoggedNumber>,
    /// Liquor it was filtered from [mL].
    pub liquor_volume: Option<LoggedNumber>,
    /// Temperature of the filtration [degC].
    pub temperature: Option<LoggedNumber>,
}

/// What was titrated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum TitreOf {
    /// The crop of that number.
    Crop(u32),
    /// The residue taken out of the run.
    Residue,
    /// The feed charged.
    Feed,
}

/// One titre.
#[derive(Debug, Clone)]
pub struct TitreRow {
    /// The log.
    pub file: String,
    /// Line of the log.
    pub line: usize,
    /// Its run.
    pub run: String,
    /// What was titrated.
    pub of: TitreOf,
    /// Sample weighed in [g].
    pub sample_mass: LoggedNumber,
    /// Fraction of the dissolved sample that was titrated.
    pub aliquot: Option<LoggedNumber>,
    /// How many times it was diluted.
    pub dilution: Option<LoggedNumber>,
    /// Name of the titrant; `None` leaves the campaign's.
    pub titrant: Option<String>,
    /// Titrant used [mL].
    pub titre: LoggedNumber,
    /// Titrant used without sample [mL].
    pub blank: Option<LoggedNumber>,
    /// Name of the back titrant.
    pub back_titrant: Option<String>,
    /// Back titrant used [mL].
    pub back_titre: Option<LoggedNumber>,
}

/// Residue taken out of one run.
#[derive(Debug, Clone)]
pub struct ResidueRow {
    /// The log.
    pub file: String,
    /// Line of the log.
    pub line: usize,
    /// Its run.
    pub run: String,
    /// Mass [g].
    pub mass: LoggedNumber,
    /// Assay [mass fraction].
    pub assay: Option<LoggedNumber>,
    /// Moisture [mass fraction].
    pub moisture: Option<LoggedNumber>,
}

pub(super) fn read_crops(table: &Table, logged: &mut Logged) {
    let mut seen: BTreeSet<(String, u32)> = logged
        .crops
        .iter()
        .map(|crop| (crop.run.clone(), crop.crop))
        .collect();
    for reader in table.rows() {
        let run = reader.needed("run", reader.text("run"));
        let crop = crop_number(&reader);
        if let (Some(run), Some(crop)) = (&run, crop)
            && !seen.insert((run.clone(), crop))
        {
            reader.fault(
                "crop",
                ErrorKind::DuplicatedRun,
                &format!("names crop {crop} of run `{run}` a second time"),
                "number the crops of a run 1, 2, ...",
            );
        }
        let mass = reader.needed("mass", reader.not_negative("mass"));
        let moisture = reader.fraction("moisture");
        let liquor_volume = reader.not_negative("liquor_volume");
        let temperature = reader.number("temperature");
        let row = run
            .clone()
            .zip(crop)
            .zip(mass)
            .map(|((run, crop), mass)| CropRow {
                file: table.file.clone(),
                line: reader.line(),
                run,
                crop,
                mass,
                moisture,
                liquor_volume,
                temperature,
            });
        if let Some(row) = reader.finish(run.as_deref(), &mut logged.left_out, row) {
            logged.crops.push(row);
        }
    }
}

fn crop_number(reader: &RowReader) -> Option<u32> {
    let Some(text) = reader.text("crop") else {
        return Some(1);
    };
    match text.parse::<u32>() {
        Ok(number) if number > 0 => Some(number),
        _ => {
            reader.fault(
                "crop",
                ErrorKind::NotANumber,
                &format!("is no number of a crop: `{text}`"),
                "number the crops of a run 1, 2, ...",
            );
            None
        }
    }
}

pub(super) fn read_titres(table: &Table, logged: &mut Logged) {
    for reader in table.rows() {
        let run = reader.needed("run", reader.text("run"));
        let of = match reader.text("crop").as_deref() {
            Some("residue") => Some(TitreOf::Residue),
            Some("feed") => Some(TitreOf::Feed),
            _ => crop_number(&reader).map(TitreOf::Crop),
        };
        // An empty titre is a titre that was missed: the crop simply has none from this row.
        if reader.text("titre").is_none() {
            reader.finish::<()>(run.as_deref(), &mut logged.left_out, None);
            continue;
        }
        let sample_mass = reader.needed("sample_mass", reader.positive("sample_mass"));
        let titre = titre(&reader, of);
        let aliquot = reader
            .fraction("aliquot")
            .and_then(|part| reader.above_zero("aliquot", part, NOTHING_TITRATED));
        let dilution = reader.positive("dilution");
        let blank = reader.not_negative("blank");
        let back_titre = reader.not_negative("back_titre");
        let row = match (run.clone(), of, sample_mass, titre) {
            (Some(run), Some(of), Some(sample_mass), Some(titre)) => Some(TitreRow {
                file: table.file.clone(),
                line: reader.line(),
                run,
                of,
                sample_mass,
                aliquot,
                dilution,
                titrant: reader.text("titrant"),
                titre,
                blank,
                back_titrant: reader.text("back_titrant"),
                back_titre,
            }),
            _ => None,
        };
        if let Some(row) = reader.finish(run.as_deref(), &mut logged.left_out, row) {
            logged.titres.push(row);
        }
    }
}

/// Why an aliquot is above zero.
pub(super) const NOTHING_TITRATED: &str =
    "an aliquot is the part of the solution that was titrated; leave the cell empty for all of it";

/// Titrant run in; only a residue may be so depleted that it uses up none.
fn titre(reader: &RowReader, of: Option<TitreOf>) -> Option<LoggedNumber> {
    let titre = reader.not_negative("titre")?;
    match of {
        Some(TitreOf::Residue) => Some(titre),
        _ => reader.above_zero(
            "titre",
            titre,
            "leave the cell empty when the sample was not titrated",
        ),
    }
}

pub(super) fn read_residues(table: &Table, logged: &mut Logged) {
    let mut seen: BTreeSet<String> = logged.residues.iter().map(|r| r.run.clone()).collect();
    for reader in table.rows() {
        let run = reader.needed("run", reader.text("run"));
        if let Some(run) = &run
            && !seen.insert(run.clone())
        {
            reader.fault(
                "run",
                ErrorKind::DuplicatedRun,
                &format!("names the residue of run `{run}` a second time"),
                "each run has one row in the residues log",
            );
        }
        let mass = reader.needed("mass", reader.not_negative("mass"));
        let assay = reader.fraction("assay");
        let moisture = reader.fraction("moisture");
        let row = run.clone().zip(mass).map(|(run, mass)| ResidueRow {
            file: table.file.clone(),
            line: reader.line(),
            run,
            mass,
            assay,
            moisture,
        });
        if let Some(row) = reader.finish(run.as_deref(), &mut logged.left_out, row) {
            logged.residues.push(row);
        }
    }
}
