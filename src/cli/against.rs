//! The call that shows a response over one factor.
//!
//! In: the options of a call, a factor. Out: a table or JSON on stdout, a picture in a file.
//! This module never writes over a file that is there.

use std::path::Path;

use residuum::campaign::{Campaign, did_you_mean};
use residuum::error::{Error, Faults};
use residuum::pipeline::{self, Models};
use residuum::regression::{FittedModel, OverFactor};
use residuum::report::{json, picture_over, terminal};
use residuum::result::WholeResult;

use super::faults::{lacking, unwritable};
use super::publish::publish_file;
use super::tell::{Told, output, told};
use super::width::of_stdout;
use super::work::analysed;
use super::{Common, Ending};

pub(super) fn against(common: &Common, factor: &str, picture: Option<&Path>) -> Ending {
    let found = analysed(common, |loaded, normalised| {
        let (campaign, runs) = (&loaded.campaign, normalised.runs);
        let mut fitted = pipeline::fit(campaign, &runs, common.response.as_deref(), common.seed)?;
        let known = names(&fitted);
        for further in &mut fitted.further {
            further.over.retain(|over| over.factor == factor);
        }
        let pairs = fitted.models.iter().zip(&fitted.further);
        let pairs = pairs.filter_map(|(model, further)| Some((model, further.over.first()?)));
        let pairs: Vec<(&FittedModel, &OverFactor)> = pairs.collect();
        if pairs.is_empty() {
            return Err(in_no_model(&campaign.file, factor, &known).into());
        }
        if let Some(path) = picture {
            draw(campaign, &pairs, path)?;
        }
        let caveats = [runs.caveats.as_slice(), &fitted.caveats].concat();
        let text = || terminal::over(&pairs, of_stdout());
        let result = || WholeResult {
            models: Some(json::models(&fitted.models, &fitted.further)),
            ..json::part(campaign, &runs, &caveats)
        };
        let output = output(common, text, result);
        Ok(Told::of(output, runs.left_out, caveats))
    });
    told(common, found)
}

/// Factors of all models, each once.
fn names(fitted: &Models) -> Vec<String> {
    let mut known: Vec<String> = Vec::new();
    for over in fitted.further.iter().flat_map(|further| &further.over) {
        if !known.contains(&over.factor) {
            known.push(over.factor.clone());
        }
    }
    known
}

fn in_no_model(file: &str, factor: &str, known: &[String]) -> Error {
    let what = format!("no model of `{file}` has the factor `{factor}`");
    let named: Vec<String> = known.iter().map(|name| format!("`{name}`")).collect();
    let hint = match did_you_mean(factor, known.iter().map(String::as_str)) {
        Some(hint) => hint,
        None if known.is_empty() => "add `effects` under `[model]`".to_string(),
        None => format!("the models have {}", named.join(", ")),
    };
    lacking(file, what, &hint)
}

fn draw(
    campaign: &Campaign,
    pairs: &[(&FittedModel, &OverFactor)],
    path: &Path,
) -> Result<(), Faults> {
    let refused = |what: &str, hint: &str| unwritable(format!("`{}` {what}", path.display()), hint);
    let [(model, over)] = pairs else {
        let hint = "choose one by `--response`";
        return Err(refused("would show several responses", hint).into());
    };
    if path.symlink_metadata().is_ok() {
        let hint = "choose another name, or move it away";
        return Err(refused("is there already", hint).into());
    }
    let Some(name) = path.file_name().and_then(|name| name.to_str()) else {
        return Err(refused("is no name of a file", "name one, such as `picture.svg`").into());
    };
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    publish_file(folder, name, &picture_over(campaign, model, over)?)?;
    Ok(())
}
