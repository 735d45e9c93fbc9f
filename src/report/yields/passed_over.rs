//! Lines of the files that are no rows of a log, in words.
//!
//! In: what intake passed over. Out: one sentence a file.
//! This module never decides what a line is.

use crate::intake::PassedIn;
use crate::report::print::{and_list, count};
use crate::sheets::{Note, Passed, PassedOver};

/// Lines that are named one by one.
const MOST_LINES: usize = 6;

/// What each file holds besides the rows of a log, one sentence a file; nothing where there is nothing.
pub fn passed_over(files: &[PassedIn]) -> Vec<String> {
    let told = files.iter().filter_map(|of| {
        let notes = of.notes.iter().map(note);
        let lines = of
            .passed
            .iter()
            .map(|passed| passed_lines(&of.file, passed));
        let told: Vec<String> = notes.chain(lines).collect();
        (!told.is_empty()).then(|| format!("`{}`: {}", of.file, told.join("; ")))
    });
    told.collect()
}

fn note(note: &Note) -> String {
    match note {
        Note::Encoding(name) => format!("read as {name}"),
        Note::NoPercentages => "a workbook of this form does not tell which numbers it shows in per cent: each is taken as it is stored, so that 10 % is 0.1".into(),
    }
}

fn passed_lines(file: &str, passed: &PassedOver) -> String {
    let lines = lines(&passed.lines);
    let several = passed.lines.len() > 1;
    let verb = |one: &'static str, more: &'static str| if several { more } else { one };
    match &passed.what {
        Passed::Title => format!("{lines} {} above the headings", verb("stands", "stand")),
        Passed::Comment => format!("{lines} {}", verb("is a remark", "are remarks")),
        Passed::Units => format!("{lines} {} units", verb("holds", "hold")),
        Passed::HeadingAgain => format!("{lines} {} the headings", verb("repeats", "repeat")),
        Passed::OverRows => format!(
            "{lines} {} over other rows",
            verb("is a sum or mean", "are sums or means")
        ),
        Passed::NoHeading { column } => format!(
            "{} without a heading in column {column}, on {lines}",
            count(passed.lines.len(), "cell")
        ),
        Passed::OtherTable { number, title } => {
            let title = title.as_deref();
            let title = title.map_or(String::new(), |title| format!(" `{title}`"));
            let file = file.split('#').next().unwrap_or(file);
            format!(
                "a further table{title} begins on {lines}, which no log names: `\"{file}#{number}\"`"
            )
        }
    }
}

fn lines(lines: &[usize]) -> String {
    let named = lines.iter().take(MOST_LINES).map(usize::to_string);
    let more = lines.len().saturating_sub(MOST_LINES);
    let named: Vec<String> = match more {
        0 => named.collect(),
        more => named.chain([format!("{more} more")]).collect(),
    };
    let what = if lines.len() > 1 { "lines" } else { "line" };
    format!("{what} {}", and_list(named))
}
