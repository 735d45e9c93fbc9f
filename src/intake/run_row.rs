//! One row of the runs log, cell by cell.
//!
//! In: a table and its rows. Out: [`RunRow`]s.
//! This module never judges whether a charge makes sense beyond its sign and range.

use std::collections::BTreeMap;

use super::cell_words::is_reason;
use super::columns::{FlatColumn, flat};
use super::headings::Head;
use super::logged::{FlatCrop, LotShare, RunRow};
use super::marks::Marks;
use super::number::plain;
use super::planned::Telling;
use super::rows::RowReader;
use super::stock::NO_CONTENT;
use super::table::{Column, Table};
use crate::campaign::{Campaign, Decimal, FactorPlan, LOT};
use crate::error::ErrorKind;

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
fn share(text: &str, marks: Marks) -> Option<f64> {
    let percent = text.strip_suffix('%');
    let figure = percent.unwrap_or(text).trim();
    let with_point = Marks {
        decimal: Decimal::Point,
        thousands: false,
        ..marks
    };
    let value = plain(figure, marks).or_else(|_| plain(figure, with_point));
    let value = value.ok().filter(|value| *value > 0.0)?;
    Some(percent.map_or(value, |_| value / 100.0))
}

/// Shares of so many names, which add up to 1; what does not fit them is told.
fn shares(reader: &RowReader, column: Column, names: usize, what: &str) -> Vec<f64> {
    let fault = |kind, what: &str, hint: &str| reader.fault(column, kind, what, hint);
    let mut shares: Vec<f64> = Vec::new();
    for text in reader.list(column) {
        let share = share(text, reader.table.written.marks);
        if share.is_none() {
            let hint =
                "write shares above zero with `;` between them, such as `0.6;0.4` or `60 %;40 %`";
            let what = format!("is not a share: `{text}`");
            fault(ErrorKind::NotANumber, &what, hint);
        }
        shares.extend(share);
    }
    let mut total: f64 = shares.iter().sum();
    if (total - 100.0).abs() <= 100.0 * shares_off(shares.len()) {
        shares.iter_mut().for_each(|share| *share /= 100.0);
        total /= 100.0;
    }
    let shares_needed = names != 1 || !shares.is_empty();
    if shares_needed && shares.len() != names {
        let one = what.trim_end_matches('s');
        let what = format!("names {} shares for {names} {what}", shares.len());
        let hint = format!("write one share a {one}, such as `0.6;0.4`");
        fault(ErrorKind::Missing, &what, &hint);
    } else if !shares.is_empty() && (total - 1.0).abs() > shares_off(shares.len()) {
        // Six decimals show any slip, and hide what binary fractions add.
        let off = format!("adds up to {}", (1e6 * total).round() / 1e6);
        let hint = format!("the shares of the {what} of a run add up to 1, or to 100 %");
        fault(ErrorKind::OutOfRange, &off, &hint);
    }
    shares.iter_mut().for_each(|share| *share /= total);
    match names {
        1 => vec![1.0],
        _ => shares,
    }
}

/// The columns of a runs log, sought once for all rows.
pub(super) struct Columns<'t> {
    campaign: &'t Campaign,
    pub lot: Column<'t>,
    lot_share: Column<'t>,
    pub feed_mass: Column<'t>,
    residue_from: Column<'t>,
    residue_share: Column<'t>,
    liquor_from: Column<'t>,
    set_aside: Column<'t>,
    date: Column<'t>,
    /// Columns of choices other than the lot.
    choices: Vec<(&'t FactorPlan, Column<'t>)>,
    crops: Vec<(u32, FlatColumn, Column<'t>)>,
    telling: Telling<'t>,
    fractions: [Column<'t>; 4],
    amounts: [Column<'t>; 7],
}

impl<'t> Columns<'t> {
    pub fn of(campaign: &'t Campaign, table: &'t Table) -> Columns<'t> {
        let choices = campaign.factors.iter();
        let choices = choices.filter(|plan| plan.is_choice() && plan.column() != LOT);
        let choices = choices.map(|plan| (plan, table.column(plan.column())));
        let flat_crop = |head: &'t Head| {
            let (what, number) = flat(&head.name)?;
            Some((number, what, table.column(&head.name)))
        };
        Columns {
            campaign,
            lot: table.column(LOT),
            lot_share: table.column("lot_share"),
            feed_mass: table.column("feed_mass"),
            residue_from: table.column("residue_from"),
            residue_share: table.column("residue_share"),
            liquor_from: table.column("liquor_from"),
            set_aside: table.column("set_aside"),
            date: table.column("date"),
            choices: choices.collect(),
            crops: table.heads.iter().filter_map(flat_crop).collect(),
            telling: Telling::of(campaign, table),
            fractions: table.columns(["feed_assay", "residue_assay", "purity", "residue_moisture"]),
            amounts: table.columns([
                "oxidant_mass",
                "residue_mass",
                "labour",
                "liquor_volume",
                "liquor_conc",
                "liquor_in",
                "liquor_in_conc",
            ]),
        }
    }

    pub fn row(&self, reader: &RowReader, run: String) -> RunRow {
        let set_aside = self.set_aside(reader);
        self.levels(reader);
        let needs_charge = self.campaign.chemistry.is_some() && set_aside.is_none();
        let feed_mass = reader.positive(self.feed_mass);
        let [assay, residue_assay, purity, residue_moisture] = self.fractions;
        let feed_assay = reader.fraction(assay);
        let [
            oxidant_mass,
            residue_mass,
            labour,
            liquor_volume,
            liquor_conc,
            liquor_in,
            liquor_in_conc,
        ] = self.amounts;
        let residue_from = || reader.names(self.residue_from).into_iter();
        RunRow {
            is_open: self.telling.is_open(reader),
            place: reader.place(),
            run,
            date: reader.date(self.date),
            lots: self.lots(reader),
            feed_mass: match needs_charge {
                true => reader.needed(self.feed_mass, feed_mass),
                false => feed_mass,
            },
            feed_assay: reader.above_zero(assay, feed_assay, NO_CONTENT),
            oxidant_mass: reader.not_negative(oxidant_mass),
            residue_mass: reader.not_negative(residue_mass),
            residue_shares: match reader.text(self.residue_share) {
                None => Vec::new(),
                Some(_) => shares(
                    reader,
                    self.residue_share,
                    residue_from().count(),
                    "residues",
                ),
            },
            residue_from: residue_from().map(str::to_string).collect(),
            residue_assay: reader.fraction(residue_assay),
            residue_moisture: reader.fraction(residue_moisture),
            liquor_in: reader.not_negative(liquor_in),
            liquor_from: {
                let names = reader.names(self.liquor_from).into_iter();
                names.map(str::to_string).collect()
            },
            liquor_in_conc: reader.not_negative(liquor_in_conc),
            labour: reader.not_negative(labour),
            liquor_volume: reader.not_negative(liquor_volume),
            liquor_conc: reader.not_negative(liquor_conc),
            set_aside,
            purity: reader.purity(purity),
            crops: self.flat_crops(reader),
            withheld: Vec::new(),
        }
    }

    /// Why a run is set aside; a word that is no reason is a fault.
    fn set_aside(&self, reader: &RowReader) -> Option<String> {
        let text = reader.text(self.set_aside)?;
        if is_reason(text) {
            return Some(text.to_string());
        }
        let hint = "leave the cell empty to keep the run, or write the reason that sets it aside";
        let kind = ErrorKind::OutOfRange;
        reader.refuse(self.set_aside, kind, "is no reason", hint)
    }

    /// Notes cells of choices that hold a word for nothing which the campaign file does not declare as a level, or what nobody sees.
    fn levels(&self, reader: &RowReader) {
        for (plan, column) in &self.choices {
            let Some(text) = reader.text(*column) else {
                continue;
            };
            if !plan.declares(text) && plan.meant_by(text).is_none() {
                reader.is_name(*column, text, || {
                    format!(
                        "leave the cell empty, or list the level: `levels = [\"{text}\"]` under `[factors.{}]`",
                        plan.name
                    )
                });
            }
        }
    }

    fn lots(&self, reader: &RowReader) -> Vec<LotShare> {
        let lot = |lot: &str, share| LotShare {
            lot: self.campaign.level_of(LOT, lot).to_string(),
            share,
        };
        let texts = [self.lot, self.lot_share].map(|column| reader.text(column));
        // One lot without a share, as in nearly all rows.
        if let [Some(only), None] = texts
            && !only.contains(';')
        {
            let name = reader.name_text(self.lot).into_iter();
            return name.map(|name| lot(name, 1.0)).collect();
        }
        let lots = reader.names(self.lot);
        let shares = shares(reader, self.lot_share, lots.len(), "lots");
        let pairs = lots.into_iter().zip(shares);
        pairs.map(|(name, share)| lot(name, share)).collect()
    }

    fn flat_crops(&self, reader: &RowReader) -> Vec<FlatCrop> {
        let mut crops: BTreeMap<u32, FlatCrop> = BTreeMap::new();
        for (number, what, column) in &self.crops {
            let crop = crops.entry(*number).or_default();
            crop.crop = *number;
            match what {
                FlatColumn::Mass => crop.mass = reader.not_negative(*column),
                FlatColumn::Purity => crop.purity = reader.purity(*column),
                FlatColumn::Moisture => crop.moisture = reader.fraction(*column),
            }
        }
        for crop in crops.values() {
            if crop.mass.is_none() && (crop.purity.is_some() || crop.moisture.is_some()) {
                let name = format!("crop{}_mass", crop.crop);
                let hint = "write its mass, `0` where there was none";
                let what = "is empty, though more is logged of that crop";
                reader.fault(reader.table.column(&name), ErrorKind::Missing, what, hint);
            }
        }
        crops.retain(|_, crop| crop.mass.is_some());
        crops.into_values().collect()
    }
}
