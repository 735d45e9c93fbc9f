//! The one door through which these tests see how entries are judged.
//!
//! In: runs on one footing. Out: [`Slip`]s, each an entry with the kind of its doubt.
//! This module never judges an entry.

use residuum::caveat::{About, Doubt};
use residuum::runs::Runs;

/// How an entry is doubted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    Impossible,
    Unlikely,
    Odd,
}

/// An entry that is doubted.
#[derive(Debug, Clone)]
pub struct Slip {
    pub file: String,
    pub line: usize,
    pub column: String,
    pub value: String,
    pub kind: Kind,
    pub likely: String,
    pub run: String,
}

/// The entries of a campaign that are doubted.
///
/// Until entries are judged by themselves: the doubts about single runs of which the program says that an entry is unlikely.
/// Discordant titres are none of them: they say themselves how many look so by luck.
pub fn slips(runs: &Runs) -> Vec<Slip> {
    let slip = |run: &str, doubt: &Doubt| Slip {
        file: String::new(),
        line: 0,
        column: format!("{doubt:?}")
            .chars()
            .take_while(|c| c.is_alphanumeric())
            .collect(),
        value: String::new(),
        kind: Kind::Unlikely,
        likely: String::new(),
        run: run.to_string(),
    };
    let caveats = runs.caveats.iter();
    caveats
        .filter_map(|caveat| match (&caveat.about, &caveat.doubt) {
            (
                About::Run(run),
                doubt @ (Doubt::PurityAboveOne { .. }
                | Doubt::AboveTheCeiling { .. }
                | Doubt::BalanceLeavesNoResidue { .. }
                | Doubt::ClosureAboveOne { .. }
                | Doubt::ClosureBelowOthers { .. }
                | Doubt::MoreResidueThanThereWas { .. }),
            ) => Some(slip(run, doubt)),
            _ => None,
        })
        .collect()
}
