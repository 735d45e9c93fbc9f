//! The section on what changed since the report before.
//!
//! In: [`Since`]. Out: a section of the report, and the same in a few words for a list of campaigns.
//! This module never compares anything itself.

use serde_json::{Value, json};

use super::words::{decided, estimated, flagged, says};
use crate::history::{ChangedVerdict, FigureKind, Moved, Since, Verdict};
use crate::report::print::{
    Page, Shown, and_list, around, capital, decimals_for, fixed, markdown, plain, plus_minus,
};

/// Names that are told one by one; more are counted.
const MOST_NAMES: usize = 12;

/// Writes the section, also when nothing changed: that is an answer too.
pub fn write(page: &mut Page, since: &Since) {
    page.heading(2, "Since last time");
    page.show("answers-by-round");
    let items = items(since);
    if items.is_empty() {
        page.paragraph("No new runs, the same verdicts, and no estimate moved by more than its standard uncertainty.");
        return;
    }
    page.marked_list(items);
    if !since.moved.is_empty() {
        page.paragraph("An estimate is listed when it moved by more than the standard uncertainty that it had (half the width of an interval is about twice that). When a log grows by a tenth, luck alone hardly ever does this; when it doubles, one time in six.");
    }
}

fn items(since: &Since) -> Vec<String> {
    let points: Vec<String> = since.drift.iter().map(flagged).collect();
    let named = [
        ("New runs", &since.new_runs),
        ("Runs gone from the log", &since.gone_runs),
        (
            "Earlier runs with another contained yield",
            &since.changed_runs,
        ),
        ("Points newly flagged by a control chart", &points),
    ];
    let named = named.into_iter().filter(|(_, names)| !names.is_empty());
    let named = named.map(|(what, names)| format!("{what} ({}): {}.", names.len(), listed(names)));
    let left_out = since.newly_left_out.iter().take(MOST_NAMES).map(|row| {
        let run = around(" ", row.run.as_deref().unwrap_or_default(), "");
        let [run, file, reason] = [&run, &row.file, &row.reason].map(|text| markdown(text));
        format!("Newly left out by a fault:{run} in {file}: {reason}.")
    });
    let verdicts = since.verdicts.iter().map(|changed| {
        let said = verdict(changed, markdown, |answer| {
            format!("*{}*", markdown(answer))
        });
        format!("{}.", capital(&said))
    });
    let moved = since.moved.iter().map(|estimate| {
        let said = capital(&moved(estimate));
        format!("{}.", markdown(&said))
    });
    let inputs = around("What changed in the inputs: ", &listed(&since.inputs), ".");
    let program = since.program.as_ref().map(|program| {
        let [now, before] = [&program.now, &program.before].map(|version| markdown(version));
        format!("Worked out by version {now} of the program, before by {before}; that alone may change a figure.")
    });
    let all = named
        .chain(left_out)
        .chain(verdicts)
        .chain(moved)
        .chain([inputs])
        .chain(program);
    all.filter(|item| !item.is_empty()).collect()
}

/// What changed as data, each entry with its texts besides: `text` in one line, and `about`, `before`, `now` apart.
pub fn with_texts(since: &Since) -> Value {
    let mut value = json!(since);
    for (verdict, entry) in since.verdicts.iter().zip(entries(&mut value["verdicts"])) {
        entry["about"] = json!(decided(&verdict.about));
        entry["before"] = json!(verdict.before.as_ref().map(says));
        entry["now"] = json!(verdict.now.as_ref().map(says));
        entry["text"] = json!(in_one_line(verdict));
    }
    for (moved, entry) in since.moved.iter().zip(entries(&mut value["moved"])) {
        entry["about"] = json!(estimated(&moved.about));
        entry["text"] = json!(estimated(&moved.about));
    }
    for (point, entry) in since.drift.iter().zip(entries(&mut value["flags"])) {
        entry["text"] = json!(flagged(point));
    }
    value["drift"] = since.drift.iter().map(flagged).collect();
    value
}

/// A verdict as data with its texts besides.
pub fn verdict_with_texts(verdict: &Verdict) -> Value {
    let mut value = json!(verdict);
    value["about"] = json!(decided(&verdict.about));
    value["says"] = json!(says(&verdict.says));
    value
}

fn entries(list: &mut Value) -> impl Iterator<Item = &mut Value> {
    list.as_array_mut().into_iter().flatten()
}

/// The reasons to look at a campaign, as a text of one line without Markdown and with every name as it is.
pub fn in_short(since: &Since) -> Vec<String> {
    let points = since.drift.iter().map(flagged).collect();
    let rows = since.newly_left_out.iter().map(|row| match &row.run {
        Some(run) => format!("{run} ({})", row.reason),
        None => format!("{}: {}", row.file, row.reason),
    });
    let estimates = since.moved.iter().map(|moved| estimated(&moved.about));
    let named: [(&str, Vec<String>); 5] = [
        ("control chart flags", points),
        ("newly left out", rows.collect()),
        ("gone from the log", since.gone_runs.clone()),
        (
            "another yield of an earlier run",
            since.changed_runs.clone(),
        ),
        ("moved by more than its uncertainty", estimates.collect()),
    ];
    let named = named
        .iter()
        .filter_map(|(what, names)| match names.as_slice() {
            [] => None,
            [one] => Some(format!("{what}: {one}")),
            [first, others @ ..] => Some(format!("{what}: {first} and {} more", others.len())),
        });
    since
        .verdicts
        .iter()
        .map(in_one_line)
        .chain(named)
        .collect()
}

fn listed(names: &[String]) -> String {
    let shown = names.iter().take(MOST_NAMES).map(|name| markdown(name));
    let more = names.len().saturating_sub(MOST_NAMES);
    and_list(shown.chain((more > 0).then(|| format!("{more} more"))))
}

fn in_one_line(changed: &ChangedVerdict) -> String {
    verdict(changed, str::to_string, str::to_string)
}

/// What a verdict was and is, with its question and its answers each written in their way.
fn verdict(
    changed: &ChangedVerdict,
    question: impl Fn(&str) -> String,
    answer: impl Fn(&str) -> String,
) -> String {
    let about = question(&decided(&changed.about));
    let [before, now] =
        [&changed.before, &changed.now].map(|said| Some(answer(&says(said.as_ref()?))));
    match (before, now) {
        (Some(before), Some(now)) => format!("{about}: was {before}, now {now}"),
        (None, Some(now)) => format!("{about}: newly {now}"),
        (Some(before), None) => format!("{about}: no longer {before}"),
        (None, None) => about,
    }
}

fn moved(estimate: &Moved) -> String {
    let shown = Shown::of(&estimate.unit);
    let unit = match estimate.kind {
        FigureKind::Level => &shown.unit,
        FigureKind::Difference => &shown.difference,
    };
    let unit = around(" ", unit, "");
    let half = estimate
        .interval
        .map(|[low, high]| shown.value((high - low) / 2.0));
    let [before, now] = [estimate.before, estimate.now].map(|value| shown.value(value));
    // The figure before is shown to the digits of the one now, so that the two can be compared.
    let [before, now] = match half {
        Some(half) if half > 0.0 => [fixed(before, decimals_for(half)), plus_minus(now, half)],
        _ => [before, now].map(plain),
    };
    let about = estimated(&estimate.about);
    format!("{about}: was {before}{unit}, now {now}{unit}")
}
