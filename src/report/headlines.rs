//! The headline of each answer: what a question comes to, in a few sentences.
//!
//! In: an analysis, one of its answers, and how names are made harmless. Out: text without title and status.
//! This module never judges: whether an answer stands comes with it.

use super::answer_words::{reason, to_do};
use super::doubts_and_gaps::missing;
use super::firmness::lifted;
use super::print::{Naming, around, capital};
use super::{costs, drift, effects, next, recycling, routes, settings, yields};
use crate::answers::{Answer, Question, WhyOpen};
use crate::decide::Gap;
use crate::pipeline::Analysis;

/// What a question comes to; where there is no answer, why, and what is said all the same.
pub(super) fn headline(analysis: &Analysis, answer: &Answer, naming: Naming) -> String {
    let why = |naming: Naming| {
        let why = answer.reason.as_ref();
        capital(&why.map_or_else(String::new, |why| reason(why, naming)))
    };
    let raw: Naming = str::to_string;
    let findings = &analysis.findings;
    let found = match &answer.question {
        Question::Given => findings.given.as_ref().map(yields::words::given),
        Question::Went => findings.went.as_ref().map(|went| {
            let doubt = around(" ", &why(raw), ": see the doubts.");
            yields::words::went(analysis, went) + &doubt
        }),
        Question::Moves(position) => {
            let moves = position.and_then(|position| findings.moves.get(position));
            moves.map(|moves| effects::words::headline(analysis, moves))
        }
        Question::Routes => findings.routes.as_ref().map(routes::words::headline),
        Question::Residue => findings
            .residue_is_asked
            .then(|| recycling::words::headline(&findings.recycling)),
        Question::Settings => findings.settings.as_ref().and_then(|found| match found {
            Ok(best) => Some(settings::words::headline(best, &findings.recycling)),
            Err(gaps) => Gap::that_stops(gaps).map(|gap| format!("{}.", missing(gap))),
        }),
        Question::Next => {
            let plan = analysis.next.as_ref().and_then(|plan| plan.as_ref().ok());
            plan.map(|plan| next::words::headline(analysis, plan))
        }
        Question::Drift => (!analysis.drift.series.is_empty()).then(|| {
            let text = drift::words::headline(&analysis.drift);
            match &answer.reason {
                Some(WhyOpen::FewRuns) => format!("{text} {}.", why(raw)),
                _ => text,
            }
        }),
        Question::Cost => analysis.costs.as_ref().map(|costs| match &costs.campaign {
            Ok(campaign) => costs::words::headline(analysis, costs, campaign),
            Err(_) => {
                let why = answer.reason.as_ref().map(|why| reason(why, raw));
                let not_counted = costs::words::not_counted(costs);
                format!("Cannot be said: {}.{not_counted}", why.unwrap_or_default())
            }
        }),
    };
    // What is not settled begins with what stands in its way, and what would lift it.
    let found = found.map(|text| match &answer.reason {
        Some(WhyOpen::Shaken { by, .. }) => {
            let (first, lift) = (why(raw), capital(&lifted(by)));
            format!("{first}. {lift}. Would be: {text}")
        }
        Some(
            WhyOpen::NotTogether(_)
            | WhyOpen::PartsOpen { .. }
            | WhyOpen::LeadMayBeLuck
            | WhyOpen::MayMiss(_)
            | WhyOpen::NoBetterThanMade,
        ) => {
            let lift = answer
                .to_do
                .first()
                .map(|first| capital(&to_do(first, raw)));
            let lift = around(" ", &lift.unwrap_or_default(), ".");
            format!("{}.{lift} {text}", why(raw))
        }
        _ => text,
    });
    // Without an answer: why there is nothing to say, and what would help.
    found.map(|text| naming(&text)).unwrap_or_else(|| {
        let help = answer.to_do.first().map(|first| to_do(first, naming));
        let help = capital(&help.unwrap_or_default());
        format!("{}.{}", why(naming), around(" ", &help, "."))
    })
}
