//! Further runs, shared out among what is open.
//!
//! In: a planner, the open contrasts, the settings recommended. Out: runs with a reason each.
//! This module never gives a run two reasons, and never drops what comes first for what comes later: terms that cannot be
//! told apart, then confirmation of recommended settings and repeats, then open differences, then the whole model.

use super::open::{Compared, OpenContrast};
use crate::regression::{
    After, BlocksAs, Criterion, NoPlan, PlanContrast, Planner, Settings, TermName,
};

/// Degrees of freedom of repeats from which on more of them teach little: the scatter is then known to a third.
const ENOUGH_REPEATS: usize = 4;

/// Most runs that confirm: two that agree are worth more than one, and a third adds little.
const MOST_CONFIRMING: usize = 2;

/// Largest part of the runs that go into repeats.
const PART_FOR_REPEATS: usize = 4;

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

/// What the runs are shared out among.
pub(super) struct Split<'a> {
    pub planner: &'a Planner,
    pub contrasts: Vec<&'a OpenContrast>,
    pub recommended: Option<&'a Settings>,
    /// Degrees of freedom of repeats so far, and those to come by the runs decided on.
    pub repeats: usize,
    /// Runs that are decided on already.
    pub decided: Vec<Settings>,
    pub seed: u64,
}

/// A run with its reason, before the order is drawn.
#[derive(Clone)]
pub(super) struct SplitRun {
    pub reason: Reason,
    pub settings: Settings,
}

impl SplitRun {
    fn new(reason: Reason, settings: &Settings) -> Self {
        let settings = settings.clone();
        SplitRun { reason, settings }
    }
}

/// An open contrast and how much its variance counts.
struct Weighed<'a> {
    contrast: &'a OpenContrast,
    weight: f64,
}

/// All runs, and what they tell apart.
pub(super) struct Shares {
    pub runs: Vec<SplitRun>,
    pub separated: Vec<TermName>,
    pub still_tangled: Vec<TermName>,
    pub efficiency: Option<f64>,
}

impl Shares {
    /// The settings of all runs, without their reasons.
    pub fn settings(&self) -> Vec<Settings> {
        settings_of(&self.runs)
    }
}

/// The first runs of a campaign: as much as they can teach about the whole model.
pub(super) fn first_runs(
    planner: &Planner,
    count: usize,
    decided: &[Settings],
    seed: u64,
) -> Result<Shares, NoPlan> {
    let mut shares = Shares {
        runs: Vec::new(),
        separated: Vec::new(),
        still_tangled: planner.unknown_terms(decided),
        efficiency: None,
    };
    if count > 0 {
        let everything = &Criterion::Everything;
        let plan = planner.plan(count, decided, everything, BlocksAs::Random, seed)?;
        let runs = plan.runs.iter();
        let runs = runs.map(|settings| SplitRun::new(Reason::Cover, settings));
        shares.runs = runs.collect();
        shares.still_tangled = planner.unknown_terms(&[decided, &plan.runs].concat());
        shares.efficiency = plan.efficiency;
    }
    Ok(shares)
}

impl Split<'_> {
    /// The runs beside those made.
    pub fn runs(&self, count: usize) -> Result<Shares, NoPlan> {
        let mut runs: Vec<SplitRun> = Vec::new();
        let separated = self.separate(count, &mut runs)?;
        let rest = count - runs.len();
        let recommended = self.recommended.map(|of| self.planner.completed(of));
        let recommended = recommended.filter(|settings| self.planner.space().holds(settings));
        let confirming = match &recommended {
            Some(_) if rest >= 2 * MOST_CONFIRMING => MOST_CONFIRMING,
            Some(_) if rest >= 2 => 1,
            _ => 0,
        };
        if let Some(settings) = &recommended {
            let confirm = SplitRun::new(Reason::Confirm, settings);
            runs.extend(vec![confirm; confirming]);
        }
        let rest = rest - confirming;
        // Runs that confirm the same settings are repeats of one another.
        let repeated = self.repeats + confirming.saturating_sub(1);
        let lacking = ENOUGH_REPEATS.saturating_sub(repeated);
        let repeats = lacking.min(rest / PART_FOR_REPEATS);
        let teaching = rest - repeats;
        let first = runs.len();
        if teaching > 0 {
            self.teach(teaching, &mut runs)?;
        }
        for repeat in 0..repeats {
            let taught = runs.get(first + repeat % teaching.max(1));
            let again = taught.map(|run| SplitRun::new(Reason::Repeat, &run.settings));
            runs.extend(again);
        }
        Ok(Shares {
            still_tangled: self.planner.unknown_terms(&self.with_decided(&runs)),
            runs,
            separated,
            efficiency: None,
        })
    }

    /// Adds the runs that tell tangled terms apart, and says which terms those are.
    fn separate(&self, count: usize, runs: &mut Vec<SplitRun>) -> Result<Vec<TermName>, NoPlan> {
        let decided = self.decided.as_slice();
        let unknown = self.planner.unknown_terms(decided);
        if unknown.is_empty() || count == 0 {
            return Ok(Vec::new());
        }
        // One run a term, and one more so that none of them stands alone.
        let share = count.min(unknown.len() + 1);
        let (planner, everything) = (self.planner, &Criterion::Everything);
        let plan = planner.plan(share, decided, everything, BlocksAs::Free, self.seed)?;
        let all = [decided, &plan.runs].concat();
        let left = self.planner.unknown_terms(&all);
        let separated = unknown.into_iter().filter(|term| !left.contains(term));
        let separated: Vec<TermName> = separated.collect();
        if separated.is_empty() {
            // Nothing that may be proposed tells them apart.
            return Ok(separated);
        }
        for (place, settings) in plan.runs.iter().enumerate() {
            let mut terms = self.planner.terms_served(&all, decided.len() + place);
            terms.retain(|term| separated.contains(term));
            // A run that tells of none of them is better spent on what comes later.
            if !terms.is_empty() {
                runs.push(SplitRun::new(Reason::Separate(terms), settings));
            }
        }
        Ok(separated)
    }

    /// Adds the runs that settle the open contrasts, or cover the model where none is open.
    fn teach(&self, count: usize, runs: &mut Vec<SplitRun>) -> Result<(), NoPlan> {
        let decided = self.with_decided(runs);
        // What cannot be told even after the runs decided on would drown all else. Each variance counts as a part of what it
        // is now, so that contrasts in different units, and small ones, count alike.
        let known = self.planner.after(&decided);
        let open = self.contrasts.iter().filter_map(|contrast| {
            let variance = known.variance(&contrast.parts)?;
            let weight = 1.0 / variance;
            (variance > 0.0).then_some(Weighed { contrast, weight })
        });
        let open: Vec<Weighed> = open.collect();
        let contrasts = open.iter().map(|open| PlanContrast {
            weight: open.weight,
            parts: open.contrast.parts.clone(),
        });
        let criterion = match open.is_empty() {
            true => Criterion::Everything,
            false => Criterion::Contrasts(contrasts.collect()),
        };
        let planner = self.planner;
        let plan = planner.plan(count, &decided, &criterion, BlocksAs::Random, self.seed)?;
        let all: Vec<Settings> = decided.iter().chain(&plan.runs).cloned().collect();
        let with = planner.after(&all);
        for (place, settings) in plan.runs.iter().enumerate() {
            let mut without = all.clone();
            without.remove(decided.len() + place);
            let reason = most_lost(&open, &with, &planner.after(&without));
            runs.push(SplitRun::new(reason, settings));
        }
        Ok(())
    }

    /// The settings of the runs decided on before and of these.
    fn with_decided(&self, runs: &[SplitRun]) -> Vec<Settings> {
        [self.decided.as_slice(), &settings_of(runs)].concat()
    }
}

/// The open contrast whose variance grows most without a run.
fn most_lost(open: &[Weighed], with: &After, without: &After) -> Reason {
    let mut most: Option<(f64, &Compared)> = None;
    for Weighed { contrast, weight } in open {
        let [without, with] = [without, with].map(|runs| runs.variance(&contrast.parts));
        let lost = match (without, with) {
            (Some(without), Some(with)) => weight * (without - with),
            (None, Some(_)) => f64::INFINITY,
            _ => continue,
        };
        if most.is_none_or(|(largest, _)| lost > largest * (1.0 + 1e-9)) {
            most = Some((lost, &contrast.compared));
        }
    }
    most.map_or(Reason::Cover, |(_, about)| Reason::Settle(about.clone()))
}

fn settings_of(runs: &[SplitRun]) -> Vec<Settings> {
    runs.iter().map(|run| run.settings.clone()).collect()
}
