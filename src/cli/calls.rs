//! The calls that print what is known of one campaign, each from its files to its output.
//!
//! In: the options of a call. Out: text or JSON on stdout, doubts on stderr, files of a report.
//! This module never formats a figure.

use residuum::decide;
use residuum::decide::Claim;
use residuum::error::Error;
use residuum::pipeline::{self, Analysis, Asked, CrossCheck};
use residuum::report::{self, Form, Width, json, terminal, wrapped};
use residuum::result::WholeResult;

use super::faults::lacking;
use super::publish::publish;
use super::source::{contents, report_name, source, unchanged};
use super::tell::{Told, failed, output, told};
use super::width::of_stdout;
use super::work::{analysed, normalised, watched, whole_analysis};
use super::{Common, Ending};

pub(super) fn yields(common: &Common, also: Option<CrossCheck>) -> Ending {
    let found = watched(common, |loaded, progress| {
        progress.step("working out yields");
        let mut worked_out = normalised(&loaded)?;
        let campaign = &loaded.campaign;
        if let Some(which) = also {
            progress.step("simulating");
            pipeline::cross_check(campaign, &mut worked_out, which, common.seed);
        }
        let runs = worked_out.runs;
        let text = || terminal::yields(&runs, campaign.confidence(), of_stdout());
        let result = || WholeResult {
            yields: Some(json::yields(&runs)),
            titrants: Some(json::titrants(&runs.titrants)),
            control: runs.control.as_ref().map(json::control),
            budgets: Some(json::budgets(&decide::budgets(&runs))),
            ..json::part(campaign, &runs, &runs.caveats)
        };
        let output = output(common, text, result);
        Ok(Told::of(output, runs.left_out, runs.caveats))
    });
    told(common, found)
}

pub(super) fn fit(common: &Common) -> Ending {
    let found = analysed(common, |loaded, normalised| {
        let (campaign, runs) = (&loaded.campaign, normalised.runs);
        let models = pipeline::fit(campaign, &runs, common.response.as_deref(), common.seed)?;
        let caveats = [runs.caveats.as_slice(), &models.caveats].concat();
        let text = || terminal::models(&models.models, of_stdout());
        let result = || WholeResult {
            models: Some(json::models(&models.models, &models.further)),
            ..json::part(campaign, &runs, &caveats)
        };
        let output = output(common, text, result);
        Ok(Told::of(output, runs.left_out, caveats))
    });
    told(common, found)
}

pub(super) fn drift(common: &Common) -> Ending {
    let found = analysed(common, |loaded, normalised| {
        let (campaign, runs) = (&loaded.campaign, normalised.runs);
        let only = common.response.as_deref();
        pipeline::known_response(campaign, &runs, only)?;
        let drifts = pipeline::drift(campaign, &runs, &[], only, common.seed);
        let caveats = [runs.caveats.as_slice(), &drifts.doubts()].concat();
        let text = || terminal::drift(&drifts, of_stdout());
        let result = || WholeResult {
            drift: Some(json::drift(&drifts)),
            not_charted: Some(json::not_charted(&drifts)),
            ..json::part(campaign, &runs, &caveats)
        };
        let output = output(common, text, result);
        Ok(Told::of(output, runs.left_out, caveats))
    });
    told(common, found)
}

pub(super) fn routes(common: &Common) -> Ending {
    let text = |analysis: &Analysis| match &analysis.findings.routes {
        Some(routes) => {
            let crops = analysis.findings.crops.as_ref();
            let crops = crops.map(|crops| terminal::crops(crops, of_stdout()));
            Ok(terminal::routes(routes, of_stdout()) + &crops.unwrap_or_default())
        }
        None => Err(no_route(&analysis.campaign.file)),
    };
    answer(common, Claim::Route, text, |analysis, part| WholeResult {
        routes: Some(json::routes(analysis.findings.routes.as_ref())),
        crops: Some(json::crops(analysis.findings.crops.as_ref())),
        ..part
    })
}

fn no_route(file: &str) -> Error {
    let what = format!("no factor of `{file}` stands for the recovery route");
    let hint = "add `stands_for = \"route\"` to the choice that says how the product was recovered";
    lacking(file, what, hint)
}

pub(super) fn recycle(common: &Common) -> Ending {
    let text = |analysis: &Analysis| {
        let (found, currency) = (&analysis.findings, analysis.campaign.currency());
        let liquor = found.liquor_gain.as_ref();
        let text = terminal::recycling(&found.recycling, liquor, currency, of_stdout());
        Ok(text)
    };
    answer(common, Claim::Residue, text, |analysis, part| WholeResult {
        recycling: Some(json::recycling(
            &analysis.findings.recycling,
            &analysis.firmness,
        )),
        liquor: Some(json::liquor(analysis.findings.liquor_gain.as_ref())),
        ledger: Some(json::ledger(&analysis.runs)),
        ..part
    })
}

pub(super) fn settings(common: &Common) -> Ending {
    let text = |analysis: &Analysis| {
        let settings = analysis.findings.settings.as_ref();
        Ok(settings.map_or_else(String::new, |one| terminal::settings(one, of_stdout())))
    };
    answer(common, Claim::Settings, text, |analysis, part| {
        WholeResult {
            settings: Some(json::settings(analysis.findings.settings.as_ref())),
            ..part
        }
    })
}

/// Prints one of the answers that rest on all models: its text, or the result with it under its key.
fn answer(
    common: &Common,
    claim: Claim,
    text: fn(&Analysis) -> Result<String, Error>,
    under_its_key: fn(&Analysis, WholeResult) -> WholeResult,
) -> Ending {
    let found = analysed(common, |loaded, normalised| {
        if loaded.campaign.model.is_none() {
            // Says what is missing in the same words as `fit`.
            pipeline::fit(&loaded.campaign, &normalised.runs, None, common.seed)?;
        }
        let analysis = pipeline::analyse(loaded.campaign, normalised, asked(common))?;
        let in_doubt = wrapped(&terminal::in_doubt(&analysis, claim), of_stdout());
        let text = in_doubt + &text(&analysis)?;
        let runs = &analysis.runs;
        let part = || WholeResult {
            answers: Some(json::answer(&analysis, claim)),
            ..json::part(&analysis.campaign, runs, &analysis.caveats)
        };
        let output = output(common, || text, || under_its_key(&analysis, part()));
        let doubts = analysis.doubts();
        let touching = analysis.touching(claim).into_iter();
        let shown = touching.map(|position| doubts[position].clone()).collect();
        Ok(Told {
            shown: Some(shown),
            ..Told::of(output, analysis.runs.left_out, doubts)
        })
    });
    told(common, found)
}

pub(super) fn report(common: &Common, form: Form) -> Ending {
    let found = analysed(common, |loaded, normalised| {
        let name = report_name(&loaded.path)?;
        let source = source(&common.out.join(&name), &loaded.path);
        let before = contents(&loaded);
        let analysis = whole_analysis(loaded, normalised, asked(common))?;
        let result = json::whole(&analysis);
        let files = report::report_of(&analysis, &result, &source, form)?;
        unchanged(common, &before)?;
        let published = publish(&common.out, &name, &files)?;
        let path = published.folder().join("report.md").display().to_string();
        // A pipe gets the path alone.
        let in_brief = match of_stdout() {
            Width::Columns(_) if !common.quiet => terminal::in_brief(&analysis, of_stdout()),
            _ => String::new(),
        };
        let text = || format!("{in_brief}{path}\n");
        let output = output(common, text, || result);
        let caveats = analysis.doubts();
        let told = Told {
            shown: Some(Vec::new()),
            ..Told::of(output, analysis.runs.left_out.clone(), caveats)
        };
        // The process is about to end, and of many runs taking it apart takes as long as a fit.
        std::mem::forget(analysis);
        Ok((told, published))
    });
    let (found, published) = match found {
        Ok(found) => found,
        Err(faults) => return failed(&faults),
    };
    let ending = told(common, Ok(found));
    match ending {
        // What could not be told is not done, and nothing is written.
        Ending::Failed => published.take_back(),
        Ending::Done | Ending::Flagged => published.keep(),
    }
    ending
}

/// What the options of a call ask of an analysis.
fn asked(common: &Common) -> Asked<'_> {
    Asked {
        response: common.response.as_deref(),
        ..Asked::usual(common.seed)
    }
}
