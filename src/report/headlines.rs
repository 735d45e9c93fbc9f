//! The headline of each answer: what a question comes to, in a few words.
//!
//! In: an analysis, one of its answers, and how names are made harmless. Out: text without title and status.
//! This module never judges: whether an answer stands comes with it.

use super::answer_words::{reason, status, title, to_do};
use super::doubts_and_gaps::missing;
use super::firmness::lifted;
use super::print::{Brief, Naming, words_in};
use super::{costs, drift, effects, next, recycling, routes, settings, yields};
use crate::answers::{Answer, Question, WhyOpen};
use crate::decide::Gap;
use crate::pipeline::Analysis;

/// Most words of an answer on the first screen, its title and its status among them.
const MOST_WORDS: usize = 50;

/// What a question comes to; where there is no answer, why, and what would help.
pub(super) fn headline(analysis: &Analysis, answer: &Answer, naming: Naming) -> String {
    let raw: Naming = str::to_string;
    let around =
        words_in(&title(analysis, &answer.question, raw)) + words_in(status(answer.status));
    let mut brief = Brief::within(MOST_WORDS.saturating_sub(around));
    let why = answer.reason.as_ref().map(|why| reason(why, raw));
    let why = why.unwrap_or_default();
    let lift = answer.to_do.first().map(|first| to_do(first, raw));
    let lift = lift.unwrap_or_default();
    let is_of_effects = matches!(answer.question, Question::Moves(Some(_)));
    // What is open or in doubt begins with what stands in its way; of effects, those that stand come first.
    let mut after = Vec::new();
    match &answer.reason {
        Some(WhyOpen::Shaken { by, .. }) if !is_of_effects => {
            brief.say(&format!("{why}; {}", lifted(by)));
            brief.lead("would be: ");
        }
        Some(WhyOpen::NotTogether(_)) => after.push(why.clone()),
        Some(WhyOpen::LeadMayBeLuck | WhyOpen::MayMiss(_) | WhyOpen::NoBetterThanMade) => {
            brief.say(&why);
            after.push(lift.clone());
        }
        Some(
            WhyOpen::FewRuns
            | WhyOpen::HardlyRight(_)
            | WhyOpen::MoreOutThanIn(_)
            | WhyOpen::LessOutThanOthers(_)
            | WhyOpen::BalanceOpen,
        ) => after.push(why.clone()),
        Some(WhyOpen::Impossible(_)) => brief.say(&format!("{why}; {lift}")),
        _ => {}
    }
    // Why it is not settled stands, whatever else falls away.
    let first = after.first().cloned().unwrap_or_default();
    brief.keep_for(&first);
    if !found(analysis, &answer.question, &mut brief) {
        brief.say(&why);
        after = vec![lift];
    }
    for sentence in after {
        brief.say_kept(&sentence);
    }
    naming(&brief.finish())
}

/// Says what was found; whether anything was.
fn found(analysis: &Analysis, question: &Question, brief: &mut Brief) -> bool {
    let findings = &analysis.findings;
    let campaign = &analysis.campaign;
    let found = match question {
        Question::Given => {
            let given = findings.given.as_ref();
            given.map(|given| yields::short::given(given, brief))
        }
        Question::Went => {
            let went = findings.went.as_ref();
            went.map(|went| yields::short::went(analysis, went, brief))
        }
        Question::Moves(position) => {
            let known = position.and_then(|at| Some((at, findings.moves.get(at)?)));
            known.map(|(at, moves)| effects::short::short(analysis, at, moves, brief))
        }
        Question::Routes => {
            let routes = findings.routes.as_ref();
            routes.map(|routes| routes::short::short(routes, brief))
        }
        Question::Residue => findings
            .residue_is_asked
            .then(|| recycling::short::short(&findings.recycling, brief)),
        Question::Settings => match &findings.settings {
            Some(Err(gaps)) => Gap::that_stops(gaps).map(|gap| brief.say(&missing(gap))),
            found => {
                let best = found.as_ref().and_then(|found| found.as_ref().ok());
                best.map(|best| settings::short::short(campaign, best, brief))
            }
        },
        Question::Next => {
            let plan = analysis.next.as_ref().and_then(|plan| plan.as_ref().ok());
            plan.map(|plan| next::short::short(campaign, plan, brief))
        }
        Question::Drift => (!analysis.drift.series.is_empty())
            .then(|| drift::short::short(campaign, &analysis.drift, brief)),
        Question::Cost => {
            let costs = analysis.costs.as_ref();
            let known = costs.and_then(|costs| Some((costs, costs.campaign.as_ref().ok()?)));
            known.map(|(costs, of_all)| costs::short::short(analysis, costs, of_all, brief))
        }
    };
    found.is_some()
}
