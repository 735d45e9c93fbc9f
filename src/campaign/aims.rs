//! The tables `[solubility]`, `[aim]`, `[limits]` and `[drift]`.
//!
//! In: sections. Out: [`Solubility`], [`Aim`], [`Limits`], [`Drift`].
//! This module never judges a result against an aim.

use super::basics::formula;
use super::run_rules::{CusumPlan, RunRule, cusum, rules};
use super::section::{At, Section, figure, nearest};
use crate::chemistry::Formula;

/// Solubility of the product in water.
#[derive(Debug, Clone)]
pub struct Solubility {
    /// The salt as the solubility is stated.
    pub product: Option<Formula>,
    /// Own points; empty for the built-in table.
    pub points: Vec<SolubilityPoint>,
    /// Density of the saturated liquor [g/mL].
    pub density: Option<f64>,
}

/// One point of a solubility curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolubilityPoint {
    /// Temperature [degC].
    pub temperature: f64,
    /// Anhydrous salt per 100 g of water [g].
    pub per_100_g: f64,
}

/// What "best" is measured by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Goal {
    /// The response should be as large as can be.
    Maximise(String),
    /// The response should be as small as can be.
    Minimise(String),
}

/// What "best" means.
#[derive(Debug, Clone)]
pub struct Aim {
    /// The goal.
    pub goal: Goal,
    /// Chance that a new run must have of meeting the specification.
    pub purity_chance: f64,
    /// Differences that do not matter in practice, by response.
    pub margins: Vec<Margin>,
}

/// A difference of a response that does not matter in practice.
#[derive(Debug, Clone)]
pub struct Margin {
    /// The response.
    pub response: String,
    /// The difference, in the unit of the response.
    pub difference: f64,
}

/// Combinations never to be proposed.
#[derive(Debug, Clone, Default)]
pub struct Limits {
    /// Each is a list of factors with the level or amount that must not come together.
    pub never: Vec<Vec<Setting>>,
}

/// A factor at a level or an amount, as written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Setting {
    /// The factor.
    pub factor: String,
    /// Its level, or its amount as text.
    pub level: String,
}

/// What is known of the process in control.
#[derive(Debug, Clone, PartialEq)]
pub struct Drift {
    /// Response that is charted.
    pub response: Option<String>,
    /// Known centre.
    pub centre: Option<f64>,
    /// Known standard deviation.
    pub sd: Option<f64>,
    /// Weight of the newest run.
    pub lambda: f64,
    /// Width of the limits, in standard deviations.
    pub limits: f64,
    /// Number of first runs taken to be in control; None where the file does not say.
    pub baseline: Option<u32>,
    /// Patterns that are looked for besides points beyond the limits.
    pub rules: Vec<RunRule>,
    /// How the cumulative sums are kept.
    pub cusum: CusumPlan,
}

pub(super) fn solubility(section: Section) -> Option<Solubility> {
    if !section.is_there() {
        section.finish();
        return None;
    }
    let product = formula(&section, "product").map(|f| f.value);
    let table = section.section("points");
    let mut points: Vec<SolubilityPoint> = table
        .own_names()
        .into_iter()
        .filter_map(|name| {
            let value = table.number_within(&name.value, 0.0, 1e4);
            match name.value.parse::<f64>() {
                Ok(temperature) if temperature.is_finite() => Some(SolubilityPoint {
                    temperature,
                    per_100_g: value?,
                }),
                _ => {
                    table.source.fault(
                        name.position,
                        format!("`{}` is no temperature", table.path(&name.value)),
                        "write degrees Celsius in quotes, such as `\"20\" = 20.1`",
                    );
                    None
                }
            }
        })
        .collect();
    points.sort_by(|a, b| a.temperature.total_cmp(&b.temperature));
    table.finish();
    let density = section.number_within("density", 0.5, 5.0);
    section.finish();
    Some(Solubility {
        product,
        points,
        density,
    })
}

/// The soaking temperature of `[readings]` [degC].
pub(super) fn soak_above(section: Section) -> Option<f64> {
    let above = section.number_within("above", -273.15, 4000.0);
    section.finish();
    above
}

/// The lots of `[shelf]`; `None` when nothing is said of them.
pub(super) fn shelf(section: Section) -> Option<Vec<String>> {
    let lots = section.texts("lots");
    section.finish();
    lots.map(|lots| lots.into_iter().map(|lot| lot.value).collect())
}

/// The reagents of `[hazards]`.
pub(super) fn hazards(section: Section) -> Vec<String> {
    let present = section.texts("present").unwrap_or_default();
    section.finish();
    present.into_iter().map(|reagent| reagent.value).collect()
}

pub(super) fn aim(section: Section, responses: &[String]) -> Aim {
    let mut known: Vec<&str> = responses.iter().map(String::as_str).collect();
    known.extend(["cost", "labour"]);
    let goal = |key: &str| {
        let text = section.text(key)?;
        check_name(&section, &text, &known, key);
        Some(text.value)
    };
    let (maximise, minimise) = (goal("maximise"), goal("minimise"));
    if maximise.is_some() && minimise.is_some() {
        section.source.fault(
            section.position(),
            "`[aim]` has both `maximise` and `minimise`".into(),
            "name one",
        );
    }
    // A gain is no response and no aim, but one that is too small to matter can be named.
    known.push("gain");
    let table = section.section("margin");
    let margins = table
        .own_names()
        .into_iter()
        .filter_map(|name| {
            check_name(&table, &name, &known, "margin");
            let difference = table.number_within(&name.value, 0.0, f64::MAX)?;
            Some(Margin {
                response: name.value,
                difference,
            })
        })
        .collect();
    table.finish();
    let aim = Aim {
        goal: match minimise {
            Some(response) => Goal::Minimise(response),
            None => Goal::Maximise(maximise.unwrap_or_else(|| "yield".into())),
        },
        purity_chance: section
            .number_within("purity_chance", 0.5, 0.9999)
            .unwrap_or(0.9),
        margins,
    };
    section.finish();
    aim
}

fn check_name(section: &Section, name: &At<String>, known: &[&str], key: &str) {
    if known.contains(&name.value.as_str()) {
        return;
    }
    let hint = match nearest(&name.value, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("known here: {}", known.join(", ")),
    };
    section.source.fault(
        name.position,
        format!(
            "unknown response `{}` under `{}`",
            name.value,
            section.path(key)
        ),
        hint,
    );
}

pub(super) fn limits(section: Section, factors: &[String]) -> Limits {
    let mut never = Vec::new();
    for item in section.items("never").unwrap_or_default() {
        let position = item.span().start;
        let shape = "write `{ heating = \"hob\", route = \"boildown\" }`";
        let Some(table) = item.get_ref().as_table() else {
            section.source.fault(
                position,
                "an entry of `limits.never` is no table".into(),
                shape,
            );
            continue;
        };
        let mut settings = Vec::new();
        for (key, value) in table {
            let name = key.get_ref().to_string();
            if !factors.contains(&name) {
                let hint = match nearest(&name, factors.iter().map(String::as_str)) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("declare it as `[factors.{name}]`"),
                };
                section.source.fault(
                    position,
                    format!("unknown factor `{name}` in `limits.never`"),
                    hint,
                );
            }
            match figure(value.get_ref()) {
                Some(level) => settings.push(Setting {
                    factor: name,
                    level,
                }),
                None => section.source.fault(
                    position,
                    format!("`{name}` in `limits.never` is neither level nor number"),
                    shape,
                ),
            }
        }
        never.push(settings);
    }
    section.finish();
    Limits { never }
}

pub(super) fn drift(section: Section, responses: &[String]) -> Drift {
    let response = section.text("response");
    if let Some(name) = &response {
        let known: Vec<&str> = responses.iter().map(String::as_str).collect();
        check_name(&section, name, &known, "response");
    }
    let drift = Drift {
        response: response.map(|text| text.value),
        centre: section.number("centre").map(|n| n.value),
        sd: section.number_within("sd", f64::MIN_POSITIVE, f64::MAX),
        lambda: section.number_within("lambda", 0.01, 1.0).unwrap_or(0.3),
        limits: section.number_within("limits", 0.5, 10.0).unwrap_or(3.0),
        baseline: section.whole("baseline", 2),
        rules: rules(&section),
        cusum: cusum(&section),
    };
    section.finish();
    drift
}
