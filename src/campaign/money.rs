//! Tables `[prices]` and `[recycling]`.
//!
//! In: sections. Out: [`Prices`], [`Recycling`].
//! This module never computes a cost.

use super::currency::Currency;
use super::factors::ResponsePlan;
use super::figure::{amount, minutes_per_run};
use super::keys::USUAL_CYCLES;
use super::price::{Per, Price, price};
use super::section::Section;
use crate::units::{Dimension, Unit};

/// What a currency is called that nothing names.
const NO_CURRENCY: &str = "money";

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
    /// Delivery of an order of it.
    pub delivery: Option<Price>,
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

impl Prices {
    /// The currency, where the campaign file names one or writes it beside a price.
    pub fn stated_currency(&self) -> Option<&str> {
        Some(self.currency.as_str()).filter(|name| *name != NO_CURRENCY)
    }
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
    /// Line of the campaign file.
    pub line: usize,
}

/// What recycling is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RecyclingValue {
    /// Extra product for the same fresh feed.
    Product,
    /// Fresh feed saved for equal product.
    Feed,
    /// Runs not made for equal product, with all that they cost.
    Runs,
}

impl RecyclingValue {
    /// All ways to value residue.
    pub const ALL: [RecyclingValue; 3] = [
        RecyclingValue::Product,
        RecyclingValue::Feed,
        RecyclingValue::Runs,
    ];
}

/// What happens to product that misses the specification.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OffSpec {
    /// It is sold all the same.
    Sold,
    /// It is worth nothing.
    Worthless,
    /// It is sold at a price of its own.
    Price(Price),
    /// It is recrystallised until it meets the specification.
    Rework {
        /// What that costs for each gram taken.
        cost: Price,
        /// Share of the product that is lost.
        loss: f64,
    },
}

impl OffSpec {
    /// Share of it that counts as product that meets the specification.
    pub fn kept(&self) -> f64 {
        match self {
            OffSpec::Sold => 1.0,
            OffSpec::Worthless | OffSpec::Price(_) => 0.0,
            OffSpec::Rework { loss, .. } => 1.0 - loss,
        }
    }
}

/// Where the time to handle residue stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Handling {
    /// In the labour that charged runs log.
    Logged,
    /// Beside it.
    Extra,
}

/// How residue would be fed forward.
#[derive(Debug, Clone)]
pub struct Recycling {
    /// Most solids one run can hold \[g\].
    pub vessel_solids: Option<f64>,
    /// Number of cycles to look ahead.
    pub cycles: u32,
    /// Share of the residue thrown away each cycle.
    pub bleed: Option<f64>,
    /// Runs in a month, where the file says so.
    pub runs_a_month: Option<f64>,
    /// What is valued, where the file says so.
    pub value: Option<RecyclingValue>,
    /// Where the time to handle residue stands, where the file says so.
    pub handling: Option<Handling>,
    /// Responses that are times and paid as labour besides the labour that is logged.
    pub attended: Vec<String>,
    /// Worth of product off specification.
    pub off_spec: OffSpec,
}

pub(super) fn one_price(
    section: &Section,
    key: &str,
    allowed: Per,
    currency: &Currency,
) -> Option<Price> {
    section.meaning(key, |text| match price(text, currency) {
        Ok(price) if price.per == allowed => Ok(price),
        Ok(_) => {
            let per = match allowed {
                Per::Gram => "kg",
                Per::Minute => "h",
                Per::Run => "run",
                Per::Order => "order",
            };
            Err(format!("it is counted per {per}"))
        }
        Err(hint) => Err(hint),
    })
}

pub(super) fn prices(section: &Section) -> Option<Prices> {
    let currency = Currency::new(section.plain_text("currency"));
    let by_mass = |key: &str| one_price(section, key, Per::Gram, &currency);
    let (feed, oxidant, product) = (by_mass("feed"), by_mass("oxidant"), by_mass("product"));
    let labour = one_price(section, "labour", Per::Minute, &currency);
    let delivery = one_price(section, "delivery", Per::Order, &currency);
    let residue_disposal = by_mass("residue_disposal");
    let heat = if section.holds_table("heat") {
        by_level(&section.section("heat"), &currency)
    } else {
        one_price(section, "heat", Per::Run, &currency).map(Heat::Same)
    };
    let other = section.by_name("other", |table, name| {
        Some(ReagentPrice {
            price: one_price(table, &name.value, Per::Gram, &currency)?,
            column: name.value,
        })
    });
    let residue_handling = section.meaning("residue_handling", minutes_per_run);
    Some(Prices {
        currency: currency.name().unwrap_or_else(|| NO_CURRENCY.into()),
        feed,
        oxidant,
        product,
        delivery,
        labour,
        heat,
        other,
        residue_disposal,
        residue_handling,
    })
}

fn by_level(section: &Section, currency: &Currency) -> Option<Heat> {
    let names = section.own_names();
    let [factor] = names.as_slice() else {
        section.fault(
            "`prices.heat` names not just one choice",
            "write `{ heating = { muffle = \"1.9 /run\", hob = \"0.6 /run\" } }`",
        );
        return None;
    };
    let levels = section.by_name(&factor.value, |table, level| {
        Some(LevelPrice {
            price: one_price(table, &level.value, Per::Run, currency)?,
            line: table.source.line(level.position),
            level: level.value,
        })
    });
    let factor = factor.value.clone();
    Some(Heat::ByLevel { factor, levels })
}

pub(super) fn recycling(
    section: &Section,
    responses: &[ResponsePlan],
    prices: Option<&Prices>,
) -> Option<Recycling> {
    let currency = prices.and_then(Prices::stated_currency);
    let currency = Currency::new(currency.map(str::to_string));
    let vessel_solids = section.meaning("vessel_solids", |text| amount(text, Dimension::Mass));
    let handling = section.one_of("handling", [Handling::Logged, Handling::Extra]);
    Some(Recycling {
        vessel_solids,
        cycles: cycles(section),
        bleed: section.number_within("bleed"),
        runs_a_month: section.number_within("runs_a_month"),
        value: Some(section.one_of("value", RecyclingValue::ALL)).filter(|_| section.has("value")),
        handling: Some(handling).filter(|_| section.has("handling")),
        attended: attended(section, responses),
        off_spec: off_spec(section, &currency).unwrap_or(OffSpec::Sold),
    })
}

/// How product off specification can be written.
const OFF_SPEC: &str = "write `sold`, `worthless`, a price such as `12 /kg`, or a rework such as `{ cost = \"3 /kg\", loss = 0.04 }`";

fn off_spec(section: &Section, currency: &Currency) -> Option<OffSpec> {
    if section.holds_table("off_spec") {
        return section.table_if_there("off_spec", |table| rework(table, currency));
    }
    section.meaning("off_spec", |text| match text {
        "sold" => Ok(OffSpec::Sold),
        "worthless" => Ok(OffSpec::Worthless),
        text if !text.contains(|sign: char| sign.is_ascii_digit()) => Err(OFF_SPEC.to_string()),
        text => match price(text, currency)? {
            price if price.per == Per::Gram => Ok(OffSpec::Price(price)),
            _ => Err("it is counted per kg".into()),
        },
    })
}

/// Rework by recrystallisation, which always leaves product in the liquor.
fn rework(table: &Section, currency: &Currency) -> Option<OffSpec> {
    let cost = one_price(table, "cost", Per::Gram, currency);
    let loss = table.number_within("loss");
    if !table.has("cost") {
        table.fault("rework under `recycling.off_spec` has no `cost`", OFF_SPEC);
    }
    if !table.has("loss") || loss == Some(0.0) {
        table.fault(
            "rework under `recycling.off_spec` loses nothing",
            "recrystallisation leaves product in the liquor: state the share that is lost, such as `loss = 0.04`",
        );
        return None;
    }
    Some(OffSpec::Rework {
        cost: cost?,
        loss: loss?,
    })
}

/// Declared responses that are times, each once.
fn attended(section: &Section, responses: &[ResponsePlan]) -> Vec<String> {
    let times = || {
        let is_time = |plan: &&ResponsePlan| {
            let unit = plan.unit.as_deref().and_then(Unit::named);
            unit.is_some_and(|unit| unit.dimension == Dimension::Time)
        };
        responses.iter().filter(is_time)
    };
    let mut found: Vec<&ResponsePlan> = Vec::new();
    for name in section.texts("attended").unwrap_or_default() {
        let known = || times().map(|plan| plan.name.as_str());
        if let Some(plan) = times().find(|plan| plan.name == name.value) {
            let is_paid =
                plan.column == "labour" || found.iter().any(|of| of.column == plan.column);
            if is_paid {
                let hint = format!("take it out: column `{}` is paid already", plan.column);
                section.refuse("attended", &name, hint);
            }
            found.push(plan);
        } else {
            let path = section.path("attended");
            let what = format!("`{path}` names `{}`, which is no time", name.value);
            let times: Vec<&str> = known().collect();
            let otherwise = match times.is_empty() {
                true => "declare it as a response with its unit: `[responses.NAME]` with `unit = \"min\"`".into(),
                false => format!("known here: {}", times.join(", ")),
            };
            section.unknown(&name, what, known(), otherwise);
        }
    }
    found.iter().map(|plan| plan.name.clone()).collect()
}

/// Cycles that anyone looks ahead; a table of more tells nothing.
const MOST_CYCLES: u32 = 1000;

fn cycles(section: &Section) -> u32 {
    let asked = section.whole("cycles").unwrap_or(USUAL_CYCLES);
    if asked > MOST_CYCLES {
        let what = format!("`{}` is {asked}", section.path("cycles"));
        let hint = format!("write a whole number of at most {MOST_CYCLES}");
        section.fault(what, hint);
    }
    asked.min(MOST_CYCLES)
}
