//! What stood on the shelf: lots of feed and titrants.
//!
//! In: tables. Out: [`LotRow`], [`TitrantRow`].
//! This module never averages two rows.

use super::Logged;
use super::assays::{MIXED_UP, middle, times_off};
use super::crops::NOTHING_TITRATED;
use super::rows::{LoggedDate, LoggedNumber, RowReader};
use super::runs_log::NO_CONTENT;
use super::table::Table;
use crate::campaign::Campaign;
use crate::chemistry::Formula;
use crate::error::{Error, ErrorKind};

/// One lot of feed.
#[derive(Debug, Clone)]
pub struct LotRow {
    /// The log.
    pub file: String,
    /// Line of the log.
    pub line: usize,
    /// Name of the lot.
    pub lot: String,
    /// Assay [mass fraction]; `None` when the row could not be used.
    pub assay: Option<LoggedNumber>,
    /// Price as written: a figure per kilogram, or a figure with what it is per.
    pub price: Option<String>,
    /// Impurities that use up oxidant, in the order of the campaign file [mass fraction].
    pub impurities: Vec<LoggedNumber>,
}

/// One titrant, given or standardised.
#[derive(Debug, Clone)]
pub struct TitrantRow {
    /// The log.
    pub file: String,
    /// Line of the log.
    pub line: usize,
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
        /// Standard weighed in [g].
        mass: LoggedNumber,
        /// Purity of the standard [mass fraction].
        purity: Option<LoggedNumber>,
        /// Moles of titrant per mole of standard.
        ratio: f64,
        /// Titrant used [mL].
        titre: LoggedNumber,
        /// Titrant used without standard [mL].
        blank: Option<LoggedNumber>,
        /// Fraction of the dissolved standard that was titrated.
        aliquot: Option<LoggedNumber>,
    },
}

/// A row of the titrants log whose strength could not be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnusableTitrant {
    /// The log.
    pub file: String,
    /// Line of the log.
    pub line: usize,
    /// Name of the titrant.
    pub titrant: String,
}

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
    for impurity in impurities.clone() {
        if table.column(&impurity.column).is_none() {
            stops.push(
                Error::new(
                    ErrorKind::MissingColumn,
                    format!(
                        "column `{}` is missing in `{}`, which `[oxidant] impurities` asks for",
                        impurity.column, table.file
                    ),
                )
                .at(&table.file, 1, &impurity.column)
                .hint("add it with mass fractions, or take it out of the campaign file"),
            );
        }
    }
    let middle = middle(
        table
            .rows()
            .filter_map(|reader| reader.number("assay"))
            .map(|number| number.value),
    );
    for reader in table.rows() {
        let Some(lot) = reader.needed("lot", reader.text("lot")) else {
            reader.finish::<()>(None, &mut logged.left_out, None);
            continue;
        };
        if logged.lots.iter().any(|known| known.lot == lot) {
            stops.push(
                Error::new(
                    ErrorKind::DuplicatedRun,
                    format!(
                        "lot `{lot}` in `{}` line {} stands there already",
                        table.file,
                        reader.line()
                    ),
                )
                .at(&table.file, reader.line(), "lot")
                .hint("each lot has one row"),
            );
        }
        let assay = reader.needed("assay", reader.fraction("assay"));
        if let Some(assay) = assay {
            let assay = reader.above_zero("assay", assay, NO_CONTENT);
            if let (Some(assay), Some(middle)) = (assay, middle)
                && let Some(off) = times_off(assay.value, middle)
            {
                let text = reader.text("assay").unwrap_or_default();
                reader.fault(
                    "assay",
                    ErrorKind::OutOfRange,
                    &format!("is {off} off the other lots: `{text}`"),
                    MIXED_UP,
                );
            }
        }
        let impurity_numbers: Vec<LoggedNumber> = impurities
            .clone()
            .map(|impurity| {
                if reader.text(&impurity.column).is_none() {
                    reader.fault(
                        &impurity.column,
                        ErrorKind::Missing,
                        "is empty",
                        "write the mass fraction, 0 where there is none",
                    );
                }
                reader
                    .own_fraction(&impurity.column)
                    .unwrap_or(LoggedNumber {
                        value: 0.0,
                        uncertainty: None,
                    })
            })
            .collect();
        let row = LotRow {
            file: table.file.clone(),
            line: reader.line(),
            lot,
            assay,
            price: reader.text("price"),
            impurities: impurity_numbers,
        };
        let spoilt = LotRow {
            assay: None,
            ..row.clone()
        };
        let sound = reader.finish(None, &mut logged.left_out, Some(row));
        logged.lots.push(sound.unwrap_or(spoilt));
    }
}

pub(super) fn read_titrants(table: &Table, logged: &mut Logged) {
    for reader in table.rows() {
        let titrant = reader.needed("titrant", reader.text("titrant"));
        let strength = strength(&reader);
        let line = reader.line();
        let date = reader.date("date");
        let row = titrant
            .clone()
            .zip(strength)
            .map(|(titrant, strength)| TitrantRow {
                file: table.file.clone(),
                line,
                titrant,
                date,
                strength,
            });
        match reader.finish(None, &mut logged.left_out, row) {
            Some(row) => logged.titrants.push(row),
            None => logged
                .unusable_titrants
                .extend(titrant.map(|titrant| UnusableTitrant {
                    file: table.file.clone(),
                    line,
                    titrant,
                })),
        }
    }
}

fn strength(reader: &RowReader) -> Option<TitrantStrength> {
    if reader.text("concentration").is_some() {
        return reader.positive("concentration").map(TitrantStrength::Given);
    }
    let formula = reader.needed("standard", reader.text("standard"))?;
    let standard = match Formula::parse(&formula) {
        Ok(standard) => Some(standard),
        Err(error) => {
            reader.fault(
                "standard",
                ErrorKind::Formula,
                &format!("is no formula: {}", error.message()),
                error.advice().unwrap_or_default(),
            );
            None
        }
    };
    let mass = reader.needed("standard_mass", reader.positive("standard_mass"));
    let titre = reader.needed("titre", reader.positive("titre"));
    let ratio = reader
        .positive("standard_ratio")
        .map_or(1.0, |ratio| ratio.value);
    let purity = reader.fraction("standard_purity").and_then(|purity| {
        reader.above_zero(
            "standard_purity",
            purity,
            "a standard without content sets no titre; leave the cell empty for a pure one",
        )
    });
    let blank = reader.not_negative("blank");
    if let (Some(titre), Some(blank)) = (titre, blank)
        && blank.value >= titre.value
    {
        let text = reader.text("blank").unwrap_or_default();
        reader.fault(
            "blank",
            ErrorKind::OutOfRange,
            &format!("is not below the titre: `{text}`"),
            "what is left of the titre without the blank is what the standard used up; check both",
        );
    }
    let aliquot = reader
        .fraction("aliquot")
        .and_then(|part| reader.above_zero("aliquot", part, NOTHING_TITRATED));
    Some(TitrantStrength::Standardised {
        standard: standard?,
        mass: mass?,
        purity,
        ratio,
        titre: titre?,
        blank,
        aliquot,
    })
}
