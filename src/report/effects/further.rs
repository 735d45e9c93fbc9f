//! What stands behind answer 3: means, what is left over, scatter, pairs of levels, diagnostics, further terms, coefficients.
//!
//! In: a model with what stands beside it. Out: that part of the appendix.
//! This module never judges a figure: what it says comes with it.

use super::table;
use super::words::{picture_of_pairs, picture_over};
use crate::pipeline::{Analysis, Further};
use crate::regression::{
    Comparison, CriticalValueBy, EffectTest, EquivalenceVerdict, FactorComparisons, FittedModel,
    Interval, ResponseScale, ScatterOf,
};
use crate::report::diagnostic_words::{name_text, verdict_text};
use crate::report::print::aim_names::Called;
use crate::report::print::untold_terms::mix;
use crate::report::print::words::and_list;
use crate::report::print::{
    Cell, Columns, Page, Shown, around, capital, count, fixed, joined, plain, probability,
    with_unit,
};

/// Writes all that stands behind what moves one response.
pub fn write(page: &mut Page, analysis: &Analysis, position: usize) {
    let response = &analysis.findings.moves[position].response;
    let mut models = analysis.models.models().zip(&analysis.further);
    if let Some((model, further)) = models.find(|(model, _)| model.response == *response) {
        of_model(page, model, further, &|name| analysis.campaign.called(name));
    }
}

/// Writes all that stands behind one model.
pub fn of_model(page: &mut Page, model: &FittedModel, further: &Further, called: Called) {
    let shown = Shown::of(&model.unit);
    let name = &model.response;
    if model.scale == ResponseScale::Logit {
        page.paragraph("This response is fitted on the logit scale, on which nothing can be foretold beyond 0 or 100 %. A mean is the value that half of the runs exceed, and its interval reaches further towards the middle of the range than towards the end; the ± of a change is of first order.");
    }
    for over in &further.over {
        let means = model.adjusted_means.iter();
        let mut means = means.filter(|means| means.factor == over.factor);
        let [factor, of] = [&over.factor, name].map(|name| called(name));
        let factor = capital(&factor);
        match means.next() {
            Some(means) => {
                page.heading(
                    3,
                    &format!("{factor}: what to expect of {of} at each level"),
                );
                page.table(&table::means(model, means));
                page.paragraph(&format!("Reference mix: {}.", mix(&means.mix, called)));
            }
            None => page.heading(3, &format!("{factor}: what to expect of {of} over it")),
        }
        page.show(&picture_over(name, &over.factor));
    }
    page.show(&format!("left-over-{name}"));
    page.show(&format!("left-over-in-order-{name}"));
    if model.variance_components.len() >= 2 {
        scatter(page, model, &shown);
    }
    page.show(&picture_of_pairs(name));
    for comparisons in &further.comparisons {
        levels(page, comparisons, further, &shown, called);
    }
    diagnostics(page, further);
    candidates(page, further, &shown);
    in_figures(page, model);
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

fn levels(
    page: &mut Page,
    comparisons: &FactorComparisons,
    further: &Further,
    shown: &Shown,
    called: Called,
) {
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
    let factor = capital(&called(&comparisons.factor));
    page.answer(&rows.answer(format!(
        "{factor}: which levels differ, all pairs taken together?"
    )));
    let untold = comparisons.untold.iter();
    let untold = joined(untold.map(|pair| named(&pair.level, &pair.against)), ", ");
    let cannot = around(" Not to be told from this log: ", &untold, ".");
    let capped = comparisons.pairs_by == Some(CriticalValueBy::SumOfChances);
    let capped = if capped {
        " The choice has so many levels that only the lowest and the highest mean are held against all others; the intervals allow for all pairs."
    } else {
        ""
    };
    page.paragraph(&format!(
        "All these intervals hold together with the confidence stated above.{capped}{cannot}"
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

fn in_figures(page: &mut Page, model: &FittedModel) {
    let name = &model.response;
    page.heading(3, &format!("The model of {name} in figures"));
    let figure = |value: Option<f64>| value.map_or_else(|| "–".into(), plain);
    page.paragraph(&format!(
        "Method {}; {}; {} residual degrees of freedom; R² {}, adjusted {}, leaving each run out in turn {}; F {} (chance by luck {}); correlation of what is left with the next run {}.",
        model.method,
        count(model.runs.len(), "run"),
        model.residual_df,
        figure(model.r_squared),
        figure(model.adjusted_r_squared),
        figure(model.leave_one_out_r_squared),
        figure(model.f),
        model.f_p.map_or_else(|| "–".into(), probability),
        figure(model.lag1),
    ));
    if model.scale == ResponseScale::Logit {
        page.paragraph("Terms, tests and shares of sums of squares are those of the logit ln(y/(1 − y)) of the response y, on which the model adds up: exp(value) is the factor by which y/(1 − y) changes. Everything else is brought back to y, with standard errors of first order.");
    }
    page.table(&table::terms(model));
    if model.terms.iter().any(|term| term.name.pieces.len() > 1) {
        page.paragraph("In a model with joint effects a term by itself holds where the amounts that it is joined with are 0 and the choices at their baseline; the tables above take everything at the reference mix.");
    }
    if !model.tests.is_empty() {
        page.table(&table::tests(model));
    }
}
