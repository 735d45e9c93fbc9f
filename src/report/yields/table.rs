//! The tables of single runs, titrants and rows left out.
//!
//! In: runs and what was answered about them. Out: one [`Table`] a question, for report, terminal and CSV.
//! This module never computes a yield.

use crate::decide::{Budget, Liquor, Went};
use crate::intake::{LeftOut, Superseded};
use crate::measured::{CrossCheck, Measured, Share};
use crate::pipeline::Analysis;
use crate::regression::Interval;
use crate::report::doubts;
use crate::report::print::{Cell, Columns, Place, Table, Value, decimals_for, fixed, percent};
use crate::report::reasons::no_result;
use crate::runs::{Outcome, PlannedValue, RunResult, Runs};

/// Assays of lots that were combined, each with its weight, and what they say together.
pub fn combined(runs: &Runs, confidence: f64, factor: f64) -> Table {
    let percent = |value: f64, half: Option<f64>| match half {
        Some(half) => Cell::with_error(value, half).times(100.0),
        None => Cell::plain(value).times(100.0),
    };
    let lots = runs.combined.iter().flat_map(|lot| {
        let sources = lot.sources.iter().map(move |of| (lot, Some(of)));
        sources.chain([(lot, None)])
    });
    let mut rows = Columns::of(lots);
    rows.words("lot", |(lot, _)| &lot.lot);
    rows.words("source", |(_, of)| match of {
        Some(of) if of.source.is_empty() => "not named",
        Some(of) => of.source.as_str(),
        None => "together",
    });
    rows.figures("assay / %", |(lot, of)| match of {
        Some(of) => {
            let half = of.uncertainty.map(|u| factor * u);
            percent(of.value, half)
        }
        None => percent(lot.consensus.value, lot.consensus.half_width(confidence)),
    });
    rows.figures("weight / %", |(_, of)| {
        of.map(|of| Cell::fixed(of.weight, 0).times(100.0))
    });
    rows.figures(
        "standard deviation between sources / points",
        |(lot, of)| {
            let sd = Cell::plain(lot.consensus.between.sqrt()).times(100.0);
            of.is_none().then_some(sd)
        },
    );
    rows.answer("What do several assays of a lot say together?")
}

/// What each run gave.
pub fn yields<'a>(
    runs: &Runs,
    confidence: f64,
    told: impl IntoIterator<Item = &'a RunResult>,
) -> Table {
    let any = |of: fn(&RunResult) -> bool| runs.results.iter().any(of);
    let lots = any(|run| run.lot.is_some());
    let ceilings = any(|run| run.ceiling.is_some_and(|part| part < 1.0));
    let percent = |outcome: &Outcome| {
        let value = outcome.as_ref().ok()?;
        let half_width = runs.sources.expanded(value, confidence);
        Some(Cell::with_error(value.value(), half_width).times(100.0))
    };
    let mut rows = Columns::of(told);
    rows.words("run", |run| match run.set_aside {
        Some(_) => format!("{} (set aside)", run.run),
        None => run.run.clone(),
    });
    rows.data("run", |run| &run.run);
    rows.data("date", |run| run.date.as_ref());
    rows.words("lot", |run| run.lot.clone().unwrap_or_default())
        .key("lot")
        .when(lots);
    rows.data("set_aside", |run| run.set_aside.as_ref());
    rows.figures("gross / %", |run| percent(&run.gross))
        .key("gross");
    rows.data("u_gross", |run| uncertainty(&run.gross));
    rows.figures("assay-adjusted / %", |run| percent(&run.assay_adjusted))
        .key("assay_adjusted");
    rows.data("u_assay_adjusted", |run| uncertainty(&run.assay_adjusted));
    rows.figures("contained / %", |run| {
        simulated(run).or_else(|| percent(&run.contained))
    })
    .key("contained");
    rows.data("u_contained", |run| uncertainty(&run.contained));
    rows.data("contained_fresh", |run| value(&run.contained_fresh));
    rows.data("u_contained_fresh", |run| uncertainty(&run.contained_fresh));
    rows.figures("purity / %", |run| percent(&run.purity))
        .key("purity");
    rows.data("u_purity", |run| uncertainty(&run.purity));
    type OfRun = fn(&RunResult) -> &Outcome;
    let others: [(&str, &str, OfRun); 5] = [
        ("theory_fresh", "g", |run| &run.theory_fresh),
        ("theory_total", "g", |run| &run.theory_total),
        ("in_crops", "", |run| &run.balance.crops),
        ("in_liquor", "", |run| &run.balance.liquor),
        ("in_residue", "", |run| &run.balance.residue),
    ];
    for (key, unit, of) in others {
        rows.data(key, |run| value(of(run))).in_unit(unit);
        rows.data(format!("u_{key}"), |run| uncertainty(of(run)))
            .in_unit(unit);
    }
    rows.figures("closure / %", |run| percent(&run.balance.closure))
        .key("closure")
        .on(Place::Terminal);
    rows.data("u_closure", |run| uncertainty(&run.balance.closure));
    rows.figures("contained, of the route's ceiling / %", |run| {
        run.of_ceiling.as_ref().and_then(percent)
    })
    .when(ceilings);
    rows.words("most of the ± comes from", |run| most_of(&run.budget))
        .on(Place::Page);
    rows.data("oxidant_excess", |run| run.oxidant_excess)
        .in_unit("%");
    rows.data("reason", |run| run.contained.as_ref().err().map(no_result));
    rows.answer("What did each run really give?")
}

/// The simulated interval of the contained yield, where propagation fails.
fn simulated(run: &RunResult) -> Option<Cell> {
    let contained = run.contained.as_ref().ok()?;
    let check = run.cross_check.as_ref()?;
    let (low, high) = (check.low, check.high);
    let between = Value::Between {
        value: contained.value(),
        ends: Interval { low, high },
        note: ", simulated",
    };
    (!check.agrees).then(|| Cell::of(between).times(100.0))
}

fn value(outcome: &Outcome) -> Option<f64> {
    outcome.as_ref().ok().map(Measured::value)
}

fn uncertainty(outcome: &Outcome) -> Option<f64> {
    outcome.as_ref().ok().map(Measured::uncertainty)
}

/// `titre, 61 %`: the source with the largest part of the variance.
fn most_of(budget: &[Share]) -> String {
    let mut known = budget.iter().filter_map(|of| Some((of.share?, &of.source)));
    let main = known.next();
    main.map_or_else(String::new, |(share, source)| {
        format!("{source}, {}", percent(share, 0))
    })
}

/// Mass and purity of each crop.
pub fn crops(runs: &Runs) -> Table {
    let each = runs.results.iter();
    let mut rows = Columns::of(each.flat_map(|run| run.crops.iter().map(move |crop| (run, crop))));
    rows.data("run", |(run, _)| &run.run);
    rows.data("crop", |(_, crop)| crop.crop as usize);
    rows.data("mass", |(_, crop)| crop.mass.value())
        .in_unit("g");
    rows.data("u_mass", |(_, crop)| crop.mass.uncertainty())
        .in_unit("g");
    rows.data("purity", |(_, crop)| value(&crop.purity));
    rows.data("u_purity", |(_, crop)| uncertainty(&crop.purity));
    rows.answer("What did each crop give?")
}

/// Where the ± of each run comes from.
pub fn uncertainty_of_runs(runs: &Runs) -> Table {
    let each = runs.results.iter();
    let mut rows = Columns::of(each.flat_map(|run| run.budget.iter().map(move |of| (run, of))));
    rows.data("run", |(run, _)| &run.run);
    rows.data("source", |(_, of)| &*of.source);
    rows.data("share", |(_, of)| part(of));
    rows.answer("Where does the ± of each run come from?")
}

/// Where the ± of a lot comes from; sources with less than `least` of the variance are passed over.
pub fn improvements<'a>(budgets: impl IntoIterator<Item = &'a Budget>, least: f64) -> Table {
    let mut rows = Columns::of(budgets.into_iter().flat_map(|budget| {
        let worth = move |of: &&Share| of.share.is_none_or(|part| part >= least);
        budget
            .shares
            .iter()
            .filter(worth)
            .map(move |of| (budget, of))
    }));
    rows.words("lot", |(budget, _)| budget.lot.as_deref().unwrap_or("all"))
        .key("lot");
    rows.data("runs", |(budget, _)| budget.runs);
    rows.data("u_contained", |(budget, _)| budget.uncertainty);
    rows.words("source", |(_, of)| &*of.source).key("source");
    rows.figures("part of the variance", |(_, of)| part(of))
        .key("share");
    rows.answer("Where does the ± come from, and what to improve first?")
}

fn part(share: &Share) -> Cell {
    match share.share {
        Some(part) => Cell::fixed(part, 1).times(100.0).in_unit("%"),
        None => Cell::text("not stated"),
    }
}

/// What the last liquors keep; `factor` makes a standard uncertainty half the width of an interval.
pub fn liquors<'a>(told: impl IntoIterator<Item = &'a Liquor>, factor: f64) -> Table {
    let mut rows = Columns::of(told);
    rows.words("run", |liquor| &liquor.run).key("run");
    rows.data("crop", |liquor| liquor.crop as usize);
    rows.figures("last liquor", |liquor| {
        let volume = fixed(liquor.volume, 0);
        format!("{volume} mL at {} degC", fixed(liquor.temperature, 1))
    });
    rows.data("temperature", |liquor| liquor.temperature)
        .in_unit("degC");
    rows.data("volume", |liquor| liquor.volume).in_unit("mL");
    rows.figures("product it keeps / g", |liquor| {
        Cell::with_error(liquor.dissolved, factor * liquor.uncertainty)
    })
    .key("kept")
    .in_unit("g");
    rows.data("u_kept", |liquor| liquor.uncertainty)
        .in_unit("g");
    rows.figures("of theory / %", |liquor| {
        let part = liquor.of_theory;
        part.map(|part| Cell::fixed(part, 1).times(100.0))
    })
    .key("of_theory");
    rows.figures("next crop on boiling to half / g", |of| of.next_crop)
        .key("next_crop")
        .in_unit("g");
    rows.figures("last crop expected / g", |liquor| liquor.expected)
        .key("expected_crop")
        .in_unit("g");
    rows.figures("last crop that came / g", |liquor| {
        liquor.expected.map(|_| liquor.came)
    });
    rows.data("crop", |liquor| liquor.came).in_unit("g");
    rows.answer("Is another crop worth boiling for?")
}

/// How strong each titrant is.
pub fn titrants(analysis: &Analysis) -> Table {
    let mut rows = Columns::of(&analysis.runs.titrants);
    rows.words("titrant", |of| &of.titrant).key("titrant");
    rows.figures("concentration / mol/L", |of| {
        let ends = analysis.ends(&of.concentration);
        Cell::with_error(ends.value, ends.high - ends.value)
    })
    .key("concentration")
    .in_unit("mol/L");
    rows.data("u_concentration", |of| of.concentration.uncertainty())
        .in_unit("mol/L");
    rows.figures("rows in its log", |of| of.rows.len());
    rows.words("most of the ± comes from", |of| most_of(&of.budget));
    rows.answer("How strong are the titrants, and how far do titrations scatter?")
}

/// Whether propagation agrees with simulation where an input is very uncertain.
pub fn cross_checks(runs: &[RunResult]) -> Table {
    let decimals = |check: &CrossCheck| decimals_for(100.0 * check.uncertainty);
    let points = |check, value| Cell::fixed(value, decimals(check) + 1).times(100.0);
    let checked = runs.iter();
    let checked = checked.filter_map(|run| Some((&run.run, run.cross_check.as_ref()?)));
    let mut rows = Columns::of(checked);
    rows.words("run", |(run, _)| run);
    rows.figures(
        "simulated interval of the contained yield / %",
        |(_, of)| {
            let (low, high) = (of.low, of.high);
            Cell::range(Interval { low, high }, decimals(of)).times(100.0)
        },
    );
    rows.figures("apart / points", |(_, of)| points(of, of.apart));
    rows.figures("tolerance / points", |(_, of)| points(of, of.tolerance));
    rows.words("verdict", |(_, of)| match of.agrees {
        true => "agrees",
        false => "differs: the simulated interval counts",
    });
    rows.answer("Does propagation hold where an input is very uncertain?")
}

/// Where the rest of the charge went.
pub fn went(went: &Went) -> Table {
    let mut rows = Columns::of([
        ("in the crops", &went.crops),
        ("in the mother liquor", &went.liquor),
        ("in the residue", &went.residue),
        ("nowhere that anyone measured", &went.unaccounted),
    ]);
    rows.words("part of the charge", |(name, _)| name);
    rows.figures("middle of the runs / %", |(_, part)| match part.middle {
        Some(middle) => Cell::fixed(middle, 1).times(100.0),
        None => Cell::because("not measured"),
    });
    rows.figures("runs in which it was measured", |(_, part)| part.runs);
    rows.answer("Where did the rest go?")
}

/// Rows that were not used.
pub fn left_out(entries: &[LeftOut]) -> Table {
    let mut rows = Columns::of(entries);
    rows.words("run", |entry| entry.run.as_ref());
    rows.words("log", |entry| entry.place.file.as_str())
        .key("log");
    rows.figures("line", |entry| entry.place.line).key("line");
    rows.data("run", |entry| entry.run.as_ref());
    rows.words("reason", |entry| entry.error.message())
        .key("reason");
    rows.words("what to do", |entry| {
        entry.error.advice().unwrap_or_default()
    });
    rows.answer("What was left out?")
}

/// What is known of a row that looks like a plan.
pub fn standing(is_sure: bool) -> &'static str {
    match is_sure {
        true => "planned",
        false => "planned, or its result is not logged",
    }
}

/// Runs that are planned in the log.
pub fn planned(runs: &Runs) -> Table {
    let mut rows = Columns::of(&runs.planned);
    rows.words("run", |plan| &plan.run).key("run");
    rows.words("log", |plan| plan.place.file.as_str())
        .key("log");
    rows.figures("line", |plan| plan.place.line).key("line");
    let factors = runs.planned.first();
    let factors = factors.into_iter().flat_map(|plan| &plan.settings);
    for (column, (name, _)) in factors.enumerate() {
        rows.words(name, |plan| match &plan.settings[column].1 {
            Some(PlannedValue::Amount(amount)) => Cell::plain(*amount),
            Some(PlannedValue::Level(level)) => Cell::text(level),
            None => Cell::because("not said"),
        })
        .key(name);
    }
    rows.words("what it is", |_| standing(runs.plans_are_sure))
        .key("status");
    rows.answer("Which runs are planned in the log?")
}

/// Lines of the runs log that a later version supersedes.
pub fn superseded(lines: &[Superseded]) -> Table {
    let mut rows = Columns::of(lines);
    rows.words("run", |line| &line.run).key("run");
    rows.words("log", |line| line.place.file.as_str())
        .key("log");
    rows.figures("line", |line| line.place.line).key("line");
    rows.words("revision", |line| line.revision.as_ref())
        .key("revision");
    rows.words("in its place", |line| line.by.to_string().replace('`', ""))
        .key("in_its_place");
    rows.answer("Which lines did a later version replace?")
}

/// All doubts.
pub fn all_doubts(analysis: &Analysis) -> Table {
    let doubts = analysis.doubts();
    let mut rows = Columns::of(&doubts);
    rows.data("kind", |caveat| doubts::kind_text(&caveat.doubt));
    rows.data("about", |caveat| doubts::about_text(&caveat.about));
    rows.data("seen", doubts::seen);
    rows.data("advice", doubts::advice);
    rows.answer("What is doubtful?")
}
