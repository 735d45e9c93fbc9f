//! The stages in their order: logs, runs, models, findings, answers, and the words last.
//!
//! In: a checked campaign and the bytes of its logs. Out: [`Analysis`], and what a printer makes of it.
//! This module never opens a file, reads the clock or writes to a terminal.

mod analysis;
mod drift;
mod fit_data;
mod fit_models;
mod further;
mod logit;
mod logs;
mod measurement;
mod next;
mod side_models;

pub use analysis::{Analysis, Ends};
pub use drift::drift;
pub use fit_models::{Models, fit, known_response};
pub use further::{Alike, Decides, Further};
pub use logs::{CrossCheck, Normalised, cross_check, normalise};
pub use measurement::measurement;
pub use next::first as first_runs;
pub use side_models::decision_models;

use crate::answers::answers;
use crate::campaign::{Campaign, CampaignDraft, FileText};
use crate::decide::{Material, ModelSet, RUNS_PLANNED, beside, costs, findings, next_runs};
use crate::error::{Error, Faults};
use crate::intake::LogFile;

/// What a call asks for beside the whole.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The only response to fit; None for all of the campaign.
    pub response: Option<&'a str>,
    /// Further runs to plan.
    pub planned: usize,
    /// Seed of whatever is simulated.
    pub seed: u64,
}

impl Asked<'_> {
    /// All responses, and as many further runs as are usual.
    pub fn usual(seed: u64) -> Self {
        Asked {
            response: None,
            planned: RUNS_PLANNED,
            seed,
        }
    }
}

/// The whole job: from the text of a campaign file and the bytes of its logs to whatever `write` makes of the analysis.
///
/// # Errors
/// Every fault of the campaign file and of the logs at once; then those of the models, and those of `write`.
pub fn from_logs<Report>(
    campaign: FileText,
    logs: &[LogFile],
    seed: u64,
    write: impl FnOnce(&Analysis) -> Result<Report, Error>,
) -> Result<Report, Faults> {
    let campaign = CampaignDraft::read(campaign)?.check()?;
    let mut normalised = normalise(&campaign, logs)?;
    cross_check(&campaign, &mut normalised, CrossCheck::Doubtful, seed);
    let analysis = analyse(campaign, normalised, Asked::usual(seed))?;
    Ok(write(&analysis)?)
}

/// From runs on one footing to answers: models where the campaign asks for them, findings, further runs, answers.
///
/// # Errors
/// As [`fit`].
pub fn analyse(
    campaign: Campaign,
    normalised: Normalised,
    asked: Asked,
) -> Result<Analysis, Faults> {
    let seed = asked.seed;
    let bench = next::bench(&normalised.logged);
    let runs = normalised.runs;
    let fitted = match campaign.model {
        Some(_) => fit(&campaign, &runs, asked.response, seed)?,
        None => Models::default(),
    };
    let costs = costs(&campaign, &runs);
    let side = side_models::side_models(&campaign, &runs, costs.as_ref());
    let models = ModelSet::new(fitted.models, side);
    let further = fitted.further.iter();
    let comparisons: Vec<_> = further
        .map(|of_model| of_model.comparisons.clone())
        .collect();
    let material = Material {
        campaign: &campaign,
        runs: &runs,
        models: &models,
        comparisons: &comparisons,
        costs: costs.as_ref(),
        seed,
    };
    let (findings, drift) = beside(
        || findings(&material),
        || drift(&campaign, &runs, models.models(), asked.response, seed),
    );
    let next = (!models.responses.is_empty())
        .then(|| next_runs(&material, &findings, bench.as_ref(), asked.planned));
    let mut caveats = runs.caveats.clone();
    caveats.extend(fitted.caveats);
    let mut analysis = Analysis {
        campaign,
        runs,
        models,
        further: fitted.further,
        costs,
        findings,
        next,
        drift,
        answers: Vec::new(),
        caveats,
    };
    analysis.answers = answers(&analysis.basis(&analysis.doubts()));
    Ok(analysis)
}
