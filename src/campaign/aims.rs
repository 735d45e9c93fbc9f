//! Tables `[solubility]`, `[aim]` and `[drift]`.
//!
//! In: sections. Out: [`Solubility`], [`Aim`], [`Drift`].
//! This module never judges a result against an aim.

use super::basics::formula;
use super::figure::amount;
use super::run_rules::{CusumPlan, RunRule, cusum, rules};
use super::section::Section;
use super::source::At;
use crate::chemistry::Formula;
use crate::units::Dimension;

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
    /// Temperature \[degC\].
    pub temperature: f64,
    /// Anhydrous salt per 100 g of water \[g\].
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

/// What is sold at a time, and so has to meet the specification.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sold {
    /// All crops of a run together.
    Together,
    /// Each crop by itself.
    CropByCrop,
}

/// What "best" means.
#[derive(Debug, Clone)]
pub struct Aim {
    /// The goal.
    pub goal: Goal,
    /// Chance that a new run must have of meeting the specification.
    pub purity_chance: f64,
    /// How much product is to be made in all \[g\], where the file says so.
    pub quantity: Option<f64>,
    /// What has to meet the specification.
    pub sold: Sold,
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

pub(super) fn solubility(section: &Section) -> Option<Solubility> {
    let product = formula(section, "product").map(|f| f.value);
    let mut points = section.by_name("points", |table, name| {
        let value = table.number_within(&name.value);
        let temperature = name.value.parse().ok().filter(|t: &f64| t.is_finite());
        if temperature.is_none() {
            let what = format!("`{}` is no temperature", table.path(&name.value));
            let hint = "write degrees Celsius in quotes, such as `\"20\" = 20.1`";
            table.source.fault(name.position, what, hint);
        }
        Some(SolubilityPoint {
            temperature: temperature?,
            per_100_g: value?,
        })
    });
    points.sort_by(|a, b| a.temperature.total_cmp(&b.temperature));
    Some(Solubility {
        product,
        points,
        density: section.number_within("density"),
    })
}

pub(super) fn aim(section: &Section, responses: &[String]) -> Aim {
    let mut known: Vec<&str> = responses.iter().map(String::as_str).collect();
    known.extend(["cost", "labour"]);
    let goal = |key: &str| {
        let text = section.text(key)?;
        check_name(section, &text, &known, key);
        Some(text.value)
    };
    let (maximise, minimise) = (goal("maximise"), goal("minimise"));
    if maximise.is_some() && minimise.is_some() {
        section.fault("`[aim]` has both `maximise` and `minimise`", "name one");
    }
    // A gain is no response and no aim, but one that is too small to matter can be named.
    known.push("gain");
    let margins = section.by_name("margin", |table, name| {
        check_name(table, &name, &known, "margin");
        Some(Margin {
            difference: table.number_within(&name.value)?,
            response: name.value,
        })
    });
    Aim {
        goal: match minimise {
            Some(response) => Goal::Minimise(response),
            None => Goal::Maximise(maximise.unwrap_or_else(|| "yield".into())),
        },
        purity_chance: section.number_or_usual("purity_chance"),
        quantity: section.meaning("quantity", |text| amount(text, Dimension::Mass)),
        sold: section.one_of("sold", [Sold::Together, Sold::CropByCrop]),
        margins,
    }
}

fn check_name(section: &Section, name: &At<String>, known: &[&str], key: &str) {
    if !known.contains(&name.value.as_str()) {
        let (response, path) = (&name.value, section.path(key));
        let what = format!("unknown response `{response}` under `{path}`");
        let otherwise = format!("known here: {}", known.join(", "));
        section.unknown(name, what, known.iter().copied(), otherwise);
    }
}

pub(super) fn drift(section: &Section, responses: &[String]) -> Drift {
    let response = section.text("response");
    if let Some(name) = &response {
        let known: Vec<&str> = responses.iter().map(String::as_str).collect();
        check_name(section, name, &known, "response");
    }
    Drift {
        response: response.map(|text| text.value),
        centre: section.number_within("centre"),
        sd: section.number_within("sd"),
        lambda: section.number_or_usual("lambda"),
        limits: section.number_or_usual("limits"),
        baseline: section.whole("baseline"),
        rules: rules(section),
        cusum: section.table("cusum", cusum),
    }
}
