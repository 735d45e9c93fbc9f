//! The tables of single runs, titrants and rows left out.
//!
//! In: runs and what was answered about them. Out: one [`Table`] a question, for report, terminal and CSV.
//! This module never computes a yield.

use crate::decide::{Budget, Liquor};
use crate::intake::LeftOut;
use crate::measured::{Measured, Share};
use crate::pipeline::Analysis;
use crate::report::doubts;
use crate::report::print::{Cell, Column, Place, Says, Table, Value, fixed};
use crate::report::reasons::no_result;
use crate::runs::{Outcome, RunResult, Runs, TitrantResult};

/// What each run gave.
pub fn yields<'a>(
    runs: &Runs,
    confidence: f64,
    told: impl Iterator<Item = &'a RunResult>,
) -> Table {
    let has_ceiling = |run: &RunResult| run.ceiling.is_some_and(|part| part < 1.0);
    let ceilings = Says::something_if(|| runs.results.iter().any(has_ceiling));
    let lots = Says::something_if(|| runs.results.iter().any(|run| run.lot.is_some()));
    let mut columns = vec![
        Column::words("run"),
        Column::data("run"),
        Column::data("date"),
        Column::words("lot").key("lot").when(lots),
        Column::data("set_aside"),
    ];
    let percent = |heading: &str| Column::figures(heading).unit("%");
    let figures = [
        (percent("gross"), "gross", ""),
        (percent("assay-adjusted"), "assay_adjusted", ""),
        (percent("contained"), "contained", ""),
        (Column::default(), "contained_fresh", ""),
        (percent("purity"), "purity", ""),
        (Column::default(), "theory_fresh", "g"),
        (Column::default(), "theory_total", "g"),
        (Column::default(), "in_crops", ""),
        (Column::default(), "in_liquor", ""),
        (Column::default(), "in_residue", ""),
        (percent("closure").on(Place::Terminal), "closure", ""),
    ];
    for (column, key, unit) in figures {
        columns.push(column.key_in(key, unit));
        columns.push(Column::data_in(format!("u_{key}"), unit));
    }
    columns.extend([
        percent("contained, of the route's ceiling").when(ceilings),
        Column::words("most of the ± comes from").on(Place::Page),
        Column::data_in("oxidant_excess", "%"),
        Column::data("reason"),
    ]);
    let half_width = |value: &Measured| runs.sources.expanded(value, confidence);
    let shown = |outcome: &Outcome| match outcome {
        Ok(value) => Cell::with_error(value.value(), half_width(value)).times(100.0),
        Err(_) => Cell::missing(),
    };
    let kept = |outcome: &Outcome| Cell::plain_if(outcome.as_ref().ok().map(Measured::value));
    let rows = told.map(|run| {
        let mark = if run.set_aside.is_some() {
            " (set aside)"
        } else {
            ""
        };
        let mut row = vec![
            Cell::text(format!("{}{mark}", run.run)),
            Cell::text(&run.run),
            Cell::named(run.date.as_deref()),
            Cell::named(run.lot.as_deref()),
            Cell::named(run.set_aside.as_deref()),
        ];
        for (outcome, cell) in [
            (&run.gross, shown(&run.gross)),
            (&run.assay_adjusted, shown(&run.assay_adjusted)),
            (&run.contained, shown(&run.contained)),
            (&run.contained_fresh, kept(&run.contained_fresh)),
            (&run.purity, shown(&run.purity)),
            (&run.theory_fresh, kept(&run.theory_fresh)),
            (&run.theory_total, kept(&run.theory_total)),
            (&run.balance.crops, kept(&run.balance.crops)),
            (&run.balance.liquor, kept(&run.balance.liquor)),
            (&run.balance.residue, kept(&run.balance.residue)),
            (&run.balance.closure, shown(&run.balance.closure)),
        ] {
            row.extend([cell, uncertainty(outcome)]);
        }
        if let Some(contained) = simulated(run) {
            row[CONTAINED] = contained;
        }
        row.extend([
            run.of_ceiling.as_ref().map_or_else(Cell::missing, shown),
            Cell::text(most_of(&run.budget)),
            Cell::plain_if(run.oxidant_excess),
            Cell::named(run.contained.as_ref().err().map(no_result).as_deref()),
        ]);
        row
    });
    Table::new("What did each run really give?", columns).with(rows)
}

/// Where the contained yield stands in a row of yields.
const CONTAINED: usize = 9;

/// The simulated interval of the contained yield, where propagation fails.
fn simulated(run: &RunResult) -> Option<Cell> {
    let contained = run.contained.as_ref().ok()?;
    let check = run.cross_check.as_ref()?;
    let between = Value::Between {
        value: contained.value(),
        low: check.low,
        high: check.high,
        note: ", simulated",
    };
    (!check.agrees).then(|| Cell::of(between).times(100.0))
}

fn uncertainty(outcome: &Outcome) -> Cell {
    Cell::plain_if(outcome.as_ref().ok().map(Measured::uncertainty))
}

/// `titre, 61 %`: the source with the largest part of the variance.
fn most_of(budget: &[Share]) -> String {
    let main = budget
        .iter()
        .find_map(|share| Some((share.share?, &share.source)));
    main.map_or_else(String::new, |(share, source)| {
        format!("{source}, {} %", fixed(100.0 * share, 0))
    })
}

/// Mass and purity of each crop.
pub fn crops(runs: &Runs) -> Table {
    let columns = vec![
        Column::data("run"),
        Column::data("crop"),
        Column::data_in("mass", "g"),
        Column::data_in("u_mass", "g"),
        Column::data("purity"),
        Column::data("u_purity"),
    ];
    let rows = runs.results.iter().flat_map(|run| {
        run.crops.iter().map(|crop| {
            vec![
                Cell::text(&run.run),
                Cell::Count(crop.crop as usize),
                Cell::plain(crop.mass.value()),
                Cell::plain(crop.mass.uncertainty()),
                Cell::plain_if(crop.purity.as_ref().ok().map(Measured::value)),
                uncertainty(&crop.purity),
            ]
        })
    });
    Table::new("What did each crop give?", columns).with(rows)
}

/// Where the ± of each run comes from.
pub fn uncertainty_of_runs(runs: &Runs) -> Table {
    let columns = ["run", "source", "share"].map(Column::data).into();
    let rows = runs.results.iter().flat_map(|run| {
        run.budget
            .iter()
            .map(|share| vec![Cell::text(&run.run), Cell::text(&share.source), part(share)])
    });
    Table::new("Where does the ± of each run come from?", columns).with(rows)
}

/// Where the ± of a lot comes from; sources with less than `least` of the variance are passed over.
pub fn improvements<'a>(budgets: impl Iterator<Item = &'a Budget>, least: f64) -> Table {
    let columns = vec![
        Column::words("lot").key("lot"),
        Column::data("runs"),
        Column::data("u_contained"),
        Column::words("source").key("source"),
        Column::figures("part of the variance").key("share"),
    ];
    let rows = budgets.flat_map(|budget| {
        let worth = move |share: &&Share| share.share.is_none_or(|part| part >= least);
        budget.shares.iter().filter(worth).map(|share| {
            vec![
                Cell::text(budget.lot.as_deref().unwrap_or("all")),
                Cell::Count(budget.runs),
                Cell::plain(budget.uncertainty),
                Cell::text(&share.source),
                part(share),
            ]
        })
    });
    Table::new(
        "Where does the ± come from, and what to improve first?",
        columns,
    )
    .with(rows)
}

fn part(share: &Share) -> Cell {
    match share.share {
        Some(part) => Cell::fixed(part, 1).times(100.0).in_unit("%"),
        None => Cell::text("not stated"),
    }
}

/// What the last liquors keep; `factor` makes a standard uncertainty half the width of an interval.
pub fn liquors<'a>(told: impl Iterator<Item = &'a Liquor>, factor: f64) -> Table {
    let columns = vec![
        Column::words("run").key("run"),
        Column::data("crop"),
        Column::figures("last liquor"),
        Column::data_in("temperature", "degC"),
        Column::data_in("volume", "mL"),
        Column::figures("product it keeps")
            .unit("g")
            .key_in("kept", "g"),
        Column::data_in("u_kept", "g"),
        Column::figures("of theory").unit("%").key("of_theory"),
        Column::figures("next crop on boiling to half")
            .unit("g")
            .key_in("next_crop", "g"),
        Column::figures("last crop expected")
            .unit("g")
            .key_in("expected_crop", "g"),
        Column::figures("last crop that came").unit("g"),
        Column::data_in("crop", "g"),
    ];
    let rows = told.map(|liquor| {
        let came = Cell::plain(liquor.came);
        vec![
            Cell::text(&liquor.run),
            Cell::Count(liquor.crop as usize),
            Cell::text(format!(
                "{} mL at {} degC",
                fixed(liquor.volume, 0),
                fixed(liquor.temperature, 1)
            )),
            Cell::plain(liquor.temperature),
            Cell::plain(liquor.volume),
            Cell::with_error(liquor.dissolved, factor * liquor.uncertainty),
            Cell::plain(liquor.uncertainty),
            liquor
                .of_theory
                .map_or_else(Cell::missing, |part| Cell::fixed(part, 1).times(100.0)),
            Cell::plain(liquor.next_crop),
            Cell::plain_if(liquor.expected),
            liquor.expected.map_or_else(Cell::missing, |_| came.clone()),
            came,
        ]
    });
    Table::new("Is another crop worth boiling for?", columns).with(rows)
}

/// How strong each titrant is.
pub fn titrants(analysis: &Analysis) -> Table {
    let columns = vec![
        Column::words("titrant").key("titrant"),
        Column::figures("concentration")
            .unit("mol/L")
            .key_in("concentration", "mol/L"),
        Column::data_in("u_concentration", "mol/L"),
        Column::figures("rows in its log"),
        Column::words("most of the ± comes from"),
    ];
    let row = |titrant: &TitrantResult| {
        let ends = analysis.ends(&titrant.concentration);
        vec![
            Cell::text(&titrant.titrant),
            Cell::with_error(ends.value, ends.high - ends.value),
            Cell::plain(titrant.concentration.uncertainty()),
            Cell::Count(titrant.rows.len()),
            Cell::text(most_of(&titrant.budget)),
        ]
    };
    let question = "How strong are the titrants, and how far do titrations scatter?";
    Table::new(question, columns).with(analysis.runs.titrants.iter().map(row))
}

/// Rows that were not used.
pub fn left_out(entries: &[LeftOut]) -> Table {
    let columns = vec![
        Column::words("run"),
        Column::words("log").key("log"),
        Column::figures("line").key("line"),
        Column::data("run"),
        Column::words("reason").key("reason"),
        Column::words("what to do"),
    ];
    let rows = entries.iter().map(|entry| {
        vec![
            entry.run.as_ref().map_or_else(Cell::missing, Cell::text),
            Cell::text(&entry.place.file),
            Cell::Count(entry.place.line),
            Cell::named(entry.run.as_deref()),
            Cell::text(entry.error.message()),
            Cell::named(entry.error.advice()),
        ]
    });
    Table::new("What was left out?", columns).with(rows)
}

/// All doubts.
pub fn all_doubts(analysis: &Analysis) -> Table {
    let columns = ["kind", "about", "seen", "advice"].map(Column::data).into();
    let rows = analysis.doubts().into_iter().map(|caveat| {
        vec![
            Cell::text(doubts::kind_text(caveat.kind())),
            Cell::text(doubts::about_text(&caveat.about)),
            Cell::text(doubts::seen(&caveat)),
            Cell::text(doubts::advice(&caveat)),
        ]
    });
    Table::new("What is doubtful?", columns).with(rows)
}
