//! The tables `[prices]` and `[recycling]`.
//!
//! In: sections. Out: [`Prices`], [`Recycling`].
//! This module never computes a cost.

use super::figure::{Per, Price, minutes_per_run, price, quantity};
use super::section::Section;
use crate::units::Dimension;

/// Prices, in one currency; what is absent is not counted.
#[derive(Debug, Clone)]
pub struct Prices {
    /// Name of the currency.
    pub currency: String,
    /// Feed.
    pub feed: Option<Price>,
    /// Oxidant.
    pub oxidant: Option<Price>,
    /// Product when bought.
    pub product: Option<Price>,
    /// Labour.
    pub labour: Option<Price>,
    /// Heat.
    pub heat: Option<Heat>,
    /// Further reagents, by column of the runs log.
    pub other: Vec<ReagentPrice>,
    /// Getting rid of residue.
    pub residue_disposal: Option<Price>,
    /// Minutes to handle residue in a run that charges it.
    pub residue_handling: Option<f64>,
}

/// Price of a reagent whose mass stands in a column of the runs log.
#[derive(Debug, Clone)]
pub struct ReagentPrice {
    /// The column.
    pub column: String,
    /// Its price.
    pub price: Price,
}

/// Price of heat.
#[derive(Debug, Clone)]
pub enum Heat {
    /// One price for all runs.
    Same(Price),
    /// One price for each level of a choice.
    ByLevel {
        /// The choice.
        factor: String,
        /// Levels and prices.
        levels: Vec<LevelPrice>,
    },
}

/// Price at one level of a choice.
#[derive(Debug, Clone)]
pub struct LevelPrice {
    /// The level.
    pub level: String,
    /// Its price.
    pub price: Price,
}

/// What recycling is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RecyclingValue {
    /// Extra product for the same fresh feed.
    Product,
    /// Fresh feed saved for equal product.
    Feed,
}

/// What happens to product that misses the specification.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OffSpec {
    /// It is sold all the same.
    Sold,
    /// It is worth nothing.
    Worthless,
}

/// How residue would be fed forward.
#[derive(Debug, Clone)]
pub struct Recycling {
    /// Most solids one run can hold [g].
    pub vessel_solids: Option<f64>,
    /// Number of cycles to look ahead.
    pub cycles: u32,
    /// Share of the residue thrown away each cycle.
    pub bleed: Option<f64>,
    /// What is valued.
    pub value: RecyclingValue,
    /// Worth of product off specification.
    pub off_spec: OffSpec,
}

fn one_price(section: &Section, key: &str, allowed: &[Per]) -> Option<Price> {
    let text = section.text(key)?;
    let path = section.path(key);
    let fault = |hint: String| {
        section
            .source
            .fault(text.position, format!("`{path}` is `{}`", text.value), hint);
        None
    };
    match price(&text.value) {
        Ok(price) if allowed.contains(&price.per) => Some(price),
        Ok(_) => fault(format!(
            "it is counted per {}",
            allowed
                .iter()
                .map(|per| match per {
                    Per::Gram => "kg",
                    Per::Minute => "h",
                    Per::Run => "run",
                })
                .collect::<Vec<_>>()
                .join(" or ")
        )),
        Err(hint) => fault(hint),
    }
}

pub(super) fn prices(section: Section) -> Option<Prices> {
    if !section.is_there() {
        section.finish();
        return None;
    }
    let by_mass = [Per::Gram];
    let heat = if section.holds_table("heat") {
        by_level(section.section("heat"))
    } else {
        one_price(&section, "heat", &[Per::Run]).map(Heat::Same)
    };
    let other_section = section.section("other");
    let other = other_section
        .own_names()
        .into_iter()
        .filter_map(|name| {
            let price = one_price(&other_section, &name.value, &by_mass)?;
            Some(ReagentPrice {
                column: name.value,
                price,
            })
        })
        .collect();
    other_section.finish();
    let residue_handling = section.text("residue_handling").and_then(|text| {
        minutes_per_run(&text.value)
            .map_err(|hint| {
                section.source.fault(
                    text.position,
                    format!("`prices.residue_handling` is `{}`", text.value),
                    hint,
                );
            })
            .ok()
    });
    let prices = Prices {
        currency: section
            .text("currency")
            .map_or_else(|| "money".into(), |text| text.value),
        feed: one_price(&section, "feed", &by_mass),
        oxidant: one_price(&section, "oxidant", &by_mass),
        product: one_price(&section, "product", &by_mass),
        labour: one_price(&section, "labour", &[Per::Minute]),
        heat,
        other,
        residue_disposal: one_price(&section, "residue_disposal", &by_mass),
        residue_handling,
    };
    section.finish();
    Some(prices)
}

fn by_level(section: Section) -> Option<Heat> {
    let mut names = section.own_names();
    if names.len() != 1 {
        section.source.fault(
            section.position(),
            "`prices.heat` names not just one choice".into(),
            "write `{ heating = { muffle = \"1.9 /run\", hob = \"0.6 /run\" } }`",
        );
        return None;
    }
    let factor = names.remove(0).value;
    let table = section.section(&factor);
    let levels = table
        .own_names()
        .into_iter()
        .filter_map(|level| {
            let price = one_price(&table, &level.value, &[Per::Run])?;
            Some(LevelPrice {
                level: level.value,
                price,
            })
        })
        .collect();
    table.finish();
    section.finish();
    Some(Heat::ByLevel { factor, levels })
}

pub(super) fn recycling(section: Section) -> Option<Recycling> {
    if !section.is_there() {
        section.finish();
        return None;
    }
    let vessel_solids = section.text("vessel_solids").and_then(|text| {
        let solids = quantity(&text.value, Dimension::Mass).and_then(|grams| {
            if grams > 0.0 {
                Ok(grams)
            } else {
                Err("it must be above zero".into())
            }
        });
        solids
            .map_err(|hint| {
                section.source.fault(
                    text.position,
                    format!("`recycling.vessel_solids` is `{}`", text.value),
                    hint,
                );
            })
            .ok()
    });
    let recycling = Recycling {
        vessel_solids,
        cycles: cycles(&section),
        bleed: section.number_within("bleed", 0.0, 1.0),
        value: one_of(
            &section,
            "value",
            &[
                ("product", RecyclingValue::Product),
                ("feed", RecyclingValue::Feed),
            ],
        ),
        off_spec: one_of(
            &section,
            "off_spec",
            &[("sold", OffSpec::Sold), ("worthless", OffSpec::Worthless)],
        ),
    };
    section.finish();
    Some(recycling)
}

/// Cycles that anyone looks ahead; a table of more tells nothing.
const MOST_CYCLES: u32 = 1000;

fn cycles(section: &Section) -> u32 {
    const USUAL: u32 = 12;
    let Some(asked) = section.whole("cycles", 1) else {
        return USUAL;
    };
    if asked > MOST_CYCLES {
        section.source.fault(
            section.position(),
            format!("`{}` is {asked}", section.path("cycles")),
            format!("write a whole number of at most {MOST_CYCLES}"),
        );
    }
    asked.min(MOST_CYCLES)
}

/// One of a few words; the first is the default.
pub(super) fn one_of<T: Copy>(section: &Section, key: &str, words: &[(&str, T)]) -> T {
    let Some(text) = section.text(key) else {
        return words[0].1;
    };
    if let Some((_, meant)) = words.iter().find(|(word, _)| *word == text.value) {
        return *meant;
    }
    let known: Vec<String> = words.iter().map(|(word, _)| format!("`{word}`")).collect();
    section.source.fault(
        text.position,
        format!("`{}` is `{}`", section.path(key), text.value),
        format!("write {}", known.join(" or ")),
    );
    words[0].1
}
