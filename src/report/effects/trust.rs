//! The second half of question 3: scatter, pairs of levels, diagnostics and further terms of a model.
//!
//! In: a model with what stands beside it. Out: that half of its section.
//! This module never judges a figure: what it says comes with it.

use crate::pipeline::Further;
use crate::regression::{
    Comparison, EffectTest, EquivalenceVerdict, FactorComparisons, FittedModel, Interval, ScatterOf,
};
use crate::report::diagnostic_words::{name_text, verdict_text};
use crate::report::print::{Cell, Column, Page, Shown, Table, capital, fixed, markdown, plain};

/// Writes scatter, comparisons, diagnostics and candidates of one model.
pub fn write(page: &mut Page, model: &FittedModel, further: &Further) {
    let shown = Shown::raw(&model.unit);
    scatter(page, model, &shown);
    for comparisons in &further.comparisons {
        levels(page, comparisons, further, &shown);
    }
    diagnostics(page, further);
    candidates(page, further, &shown);
}

fn scatter(page: &mut Page, model: &FittedModel, shown: &Shown) {
    if model.variance_components.len() < 2 {
        return;
    }
    page.heading(3, "Where does the scatter come from?");
    let columns = vec![
        Column::words("scatter"),
        Column::figures("standard deviation").unit(&shown.difference),
        Column::figures("interval"),
    ];
    let rows = model.variance_components.iter().map(|component| {
        let name = match &component.of {
            ScatterOf::RunToRun => "from run to run, beyond measurement".to_string(),
            ScatterOf::Measurement => "measurement, as stated".to_string(),
            ScatterOf::Block(block) => format!("from one {block} to the next"),
        };
        let interval = component
            .interval
            .map_or_else(Cell::missing, |ends| between(ends, component.sd, shown));
        let sd = Cell::fixed(component.sd, 2).times(shown.value(1.0));
        vec![Cell::text(name), sd, interval]
    });
    page.table(&Table::new("Where does the scatter come from?", columns).with(rows));
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
    page.heading(
        3,
        &format!(
            "{}: which levels differ, all pairs taken together?",
            capital(&markdown(&comparisons.factor))
        ),
    );
    let columns = vec![
        Column::words("pair"),
        Column::figures("difference"),
        Column::figures("chance of any as large by luck"),
        Column::words("in practice"),
    ];
    let rows = comparisons.pairs.iter().map(|pair| {
        vec![
            Cell::text(format!("{} against {}", pair.level, pair.against)),
            shown.difference_cell(pair.value, pair.interval),
            Cell::chance(pair.p),
            Cell::text(in_practice(pair, further, shown)),
        ]
    });
    page.table(&Table::new("Which levels differ?", columns).with(rows));
    let untold: Vec<String> = comparisons
        .untold
        .iter()
        .map(|pair| {
            format!(
                "{} against {}",
                markdown(&pair.level),
                markdown(&pair.against)
            )
        })
        .collect();
    let cannot = if untold.is_empty() {
        String::new()
    } else {
        format!(" Not to be told from this log: {}.", untold.join(", "))
    };
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
    let margin = format!("{} {}", plain(shown.value(found.margin)), shown.difference);
    match found.verdict {
        EquivalenceVerdict::Inside => format!("alike within {margin}"),
        EquivalenceVerdict::Outside => format!("more than {margin} apart"),
        EquivalenceVerdict::NotSettled => format!("not settled against {margin}"),
    }
}

fn diagnostics(page: &mut Page, further: &Further) {
    if further.diagnostics.is_empty() {
        return;
    }
    page.heading(3, "Can this model be trusted?");
    let columns = vec![
        Column::words("looked at"),
        Column::figures("figure"),
        Column::figures("chance if nothing is wrong"),
        Column::words("reading"),
    ];
    let rows = further.diagnostics.iter().map(|diagnostic| {
        vec![
            Cell::text(name_text(diagnostic.what)),
            figure_of(diagnostic.value),
            Cell::chance(diagnostic.p),
            Cell::text(capital(&verdict_text(diagnostic))),
        ]
    });
    page.table(&Table::new("Can this model be trusted?", columns).with(rows));
}

/// A figure that is whole counts something.
fn figure_of(value: Option<f64>) -> Cell {
    match value {
        Some(number) if number.fract() == 0.0 => Cell::fixed(number, 0),
        other => Cell::plain_if(other),
    }
}

fn candidates(page: &mut Page, further: &Further, shown: &Shown) {
    let Some(selection) = &further.selection else {
        return;
    };
    page.heading(3, "Which further terms belong?");
    let columns = vec![
        Column::words("added to the model asked for"),
        Column::figures("AICc above the best"),
        Column::figures("an unseen run is missed by").unit(&shown.difference),
        Column::figures("scatter left").unit(&shown.difference),
        Column::words("would say that these matter"),
        Column::words("and does not see"),
    ];
    let sd = |value: Option<f64>| Cell::plain_if(value).times(shown.value(1.0));
    let each = selection.ranked.iter().zip(&further.decides);
    let rows = each.map(|(candidate, decides)| {
        let added = match candidate.added.as_slice() {
            [] => Cell::text("nothing"),
            added => {
                let added: Vec<String> = added.iter().map(ToString::to_string).collect();
                Cell::text(added.join(", "))
            }
        };
        vec![
            added,
            Cell::fixed(candidate.delta, 1),
            sd(candidate.leave_one_out_sd),
            sd(candidate.residual_sd),
            list(&decides.matter),
            list(&decides.do_not_show),
        ]
    });
    page.table(&Table::new("Which further terms belong?", columns).with(rows));
    page.paragraph(WHAT_RANKING_COSTS);
}

fn list(tests: &[EffectTest]) -> Cell {
    let names: Vec<String> = tests.iter().map(EffectTest::name).collect();
    Cell::because(names.join(", "))
}

/// What must be known by whoever reads a ranking.
const WHAT_RANKING_COSTS: &str = "The same runs choose the terms and judge them: the intervals and chances of a chosen model look better than they are, and new runs will fit worse; keep a term for a reason, not for its rank.";
