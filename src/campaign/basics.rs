//! The tables `[campaign]` and `[logs]`.
//!
//! In: two sections. Out: title, [`Chemistry`] and [`Logs`].
//! This module never opens a log.

use super::section::{At, Section};
use crate::chemistry::Formula;

/// What is made and what is followed.
#[derive(Debug, Clone)]
pub struct Chemistry {
    /// Formula of the product.
    pub product: Formula,
    /// Symbol of the element whose balance is followed.
    pub followed: String,
    /// Formula that assays of feed and residue are stated as.
    pub assay_as: Formula,
}

/// Which log a file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LogKind {
    /// One row a run.
    Runs,
    /// One row a lot of feed.
    Lots,
    /// One row a crop.
    Crops,
    /// One row a titre.
    Titres,
    /// One row a titrant or a standardisation.
    Titrants,
    /// One row a residue.
    Residues,
    /// One row a furnace reading.
    Readings,
}

impl LogKind {
    /// All logs, the runs first.
    pub const ALL: [LogKind; 7] = [
        LogKind::Runs,
        LogKind::Lots,
        LogKind::Crops,
        LogKind::Titres,
        LogKind::Titrants,
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
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decimal {
    /// `12.4`
    Point,
    /// `12,4`
    Comma,
}

/// Where the logs are and how they are written.
#[derive(Debug, Clone)]
pub struct Logs {
    /// Files of each log that is named.
    pub files: Vec<LogFiles>,
    /// Separator of the cells; found by itself when absent.
    pub separator: Option<char>,
    /// Decimal mark.
    pub decimal: Decimal,
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
    /// Whether any of the three keys is there, sound or not.
    pub fn is_there(&self) -> bool {
        !matches!(self, Declared::Nothing)
    }

    /// The chemistry, where it has no fault.
    pub fn sound(&self) -> Option<&Chemistry> {
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
}

pub(super) fn campaign(section: Section) -> Basics {
    let title = section.text("title");
    if title.is_none() {
        section.source.fault(
            section.position(),
            "`campaign.title` is missing".into(),
            "add `[campaign]` with `title = \"...\"`",
        );
    }
    let product = formula(&section, "product");
    let assay_as = formula(&section, "assay_as");
    let followed = section.text("followed");
    let given = section.own_names();
    let any = CHEMISTRY
        .iter()
        .any(|key| given.iter().any(|name| name.value == *key));
    let chemistry = match chemistry(&section, product, followed, assay_as) {
        Some(chemistry) => Declared::Sound(chemistry),
        None if any => Declared::Faulty,
        None => Declared::Nothing,
    };
    let purity_spec = section.number_within("purity_spec", 0.0, 1.0);
    section.finish();
    Basics {
        title: title.map(|t| t.value).unwrap_or_default(),
        chemistry,
        purity_spec,
    }
}

/// A formula under a key; its faults are noted.
pub(super) fn formula(section: &Section, key: &str) -> Option<At<Formula>> {
    let text = section.text(key)?;
    match Formula::parse(&text.value) {
        Ok(formula) => Some(At {
            value: formula,
            position: text.position,
        }),
        Err(error) => {
            section.source.fault(
                text.position,
                format!("`{}`: {}", section.path(key), error.message()),
                error.advice().unwrap_or_default(),
            );
            None
        }
    }
}

/// Keys that go together.
const CHEMISTRY: [&str; 3] = ["product", "followed", "assay_as"];

fn chemistry(
    section: &Section,
    product: Option<At<Formula>>,
    followed: Option<At<String>>,
    assay_as: Option<At<Formula>>,
) -> Option<Chemistry> {
    let given = |key: &str| section.own_names().iter().any(|name| name.value == key);
    if CHEMISTRY.iter().any(|key| given(key)) {
        for key in CHEMISTRY.iter().filter(|key| !given(key)) {
            section.source.fault(
                section.position(),
                format!("`campaign.{key}` is missing"),
                "`product`, `followed` and `assay_as` go together; leave all three out for a plain regression",
            );
        }
    }
    let (product, followed, assay_as) = (product?, followed?, assay_as?);
    for (key, formula) in [("product", &product.value), ("assay_as", &assay_as.value)] {
        if formula.atoms_of(&followed.value) == 0.0 {
            let elements: Vec<&str> = formula.elements().collect();
            section.source.fault(
                followed.position,
                format!(
                    "the followed element `{}` is not in `{key}`: `{}`",
                    followed.value,
                    formula.text()
                ),
                format!("its elements are {}", elements.join(", ")),
            );
        }
    }
    Some(Chemistry {
        product: product.value,
        followed: followed.value,
        assay_as: assay_as.value,
    })
}

pub(super) fn logs(section: Section) -> Logs {
    let mut files = Vec::new();
    let given = section.own_names();
    for kind in LogKind::ALL {
        let key = kind.key();
        match section.texts(key) {
            Some(patterns) if !patterns.is_empty() => files.push(LogFiles {
                kind,
                line: section.source.line(patterns[0].position),
                patterns: patterns.into_iter().map(|p| p.value).collect(),
            }),
            Some(_) if kind == LogKind::Runs => section.source.fault(
                section.position(),
                "`logs.runs` names no file".into(),
                "write `runs = \"runs.csv\"`",
            ),
            None if kind == LogKind::Runs && !given.iter().any(|name| name.value == key) => {
                section.source.fault(
                    section.position(),
                    "`logs.runs` is missing".into(),
                    "add `[logs]` with `runs = \"runs.csv\"`",
                )
            }
            _ => {}
        }
    }
    let separator = section.text("separator").and_then(|text| {
        let mut characters = text.value.chars();
        match (characters.next(), characters.next()) {
            (Some(c), None) if c.is_ascii() && !c.is_ascii_alphanumeric() && c != '"' => Some(c),
            _ => {
                section.source.fault(
                    text.position,
                    format!("`logs.separator` is `{}`", text.value),
                    "write one character: `,` `;` `|` or a tab, `\"\\t\"`",
                );
                None
            }
        }
    });
    let decimal = match section.text("decimal") {
        None => Decimal::Point,
        Some(text) => match text.value.as_str() {
            "." => Decimal::Point,
            "," => Decimal::Comma,
            other => {
                section.source.fault(
                    text.position,
                    format!("`logs.decimal` is `{other}`"),
                    "write `.` or `,`",
                );
                Decimal::Point
            }
        },
    };
    if decimal == Decimal::Comma && separator == Some(',') {
        section.source.fault(
            section.position(),
            "`logs.separator` and `logs.decimal` are both a comma".into(),
            "decimal commas need another separator, such as `;`",
        );
    }
    section.finish();
    Logs {
        files,
        separator,
        decimal,
    }
}
