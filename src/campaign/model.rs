//! The table `[model]`.
//!
//! In: its section and the names of factors and responses. Out: [`ModelPlan`].
//! This module never counts runs and never builds a column.

use std::collections::BTreeMap;

use super::factors::{FactorKind, FactorPlan};
use super::section::{At, Section, nearest, number};

/// Coverage of intervals where the campaign file states none.
pub(super) const USUAL_CONFIDENCE: f64 = 0.95;

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
    section: Section,
    factors: &[FactorPlan],
    responses: &[String],
) -> Option<ModelPlan> {
    if !section.is_there() {
        section.finish();
        return None;
    }
    let check = Names {
        section: &section,
        factors,
    };
    let asked = section.texts("responses");
    if let Some(asked) = &asked {
        for response in asked {
            known_response(&section, responses, response, "responses");
        }
    }
    let effects = check.factors(section.texts("effects").unwrap_or_default(), "effects");
    let joint = section.text_lists("joint").unwrap_or_default();
    for list in &joint {
        check.joint(list, "joint");
    }
    let curves = section.section("curved");
    let curved = curves
        .own_names()
        .into_iter()
        .filter_map(|name| {
            check.amount(&name, "curved");
            let power = curves.whole(&name.value, 1)?;
            if power > HIGHEST_POWER {
                curves.source.fault(
                    name.position,
                    format!("`{}` is {power}", curves.path(&name.value)),
                    format!("powers go up to {HIGHEST_POWER}"),
                );
            }
            Some(CurvePlan {
                factor: name.value,
                power,
            })
        })
        .collect();
    curves.finish();
    let (candidates, candidate_powers) = candidates(&section, &check);
    let blocks = section.texts("blocks").map(|names| check.blocks(names));
    let method = match section.text("method") {
        None => FitMethod::Measured,
        Some(text) if text.value == "measured" => FitMethod::Measured,
        Some(text) if text.value == "plain" => FitMethod::Plain,
        Some(text) => {
            section.source.fault(
                text.position,
                format!("`model.method` is `{}`", text.value),
                "write `measured` or `plain`",
            );
            FitMethod::Plain
        }
    };
    let logit = logit(&section, responses);
    let plan = ModelPlan {
        responses: asked
            .map(|names| names.into_iter().map(|n| n.value).collect())
            .unwrap_or_else(|| responses.to_vec()),
        effects,
        joint: joint.into_iter().map(|list| list.value).collect(),
        curved,
        blocks,
        constant: section.truth("constant").unwrap_or(true),
        method,
        logit,
        candidates,
        candidate_powers,
        confidence: section
            .number_within("confidence", 0.5, 0.9999)
            .unwrap_or(USUAL_CONFIDENCE),
        line: section.source.line(section.position()),
    };
    section.finish();
    Some(plan)
}

fn known_response(section: &Section, responses: &[String], response: &At<String>, key: &str) {
    if responses.contains(&response.value) {
        return;
    }
    let hint = match nearest(&response.value, responses.iter().map(String::as_str)) {
        Some(near) => format!("did you mean `{near}`?"),
        None if responses.is_empty() => "declare it under `[responses]`".into(),
        None => format!("known responses: {}", responses.join(", ")),
    };
    section.source.fault(
        response.position,
        format!("unknown response `{}` in `model.{key}`", response.value),
        hint,
    );
}

/// The table `scale`: a response and `plain` or `logit`. Whether a response is a fraction is known only with its column.
fn logit(section: &Section, responses: &[String]) -> BTreeMap<String, usize> {
    let scales = section.section("scale");
    let mut logit = BTreeMap::new();
    for name in scales.own_names() {
        known_response(section, responses, &name, "scale");
        let Some(scale) = scales.text(&name.value) else {
            continue;
        };
        match scale.value.as_str() {
            "plain" => {}
            "logit" => {
                logit.insert(name.value, scales.source.line(scale.position));
            }
            other => {
                let hint = match nearest(other, SCALES.into_iter()) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "write `plain` or `logit`".into(),
                };
                scales.source.fault(
                    scale.position,
                    format!("`{}` is `{other}`", scales.path(&name.value)),
                    hint,
                );
            }
        }
    }
    scales.finish();
    logit
}

fn candidates(section: &Section, check: &Names) -> (Vec<Vec<String>>, Vec<CurvePlan>) {
    let mut terms = Vec::new();
    let mut powers = Vec::new();
    for item in section.items("candidates").unwrap_or_default() {
        let position = item.span().start;
        let value = item.get_ref();
        if let Some(name) = value.as_str() {
            check.known(
                &At {
                    value: name.to_string(),
                    position,
                },
                "candidates",
            );
            terms.push(vec![name.to_string()]);
        } else if let Some(list) = value.as_array() {
            let names: Option<Vec<String>> = list
                .iter()
                .map(|n| n.get_ref().as_str().map(str::to_string))
                .collect();
            match names {
                Some(names) => {
                    check.joint(
                        &At {
                            value: names.clone(),
                            position,
                        },
                        "candidates",
                    );
                    terms.push(names);
                }
                None => section.source.fault(
                    position,
                    "a joint list in `model.candidates` holds more than names".into(),
                    "write `[\"route\", \"heating\"]`",
                ),
            }
        } else if let Some(table) = value.as_table() {
            for (key, power) in table {
                let factor = key.get_ref().to_string();
                check.amount(
                    &At {
                        value: factor.clone(),
                        position,
                    },
                    "candidates",
                );
                match number(power.get_ref()) {
                    Some(n) if n.fract() == 0.0 && (2.0..=f64::from(HIGHEST_POWER)).contains(&n) => {
                        powers.push(CurvePlan { factor, power: n as u32 });
                    }
                    _ => section.source.fault(
                        position,
                        format!("the power of `{factor}` in `model.candidates` is no whole number from 2 to {HIGHEST_POWER}"),
                        "write `{ oxidant_excess = 3 }`",
                    ),
                }
            }
        } else {
            section.source.fault(
                position,
                "an entry of `model.candidates` is neither name, list nor power".into(),
                "write `\"heating\"`, `[\"route\", \"heating\"]` or `{ oxidant_excess = 3 }`",
            );
        }
    }
    (terms, powers)
}

struct Names<'s, 'a> {
    section: &'s Section<'a>,
    factors: &'s [FactorPlan],
}

impl Names<'_, '_> {
    fn kind(&self, name: &str) -> Option<&FactorKind> {
        self.factors
            .iter()
            .find(|f| f.name == name)
            .map(|f| &f.kind)
    }

    fn known(&self, name: &At<String>, key: &str) -> bool {
        if name.value == "lot" || self.kind(&name.value).is_some() {
            return true;
        }
        let known = self.factors.iter().map(|f| f.name.as_str()).chain(["lot"]);
        let hint = match nearest(&name.value, known) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("declare it as `[factors.{}]`", name.value),
        };
        self.section.source.fault(
            name.position,
            format!("unknown factor `{}` in `model.{key}`", name.value),
            hint,
        );
        false
    }

    fn factors(&self, names: Vec<At<String>>, key: &str) -> Vec<String> {
        let mut kept: Vec<String> = Vec::new();
        for name in names {
            if kept.contains(&name.value) {
                self.section.source.fault(
                    name.position,
                    format!("`{}` stands twice in `model.{key}`", name.value),
                    "name each factor once",
                );
            } else if self.known(&name, key) {
                kept.push(name.value);
            }
        }
        kept
    }

    fn blocks(&self, names: Vec<At<String>>) -> Vec<String> {
        for name in &names {
            if matches!(self.kind(&name.value), Some(FactorKind::Amount { .. })) {
                self.section.source.fault(
                    name.position,
                    format!("`{}` in `model.blocks` is an amount", name.value),
                    "blocks are named levels: declare it as a choice",
                );
            }
        }
        self.factors(names, "blocks")
    }

    fn joint(&self, list: &At<Vec<String>>, key: &str) {
        for name in &list.value {
            self.known(
                &At {
                    value: name.clone(),
                    position: list.position,
                },
                key,
            );
        }
        let mut names = list.value.clone();
        names.sort();
        names.dedup();
        if names.len() != list.value.len() || names.len() < 2 {
            self.section.source.fault(
                list.position,
                format!(
                    "a list of `model.{key}` needs two or more different factors: {}",
                    list.value.join(", ")
                ),
                "powers of one amount go under `curved`",
            );
        }
    }

    fn amount(&self, name: &At<String>, key: &str) {
        let is_choice = name.value == "lot"
            || matches!(self.kind(&name.value), Some(FactorKind::Choice { .. }));
        if is_choice {
            self.section.source.fault(
                name.position,
                format!("`{}` in `model.{key}` is a choice", name.value),
                "only an amount can be curved",
            );
        } else {
            self.known(name, key);
        }
    }
}
