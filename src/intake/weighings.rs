//! Masses of a sample before and after drying or ignition.
//!
//! In: three columns of the crops log. Out: [`Weighings`], or faults of what cannot be.
//! This module never turns masses into a moisture or a purity.

use super::cell_words::is_missing;
use super::crop_row::Weighings;
use super::rows::RowReader;
use super::table::{Column, Table};
use crate::campaign::Campaign;
use crate::error::{Error, ErrorKind};

/// What messages say of three masses, and what to do about those that cannot be.
pub(super) struct Told {
    beside: &'static str,
    above: &'static str,
    hint: &'static str,
    /// Whether all of the sample may be gone.
    may_vanish: bool,
}

pub(super) const DRYING: Told = Told {
    beside: "is empty beside other masses of a drying",
    above: "is above the wet mass",
    hint: "weigh all three with the dish and in one unit: the wet sample, the same dried, the empty dish (`tare` 0 where the balance was set to zero with it)",
    may_vanish: true,
};

pub(super) const IGNITION: Told = Told {
    beside: "is empty beside other masses of an ignition",
    above: "is above the mass before ignition, and what is left by `[ignition] leaves` is lighter than product",
    hint: "weigh all three with the dish and in one unit: the sample, what it left, the empty dish (`ignited_tare` 0 where the balance was set to zero with it)",
    may_vanish: false,
};

/// The masses of a drying or an ignition; none where no cell of them holds anything.
pub(super) fn weighings(
    reader: &RowReader,
    columns: [Column; 3],
    told: &Told,
    can_gain: bool,
) -> Option<Weighings> {
    let texts = columns.map(|column| reader.text(column).filter(|text| !is_missing(text)));
    if texts.iter().all(Option::is_none) {
        return None;
    }
    for (column, _) in columns.iter().zip(texts).filter(|(_, text)| text.is_none()) {
        reader.fault(*column, ErrorKind::Missing, told.beside, told.hint);
    }
    let masses = columns.map(|column| reader.not_negative(column));
    let [Some(before), Some(after), Some(tare)] = masses else {
        return None;
    };
    let [_, of_after, of_tare] = columns;
    let refuse = |column, what| reader.refuse(column, ErrorKind::OutOfRange, what, told.hint);
    if after.value > before.value && !can_gain {
        return refuse(of_after, told.above);
    }
    let is_gone = after.value == tare.value && !told.may_vanish;
    if tare.value > after.value || tare.value >= before.value || is_gone {
        return refuse(of_tare, "leaves no sample in the dish");
    }
    Some(Weighings {
        before,
        after,
        tare,
    })
}

/// Masses of an ignition of which the campaign file does not say what is left.
pub(super) fn leaves_what(
    campaign: &Campaign,
    table: &Table,
    columns: [Column; 3],
) -> Option<Error> {
    if campaign.ignition.is_some() || campaign.chemistry.is_none() {
        return None;
    }
    RowReader::all(table).find_map(|reader| {
        let mut cells = columns.iter();
        let (column, text) =
            cells.find_map(|column| Some((column, reader.text(*column).filter(|text| !is_missing(text))?)))?;
        let what = "is a mass of an ignition, and nothing says what is left";
        let hint = "add `[ignition]` to the campaign file, such as `leaves = \"CuO\"`, or name the column otherwise";
        let heading = table.heading(*column);
        Some(reader.place().cell(ErrorKind::Campaign, heading, what, Some(text), hint))
    })
}
