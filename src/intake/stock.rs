//! Readers of what stood on the shelf: lots of feed and titrants.
//!
//! In: tables. Out: [`LotRow`], [`TitrantRow`].
//! This module never averages two rows.

use super::across_logs::{MIXED_UP, middle, times_off};
use super::crops::aliquot;
use super::logged::{Logged, LotRow, TitrantRow, TitrantStrength, UnusableTitrant};
use super::rows::RowReader;
use super::table::Table;
use crate::campaign::{Campaign, LOT};
use crate::chemistry::Formula;
use crate::error::{Cause, Error, ErrorKind, Place};

/// Why a feed has an assay above zero.
pub(super) const NO_CONTENT: &str = "a feed without content gives no product";

pub(super) fn read_lots(
    campaign: &Campaign,
    table: &Table,
    logged: &mut Logged,
    stops: &mut Vec<Error>,
) {
    let impurities = campaign
        .oxidant
        .iter()
        .flat_map(|oxidant| &oxidant.impurities);
    let impurities: Vec<&str> = impurities
        .map(|impurity| impurity.column.as_str())
        .collect();
    for column in &impurities {
        if table.column(column).is_none() {
            let message = format!(
                "column `{column}` is missing in `{}`, which `[oxidant] impurities` asks for",
                table.file
            );
            let hint = "add it with mass fractions, or take it out of the campaign file";
            let place = Place::new(&table.file, 1);
            let fault = place.fault(ErrorKind::MissingColumn, message, hint);
            stops.push(fault.in_column(*column));
        }
    }
    let assays = RowReader::all(table).filter_map(|reader| reader.number("assay"));
    let middle = middle(assays.map(|number| number.value));
    for reader in RowReader::all(table) {
        let lot = reader.needed("lot", reader.name("lot"));
        let Some(lot) = lot.or_else(|| (!table.has_usable_rows()).then(String::new)) else {
            reader.finish(&mut logged.left_out, ());
            continue;
        };
        let place = reader.place();
        if campaign.has_spellings(LOT) {
            let written = (LOT.to_string(), lot.clone());
            logged.as_written.insert(written);
        }
        let lot = campaign.level_of(LOT, &lot).to_string();
        if !lot.is_empty() && logged.lots.iter().any(|known| known.lot == lot) {
            let message = format!("lot `{lot}` in {place} stands there already");
            let hint = "each lot has one row";
            let fault = place.fault(ErrorKind::DuplicatedRun, message, hint);
            let cause = Cause::Things("lot that stands there already".into());
            stops.push(fault.in_column("lot").alike(cause, Some(&lot)));
        }
        let assay = reader.needed("assay", reader.fraction("assay"));
        let assay = reader.above_zero("assay", assay, NO_CONTENT);
        if let Some(off) = assay.and_then(|assay| times_off(assay.value, middle?)) {
            let what = format!("is {off} off the other lots");
            reader.refuse::<()>("assay", ErrorKind::OutOfRange, &what, MIXED_UP);
        }
        let price = reader.text("price");
        let impurities = impurities.iter().map(|column| impurity(&reader, column));
        let impurities = impurities.collect();
        let sound = reader.finish(&mut logged.left_out, assay);
        if !table.has_usable_rows() {
            continue;
        }
        logged.lots.push(LotRow {
            place,
            lot,
            assay: sound.flatten(),
            price,
            impurities,
        });
    }
}

fn impurity(reader: &RowReader, column: &str) -> f64 {
    if reader.text(column).is_none() {
        let hint = "write the mass fraction, 0 where there is none";
        reader.fault(column, ErrorKind::Missing, "is empty", hint);
    }
    reader.own_fraction(column).unwrap_or_default()
}

pub(super) fn read_titrants(table: &Table, logged: &mut Logged) {
    for reader in RowReader::all(table) {
        let titrant = reader.needed("titrant", reader.name("titrant"));
        let strength = strength(&reader);
        let place = reader.place();
        let date = reader.date("date");
        let sound = reader.finish(&mut logged.left_out, ());
        match (titrant, strength, sound) {
            (Some(titrant), Some(strength), Some(())) => logged.titrants.push(TitrantRow {
                place,
                titrant,
                date,
                strength,
            }),
            (titrant, ..) => {
                let unusable = titrant.map(|titrant| UnusableTitrant { place, titrant });
                logged.unusable_titrants.extend(unusable);
            }
        }
    }
}

fn strength(reader: &RowReader) -> Option<TitrantStrength> {
    if reader.text("concentration").is_some() {
        return reader.positive("concentration").map(TitrantStrength::Given);
    }
    let formula = reader.needed("standard", reader.text("standard"))?;
    let standard = Formula::parse(&formula).map_err(|error| {
        let what = format!("is no formula: {}", error.message());
        let hint = error.advice().unwrap_or_default();
        reader.fault("standard", ErrorKind::Formula, &what, hint);
    });
    let mass = reader.needed("standard_mass", reader.positive("standard_mass"));
    let titre = reader.needed("titre", reader.positive("titre"));
    let ratio = reader.positive("standard_ratio");
    let purity = reader.above_zero(
        "standard_purity",
        reader.fraction("standard_purity"),
        "a standard without content sets no titre; leave the cell empty for a pure one",
    );
    let blank = reader.not_negative("blank");
    if let (Some(titre), Some(blank)) = (titre, blank)
        && blank.value >= titre.value
    {
        let hint =
            "what is left of the titre without the blank is what the standard used up; check both";
        let kind = ErrorKind::OutOfRange;
        reader.refuse::<()>("blank", kind, "is not below the titre", hint);
    }
    let aliquot = aliquot(reader);
    Some(TitrantStrength::Standardised {
        standard: standard.ok()?,
        mass: mass?,
        purity,
        ratio: ratio.map(|ratio| ratio.value),
        titre: titre?,
        blank,
        aliquot,
    })
}
