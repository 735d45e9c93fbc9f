//! From the text of the campaign file to a campaign that can't be wrong.
//!
//! In: [`FileText`]. Out: [`Campaign`], or every fault of the file in one go, with what could be read beside them.
//! This module never opens a file: the program hands it the text.

use std::cell::RefCell;
use std::collections::BTreeSet;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::basics::Declared;
use super::checked::{Campaign, ShelfLot};
use super::limits::Limits;
use super::section::Section;
use super::source::{At, Source, values};
use super::{
    aims, basics, columns, factors, ignition, impurities, limits, model, money, routes, second,
    titration, uncertainty,
};
use crate::error::{Error, Faults};

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
        let source = source(&file);
        parsed(&source);
        Faults::or(source.in_order(), ()).map(|()| CampaignDraft { file })
    }

    /// Checks every key and every relation between keys.
    ///
    /// # Errors
    /// All faults in one go, in the order of their lines.
    pub fn check(self) -> Result<Campaign, Faults> {
        let readable = readable(&self.file);
        Faults::or(readable.faults, readable.campaign)
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
            let deep = |item| value_too_deep(item, depth + 1);
            list.iter().filter_map(deep).min()
        }
        _ => None,
    }
}

/// A campaign file as far as it can be read, whatever is wrong with it.
#[derive(Debug, Clone)]
pub struct Readable {
    /// What it says: tables that others rest on are left out where they hold a fault, and so is everything that is fitted.
    pub campaign: Campaign,
    /// All faults, in the order of their lines; without any, nothing is left out.
    pub faults: Vec<Error>,
    /// Whether headings of the user's own may have been lost.
    pub headings_lost: bool,
    /// Whether it may have been lost which logs there are, and how they are written.
    pub logs_lost: bool,
}

/// Reads a campaign file as far as it can be read.
pub fn readable(file: &FileText) -> Readable {
    let source = source(file);
    let table = parsed(&source);
    // What is no TOML may have swallowed anything near it: faults of keys would only follow from it.
    let mut of_syntax = source.faults.take();
    of_syntax.sort_by_key(Error::line);
    let root = Section::root(&source, table.get_ref());
    let mut campaign = read_all(&root, &file.file);
    let mistyped = root.mistyped();
    root.finish();
    let mut faulty = source.faulty.take();
    faulty.extend(mistyped);
    let mut faults = source.in_order();
    let mut is_anywhere = false;
    if !of_syntax.is_empty() {
        for fault in &of_syntax {
            match table_around(&file.text, fault.line().unwrap_or_default()) {
                Some(table) => faulty.push(table.to_string()),
                None => is_anywhere = true,
            }
        }
        faults = of_syntax;
    }
    let is_faulty = |table: &str| {
        let below = |path: &String| path == table || path.starts_with(&format!("{table}."));
        is_anywhere || faulty.iter().any(below)
    };
    if !faults.is_empty() {
        leave_out_faulty(&mut campaign, &is_faulty);
    }
    Readable {
        headings_lost: is_faulty("columns"),
        logs_lost: is_faulty("logs"),
        campaign,
        faults,
    }
}

/// Leaves out what stands in a faulty table, what rests on it, and the models.
fn leave_out_faulty(campaign: &mut Campaign, is_faulty: &dyn Fn(&str) -> bool) {
    let no_oxidant = is_faulty("oxidant");
    campaign.factors.retain(|factor| {
        let is_excess = factor.name == "oxidant_excess" && no_oxidant;
        !is_excess && !is_faulty(&format!("factors.{}", factor.name))
    });
    let responses = &mut campaign.responses;
    responses.retain(|of| !is_faulty(&format!("responses.{}", of.name)));
    if no_oxidant {
        campaign.oxidant = None;
    }
    if is_faulty("titration") {
        campaign.titration = None;
    }
    if is_faulty("factors") || is_faulty("limits") {
        campaign.limits = Limits::default();
    }
    if is_faulty("factors") || is_faulty("prices") {
        campaign.prices = None;
    }
    if is_faulty("shelf") {
        campaign.shelf = None;
    }
    campaign.model = None;
}

/// The name of the table that a line stands in; none above the first and on the line of a heading.
fn table_around(text: &str, line: usize) -> Option<&str> {
    let lines: Vec<&str> = text.lines().take(line).map(str::trim).collect();
    let is_heading = |line: &&&str| line.starts_with('[');
    let heading = lines.iter().rev().find(is_heading)?;
    let is_on_it = lines.last().is_some_and(|last| is_heading(&last));
    (!is_on_it).then(|| heading.trim_matches(['[', ']', ' ']))
}

/// The table that a text holds, as far as it is TOML; what is none is noted.
fn parsed<'a>(source: &Source<'a>) -> Spanned<DeTable<'a>> {
    let (table, errors) = DeTable::parse_recoverable(source.text);
    let deep = too_deep(table.get_ref(), 1);
    // The library stops at a depth of its own, and says so in its own words.
    let is_of_depth = |error: &toml::de::Error| error.message().contains("recurs");
    let position = |error: &toml::de::Error| error.span().map_or(0, |span| span.start);
    let stopped = errors.iter().find(|error| is_of_depth(error));
    if let Some(place) = deep.or(stopped.map(position)) {
        let what = format!("lists and tables stand inside one another more than {DEEPEST} deep");
        let hint = "write the value as `residuum start` shows it; nothing here nests further than a few brackets";
        source.fault(place, what, hint);
    }
    // The first of a line is what can be mended; what follows it there mostly comes from it.
    let mut told = BTreeSet::new();
    for error in errors.iter().filter(|error| !is_of_depth(error)) {
        if !told.insert(source.line(position(error))) {
            continue;
        }
        let message = error.message().trim_end_matches('.');
        let what = format!("this is not TOML: {message}");
        let hint = "check quotes, brackets and doubled keys on that line";
        source.fault(position(error), what, hint);
    }
    table
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
        faulty: RefCell::default(),
    }
}

fn read_all(root: &Section, file: &str) -> Campaign {
    let basics = root.table("campaign", basics::campaign);
    let chemistry = &basics.chemistry;
    let factors = root.by_name("factors", factors::factor);
    let responses = root.by_name("responses", factors::response);
    factors::told_apart(root.source, &factors, &responses);
    let own: &[&str] = match chemistry {
        Declared::Nothing => &[],
        Declared::Faulty | Declared::Sound(_) => &["yield", "purity"],
    };
    let declared = responses.iter().map(|response| response.name.as_str());
    let names = own.iter().copied().chain(declared);
    let response_names: Vec<String> = names.map(str::to_string).collect();
    if basics.by_difference && !root.has("impurities") {
        let what = "`campaign.purity_by` is `difference`, and no impurity is declared";
        let hint = "name each one that is looked for, such as `[impurities.Fe]`, with its column in the crops log";
        root.table("campaign", |campaign| campaign.fault(what, hint));
    }
    let prices = root.table_if_there("prices", money::prices);
    let texts = |table, key| values(root.table(table, |of| of.texts(key)).unwrap_or_default());
    Campaign {
        file: file.to_string(),
        title: basics.title,
        purity_spec: basics.purity_spec,
        by_difference: basics.by_difference,
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
        ignition: root.table_if_there("ignition", |section| ignition::ignition(section, chemistry)),
        recycling: root.table_if_there("recycling", |section| {
            money::recycling(section, &responses, prices.as_ref())
        }),
        second: root.by_name("second", |section, name| {
            second::second(section, name, chemistry, prices.as_ref())
        }),
        prices,
        solubility: root.table_if_there("solubility", aims::solubility),
        routes: root.by_name("routes", |section, name| {
            routes::route(section, name, chemistry)
        }),
        impurities: root.by_name("impurities", impurities::impurity),
        soak_above: root.table("readings", |readings| readings.number_within("above")),
        shelf: root.table("shelf", shelf),
        aim: root.table("aim", |section| aims::aim(section, &response_names)),
        limits: root.table("limits", |section| limits::limits(section, &factors)),
        accepted: texts("check", "accept"),
        drift: root.table("drift", |section| aims::drift(section, &response_names)),
        hazards: texts("hazards", "present"),
        chemistry: basics.chemistry.sound(),
        factors,
        responses,
    }
}
