//! The stages that several calls share, with a bar for who waits.
//!
//! In: the options of a call, a loaded campaign. Out: its runs on one footing, its whole analysis.
//! This module never prints a result.

use residuum::error::Faults;
use residuum::intake::{self, Logged};
use residuum::pipeline::{self, Analysis, Asked, CrossCheck, Normalised};

use super::Common;
use super::load::Loaded;
use super::progress::Progress;

/// Does some work on a campaign while a bar shows how far it has come.
pub(super) fn watched<T>(
    common: &Common,
    work: impl FnOnce(Loaded, &Progress) -> Result<T, Faults>,
) -> Result<T, Faults> {
    let progress = Progress::over(3, common.quiet);
    progress.step("reading logs");
    let found = common.load().and_then(|loaded| work(loaded, &progress));
    progress.finish();
    found
}

/// As [`watched`], from the runs of the campaign on.
pub(super) fn analysed<T>(
    common: &Common,
    finish: impl FnOnce(Loaded, Normalised) -> Result<T, Faults>,
) -> Result<T, Faults> {
    watched(common, |loaded, progress| {
        progress.step("working out yields");
        let worked_out = normalised(&loaded)?;
        progress.step("fitting models");
        finish(loaded, worked_out)
    })
}

/// What `report` and `rounds` write: every stage behind the runs.
pub(super) fn whole_analysis(
    loaded: Loaded,
    mut normalised: Normalised,
    asked: Asked,
) -> Result<Analysis, Faults> {
    let doubtful = CrossCheck::Doubtful;
    pipeline::cross_check(&loaded.campaign, &mut normalised, doubtful, asked.seed);
    pipeline::analyse(loaded.campaign, normalised, asked)
}

/// The runs of a campaign on one footing, or every fault.
pub(super) fn normalised(loaded: &Loaded) -> Result<Normalised, Faults> {
    let logged = logged(loaded)?;
    pipeline::on_one_footing(&loaded.campaign, logged).map_err(|stopped| stopped.faults)
}

/// What is logged, or every fault of the logs: those of logs that cannot be opened hide none of the others.
pub(super) fn logged(loaded: &Loaded) -> Result<Logged, Faults> {
    let mut stops = loaded.unread.clone();
    let survey = intake::survey(&loaded.campaign, &loaded.files);
    stops.extend(survey.stops);
    Faults::or(stops, survey.logged)
}
