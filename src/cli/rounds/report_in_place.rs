//! The report in its place: whether it is whole, and which inputs it is of.
//!
//! In: the folder of a report. Out: [`InPlace`] from its own manifest, and a mark by which a later look is cheap.
//! This module never changes a report.

use std::fs;
use std::path::Path;

use residuum::history::Since;
use residuum::report::sha256;
use serde_json::Value;

use crate::cli::publish::files_in;

/// File that holds the manifest.
const RESULT: &str = "result.json";

/// A report as it lies in its place.
#[derive(Debug, Default)]
pub(super) struct InPlace {
    /// Digest of the inputs it was worked out from, where it says so.
    pub inputs: Option<String>,
    /// What it says has changed.
    pub since: Option<Since>,
    /// Whether it has exactly the files of its manifest, each with its digest.
    pub is_whole: bool,
}

/// Reads a report and checks each file against its manifest.
pub(super) fn look(folder: &Path) -> InPlace {
    let result = fs::read(folder.join(RESULT)).ok();
    let result: Option<Value> = result.and_then(|bytes| serde_json::from_slice(&bytes).ok());
    let Some(result) = result else {
        return InPlace::default();
    };
    InPlace {
        inputs: result["inputs"].as_str().map(str::to_string),
        since: serde_json::from_value(result["since"].clone()).ok(),
        is_whole: is_whole(folder, &result),
    }
}

fn is_whole(folder: &Path, result: &Value) -> bool {
    let Some(manifest) = result["manifest"].as_object() else {
        return false;
    };
    let Ok(mut there) = files_in(folder) else {
        return false;
    };
    there.retain(|file| file != RESULT);
    there.len() == manifest.len()
        && there.iter().all(|file| {
            let digest = manifest.get(file).and_then(Value::as_str);
            fs::read(folder.join(file)).is_ok_and(|bytes| digest == Some(sha256(&bytes).as_str()))
        })
}

/// Digest of the names, sizes and times of all files of a report; none where there is none.
///
/// While it stays the same, nobody wrote into the report, and it need not be read again.
pub(super) fn mark(folder: &Path) -> Option<String> {
    let files = files_in(folder).ok()?;
    let mut text = String::new();
    for file in files {
        let metadata = fs::symlink_metadata(folder.join(&file)).ok()?;
        let modified = metadata
            .modified()
            .ok()
            .and_then(|time| time.duration_since(std::time::UNIX_EPOCH).ok())
            .map_or(0, |since| since.as_nanos());
        text.push_str(&format!("{file:?} {} {modified}\n", metadata.len()));
    }
    Some(sha256(text.as_bytes()))
}
