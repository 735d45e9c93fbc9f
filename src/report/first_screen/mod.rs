//! The first screen: what to do, and the answers, before any table.
//!
//! In: an analysis, and the headings that the rest of the page has. Out: what to do, and one short answer a question.
//! This module never answers a question that the log does not answer: it says what would.

mod do_this;

use do_this::ToDo;

use super::answer_words::{status, title};
use super::cautions;
use super::headlines::headline;
use super::print::{Page, Screen, Width, anchor, and_list, count, joined, markdown, percent, when};
use crate::answers::{Answer, Question};
use crate::decide::FEWEST_DEGREES;
use crate::pipeline::Analysis;
use crate::runs::{RunResult, Runs};

/// Writes the title, what to do and one line a question, each with a link to its section where there is one.
pub(super) fn write(page: &mut Page, analysis: &Analysis, headings: &[String]) {
    let campaign = &analysis.campaign;
    page.heading(1, &campaign.title);
    page.marked(&cautions::opening(&campaign.hazards));
    let small = little_to_go_on(analysis);
    page.marked(&small.clone().unwrap_or_default());
    let to_do = do_this::lines(analysis, small.is_some());
    if !to_do.is_empty() {
        page.marked("**Do this:**");
        page.marked_list(to_do.iter().map(ToDo::marked));
    }
    page.marked(&runs_used(analysis));
    let mut answers: Vec<&Answer> = analysis.answers.iter().collect();
    // With little to go on, the runs to make come first.
    answers.sort_by_key(|answer| small.is_some() && answer.question != Question::Next);
    page.marked_list(answers.into_iter().map(|answer| {
        let heading = title(analysis, &answer.question, str::to_string);
        let words = markdown(&heading);
        let linked = match headings.contains(&heading) {
            true => format!("[{words}](#{})", anchor(&heading)),
            false => words,
        };
        let headline = headline(analysis, answer, markdown);
        format!("**{linked}** {headline} *{}*", status(answer.status))
    }));
}

/// What to do and the answers for a terminal, a line each.
pub fn in_brief(analysis: &Analysis, width: Width) -> String {
    let mut screen = Screen::new(width);
    let to_do = do_this::lines(analysis, little_to_go_on(analysis).is_some());
    if !to_do.is_empty() {
        screen.line("Do this:");
    }
    for line in &to_do {
        screen.line(&format!("- {}.", line.text));
    }
    screen.gap();
    for answer in &analysis.answers {
        let title = title(analysis, &answer.question, str::to_string);
        let headline = headline(analysis, answer, str::to_string);
        screen.line(&format!("{title} {headline} ({})", status(answer.status)));
    }
    screen.gap();
    screen.finish()
}

/// How many doubts there are, or `more` of them, for a call that leaves it to the report to list them.
pub fn doubts_listed(doubts: usize, more: bool) -> String {
    let more = when(more, "more ");
    let each = "listed in the report beside the answer that it touches";
    match doubts {
        0 => String::new(),
        1 => format!("1 {more}doubt, {each}\n"),
        doubts => format!("{doubts} {more}doubts, each {each}\n"),
    }
}

/// Runs that the first screen names; the rest stands at the end.
const MOST_NAMED: usize = 3;

/// How many runs are used, what was left out of them or lacks a yield, and what stands behind a ±.
fn runs_used(analysis: &Analysis) -> String {
    let runs = &analysis.runs;
    let of_runs: Vec<&str> = {
        let mut names: Vec<&str> = Vec::new();
        for run in runs
            .left_out
            .iter()
            .filter_map(|entry| entry.run.as_deref())
        {
            if !names.contains(&run) {
                names.push(run);
            }
        }
        names
    };
    let left_out = match (of_runs.is_empty(), runs.left_out_lines) {
        (_, 0) => String::new(),
        (true, lines) => format!("; [left out](#left-out): {}", count(lines, "line")),
        (false, _) => format!("; [left out](#left-out): {}", first_of(&of_runs)),
    };
    let lacks = |run: &&RunResult| run.contained.is_err();
    let without: Vec<&str> = runs
        .counted()
        .filter(lacks)
        .map(|run| run.run.as_str())
        .collect();
    let without = match (analysis.campaign.chemistry.is_some(), without.as_slice()) {
        (false, _) | (true, []) => String::new(),
        (true, names) => format!("; without a yield: {}", first_of(names)),
    };
    format!(
        "{} of {} used{left_out}{without}{}. ± is {}.",
        runs.used(),
        count(runs.named(), "run"),
        planned(runs),
        percent(analysis.confidence(), 0)
    )
}

/// The first names of some, and how many more there are.
fn first_of(names: &[&str]) -> String {
    let told = names.iter().take(MOST_NAMED).map(|name| markdown(name));
    match names.len().saturating_sub(MOST_NAMED) {
        0 => and_list(told),
        more => format!("{} and {more} more", joined(told, ", ")),
    }
}

/// How many runs are planned in the log.
fn planned(runs: &Runs) -> String {
    let or_without = if runs.plans_are_sure {
        ""
    } else {
        ", or without a result,"
    };
    match runs.planned.len() {
        0 => String::new(),
        planned => format!("; {planned} planned{or_without} [in the log](#planned-in-the-log)"),
    }
}

/// How little a small log is, and what that means for every answer; `None` where it is large enough.
fn little_to_go_on(analysis: &Analysis) -> Option<String> {
    let models = analysis.models.models();
    let smallest = models.min_by_key(|model| model.residual_df)?;
    let (runs, terms, left) = (smallest.runs.len(), smallest.rank, smallest.residual_df);
    let tell = if left == 1 { "is" } else { "are" };
    (left < FEWEST_DEGREES).then(|| {
        format!(
            "**Little to go on:** of {}, {terms} go into the model and {left} {tell} left to tell the scatter by. One wrong entry can turn an answer: make the runs of question 7 first.",
            count(runs, "run")
        )
    })
}
