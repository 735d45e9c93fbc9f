//! Digests of the inputs of a campaign.
//!
//! In: the bytes that a campaign was loaded from, and what was asked for. Out: [`Inputs`].
//! This module never looks at times or sizes of files: the content alone decides.

use std::collections::BTreeMap;
use std::fs;

use residuum::error::Faults;
use residuum::history::{Inputs, Part};
use residuum::report::sha256;

use super::RoundsOptions;
use crate::cli::load::Loaded;

/// Digest of the program itself, so that another build makes every report anew.
pub(super) fn program() -> String {
    std::env::current_exe()
        .and_then(fs::read)
        .map(|bytes| sha256(&bytes))
        .unwrap_or_default()
}

/// Everything that a result depends on: program, options, campaign file, and each log by its kind, name and bytes.
pub(super) fn inputs(loaded: &Loaded, options: &RoundsOptions, program: &str) -> Inputs {
    let mut lines: BTreeMap<String, String> = BTreeMap::new();
    let mut add = |part: String, name: &str, content: &str| {
        // Quoted, so that no name can look like the end of a line.
        *lines.entry(part).or_default() += &format!("{name:?} {content}\n");
    };
    add("campaign file".into(), "", &sha256(&loaded.bytes));
    for log in &loaded.files {
        let part = format!("{} log", log.kind.key());
        add(part, &log.file, &sha256(&log.bytes));
    }
    for error in &loaded.unread {
        add("logs that cannot be read".into(), error.message(), "");
    }
    add("program".into(), "", program);
    let form = options.besides.form();
    let besides = [(form.page, " page"), (form.parquet, " parquet")];
    let besides = besides
        .into_iter()
        .filter_map(|(is_asked, what)| is_asked.then_some(what));
    let besides: String = besides.collect();
    let asked = format!("{:?} {}{besides}", options.response, options.seed);
    add("options".into(), "", &sha256(asked.as_bytes()));
    let parts = lines.into_iter().map(|(name, lines)| Part {
        name,
        digest: sha256(lines.as_bytes()),
    });
    let parts: Vec<Part> = parts.collect();
    let version = env!("CARGO_PKG_VERSION");
    let all = parts
        .iter()
        .map(|part| format!("{} {}\n", part.name, part.digest));
    let all: String = all.collect();
    Inputs {
        digest: sha256(format!("{version}\n{all}").as_bytes()),
        program: version.to_string(),
        parts,
    }
}

/// What loading a campaign gave, in a form that can be compared with loading it again.
pub(super) fn state(
    loaded: &Result<Loaded, Faults>,
    options: &RoundsOptions,
    program: &str,
) -> String {
    match loaded {
        Ok(loaded) => inputs(loaded, options, program).digest,
        Err(faults) => faults.to_string(),
    }
}
