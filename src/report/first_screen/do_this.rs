//! What to do: settled decisions, the runs to make, the entries to check.
//!
//! In: an analysis. Out: at most five lines of Markdown.
//! This module never tells anybody to do what is not settled.

use crate::answers::{Question, Status};
use crate::caveat::{About, Caveat, Doubt, Weight};
use crate::decide::{Recycling, RecyclingVerdict, residue_factor};
use crate::pipeline::Analysis;
use crate::report::answer_words::title;
use crate::report::doubts::in_short;
use crate::report::doubts_and_gaps::about;
use crate::report::next::assays;
use crate::report::print::{anchor, around, count, joined, markdown};
use crate::report::recycling::words::too_much;
use crate::report::settings::short::place;

/// Entries that are named; more are only counted.
const MOST_NAMED: usize = 2;

/// One thing to do, names as they were logged, and the heading below which it is explained.
pub struct ToDo {
    /// What to do, without a full stop.
    pub text: String,
    /// The words that lead to the explanation, and its heading.
    pub link: Option<(String, String)>,
}

impl ToDo {
    fn of(analysis: &Analysis, text: String, question: &Question) -> Self {
        let heading = title(analysis, question, str::to_string);
        let link = Some((question.number().to_string(), heading));
        Self { text, link }
    }

    /// The line as Markdown.
    pub fn marked(&self) -> String {
        let link = self.link.as_ref();
        let link = link.map(|(words, heading)| format!(" ([{words}](#{}))", anchor(heading)));
        format!("{}{}.", markdown(&self.text), link.unwrap_or_default())
    }
}

/// At most five lines: route and settings, residue, runs to make, an assay to repeat, entries to check; with little to go on the last two alone.
pub fn lines(analysis: &Analysis, little_to_go_on: bool) -> Vec<ToDo> {
    if little_to_go_on {
        return [runs(analysis), check(analysis)]
            .into_iter()
            .flatten()
            .collect();
    }
    let decided = [settings(analysis), residue(analysis)];
    let none = decided.iter().all(Option::is_none);
    let asked = [Question::Routes, Question::Settings, Question::Residue];
    let is = |wanted: Status| {
        let mut asked = asked.iter();
        asked.any(|asked| status(analysis, asked) == Some(wanted))
    };
    let is_open = is(Status::Open) || is(Status::PartlyOpen) || is(Status::InDoubt);
    let nothing = (none && is_open && !is(Status::Settled)).then(|| ToDo {
        text: "No route, setting or use of residue is settled: change nothing on this log alone"
            .into(),
        link: None,
    });
    let lines =
        decided
            .into_iter()
            .chain([nothing, runs(analysis), assay(analysis), check(analysis)]);
    lines.flatten().collect()
}

fn status(analysis: &Analysis, question: &Question) -> Option<Status> {
    let mut answers = analysis.answers.iter();
    let found = answers.find(|answer| answer.question == *question);
    found.map(|answer| answer.status)
}

fn is_settled(analysis: &Analysis, question: &Question) -> bool {
    status(analysis, question) == Some(Status::Settled)
}

/// The settings that are settled, else the route alone.
fn settings(analysis: &Analysis) -> Option<ToDo> {
    let findings = &analysis.findings;
    let (of_settings, of_routes) = (Question::Settings, Question::Routes);
    let best = findings
        .settings
        .as_ref()
        .and_then(|found| found.as_ref().ok());
    // Settings on a route that is not settled wait for it.
    let of_route = status(analysis, &of_routes);
    let waits = ![Some(Status::Settled), Some(Status::NotAsked)].contains(&of_route);
    let best = best.filter(|best| best.reaches != Some(false) && !waits);
    if let Some(best) = best.filter(|_| is_settled(analysis, &of_settings)) {
        // What residue is worth is a matter of money, and has a line of its own.
        let residue = residue_factor(&analysis.campaign);
        let place = place(&analysis.campaign, best, |name| Some(name) != residue);
        let text = around("Run at ", &place, "");
        return (!text.is_empty()).then(|| ToDo::of(analysis, text, &of_settings));
    }
    let routes = findings.routes.as_ref();
    let routes = routes.filter(|_| is_settled(analysis, &of_routes))?;
    let factor = analysis.campaign.called(&routes.factor);
    let text = format!("Take {factor} {}", routes.best.level.as_ref()?);
    Some(ToDo::of(analysis, text, &of_routes))
}

/// By how much less often charged runs may meet the specification without more being said, where that is not counted as money.
const SELDOMER: f64 = 0.05;

/// Whether to charge residue, where that is settled, the vessel holds the charge and purity does not speak against it.
fn residue(analysis: &Analysis) -> Option<ToDo> {
    let recycling: &Recycling = analysis.findings.recycling.as_ref().ok()?;
    let money = recycling.money.as_ref().ok()?;
    if !is_settled(analysis, &Question::Residue) {
        return None;
    }
    let ratio = recycling.reference.ratio;
    let worth = money.worth.as_ref().filter(|worth| !worth.counts);
    let spoils_purity = worth.is_some_and(|worth| worth.with < worth.without - SELDOMER);
    let text = match money.verdict {
        RecyclingVerdict::Pays if too_much(recycling).is_empty() && !spoils_purity => {
            format!("Charge residue, about {ratio:.2} g/g")
        }
        RecyclingVerdict::DoesNotPay => "Charge no residue".into(),
        _ => return None,
    };
    Some(ToDo::of(analysis, text, &Question::Residue))
}

fn runs(analysis: &Analysis) -> Option<ToDo> {
    let plan = analysis.next.as_ref()?.as_ref().ok()?;
    let (new, known) = (plan.runs.len(), plan.in_the_log.len());
    let logged = match known {
        0 => String::new(),
        known => format!(", {known} of them planned in the log"),
    };
    let text = format!("Make the {} proposed{logged}", count(new + known, "run"));
    (new + known > 0).then(|| ToDo::of(analysis, text, &Question::Next))
}

/// The assay that would change what is open, if the estimate stays.
fn assay(analysis: &Analysis) -> Option<ToDo> {
    let text = assays::in_short(analysis)?;
    Some(ToDo::of(analysis, text, &Question::Next))
}

/// The entries to look at before anything is believed: those that cannot be right first, then those that hardly are, and balances
/// that do not close.
fn check(analysis: &Analysis) -> Option<ToDo> {
    let weight = |caveat: &Caveat| match &caveat.doubt {
        Doubt::Entry(slip) if !slip.accepted => slip.weight,
        Doubt::AllOff { .. } => Weight::Impossible,
        Doubt::ClosureAboveOne { .. } | Doubt::ClosureBelowOthers { .. } => Weight::Unlikely,
        _ => Weight::Odd,
    };
    let is_aside = |caveat: &Caveat| {
        let mut runs = analysis.runs.results.iter();
        runs.any(|run| run.set_aside.is_some() && caveat.about == About::Run(run.run.clone()))
    };
    let mut found: Vec<&Caveat> = analysis.caveats.iter().collect();
    found.retain(|caveat| weight(caveat) > Weight::Odd && !is_aside(caveat));
    found.sort_by_key(|caveat| std::cmp::Reverse(weight(caveat)));
    let told = found.iter().take(MOST_NAMED);
    let told = joined(told.map(|caveat| in_short(caveat)), "; ");
    let more = match found.len().saturating_sub(MOST_NAMED) {
        0 => String::new(),
        more => format!(", and {more} more"),
    };
    let of_balance = found.first()?.doubt.is_about_the_balance();
    let heading = about(if of_balance { "2" } else { "1" });
    Some(ToDo {
        text: format!("Check {told}{more}"),
        link: Some(("doubts".into(), heading)),
    })
}
