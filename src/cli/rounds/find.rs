//! The campaigns below a folder.
//!
//! In: the folder, and the output folder that is passed over. Out: [`Found`]: places by name, and what is refused.
//! This module never opens a campaign file.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use residuum::error::Error;

use super::collected::COLLECTED;
use super::pages::{INDEX, INDEX_PAGE, RESULT};
use crate::cli::faults::{unreadable, unwritable};
use crate::cli::load::CAMPAIGN_FILE;

/// Hint where a folder stands in the way.
const HINT_NAME: &str = "give the folder another name; one that begins with a dot is passed over";

/// A campaign and where it lies.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Place {
    /// Its name: the path below the folder of all campaigns, with `/`.
    pub name: String,
    /// The folder that holds its campaign file.
    pub folder: PathBuf,
}

/// A campaign that cannot have a report, or a folder that cannot be looked into.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Refused {
    /// Its path below the folder of all campaigns, with `/`.
    pub name: String,
    /// Why.
    pub error: Error,
}

/// How the file system of the output folder tells names apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Case {
    /// `Kiln` and `kiln` are two names.
    Matters,
    /// `Kiln` and `kiln` are one name.
    Ignored,
}

/// All campaigns below a folder, in byte order of their names.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Found {
    /// Those that can have a report.
    pub places: Vec<Place>,
    /// What stands in the way of the others.
    pub refused: Vec<Refused>,
}

/// Looks for campaigns in a folder and below. Folders whose name begins with a dot are passed over, and so is `out`.
///
/// Links to folders are followed, each folder once: a link to one that is found without it, and one that leads back,
/// add nothing.
///
/// # Errors
/// [`ErrorKind::Unreadable`](residuum::error::ErrorKind::Unreadable) where the folder itself cannot be looked into.
pub(super) fn find(below: &Path, out: &Path, case: Case) -> Result<Found, Error> {
    let start = fs::canonicalize(below).map_err(|error| not_looked_into(below, &error))?;
    let mut walk = Walk {
        out: fs::canonicalize(out).ok(),
        seen: BTreeSet::new(),
        links: Vec::new(),
        campaigns: Vec::new(),
        refused: Vec::new(),
    };
    fs::read_dir(&start).map_err(|error| not_looked_into(below, &error))?;
    walk.visit(vec![Step {
        parts: Vec::new(),
        folder: start,
        inside: None,
    }]);
    while !walk.links.is_empty() {
        let mut links = std::mem::take(&mut walk.links);
        links.sort_by(|a, b| a.parts.cmp(&b.parts));
        for link in links {
            walk.visit(vec![link]);
        }
    }
    let mut found = Found {
        places: walk.campaigns,
        refused: walk.refused,
    };
    found.places.sort_by(|a, b| a.name.cmp(&b.name));
    refuse_clashes(&mut found, case);
    found.refused.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(found)
}

/// A folder that is still to be looked into.
struct Step {
    /// Its path below the start, part by part.
    parts: Vec<std::ffi::OsString>,
    folder: PathBuf,
    /// The campaign that it lies in, if any.
    inside: Option<String>,
}

struct Walk {
    out: Option<PathBuf>,
    /// Folders that were looked into, as they are without links.
    seen: BTreeSet<PathBuf>,
    /// Links to folders; they wait until all plain folders are known.
    links: Vec<Step>,
    campaigns: Vec<Place>,
    refused: Vec<Refused>,
}

impl Walk {
    fn visit(&mut self, mut steps: Vec<Step>) {
        while let Some(step) = steps.pop() {
            let Ok(real) = fs::canonicalize(&step.folder) else {
                continue;
            };
            if !self.seen.insert(real.clone()) {
                continue;
            }
            let inside = self.take(&step);
            if self.out.as_ref() == Some(&real) {
                continue;
            }
            match fs::read_dir(&step.folder) {
                Err(error) => {
                    let error = not_looked_into(&step.folder, &error);
                    self.refused.push(step.refused(error));
                }
                Ok(entries) => {
                    for entry in entries.filter_map(Result::ok) {
                        self.next(&step, &entry, &inside, &mut steps);
                    }
                }
            }
        }
    }

    /// Takes a folder that holds a campaign file, and says which campaign the folders below it lie in.
    fn take(&mut self, step: &Step) -> Option<String> {
        if !step.folder.join(CAMPAIGN_FILE).is_file() {
            return step.inside.clone();
        }
        let mut refuse = |what: String, hint: &str| {
            self.refused.push(step.refused(unwritable(what, hint)));
        };
        match (&step.inside, step.name()) {
            (_, None) => refuse("the name of the folder is not UTF-8".into(), HINT_NAME),
            (Some(outer), Some(_)) => refuse(
                format!(
                    "it lies inside the campaign `{outer}`, whose report would have to hold its own"
                ),
                "move it out, or give its folder a name that begins with a dot to pass it over",
            ),
            (None, Some(name)) => {
                self.campaigns.push(Place {
                    name: name.clone(),
                    folder: step.folder.clone(),
                });
                // A campaign in the start folder is named after it, and its report lies beside those below it.
                return (!step.parts.is_empty()).then_some(name);
            }
        }
        step.inside.clone()
    }

    fn next(
        &mut self,
        step: &Step,
        entry: &fs::DirEntry,
        inside: &Option<String>,
        steps: &mut Vec<Step>,
    ) {
        let file_name = entry.file_name();
        if file_name.to_string_lossy().starts_with('.') {
            return;
        }
        let Ok(kind) = entry.file_type() else {
            return;
        };
        let mut parts = step.parts.clone();
        parts.push(file_name);
        let next = Step {
            parts,
            folder: entry.path(),
            inside: inside.clone(),
        };
        if kind.is_dir() {
            steps.push(next);
        } else if kind.is_symlink() && next.folder.is_dir() {
            self.links.push(next);
        }
    }
}

impl Step {
    /// The name of a campaign; none where it is not UTF-8.
    fn name(&self) -> Option<String> {
        if self.parts.is_empty() {
            let own = self.folder.file_name().unwrap_or("campaign".as_ref());
            return own.to_str().map(str::to_string);
        }
        let parts: Option<Vec<&str>> = self.parts.iter().map(|part| part.to_str()).collect();
        Some(parts?.join("/"))
    }

    fn refused(&self, error: Error) -> Refused {
        let parts: Vec<_> = self
            .parts
            .iter()
            .map(|part| part.to_string_lossy())
            .collect();
        let name = match parts.is_empty() {
            true => ".".to_string(),
            false => parts.join("/"),
        };
        Refused { name, error }
    }
}

/// Takes out campaigns whose report would lie where another report, or a file of the output folder, lies.
fn refuse_clashes(found: &mut Found, case: Case) {
    let folded = |name: &str| match case {
        Case::Matters => name.to_string(),
        Case::Ignored => name.to_lowercase(),
    };
    let mut taken: BTreeMap<String, String> = [INDEX, INDEX_PAGE, RESULT, COLLECTED]
        .iter()
        .map(|file| (folded(file), format!("the page `{file}`")))
        .collect();
    let mut kept = Vec::new();
    for place in std::mem::take(&mut found.places) {
        // A name is in the way of another also when it is the beginning of its path.
        let prefixes = place
            .name
            .match_indices('/')
            .map(|(end, _)| &place.name[..end]);
        let other = prefixes
            .chain([place.name.as_str()])
            .find_map(|prefix| taken.get(&folded(prefix)));
        match other {
            Some(other) => found.refused.push(Refused {
                error: unwritable(
                    format!("its report would lie where {other} lies"),
                    HINT_NAME,
                ),
                name: place.name,
            }),
            None => {
                let of = format!("the report of `{}`", place.name);
                taken.insert(folded(&place.name), of);
                kept.push(place);
            }
        }
    }
    found.places = kept;
}

fn not_looked_into(folder: &Path, error: &std::io::Error) -> Error {
    let what = format!("`{}` cannot be looked into: {error}", folder.display());
    unreadable(what, "check the path and who may read it")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Names that are kept and names that are refused.
    fn clashes(names: &[&str], case: Case) -> [Vec<String>; 2] {
        let place = |name: &&str| Place {
            name: name.to_string(),
            folder: PathBuf::from(name),
        };
        let mut found = Found {
            places: names.iter().map(place).collect(),
            refused: Vec::new(),
        };
        refuse_clashes(&mut found, case);
        [
            found.places.into_iter().map(|place| place.name).collect(),
            found.refused.into_iter().map(|it| it.name).collect(),
        ]
    }

    #[test]
    fn where_case_is_ignored_the_second_of_two_names_is_refused() {
        let names = ["Kiln", "a/Flue", "a/flue", "kiln", "kiln2"];
        let [kept, refused] = clashes(&names, Case::Ignored);
        assert_eq!(kept, ["Kiln", "a/Flue", "kiln2"]);
        assert_eq!(refused, ["a/flue", "kiln"]);
        let [kept, refused] = clashes(&names, Case::Matters);
        assert_eq!(kept.len(), 5);
        assert_eq!(refused, Vec::<String>::new());
    }

    #[test]
    fn a_report_never_lies_inside_another_or_in_the_place_of_a_page() {
        let [kept, refused] = clashes(&["INDEX.md", "a", "a/b", "index.md"], Case::Ignored);
        assert_eq!(kept, ["a"]);
        assert_eq!(refused, ["INDEX.md", "a/b", "index.md"]);
    }
}
