//! The calls that print one answer: `routes`, `recycle`, `settings`.
//!
//! In: the options of the call. Out: text or JSON on stdout, doubts on stderr.
//! This module never answers anything itself.

use residuum::error::{Error, ErrorKind, Faults};
use residuum::pipeline::Analysis;
use residuum::report::{json, terminal};
use residuum::result::WholeResult;

use super::calls::{answered, told};
use super::tell::failed;
use super::width::of_stdout;
use super::{Common, Ending};

pub(super) fn routes(common: &Common) -> Ending {
    let found = answered(common).and_then(|analysis| match analysis.findings.routes {
        Some(_) => Ok(analysis),
        None => Err(no_route(&analysis.campaign.file)),
    });
    one(
        common,
        found,
        |analysis| {
            let routes = analysis.findings.routes.as_ref();
            routes.map_or_else(String::new, |one| terminal::routes(one, of_stdout()))
        },
        |analysis, part| WholeResult {
            routes: Some(json::routes(analysis.findings.routes.as_ref())),
            ..part
        },
    )
}

fn no_route(file: &str) -> Faults {
    let error = Error::new(
        ErrorKind::Campaign,
        format!("no factor of `{file}` stands for the recovery route"),
    );
    let hint = "add `stands_for = \"route\"` to the choice that says how the product was recovered";
    error.in_file(file).hint(hint).into()
}

pub(super) fn recycle(common: &Common) -> Ending {
    one(
        common,
        answered(common),
        |analysis| terminal::recycling(&analysis.findings.recycling, of_stdout()),
        |analysis, part| WholeResult {
            recycling: Some(json::recycling(&analysis.findings.recycling)),
            ..part
        },
    )
}

pub(super) fn settings(common: &Common) -> Ending {
    one(
        common,
        answered(common),
        |analysis| {
            let settings = analysis.findings.settings.as_ref();
            settings.map_or_else(String::new, |one| terminal::settings(one, of_stdout()))
        },
        |analysis, part| WholeResult {
            settings: Some(json::settings(analysis.findings.settings.as_ref())),
            ..part
        },
    )
}

/// Prints one answer: its text, or the result with it under its key.
fn one(
    common: &Common,
    found: Result<Analysis, Faults>,
    text: fn(&Analysis) -> String,
    under_its_key: fn(&Analysis, WholeResult) -> WholeResult,
) -> Ending {
    match found {
        Err(faults) => failed(&faults),
        Ok(analysis) => {
            let text = text(&analysis);
            told(
                common,
                &analysis,
                |part| under_its_key(&analysis, part),
                text,
            )
        }
    }
}
