//! Rules of control charts: patterns in a row of runs that are asked for besides points beyond the limits.
//!
//! In: the `rules` and `cusum` keys of `[drift]`. Out: [`RunRule`]s and [`CusumPlan`].
//! This module never looks at a value.

use super::section::Section;

/// A pattern of neighbouring runs that chance seldom makes; none is looked for unless it is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum RunRule {
    /// Nine neighbours on one side of the centre.
    NineOnOneSide,
    /// Six neighbours, each above the one before, or each below.
    SixRisingOrFalling,
    /// Two of three neighbours more than two standard deviations from the centre, on one side.
    TwoOfThreeBeyondTwo,
}

/// Every rule, as the campaign file may name them.
const RULES: [RunRule; 3] = [
    RunRule::NineOnOneSide,
    RunRule::SixRisingOrFalling,
    RunRule::TwoOfThreeBeyondTwo,
];

impl RunRule {
    /// The rule in words, as it stands in the campaign file.
    pub fn words(self) -> &'static str {
        match self {
            RunRule::NineOnOneSide => "9 in a row on one side",
            RunRule::SixRisingOrFalling => "6 in a row rising or falling",
            RunRule::TwoOfThreeBeyondTwo => "2 of 3 beyond 2 SD on one side",
        }
    }
}

/// How the cumulative sums are kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CusumPlan {
    /// What each run may be off before it counts [standard deviations].
    pub reference: f64,
    /// Sum from which on the chart flags [standard deviations].
    pub decision: f64,
}

pub(super) fn rules(section: &Section) -> Vec<RunRule> {
    let words = RULES.map(RunRule::words);
    let mut found = Vec::new();
    for text in section.texts("rules").unwrap_or_default() {
        match RULES.iter().find(|rule| rule.words() == text.value) {
            Some(rule) => found.push(*rule),
            None => {
                let (rule, path) = (&text.value, section.path("rules"));
                let what = format!("unknown rule `{rule}` in `{path}`");
                let otherwise = format!("rules that are known: {}", words.join(", "));
                section.unknown(&text, what, words.into_iter(), otherwise);
            }
        }
    }
    found.sort_unstable();
    found.dedup();
    found
}

pub(super) fn cusum(table: &Section) -> CusumPlan {
    CusumPlan {
        reference: table.number_or_usual("reference"),
        decision: table.number_or_usual("decision"),
    }
}
