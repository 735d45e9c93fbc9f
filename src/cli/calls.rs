//! The calls on one campaign, each from its files to its output.
//!
//! In: the options of a call. Out: text or JSON on stdout, doubts on stderr, files of a report.
//! This module never formats a figure.

use residuum::decide;
use residuum::error::Faults;
use residuum::intake;
use residuum::pipeline::{self, Analysis, Asked, CrossCheck, Normalised};
use residuum::report::{self, json, terminal};
use residuum::result::WholeResult;
use residuum::runs::Runs;
use serde::Serialize;

use super::load::{Loaded, load};
use super::progress::Progress;
use super::publish::publish;
use super::tell::{ended, failed, remark};
use super::width::of_stdout;
use super::{Common, CrossChecked, Ending};

pub(super) fn yields(common: &Common, cross_check: CrossChecked) -> Ending {
    let progress = Progress::over(3, common.quiet);
    progress.step("reading logs");
    let found = load(&common.campaign).and_then(|loaded| {
        progress.step("working out yields");
        let mut worked_out = normalised(&loaded)?;
        if cross_check == CrossChecked::Yes {
            progress.step("simulating");
            pipeline::cross_check(
                &loaded.campaign,
                &mut worked_out,
                CrossCheck::Every,
                common.seed,
            );
        }
        Ok((loaded, worked_out.runs))
    });
    progress.finish();
    match found {
        Err(faults) => failed(&faults),
        Ok((loaded, runs)) => {
            tell_doubts(common, &runs, &runs.caveats);
            let text = if common.json {
                one_object(&WholeResult {
                    yields: Some(json::yields(&runs)),
                    titrants: Some(json::titrants(&runs.titrants)),
                    budgets: Some(json::budgets(&decide::budgets(&runs))),
                    ..json::part(&loaded.campaign, &runs, &runs.caveats)
                })
            } else {
                terminal::yields(&runs, loaded.campaign.confidence(), of_stdout())
            };
            ended(&text, strictly(common, &runs, runs.caveats.len()))
        }
    }
}

pub(super) fn fit(common: &Common) -> Ending {
    match analysed(common, |loaded, normalised| {
        let runs = normalised.runs;
        let models = pipeline::fit(
            &loaded.campaign,
            &runs,
            common.response.as_deref(),
            common.seed,
        )?;
        Ok((loaded, runs, models))
    }) {
        Err(faults) => failed(&faults),
        Ok((loaded, runs, models)) => {
            let mut caveats = runs.caveats.clone();
            caveats.extend(models.caveats.iter().cloned());
            tell_doubts(common, &runs, &caveats);
            let text = if common.json {
                one_object(&WholeResult {
                    models: Some(json::models(&models.models, &models.further)),
                    ..json::part(&loaded.campaign, &runs, &caveats)
                })
            } else {
                terminal::models(&models.models, of_stdout())
            };
            ended(&text, strictly(common, &runs, caveats.len()))
        }
    }
}

/// What the options of a call ask of an analysis.
fn asked(common: &Common) -> Asked<'_> {
    Asked {
        response: common.response.as_deref(),
        ..Asked::usual(common.seed)
    }
}

/// Runs, models and answers, for a call that prints some of the answers.
pub(super) fn answered(common: &Common) -> Result<Analysis, Faults> {
    analysed(common, |loaded, normalised| {
        if loaded.campaign.model.is_none() {
            // Says what is missing in the same words as `fit`.
            pipeline::fit(&loaded.campaign, &normalised.runs, None, common.seed)?;
        }
        pipeline::analyse(loaded.campaign, normalised, asked(common))
    })
}

/// Prints one answer: as text, or as JSON; `answer` puts it under its key.
pub(super) fn told(
    common: &Common,
    analysis: &Analysis,
    answer: impl FnOnce(WholeResult) -> WholeResult,
    text: String,
) -> Ending {
    tell(common, analysis);
    let text = if common.json {
        let part = json::part(&analysis.campaign, &analysis.runs, &analysis.caveats);
        one_object(&answer(part))
    } else {
        text
    };
    ended(
        &text,
        strictly(common, &analysis.runs, analysis.caveats.len()),
    )
}

pub(super) fn report(common: &Common) -> Ending {
    let found = analysed(common, |loaded, normalised| {
        let name = loaded.name.clone();
        let analysis = whole_analysis(loaded, normalised, asked(common))?;
        let files = report::report(&analysis)?;
        Ok((name, analysis, files))
    });
    match found {
        Err(faults) => failed(&faults),
        Ok((name, analysis, files)) => {
            let folder = match publish(&common.out, &name, &files) {
                Ok(folder) => folder,
                Err(error) => return failed(&error.into()),
            };
            tell(common, &analysis);
            let text = if common.json {
                one_object(&json::whole(&analysis))
            } else {
                format!("{}\n", folder.join("report.md").display())
            };
            let ending = strictly(common, &analysis.runs, analysis.doubts().len());
            ended(&text, ending)
        }
    }
}

/// What `report` and `rounds` write: every stage behind the runs.
pub(super) fn whole_analysis(
    loaded: Loaded,
    mut normalised: Normalised,
    asked: Asked,
) -> Result<Analysis, Faults> {
    pipeline::cross_check(
        &loaded.campaign,
        &mut normalised,
        CrossCheck::Doubtful,
        asked.seed,
    );
    pipeline::analyse(loaded.campaign, normalised, asked)
}

/// The runs of a campaign on one footing, or every fault: those of logs that cannot be opened hide none of the others.
pub(super) fn normalised(loaded: &Loaded) -> Result<Normalised, Faults> {
    let mut stops = loaded.unread.clone();
    if !stops.is_empty() {
        stops.extend(intake::survey(&loaded.campaign, &loaded.files).stops);
    }
    Faults::or(stops, ())?;
    pipeline::normalise(&loaded.campaign, &loaded.files)
}

/// The stages that `fit` and `report` share, with a bar for who waits.
pub(super) fn analysed<T>(
    common: &Common,
    finish: impl FnOnce(Loaded, Normalised) -> Result<T, Faults>,
) -> Result<T, Faults> {
    let progress = Progress::over(3, common.quiet);
    progress.step("reading logs");
    let found = load(&common.campaign).and_then(|loaded| {
        progress.step("working out yields");
        let worked_out = normalised(&loaded)?;
        progress.step("fitting models");
        finish(loaded, worked_out)
    });
    progress.finish();
    found
}

fn tell(common: &Common, analysis: &Analysis) {
    tell_doubts(common, &analysis.runs, &analysis.doubts());
}

/// Left-out rows and doubts go to stderr, unless the user wants it quiet or gets them in the JSON.
pub(super) fn tell_doubts(common: &Common, runs: &Runs, caveats: &[residuum::caveat::Caveat]) {
    if !common.quiet && !common.json {
        remark(&terminal::left_out(&runs.left_out));
        remark(&terminal::caveats(caveats));
    }
}

pub(super) fn strictly(common: &Common, runs: &Runs, caveats: usize) -> Ending {
    let faulty = caveats > 0 || runs.left_out.iter().any(|entry| !entry.on_purpose);
    if common.strict && faulty {
        Ending::Flagged
    } else {
        Ending::Done
    }
}

pub(super) fn one_object(result: &impl Serialize) -> String {
    // A result holds texts, numbers and lists alone, and those can always be written.
    format!("{}\n", serde_json::to_string(result).unwrap_or_default())
}
