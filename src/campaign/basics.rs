//! Tables `[campaign]` and `[logs]`.
//!
//! In: two sections. Out: title, [`Chemistry`] and [`Logs`].
//! This module never opens a log.

use super::section::Section;
use super::source::{At, values};
use crate::chemistry::Formula;
use crate::error::Error;
use crate::measured::Distribution;

/// What is made and what is followed.
#[derive(Debug, Clone)]
pub struct Chemistry {
    /// Formula of the product.
    pub product: Formula,
    /// Symbol of the element whose balance is followed.
    pub followed: String,
    /// Formula that assays of feed and residue are stated as.
    pub assay_as: Formula,
    /// Lines of the campaign file with the product and with what assays are stated as.
    pub lines: [usize; 2],
}

/// Which log a file is.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum LogKind {
    /// One row a run.
    #[default]
    Runs,
    /// One row a lot of feed.
    Lots,
    /// One row a crop.
    Crops,
    /// One row a titre.
    Titres,
    /// One row a titrant or a standardisation.
    Titrants,
    /// One row a titration without sample.
    Blanks,
    /// One row a residue.
    Residues,
    /// One row a furnace reading.
    Readings,
}

impl LogKind {
    /// All logs, the runs first.
    pub const ALL: [LogKind; 8] = [
        LogKind::Runs,
        LogKind::Lots,
        LogKind::Crops,
        LogKind::Titres,
        LogKind::Titrants,
        LogKind::Blanks,
        LogKind::Residues,
        LogKind::Readings,
    ];

    /// Its key in `[logs]` and `[columns]`.
    pub fn key(self) -> &'static str {
        match self {
            LogKind::Runs => "runs",
            LogKind::Lots => "lots",
            LogKind::Crops => "crops",
            LogKind::Titres => "titres",
            LogKind::Titrants => "titrants",
            LogKind::Blanks => "blanks",
            LogKind::Residues => "residues",
            LogKind::Readings => "readings",
        }
    }
}

/// The files of one log, as paths or globs relative to the campaign file.
#[derive(Debug, Clone)]
pub struct LogFiles {
    /// Which log they are.
    pub kind: LogKind,
    /// Paths or globs.
    pub patterns: Vec<String>,
    /// Line of the campaign file that names them.
    pub line: usize,
}

/// The decimal mark of the logs.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Decimal {
    /// `12.4`
    #[default]
    Point,
    /// `12,4`
    Comma,
}

/// Order of day, month and year in dates of figures alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DateOrder {
    /// `18.1.2024`
    DayMonthYear,
    /// `1/18/2024`
    MonthDayYear,
    /// `2024/1/18`
    YearMonthDay,
}

impl DateOrder {
    /// All orders that people write.
    pub const ALL: [DateOrder; 3] = [
        DateOrder::DayMonthYear,
        DateOrder::MonthDayYear,
        DateOrder::YearMonthDay,
    ];

    /// How the key `dates` of `[logs]` says it.
    pub fn key(self) -> &'static str {
        match self {
            DateOrder::DayMonthYear => "d.m.y",
            DateOrder::MonthDayYear => "m.d.y",
            DateOrder::YearMonthDay => "y.m.d",
        }
    }

    /// The order that a text such as `d.m.y` or `dd/mm/yyyy` names.
    fn named(text: &str) -> Option<DateOrder> {
        let letters = text.chars().filter(|c| !matches!(c, '.' | '/' | '-' | ' '));
        let mut letters: Vec<char> = letters.map(|c| c.to_ascii_lowercase()).collect();
        letters.dedup();
        let is_it = |order: &DateOrder| {
            let key = order.key().chars().filter(|c| *c != '.');
            key.eq(letters.iter().copied())
        };
        DateOrder::ALL.into_iter().find(is_it)
    }
}

/// What the figure behind a `±` in a log is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlusMinusIs {
    /// A standard uncertainty, k = 1.
    Standard,
    /// Twice the standard uncertainty, k = 2, which covers about 95 %.
    Twice,
    /// The half-width of a range in which every value is as likely.
    Rectangular,
}

impl PlusMinusIs {
    /// Standard uncertainty, k = 1, of what stands behind `±`: the figure itself, half of it, or the figure over `√3`.
    ///
    /// # Source
    /// JCGM 100:2008, 4.3.3 (a stated multiple) and 4.3.7 (rectangular).
    pub fn standard_uncertainty(self, stated: f64) -> f64 {
        match self {
            PlusMinusIs::Standard => stated,
            PlusMinusIs::Twice => stated / 2.0,
            PlusMinusIs::Rectangular => Distribution::Rectangular.standard_uncertainty(stated),
        }
    }
}

/// Where the logs are and how they are written.
#[derive(Debug, Clone, Default)]
pub struct Logs {
    /// Files of each log that is named.
    pub files: Vec<LogFiles>,
    /// Separator of the cells; found by itself when absent.
    pub separator: Option<char>,
    /// Decimal mark.
    pub decimal: Decimal,
    /// Columns whose empty cells repeat the one above, by name or heading.
    pub as_above: Vec<AsAbove>,
    /// What stands behind `±` in a cell; a `±` is refused where the file does not say.
    pub plus_minus: Option<PlusMinusIs>,
    /// Order of dates of figures alone; found from each log where the file does not say.
    pub dates: Option<DateOrder>,
}

/// A column whose empty cells repeat the one above, as merged cells leave them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AsAbove {
    /// Its name or its heading.
    pub column: String,
    /// Line of the campaign file.
    pub line: usize,
}

/// What `[campaign]` says about the chemistry.
pub(super) enum Declared {
    /// Nothing: a plain regression on logged columns.
    Nothing,
    /// Something, but with faults that have been noted; what rests on it is no fault of its own.
    Faulty,
    /// All three of product, followed element and assay formula.
    Sound(Chemistry),
}

impl Declared {
    /// The chemistry, where it has no fault.
    pub fn sound(self) -> Option<Chemistry> {
        match self {
            Declared::Sound(chemistry) => Some(chemistry),
            Declared::Nothing | Declared::Faulty => None,
        }
    }
}

/// What `[campaign]` holds.
pub(super) struct Basics {
    pub title: String,
    pub chemistry: Declared,
    pub purity_spec: Option<f64>,
    pub by_difference: bool,
}

pub(super) fn campaign(section: &Section) -> Basics {
    let title = section.text("title");
    if title.is_none() {
        let hint = "add `[campaign]` with `title = \"...\"`";
        section.fault("`campaign.title` is missing", hint);
    }
    Basics {
        title: title.map(|t| t.value).unwrap_or_default(),
        chemistry: chemistry(section),
        purity_spec: section.number_within("purity_spec"),
        by_difference: section.one_of("purity_by", [false, true]),
    }
}

/// A formula under a key; its faults are noted.
pub(super) fn formula(section: &Section, key: &str) -> Option<At<Formula>> {
    let At { value, position } = section.text(key)?;
    let note = |error: Error| {
        let what = format!("`{}`: {}", section.path(key), error.message());
        let hint = error.advice().unwrap_or_default();
        section.source.fault(position, what, hint);
    };
    let value = Formula::parse(&value).map_err(note).ok()?;
    Some(At { value, position })
}

/// Keys that go together.
const CHEMISTRY: [&str; 3] = ["product", "followed", "assay_as"];

fn chemistry(section: &Section) -> Declared {
    let product = formula(section, "product");
    let assay_as = formula(section, "assay_as");
    let followed = section.text("followed");
    if !CHEMISTRY.iter().any(|key| section.has(key)) {
        return Declared::Nothing;
    }
    for key in CHEMISTRY.iter().filter(|key| !section.has(key)) {
        let hint = "`product`, `followed` and `assay_as` go together; leave all three out for a plain regression";
        section.fault(format!("`campaign.{key}` is missing"), hint);
    }
    let (Some(product), Some(followed), Some(assay_as)) = (product, followed, assay_as) else {
        return Declared::Faulty;
    };
    for (key, formula) in [("product", &product.value), ("assay_as", &assay_as.value)] {
        if formula.atoms_of(&followed.value) == 0.0 {
            let elements: Vec<&str> = formula.elements().collect();
            let (element, text) = (&followed.value, formula.text());
            let what = format!("the followed element `{element}` is not in `{key}`: `{text}`");
            let hint = format!("its elements are {}", elements.join(", "));
            section.source.fault(followed.position, what, hint);
        }
    }
    Declared::Sound(Chemistry {
        lines: [&product, &assay_as].map(|formula| section.source.line(formula.position)),
        product: product.value,
        followed: followed.value,
        assay_as: assay_as.value,
    })
}

pub(super) fn logs(section: &Section) -> Logs {
    let mut files = Vec::new();
    for kind in LogKind::ALL {
        let key = kind.key();
        let patterns = section.texts(key);
        if let Some(first) = patterns.as_ref().and_then(|patterns| patterns.first()) {
            files.push(LogFiles {
                kind,
                line: section.source.line(first.position),
                patterns: values(patterns.unwrap_or_default()),
            });
        } else if kind == LogKind::Runs && patterns.is_some() {
            section.fault("`logs.runs` names no file", "write `runs = \"runs.csv\"`");
        } else if kind == LogKind::Runs && !section.has(key) {
            let hint = "add `[logs]` with `runs = \"runs.csv\"`";
            section.fault("`logs.runs` is missing", hint);
        }
    }
    let separator = section.meaning("separator", |text| {
        let mut characters = text.chars();
        match (characters.next(), characters.next()) {
            (Some(c), None) if c.is_ascii() && !c.is_ascii_alphanumeric() && c != '"' => Ok(c),
            _ => Err("write one character: `,` `;` `|` or a tab, `\"\\t\"`"),
        }
    });
    let decimal = section.one_of("decimal", [Decimal::Point, Decimal::Comma]);
    if decimal == Decimal::Comma && separator == Some(',') {
        let what = "`logs.separator` and `logs.decimal` are both a comma";
        section.fault(what, "decimal commas need another separator, such as `;`");
    }
    let as_above = section.texts("as_above").unwrap_or_default().into_iter();
    let as_above = as_above.map(|column| AsAbove {
        line: section.source.line(column.position),
        column: column.value,
    });
    let plus_minus = section.meaning("plus_minus", |text| match text.replace(' ', "").as_str() {
        "standard" => Ok(PlusMinusIs::Standard),
        "k=2" => Ok(PlusMinusIs::Twice),
        "rectangular" => Ok(PlusMinusIs::Rectangular),
        _ => Err("write `standard` for k = 1, `k=2` for 95 %, or `rectangular` for a half-width"),
    });
    let dates = section.meaning("dates", |text| {
        DateOrder::named(text).ok_or("write `d.m.y`, `m.d.y` or `y.m.d`")
    });
    Logs {
        files,
        separator,
        decimal,
        as_above: as_above.collect(),
        plus_minus,
        dates,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_order_of_dates_is_named_with_any_separator() {
        for text in ["d.m.y", "D/M/Y", "dd-mm-yyyy", "d m y", "dmy"] {
            assert_eq!(
                DateOrder::named(text),
                Some(DateOrder::DayMonthYear),
                "{text}"
            );
        }
        for text in ["", "d.m", "y.d.m", "iso", "d.m.y.d"] {
            assert_eq!(DateOrder::named(text), None, "{text}");
        }
    }

    #[test]
    fn what_stands_behind_plus_minus_becomes_a_standard_uncertainty() {
        // JCGM 100:2008, 4.3.3 and 4.3.7.
        assert_eq!(PlusMinusIs::Standard.standard_uncertainty(0.4), 0.4);
        assert_eq!(PlusMinusIs::Twice.standard_uncertainty(0.4), 0.2);
        let rectangular = PlusMinusIs::Rectangular.standard_uncertainty(0.4);
        assert!((rectangular - 0.4 / 3f64.sqrt()).abs() < 1e-15);
    }
}
