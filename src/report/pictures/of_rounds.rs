//! Picture of what the answers were, round after round.
//!
//! In: the records of a campaign. Out: a [`Picture`], where there are two rounds or more.
//! This module never compares more than whether two answers are the same.

use crate::charts::{Stretch, StripChart, StripRow};
use crate::error::Error;
use crate::history::{Decided, Record, Says};
use crate::report::print::{Picture, count};
use crate::report::rounds::words::{decided, says};

/// Most rounds that are drawn: the latest ones.
const MOST_ROUNDS: usize = 16;
/// Most questions besides the decisions.
const MOST_QUESTIONS: usize = 9;
/// Name by which the section knows the picture.
const NAME: &str = "answers-by-round";

/// The decisions, and whatever else changed its answer, over the rounds; the oldest record comes first.
pub fn answers_by_round(records: &[&Record]) -> Result<Option<Picture>, Error> {
    let records = &records[records.len().saturating_sub(MOST_ROUNDS)..];
    if records.len() < 2 {
        return Ok(None);
    }
    let mut asked: Vec<&Decided> = Vec::new();
    for verdict in records.iter().rev().flat_map(|record| &record.verdicts) {
        if !asked.contains(&&verdict.about) {
            asked.push(&verdict.about);
        }
    }
    let rows = asked.into_iter().map(|about| (about, row(about, records)));
    let (decisions, others): (Vec<_>, Vec<_>) = rows.partition(|(about, _)| is_decision(about));
    let changed = others
        .into_iter()
        .filter(|(_, row)| row.stretches.len() > 1);
    let drawn = decisions.into_iter().chain(changed.take(MOST_QUESTIONS));
    let rows: Vec<StripRow> = drawn.map(|(_, row)| row).collect();
    if rows.is_empty() {
        return Ok(None);
    }
    let chart = StripChart {
        question: "How did the answers change, round after round?".into(),
        times: records.iter().map(|record| time(record)).collect(),
        rows,
        firm: "a firm answer".into(),
        open: "an open one".into(),
    };
    Ok(Some(Picture {
        name: NAME.into(),
        file: format!("{NAME}.svg"),
        svg: chart.svg()?,
        question: chart.question,
        caption: "Each strip is one answer, as long as it stood: the decisions first, then what changed at least once.".into(),
    }))
}

fn time(record: &Record) -> String {
    format!("{}: {}", record.round, count(record.runs.len(), "run"))
}

fn is_decision(about: &Decided) -> bool {
    matches!(
        about,
        Decided::BestRoute | Decided::Residue | Decided::BestSettings
    )
}

fn row(about: &Decided, records: &[&Record]) -> StripRow {
    let mut stretches: Vec<Stretch> = Vec::new();
    for (time, record) in records.iter().enumerate() {
        let Some(found) = record.verdicts.iter().find(|it| it.about == *about) else {
            continue;
        };
        let answer = says(&found.says);
        match stretches.last_mut() {
            Some(last) if last.answer == answer && last.last + 1 == time => last.last = time,
            _ => stretches.push(Stretch {
                first: time,
                last: time,
                answer,
                is_firm: is_firm(&found.says),
            }),
        }
    }
    StripRow {
        name: decided(about),
        stretches,
    }
}

fn is_firm(says: &Says) -> bool {
    !matches!(
        says,
        Says::NotSettled | Says::NotToldFromZero | Says::NotKnown | Says::CannotBeToldApart
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record(round: u64, residue: &str) -> Record {
        let record = serde_json::json!({
            "round": round, "title": "", "left_out": [], "caveats": 0, "figures": [], "drift": [],
            "inputs": { "digest": round.to_string(), "program": "", "parts": [] },
            "runs": [{ "run": "R1", "value": null, "u": null }],
            "verdicts": [
                { "subject": "residue", "is": residue, "interval": null },
                { "subject": { "amount": { "response": "yield", "amount": "time" } }, "is": "rises", "interval": null },
            ],
        });
        serde_json::from_value(record).expect("a record")
    }

    #[test]
    fn an_answer_is_drawn_once_as_long_as_it_stands_and_what_never_changed_only_if_it_decides() {
        let kept = [
            record(1, "not_settled"),
            record(2, "pays"),
            record(3, "pays"),
        ];
        let records: Vec<&Record> = kept.iter().collect();
        let drawn = answers_by_round(&records).expect("a picture");
        let svg = drawn.expect("there are rounds").svg;
        for (text, times) in [
            ("pays", 1),
            ("not settled", 1),
            ("2: 1 run", 1),
            ("rises", 0),
        ] {
            assert_eq!(svg.matches(&format!("\n{text}\n")).count(), times, "{text}");
        }
        let first = answers_by_round(&records[..1]).expect("no fault");
        assert!(first.is_none());
    }
}
