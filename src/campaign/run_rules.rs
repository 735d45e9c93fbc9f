//! Which patterns in a row of runs are asked for besides points beyond the limits?
//!
//! In: the `rules` and `cusum` keys of `[drift]`. Out: [`RunRule`]s and [`CusumPlan`].
//! This module never looks at a value.

use super::section::{Section, nearest};

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
    let mut found = Vec::new();
    for text in section.texts("rules").unwrap_or_default() {
        match RULES.iter().find(|rule| rule.words() == text.value) {
            Some(rule) if !found.contains(rule) => found.push(*rule),
            Some(_) => {}
            None => {
                let known = RULES.map(RunRule::words);
                let hint = match nearest(&text.value, known.into_iter()) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("rules that are known: {}", known.join(", ")),
                };
                section.source.fault(
                    text.position,
                    format!(
                        "unknown rule `{}` in `{}`",
                        text.value,
                        section.path("rules")
                    ),
                    hint,
                );
            }
        }
    }
    found.sort_unstable();
    found
}

pub(super) fn cusum(section: &Section) -> CusumPlan {
    let table = section.section("cusum");
    let plan = CusumPlan {
        reference: table.number_within("reference", 0.01, 5.0).unwrap_or(0.5),
        decision: table.number_within("decision", 0.1, 100.0).unwrap_or(5.0),
    };
    table.finish();
    plan
}
