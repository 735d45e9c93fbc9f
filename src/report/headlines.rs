//! The headline of each answer: what a question comes to, in a few sentences.
//!
//! In: an analysis, one of its answers, and how names are made harmless. Out: text without title and status.
//! This module never judges: whether an answer stands comes with it.

use super::answer_words::{reason, to_do};
use super::beside::missing;
use super::print::{Naming, capital};
use super::{costs, drift, effects, given, next, recycling, routes, settings};
use crate::answers::{Answer, Question, WhyOpen};
use crate::decide::Gap;
use crate::pipeline::Analysis;

/// What a question comes to; where there is no answer, why, and what is said all the same.
pub(super) fn headline(analysis: &Analysis, answer: &Answer, naming: Naming) -> String {
    let findings = &analysis.findings;
    let why = || {
        let why = answer.reason.as_ref();
        why.map_or_else(String::new, |why| reason(why, naming))
    };
    let found = match &answer.question {
        Question::Given => {
            let given = findings.given.as_ref();
            given.map(|given| given::words::given(given, naming))
        }
        Question::Went => findings.went.as_ref().map(|went| {
            let doubt = match capital(&why()).as_str() {
                "" => String::new(),
                why => format!(" {why}: see the doubts."),
            };
            given::words::went(analysis, went) + &doubt
        }),
        Question::Moves(position) => {
            let moves = position.and_then(|position| findings.moves.get(position));
            moves.map(|moves| effects::words::headline(analysis, moves, naming))
        }
        Question::Routes => {
            let routes = findings.routes.as_ref();
            routes.map(|routes| routes::words::headline(routes, naming))
        }
        Question::Residue => findings
            .residue_is_asked
            .then(|| recycling::words::headline(&findings.recycling, naming)),
        Question::Settings => findings.settings.as_ref().and_then(|found| match found {
            Ok(best) => Some(settings::words::headline(best, &findings.recycling, naming)),
            Err(gaps) => Gap::that_stops(gaps).map(|gap| format!("{}.", missing(gap, naming))),
        }),
        Question::Next => {
            let plan = analysis.next.as_ref().and_then(|plan| plan.as_ref().ok());
            plan.map(|plan| next::words::headline(analysis, plan, naming))
        }
        Question::Drift => (!analysis.drift.series.is_empty()).then(|| {
            let text = drift::words::headline(&analysis.drift, naming);
            match &answer.reason {
                Some(WhyOpen::FewRuns) => format!("{text} {}.", capital(&why())),
                _ => text,
            }
        }),
        Question::Cost => analysis.costs.as_ref().map(|costs| match &costs.campaign {
            Ok(campaign) => costs::words::headline(analysis, costs, campaign, naming),
            Err(_) => {
                let not_counted = costs::words::not_counted(costs, naming);
                format!("Cannot be said: {}.{not_counted}", why())
            }
        }),
    };
    // Without an answer: why there is nothing to say, and what would help.
    found.unwrap_or_else(|| {
        let help = answer.to_do.first().map_or_else(String::new, |first| {
            format!(" {}.", capital(&to_do(first, naming)))
        });
        format!("{}.{help}", capital(&why()))
    })
}
