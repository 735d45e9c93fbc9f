//! Campaign file: from any text to a campaign, or to faults on their lines.
//!
//! In: the bytes of a campaign file. Out: nothing, or a panic.
//! This module never reads a log.

use residuum::campaign::{CampaignDraft, FileText, readable};
use residuum::error::Error;

use super::told;

const FILE: &str = "campaign.toml";

/// Faults of a text, or none; what reads is finite.
fn faults(text: &str) -> Vec<Error> {
    let file = || FileText {
        file: FILE.into(),
        text: text.into(),
    };
    let read = CampaignDraft::read(file()).and_then(CampaignDraft::check);
    let part = readable(&file());
    told::finite(&part.campaign);
    match read {
        Ok(campaign) => {
            assert_eq!(part.faults, [], "what is sound has faults");
            assert_eq!(format!("{campaign:?}"), told::finite(&part.campaign));
            Vec::new()
        }
        Err(faults) => {
            assert_eq!(part.faults, faults.errors(), "two readings, two verdicts");
            faults.into_errors()
        }
    }
}

/// Reads a text as a campaign file, alone and with a remark above it.
pub fn check(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let lines = told::lines(bytes);
    let found = faults(text);
    let mut said = 0;
    for fault in &found {
        assert!(fault.line().is_some(), "no line: {fault:?}");
        told::fault(fault, FILE, bytes.len(), Some(lines));
        said += fault.message().len() + fault.advice().unwrap_or_default().len();
    }
    // Each fault may name what stands elsewhere in the file, and a byte makes at most one fault.
    let most = (found.len() + 1) * (bytes.len() + 1_000);
    assert!(said <= most, "{said} bytes are said of {}", bytes.len());
    assert!(found.len() <= bytes.len() + 8, "{} faults", found.len());
    // A mark of the encoding stands at the beginning or nowhere.
    if text.starts_with('\u{feff}') {
        return;
    }
    // Where a whole table is missing, that is told on the first line of any file.
    let placed = |faults: &[Error], first: usize| -> Vec<_> {
        let line = |fault: &Error| fault.line().filter(|line| *line > first);
        let line = |fault| line(fault).map(|line| line - first);
        let mut placed: Vec<_> = faults
            .iter()
            .map(|fault| (fault.kind(), line(fault)))
            .collect();
        placed.sort_unstable();
        placed
    };
    let below = faults(&format!("# A remark.\n{text}"));
    assert_eq!(
        placed(&found, 1),
        placed(&below, 2),
        "a remark changes the faults"
    );
}
