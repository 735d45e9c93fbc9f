//! Key `same_as` of a choice: spellings of the log that mean one level.
//!
//! In: the section of a choice. Out: [`Spelling`]s.
//! This module never finds a spelling by itself: what means the same is said by the user.

use super::section::Section;

/// A spelling of the log and the level that it means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spelling {
    /// As it stands in the log.
    pub text: String,
    /// The level.
    pub level: String,
    /// Line of the campaign file.
    pub line: usize,
}

/// The spellings of a choice; `declared` holds the levels that the campaign file names besides.
pub(super) fn same_as(section: &Section, declared: &[&str]) -> Vec<Spelling> {
    let path = section.path("same_as");
    section.table("same_as", |table| {
        let targets = table.own_names();
        let mut spellings: Vec<Spelling> = Vec::new();
        for target in &targets {
            for text in table.texts(&target.value).unwrap_or_default() {
                let level = &target.value;
                let spelling = text.value.trim();
                let known = spellings.iter().find(|known| known.text == spelling);
                let is_level = declared.contains(&spelling)
                    || targets.iter().any(|other| other.value == spelling);
                let (what, hint) = match known {
                    _ if spelling.is_empty() => (
                        format!("`{path}.{level}` holds an empty spelling"),
                        "write it as it stands in the log, or take it out",
                    ),
                    _ if is_level => (
                        format!("`{spelling}` in `{path}` is a level itself"),
                        "name a spelling that is not to be a level of its own, or take it out of the levels",
                    ),
                    Some(known) if known.level == *level => (
                        format!("`{spelling}` stands twice in `{path}`"),
                        "name each spelling once",
                    ),
                    Some(Spelling { level: other, .. }) => (
                        format!(
                            "`{spelling}` in `{path}` stands for two levels: `{other}` and `{level}`"
                        ),
                        "leave it with the one that it means",
                    ),
                    None => {
                        spellings.push(Spelling {
                            text: spelling.to_string(),
                            level: level.clone(),
                            line: section.source.line(text.position),
                        });
                        continue;
                    }
                };
                section.source.fault(text.position, what, hint);
            }
        }
        spellings
    })
}
