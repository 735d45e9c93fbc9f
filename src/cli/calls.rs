//! The calls on one campaign, each from its files to its output.
//!
//! In: the options of a call. Out: text or JSON on stdout, doubts on stderr, files of a report.
//! This module never formats a figure.

use std::io::Write;

use residuum::decide;
use residuum::error::{Error, Faults};
use residuum::pipeline::{self, Analysis, CrossCheck, Normalised};
use residuum::report::{self, json, plain};
use residuum::runs::Runs;
use serde_json::{Value, json};

use super::load::{Loaded, campaign_path, load};
use super::progress::Progress;
use super::publish::publish;
use super::{Common, CrossChecked, Ending};

pub(super) fn check(common: &Common) -> Ending {
    if let Err(error) = campaign_path(&common.campaign) {
        return failed(&error.into());
    }
    let found = load(&common.campaign).and_then(|loaded| {
        let runs = pipeline::normalise(&loaded.campaign, &loaded.files)?.runs;
        Ok((loaded, runs))
    });
    let mut stops: Vec<Error> = Vec::new();
    let mut left_out = Vec::new();
    let mut caveats = Vec::new();
    let mut read = None;
    match found {
        Err(faults) => stops = faults.into_errors(),
        Ok((loaded, runs)) => {
            left_out = runs.left_out.clone();
            caveats = runs.caveats.clone();
            if loaded.campaign.model.is_some() {
                match pipeline::fit(&loaded.campaign, &runs, common.response.as_deref()) {
                    Ok(models) => caveats.extend(models.caveats),
                    Err(faults) => stops = faults.into_errors(),
                }
            }
            read = Some((loaded, runs));
        }
    }
    let faulty = !stops.is_empty() || left_out.iter().any(|entry| !entry.on_purpose);
    if common.json {
        print_json(&json!({
            "campaign": read.as_ref().map(|(loaded, runs)| json::campaign(&loaded.campaign, runs)),
            "stops": stops.iter().map(|stop| json!({
                "reason": stop.message(),
                "file": stop.file(),
                "line": stop.line(),
                "column": stop.column(),
                "hint": stop.advice(),
            })).collect::<Value>(),
            "left_out": read.as_ref().map_or(json!([]), |(_, runs)| json::left_out(runs)),
            "caveats": json::caveats(&caveats),
        }));
    } else {
        let mut text = String::new();
        for stop in &stops {
            text.push_str(&format!("stops: {stop}\n"));
        }
        text.push_str(&plain::left_out(&left_out));
        text.push_str(&plain::caveats(&caveats));
        if let Some((_, runs)) = &read {
            text.push_str(&format!(
                "{} of {} runs can be used\n",
                runs.used(),
                runs.lines
            ));
        }
        print(&text);
    }
    if faulty {
        Ending::Flagged
    } else {
        Ending::Done
    }
}

pub(super) fn yields(common: &Common, cross_check: CrossChecked) -> Ending {
    let progress = Progress::over(3, common.quiet);
    progress.step("reading logs");
    let found = load(&common.campaign).and_then(|loaded| {
        progress.step("working out yields");
        let mut normalised = pipeline::normalise(&loaded.campaign, &loaded.files)?;
        if cross_check == CrossChecked::Yes {
            progress.step("simulating");
            pipeline::cross_check(
                &loaded.campaign,
                &mut normalised,
                CrossCheck::Every,
                common.seed,
            );
        }
        Ok((loaded, normalised.runs))
    });
    progress.finish();
    match found {
        Err(faults) => failed(&faults),
        Ok((loaded, runs)) => {
            tell_doubts(common, &runs, &runs.caveats);
            if common.json {
                print_json(&json!({
                    "campaign": json::campaign(&loaded.campaign, &runs),
                    "yields": json::yields(&runs),
                    "titrants": json::titrants(&runs.titrants),
                    "budgets": json::budgets(&decide::budgets(&runs)),
                    "caveats": json::caveats(&runs.caveats),
                    "left_out": json::left_out(&runs),
                }));
            } else {
                print(&plain::yields(&runs));
            }
            strictly(common, &runs, runs.caveats.len())
        }
    }
}

pub(super) fn fit(common: &Common) -> Ending {
    match analysed(common, |loaded, normalised| {
        let runs = normalised.runs;
        let models = pipeline::fit(&loaded.campaign, &runs, common.response.as_deref())?;
        Ok((loaded, runs, models))
    }) {
        Err(faults) => failed(&faults),
        Ok((loaded, runs, models)) => {
            let mut caveats = runs.caveats.clone();
            caveats.extend(models.caveats.iter().cloned());
            tell_doubts(common, &runs, &caveats);
            if common.json {
                print_json(&json!({
                    "campaign": json::campaign(&loaded.campaign, &runs),
                    "models": json::models(&models.models),
                    "caveats": json::caveats(&caveats),
                    "left_out": json::left_out(&runs),
                }));
            } else {
                print(&plain::models(&models.models));
            }
            strictly(common, &runs, caveats.len())
        }
    }
}

pub(super) fn report(common: &Common) -> Ending {
    let found = analysed(common, |loaded, mut normalised| {
        pipeline::cross_check(
            &loaded.campaign,
            &mut normalised,
            CrossCheck::Doubtful,
            common.seed,
        );
        let analysis = pipeline::analyse(loaded.campaign, normalised, common.response.as_deref())?;
        let files = report::report(&analysis)?;
        Ok((loaded.name, analysis, files))
    });
    match found {
        Err(faults) => failed(&faults),
        Ok((name, analysis, files)) => {
            let folder = match publish(&common.out, &name, &files) {
                Ok(folder) => folder,
                Err(error) => return failed(&error.into()),
            };
            tell(common, &analysis);
            if common.json {
                print_json(&report::whole(&analysis));
            } else {
                print(&format!("{}\n", folder.join("report.md").display()));
            }
            strictly(common, &analysis.runs, analysis.caveats.len())
        }
    }
}

/// The stages that `fit` and `report` share, with a bar for who waits.
fn analysed<T>(
    common: &Common,
    finish: impl FnOnce(Loaded, Normalised) -> Result<T, Faults>,
) -> Result<T, Faults> {
    let progress = Progress::over(3, common.quiet);
    progress.step("reading logs");
    let found = load(&common.campaign).and_then(|loaded| {
        progress.step("working out yields");
        let normalised = pipeline::normalise(&loaded.campaign, &loaded.files)?;
        progress.step("fitting models");
        finish(loaded, normalised)
    });
    progress.finish();
    found
}

fn tell(common: &Common, analysis: &Analysis) {
    tell_doubts(common, &analysis.runs, &analysis.caveats);
}

/// Left-out rows and doubts go to stderr, unless the user wants it quiet or gets them in the JSON.
fn tell_doubts(common: &Common, runs: &Runs, caveats: &[residuum::caveat::Caveat]) {
    if !common.quiet && !common.json {
        eprint!(
            "{}{}",
            plain::left_out(&runs.left_out),
            plain::caveats(caveats)
        );
    }
}

fn strictly(common: &Common, runs: &Runs, caveats: usize) -> Ending {
    let faulty = caveats > 0 || runs.left_out.iter().any(|entry| !entry.on_purpose);
    if common.strict && faulty {
        Ending::Flagged
    } else {
        Ending::Done
    }
}

pub(super) fn failed(faults: &Faults) -> Ending {
    eprintln!("{faults}");
    Ending::Failed
}

fn print_json(value: &Value) {
    print(&format!("{value}\n"));
}

/// A reader that closed the pipe early is no fault of ours.
fn print(text: &str) {
    let _ = std::io::stdout().write_all(text.as_bytes());
}
