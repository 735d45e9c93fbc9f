//! Reader of the runs log: one row a run.
//!
//! In: a table. Out: [`RunRow`]s, the columns that are kept as they are, and the numbers in these.
//! This module never judges whether a charge makes sense beyond its sign and range.

use std::collections::{BTreeMap, BTreeSet};

use super::columns::{FlatColumn, flat};
use super::logged::{FlatCrop, LeftOut, Logged, LoggedColumn, LotShare, RunRow};
use super::number::{outside_own, plain};
use super::rows::RowReader;
use super::stock::NO_CONTENT;
use super::table::Table;
use crate::campaign::{Campaign, Decimal};
use crate::error::{Error, ErrorKind, Place};
use crate::units::Unit;

/// Shares written with two decimals may miss 1 by as much.
const SHARES_OFF: f64 = 0.011;

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
            stops.push(fault.in_column("run"));
        }
        is_new
    };
    logged.runs.lines += table.row_count();
    let before = logged.runs.rows.len();
    let mut kept = Vec::new();
    for reader in RowReader::all(table) {
        let Some(run) = reader.needed("run", reader.text("run")) else {
            reader.finish(&mut logged.left_out, ());
            continue;
        };
        if !is_new(&run, reader.place()) {
            continue;
        }
        logged.runs.names.push(run.clone());
        let row = row(campaign, &reader, run);
        if let Some(reason) = &row.set_aside {
            let decision = Error::new(ErrorKind::Missing, format!("set aside: {reason}"));
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
    let columns = &mut logged.runs.columns;
    keep_own_columns(table, before, &kept, columns, stops);
    for column in columns {
        column.cells.resize(logged.runs.rows.len(), None);
    }
}

/// Adds the cells of the rows kept to the columns that are no column of the design.
fn keep_own_columns(
    table: &Table,
    before: usize,
    kept: &[usize],
    columns: &mut Vec<LoggedColumn>,
    stops: &mut Vec<Error>,
) {
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
            });
        }
        let column = &mut columns[known];
        if column.unit == head.unit_text {
            let cells = kept.iter().map(|row| table.cell(position, *row));
            column.cells.resize(before, None);
            column
                .cells
                .extend(cells.map(|cell| cell.map(str::to_string)));
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
    let set_aside = reader.text("set_aside");
    let needs_charge = campaign.chemistry.is_some() && set_aside.is_none();
    let feed_mass = reader.positive("feed_mass");
    let feed_assay = reader.fraction("feed_assay");
    RunRow {
        place: reader.place(),
        run,
        date: reader.date("date"),
        lots: lots(reader),
        feed_mass: if needs_charge {
            reader.needed("feed_mass", feed_mass)
        } else {
            feed_mass
        },
        feed_assay: reader.above_zero("feed_assay", feed_assay, NO_CONTENT),
        oxidant_mass: reader.not_negative("oxidant_mass"),
        residue_mass: reader.not_negative("residue_mass"),
        residue_from: reader.list("residue_from"),
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

fn lots(reader: &RowReader) -> Vec<LotShare> {
    let fault = |kind, what: &str, hint: &str| reader.fault("lot_share", kind, what, hint);
    let lots = reader.list("lot");
    let mut shares: Vec<f64> = Vec::new();
    for text in reader.list("lot_share") {
        match plain(&text, Decimal::Point) {
            Ok(share) if share > 0.0 => shares.push(share),
            _ => fault(
                ErrorKind::NotANumber,
                &format!("is not a share: `{text}`"),
                "write shares above zero with a decimal point and `;` between them, such as `0.6;0.4`",
            ),
        }
    }
    let total: f64 = shares.iter().sum();
    let shares_needed = lots.len() != 1 || !shares.is_empty();
    if shares_needed && shares.len() != lots.len() {
        let what = format!("names {} shares for {} lots", shares.len(), lots.len());
        let hint = "write one share a lot, such as `0.6;0.4`";
        fault(ErrorKind::Missing, &what, hint);
    } else if !shares.is_empty() && (total - 1.0).abs() > SHARES_OFF {
        // Six decimals show any slip, and hide what binary fractions add.
        let what = format!("adds up to {}", (1e6 * total).round() / 1e6);
        let hint = "the shares of the lots of a run add up to 1";
        fault(ErrorKind::OutOfRange, &what, hint);
    }
    if lots.len() == 1 {
        shares = vec![1.0];
    }
    let pairs = lots.into_iter().zip(shares);
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
        let percent = text.strip_suffix('%').map(str::trim);
        let value = plain(percent.unwrap_or(text), campaign.logs.decimal)?;
        if let Some(hint) = outside_own(value) {
            return Err(hint);
        }
        let logged = percent.map_or(self.unit.as_deref(), |_| Some("%"));
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
