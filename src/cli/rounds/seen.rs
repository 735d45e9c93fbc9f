//! What the round before left, so that an unchanged campaign costs a look and no more.
//!
//! In: a file of our own. Out: [`Seen`] by the name of a campaign.
//! This module never holds what cannot be found out again: without its file a round is slower and says the same.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use residuum::error::Error;
use serde::{Deserialize, Serialize};

use super::KEPT;
use super::entry::Entry;
use crate::cli::publish::publish_file;

/// One campaign as a round left it.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(super) struct Seen {
    /// What was said of it.
    pub entry: Entry,
    /// Mark of its report, by names, sizes and times of its files.
    pub mark: Option<String>,
    /// Bytes of its history.
    pub history_bytes: u64,
}

/// All campaigns by their names.
pub(super) type AllSeen = BTreeMap<String, Seen>;

const FILE: &str = "seen.json";

/// What the round before left; nothing where there is nothing that can be read.
pub(super) fn read(out: &Path) -> AllSeen {
    fs::read(out.join(KEPT).join(FILE))
        .ok()
        .and_then(|bytes| serde_json::from_slice(&bytes).ok())
        .unwrap_or_default()
}

/// Keeps what this round leaves.
///
/// # Errors
/// What writing says; the file stays as it was.
pub(super) fn write(out: &Path, seen: &AllSeen) -> Result<(), Error> {
    // Texts, numbers and lists under texts can always be written.
    let text = serde_json::to_string(seen).unwrap_or_default();
    publish_file(&out.join(KEPT), FILE, &text)
}
