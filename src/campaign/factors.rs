//! Tables `[factors.*]`, `[responses.*]` and `[oxidant]`.
//!
//! In: sections. Out: [`FactorPlan`], [`ResponsePlan`], [`Oxidant`].
//! This module never knows which levels or values the log holds.

use super::basics::{Declared, formula};
use super::keys::LARGEST;
use super::same_as::{Spelling, same_as};
use super::section::Section;
use super::source::{At, Source};
use crate::chemistry::Formula;

/// The column of the runs log that names the lot of feed, which is a choice whether or not it is declared.
pub const LOT: &str = "lot";

/// What a factor stands for beyond its name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StandsFor {
    /// The recovery route.
    Route,
    /// Residue fed forward, per unit of fresh feed.
    Residue,
    /// Mother liquor carried on, per unit of fresh feed.
    Liquor,
}

/// Something varied on purpose.
#[derive(Debug, Clone)]
pub struct FactorPlan {
    /// Its name, which is also its column unless `column` says otherwise.
    pub name: String,
    /// What prose and charts call it, when not the name.
    pub called: Option<String>,
    /// Column of the runs log, when not the name.
    pub column: Option<String>,
    /// Amount or choice.
    pub kind: FactorKind,
    /// Spellings of the log that mean one level of a choice.
    pub same_as: Vec<Spelling>,
    /// What it stands for.
    pub stands_for: Option<StandsFor>,
    /// Line of the campaign file.
    pub line: usize,
}

impl FactorPlan {
    /// Its column of the runs log.
    pub fn column(&self) -> &str {
        self.column.as_deref().unwrap_or(&self.name)
    }

    /// Declared ends of an amount, low and high; none of a choice.
    pub fn limits(&self) -> [Option<f64>; 2] {
        match self.kind {
            FactorKind::Amount { low, high, .. } => [low, high],
            FactorKind::Choice { .. } => [None, None],
        }
    }

    /// Whether it has named levels.
    pub fn is_choice(&self) -> bool {
        matches!(self.kind, FactorKind::Choice { .. })
    }

    /// The level that a text of the log means where it is a spelling of one.
    pub fn meant_by(&self, text: &str) -> Option<&str> {
        let mut spellings = self.same_as.iter();
        let found = spellings.find(|spelling| spelling.text == text);
        found.map(|spelling| spelling.level.as_str())
    }

    /// The levels that `baseline` and `levels` name.
    pub fn named_levels(&self) -> impl Iterator<Item = &str> {
        let (baseline, levels) = match &self.kind {
            FactorKind::Choice {
                baseline, levels, ..
            } => (baseline.as_deref(), levels.as_slice()),
            FactorKind::Amount { .. } => (None, Default::default()),
        };
        let levels = levels.iter().map(String::as_str);
        baseline.into_iter().chain(levels)
    }

    /// Whether the campaign file names a level, by itself or with its spellings.
    pub fn declares(&self, level: &str) -> bool {
        let mut spellings = self.same_as.iter();
        let is_named = self.named_levels().any(|known| known == level);
        is_named || spellings.any(|spelling| spelling.level == level)
    }
}

/// Number or named levels.
#[derive(Debug, Clone)]
pub enum FactorKind {
    /// A number.
    Amount {
        /// Unit of its values.
        unit: Option<String>,
        /// Low end of the region in which settings may be recommended.
        low: Option<f64>,
        /// High end of that region.
        high: Option<f64>,
        /// Values this close count as replicates.
        same_within: Option<f64>,
    },
    /// Named levels.
    Choice {
        /// Level that the others are compared with.
        baseline: Option<String>,
        /// Levels that further runs may have besides those logged.
        levels: Vec<String>,
        /// Largest fraction of theory that each level's stoichiometry allows.
        ceiling: Vec<Ceiling>,
    },
}

/// Ceiling of one level.
#[derive(Debug, Clone)]
pub struct Ceiling {
    /// The level.
    pub level: String,
    /// Largest fraction of theory.
    pub fraction: f64,
    /// Line of the campaign file.
    pub line: usize,
}

/// A column of the runs log that is a response.
#[derive(Debug, Clone)]
pub struct ResponsePlan {
    /// Its name in models and data.
    pub name: String,
    /// What prose and charts call it, when not the name.
    pub called: Option<String>,
    /// Its column.
    pub column: String,
    /// Its unit.
    pub unit: Option<String>,
    /// Line of the campaign file.
    pub line: usize,
}

/// The oxidant and what it is needed for.
#[derive(Debug, Clone)]
pub struct Oxidant {
    /// Its formula.
    pub formula: Formula,
    /// Its assay [mass fraction].
    pub assay: f64,
    /// Electrons taken up by one formula unit.
    pub electrons: f64,
    /// Electrons given per followed atom charged.
    pub needed: f64,
    /// Impurities of the feed that use up oxidant too.
    pub impurities: Vec<OxidantImpurity>,
}

/// An impurity that uses up oxidant.
#[derive(Debug, Clone)]
pub struct OxidantImpurity {
    /// Column of the lots log with its mass fraction.
    pub column: String,
    /// Its formula.
    pub formula: Formula,
    /// Electrons given by one formula unit.
    pub electrons: f64,
}

pub(super) fn factor(factors: &Section, name: At<String>) -> Option<FactorPlan> {
    factors.table_if_there(&name.value, |section| {
        let column = section.plain_text("column");
        let kind = kind(section);
        let same_as = match &kind {
            FactorKind::Choice {
                baseline,
                levels,
                ceiling,
            } => {
                let ceilings = ceiling.iter().map(|ceiling| &ceiling.level);
                let declared = baseline.iter().chain(levels).chain(ceilings);
                let declared: Vec<&str> = declared.map(String::as_str).collect();
                same_as(section, &declared)
            }
            // Without its kind, which is a fault already, it may be either.
            FactorKind::Amount { .. } if !section.has("kind") => same_as(section, &[]),
            FactorKind::Amount { .. } => Vec::new(),
        };
        let stands_for = section.meaning("stands_for", |text| match (text, &kind) {
            ("route", FactorKind::Choice { .. }) => Ok(StandsFor::Route),
            ("residue", FactorKind::Amount { .. }) => Ok(StandsFor::Residue),
            ("liquor", FactorKind::Amount { .. }) => Ok(StandsFor::Liquor),
            _ => Err("a choice can stand for `route`, an amount for `residue` or `liquor`"),
        });
        Some(FactorPlan {
            line: section.source.line(name.position),
            name: name.value.clone(),
            called: called(section),
            column,
            kind,
            same_as,
            stands_for,
        })
    })
}

fn kind(section: &Section) -> FactorKind {
    const KINDS: &str = "write `amount` for a number or `choice` for named levels";
    let Some(kind) = section.text("kind") else {
        let what = format!("`{}` is missing", section.path("kind"));
        let hint = "write `kind = \"amount\"` for a number or `kind = \"choice\"` for named levels";
        section.fault(what, hint);
        choice(section);
        return amount(section);
    };
    match kind.value.as_str() {
        "choice" => return choice(section),
        "amount" => {}
        _ => section.refuse("kind", &kind, KINDS),
    }
    amount(section)
}

fn choice(section: &Section) -> FactorKind {
    let ceiling = section.by_name("ceiling", |ceilings, level| {
        let fraction = ceilings.number_within(&level.value)?;
        Some(Ceiling {
            line: ceilings.source.line(level.position),
            level: level.value,
            fraction,
        })
    });
    FactorKind::Choice {
        baseline: section.figure("baseline").map(|text| text.value),
        levels: levels(section),
        ceiling,
    }
}

/// The key `levels`: names, each once.
fn levels(section: &Section) -> Vec<String> {
    let mut levels: Vec<String> = Vec::new();
    for level in section.texts("levels").unwrap_or_default() {
        if levels.contains(&level.value) {
            let (level, path) = (level, section.path("levels"));
            let what = format!("`{}` stands twice in `{path}`", level.value);
            let source = section.source;
            source.fault(level.position, what, "name each level once");
        } else {
            levels.push(level.value);
        }
    }
    levels
}

/// A limit of an amount.
fn bounded(section: &Section, key: &str) -> Option<At<f64>> {
    let found = section.number(key)?;
    if found.value.abs() <= LARGEST {
        return Some(found);
    }
    let what = format!("`{}` is {:e}", section.path(key), found.value);
    let hint = format!(
        "no amount is beyond {LARGEST:e}: look for a slip in the exponent, or use a larger unit"
    );
    section.source.fault(found.position, what, hint);
    None
}

fn amount(section: &Section) -> FactorKind {
    let low = bounded(section, "low");
    let high = bounded(section, "high");
    if let (Some(low), Some(high)) = (&low, &high)
        && low.value >= high.value
    {
        let path = section.path("high");
        let what = format!("`{path}` is not above `low`: {}", high.value);
        let hint = "`low` and `high` bound the region in which settings may be recommended";
        section.source.fault(high.position, what, hint);
    }
    FactorKind::Amount {
        unit: section.plain_text("unit"),
        low: low.map(|n| n.value),
        high: high.map(|n| n.value),
        same_within: section.number_within("same_within"),
    }
}

/// What prose calls it.
fn called(section: &Section) -> Option<String> {
    section.meaning("called", |text| match text.trim() {
        "" => Err("write what people call it, or leave the key out"),
        name => Ok(name.to_string()),
    })
}

/// Notes names that prose could not tell apart.
pub(super) fn told_apart(source: &Source, factors: &[FactorPlan], responses: &[ResponsePlan]) {
    let factors = factors.iter();
    let factors = factors.map(|plan| ("factors", &plan.name, &plan.called, plan.line));
    let responses = responses.iter();
    let responses = responses.map(|plan| ("responses", &plan.name, &plan.called, plan.line));
    let own = ["yield", "purity"].map(|name| (name.to_string(), name.to_string()));
    let mut known = Vec::from(own);
    let mut all: Vec<_> = factors.chain(responses).collect();
    // A name that is given gives way to one that is there already.
    all.sort_by_key(|(_, _, called, _)| called.is_some());
    for (table, name, called, line) in all {
        let path = format!("{table}.{name}");
        let shown = called.as_ref().unwrap_or(name).replace('_', " ");
        let shown = shown.to_lowercase();
        let is_it = |(other, _): &&(String, String)| *other == shown && called.is_some();
        match known.iter().find(is_it) {
            Some((_, other)) => {
                let what = format!("`{path}` is called as `{other}` is");
                let hint = "give each a name of its own under `called`";
                source.fault_on(line, what, hint);
            }
            None => known.push((shown, path)),
        }
    }
}

pub(super) fn response(responses: &Section, name: At<String>) -> Option<ResponsePlan> {
    responses.table_if_there(&name.value, |section| {
        if ["yield", "purity"].contains(&name.value.as_str()) {
            let path = responses.path(&name.value);
            let what = format!("`{path}` is a name that residuum gives itself");
            let hint = "call the logged column something else";
            section.source.fault(name.position, what, hint);
        }
        Some(ResponsePlan {
            column: section.plain_text("column").unwrap_or(name.value.clone()),
            unit: section.plain_text("unit"),
            line: section.source.line(name.position),
            name: name.value.clone(),
            called: called(section),
        })
    })
}

pub(super) fn oxidant(section: &Section, chemistry: &Declared) -> Option<Oxidant> {
    if matches!(chemistry, Declared::Nothing) {
        section.fault(
            "`[oxidant]` without `product`, `followed` and `assay_as` in `[campaign]`",
            "the need for oxidant is counted per followed atom",
        );
    }
    let formula = required(section, "formula", formula);
    let electrons = required(section, "electrons", Section::number_within);
    let needed = required(section, "needed", Section::number_within);
    let assay = section.number_or_usual("assay");
    let impurities = section.by_name("impurities", |table, name| {
        table.table(&name.value, |impurity| {
            let formula = required(impurity, "formula", self::formula);
            let electrons = required(impurity, "electrons", Section::number_within);
            Some(OxidantImpurity {
                column: name.value.clone(),
                formula: formula?.value,
                electrons: electrons?,
            })
        })
    });
    Some(Oxidant {
        formula: formula?.value,
        assay,
        electrons: electrons?,
        needed: needed?,
        impurities,
    })
}

/// A key that its table cannot do without; its absence is noted, a wrong value has been noted already.
pub(super) fn required<'a, T>(
    section: &Section<'a>,
    key: &str,
    read: impl Fn(&Section<'a>, &str) -> Option<T>,
) -> Option<T> {
    let value = read(section, key);
    if !section.has(key) {
        let what = format!("`{}` is missing", section.path(key));
        section.fault(what, "this table cannot do without it");
    }
    value
}
