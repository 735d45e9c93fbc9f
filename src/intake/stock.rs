//! Readers of what stood on the shelf: lots of feed, titrants and their blanks.
//!
//! In: tables. Out: [`LotRow`], [`TitrantRow`], [`BlankTitre`].
//! This module never averages two rows: several assays of a lot stay beside each other.

use super::across_logs::{MIXED_UP, middle, times_off};
use super::cell_values::LoggedNumber;
use super::crops::{PART, aliquot};
use super::logged::{
    FurtherAssay, Logged, LotPrice, LotRow, TitrantRow, TitrantStrength, UnusableTitrant,
};
use super::number::{NOTHING_ELSE, plain};
use super::rows::RowReader;
use super::table::{Column, Table};
use super::titre_row::BlankTitre;
use crate::campaign::{Campaign, LOT, Price, StatedPrice, is_same_currency};
use crate::chemistry::Formula;
use crate::error::{Cause, Error, ErrorKind};
use crate::name::Name;

/// Why a feed has an assay above zero.
pub(super) const NO_CONTENT: &str = "a feed without content gives no product";

pub(super) fn read_lots(
    campaign: &Campaign,
    table: &Table,
    logged: &mut Logged,
    stops: &mut Vec<Error>,
) {
    let impurities = campaign.burnt().map(|of| of.column.as_str());
    let impurities: Vec<&str> = impurities.collect();
    let [lot, assay, column_of_price, source] = table.columns(["lot", "assay", "price", "source"]);
    let opened = table.column("opened");
    let burnt = impurities
        .iter()
        .map(|column| (*column, "[oxidant] impurities".to_string()));
    let second = campaign.second.iter();
    let second = second.map(|of| (of.assay.as_str(), format!("[second.{}]", of.element)));
    for (column, asked) in burnt.chain(second) {
        if table.column(column).position.is_none() {
            let message = format!(
                "column `{column}` is missing in `{}`, which `{asked}` asks for",
                table.file
            );
            let hint = "add it with mass fractions, or take it out of the campaign file";
            stops.push(table.lacks_column(column, message, hint));
        }
    }
    let assays = RowReader::all(table).filter_map(|reader| reader.number(assay));
    let middle = middle(assays.map(|number| number.value));
    let prices = campaign.prices.as_ref();
    let mut currency = prices.and_then(|prices| prices.stated_currency().map(str::to_string));
    for reader in RowReader::all(table) {
        let name = reader.needed(lot, reader.name(lot));
        let Some(lot) = name.or_else(|| (!table.has_usable_rows()).then(Name::default)) else {
            reader.finish(&mut logged.left_out, ());
            continue;
        };
        let place = reader.place();
        if campaign.has_spellings(LOT) {
            let written = (LOT.to_string(), lot.to_string());
            logged.as_written.insert(written);
        }
        let lot = campaign.level_of(LOT, &lot).to_string();
        let source_of = reader.name_text(source).unwrap_or_default().to_string();
        let mut lots = logged.lots.iter();
        let known = lots.position(|known| known.lot == lot && !lot.is_empty());
        let known = known.filter(|known| {
            let known = &logged.lots[*known];
            let is_other = !known.sources().any(|of| of == source_of);
            if !is_other {
                let message = format!("lot `{lot}` in {place} stands there already");
                let hint = match source.position {
                    None => "each lot has one row",
                    Some(_) => {
                        "each lot has one row, or one for each `source` that its assay is from"
                    }
                };
                let fault = place.fault(ErrorKind::DuplicatedRun, message, hint);
                let cause = Cause::Things("lot that stands there already".into());
                stops.push(fault.in_column("lot").alike(cause, Some(&lot)));
            }
            is_other
        });
        let fraction = reader.needed(assay, reader.fraction(assay));
        let fraction = reader.above_zero(assay, fraction, NO_CONTENT);
        if let Some(off) = fraction.and_then(|assay| times_off(assay.value, middle?)) {
            let what = format!("is {off} off the other lots");
            reader.refuse::<()>(assay, ErrorKind::OutOfRange, &what, MIXED_UP);
        }
        let opened = reader.date(opened);
        let price = priced(&reader, column_of_price);
        if prices.is_some()
            && let Some((_, Some(own))) = &price
        {
            let known = currency.get_or_insert_with(|| own.clone());
            if !is_same_currency(known, own) {
                stops.push(other_currency(&reader, column_of_price, known));
            }
        }
        let price = price.map(|(price, _)| price);
        if let Some(known) = known {
            let columns = impurities.iter().map(|column| table.column(column));
            let row = &mut logged.lots[known];
            other_than_first(&reader, row, price, column_of_price, columns);
            if let Some(assay) = reader.finish(&mut logged.left_out, fraction).flatten() {
                let further = FurtherAssay {
                    place,
                    source: source_of,
                    assay,
                };
                stops.extend(cannot_both_be(campaign, row, &further));
                row.further.push(further);
            }
            continue;
        }
        let impurity = |column: &&str| impurity(&reader, table.column(column));
        let impurities = impurities.iter().map(impurity).collect();
        let second = reader.second_assays(campaign);
        let sound = reader.finish(&mut logged.left_out, fraction);
        if !table.has_usable_rows() {
            continue;
        }
        logged.lots.push(LotRow {
            place,
            lot,
            assay: sound.flatten(),
            source: source_of,
            further: Vec::new(),
            price,
            opened,
            impurities,
            second,
        });
    }
}

/// Assays of one feed that are further apart than this share of the larger are not of one feed, or one is mistyped: laboratories
/// differ by a few parts in a hundred. Common practice, no source.
const NOT_OF_ONE_FEED: f64 = 0.25;

/// So many standard uncertainties of a difference explain it all the same.
const EXPLAINED: f64 = 6.0;

/// The fault of an assay that cannot be true beside another of the same lot.
fn cannot_both_be(campaign: &Campaign, row: &LotRow, further: &FurtherAssay) -> Option<Error> {
    let stated = campaign.uncertainty.of("assay");
    let stated = stated.map_or(0.0, |stated| stated.standard_uncertainty());
    let u = |of: &LoggedNumber| of.uncertainty.unwrap_or(stated);
    let own = further.assay;
    let mut others = row.assays();
    let (place, other) = others.find(|(_, other)| {
        let apart = (other.value - own.value).abs();
        let far = NOT_OF_ONE_FEED * other.value.max(own.value);
        apart > far && apart > EXPLAINED * u(other).hypot(u(&own))
    })?;
    let (lot, here) = (&row.lot, &further.place);
    let message = format!(
        "two assays of lot `{lot}` cannot both be true, in {place} and {here}: {} and {}",
        other.value, own.value
    );
    let hint = "look for a decimal point, a percent, or another formula that one is stated as; take out the row that is wrong";
    let fault = here.fault(ErrorKind::OutOfRange, message, hint);
    Some(fault.in_column("assay"))
}

/// Refuses what a further row of a lot says otherwise than the first: a lot has one price and one composition.
fn other_than_first<'c>(
    reader: &RowReader,
    row: &mut LotRow,
    price: Option<LotPrice>,
    column_of_price: Column,
    impurities: impl Iterator<Item = Column<'c>>,
) {
    const OTHERWISE: &str = "is not that of the first row of its lot";
    const HINT: &str = "leave it empty in further rows of a lot, or correct one of them";
    match (&row.price, price) {
        (Some(first), Some(here)) if first.text != here.text => {
            reader.refuse::<()>(column_of_price, ErrorKind::OutOfRange, OTHERWISE, HINT);
        }
        (None, Some(here)) => row.price = Some(here),
        _ => {}
    }
    for (column, first) in impurities.zip(&row.impurities) {
        let here = reader
            .text(column)
            .and_then(|_| reader.own_fraction(column));
        if here.is_some_and(|here| here.value != *first) {
            reader.refuse::<()>(column, ErrorKind::OutOfRange, OTHERWISE, HINT);
        }
    }
}

/// The price of a lot, and the currency that stands beside it.
fn priced(reader: &RowReader, price: Column) -> Option<(LotPrice, Option<String>)> {
    let (head, text) = reader.cell(price)?;
    let marks = reader.table.written.marks;
    let number = |text: &str| {
        let figure = "write a figure, such as `4.20`, `€4.20` or `4.20 ± 0.30 /kg`";
        plain(text, marks).map_err(|hint| match hint.as_str() {
            NOTHING_ELSE => figure.to_string(),
            _ => hint,
        })
    };
    let stated = StatedPrice::of_feed(text, &head.price, number);
    let currency = stated.as_ref().ok();
    let currency = currency.and_then(|stated| stated.currency.clone());
    let read = stated.map(|stated| Price {
        // As in the campaign file, ± is a standard uncertainty unless `plus_minus` says what it is.
        uncertainty: marks.plus_minus.map_or(stated.price.uncertainty, |meant| {
            meant.standard_uncertainty(stated.price.uncertainty)
        }),
        ..stated.price
    });
    let text = text.to_string();
    Some((LotPrice { text, read }, currency))
}

fn other_currency(reader: &RowReader, price: Column, known: &str) -> Error {
    let heading = reader.table.heading(price);
    let text = reader.text(price).unwrap_or_default();
    let place = reader.place();
    let message = format!(
        "column `{heading}` in {place} is in another currency than the prices before it, {known}: `{text}`"
    );
    let hint = "write all prices in one currency, which `currency` under `[prices]` names";
    let fault = place.fault(ErrorKind::Campaign, message, hint);
    fault.in_column(heading)
}

fn impurity(reader: &RowReader, column: Column) -> f64 {
    if reader.text(column).is_none() {
        let hint = "write the mass fraction, 0 where there is none";
        reader.fault(column, ErrorKind::Missing, "is empty", hint);
    }
    reader.own_fraction(column).map_or(0.0, |part| part.value)
}

pub(super) fn read_titrants(campaign: &Campaign, table: &Table, logged: &mut Logged) {
    let [titrant, date] = table.columns(["titrant", "date"]);
    for reader in RowReader::all(table) {
        let titrant = reader.needed(titrant, reader.name(titrant));
        let strength = strength(campaign, &reader);
        let place = reader.place();
        let date = reader.date(date);
        let sound = reader.finish(&mut logged.left_out, ());
        let Some(titrant) = titrant.map(String::from) else {
            continue;
        };
        match strength.filter(|_| sound.is_some()) {
            Some(strength) => logged.titrants.push(TitrantRow {
                place,
                titrant,
                date,
                strength,
            }),
            None => {
                let unusable = UnusableTitrant { place, titrant };
                logged.unusable_titrants.push(unusable);
            }
        }
    }
}

pub(super) fn read_blanks(table: &Table, logged: &mut Logged) {
    let [blank, date, titre] = table.columns(["blank", "date", "titre"]);
    RowReader::each(table, &mut logged.blanks, &mut logged.left_out, |reader| {
        // Blanks of one name are one blank on whatever days they were titrated; a day that is none is a fault all the same.
        reader.date(date);
        Some(BlankTitre {
            place: reader.place(),
            blank: reader.demanded(blank, reader.name(blank)),
            titre: reader.demanded(titre, reader.not_negative(titre)),
        })
    });
}

fn strength(campaign: &Campaign, reader: &RowReader) -> Option<TitrantStrength> {
    let table = reader.table;
    let concentration = table.column("concentration");
    if reader.text(concentration).is_some() {
        return reader.positive(concentration).map(TitrantStrength::Given);
    }
    let [of_formula, mass, titre] = table.columns(["standard", "standard_mass", "titre"]);
    let [ratio, purity, of_blank] = table.columns(["standard_ratio", "standard_purity", "blank"]);
    let formula = reader.needed(of_formula, reader.text(of_formula))?;
    let standard = Formula::parse(formula).map_err(|error| {
        let what = format!("is no formula: {}", error.message());
        let hint = error.advice().unwrap_or_default();
        reader.fault(of_formula, ErrorKind::Formula, &what, hint);
    });
    let mass = reader.needed(mass, reader.positive(mass));
    let titre = reader.needed(titre, reader.positive(titre));
    let ratio = reader.positive(ratio);
    let purity = reader.above_zero(
        purity,
        reader.fraction(purity),
        "a standard without content sets no titre; leave the cell empty for a pure one",
    );
    let blank = reader.not_negative(of_blank);
    if let (Some(titre), Some(blank)) = (titre, blank)
        && blank.value >= titre.value
    {
        let hint =
            "what is left of the titre without the blank is what the standard used up; check both";
        let what = "is not below the titre";
        reader.refuse::<()>(of_blank, ErrorKind::OutOfRange, what, hint);
    }
    let aliquot = aliquot(campaign, reader, table.columns(PART));
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
