//! `residuum routes`: recovery routes compared.
//!
//! In: the options of the call. Out: text or JSON on stdout, doubts on stderr.
//! This module never compares two routes itself.

use residuum::error::{Error, ErrorKind, Faults};
use residuum::report::{json, plain_routes};
use residuum::result::WholeResult;

use super::calls::{answered, told};
use super::tell::failed;
use super::width::of_stdout;
use super::{Common, Ending};

pub(super) fn routes(common: &Common) -> Ending {
    let found = answered(common).and_then(|analysis| {
        if analysis.findings.routes.is_some() {
            return Ok(analysis);
        }
        let file = &analysis.campaign.file;
        let error = Error::new(
            ErrorKind::Campaign,
            format!("no factor of `{file}` stands for the recovery route"),
        );
        let hint =
            "add `stands_for = \"route\"` to the choice that says how the product was recovered";
        Err(Faults::from(error.in_file(file).hint(hint)))
    });
    match found {
        Err(faults) => failed(&faults),
        Ok(analysis) => {
            let answer = analysis.findings.routes.as_ref();
            let text = answer.map_or_else(String::new, |answer| {
                plain_routes::routes(answer, of_stdout())
            });
            let under_its_key = |part| WholeResult {
                routes: Some(json::routes(answer)),
                ..part
            };
            told(common, &analysis, under_its_key, text)
        }
    }
}
