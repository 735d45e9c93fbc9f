//! Names of questions, and reasons and things to do in words.
//!
//! In: parts of an answer, and how names are made harmless. Out: titles and clauses.
//! This module never decides where an answer stands.

use super::effects::words::comparison;
use super::firmness::shaken;
use super::print::untold_terms::proposal;
use super::print::{Naming, and_list, around, count, one_line, when};
use super::reasons::{missing, no_cost, no_result, unanswered};
use super::routes::words::{only_allowed, only_one, untold};
use crate::answers::{Question, Status, ToDo, WhyOpen};
use crate::caveat::Reason;
use crate::pipeline::Analysis;

/// Number and words of a question.
pub(super) fn title(analysis: &Analysis, question: &Question, naming: Naming) -> String {
    let words = match question {
        Question::Given => "What did the runs give?".into(),
        Question::Went => "Where did the rest go?".into(),
        Question::Moves(_) => match response(analysis, question) {
            Some(response) => format!(
                "What moves {}?",
                naming(&analysis.campaign.called(response))
            ),
            None => "What moves yield and purity?".into(),
        },
        Question::Routes => "Which route?".into(),
        Question::Residue => "Does residue pay?".into(),
        Question::Settings => "Which settings?".into(),
        Question::Next => "What next?".into(),
        Question::Drift => "Does it drift?".into(),
        Question::Cost => "What does it cost?".into(),
    };
    format!("{} {words}", question.number())
}

/// The key of a question in data: its number, and of question 3 the response.
pub(super) fn key(analysis: &Analysis, question: &Question) -> String {
    match response(analysis, question) {
        Some(response) => format!("{} {response}", question.number()),
        None => question.number().to_string(),
    }
}

fn response<'a>(analysis: &'a Analysis, question: &Question) -> Option<&'a str> {
    let Question::Moves(Some(position)) = question else {
        return None;
    };
    let moves = analysis.findings.moves.get(*position)?;
    Some(&moves.response)
}

/// Where an answer stands.
pub(super) fn status(status: Status) -> &'static str {
    match status {
        Status::Settled => "settled",
        Status::PartlyOpen => "partly open",
        Status::Open => "open",
        Status::InDoubt => "in doubt",
        Status::NotAsked => "not asked",
    }
}

/// Why an answer is not settled, as a clause.
pub(super) fn reason(why: &WhyOpen, naming: Naming) -> String {
    match why {
        WhyOpen::NoChemistry => {
            "the campaign file states no chemistry, so there is no theory to hold a run against"
                .into()
        }
        WhyOpen::NoYield(first) => because("no run has a contained yield", first.as_ref(), naming),
        WhyOpen::Impossible(runs) => format!("{} gave more than can be", named(runs, naming)),
        WhyOpen::HardlyRight(runs) => {
            format!("entries of {} are hardly right", named(runs, naming))
        }
        WhyOpen::NoStrength => "the strength of no titrant is logged".into(),
        WhyOpen::NoBalance(first) => because("no run has a balance", first.as_ref(), naming),
        WhyOpen::MoreOutThanIn(runs) => {
            format!("in {} more came out than went in", count(*runs, "run"))
        }
        WhyOpen::LessOutThanOthers(runs) => format!(
            "from {} less came out than from the others",
            count(*runs, "run")
        ),
        WhyOpen::BalanceOpen => "the balances of all runs miss by as much".into(),
        WhyOpen::NoModel => "the campaign file has no `[model]`".into(),
        WhyOpen::PartsOpen {
            tangled: 0,
            unseen: 0,
            untold: 0,
        } => "from so few runs the mean has no ±".into(),
        WhyOpen::PartsOpen {
            tangled,
            unseen,
            untold,
        } => {
            let tangled = (*tangled > 0).then(|| {
                let groups = match tangled {
                    1 => "1 group of terms".into(),
                    more => format!("{more} groups of terms"),
                };
                format!("{groups} cannot be told apart")
            });
            let unseen = (*unseen > 0).then(|| {
                let factors = count(*unseen, "factor");
                format!("effects of {factors} are neither shown nor ruled out")
            });
            let untold = (*untold > 0).then(|| count(*untold, "factor"));
            let untold = untold.map(|factors| format!("of {factors} nothing can be told"));
            and_list([tangled, unseen, untold].into_iter().flatten())
        }
        WhyOpen::NoRouteFactor => "no factor stands for the recovery route".into(),
        WhyOpen::OneRoute(only) => naming(&only_one(only)),
        WhyOpen::OneRouteAllowed(only) => naming(&only_allowed(only)),
        WhyOpen::NoRouteMeets => "no route gives the purity asked for often enough".into(),
        WhyOpen::NoRouteTold(reason) => naming(&untold(reason.as_ref())),
        WhyOpen::MayMiss(route) => format!(
            "whether {} gives the purity asked for often enough is not settled",
            naming(route)
        ),
        WhyOpen::LeadMayBeLuck => "the lead of the best may be luck".into(),
        WhyOpen::Shaken { about, by } => {
            let about = about.as_ref().map(|effect| comparison(effect, &str::to_string));
            let about = around("", &about.unwrap_or_default(), ": ");
            naming(&format!("{about}{}", shaken(by)))
        }
        WhyOpen::NotTogether(factors) => format!(
            "effects of {} are shown one by one, but not all together",
            and_list(factors.iter().map(|factor| naming(factor)))
        ),
        WhyOpen::NoResidue => "no run charged residue, and no factor stands for it".into(),
        WhyOpen::Missing(what) => naming(&unanswered(what).missing),
        WhyOpen::GainMayBeNothing => "the gain may be a loss as well".into(),
        WhyOpen::ValuedOtherwise => {
            "valued in another way it is the opposite, and `[recycling] value` does not say which counts".into()
        }
        WhyOpen::HandlingUnsaid => {
            "it hangs on whether the labour log holds `residue_handling` already, and `[recycling] handling` does not say so".into()
        }
        WhyOpen::ChargedLessOften => {
            "charged less often, with what was collected, it would pay; behind the answer stands how often".into()
        }
        WhyOpen::NotAgainAndAgain => {
            "a charge like those made pays, and each way to charge again and again loses, because the residue gets poorer".into()
        }
        WhyOpen::LabourUntold => {
            "labour is paid, and nothing tells how much more of it a charged run takes".into()
        }
        WhyOpen::NoSettings(Some(gap)) => naming(&missing(gap)),
        WhyOpen::NoSettings(None) => "no settings can be looked at".into(),
        WhyOpen::NoSettingsMeet => {
            "no settings within the limits give the purity asked for often enough".into()
        }
        WhyOpen::NoBetterThanMade => {
            "whether they beat the best run made so far is not settled".into()
        }
        WhyOpen::NoPlan(error) => naming(error.message()),
        WhyOpen::ToBeMade => "these runs are still to be made".into(),
        WhyOpen::NothingCharted => "nothing can be charted".into(),
        WhyOpen::Flagged => "a control chart flags".into(),
        WhyOpen::FewRuns => "so few runs show only a large drift".into(),
        WhyOpen::NoPrices => "there are no prices".into(),
        WhyOpen::NotAllCounted => "what is not counted would add to it".into(),
        WhyOpen::MakeOrBuy => "whether making or buying costs less is not settled".into(),
        WhyOpen::NoCost(reason) => naming(&no_cost(reason)),
    }
}

fn because(what: &str, first: Option<&Reason>, naming: Naming) -> String {
    let first = first.map(|reason| naming(&no_result(reason)));
    what.to_string() + &around(": ", &first.unwrap_or_default(), "")
}

fn named(names: &[String], naming: Naming) -> String {
    and_list(names.iter().map(|name| naming(name)))
}

/// What an answer still lacks, for a terminal: one line each, with what to do.
pub fn still_missing(missing: &[(WhyOpen, ToDo)]) -> String {
    let line = |(why, what): &(WhyOpen, ToDo)| {
        let (why, what) = (reason(why, one_line), to_do(what, one_line));
        format!("missing: {why}: {what}\n")
    };
    missing.iter().map(line).collect()
}

/// What to do, as a clause.
pub(super) fn to_do(what: &ToDo, naming: Naming) -> String {
    match what {
        ToDo::Correct(runs) => format!("correct or set aside {}", named(runs, naming)),
        ToDo::LogBalance => {
            "log volume and strength of the mother liquor, and mass and assay of the residue".into()
        }
        ToDo::LogYield => "log what the yields lack".into(),
        ToDo::StateChemistry => {
            "state `product`, `followed` and `assay_as` under `[campaign]`".into()
        }
        ToDo::NameLog(key) => {
            let or = when(*key == "lots", ", or log the `feed_assay` of each run");
            format!("add `{key} = \"{key}.csv\"` to `[logs]`{or}")
        }
        ToDo::AddTitration => "add `[titration]` with `analyte`, `titrant` and `ratio`".into(),
        ToDo::AddModel => "add `[model]` with the effects to look for".into(),
        ToDo::Separate(run) => format!("make a run: {}", naming(&proposal(run))),
        ToDo::MakePlanned(runs) => format!("make the {} planned", count(*runs, "run")),
        ToDo::DeclareRoute => "give the factor of the route `stands_for = \"route\"`".into(),
        ToDo::RunAnotherRoute => "make runs on another route".into(),
        ToDo::Supply(what) => naming(&unanswered(what).advice),
        ToDo::SettleGain { runs, charged } => format!(
            "make {} more, {charged} of them with residue",
            count(*runs, "run")
        ),
        ToDo::LookAtFlag => "look at what changed where the flagged departure began".into(),
        ToDo::StatePrices => {
            "add `[prices]` to the campaign file; what is absent there is named and not counted"
                .into()
        }
    }
}
