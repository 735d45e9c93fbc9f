//! The runs log: one row a run.
//!
//! In: a table. Out: [`RunsLog`].
//! This module never judges whether a charge makes sense beyond its sign and range.

use std::collections::BTreeSet;

use super::bounds::outside_own;
use super::columns::{FlatColumn, flat};
use super::rows::{LeftOut, LoggedNumber, RowReader};
use super::table::Table;
use super::{Logged, number};
use crate::campaign::Campaign;
use crate::error::{Error, ErrorKind};
use crate::units::Unit;

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

/// A column of the runs log that is kept as it is.
#[derive(Debug, Clone)]
pub struct LoggedColumn {
    /// Its name: the heading, without the unit part where a factor or response is called so.
    pub name: String,
    /// Unit as written.
    pub unit: Option<String>,
    /// One cell a readable row, in their order.
    pub cells: Vec<Option<String>>,
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
#[derive(Debug, Clone, PartialEq)]
pub struct FlatCrop {
    /// Number of the crop, from 1.
    pub crop: u32,
    /// Mass [g].
    pub mass: Option<LoggedNumber>,
    /// Purity [mass fraction].
    pub purity: Option<LoggedNumber>,
    /// Free moisture [mass fraction].
    pub moisture: Option<LoggedNumber>,
}

/// One run as logged.
#[derive(Debug, Clone, Default)]
pub struct RunRow {
    /// The log.
    pub file: String,
    /// Line of the log.
    pub line: usize,
    /// Name of the run.
    pub run: String,
    /// Date, ISO 8601, as written; sorts as text.
    pub date: Option<String>,
    /// Lots of feed with their shares.
    pub lots: Vec<LotShare>,
    /// Fresh feed [g].
    pub feed_mass: Option<LoggedNumber>,
    /// Assay of the feed of this run alone [mass fraction].
    pub feed_assay: Option<LoggedNumber>,
    /// Oxidant [g].
    pub oxidant_mass: Option<LoggedNumber>,
    /// Residue charged [g].
    pub residue_mass: Option<LoggedNumber>,
    /// Runs whose residue was charged.
    pub residue_from: Vec<String>,
    /// Assay of the residue charged [mass fraction].
    pub residue_assay: Option<LoggedNumber>,
    /// Labour [min].
    pub labour: Option<LoggedNumber>,
    /// Mother liquor left [mL].
    pub liquor_volume: Option<LoggedNumber>,
    /// Product in the mother liquor left [g/L].
    pub liquor_conc: Option<LoggedNumber>,
    /// Why the run is set aside.
    pub set_aside: Option<String>,
    /// Purity of the whole product [mass fraction].
    pub purity: Option<LoggedNumber>,
    /// Crops in the flat style.
    pub crops: Vec<FlatCrop>,
}

pub(super) fn read(
    campaign: &Campaign,
    table: &Table,
    logged: &mut Logged,
    stops: &mut Vec<Error>,
) {
    let own: Vec<usize> = (0..table.heads.len())
        .filter(|column| table.heads[*column].holds.is_none())
        .collect();
    let mut kept_rows = Vec::new();
    let mut seen: BTreeSet<String> = logged.runs.names.iter().cloned().collect();
    logged.runs.lines += table.row_count();
    for reader in table.rows() {
        let row_number = reader.row;
        let Some(run) = reader.needed("run", reader.text("run")) else {
            reader.finish::<()>(None, &mut logged.left_out, None);
            continue;
        };
        if !seen.insert(run.clone()) {
            stops.push(duplicated(table, reader.line(), &run));
            continue;
        }
        logged.runs.names.push(run.clone());
        let row = row(campaign, table, &reader, &run);
        if let Some(reason) = &row.set_aside {
            logged.left_out.push(LeftOut {
                file: table.file.clone(),
                line: row.line,
                run: Some(run.clone()),
                error: Error::new(ErrorKind::Missing, format!("set aside: {reason}"))
                    .in_file(&table.file)
                    .on_line(row.line),
                on_purpose: true,
            });
        }
        if let Some(row) = reader.finish(Some(&run), &mut logged.left_out, Some(row)) {
            logged.runs.rows.push(row);
            kept_rows.push(row_number);
        }
    }
    for ragged in table.ragged_runs() {
        if seen.insert(ragged.run.to_string()) {
            logged.runs.names.push(ragged.run.to_string());
        } else {
            stops.push(duplicated(table, ragged.line, ragged.run));
        }
    }
    let before = logged.runs.rows.len() - kept_rows.len();
    for column in own {
        let head = &table.heads[column];
        let cells = kept_rows
            .iter()
            .map(|row| table.columns[column][*row].clone());
        let unit = head.unit_text.clone();
        match logged.runs.columns.iter_mut().find(|c| c.name == head.name) {
            Some(known) if known.unit != unit => stops.push(
                Error::new(
                    ErrorKind::MissingColumn,
                    format!(
                        "column `{}` in `{}` has another unit than in the runs log before it",
                        head.heading, table.file
                    ),
                )
                .at(&table.file, 1, &head.heading)
                .hint("write the same unit in all runs logs"),
            ),
            Some(known) => {
                known.cells.resize(before, None);
                known.cells.extend(cells);
            }
            None => {
                let mut all: Vec<Option<String>> = vec![None; before];
                all.extend(cells);
                logged.runs.columns.push(LoggedColumn {
                    name: head.name.clone(),
                    unit,
                    cells: all,
                });
            }
        }
    }
    let rows = logged.runs.rows.len();
    for column in &mut logged.runs.columns {
        column.cells.resize(rows, None);
    }
}

fn row(campaign: &Campaign, table: &Table, reader: &RowReader, run: &str) -> RunRow {
    let set_aside = reader.text("set_aside");
    let needs_charge = campaign.chemistry.is_some() && set_aside.is_none();
    let feed_mass = reader.positive("feed_mass");
    let feed_assay = reader.fraction("feed_assay");
    RunRow {
        file: table.file.clone(),
        line: reader.line(),
        run: run.to_string(),
        date: reader.date("date").map(|date| date.text),
        lots: lots(reader),
        feed_mass: if needs_charge {
            reader.needed("feed_mass", feed_mass)
        } else {
            feed_mass
        },
        feed_assay: feed_assay.and_then(|assay| reader.above_zero("feed_assay", assay, NO_CONTENT)),
        oxidant_mass: reader.not_negative("oxidant_mass"),
        residue_mass: reader.not_negative("residue_mass"),
        residue_from: reader.list("residue_from"),
        residue_assay: reader.fraction("residue_assay"),
        labour: reader.not_negative("labour"),
        liquor_volume: reader.not_negative("liquor_volume"),
        liquor_conc: reader.not_negative("liquor_conc"),
        set_aside,
        purity: reader.purity("purity"),
        crops: flat_crops(table, reader),
    }
}

fn duplicated(table: &Table, line: usize, run: &str) -> Error {
    Error::new(
        ErrorKind::DuplicatedRun,
        format!(
            "run `{run}` in `{}` line {line} stands there already",
            table.file
        ),
    )
    .at(&table.file, line, "run")
    .hint("each run has one row and a name of its own")
}

fn lots(reader: &RowReader) -> Vec<LotShare> {
    let lots = reader.list("lot");
    let mut shares: Vec<f64> = Vec::new();
    for text in reader.list("lot_share") {
        match number::plain(&text, crate::campaign::Decimal::Point) {
            Ok(share) if share > 0.0 => shares.push(share),
            _ => reader.fault(
                "lot_share",
                ErrorKind::NotANumber,
                &format!("is not a share: `{text}`"),
                "write shares above zero with a decimal point and `;` between them, such as `0.6;0.4`",
            ),
        }
    }
    let total: f64 = shares.iter().sum();
    let shares_needed = lots.len() != 1 || !shares.is_empty();
    if shares_needed && shares.len() != lots.len() {
        reader.fault(
            "lot_share",
            ErrorKind::Missing,
            &format!("names {} shares for {} lots", shares.len(), lots.len()),
            "write one share a lot, such as `0.6;0.4`",
        );
    } else if !shares.is_empty() && (total - 1.0).abs() > SHARES_OFF {
        reader.fault(
            "lot_share",
            ErrorKind::OutOfRange,
            // Six decimals show any slip, and hide what binary fractions add.
            &format!("adds up to {}", (1e6 * total).round() / 1e6),
            "the shares of the lots of a run add up to 1",
        );
    }
    if lots.len() == 1 {
        shares = vec![1.0];
    }
    lots.into_iter()
        .zip(shares)
        .map(|(lot, share)| LotShare { lot, share })
        .collect()
}

/// Why a feed has an assay above zero.
pub(super) const NO_CONTENT: &str = "a feed without content gives no product";

/// Shares written with two decimals may miss 1 by as much.
const SHARES_OFF: f64 = 0.011;

fn flat_crops(table: &Table, reader: &RowReader) -> Vec<FlatCrop> {
    let mut crops: Vec<FlatCrop> = Vec::new();
    for head in &table.heads {
        let Some((what, crop)) = flat(&head.name) else {
            continue;
        };
        let position = crops
            .iter()
            .position(|known| known.crop == crop)
            .unwrap_or_else(|| {
                crops.push(FlatCrop {
                    crop,
                    mass: None,
                    purity: None,
                    moisture: None,
                });
                crops.len() - 1
            });
        match what {
            FlatColumn::Mass => crops[position].mass = reader.not_negative(&head.name),
            FlatColumn::Purity => crops[position].purity = reader.purity(&head.name),
            FlatColumn::Moisture => crops[position].moisture = reader.fraction(&head.name),
        }
    }
    crops.retain(|crop| crop.mass.is_some());
    crops.sort_by_key(|crop| crop.crop);
    crops
}

impl RunsLog {
    /// The kept column of that name.
    pub fn column(&self, name: &str) -> Option<&LoggedColumn> {
        self.columns.iter().find(|column| column.name == name)
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
        let percent = text.strip_suffix('%').map(str::trim);
        let value = number::plain(percent.unwrap_or(text), campaign.logs.decimal)?;
        if let Some(hint) = outside_own(value) {
            return Err(hint);
        }
        let logged = if percent.is_some() {
            Unit::named("%")
        } else {
            self.unit.as_deref().and_then(Unit::named)
        };
        let wanted = wanted
            .and_then(Unit::named)
            .or_else(|| percent.and(Unit::named("1")));
        Ok(Some(match (logged, wanted) {
            (Some(from), Some(to)) if from.dimension == to.dimension => {
                to.from_base(from.to_base(value))
            }
            _ => value,
        }))
    }
}
