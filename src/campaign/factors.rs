//! The tables `[factors.*]`, `[responses.*]` and `[oxidant]`.
//!
//! In: sections. Out: [`FactorPlan`], [`ResponsePlan`], [`Oxidant`].
//! This module never knows which levels or values the log holds.

use super::basics::formula;
use super::section::{ABOVE_ZERO, Section};
use crate::chemistry::Formula;

/// What a factor stands for beyond its name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StandsFor {
    /// The recovery route.
    Route,
    /// Residue fed forward, per unit of fresh feed.
    Residue,
}

/// Something varied on purpose.
#[derive(Debug, Clone)]
pub struct FactorPlan {
    /// Its name, which is also its column unless `column` says otherwise.
    pub name: String,
    /// Column of the runs log, when not the name.
    pub column: Option<String>,
    /// Amount or choice.
    pub kind: FactorKind,
    /// What it stands for.
    pub stands_for: Option<StandsFor>,
    /// Line of the campaign file.
    pub line: usize,
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
}

/// A column of the runs log that is a response.
#[derive(Debug, Clone)]
pub struct ResponsePlan {
    /// Its name in models and reports.
    pub name: String,
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

pub(super) fn factors(section: Section) -> Vec<FactorPlan> {
    let plans = section
        .own_names()
        .into_iter()
        .filter_map(|name| {
            let line = section.source.line(name.position);
            let factor = section.section(&name.value);
            factor
                .is_there()
                .then(|| self::factor(factor, name.value, line))
        })
        .collect();
    section.finish();
    plans
}

fn factor(section: Section, name: String, line: usize) -> FactorPlan {
    let column = section.text("column").map(|text| text.value);
    let kind = match section.text("kind") {
        Some(kind) if kind.value == "choice" => choice(&section),
        Some(kind) if kind.value == "amount" => amount(&section),
        Some(kind) => {
            section.source.fault(
                kind.position,
                format!("`{}` is `{}`", section.path("kind"), kind.value),
                "write `amount` for a number or `choice` for named levels",
            );
            amount(&section)
        }
        None => {
            section.source.fault(
                section.position(),
                format!("`{}` is missing", section.path("kind")),
                "write `kind = \"amount\"` for a number or `kind = \"choice\"` for named levels",
            );
            choice(&section);
            amount(&section)
        }
    };
    let stands_for = section.text("stands_for").and_then(|text| {
        let meaning = match (text.value.as_str(), &kind) {
            ("route", FactorKind::Choice { .. }) => Some(StandsFor::Route),
            ("residue", FactorKind::Amount { .. }) => Some(StandsFor::Residue),
            _ => None,
        };
        if meaning.is_none() {
            section.source.fault(
                text.position,
                format!("`{}` is `{}`", section.path("stands_for"), text.value),
                "a choice can stand for `route`, an amount for `residue`",
            );
        }
        meaning
    });
    section.finish();
    FactorPlan {
        name,
        column,
        kind,
        stands_for,
        line,
    }
}

fn choice(section: &Section) -> FactorKind {
    let ceilings = section.section("ceiling");
    let ceiling = ceilings
        .own_names()
        .into_iter()
        .filter_map(|level| {
            let fraction = ceilings.number_within(&level.value, ABOVE_ZERO, 1.0)?;
            Some(Ceiling {
                level: level.value,
                fraction,
            })
        })
        .collect();
    ceilings.finish();
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
            section.source.fault(
                level.position,
                format!(
                    "`{}` stands twice in `{}`",
                    level.value,
                    section.path("levels")
                ),
                "name each level once",
            );
        } else {
            levels.push(level.value);
        }
    }
    levels
}

fn amount(section: &Section) -> FactorKind {
    let low = section.number("low");
    let high = section.number("high");
    if let (Some(low), Some(high)) = (&low, &high)
        && low.value >= high.value
    {
        section.source.fault(
            high.position,
            format!(
                "`{}` is not above `low`: {}",
                section.path("high"),
                high.value
            ),
            "`low` and `high` bound the region in which settings may be recommended",
        );
    }
    FactorKind::Amount {
        unit: section.text("unit").map(|text| text.value),
        low: low.map(|n| n.value),
        high: high.map(|n| n.value),
        same_within: section.number_within("same_within", 0.0, f64::MAX),
    }
}

pub(super) fn responses(section: Section) -> Vec<ResponsePlan> {
    let mut plans = Vec::new();
    for name in section.own_names() {
        let response = section.section(&name.value);
        if !response.is_there() {
            continue;
        }
        if ["yield", "purity"].contains(&name.value.as_str()) {
            section.source.fault(
                name.position,
                format!(
                    "`{}` is a name that residuum gives itself",
                    section.path(&name.value)
                ),
                "call the logged column something else",
            );
        }
        plans.push(ResponsePlan {
            column: response
                .text("column")
                .map_or_else(|| name.value.clone(), |text| text.value),
            unit: response.text("unit").map(|text| text.value),
            line: section.source.line(name.position),
            name: name.value,
        });
        response.finish();
    }
    section.finish();
    plans
}

pub(super) fn oxidant(section: Section) -> Option<Oxidant> {
    if !section.is_there() {
        section.finish();
        return None;
    }
    let formula = required(&section, "formula", |s, key| {
        self::formula(s, key).map(|f| f.value)
    });
    let electrons = required(&section, "electrons", |s, key| {
        s.number_within(key, ABOVE_ZERO, 1e3)
    });
    let needed = required(&section, "needed", |s, key| s.number_within(key, 0.0, 1e3));
    let assay = section
        .number_within("assay", ABOVE_ZERO, 1.0)
        .unwrap_or(1.0);
    let table = section.section("impurities");
    let impurities = table
        .own_names()
        .into_iter()
        .filter_map(|name| {
            let impurity = table.section(&name.value);
            let formula = required(&impurity, "formula", |s, key| {
                self::formula(s, key).map(|f| f.value)
            });
            let electrons = required(&impurity, "electrons", |s, key| {
                s.number_within(key, ABOVE_ZERO, 1e3)
            });
            impurity.finish();
            Some(OxidantImpurity {
                column: name.value,
                formula: formula?,
                electrons: electrons?,
            })
        })
        .collect();
    table.finish();
    section.finish();
    Some(Oxidant {
        formula: formula?,
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
    let given = section.own_names().iter().any(|name| name.value == key);
    if !given {
        section.source.fault(
            section.position(),
            format!("`{}` is missing", section.path(key)),
            "this table cannot do without it",
        );
    }
    value
}
