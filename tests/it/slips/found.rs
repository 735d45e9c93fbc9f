//! The one door through which these tests see how entries are judged.
//!
//! In: runs on one footing. Out: [`Slip`]s, each an entry with the kind of its doubt.
//! This module never judges an entry.

use residuum::caveat::{About, Caveat, Doubt};
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

impl Slip {
    /// Whether it is about this run, lot or titrant.
    pub fn about(&self, name: &str) -> bool {
        self.run == name || self.value == name || self.likely.contains(name)
    }

    /// What tells it from others.
    pub fn key(&self) -> String {
        format!("{:?} {} {} {}", self.kind, self.file, self.column, self.run)
    }

    /// All that it says.
    pub fn text(&self) -> String {
        format!(
            "{:?} {} line {} {} {} = {}: {}",
            self.kind, self.file, self.line, self.run, self.column, self.value, self.likely
        )
    }
}

/// Another doubt: what tells it from others, and all that it says.
#[derive(Debug, Clone)]
pub struct Other {
    pub key: String,
    pub text: String,
}

/// Other doubts that name any of these runs, lots or titrants; all doubts, where there is none.
pub fn doubts_naming(caveats: &[Caveat], any_of: &[String]) -> Vec<Other> {
    let quoted: Vec<String> = any_of.iter().map(|name| format!("{name:?}")).collect();
    let names = |text: &str| quoted.iter().any(|name| text.contains(name));
    let others = caveats.iter().map(|caveat| {
        let text = format!("{caveat:?}");
        let kind = format!("{:?}", caveat.doubt);
        let kind = kind.split([' ', '(']).next().unwrap_or_default();
        // A doubt that names several runs is another one where it names this run and did not before.
        let named = names(&text);
        Other {
            key: format!("{:?} {kind} {named}", caveat.about),
            text,
        }
    });
    others
        .filter(|other| any_of.is_empty() || names(&other.text))
        .collect()
}
