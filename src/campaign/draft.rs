//! From the text of the campaign file to a campaign that can't be wrong.
//!
//! In: [`FileText`]. Out: [`Campaign`], or every fault of the file in one go.
//! This module never opens a file: the program hands it the text.

use std::cell::RefCell;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::basics::Declared;
use super::checked::{Campaign, ShelfLot};
use super::section::Section;
use super::source::{At, Source, values};
use super::{aims, basics, columns, factors, limits, model, money, titration, uncertainty};
use crate::error::{Error, ErrorKind, Faults};

/// A text file with the name that messages call it by.
#[derive(Debug, Clone)]
pub struct FileText {
    /// Name for messages.
    pub file: String,
    /// The whole text.
    pub text: String,
}

/// A campaign file that parses as TOML but may still be wrong.
#[derive(Debug, Clone)]
pub struct CampaignDraft {
    file: FileText,
}

impl CampaignDraft {
    /// Takes a text whose syntax is sound.
    ///
    /// # Errors
    /// Every fault of syntax, with its line.
    pub fn read(file: FileText) -> Result<Self, Faults> {
        let (table, errors) = DeTable::parse_recoverable(&file.text);
        let source = source(&file);
        let deep = too_deep(table.get_ref(), 1);
        // The library stops at a depth of its own, and says so in its own words.
        let is_of_depth = |error: &toml::de::Error| error.message().contains("recurs");
        let position = |error: &toml::de::Error| error.span().map_or(0, |span| span.start);
        let stopped = errors.iter().find(|error| is_of_depth(error));
        if let Some(place) = deep.or(stopped.map(position)) {
            source.fault(
                place,
                format!("lists and tables stand inside one another more than {DEEPEST} deep"),
                "write the value as `residuum start` shows it; nothing here nests further than a few brackets",
            );
        }
        for error in errors.iter().filter(|error| !is_of_depth(error)) {
            source.fault(
                position(error),
                format!(
                    "this is not TOML: {}",
                    error.message().trim_end_matches('.')
                ),
                "check quotes, brackets and doubled keys on that line",
            );
        }
        Faults::or(source.in_order(), ()).map(|()| CampaignDraft { file })
    }

    /// Checks every key and every relation between keys.
    ///
    /// # Errors
    /// All faults in one go, in the order of their lines.
    pub fn check(self) -> Result<Campaign, Faults> {
        let source = source(&self.file);
        let table = DeTable::parse(&self.file.text).map_err(|error| {
            Error::new(ErrorKind::Campaign, error.message()).in_file(&self.file.file)
        })?;
        let root = Section::root(&source, table.get_ref());
        let campaign = read_all(&root, &self.file.file);
        root.finish();
        Faults::or(source.in_order(), campaign)
    }
}

/// How deep lists and tables may stand inside one another.
const DEEPEST: usize = 32;

/// Where a list or a table stands deeper than that, the table given being at this depth.
fn too_deep(table: &DeTable, depth: usize) -> Option<usize> {
    let below = table.iter().map(|(_, value)| value);
    below.filter_map(|value| value_too_deep(value, depth)).min()
}

fn value_too_deep(value: &Spanned<DeValue>, depth: usize) -> Option<usize> {
    let is_deep = depth > DEEPEST;
    match value.get_ref() {
        DeValue::Table(_) | DeValue::Array(_) if is_deep => Some(value.span().start),
        DeValue::Table(table) => too_deep(table, depth + 1),
        DeValue::Array(list) => {
            let items = list.iter();
            items
                .filter_map(|item| value_too_deep(item, depth + 1))
                .min()
        }
        _ => None,
    }
}

/// The lots at hand.
fn shelf(section: &Section) -> Option<Vec<ShelfLot>> {
    let lots = section.texts("lots")?.into_iter();
    let lot = |lot: At<String>| ShelfLot {
        line: section.source.line(lot.position),
        lot: lot.value,
    };
    Some(lots.map(lot).collect())
}

fn source(file: &FileText) -> Source<'_> {
    Source {
        file: &file.file,
        text: &file.text,
        faults: RefCell::default(),
    }
}

fn read_all(root: &Section, file: &str) -> Campaign {
    let basics = root.table("campaign", basics::campaign);
    let chemistry = &basics.chemistry;
    let factors = root.by_name("factors", factors::factor);
    let responses = root.by_name("responses", factors::response);
    let own: &[&str] = match chemistry {
        Declared::Nothing => &[],
        Declared::Faulty | Declared::Sound(_) => &["yield", "purity"],
    };
    let declared = responses.iter().map(|response| response.name.as_str());
    let response_names: Vec<String> = own
        .iter()
        .copied()
        .chain(declared)
        .map(str::to_string)
        .collect();
    Campaign {
        file: file.to_string(),
        title: basics.title,
        purity_spec: basics.purity_spec,
        logs: root.table("logs", basics::logs),
        columns: root.table("columns", columns::columns),
        oxidant: root.table_if_there("oxidant", |section| factors::oxidant(section, chemistry)),
        model: root.table_if_there("model", |section| {
            model::model(section, &factors, &response_names)
        }),
        uncertainty: root.table("uncertainty", uncertainty::plan),
        titration: root.table_if_there("titration", |section| {
            titration::titration(section, chemistry)
        }),
        prices: root.table_if_there("prices", money::prices),
        recycling: root.table_if_there("recycling", money::recycling),
        solubility: root.table_if_there("solubility", aims::solubility),
        soak_above: root.table("readings", |readings| {
            readings.number_within("above", -273.15, 4000.0)
        }),
        shelf: root.table("shelf", shelf),
        aim: root.table("aim", |section| aims::aim(section, &response_names)),
        limits: root.table("limits", |section| limits::limits(section, &factors)),
        accepted: values(
            root.table("check", |check| check.texts("accept"))
                .unwrap_or_default(),
        ),
        drift: root.table("drift", |section| aims::drift(section, &response_names)),
        hazards: values(
            root.table("hazards", |hazards| hazards.texts("present"))
                .unwrap_or_default(),
        ),
        chemistry: basics.chemistry.sound(),
        factors,
        responses,
    }
}
