//! The models of a campaign fitted otherwise, for verdicts to be held against.
//!
//! In: a campaign, its runs and models, and doubted runs. Out: [`OtherModels`].
//! This module never decides whether a verdict stands.

use super::fit_data::{blocks, fit_data};
use super::fit_models::params_of;
use super::logit;
use crate::at_once::on_all_cores;
use crate::campaign::{Campaign, ModelPlan, StandsFor};
use crate::decide::{
    AimOf, FEWEST_DEGREES, Labour, Material, ModelOf, Needed, OtherModels, Otherwise,
    ResponseModel, residue_factor, same_within,
};
use crate::regression::{
    Asking, FitData, FittedModel, ModelParams, asked_otherwise, connected, robust,
};
use crate::runs::{FactorValues, Runs};

/// Highest power of a smooth drift.
const MOST_POWER: u32 = 3;
/// Beyond so many runs none of them decides alone, and what single runs can do is not looked at.
const MOST_RUNS: usize = 5_000;
/// Most joint effects that are tried.
const MOST_PAIRS: usize = 4;
/// An amount with runs in the middle of its range, this share of it from either end, can show a bend.
const FROM_THE_ENDS: f64 = 0.15;

/// A model as it was asked for.
struct Asked<'a> {
    params: ModelParams,
    data: FitData,
    model: &'a FittedModel,
    /// Place of each run in the order of all.
    places: Vec<f64>,
}

/// Fits the models otherwise, those that are needed: with a drift, a bend, a joint effect, without each doubted run, robustly.
pub(super) fn otherwise(
    Material {
        campaign,
        runs,
        models,
        costs,
        ..
    }: &Material,
    doubted: &[String],
    needed: impl Fn(&Otherwise) -> Needed + Sync,
) -> Vec<OtherModels> {
    let Some(plan) = &campaign.model else {
        return Vec::new();
    };
    let asked = |name: &str, unit: &str, values: &[Option<f64>]| {
        let (data, _) = fit_data(campaign, runs, name, values, &[]);
        let params = params_of(plan, name, unit.to_string(), blocks(campaign, runs));
        (params, data)
    };
    let place = |data: &FitData| -> Vec<f64> {
        let mut all = runs.results.iter().enumerate();
        let places = data.runs.iter().filter_map(|name| {
            let (place, _) = all.find(|(_, run)| run.run == *name)?;
            Some(place as f64)
        });
        places.collect()
    };
    let of_responses = models.of_responses().filter_map(|of| {
        let column = runs.response(of.kind.name())?;
        let (values, _) = logit::with_logits(plan, runs, column);
        let (params, data) = asked(of.kind.name(), &of.model.unit, &values);
        Some(Asked {
            places: place(&data),
            model: &of.model,
            params,
            data,
        })
    });
    let responses: Vec<Asked> = of_responses.collect();
    // A model beside those of responses, where it counts.
    let side = [&models.side.cost, &models.side.labour, &models.side.second];
    let side = side.map(Option::as_ref);
    let beside = |of: usize, values: &[Option<f64>]| {
        let model = side[of]?;
        let (mut params, data) = asked(&model.response, &model.unit, values);
        params.scale = model.scale;
        Some(Asked {
            places: place(&data),
            model,
            params,
            data,
        })
    };
    let aim = AimOf::of(campaign);
    let of_cost = costs.filter(|_| aim == AimOf::Cost);
    let cost = of_cost.and_then(|costs| beside(0, &costs.per_gram_of_runs()));
    // Labour is part of what residue gains, where it is paid.
    let is_paid = costs.is_some_and(|costs| costs.prices.labour.is_some());
    let counts = aim == AimOf::Labour || is_paid && residue_factor(campaign).is_some();
    let labour = counts.then(|| Labour::of(campaign, runs).known());
    let labour = labour.and_then(|minutes| beside(1, &minutes));
    // So are second products, where any is sold.
    let of_second = costs.filter(|_| residue_factor(campaign).is_some());
    let second = of_second.and_then(|costs| beside(2, &costs.second_of_runs(runs)));
    let mut ways = vec![Otherwise::Drift];
    ways.extend(
        straight(campaign, runs, true)
            .into_iter()
            .map(Otherwise::Bend),
    );
    ways.extend(pairs(campaign, plan).into_iter().map(Otherwise::Joint));
    let largest = responses.iter().map(|asked| asked.data.runs.len()).max();
    if largest.is_none_or(|runs| runs <= MOST_RUNS) {
        ways.extend([Otherwise::Connected, Otherwise::Robust]);
        let without = doubted.iter();
        ways.extend(without.map(|run| Otherwise::Without(vec![run.clone()])));
    }
    let changed = on_all_cores(ways, |how| {
        let needed = needed(&how);
        let mut found = (*models).clone();
        let mut all = found.responses.iter_mut().chain(&mut found.side.declared);
        let mut any = false;
        for asked in &responses {
            let kind = ModelOf::named(&asked.model.response);
            let Some(of) = all.find(|of| of.kind == kind) else {
                continue;
            };
            let refitted = needed.response(&kind).then(|| asked.fitted(&how)).flatten();
            if let Some(model) = refitted {
                *of = ResponseModel { kind, model };
                any = true;
            }
        }
        let side = &mut found.side;
        let places = [&mut side.cost, &mut side.labour, &mut side.second];
        let beside = [&cost, &labour, &second].into_iter().zip(places);
        for ((of, place), needed) in beside.zip(needed.beside()) {
            let of = of.as_ref().filter(|_| needed);
            if let Some(model) = of.and_then(|asked| asked.fitted(&how)) {
                *place = Some(model);
                any = true;
            }
        }
        any.then_some(OtherModels { how, models: found })
    });
    changed.into_iter().flatten().collect()
}

impl Asked<'_> {
    /// The fit with what is different; `None` where there is none.
    fn fitted(&self, how: &Otherwise) -> Option<FittedModel> {
        let near = Some(self.model);
        let fit = |asking| asked_otherwise(&self.params, &self.data, asking, near);
        let checked = || self.params.clone().check(&self.data).ok();
        match how {
            Otherwise::Drift => {
                let spare = self.model.residual_df.checked_sub(FEWEST_DEGREES)?;
                let power = u32::try_from(spare).unwrap_or(MOST_POWER).min(MOST_POWER);
                let drift = Asking::Drift {
                    places: &self.places,
                    power,
                    without: self.model,
                };
                (power > 0).then(|| fit(drift)).flatten()
            }
            Otherwise::Bend(amount) => fit(Asking::Bend(amount)),
            Otherwise::Joint([one, other]) => fit(Asking::Joint([one, other])),
            Otherwise::Connected => connected(&checked()?, self.model, &self.data).ok()?,
            Otherwise::Robust => robust(&checked()?, self.model, &self.data).ok(),
            Otherwise::Without(runs) => fit(Asking::Without(runs)),
        }
    }
}

/// Amounts that the model has straight, by whether they have runs between their ends, so that a bend would show.
pub(super) fn straight(campaign: &Campaign, runs: &Runs, may_bend: bool) -> Vec<String> {
    let Some(plan) = &campaign.model else {
        return Vec::new();
    };
    let curved = |name: &str| plan.curved.iter().any(|c| c.factor == name && c.power > 1);
    let straight = plan.effects.iter().filter(|name| !curved(name));
    let found = straight.filter(|name| {
        let Some(FactorValues::Amount(values)) = runs.factor(name).map(|column| &column.values)
        else {
            return false;
        };
        let used = values.iter().zip(&runs.results);
        let used = used.filter(|(_, run)| run.set_aside.is_none());
        let known: Vec<f64> = used.filter_map(|(value, _)| *value).collect();
        let low = known.iter().copied().fold(f64::INFINITY, f64::min);
        let high = known.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let aside = (FROM_THE_ENDS * (high - low)).max(same_within(campaign, name));
        let mut between = known.iter();
        let any = between.any(|value| *value > low + aside && *value < high - aside);
        low < high && any == may_bend
    });
    found.cloned().collect()
}

/// Pairs of factors whose joint effect a decision may rest on: residue and route first, then the other pairs of effects.
pub(super) fn pairs(campaign: &Campaign, plan: &ModelPlan) -> Vec<[String; 2]> {
    let known = |one: &str, other: &str| {
        let mut joint = plan.joint.iter();
        joint.any(|set| {
            [one, other]
                .iter()
                .all(|name| set.iter().any(|n| n == name))
        })
    };
    let rank = |name: &String| {
        let stands_for = |what| {
            campaign
                .factor_for(what)
                .is_some_and(|plan| plan.name == *name)
        };
        match () {
            () if stands_for(StandsFor::Residue) || name == "residue_ratio" => 0,
            () if stands_for(StandsFor::Route) => 1,
            () => 2,
        }
    };
    let mut effects: Vec<&String> = plan.effects.iter().collect();
    effects.sort_by_key(|name| rank(name));
    let mut found = Vec::new();
    for (place, one) in effects.iter().enumerate() {
        for other in &effects[place + 1..] {
            if !known(one, other) && found.len() < MOST_PAIRS {
                found.push([(*one).clone(), (*other).clone()]);
            }
        }
    }
    found
}
