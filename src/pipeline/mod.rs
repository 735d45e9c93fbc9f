//! The stages in their order: logs, runs, models, findings, answers, and the words last.
//!
//! In: a checked campaign and the bytes of its logs. Out: [`Analysis`], and what a printer makes of it.
//! This module never opens a file, reads the clock or writes to a terminal.

mod analysis;
mod assays;
mod behind_stops;
mod drift;
mod failed_diagnostics;
mod fit_data;
mod fit_models;
mod further;
mod logit;
mod logs;
mod measurement;
mod next;
mod otherwise;
mod side_models;
mod still_missing;

pub use crate::runs::levels_spelt_alike;
pub use analysis::{Analysis, Ends};
pub use assays::{OpenAbout, OpenFigure, Repeated};
pub use behind_stops::{Behind, Lost, behind_stops, only_follows};
pub use drift::drift;
pub use fit_models::{Models, fit, known_response, posed};
pub use further::{Alike, Decides, Further};
pub use logs::{CrossCheck, Normalised, cross_check, normalise, on_one_footing};
pub use measurement::measurement;
pub use next::{first as first_runs, read_back};
pub use side_models::decision_models;
pub use still_missing::still_missing;

use crate::answers::answers;
use crate::at_once::beside;
use crate::campaign::{Campaign, CampaignDraft, FileText};
use crate::caveat::{Caveat, Doubt};
use crate::decide::{
    Grounds, Material, ModelSet, RUNS_PLANNED, costs, doubted_runs, doubts_of_money, findings,
    firmness, needed, next_runs,
};
use crate::drift::Drifts;
use crate::error::{Error, Faults};
use crate::intake::LogFile;
use crate::regression::Diagnostic;

/// What a call asks for beside the whole.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The only response to fit; None for all of the campaign.
    pub response: Option<&'a str>,
    /// Further runs to plan.
    pub planned: usize,
    /// Seed of whatever is simulated.
    pub seed: u64,
    /// How much is worked out.
    pub extent: Extent,
}

/// How much is worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent {
    /// Everything.
    Whole,
    /// Questions 1 to 6 and 9, without control charts, further runs and those that would settle what is open.
    WithoutCharts,
}

impl Asked<'_> {
    /// All responses, and as many further runs as are usual.
    pub fn usual(seed: u64) -> Self {
        Asked {
            response: None,
            planned: RUNS_PLANNED,
            seed,
            extent: Extent::Whole,
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
    let (fitted, (costs, side)) = beside(
        || match campaign.model {
            Some(_) => fit(&campaign, &runs, asked.response, seed),
            None => Ok(Models::default()),
        },
        || {
            let costs = costs(&campaign, &runs);
            let side = side_models::side_models(&campaign, &runs, costs.as_ref());
            (costs, side)
        },
    );
    let fitted = fitted?;
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
        plans_runs: asked.extent == Extent::Whole,
    };
    let (findings, drift) = beside(
        || findings(&material),
        || match asked.extent {
            Extent::Whole => drift(&campaign, &runs, models.models(), asked.response, seed),
            Extent::WithoutCharts => Drifts::default(),
        },
    );
    let diagnostics: Vec<Vec<Diagnostic>> = fitted
        .further
        .iter()
        .map(|of_model| of_model.diagnostics.clone())
        .collect();
    let doubted = doubted_runs(&diagnostics, &runs.caveats);
    let needed = |how: &_| needed(&material, &findings, how);
    let others = otherwise::otherwise(&material, &doubted, needed);
    let grounds = Grounds {
        diagnostics: &diagnostics,
        doubts: &runs.caveats,
        others: &others,
    };
    let firmness = firmness(&material, &findings, &grounds);
    let next = (!models.responses.is_empty() && asked.extent == Extent::Whole)
        .then(|| next_runs(&material, &findings, bench.as_ref(), asked.planned));
    let assays = match asked.extent {
        Extent::Whole => assays::assays_worth_repeating(&material, &findings),
        Extent::WithoutCharts => Vec::new(),
    };
    let mut caveats = runs.caveats.clone();
    caveats.extend(fitted.caveats);
    caveats.extend(
        costs
            .iter()
            .flat_map(|costs| doubts_of_money(&campaign, costs)),
    );
    let amounts = otherwise::straight(&campaign, &runs, false);
    let untold = (!amounts.is_empty() && !models.responses.is_empty())
        .then(|| Caveat::of_campaign(Doubt::BendUntold { amounts }));
    caveats.extend(untold);
    let mut analysis = Analysis {
        campaign,
        runs,
        models,
        further: fitted.further,
        costs,
        findings,
        firmness,
        next,
        assays,
        drift,
        answers: Vec::new(),
        caveats,
    };
    analysis.answers = answers(&analysis.basis(&analysis.doubts()));
    Ok(analysis)
}
