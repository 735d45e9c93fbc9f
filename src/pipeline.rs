//! The stages in their order: logs, runs, models, answers.
//!
//! In: a checked campaign and the bytes of its logs. Out: [`Analysis`].
//! This module never opens a file, reads the clock or writes to a terminal.

mod decisions;
mod drift;
mod fit_data;
mod further;
mod next;
mod scale;
mod side_by_side;
mod side_models;
mod whole;

use crate::campaign::{Campaign, FitMethod, LOT, ModelPlan};
use crate::caveat::{self, Caveat, Doubt};
use crate::decide::{Answers, Costs, ModelSet, NextRuns};
use crate::distributions::coverage_factor;
use crate::drift::Drifts;
use crate::error::{Error, ErrorKind, Faults};
use crate::intake::{self, LogFile, Logged};
use crate::measured::Measured;
use crate::regression::{Constant, Curve, FittedModel, MethodAsked, ModelParams};
use crate::runs::{self, ResponseKind, RunResult, Runs};
pub use decisions::decision_models;
pub use drift::drift;
use fit_data::{fit_data, no_runs, one_level};
pub use further::Further;
use further::{Fitted, further};
pub use next::first as first_runs;
pub use side_by_side::{Alike, Decides};
pub use whole::{analyse, analyse_and_plan};

/// Lots count as blocks by themselves from this many on; with fewer their spread cannot be told.
const FEWEST_LOTS_FOR_BLOCKS: usize = 4;

/// Everything that is known about a campaign.
#[derive(Debug, Clone)]
pub struct Analysis {
    /// The campaign file.
    pub campaign: Campaign,
    /// Runs on one footing.
    pub runs: Runs,
    /// One model a response, and those that only decisions need.
    pub models: ModelSet,
    /// What stands beside each model of a response.
    pub further: Vec<Further>,
    /// What runs and product cost; `None` without prices.
    pub costs: Option<Costs>,
    /// What the chemist asked, answered.
    pub answers: Answers,
    /// Which runs to make next, or why none can be planned; absent without a model.
    pub next: Option<Result<NextRuns, Error>>,
    /// Whether the process drifts.
    pub drift: Drifts,
    /// Doubts, those about single runs first.
    pub caveats: Vec<Caveat>,
}

/// The logs of a campaign and its runs on one footing.
#[derive(Debug, Clone)]
pub struct Normalised {
    /// What was logged.
    pub logged: Logged,
    /// What it comes to.
    pub runs: Runs,
}

/// The best estimate with both ends of its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ends {
    /// The best estimate.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Whether the ends come from a simulation, because propagation fails.
    pub simulated: bool,
}

impl Analysis {
    /// Coverage of all intervals.
    pub fn confidence(&self) -> f64 {
        confidence(&self.campaign)
    }

    /// What makes a standard uncertainty that was stated, not estimated, half the width of an interval.
    pub fn coverage_factor(&self) -> f64 {
        coverage_factor(self.confidence(), f64::INFINITY).unwrap_or(f64::NAN)
    }

    /// The interval of a result by propagation, its degrees of freedom counted.
    pub fn ends(&self, value: &Measured) -> Ends {
        let half = self.runs.sources.expanded(value, self.confidence());
        Ends {
            value: value.value(),
            low: value.value() - half,
            high: value.value() + half,
            simulated: false,
        }
    }

    /// The interval of the contained yield of a run: the simulated one where propagation fails.
    pub fn contained_ends(&self, run: &RunResult) -> Option<Ends> {
        let contained = run.contained.as_ref().ok()?;
        let check = self.runs.cross_check_of(&run.run).map(|named| &named.check);
        Some(match check {
            Some(check) if !check.agrees => Ends {
                value: contained.value(),
                low: check.low,
                high: check.high,
                simulated: true,
            },
            _ => self.ends(contained),
        })
    }
}

/// Coverage of all intervals of a campaign.
pub fn confidence(campaign: &Campaign) -> f64 {
    campaign
        .model
        .as_ref()
        .map_or(0.95, |model| model.confidence)
}

/// Reads the logs and puts every run on one footing.
///
/// # Errors
/// Every fault that stops the work.
pub fn normalise(campaign: &Campaign, files: &[LogFile]) -> Result<Normalised, Faults> {
    let logged = intake::read(campaign, files)?;
    let runs = runs::normalise(campaign, &logged)?;
    Ok(Normalised { logged, runs })
}

/// Which runs are simulated beside propagation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CrossCheck {
    /// All runs.
    Every,
    /// The worst run of each lot, where an input is so uncertain that first order may fail.
    Doubtful,
}

/// Simulates yields and puts the outcome beside them; where first order fails, a doubt says so.
pub fn cross_check(campaign: &Campaign, normalised: &mut Normalised, which: CrossCheck, seed: u64) {
    let Normalised { logged, runs } = normalised;
    let names: Vec<String> = match which {
        CrossCheck::Every => runs.results.iter().map(|run| run.run.clone()).collect(),
        CrossCheck::Doubtful => runs::doubtful(runs),
    };
    if names.is_empty() {
        return;
    }
    let checks = runs::cross_check(campaign, logged, runs, &names, seed);
    for check in &checks {
        if !check.check.agrees {
            let doubt = Doubt::FirstOrderFails {
                simulated: caveat::Ends {
                    low: check.check.low,
                    high: check.check.high,
                },
                apart: check.check.apart,
            };
            runs.caveats.push(Caveat::of_run(&check.run, doubt));
        }
        if !check.check.stable {
            let doubt = Doubt::SimulationNotStable {
                tolerance: check.check.tolerance,
                trials: check.check.trials,
            };
            runs.caveats.push(Caveat::of_run(&check.run, doubt));
        }
    }
    runs.cross_checks = checks;
}

/// The models of a campaign and the doubts about which runs they use.
#[derive(Debug, Clone, Default)]
pub struct Models {
    /// One model a response.
    pub models: Vec<FittedModel>,
    /// What stands beside each model.
    pub further: Vec<Further>,
    /// Doubts about the models and about runs that are in none.
    pub caveats: Vec<Caveat>,
}

/// Fits the models that the campaign asks for, or that of one response alone.
///
/// # Errors
/// [`ErrorKind::Campaign`] without `[model]` or for an unknown response; faults of the models themselves.
pub fn fit(
    campaign: &Campaign,
    runs: &Runs,
    only: Option<&str>,
    seed: u64,
) -> Result<Models, Faults> {
    fit_to(Depth::WithFurther, campaign, runs, only, seed)
}

/// How much is asked of the models.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Depth {
    /// The models alone.
    Models,
    /// Comparisons, diagnostics and further terms besides.
    WithFurther,
}

fn fit_to(
    depth: Depth,
    campaign: &Campaign,
    runs: &Runs,
    only: Option<&str>,
    seed: u64,
) -> Result<Models, Faults> {
    let Some(plan) = &campaign.model else {
        return Err(no_model(campaign).into());
    };
    if let Some(name) = only
        && !runs.responses.iter().any(|response| response.name == name)
    {
        let known: Vec<&str> = runs.responses.iter().map(|r| r.name.as_str()).collect();
        return Err(
            Error::new(ErrorKind::Campaign, format!("unknown response `{name}`"))
                .in_file(&campaign.file)
                .hint(format!("responses of this campaign: {}", known.join(", ")))
                .into(),
        );
    }
    let responses: Vec<&str> = match only {
        Some(name) => vec![name],
        None => plan.responses.iter().map(String::as_str).collect(),
    };
    let mut found = Models::default();
    let mut faults = scale::faults(campaign, runs);
    for response in responses {
        let data = fit_data(campaign, runs, response, &mut found.caveats);
        let by_default = only.is_none() && is_there_by_default(plan, runs, response);
        if data.runs.is_empty() && by_default {
            let never = Caveat::of_response(response, Doubt::ResponseNeverLogged);
            found.caveats.push(never);
            continue;
        }
        if let Some(error) = no_runs(runs, response, &data) {
            faults.push(error.in_file(&campaign.file));
            continue;
        }
        found
            .caveats
            .extend(one_level(response, &plan.effects, &data));
        let params = params_of(plan, response, unit(runs, response), blocks(campaign, runs));
        let fitted = params
            .clone()
            .check(&data)
            .and_then(|valid| valid.fit(&data).map(|model| (valid, model)));
        match fitted {
            Ok((valid, model)) => {
                found.caveats.extend(model.caveats.iter().cloned());
                let fitted = Fitted {
                    params: &params,
                    valid: &valid,
                    model: &model,
                    data: &data,
                };
                if depth == Depth::WithFurther {
                    found.further.push(further(campaign, runs, &fitted, seed));
                }
                found.models.push(model);
            }
            Err(found) => faults.extend(found.into_errors()),
        }
    }
    Faults::or(faults, found)
}

/// The model of a response with the effects that the campaign names.
fn params_of(plan: &ModelPlan, response: &str, unit: String, blocks: Vec<String>) -> ModelParams {
    ModelParams {
        response: response.to_string(),
        unit,
        effects: plan.effects.clone(),
        joint: plan.joint.clone(),
        curved: plan
            .curved
            .iter()
            .filter(|curve| curve.power > 1)
            .map(|curve| Curve {
                factor: curve.factor.clone(),
                power: curve.power,
            })
            .collect(),
        blocks,
        constant: if plan.constant {
            Constant::Present
        } else {
            Constant::Absent
        },
        confidence: plan.confidence,
        method: match plan.method {
            FitMethod::Measured => MethodAsked::Measured,
            FitMethod::Plain => MethodAsked::Plain,
        },
        scale: scale::of(plan, response),
    }
}

fn no_model(campaign: &Campaign) -> Error {
    Error::new(
        ErrorKind::Campaign,
        format!("`{}` has no `[model]`", campaign.file),
    )
    .in_file(&campaign.file)
    .hint("add `[model]` with `effects = [...]`; `effects = []` fits the constant alone")
}

/// Whether a response stands there because the campaign named none, and is not the yield.
fn is_there_by_default(plan: &ModelPlan, runs: &Runs, response: &str) -> bool {
    let column = runs.responses.iter().find(|c| c.name == response);
    let is_yield = column.is_some_and(|column| column.kind == ResponseKind::Yield);
    !is_yield && plan.responses.len() > 1
}

fn unit(runs: &Runs, response: &str) -> String {
    runs.responses
        .iter()
        .find(|column| column.name == response)
        .map(|column| column.unit.clone())
        .unwrap_or_default()
}

/// Blocks that the campaign names; by default the lots, when there are enough and they are no effect.
fn blocks(campaign: &Campaign, runs: &Runs) -> Vec<String> {
    let Some(plan) = &campaign.model else {
        return Vec::new();
    };
    if let Some(named) = &plan.blocks {
        return named.clone();
    }
    let is_effect = plan
        .effects
        .iter()
        .chain(plan.joint.iter().flatten())
        .any(|name| name == LOT);
    let lots = runs.factors.iter().find(|factor| factor.name == LOT);
    match lots.map(|factor| &factor.values) {
        Some(runs::FactorValues::Choice { levels, .. })
            if !is_effect && levels.len() >= FEWEST_LOTS_FOR_BLOCKS =>
        {
            vec![LOT.into()]
        }
        _ => Vec::new(),
    }
}
