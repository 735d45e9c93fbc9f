//! Which runs should be made next?
//!
//! In: a campaign, its models and the questions that are open. Out: [`NextRuns`]: settings with a reason each, and how well
//! the open questions would be known after them.
//! This module never proposes settings outside the declared limits, or outside the range run where no limit is declared.

mod ground;
mod known_after;
mod open;
mod split;
mod weighing;

pub use known_after::{Power, Width};
pub use open::{Compared, OpenContrast, OpenQuestions, Question, open_questions};
pub use weighing::{Bench, LotContent, Weighing};

use super::models::{AimOf, ModelSet, ResponseModel};
use crate::campaign::Campaign;
use crate::caveat::Caveat;
use crate::error::{Error, ErrorKind};
use crate::regression::{
    FittedModel, Grouping, MOST_PLANNED, ModelParams, NoPlan, Planner, Settings, TermName, shuffled,
};
use crate::runs::{FactorValues, Runs};
use ground::{Ground, ground};
use split::Split;

/// Name of the factor that tells which lot a run takes its feed from.
const LOT: &str = "lot";

/// Runs that are planned where nobody says how many.
pub const RUNS_PLANNED: usize = 8;

/// Runs to make, and what they would bring.
#[derive(Debug, Clone)]
pub struct NextRuns {
    /// The response whose model the runs are planned for.
    pub response: String,
    /// The runs, in the order in which they are to be made.
    pub runs: Vec<NextRun>,
    /// How well open questions are known now, and would be after the runs.
    pub widths: Vec<Width>,
    /// The chance to see a difference as large as the margin, now and after the runs.
    pub power: Vec<Power>,
    /// Terms that these runs would tell apart.
    pub separated: Vec<TermName>,
    /// Terms that could not be told apart even after these runs.
    pub still_tangled: Vec<TermName>,
    /// `det(XᵀX)^(1/p) / n` of the runs planned, for a log without any run.
    pub efficiency: Option<f64>,
    /// Doubts about the plan.
    pub caveats: Vec<Caveat>,
}

/// One run to make.
#[derive(Debug, Clone, PartialEq)]
pub struct NextRun {
    /// Its place in the order of making, from 1.
    pub order: usize,
    /// What it is for.
    pub reason: Reason,
    /// Its settings, the lot apart.
    pub settings: Settings,
    /// The lot that its feed is taken from.
    pub lot: Option<String>,
    /// What to weigh in, where the campaign says enough.
    pub weighing: Option<Weighing>,
}

/// What a run is for.
#[derive(Debug, Clone, PartialEq)]
pub enum Reason {
    /// To tell these terms apart from what they are tangled with.
    Separate(Vec<TermName>),
    /// To settle this question, which would lose most without the run.
    Settle(Compared),
    /// To see how well the method repeats itself: a run like another of these.
    Repeat,
    /// To confirm the settings recommended.
    Confirm,
    /// To know the whole of the model better.
    Cover,
}

/// Everything that a plan beside runs already made is worked out from.
pub struct PlanFrom<'a> {
    /// The campaign.
    pub campaign: &'a Campaign,
    /// Its runs.
    pub runs: &'a Runs,
    /// Its models.
    pub models: &'a ModelSet,
    /// What is open.
    pub open: &'a OpenQuestions,
    /// Degrees of freedom of what is known of the scatter of runs made alike.
    pub repeats: usize,
    /// What is weighed in.
    pub bench: Option<&'a Bench>,
}

/// Where further runs may lie.
///
/// # Errors
/// As [`next_runs`].
pub(super) fn space(campaign: &Campaign, runs: &Runs) -> Result<crate::regression::Space, Error> {
    ground(campaign, Some(runs)).map(|ground| ground.space)
}

/// Plans runs beside those made.
///
/// # Errors
/// [`ErrorKind::Model`] without a model, for no run or too many, without a lot on the shelf, or if all is forbidden.
pub fn next_runs(standing: &PlanFrom, count: usize, seed: u64) -> Result<NextRuns, Error> {
    let campaign = standing.campaign;
    check_count(count)?;
    let Some(main) = planned_for(standing) else {
        return Err(no_model(campaign));
    };
    let Ground { space, caveats } = ground(campaign, Some(standing.runs))?;
    let planner_of = |model: &FittedModel| {
        Planner::of_model(
            model,
            space.clone(),
            grouping(standing.runs, model).as_ref(),
        )
        .map_err(|reason| refused(campaign, &reason))
    };
    let planner = planner_of(&main.model)?;
    let split = Split {
        planner: &planner,
        contrasts: standing
            .open
            .contrasts
            .iter()
            .filter(|contrast| main.is_of(&contrast.of))
            .collect(),
        recommended: standing.open.recommended.as_ref(),
        repeats: standing.repeats,
        seed,
    };
    let shares = split
        .runs(count)
        .map_err(|reason| refused(campaign, &reason))?;
    let settings: Vec<Settings> = shares.runs.iter().map(|run| run.settings.clone()).collect();
    let mut planners = vec![(main, planner)];
    for other in &standing.models.responses {
        if other.kind != main.kind {
            planners.push((other, planner_of(&other.model)?));
        }
    }
    let known_after::KnownAfter { widths, power } =
        known_after::known_after(campaign, &planners, &standing.open.contrasts, &settings);
    Ok(NextRuns {
        response: main.kind.name().to_string(),
        runs: in_order(campaign, standing.bench, shares.runs, seed),
        widths,
        power,
        separated: shares.separated,
        still_tangled: shares.still_tangled,
        efficiency: None,
        caveats,
    })
}

/// Plans the first runs of a campaign.
///
/// # Errors
/// As [`next_runs`]; also for an amount without limits and a choice without levels, as no run shows any.
pub fn first_runs(
    campaign: &Campaign,
    params: &ModelParams,
    bench: Option<&Bench>,
    count: usize,
    seed: u64,
) -> Result<NextRuns, Error> {
    check_count(count)?;
    let Ground { space, caveats } = ground(campaign, None)?;
    let planner =
        Planner::of_nothing(params, space).map_err(|reason| refused(campaign, &reason))?;
    let terms = planner.terms().len();
    if count < terms {
        return Err(Error::new(
            ErrorKind::Model,
            format!(
                "{count} runs cannot tell the {terms} terms of the model of `{}` apart",
                params.response
            ),
        )
        .in_file(&campaign.file)
        .hint(format!(
            "plan at least {terms} runs with `--runs {terms}`, better a few more, or ask for fewer terms"
        )));
    }
    let split = Split {
        planner: &planner,
        contrasts: Vec::new(),
        recommended: None,
        repeats: usize::MAX,
        seed,
    };
    let shares = split
        .first_runs(count)
        .map_err(|reason| refused(campaign, &reason))?;
    Ok(NextRuns {
        response: params.response.clone(),
        efficiency: shares.efficiency,
        runs: in_order(campaign, bench, shares.runs, seed),
        widths: Vec::new(),
        power: Vec::new(),
        separated: shares.separated,
        still_tangled: shares.still_tangled,
        caveats,
    })
}

fn check_count(count: usize) -> Result<(), Error> {
    let message = match count {
        0 => "no run was asked for: 0".to_string(),
        n if n > MOST_PLANNED => format!("more runs than can be planned at once: {n}"),
        _ => return Ok(()),
    };
    Err(Error::new(ErrorKind::Model, message).hint(format!(
        "ask for 1 to {MOST_PLANNED} runs; plan again when some of them are made"
    )))
}

fn no_model(campaign: &Campaign) -> Error {
    Error::new(
        ErrorKind::Campaign,
        format!("`{}` has no `[model]` to plan runs for", campaign.file),
    )
    .in_file(&campaign.file)
    .hint("add `[model]` with `effects = [...]`: the runs are chosen to teach most about its terms")
}

fn refused(campaign: &Campaign, reason: &NoPlan) -> Error {
    let why = no_plan(reason);
    Error::new(
        ErrorKind::Model,
        format!("no run can be planned: {}", why.message()),
    )
    .in_file(&campaign.file)
    .hint(match reason {
        NoPlan::AllForbidden => "take a combination out of `limits.never`, or widen the levels",
        NoPlan::NoValues(name) if name == LOT => "name the lots at hand under `[shelf]`",
        NoPlan::NoValues(_) => "give it `low` and `high`, or `levels`, under `[factors]`",
        _ => "look at the values of the factors in the runs log",
    })
}

/// The fault for which there is no plan, whoever asked for one.
pub(super) fn no_plan(reason: &NoPlan) -> Error {
    Error::new(
        ErrorKind::Model,
        match reason {
            NoPlan::NoRuns => "no run was asked for".into(),
            NoPlan::TooMany(runs) => {
                format!("more than {MOST_PLANNED} runs were asked for: {runs}")
            }
            NoPlan::NoValues(name) => format!("`{name}` has no value to plan with"),
            NoPlan::AllForbidden => "every combination of the settings is forbidden".into(),
            NoPlan::UnknownSettings => "the model does not know these settings".into(),
            NoPlan::OutOfRange => "the numbers are too large or too small to plan with".to_string(),
        },
    )
}

/// The model of the response that the campaign aims at, else the first; if it leaves nothing open, the first that does.
fn planned_for<'a>(standing: &PlanFrom<'a>) -> Option<&'a ResponseModel> {
    let aimed_at = AimOf::of(standing.campaign);
    let models = &standing.models.responses;
    let aimed = models.iter().find(|model| model.is_of(&aimed_at));
    let main = aimed.or(models.first())?;
    let leaves_open = |of: &&ResponseModel| {
        let mut contrasts = standing.open.contrasts.iter();
        !of.model.not_separable.is_empty() || contrasts.any(|contrast| of.is_of(&contrast.of))
    };
    Some(
        [main]
            .into_iter()
            .chain(models)
            .find(leaves_open)
            .unwrap_or(main),
    )
}

/// The lot of each run of a model.
pub(super) fn grouping(runs: &Runs, model: &FittedModel) -> Option<Grouping> {
    let lots = runs.factors.iter().find(|factor| factor.name == LOT)?;
    let FactorValues::Choice { levels, codes } = &lots.values else {
        return None;
    };
    // Both stand in run order, so that one pass finds each run of the model.
    let mut results = runs.results.iter().zip(codes);
    Some(Grouping {
        factor: LOT.into(),
        levels: model
            .runs
            .iter()
            .map(|name| {
                let (_, code) = results.find(|(run, _)| run.run == *name)?;
                code.map(|code| levels[code].clone())
            })
            .collect(),
    })
}

/// The runs in an order drawn at random, so that what drifts falls on none of the settings alone.
fn in_order(
    campaign: &Campaign,
    bench: Option<&Bench>,
    runs: Vec<split::SplitRun>,
    seed: u64,
) -> Vec<NextRun> {
    shuffled(runs, seed)
        .into_iter()
        .enumerate()
        .map(|(place, run)| {
            let lot = match run.settings.get(LOT) {
                Some(crate::regression::Setting::Level(lot)) => Some(lot.clone()),
                _ => None,
            };
            let settings = run.settings.without(LOT);
            NextRun {
                order: place + 1,
                weighing: bench.and_then(|bench| {
                    weighing::weighing(campaign, bench, &settings, lot.as_deref())
                }),
                reason: run.reason,
                settings,
                lot,
            }
        })
        .collect()
}
