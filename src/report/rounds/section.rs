//! The section on what changed since the report before.
//!
//! In: [`Since`]. Out: a section of the report, and the same in a few words for a list of campaigns.
//! This module never compares anything itself.

use serde_json::{Value, json};

use super::words::{decided, estimated, flagged, says};
use crate::history::{ChangedVerdict, FigureKind, Moved, Says, Since, Verdict};
use crate::report::print::{
    Page, Shown, and_list, capital, decimals_for, fixed, markdown, plain, plus_minus,
};

/// Names that are told one by one; more are counted.
const MOST_NAMES: usize = 12;

/// Writes the section, also when nothing changed: that is an answer too.
pub fn write(page: &mut Page, since: &Since) {
    page.heading(2, "Since last time");
    let items = items(since);
    if items.is_empty() {
        page.paragraph("No new runs, the same verdicts, and no estimate moved by more than its standard uncertainty.");
        return;
    }
    page.list(&items);
    if !since.moved.is_empty() {
        page.paragraph("An estimate is listed when it moved by more than the standard uncertainty that it had (half the width of an interval is about twice that). When a log grows by a tenth, luck alone hardly ever does this; when it doubles, one time in six.");
    }
}

fn items(since: &Since) -> Vec<String> {
    let mut items = Vec::new();
    let mut told = |what: &str, names: &[String]| {
        if !names.is_empty() {
            items.push(format!("{what} ({}): {}.", names.len(), listed(names)));
        }
    };
    told("New runs", &since.new_runs);
    told("Runs gone from the log", &since.gone_runs);
    told(
        "Earlier runs with another contained yield",
        &since.changed_runs,
    );
    let points: Vec<String> = since.drift.iter().map(flagged).collect();
    told("Points newly flagged by a control chart", &points);
    items.extend(since.newly_left_out.iter().take(MOST_NAMES).map(|row| {
        let run = row.run.as_deref().map(|run| format!(" {}", markdown(run)));
        format!(
            "Newly left out by a fault:{} in {}: {}.",
            run.unwrap_or_default(),
            markdown(&row.file),
            markdown(&row.reason)
        )
    }));
    items.extend(
        since
            .verdicts
            .iter()
            .map(|changed| format!("{}.", capital(&verdict(changed)))),
    );
    items.extend(
        since
            .moved
            .iter()
            .map(|estimate| format!("{}.", capital(&moved(estimate)))),
    );
    if !since.inputs.is_empty() {
        items.push(format!(
            "What changed in the inputs: {}.",
            listed(&since.inputs)
        ));
    }
    items.extend(since.program.as_ref().map(|program| {
        format!(
            "Worked out by version {} of the program, before by {}; that alone may change a figure.",
            markdown(&program.now),
            markdown(&program.before)
        )
    }));
    items
}

/// What changed as data, each entry with its texts besides: `text` in one line, and `about`, `before`, `now` apart.
pub fn with_texts(since: &Since) -> Value {
    let mut value = json!(since);
    for (verdict, entry) in since.verdicts.iter().zip(entries(&mut value["verdicts"])) {
        entry["about"] = json!(decided(&verdict.about));
        entry["before"] = json!(verdict.before.as_ref().map(says));
        entry["now"] = json!(verdict.now.as_ref().map(says));
        entry["text"] = json!(plain_verdict(verdict));
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
    let mut reasons: Vec<String> = since.verdicts.iter().map(plain_verdict).collect();
    let mut told = |what: &str, names: &[String]| match names {
        [] => {}
        [one] => reasons.push(format!("{what}: {one}")),
        [first, others @ ..] => reasons.push(format!("{what}: {first} and {} more", others.len())),
    };
    let points: Vec<String> = since.drift.iter().map(flagged).collect();
    told("control chart flags", &points);
    let rows: Vec<String> = since
        .newly_left_out
        .iter()
        .map(|row| match &row.run {
            Some(run) => format!("{run} ({})", row.reason),
            None => format!("{}: {}", row.file, row.reason),
        })
        .collect();
    told("newly left out", &rows);
    told("gone from the log", &since.gone_runs);
    told("another yield of an earlier run", &since.changed_runs);
    let estimates: Vec<String> = since
        .moved
        .iter()
        .map(|estimate| estimated(&estimate.about))
        .collect();
    told("moved by more than its uncertainty", &estimates);
    reasons
}

fn listed(names: &[String]) -> String {
    let mut shown: Vec<String> = names
        .iter()
        .take(MOST_NAMES)
        .map(|name| markdown(name))
        .collect();
    if names.len() > MOST_NAMES {
        shown.push(format!("{} more", names.len() - MOST_NAMES));
    }
    and_list(&shown)
}

fn verdict(changed: &ChangedVerdict) -> String {
    let about = markdown(&decided(&changed.about));
    let quoted = |answer: &Says| format!("*{}*", markdown(&says(answer)));
    match (&changed.before, &changed.now) {
        (Some(before), Some(now)) => {
            format!("{about}: was {}, now {}", quoted(before), quoted(now))
        }
        (None, Some(now)) => format!("{about}: newly {}", quoted(now)),
        (Some(before), None) => format!("{about}: no longer {}", quoted(before)),
        (None, None) => about,
    }
}

fn plain_verdict(changed: &ChangedVerdict) -> String {
    let about = decided(&changed.about);
    match (
        changed.before.as_ref().map(says),
        changed.now.as_ref().map(says),
    ) {
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
    let gap = if unit.is_empty() { "" } else { " " };
    let half = estimate.interval.map(|[low, high]| (high - low) / 2.0);
    // The figure before is shown to the digits of the one now, so that the two can be compared.
    let [before, now] = match half {
        Some(half) if half > 0.0 => {
            let decimals = decimals_for(shown.value(half));
            [
                fixed(shown.value(estimate.before), decimals),
                plus_minus(shown.value(estimate.now), shown.value(half)),
            ]
        }
        _ => [estimate.before, estimate.now].map(|value| plain(shown.value(value))),
    };
    format!(
        "{}: was {before}{gap}{unit}, now {now}{gap}{unit}",
        markdown(&estimated(&estimate.about)),
    )
}
