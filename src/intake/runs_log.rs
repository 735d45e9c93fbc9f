//! Reader of the runs log: one row a run.
//!
//! In: a table. Out: [`RunRow`]s, the columns that are kept as they are, and the numbers in these.
//! This module never judges whether a charge makes sense beyond its sign and range.

use std::collections::{BTreeMap, BTreeSet};

use super::cell_words::{is_over_rows, is_reason};
use super::columns::{FlatColumn, flat};
use super::logged::{FlatCrop, LeftOut, Logged, LoggedColumn, LotShare, RunRow};
use super::number::{NOT_KNOWN, or_else, outside_own, plain};
use super::rows::RowReader;
use super::stock::NO_CONTENT;
use super::table::Table;
use crate::campaign::{Campaign, Decimal, FactorKind, LOT};
use crate::error::{Cause, Error, ErrorKind, Place};
use crate::units::Unit;

/// Rounding of a share that is written with two decimals, or in whole per cent.
const ROUNDING_OF_A_SHARE: f64 = 0.005;
/// However many there are, shares that miss 1 by more are a slip.
const SHARES_OFF: f64 = 0.02;

/// By how much so many shares may miss 1.
fn shares_off(count: usize) -> f64 {
    // A billionth for what binary fractions add.
    (count as f64 * ROUNDING_OF_A_SHARE).min(SHARES_OFF) + 1e-9
}

/// A share above zero, as a fraction or in per cent; a decimal point is always understood.
fn share(text: &str, decimal: Decimal) -> Option<f64> {
    let percent = text.strip_suffix('%');
    let figure = percent.unwrap_or(text).trim();
    let value = plain(figure, decimal).or_else(|_| plain(figure, Decimal::Point));
    let value = value.ok().filter(|value| *value > 0.0)?;
    Some(if percent.is_some() {
        value / 100.0
    } else {
        value
    })
}

pub(super) fn read(
    campaign: &Campaign,
    table: &Table,
    logged: &mut Logged,
    stops: &mut Vec<Error>,
) {
    let mut seen: BTreeSet<String> = logged.runs.names.iter().cloned().collect();
    let mut is_new = |run: &str, place: Place| {
        let is_new = seen.insert(run.to_string());
        if !is_new {
            let message = format!("run `{run}` in {place} stands there already");
            let hint = "each run has one row and a name of its own";
            let fault = place.fault(ErrorKind::DuplicatedRun, message, hint);
            let cause = Cause::Things("run that stands there already".into());
            stops.push(fault.in_column("run").alike(cause, Some(run)));
        }
        is_new
    };
    logged.runs.lines += table.row_count();
    let before = logged.runs.rows.len();
    let mut kept = Vec::new();
    for reader in RowReader::all(table) {
        let Some(run) = reader.needed("run", reader.name("run")) else {
            if !table.has_usable_rows() {
                // Its other cells are looked at all the same.
                row(campaign, &reader, String::new());
            }
            reader.finish(&mut logged.left_out, ());
            continue;
        };
        if is_over_rows(&run) {
            let hint = "take the row out of the log, or give the run another name";
            reader.refuse::<()>("run", ErrorKind::BadRow, "is a row over other rows", hint);
            reader.finish(&mut logged.left_out, ());
            continue;
        }
        if !is_new(&run, reader.place()) {
            continue;
        }
        logged.runs.names.push(run.clone());
        let row = row(campaign, &reader, run);
        if campaign.has_spellings(LOT) {
            let lots = reader.list(LOT).into_iter();
            let written = lots.map(|lot| (LOT.to_string(), lot));
            logged.as_written.extend(written);
        }
        if let Some(reason) = &row.set_aside {
            let decision = Error::new(ErrorKind::Missing, format!("set aside: {reason}"))
                .alike(Cause::Things("set aside".into()), Some(reason));
            logged.left_out.push(LeftOut {
                on_purpose: true,
                ..LeftOut::new(Some(&row.run), decision.at(&row.place))
            });
        }
        let row_number = reader.row;
        if let Some(row) = reader.finish(&mut logged.left_out, row) {
            logged.runs.rows.push(row);
            kept.push(row_number);
        }
    }
    for row in table.ragged_rows() {
        if let Some(run) = table.run(row)
            && is_new(run, table.place(row))
        {
            logged.runs.names.push(run.to_string());
        }
    }
    keep_own_columns(campaign, table, before, &kept, logged, stops);
    for column in &mut logged.runs.columns {
        column.cells.resize(logged.runs.rows.len(), None);
    }
}

/// Adds the cells of the rows kept to the columns that are no column of the design.
fn keep_own_columns(
    campaign: &Campaign,
    table: &Table,
    before: usize,
    kept: &[usize],
    logged: &mut Logged,
    stops: &mut Vec<Error>,
) {
    let columns = &mut logged.runs.columns;
    for (position, head) in table.heads.iter().enumerate() {
        if head.holds.is_some() {
            continue;
        }
        let known = columns.iter().position(|column| column.name == head.name);
        let known = known.unwrap_or(columns.len());
        if known == columns.len() {
            columns.push(LoggedColumn {
                name: head.name.clone(),
                unit: head.unit_text.clone(),
                cells: Vec::new(),
                left_out: Vec::new(),
            });
        }
        let column = &mut columns[known];
        let has_spellings = campaign.has_spellings(&head.name);
        if column.unit == head.unit_text {
            let mut level = |row: usize| {
                let text = table.cell(position, row)?;
                let level = campaign.level_of(&head.name, text);
                if has_spellings {
                    let written = (head.name.clone(), text.to_string());
                    logged.as_written.insert(written);
                }
                Some(level.to_string())
            };
            column.cells.resize(before, None);
            let others = table
                .sound_rows()
                .filter(|row| kept.binary_search(row).is_err());
            column.left_out.extend(others.filter_map(&mut level));
            column.cells.extend(kept.iter().map(|row| level(*row)));
        } else {
            let message = format!(
                "column `{}` in `{}` has another unit than in the runs log before it",
                head.heading, table.file
            );
            let hint = "write the same unit in all runs logs";
            let place = Place::new(&table.file, 1);
            let fault = place.fault(ErrorKind::MissingColumn, message, hint);
            stops.push(fault.in_column(&head.heading));
        }
    }
}

fn row(campaign: &Campaign, reader: &RowReader, run: String) -> RunRow {
    let set_aside = set_aside(reader);
    levels(campaign, reader);
    own_numbers(campaign, reader);
    let needs_charge = campaign.chemistry.is_some() && set_aside.is_none();
    let feed_mass = reader.positive("feed_mass");
    let feed_assay = reader.fraction("feed_assay");
    RunRow {
        place: reader.place(),
        run,
        date: reader.date("date"),
        lots: lots(campaign, reader),
        feed_mass: if needs_charge {
            reader.needed("feed_mass", feed_mass)
        } else {
            feed_mass
        },
        feed_assay: reader.above_zero("feed_assay", feed_assay, NO_CONTENT),
        oxidant_mass: reader.not_negative("oxidant_mass"),
        residue_mass: reader.not_negative("residue_mass"),
        residue_from: reader.names("residue_from"),
        residue_assay: reader.fraction("residue_assay"),
        labour: reader.not_negative("labour"),
        liquor_volume: reader.not_negative("liquor_volume"),
        liquor_conc: reader.not_negative("liquor_conc"),
        set_aside,
        purity: reader.purity("purity"),
        crops: flat_crops(reader),
        withheld: Vec::new(),
    }
}

/// Why a run is set aside; a word that is no reason is a fault.
fn set_aside(reader: &RowReader) -> Option<String> {
    let text = reader.text("set_aside")?;
    if is_reason(&text) {
        return Some(text);
    }
    let hint = "leave the cell empty to keep the run, or write the reason that sets it aside";
    reader.refuse("set_aside", ErrorKind::OutOfRange, "is no reason", hint)
}

/// Notes cells of choices that hold a word for nothing which the campaign file does not declare as a level, or what nobody sees.
fn levels(campaign: &Campaign, reader: &RowReader) {
    for plan in &campaign.factors {
        if !matches!(plan.kind, FactorKind::Choice { .. }) {
            continue;
        }
        let column = plan.column();
        let Some(text) = reader.text(column).filter(|_| column != LOT) else {
            continue;
        };
        if !plan.declares(&text) && plan.meant_by(&text).is_none() {
            let hint = format!(
                "leave the cell empty, or list the level: `levels = [\"{text}\"]` under `[factors.{}]`",
                plan.name
            );
            reader.is_name(column, &text, &hint);
        }
    }
}

fn lots(campaign: &Campaign, reader: &RowReader) -> Vec<LotShare> {
    let fault = |kind, what: &str, hint: &str| reader.fault("lot_share", kind, what, hint);
    let lots = reader.names("lot");
    let mut shares: Vec<f64> = Vec::new();
    for text in reader.list("lot_share") {
        match share(&text, reader.table.decimal) {
            Some(share) => shares.push(share),
            None => fault(
                ErrorKind::NotANumber,
                &format!("is not a share: `{text}`"),
                "write shares above zero with `;` between them, such as `0.6;0.4` or `60 %;40 %`",
            ),
        }
    }
    let mut total: f64 = shares.iter().sum();
    if (total - 100.0).abs() <= 100.0 * shares_off(shares.len()) {
        shares.iter_mut().for_each(|share| *share /= 100.0);
        total /= 100.0;
    }
    let shares_needed = lots.len() != 1 || !shares.is_empty();
    if shares_needed && shares.len() != lots.len() {
        let what = format!("names {} shares for {} lots", shares.len(), lots.len());
        let hint = "write one share a lot, such as `0.6;0.4`";
        fault(ErrorKind::Missing, &what, hint);
    } else if !shares.is_empty() && (total - 1.0).abs() > shares_off(shares.len()) {
        // Six decimals show any slip, and hide what binary fractions add.
        let what = format!("adds up to {}", (1e6 * total).round() / 1e6);
        let hint = "the shares of the lots of a run add up to 1, or to 100 %";
        fault(ErrorKind::OutOfRange, &what, hint);
    }
    shares.iter_mut().for_each(|share| *share /= total);
    if lots.len() == 1 {
        shares = vec![1.0];
    }
    let lots = lots.iter().map(|lot| campaign.level_of(LOT, lot));
    let pairs = lots.map(str::to_string).zip(shares);
    pairs.map(|(lot, share)| LotShare { lot, share }).collect()
}

fn flat_crops(reader: &RowReader) -> Vec<FlatCrop> {
    let mut crops: BTreeMap<u32, FlatCrop> = BTreeMap::new();
    for head in &reader.table.heads {
        let Some((what, number)) = flat(&head.name) else {
            continue;
        };
        let crop = crops.entry(number).or_default();
        crop.crop = number;
        match what {
            FlatColumn::Mass => crop.mass = reader.not_negative(&head.name),
            FlatColumn::Purity => crop.purity = reader.purity(&head.name),
            FlatColumn::Moisture => crop.moisture = reader.fraction(&head.name),
        }
    }
    for crop in crops.values() {
        if crop.mass.is_none() && (crop.purity.is_some() || crop.moisture.is_some()) {
            let column = format!("crop{}_mass", crop.crop);
            let hint = "write its mass, `0` where there was none";
            let what = "is empty, though more is logged of that crop";
            reader.fault(&column, ErrorKind::Missing, what, hint);
        }
    }
    crops.retain(|_, crop| crop.mass.is_some());
    crops.into_values().collect()
}

/// The figure in a cell of a column of the user's own, before a sign of per cent where there is one.
fn own_number(text: &str, decimal: Decimal) -> Result<f64, String> {
    let figure = text.strip_suffix('%').map_or(text, str::trim);
    let value = plain(figure, decimal).map_err(|hint| or_else(&hint, NOT_KNOWN))?;
    outside_own(value).map_or(Ok(value), Err)
}

/// Notes cells that hold no number where an amount or a response has them.
fn own_numbers(campaign: &Campaign, reader: &RowReader) {
    let amounts = campaign.factors.iter();
    let amounts = amounts.filter(|plan| matches!(plan.kind, FactorKind::Amount { .. }));
    for head in &reader.table.heads {
        let is_one = amounts.clone().any(|plan| plan.column() == head.name)
            || campaign
                .responses
                .iter()
                .any(|plan| plan.column == head.name);
        if is_one
            && head.holds.is_none()
            && let Some((_, text)) = reader.cell(&head.name)
            && let Err(hint) = own_number(text, reader.table.decimal)
        {
            let kind = ErrorKind::NotANumber;
            reader.refuse::<()>(&head.name, kind, "is not a number", &hint);
        }
    }
}

impl LoggedColumn {
    /// The number in a cell, in `wanted` units where both units are known; `None` for an empty cell.
    ///
    /// # Errors
    /// A hint when the cell holds no finite number.
    pub fn number(
        &self,
        campaign: &Campaign,
        row: usize,
        wanted: Option<&str>,
    ) -> Result<Option<f64>, String> {
        let Some(text) = &self.cells[row] else {
            return Ok(None);
        };
        let value = own_number(text, campaign.logs.decimal)?;
        let percent = text.ends_with('%').then_some("%");
        let logged = percent.or(self.unit.as_deref());
        let wanted = wanted
            .and_then(Unit::named)
            .or_else(|| percent.and(Unit::named("1")));
        Ok(Some(match (logged.and_then(Unit::named), wanted) {
            (Some(from), Some(to)) if from.dimension == to.dimension => {
                to.from_base(from.to_base(value))
            }
            _ => value,
        }))
    }
}
