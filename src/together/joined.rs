//! The runs of several campaigns as those of one model.
//!
//! In: campaigns, and what of them may be pooled. Out: [`Part`]s, each fit for a model of its own, and all of them joined.
//! This module never lets two campaigns share a lot, an error of measurement or a factor that is not pooled.

use super::alike::{Alike, converted};
use super::answer::Member;
use crate::campaign::ModelPlan;
use crate::caveat::Caveat;
use crate::pipeline::posed;
use crate::regression::{
    Curve, ErrorEffect, Factor, FactorValues, FitData, Measurement, Method, ModelParams, OwnError,
    SharedError,
};

/// The choice that names the campaign of a run.
pub(super) const CAMPAIGN: &str = "campaign";

/// The runs of one campaign that have a response, with its own model: the pooled effects, and those it has for itself.
pub(super) struct Part {
    pub title: String,
    pub params: ModelParams,
    pub data: FitData,
    /// Effects of its own model that are not pooled; each acts on its runs alone.
    pub own: Vec<String>,
    pub doubts: Vec<Caveat>,
}

/// The part of one campaign; None where it does not have the response.
pub(super) fn part(
    member: &Member,
    first: &Member,
    plan: &ModelPlan,
    alike: &Alike,
    response: &str,
) -> Option<Part> {
    let (campaign, runs) = (member.campaign, member.runs);
    let posed = posed(plan, campaign, runs, response, &alike.effects);
    let (mut params, mut data, doubts) = posed?;
    let unit = &first.runs.response(response)?.unit;
    let convert = converted(&params.unit, unit)?;
    data.response
        .iter_mut()
        .for_each(|value| *value = convert(*value));
    params.unit = unit.clone();
    for name in &alike.effects {
        let wanted = &first.runs.factor(name)?.unit;
        let mut factors = data.factors.iter_mut();
        let factor = factors.find(|factor| factor.name == *name)?;
        let convert = converted(&factor.unit, wanted)?;
        if let FactorValues::Amount(values) = &mut factor.values {
            values.iter_mut().for_each(|value| *value = convert(*value));
        }
        factor.unit = wanted.clone();
    }
    let own_plan = campaign.model.as_ref();
    let own = own_plan.iter().flat_map(|plan| &plan.effects);
    let own = own.filter(|name| !alike.effects.contains(name) && runs.factor(name).is_some());
    let own: Vec<String> = own.cloned().collect();
    let curves = own_plan.iter().flat_map(|plan| &plan.curved);
    let curves = curves.filter(|curve| curve.power > 1 && own.contains(&curve.factor));
    let curves = curves.map(|curve| Curve {
        factor: curve.factor.clone(),
        power: curve.power,
    });
    params
        .curved
        .retain(|curve| alike.effects.contains(&curve.factor));
    params.curved.extend(curves);
    params.effects = [alike.effects.as_slice(), &own].concat();
    params.joint = alike.joint.clone();
    params
        .blocks
        .retain(|block| !params.effects.contains(block));
    params.method = Method::Measured;
    data.never = Vec::new();
    Some(Part {
        title: campaign.title.clone(),
        params,
        data,
        own,
        doubts,
    })
}

/// One model of all parts, with the campaigns as blocks, and the runs that it is fitted to.
pub(super) fn joined(parts: &[Part], alike: &Alike) -> (ModelParams, FitData) {
    let counts: Vec<usize> = parts.iter().map(|part| part.data.runs.len()).collect();
    let count: usize = counts.iter().sum();
    let mut params = parts[0].params.clone();
    params.effects = alike.effects.clone();
    params
        .curved
        .retain(|curve| alike.effects.contains(&curve.factor));
    let shared = alike.effects.iter().filter_map(|name| {
        let of_parts = parts.iter().map(|part| factor(part, name));
        Some(pooled(&of_parts.collect::<Option<Vec<_>>>()?))
    });
    let mut factors: Vec<Factor> = shared.collect();
    let titles: Vec<String> = parts.iter().map(|part| part.title.clone()).collect();
    let of_runs = counts.iter().enumerate();
    let of_runs = of_runs.flat_map(|(part, count)| vec![part; *count]);
    factors.push(choice(CAMPAIGN.into(), titles, of_runs.collect()));
    let mut blocks: Vec<String> = Vec::new();
    for block in parts.iter().flat_map(|part| &part.params.blocks) {
        if !blocks.contains(block) {
            blocks.push(block.clone());
        }
    }
    factors.extend(blocks.iter().map(|block| nested(parts, block)));
    for (position, part) in parts.iter().enumerate() {
        let before: usize = counts[..position].iter().sum();
        for name in &part.own {
            let Some(own) = factor(part, name) else {
                continue;
            };
            let of_all = alone(own, &part.title, before, count);
            params.effects.push(of_all.name.clone());
            let mut curves = part.params.curved.iter();
            let curve = curves.find(|curve| curve.factor == *name);
            params.curved.extend(curve.map(|curve| Curve {
                factor: of_all.name.clone(),
                power: curve.power,
            }));
            factors.push(of_all);
        }
    }
    params.blocks = std::iter::once(CAMPAIGN.to_string())
        .chain(blocks)
        .collect();
    let data = FitData {
        runs: each(parts, |part| {
            let named = part.data.runs.iter();
            named.map(|run| of_title(&part.title, run)).collect()
        }),
        response: each(parts, |part| part.data.response.clone()),
        factors,
        measurement: measurement(parts),
        never: Vec::new(),
    };
    (params, data)
}

/// A name of something that one campaign has for itself.
fn of_title(title: &str, name: &str) -> String {
    format!("{title}: {name}")
}

fn each<T>(parts: &[Part], of: impl Fn(&Part) -> Vec<T>) -> Vec<T> {
    parts.iter().flat_map(of).collect()
}

pub(super) fn factor<'p>(part: &'p Part, name: &str) -> Option<&'p Factor> {
    part.data.factors.iter().find(|factor| factor.name == name)
}

fn choice(name: String, levels: Vec<String>, codes: Vec<usize>) -> Factor {
    Factor {
        name,
        unit: String::new(),
        values: FactorValues::Choice { levels, codes },
    }
}

/// One factor of all runs; levels are those of all campaigns, the baseline first, then in byte order.
fn pooled(of_parts: &[&Factor]) -> Factor {
    let first = of_parts[0];
    let amounts = of_parts
        .iter()
        .flat_map(|of| of.amounts().unwrap_or_default());
    let amounts: Vec<f64> = amounts.copied().collect();
    if first.amounts().is_some() {
        return Factor {
            values: FactorValues::Amount(amounts),
            ..first.clone()
        };
    }
    let all = of_parts.iter().flat_map(|of| of.levels());
    let mut levels: Vec<String> = all.cloned().collect();
    let baseline = levels.first().cloned();
    levels.sort_by_key(|level| (Some(level) != baseline.as_ref(), level.clone()));
    levels.dedup();
    let codes = of_parts.iter().flat_map(|of| {
        let place = |code: &usize| levels.iter().position(|level| *level == of.levels()[*code]);
        of.codes().iter().filter_map(place)
    });
    let codes = codes.collect();
    choice(first.name.clone(), levels, codes)
}

/// A block within campaigns; a campaign without it is one level.
fn nested(parts: &[Part], block: &str) -> Factor {
    let (mut levels, mut codes) = (Vec::new(), Vec::new());
    for part in parts {
        let before = levels.len();
        let has_it = part.params.blocks.iter().any(|own| own == block);
        match factor(part, block).filter(|_| has_it) {
            Some(own) => {
                levels.extend(
                    own.levels()
                        .iter()
                        .map(|level| of_title(&part.title, level)),
                );
                codes.extend(own.codes().iter().map(|code| before + code));
            }
            None => {
                levels.push(of_title(&part.title, ""));
                codes.extend(vec![before; part.data.runs.len()]);
            }
        }
    }
    choice(block.to_string(), levels, codes)
}

/// A factor that acts on the runs of one campaign; those of others stand at its baseline, or at its mean.
fn alone(own: &Factor, title: &str, before: usize, count: usize) -> Factor {
    let values = match &own.values {
        FactorValues::Amount(values) => {
            let mut all = vec![crate::distributions::mean(values); count];
            all[before..before + values.len()].copy_from_slice(values);
            FactorValues::Amount(all)
        }
        FactorValues::Choice { levels, codes } => {
            let mut all = vec![0; count];
            all[before..before + codes.len()].copy_from_slice(codes);
            FactorValues::Choice {
                levels: levels.clone(),
                codes: all,
            }
        }
    };
    Factor {
        name: of_title(title, &own.name),
        unit: own.unit.clone(),
        values,
    }
}

/// What is known of the errors of all runs; what runs of one campaign share stays shared among them.
fn measurement(parts: &[Part]) -> Measurement {
    let mut all = Measurement::default();
    let mut before = 0;
    for part in parts {
        let runs = part.data.runs.len();
        let known = &part.data.measurement;
        all.own.extend(match known.own.is_empty() {
            true => vec![OwnError::default(); runs],
            false => known.own.clone(),
        });
        all.shared.extend(known.shared.iter().map(|source| {
            SharedError {
                name: of_title(&part.title, &source.name),
                effects: source
                    .effects
                    .iter()
                    .map(|effect| ErrorEffect {
                        run: before + effect.run,
                        ..*effect
                    })
                    .collect(),
            }
        }));
        before += runs;
    }
    all
}
