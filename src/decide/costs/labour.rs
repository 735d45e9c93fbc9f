//! Minutes of a run that are paid as labour, and where those to handle residue stand.
//!
//! In: logged labour, attended times, `[recycling] handling`. Out: [`Labour`].
//! This module never counts a minute twice: where nothing says whether the log holds it, it says so.

use super::reasons::Paid;
use crate::campaign::{Campaign, Handling};
use crate::runs::{ResponseColumn, RunResult, Runs};
use crate::units::Unit;

/// Where the stated time to handle residue stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HandlingStands {
    /// There, as the campaign file says or because it can be nowhere else.
    Known(Handling),
    /// Charged runs log labour, and nothing says whether that holds these minutes already.
    Unsaid(f64),
    /// The campaign file says in the labour that charged runs log, and none does.
    NotLogged,
}

/// Minutes that are paid as labour.
#[derive(Debug, Clone)]
pub struct Labour {
    /// Of each run, in run order; what it does not log where there are none.
    pub minutes: Vec<Result<f64, Paid>>,
    /// Where the time to handle residue stands.
    pub handling: HandlingStands,
}

impl Labour {
    /// What the runs log, and what the campaign file says of it.
    pub fn of(campaign: &Campaign, runs: &Runs) -> Self {
        let plan = campaign.recycling.as_ref();
        let is_logged = runs.counted().any(|run| run.labour.is_some());
        let attended = plan.iter().flat_map(|plan| &plan.attended);
        let attended: Vec<&ResponseColumn> =
            attended.filter_map(|name| runs.response(name)).collect();
        let minutes = |(position, run): (usize, &RunResult)| {
            let mut sum = match (is_logged, attended.is_empty()) {
                (false, false) => 0.0,
                _ => run.labour.ok_or(Paid::Labour)?,
            };
            for time in &attended {
                let known = time.values[position].filter(|time| *time >= 0.0);
                let unit = Unit::named(&time.unit).zip(known);
                let (unit, value) = unit.ok_or_else(|| Paid::Attended(time.name.clone()))?;
                sum += unit.to_base(value);
            }
            Ok(sum)
        };
        let mut found = Self {
            minutes: runs.results.iter().enumerate().map(minutes).collect(),
            handling: HandlingStands::Known(Handling::Extra),
        };
        let charged_log = found.is_logged(runs, |run| run.charge.residue_mass > 0.0);
        let stated = campaign.prices.as_ref().and_then(|of| of.residue_handling);
        found.handling = match (plan.and_then(|plan| plan.handling), stated) {
            (Some(Handling::Logged), _) if !charged_log => HandlingStands::NotLogged,
            (Some(said), _) => HandlingStands::Known(said),
            (None, Some(minutes)) if charged_log && minutes > 0.0 => {
                HandlingStands::Unsaid(minutes)
            }
            (None, _) => HandlingStands::Known(Handling::Extra),
        };
        found
    }

    /// Whether any run of a kind logs such minutes, those set aside left out.
    pub fn is_logged(&self, runs: &Runs, kind: impl Fn(&RunResult) -> bool) -> bool {
        let mut all = runs.results.iter().zip(&self.minutes);
        all.any(|(run, minutes)| run.set_aside.is_none() && kind(run) && minutes.is_ok())
    }

    /// Minutes of each run where they are known.
    pub fn known(&self) -> Vec<Option<f64>> {
        let minutes = self.minutes.iter();
        minutes
            .map(|minutes| minutes.as_ref().ok().copied())
            .collect()
    }
}
