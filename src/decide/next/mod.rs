//! Runs to make next.
//!
//! In: a campaign, its models and the questions that are open. Out: [`NextRuns`]: settings with a reason each, and how well
//! the open questions would be known after them.
//! This module never proposes settings outside the declared limits, or outside the range run where no limit is declared.

mod allocation;
mod in_the_log;
mod known_after;
mod open;
mod weighing;

pub use allocation::Reason;
pub use known_after::{Power, Width};
pub use open::{Compared, OpenContrast, OpenQuestions, Question, open_questions};
pub use weighing::{Bench, LotContent, Weighing};

use super::evidence::Material;
use super::findings::Findings;
use super::models::{AimOf, ResponseModel};
use super::plannable::{Plannable, grouping, no_plan, plannable};
use crate::campaign::{Campaign, LOT};
use crate::caveat::Caveat;
use crate::error::{Error, ErrorKind};
use crate::regression::{
    FittedModel, MOST_PLANNED, ModelParams, NoPlan, Planner, Setting, Settings, Space, TermName,
    shuffled,
};
use crate::runs::{PlannedRun, Runs};
use allocation::{Shares, Split};
use in_the_log::{InTheLog, in_the_log};
use known_after::known_after;
use weighing::weighing;

/// Runs that are planned where nobody says how many.
pub const RUNS_PLANNED: usize = 8;

/// Runs to make, and what they would bring.
#[derive(Debug, Clone)]
pub struct NextRuns {
    /// The response whose model the runs are planned for.
    pub response: String,
    /// The runs, in the order in which they are to be made; those planned in the log already are none of them.
    pub runs: Vec<NextRun>,
    /// Planned runs of the log, which count among those asked for.
    pub in_the_log: Vec<String>,
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

/// Plans runs beside those made, so that there are `count` with those planned in the log; what is weighed in for them stands on
/// the bench.
///
/// # Errors
/// [`ErrorKind::Model`] without a model, for no run or too many, without a lot on the shelf, or if all is forbidden.
pub fn next_runs(
    material: &Material,
    findings: &Findings,
    bench: Option<&Bench>,
    count: usize,
) -> Result<NextRuns, Error> {
    let Material { campaign, runs, .. } = *material;
    check_count(count)?;
    let open = open_questions(findings);
    let main = planned_for(material, &open).ok_or_else(|| no_model(campaign))?;
    let Plannable { space, mut caveats } = plannable(campaign, Some(runs))?;
    let known = in_the_log(campaign, &runs.planned, &space);
    caveats.extend(known.caveats.clone());
    let planner_of = |model: &FittedModel, space: &Space| {
        let lots = grouping(runs, model);
        Planner::of_model(model, space.clone(), lots.as_ref())
    };
    let wanted = count.saturating_sub(known.runs.len());
    let (planner, wanted) = beside_planned(&known, &space, wanted, |space| {
        planner_of(&main.model, space)
    })
    .map_err(|reason| refused(campaign, &reason))?;
    let of_main = |contrast: &&OpenContrast| main.is_of(&contrast.of);
    let repeats = findings.repeatability.as_ref();
    let split = Split {
        planner: &planner,
        contrasts: open.contrasts.iter().filter(of_main).collect(),
        recommended: open.recommended.as_ref(),
        repeats: repeats.map_or(0, |known| known.degrees_of_freedom) + known.repeats(),
        decided: known.settings(),
        seed: material.seed,
    };
    let shares = split.runs(wanted);
    let shares = shares.map_err(|reason| refused(campaign, &reason))?;
    let mut planners = vec![(main, planner)];
    for other in &material.models.responses {
        if other.kind != main.kind {
            let planner = planner_of(&other.model, &space);
            planners.push((other, planner.map_err(|reason| refused(campaign, &reason))?));
        }
    }
    let to_come = [known.settings(), shares.settings()].concat();
    let (widths, power) = known_after(campaign, &planners, &open.contrasts, &to_come);
    Ok(NextRuns {
        response: main.kind.name().to_string(),
        widths,
        power,
        caveats,
        ..planned(campaign, bench, shares, &known, material.seed)
    })
}

/// A planner that proposes nothing that is planned in the log, and how many runs it may propose: none where all that may be run is
/// planned there.
fn beside_planned(
    known: &InTheLog,
    space: &Space,
    wanted: usize,
    planner: impl Fn(&Space) -> Result<Planner, NoPlan>,
) -> Result<(Planner, usize), NoPlan> {
    match planner(&known.taken_out_of(space)) {
        Err(NoPlan::AllForbidden) if !known.runs.is_empty() => Ok((planner(space)?, 0)),
        found => Ok((found?, wanted)),
    }
}

/// Doubts about planned runs of the log that do not count when further ones are chosen.
pub fn doubts_of_plans(campaign: &Campaign, runs: &Runs) -> Vec<Caveat> {
    let space = plannable(campaign, Some(runs)).map(|plannable| plannable.space);
    // Why nothing can be planned is told where it is asked for.
    let known = space.map(|space| in_the_log(campaign, &runs.planned, &space));
    known.map_or(Vec::new(), |known| known.caveats)
}

/// Plans the first runs of a campaign.
///
/// # Errors
/// As [`next_runs`]; also for an amount without limits and a choice without levels, as no run shows any.
pub fn first_runs(
    campaign: &Campaign,
    params: &ModelParams,
    in_log: &[PlannedRun],
    count: usize,
    seed: u64,
) -> Result<NextRuns, Error> {
    check_count(count)?;
    let Plannable { space, mut caveats } = plannable(campaign, None)?;
    let known = in_the_log(campaign, in_log, &space);
    caveats.extend(known.caveats.clone());
    let wanted = count.saturating_sub(known.runs.len());
    let (planner, wanted) = beside_planned(&known, &space, wanted, |space| {
        Planner::of_nothing(params, space.clone())
    })
    .map_err(|reason| refused(campaign, &reason))?;
    let terms = planner.terms().len();
    if count < terms && wanted > 0 {
        let of = &params.response;
        let fault = Error::new(
            ErrorKind::Model,
            format!("{count} runs cannot tell the {terms} terms of the model of `{of}` apart"),
        );
        return Err(fault.in_file(&campaign.file).hint(format!(
            "plan at least {terms} runs with `--runs {terms}`, better a few more, or ask for fewer terms"
        )));
    }
    let shares = allocation::first_runs(&planner, wanted, &known.settings(), seed);
    let shares = shares.map_err(|reason| refused(campaign, &reason))?;
    Ok(NextRuns {
        response: params.response.clone(),
        caveats,
        ..planned(campaign, None, shares, &known, seed)
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
    let why = why.message();
    let fault = Error::new(ErrorKind::Model, format!("no run can be planned: {why}"));
    fault.in_file(&campaign.file).hint(match reason {
        NoPlan::AllForbidden => "take a combination out of `limits.never`, or widen the levels",
        NoPlan::NoValues(name) if name == LOT => "name the lots at hand under `[shelf]`",
        NoPlan::NoValues(_) => "give it `low` and `high`, or `levels`, under `[factors]`",
        _ => "look at the values of the factors in the runs log",
    })
}

/// The model of the response that the campaign aims at, else the first; if it leaves nothing open, the first that does.
fn planned_for<'a>(material: &Material<'a>, open: &OpenQuestions) -> Option<&'a ResponseModel> {
    let aimed_at = AimOf::of(material.campaign);
    let models = &material.models.responses;
    let aimed = models.iter().find(|model| model.is_of(&aimed_at));
    let main = aimed.or(models.first())?;
    let leaves_open = |of: &&ResponseModel| {
        let mut contrasts = open.contrasts.iter();
        !of.model.not_separable.is_empty() || contrasts.any(|contrast| of.is_of(&contrast.of))
    };
    let found = [main].into_iter().chain(models).find(leaves_open);
    Some(found.unwrap_or(main))
}

/// The runs in an order drawn at random, so that what drifts falls on none of the settings alone.
fn planned(
    campaign: &Campaign,
    bench: Option<&Bench>,
    shares: Shares,
    known: &InTheLog,
    seed: u64,
) -> NextRuns {
    let in_order = (1..).zip(shuffled(shares.runs, seed));
    let runs = in_order.map(|(order, run)| {
        let lot = match run.settings.get(LOT) {
            Some(Setting::Level(lot)) => Some(lot.clone()),
            _ => None,
        };
        let settings = run.settings.without(LOT);
        NextRun {
            order,
            weighing: bench.and_then(|bench| weighing(campaign, bench, &settings, lot.as_deref())),
            reason: run.reason,
            settings,
            lot,
        }
    });
    NextRuns {
        response: String::new(),
        runs: runs.collect(),
        in_the_log: known.runs.iter().map(|known| known.run.clone()).collect(),
        widths: Vec::new(),
        power: Vec::new(),
        separated: shares.separated,
        still_tangled: shares.still_tangled,
        efficiency: shares.efficiency,
        caveats: Vec::new(),
    }
}
