//! Is an entry that is wrong found, named and kept from settling an answer?
//!
//! In: the slips of the table, each made in its campaign. Out: a test of all of them, and a table of counts.
//! This module never judges an entry.

use std::collections::BTreeMap;
use std::path::Path;

use residuum::campaign::{Campaign, CampaignDraft};
use residuum::caveat::Caveat;
use residuum::error::{Error, Faults};
use residuum::pipeline::{self, Analysis, Asked, Extent};
use residuum::runs::Runs;
use residuum::seeded::Seeded;

use super::answered::{Answered, Ask};
use super::files::{Files, Touched};
use super::found::{Kind, Slip, doubts_naming, slips};
use super::logs::make;
use super::plans::{Draws, Plan, Style};
use super::preparations::PREPARATIONS;
use super::table::{Base, Case, Must, cases};

const SEED: u64 = 1;
/// The seed of the small campaigns, and the stream of each.
const SEED_OF_SMALL: u64 = 77;

/// Least slips that the table holds.
const LEAST: usize = 150;

/// Doubts of one cause that are one doubt, give or take.
const ONE_CAUSE: usize = 2;

fn files(base: Base) -> Files {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo");
    let small = |preparation: usize, style| {
        let mut draws = Draws(Seeded::stream(SEED_OF_SMALL, preparation as u64));
        let plan = Plan::small(PREPARATIONS[preparation], style);
        Files::of(make(&plan, &mut draws))
    };
    match base {
        Base::Bluestone => Files::of_folder(&demo.join("bluestone")),
        Base::Iodate => Files::of_folder(&demo.join("iodate")),
        Base::Nickel => small(2, Style::Separate),
        Base::Copper => small(0, Style::Flat),
    }
}

/// What a campaign comes to.
enum Came {
    Stopped(Faults),
    Analysed(Box<Analysis>),
}

fn work_out(files: &Files) -> Came {
    let read = |files: &Files| -> Result<Analysis, Faults> {
        let campaign: Campaign = CampaignDraft::read(files.campaign_file())?.check()?;
        let normalised = pipeline::normalise(&campaign, &files.logs)?;
        let asked = Asked {
            extent: Extent::WithoutCharts,
            ..Asked::usual(SEED)
        };
        pipeline::analyse(campaign, normalised, asked)
    };
    match read(files) {
        Ok(analysis) => Came::Analysed(Box::new(analysis)),
        Err(faults) => Came::Stopped(faults),
    }
}

/// What is doubted of a campaign before it is edited, which an edited one may keep.
struct Clean {
    files: Files,
    answered: Answered,
    slips: Vec<String>,
    left_out: Vec<String>,
    caveats: Vec<Caveat>,
}

impl Clean {
    fn of(base: Base) -> Self {
        let files = files(base);
        let analysis = match work_out(&files) {
            Came::Analysed(analysis) => analysis,
            Came::Stopped(faults) => panic!("{base:?}: {faults}"),
        };
        Self {
            answered: Answered::of(&analysis),
            slips: slips(&analysis.caveats).iter().map(Slip::key).collect(),
            left_out: left_out(&analysis.runs),
            caveats: analysis.caveats,
            files,
        }
    }
}

fn left_out(runs: &Runs) -> Vec<String> {
    let rows = runs.left_out.iter();
    rows.map(|row| format!("{} {}", row.run.as_deref().unwrap_or_default(), row.error))
        .collect()
}

/// What became of a slip.
struct Outcome {
    /// What happened to the entry, the gravest first.
    happened: Must,
    /// Whether the entry, and the likely slip where there is one, are named.
    named: Result<(), String>,
    wrongly_settled: Vec<String>,
    /// All that was said, for whoever reads why.
    said: Vec<String>,
}

fn names(case: &Case, text: &str) -> bool {
    let text = text.to_lowercase();
    case.columns
        .iter()
        .any(|column| text.contains(&column.to_lowercase()))
}

fn likely(case: &Case, text: &str) -> Result<(), String> {
    match &case.likely {
        Some(part) if !text.to_lowercase().contains(&part.to_lowercase()) => {
            Err(format!("`{part}` is not named"))
        }
        _ => Ok(()),
    }
}

fn stopped(case: &Case, faults: &Faults, touched: &[Touched]) -> Outcome {
    let at_place = |error: &&Error| {
        let place = touched.iter().any(|touched| {
            error.file().is_none_or(|file| file == touched.file)
                && (touched.line.is_none()
                    || error.line().is_none()
                    || error.line() == touched.line)
        });
        let text = format!("{error} {}", error.column().unwrap_or_default());
        place && names(case, &text)
    };
    let named = faults.errors().iter().find(at_place);
    Outcome {
        happened: Must::Stops,
        named: named
            .ok_or_else(|| "no fault names the place".to_string())
            .and_then(|error| likely(case, &error.to_string())),
        wrongly_settled: Vec::new(),
        said: vec![faults.to_string()],
    }
}

fn analysed(case: &Case, clean: &Clean, analysis: &Analysis) -> Outcome {
    let runs = &analysis.runs;
    let found = slips(&analysis.caveats);
    let found: Vec<&Slip> = found
        .iter()
        .filter(|slip| !clean.slips.contains(&slip.key()))
        .collect();
    let gone: Vec<String> = left_out(runs)
        .into_iter()
        .filter(|row| !clean.left_out.contains(row))
        .collect();
    let before = doubts_naming(&clean.caveats, &case.about);
    let doubts = doubts_naming(&analysis.caveats, &case.about).into_iter();
    let doubts: Vec<String> = doubts
        .filter(|doubt| before.iter().all(|known| known.key != doubt.key))
        .map(|doubt| doubt.text)
        .collect();
    let about =
        |slip: &&&Slip| case.about.is_empty() || case.about.iter().any(|name| slip.about(name));
    let mut own: Vec<&&Slip> = found.iter().filter(about).collect();
    own.sort_by_key(|slip| (!names(case, &slip.text()), slip.kind));
    let said = found
        .iter()
        .map(|slip| slip.text())
        .chain(gone.iter().cloned())
        .chain(doubts.iter().cloned());
    let said = said.collect();
    let is_own = |row: &&String| {
        let mut any = case.about.iter();
        any.any(|name| row.contains(name.as_str())) && names(case, row)
    };
    let of_run = gone.iter().find(is_own);
    let (happened, named) = match (own.first(), of_run, doubts.first()) {
        (Some(slip), None, _) | (Some(slip), Some(_), _) if slip.kind == Kind::Impossible => {
            (Must::Impossible, named(case, &slip.text()))
        }
        (_, Some(row), _) => (Must::LeftOut, likely(case, row)),
        (Some(slip), None, _) if slip.kind == Kind::Unlikely => {
            (Must::Unlikely, named(case, &slip.text()))
        }
        (Some(slip), None, _) => (Must::Odd, named(case, &slip.text())),
        // A doubt is a value here; its words are made elsewhere, so that no column can be asked of it.
        (None, None, Some(doubt)) => (Must::Odd, likely(case, doubt)),
        (None, None, None) => (Must::Silent, Ok(())),
    };
    let ask = match case.must {
        Must::Silent => Ask::Signs,
        _ => Ask::Figures,
    };
    let named = match case.about.is_empty() && found.len() > ONE_CAUSE {
        true => Err(format!("{} doubts for one cause", found.len())),
        false => named,
    };
    Outcome {
        happened,
        named,
        wrongly_settled: Answered::of(analysis).wrongly_settled(&clean.answered, ask),
        said,
    }
}

fn named(case: &Case, text: &str) -> Result<(), String> {
    match names(case, text) {
        true => likely(case, text),
        false => Err(format!("none of {:?} is named", case.columns)),
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

fn outcome(case: &Case, clean: &Clean) -> Outcome {
    let mut files = clean.files.clone();
    let touched: Vec<Touched> = case.edits.iter().map(|edit| files.edited(edit)).collect();
    match work_out(&files) {
        Came::Stopped(faults) => stopped(case, &faults, &touched),
        Came::Analysed(analysis) => analysed(case, clean, &analysis),
    }
}

/// What is wrong with an outcome.
fn failure(case: &Case, outcome: &Outcome) -> Option<String> {
    let mut wrong = Vec::new();
    if !is_met(case.must, outcome.happened) {
        wrong.push(format!(
            "must be {:?}, is {:?}",
            case.must, outcome.happened
        ));
    } else if let (Err(missing), true) = (&outcome.named, case.must != Must::Silent) {
        wrong.push(missing.clone());
    }
    let settled = outcome.wrongly_settled.iter();
    wrong.extend(settled.map(|answer| format!("SETTLED {answer}")));
    (!wrong.is_empty()).then(|| {
        let edits: Vec<String> = case
            .edits
            .iter()
            .map(|edit| format!("{} {} {} {:?}", edit.file, edit.row, edit.column, edit.to))
            .collect();
        format!(
            "{:?}: {} ({}): {}\n    said: {}",
            case.base,
            case.what,
            edits.join("; "),
            wrong.join("; "),
            outcome.said.join("\n          ")
        )
    })
}

/// Outcomes of all slips of one campaign, worked out on two threads.
fn outcomes(base: Base, all: &[Case]) -> Vec<(Case, Outcome)> {
    let clean = Clean::of(base);
    let own: Vec<&Case> = all.iter().filter(|case| case.base == base).collect();
    let (first, second) = own.split_at(own.len() / 2);
    let each = |cases: &[&Case]| -> Vec<(Case, Outcome)> {
        let mut done = Vec::new();
        for case in cases {
            done.push(((*case).clone(), outcome(case, &clean)));
        }
        done
    };
    std::thread::scope(|scope| {
        let beside = scope.spawn(|| each(first));
        let rest = each(second);
        let mut done = beside.join().expect("the first half ends");
        done.extend(rest);
        done
    })
}

const ALL: [Must; 7] = [
    Must::Stops,
    Must::Fault,
    Must::LeftOut,
    Must::Impossible,
    Must::Unlikely,
    Must::Odd,
    Must::Silent,
];

fn count_table(counts: &BTreeMap<(Must, Must), usize>) -> String {
    let heads: Vec<String> = ALL.iter().map(|must| format!("{must:?}")).collect();
    let mut text = format!(
        "| must | {} | all |\n|---|{}---:|\n",
        heads.join(" | "),
        "---:|".repeat(7)
    );
    for must in ALL {
        let row: Vec<usize> = ALL
            .iter()
            .map(|happened| counts.get(&(must, *happened)).copied().unwrap_or_default())
            .collect();
        let cells: Vec<String> = row.iter().map(usize::to_string).collect();
        let all: usize = row.iter().sum();
        text.push_str(&format!("| {must:?} | {} | {all} |\n", cells.join(" | ")));
    }
    text
}

#[test]
fn slips_are_found_and_settle_nothing() {
    let all = cases();
    assert!(all.len() >= LEAST, "{} slips", all.len());
    let mut counts = BTreeMap::new();
    let mut failures = Vec::new();
    for base in [Base::Bluestone, Base::Iodate, Base::Nickel, Base::Copper] {
        for (case, outcome) in outcomes(base, &all) {
            *counts.entry((case.must, outcome.happened)).or_default() += 1;
            failures.extend(failure(&case, &outcome));
        }
    }
    println!(
        "{} slips, by what must happen and what did:\n{}",
        all.len(),
        count_table(&counts)
    );
    let count = failures.len();
    assert!(
        failures.is_empty(),
        "{count} of {}:\n{}",
        all.len(),
        failures.join("\n")
    );
}
