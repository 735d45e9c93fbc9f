//! Readers of what came out of each run: crops, titres, residues.
//!
//! In: tables. Out: [`CropRow`], [`TitreRow`], [`ResidueRow`].
//! This module never turns a titre into a purity.

use std::collections::BTreeSet;

use super::logged::{CropRow, Logged, LoggedNumber, ResidueRow, TitreOf, TitreRow};
use super::rows::RowReader;
use super::table::Table;
use crate::error::ErrorKind;

pub(super) fn read_crops(table: &Table, logged: &mut Logged) {
    let known = logged.crops.iter();
    let mut seen: BTreeSet<(String, u32)> = known.map(|row| (row.run.clone(), row.crop)).collect();
    for reader in RowReader::all(table) {
        let run = reader.demanded("run", reader.name("run"));
        let crop = crop_number(&reader);
        if reader.is_sound() && !seen.insert((run.clone(), crop)) {
            reader.fault_alike(
                "crop",
                ErrorKind::DuplicatedRun,
                &format!("names crop {crop} of run `{run}` a second time"),
                "names a crop of its run a second time",
                NUMBER_THEM,
            );
        }
        let row = CropRow {
            place: reader.place(),
            run,
            crop,
            mass: reader.demanded("mass", reader.not_negative("mass")),
            moisture: reader.fraction("moisture"),
            liquor_volume: reader.not_negative("liquor_volume"),
            temperature: reader.number("temperature"),
        };
        logged
            .crops
            .extend(reader.finish(&mut logged.left_out, row));
    }
}

/// What to do about the number of a crop.
const NUMBER_THEM: &str = "number the crops of a run 1, 2, ...";

/// The number of a crop, 1 where none is written; 0 with a fault where it is no such number.
fn crop_number(reader: &RowReader) -> u32 {
    let Some(text) = reader.text("crop") else {
        return 1;
    };
    let number: u32 = text.parse().unwrap_or_default();
    if number == 0 {
        let kind = ErrorKind::NotANumber;
        reader.refuse::<()>("crop", kind, "is no number of a crop", NUMBER_THEM);
    }
    number
}

pub(super) fn read_titres(table: &Table, logged: &mut Logged) {
    for reader in RowReader::all(table) {
        let run = reader.demanded("run", reader.name("run"));
        let of = match reader.text("crop").as_deref() {
            Some("residue") => TitreOf::Residue,
            Some("feed") => TitreOf::Feed,
            _ => TitreOf::Crop(crop_number(&reader)),
        };
        // An empty titre is a titre that was missed: the crop simply has none from this row.
        if reader.text("titre").is_none() && table.has_usable_rows() {
            reader.finish(&mut logged.left_out, ());
            continue;
        }
        let row = TitreRow {
            place: reader.place(),
            run,
            of,
            sample_mass: reader.demanded("sample_mass", reader.positive("sample_mass")),
            titre: titre(&reader, of).unwrap_or_default(),
            aliquot: aliquot(&reader),
            dilution: reader.positive("dilution"),
            titrant: reader.name("titrant"),
            blank: reader.not_negative("blank"),
            back_titrant: reader.name("back_titrant"),
            back_titre: reader.not_negative("back_titre"),
        };
        logged
            .titres
            .extend(reader.finish(&mut logged.left_out, row));
    }
}

/// The part of a solution that was titrated.
pub(super) fn aliquot(reader: &RowReader) -> Option<LoggedNumber> {
    let hint = "an aliquot is the part of the solution that was titrated; leave the cell empty for all of it";
    reader.above_zero("aliquot", reader.fraction("aliquot"), hint)
}

/// Titrant run in; only a residue may be so depleted that it uses up none.
fn titre(reader: &RowReader, of: TitreOf) -> Option<LoggedNumber> {
    let titre = reader.not_negative("titre");
    if of == TitreOf::Residue {
        return titre;
    }
    let hint = "leave the cell empty when the sample was not titrated";
    reader.above_zero("titre", titre, hint)
}

pub(super) fn read_residues(table: &Table, logged: &mut Logged) {
    let mut seen: BTreeSet<String> = logged.residues.iter().map(|r| r.run.clone()).collect();
    for reader in RowReader::all(table) {
        let run = reader.demanded("run", reader.name("run"));
        if reader.is_sound() && !seen.insert(run.clone()) {
            reader.fault_alike(
                "run",
                ErrorKind::DuplicatedRun,
                &format!("names the residue of run `{run}` a second time"),
                "names the residue of its run a second time",
                "each run has one row in the residues log",
            );
        }
        let row = ResidueRow {
            place: reader.place(),
            run,
            mass: reader.demanded("mass", reader.not_negative("mass")),
            assay: reader.fraction("assay"),
            moisture: reader.fraction("moisture"),
        };
        logged
            .residues
            .extend(reader.finish(&mut logged.left_out, row));
    }
}
