//! The work of a round shared by several programs, on one machine or on many that see the same folders.
//!
//! In: the campaigns below a folder, a list of some of them. Out: the names of those that need work; reports of those listed.
//! This module never writes an index: a round with `--gather` does when all is done.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use residuum::campaign::did_you_mean;
use residuum::error::{Error, Faults};
use residuum::report::one_line;

use super::entry::{Entry, Standing};
use super::find::{self, Case, Place};
use super::work::{self, Round};
use super::{RoundsOptions, each_of, limit, lock, seen, told};
use crate::cli::Ending;
use crate::cli::faults::unreadable;
use crate::cli::tell::{ended, failed, remark};

/// Prints the campaigns that need work, one a line.
pub(super) fn due(options: &Arc<RoundsOptions>) -> Ending {
    let found = match find::find(&options.dir, &options.out, Case::Matters) {
        Ok(found) => found,
        Err(error) => return failed(&error.into()),
    };
    let before = seen::read(&options.out);
    let round = Arc::new(Round::of(options));
    let due = each_of(options, &found.places, |place| {
        work::is_due(&round, place, before.get(&place.name)).then(|| place.name.clone())
    });
    let (names, unlisted): (Vec<String>, Vec<String>) = due
        .into_iter()
        .flatten()
        .partition(|name| !name.contains(['\n', '\r']));
    for name in unlisted {
        let name = one_line(&name);
        remark(&format!(
            "`{name}` has a name of several lines and cannot be listed"
        ));
    }
    let lines: String = names.iter().map(|name| format!("{name}\n")).collect();
    ended(&lines, Ending::Done)
}

/// Does the listed campaigns, each unless another program is at it.
pub(super) fn listed(options: &Arc<RoundsOptions>, list: &Path) -> Ending {
    let ready = ready(options, list);
    let (places, _lock) = match ready {
        Ok(ready) => ready,
        Err(faults) => return failed(&faults),
    };
    let before = seen::read(&options.out);
    let round = Arc::new(Round::of(options));
    let entries = each_of(options, &places, |place| {
        let before = before.get(&place.name);
        match lock::take_one(&options.out, &place.name) {
            Ok(Some(_lock)) => limit::within(&round, place, before).entry,
            Ok(None) => Entry {
                standing: Standing::Busy,
                ..work::known(&options.out, place, before).at_rest()
            },
            Err(error) => work::known(&options.out, place, before).failed(&error.into()),
        }
    });
    told(options, &entries, None)
}

fn ready(options: &RoundsOptions, list: &Path) -> Result<(Vec<Place>, lock::Lock), Faults> {
    let found = find::find(&options.dir, &options.out, Case::Matters)?;
    let text = std::fs::read_to_string(list).map_err(|error| {
        let what = format!("`{}` cannot be read: {error}", list.display());
        unreadable(
            what,
            "name a file with the name of one campaign a line, as `--due` prints them",
        )
    })?;
    let known: BTreeMap<&str, &Place> = found
        .places
        .iter()
        .map(|place| (place.name.as_str(), place))
        .collect();
    let mut places = BTreeMap::new();
    let mut unknown: Vec<Error> = Vec::new();
    for (line, name) in text
        .lines()
        .enumerate()
        .filter(|(_, name)| !name.is_empty())
    {
        match known.get(name) {
            Some(place) => {
                places.insert(name, (*place).clone());
            }
            None => {
                let (line, list) = (line + 1, list.display());
                let below = options.dir.display();
                let what = format!("no campaign `{name}` below `{below}`, in `{list}` line {line}");
                let near = did_you_mean(name, known.keys().copied());
                let hint = near.unwrap_or_else(|| "`--due` prints the names".to_string());
                unknown.push(unreadable(what, &hint));
            }
        }
    }
    Faults::or(unknown, ())?;
    let lock = lock::join(&options.out)?;
    Ok((places.into_values().collect(), lock))
}
