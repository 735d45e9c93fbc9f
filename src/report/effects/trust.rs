//! The second half of question 3: scatter, pairs of levels, diagnostics and further terms of a model.
//!
//! In: a model with what stands beside it. Out: that half of its section.
//! This module never judges a figure: what it says comes with it.

use crate::pipeline::Further;
use crate::regression::{
    Comparison, EffectTest, EquivalenceVerdict, FactorComparisons, FittedModel, Interval, ScatterOf,
};
use crate::report::diagnostic_words::{name_text, verdict_text};
use crate::report::print::words::and_list;
use crate::report::print::{Cell, Columns, Page, Shown, around, capital, fixed, joined, with_unit};

/// Writes scatter, comparisons, diagnostics and candidates of one model.
pub fn write(page: &mut Page, model: &FittedModel, further: &Further) {
    let shown = Shown::of(&model.unit);
    if model.variance_components.len() >= 2 {
        scatter(page, model, &shown);
    }
    for comparisons in &further.comparisons {
        levels(page, comparisons, further, &shown);
    }
    diagnostics(page, further);
    candidates(page, further, &shown);
}

fn scatter(page: &mut Page, model: &FittedModel, shown: &Shown) {
    let mut rows = Columns::of(&model.variance_components);
    rows.words("scatter", |component| match &component.of {
        ScatterOf::RunToRun => "from run to run, beyond measurement".to_string(),
        ScatterOf::RunToRunAt { factor, levels } => format!(
            "from run to run with {factor} {}, beyond measurement",
            and_list(levels)
        ),
        ScatterOf::Measurement => "measurement, as stated".to_string(),
        ScatterOf::Block(block) => format!("from one {block} to the next"),
    });
    let deviation = with_unit("standard deviation", &shown.difference);
    rows.figures(deviation, |component| {
        Cell::fixed(component.sd, 2).times(shown.value(1.0))
    });
    rows.figures("interval", |component| {
        let interval = component.interval;
        interval.map(|ends| between(ends, component.sd, shown))
    });
    page.answer(&rows.answer("Where does the scatter come from?"));
}

/// An upper end further off than so many times the standard deviation itself says no more than that there is none.
const NO_UPPER_END: f64 = 100.0;

fn between(ends: Interval, sd: f64, shown: &Shown) -> Cell {
    if ends.high > NO_UPPER_END * sd {
        let low = fixed(shown.value(ends.low), 2);
        return Cell::text(format!("{low} upwards, too few to tell how far"));
    }
    Cell::range(ends, 2).times(shown.value(1.0))
}

fn levels(page: &mut Page, comparisons: &FactorComparisons, further: &Further, shown: &Shown) {
    if comparisons.pairs.is_empty() {
        return;
    }
    let named = |level: &str, against: &str| format!("{level} against {against}");
    let mut rows = Columns::of(&comparisons.pairs);
    rows.words("pair", |pair| named(&pair.level, &pair.against));
    rows.figures("difference", |pair| {
        shown.difference_with(pair.value, pair.interval)
    });
    rows.figures("chance of any as large by luck", |pair| {
        pair.p.map(Cell::Chance)
    });
    rows.words("in practice", |pair| in_practice(pair, further, shown));
    let factor = capital(&comparisons.factor);
    page.answer(&rows.answer(format!(
        "{factor}: which levels differ, all pairs taken together?"
    )));
    let untold = comparisons.untold.iter();
    let untold = joined(untold.map(|pair| named(&pair.level, &pair.against)), ", ");
    let cannot = around(" Not to be told from this log: ", &untold, ".");
    page.paragraph(&format!(
        "All these intervals hold together with the confidence stated above.{cannot}"
    ));
}

/// Whether two levels are alike within the margin that does not matter.
fn in_practice(pair: &Comparison, further: &Further, shown: &Shown) -> String {
    let found = further.alike.iter().find(|alike| {
        alike.factor == pair.factor && alike.level == pair.level && alike.against == pair.against
    });
    let Some(found) = found else {
        return "no margin stated".into();
    };
    let margin = shown.scatter(found.margin);
    match found.verdict {
        EquivalenceVerdict::Inside => format!("alike within {margin}"),
        EquivalenceVerdict::Outside => format!("more than {margin} apart"),
        EquivalenceVerdict::NotSettled => format!("not settled against {margin}"),
    }
}

fn diagnostics(page: &mut Page, further: &Further) {
    let mut rows = Columns::of(&further.diagnostics);
    rows.words("looked at", |diagnostic| name_text(diagnostic.what));
    rows.figures("figure", |diagnostic| match diagnostic.value {
        // A figure that is whole counts something.
        Some(number) if number.fract() == 0.0 => Cell::fixed(number, 0),
        other => other.into(),
    });
    rows.figures("chance if nothing is wrong", |diagnostic| {
        diagnostic.p.map(Cell::Chance)
    });
    rows.words("reading", |diagnostic| capital(&verdict_text(diagnostic)));
    page.answer(&rows.answer("Can this model be trusted?"));
}

fn candidates(page: &mut Page, further: &Further, shown: &Shown) {
    let Some(selection) = &further.selection else {
        return;
    };
    let headed = |heading: &str| with_unit(heading, &shown.difference);
    let sd = |value: Option<f64>| Cell::from(value).times(shown.value(1.0));
    let mut rows = Columns::of(selection.ranked.iter().zip(&further.decides));
    rows.words("added to the model asked for", |(of, _)| {
        match of.added.as_slice() {
            [] => "nothing".into(),
            added => joined(added.iter().map(ToString::to_string), ", "),
        }
    });
    rows.figures("AICc above the best", |(of, _)| Cell::fixed(of.delta, 1));
    rows.figures(headed("an unseen run is missed by"), |(of, _)| {
        sd(of.leave_one_out_sd)
    });
    rows.figures(headed("scatter left"), |(of, _)| sd(of.residual_sd));
    rows.words("would say that these matter", |(_, decides)| {
        list(&decides.matter)
    });
    rows.words("and does not see", |(_, decides)| {
        list(&decides.do_not_show)
    });
    page.heading(3, "Which further terms belong?");
    page.table(&rows.answer("Which further terms belong?"));
    page.paragraph(WHAT_RANKING_COSTS);
}

fn list(tests: &[EffectTest]) -> Cell {
    Cell::because(joined(tests.iter().map(EffectTest::name), ", "))
}

/// What must be known by whoever reads a ranking.
const WHAT_RANKING_COSTS: &str = "The same runs choose the terms and judge them: the intervals and chances of a chosen model look better than they are, and new runs will fit worse; keep a term for a reason, not for its rank.";
