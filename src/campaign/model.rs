//! Table `[model]`.
//!
//! In: its section and the names of factors and responses. Out: [`ModelPlan`].
//! This module never counts runs and never builds a column.

use std::collections::{BTreeMap, BTreeSet};

use super::factors::{FactorPlan, LOT};
use super::section::{Section, number, texts_of};
use super::source::{At, values};
use super::spelling::did_you_mean;

/// How the models are fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FitMethod {
    /// With the known covariance of the measurements and random blocks.
    Measured,
    /// Ordinary least squares.
    Plain,
}

/// The models asked for.
#[derive(Debug, Clone)]
pub struct ModelPlan {
    /// Responses, one model each.
    pub responses: Vec<String>,
    /// Factors that act each on its own.
    pub effects: Vec<String>,
    /// Lists of factors that change each other's effect.
    pub joint: Vec<Vec<String>>,
    /// Amounts with powers above the first.
    pub curved: Vec<CurvePlan>,
    /// Blocks with a random effect; `None` leaves the default.
    pub blocks: Option<Vec<String>>,
    /// Whether the model has a constant.
    pub constant: bool,
    /// Method of fitting.
    pub method: FitMethod,
    /// Responses that are fitted on the logit scale, each with the line of the campaign file that says so.
    pub logit: BTreeMap<String, usize>,
    /// Further terms to be considered, as written: names and joint lists.
    pub candidates: Vec<Vec<String>>,
    /// Further powers to be considered.
    pub candidate_powers: Vec<CurvePlan>,
    /// Coverage of all intervals.
    pub confidence: f64,
    /// Line of the campaign file.
    pub line: usize,
}

/// An amount with all powers from 2 up to `power`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CurvePlan {
    /// Name of the amount.
    pub factor: String,
    /// Highest power.
    pub power: u32,
}

/// Highest power that is accepted; a slip of the finger should not make a model of a thousand terms.
const HIGHEST_POWER: u32 = 20;

/// What a response can be fitted on.
const SCALES: [&str; 2] = ["plain", "logit"];

pub(super) fn model(
    section: &Section,
    factors: &[FactorPlan],
    responses: &[String],
) -> Option<ModelPlan> {
    let check = Names { section, factors };
    let asked = section.texts("responses");
    for response in asked.iter().flatten() {
        known_response(section, responses, response, "responses");
    }
    let effects = check.factors(section.texts("effects").unwrap_or_default(), "effects");
    let joint = section.text_lists("joint").unwrap_or_default();
    for list in &joint {
        check.joint(list, "joint");
    }
    let curved = section.by_name("curved", |curves, name| {
        check.amount(&name, "curved");
        let power = curves.whole(&name.value)?;
        if power > HIGHEST_POWER {
            let what = format!("`{}` is {power}", curves.path(&name.value));
            let hint = format!("powers go up to {HIGHEST_POWER}");
            curves.source.fault(name.position, what, hint);
        }
        let factor = name.value;
        Some(CurvePlan { factor, power })
    });
    let (candidates, candidate_powers) = candidates(section, &check);
    let blocks = section.texts("blocks").map(|names| check.blocks(names));
    let method = section.one_of("method", [FitMethod::Measured, FitMethod::Plain]);
    let logit = logit(section, responses);
    Some(ModelPlan {
        responses: asked.map_or_else(|| responses.to_vec(), values),
        effects,
        joint: values(joint),
        curved,
        blocks,
        constant: section.truth("constant").unwrap_or(true),
        method,
        logit,
        candidates,
        candidate_powers,
        confidence: section.number_or_usual("confidence"),
        line: section.source.line(section.position()),
    })
}

fn known_response(section: &Section, responses: &[String], response: &At<String>, key: &str) {
    if responses.contains(&response.value) {
        return;
    }
    let what = format!("unknown response `{}` in `model.{key}`", response.value);
    let otherwise = if responses.is_empty() {
        "declare it under `[responses]`".to_string()
    } else {
        format!("known responses: {}", responses.join(", "))
    };
    let known = responses.iter().map(String::as_str);
    section.unknown(response, what, known, otherwise);
}

/// The table `scale`: a response and `plain` or `logit`. Whether a response is a fraction is known only with its column.
fn logit(section: &Section, responses: &[String]) -> BTreeMap<String, usize> {
    let logit = section.by_name("scale", |scales, name| {
        known_response(section, responses, &name, "scale");
        let position = scales.text(&name.value)?.position;
        let is_logit = scales.meaning(&name.value, |scale| match scale {
            "plain" => Ok(false),
            "logit" => Ok(true),
            other => Err(did_you_mean(other, SCALES.into_iter())
                .unwrap_or_else(|| "write `plain` or `logit`".into())),
        })?;
        is_logit.then(|| (name.value, scales.source.line(position)))
    });
    logit.into_iter().collect()
}

fn candidates(section: &Section, check: &Names) -> (Vec<Vec<String>>, Vec<CurvePlan>) {
    const KEY: &str = "candidates";
    let mut terms = Vec::new();
    let mut powers = Vec::new();
    for item in section.items(KEY) {
        let position = item.span().start;
        let fault = |what: String, hint: &str| section.source.fault(position, what, hint);
        let value = item.get_ref();
        if let Some(name) = value.as_str() {
            let value = name.to_string();
            check.known(&At { value, position }, KEY);
            terms.push(vec![name.to_string()]);
        } else if value.is_array() {
            let Some(value) = texts_of(item) else {
                let what = "a joint list in `model.candidates` holds more than names";
                fault(what.into(), "write `[\"route\", \"heating\"]`");
                continue;
            };
            let list = At { value, position };
            check.joint(&list, KEY);
            terms.push(list.value);
        } else if let Some(table) = value.as_table() {
            for (key, power) in table {
                let value = key.get_ref().to_string();
                let factor = At { value, position };
                check.amount(&factor, KEY);
                let factor = factor.value;
                let highest = f64::from(HIGHEST_POWER);
                match number(power.get_ref()) {
                    Some(n) if n.fract() == 0.0 && (2.0..=highest).contains(&n) => {
                        let power = n as u32;
                        powers.push(CurvePlan { factor, power });
                    }
                    _ => {
                        let what = format!(
                            "the power of `{factor}` in `model.candidates` is no whole number from 2 to {HIGHEST_POWER}"
                        );
                        fault(what, "write `{ oxidant_excess = 3 }`");
                    }
                }
            }
        } else {
            fault(
                "an entry of `model.candidates` is neither name, list nor power".into(),
                "write `\"heating\"`, `[\"route\", \"heating\"]` or `{ oxidant_excess = 3 }`",
            );
        }
    }
    (terms, powers)
}

/// Whether a factor has named levels, as the lot always has; None with a fault where there is no such factor.
pub(super) fn is_choice(
    section: &Section,
    factors: &[FactorPlan],
    factor: &At<String>,
    place: &str,
) -> Option<bool> {
    let name = factor.value.as_str();
    match factors.iter().find(|plan| plan.name == name) {
        Some(plan) => Some(plan.is_choice()),
        None if name == LOT => Some(true),
        None => {
            let what = format!("unknown factor `{name}` in `{place}`");
            let otherwise = format!("declare it as `[factors.{name}]`");
            let known = factors.iter().map(|plan| plan.name.as_str()).chain([LOT]);
            section.unknown(factor, what, known, otherwise);
            None
        }
    }
}

struct Names<'s, 'a> {
    section: &'s Section<'a>,
    factors: &'s [FactorPlan],
}

impl Names<'_, '_> {
    fn plan(&self, name: &str) -> Option<&FactorPlan> {
        self.factors.iter().find(|plan| plan.name == name)
    }

    fn fault(&self, position: usize, what: String, hint: &str) {
        self.section.source.fault(position, what, hint);
    }

    fn known(&self, name: &At<String>, key: &str) -> bool {
        let place = format!("model.{key}");
        is_choice(self.section, self.factors, name, &place).is_some()
    }

    fn factors(&self, names: Vec<At<String>>, key: &str) -> Vec<String> {
        let mut kept: Vec<String> = Vec::new();
        for name in names {
            if kept.contains(&name.value) {
                let what = format!("`{}` stands twice in `model.{key}`", name.value);
                self.fault(name.position, what, "name each factor once");
            } else if self.known(&name, key) {
                kept.push(name.value);
            }
        }
        kept
    }

    fn blocks(&self, names: Vec<At<String>>) -> Vec<String> {
        for name in &names {
            if self.plan(&name.value).is_some_and(|plan| !plan.is_choice()) {
                let what = format!("`{}` in `model.blocks` is an amount", name.value);
                let hint = "blocks are named levels: declare it as a choice";
                self.fault(name.position, what, hint);
            }
        }
        self.factors(names, "blocks")
    }

    fn joint(&self, list: &At<Vec<String>>, key: &str) {
        let position = list.position;
        for name in &list.value {
            let value = name.clone();
            self.known(&At { value, position }, key);
        }
        let different: BTreeSet<&String> = list.value.iter().collect();
        if different.len() != list.value.len() || different.len() < 2 {
            let names = list.value.join(", ");
            let what =
                format!("a list of `model.{key}` needs two or more different factors: {names}");
            self.fault(position, what, "powers of one amount go under `curved`");
        }
    }

    fn amount(&self, name: &At<String>, key: &str) {
        let plan = self.plan(&name.value);
        if name.value == LOT || plan.is_some_and(FactorPlan::is_choice) {
            let what = format!("`{}` in `model.{key}` is a choice", name.value);
            self.fault(name.position, what, "only an amount can be curved");
        } else {
            self.known(name, key);
        }
    }
}
