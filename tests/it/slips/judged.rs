//! What became of one slip: how grave its doubt is, whether it is named, and what is settled all the same.
//!
//! In: a slip, the clean campaign, and what the edited one comes to. Out: [`Outcome`].
//! This module never makes an edit.

use residuum::caveat::Caveat;
use residuum::error::{Error, Faults};
use residuum::pipeline::Analysis;
use residuum::runs::Runs;
use residuum::sheets::Passed;

use super::answered::{Answered, Ask};
use super::files::{Files, Touched};
use super::found::{Kind, Slip, doubts_naming, slips};
use super::table::{Case, Must};

/// Doubts of one cause that are one doubt, give or take.
const ONE_CAUSE: usize = 2;

/// A campaign before it is edited, with what is doubted of it already.
pub struct Clean {
    pub files: Files,
    answered: Answered,
    slips: Vec<String>,
    left_out: Vec<Gone>,
    caveats: Vec<Caveat>,
}

/// A row that was left out: where it stands, and all that is said of it.
#[derive(Debug, Clone, PartialEq)]
struct Gone {
    file: String,
    line: usize,
    text: String,
}

/// What became of a slip.
pub struct Outcome {
    /// What happened to the entry, the gravest first.
    pub happened: Must,
    /// Whether the entry, and the likely slip where there is one, are named.
    pub named: Result<(), String>,
    pub wrongly_settled: Vec<String>,
    /// All that was said, for whoever reads why.
    pub said: Vec<String>,
}

impl Clean {
    /// What a campaign comes to before any edit.
    pub fn of(files: Files, analysis: &Analysis) -> Self {
        Self {
            files,
            answered: Answered::of(analysis),
            slips: slips(&analysis.caveats).iter().map(Slip::key).collect(),
            left_out: left_out(&analysis.runs),
            caveats: analysis.caveats.clone(),
        }
    }
}

fn left_out(runs: &Runs) -> Vec<Gone> {
    // A run set aside on purpose is no fault.
    let rows = runs.left_out.iter().filter(|row| !row.on_purpose);
    // A row that holds sums or means is passed over, and its line is listed.
    let passed = runs.passed_over.iter().flat_map(|of| {
        let over_rows = of
            .passed
            .iter()
            .filter(|passed| passed.what == Passed::OverRows);
        over_rows.flat_map(|passed| &passed.lines).map(|line| Gone {
            file: of.file.clone(),
            line: *line,
            text: "run: a sum or mean".into(),
        })
    });
    let rows = rows.map(|row| {
        let run = row.run.as_deref().unwrap_or_default();
        let column = row.error.column().unwrap_or_default();
        Gone {
            file: row.place.file.to_string(),
            line: row.place.line,
            text: format!("{run} {column}: {}", row.error),
        }
    });
    rows.chain(passed).collect()
}

fn names(case: &Case, text: &str) -> bool {
    let text = text.to_lowercase();
    let mut columns = case.columns.iter();
    columns.any(|column| text.contains(&column.to_lowercase()))
}

/// Whether a text names the column and the likely slip.
fn named(case: &Case, text: &str) -> Result<(), String> {
    match &case.likely {
        _ if !names(case, text) => Err(format!("none of {:?} is named", case.columns)),
        Some(part) if !text.to_lowercase().contains(&part.to_lowercase()) => {
            Err(format!("`{part}` is not named"))
        }
        _ => Ok(()),
    }
}

/// Whether any of the texts names all; else what the nearest lacks.
fn any_named(case: &Case, texts: &[String]) -> Result<(), String> {
    let naming = texts.iter().find(|text| named(case, text).is_ok());
    let nearest = naming.or_else(|| texts.iter().find(|text| names(case, text)));
    match nearest.or(texts.first()) {
        Some(text) => named(case, text),
        None => Err("nothing is named".into()),
    }
}

/// A campaign that could not be worked out.
pub fn stopped(case: &Case, faults: &Faults, touched: &[Touched]) -> Outcome {
    let is_there = |error: &Error, place: &Touched| {
        // A key may be told at the heading of its table.
        let line = place.line.filter(|_| place.file != "campaign.toml");
        error.file().is_none_or(|file| file == place.file)
            && line.is_none_or(|line| error.line() == Some(line))
    };
    let errors = faults.errors().iter();
    let texts: Vec<String> = errors
        .filter(|error| touched.iter().any(|place| is_there(error, place)))
        .map(|error| format!("{error} {}", error.column().unwrap_or_default()))
        .collect();
    Outcome {
        happened: Must::Stops,
        named: any_named(case, &texts),
        wrongly_settled: Vec::new(),
        said: vec![faults.to_string()],
    }
}

/// A campaign that was worked out all the same.
pub fn analysed(case: &Case, clean: &Clean, analysis: &Analysis, touched: &[Touched]) -> Outcome {
    let is_touched = |file: &str, line: usize| {
        let mut places = touched.iter();
        places.any(|place| place.file == file && place.line == Some(line))
    };
    let is_about = |text: &str| case.about.iter().any(|name| text.contains(name.as_str()));
    let found: Vec<Slip> = slips(&analysis.caveats)
        .into_iter()
        .filter(|slip| !clean.slips.contains(&slip.key()))
        .collect();
    // What is off in all runs is about everything that was edited.
    let is_own = |slip: &&Slip| {
        case.about.is_empty()
            || slip.of_all_runs()
            || is_touched(&slip.file, slip.line)
            || case.about.contains(&slip.run)
    };
    let own: Vec<&Slip> = found.iter().filter(is_own).collect();
    let gone: Vec<Gone> = left_out(&analysis.runs)
        .into_iter()
        .filter(|row| !clean.left_out.contains(row))
        .collect();
    let of_rows: Vec<String> = gone
        .iter()
        .filter(|row| is_about(&row.text) || is_touched(&row.file, row.line))
        .map(|row| row.text.clone())
        .collect();
    let before = doubts_naming(&clean.caveats, &case.about);
    let doubts: Vec<String> = doubts_naming(&analysis.caveats, &case.about)
        .into_iter()
        .filter(|doubt| before.iter().all(|known| known.key != doubt.key))
        .map(|doubt| doubt.text)
        .collect();
    let of_slips: Vec<String> = own.iter().map(|slip| slip.text()).collect();
    let gravest = own.iter().map(|slip| slip.kind).min();
    let (happened, named) = match (gravest, &of_rows[..], &doubts[..]) {
        (Some(Kind::Impossible), ..) => (Must::Impossible, any_named(case, &of_slips)),
        (_, [_, ..], _) => (Must::LeftOut, any_named(case, &of_rows)),
        (Some(Kind::Unlikely), ..) => (Must::Unlikely, any_named(case, &of_slips)),
        (Some(Kind::Odd), ..) => (Must::Odd, any_named(case, &of_slips)),
        // The doubt names the run; which of its entries is wrong it may leave open.
        (None, _, [_, ..]) => (Must::Odd, Ok(())),
        (None, [], []) => (Must::Silent, Ok(())),
    };
    let named = match case.about.is_empty() && found.len() > ONE_CAUSE {
        true => Err(format!("{} doubts for one cause", found.len())),
        false => named,
    };
    let ask = match case.must {
        Must::Silent => Ask::Signs,
        _ => Ask::Figures,
    };
    let others = found.iter().filter(|slip| !is_own(slip));
    let others = others.map(|slip| format!("besides: {}", slip.text()));
    let said = of_slips
        .into_iter()
        .chain(of_rows)
        .chain(doubts)
        .chain(others);
    Outcome {
        happened,
        named,
        wrongly_settled: Answered::of(analysis).wrongly_settled(&clean.answered, ask),
        said: said.collect(),
    }
}

/// Whether what happened is what must: of two ways to withhold either will do, and of two ways to doubt the graver.
fn is_met(must: Must, happened: Must) -> bool {
    match must {
        Must::Stops => happened == Must::Stops,
        Must::Fault => matches!(happened, Must::Stops | Must::LeftOut),
        Must::LeftOut | Must::Impossible => matches!(happened, Must::LeftOut | Must::Impossible),
        Must::Unlikely => matches!(happened, Must::Unlikely | Must::Impossible),
        Must::Odd => matches!(happened, Must::Odd | Must::Unlikely),
        // What cannot be told may be doubted all the same.
        Must::Silent => matches!(happened, Must::Silent | Must::Odd),
    }
}

/// What is wrong with an outcome.
pub fn failure(case: &Case, outcome: &Outcome) -> Option<String> {
    let mut wrong = Vec::new();
    if !is_met(case.must, outcome.happened) {
        let (must, happened) = (case.must, outcome.happened);
        wrong.push(format!("must be {must:?}, is {happened:?}"));
    } else if let (Err(missing), true) = (&outcome.named, case.must != Must::Silent) {
        wrong.push(missing.clone());
    }
    let settled = outcome.wrongly_settled.iter();
    wrong.extend(settled.map(|answer| format!("SETTLED {answer}")));
    (!wrong.is_empty()).then(|| {
        let edits = case.edits.iter().map(|edit| {
            let (file, row, column, to) = (&edit.file, &edit.row, &edit.column, &edit.to);
            format!("{file} {row} {column} {to:?}")
        });
        let edits: Vec<String> = edits.collect();
        format!(
            "{:?}: {} ({}): {}\n    said: {}",
            case.base,
            case.what,
            edits.join("; "),
            wrong.join("; "),
            shown(&outcome.said)
        )
    })
}

/// Lines that are shown of what was said.
const MOST_SHOWN: usize = 7;

/// The first lines of what was said.
fn shown(said: &[String]) -> String {
    let lines = said
        .iter()
        .take(MOST_SHOWN)
        .map(|line| line.replace('\n', " "));
    let mut lines: Vec<String> = lines.collect();
    if said.len() > MOST_SHOWN {
        lines.push(format!("and {} more", said.len() - MOST_SHOWN));
    }
    lines.join("\n          ")
}
