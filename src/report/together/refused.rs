//! The faults of campaigns that share nothing that could be pooled.
//!
//! In: what is not pooled and why. Out: [`Faults`], one for each.
//! This module never decides what may be pooled.

use super::words::{because, what};
use crate::error::{Error, ErrorKind, Faults};
use crate::together::NotPooled;

/// One fault for each thing that is not pooled; `titles` are those of the campaigns.
pub fn refused(not_pooled: &[NotPooled], titles: &[String]) -> Faults {
    let faults = not_pooled.iter().map(|not| {
        let title = titles.get(not.campaign).map_or("", String::as_str);
        let message = format!("{} is not pooled: {}", what(&not.what), because(title, not));
        Error::new(ErrorKind::Campaign, message)
            .at(&not.place)
            .hint("declare it alike in all campaigns, if it means the same")
    });
    let faults: Vec<Error> = faults.collect();
    let nothing = Error::new(
        ErrorKind::Model,
        "the campaigns share no effect on any response, so there is nothing to put together",
    )
    .hint("the first campaign's `[model]` says which effects and responses are looked for in the others");
    match Faults::or(faults, ()) {
        Err(faults) => faults,
        Ok(()) => nothing.into(),
    }
}
