//! Pictures of models: effects, what they miss, routes.
//!
//! In: fitted models and answers. Out: [`Picture`]s.
//! This module never computes more than the unit that an axis shows.

use super::parts::{estimate_bar, line, on_axis};
use crate::charts::{
    Bar, EffectChart, EffectRow, Level, LevelChart, ScatterChart, ScatterPoint, ScatterSeries, Slot,
};
use crate::decide::{Moves, RouteLevel, Routes};
use crate::error::Error;
use crate::pipeline::Analysis;
use crate::regression::{FactorComparisons, FittedModel};
use crate::report::effects::words::{chart_label, picture_of_pairs};
use crate::report::print::numbers::{fixed, plain};
use crate::report::print::{Picture, Shown, joined};

pub(super) fn what_moves(
    moves: &Moves,
    file: &str,
    analysis: &Analysis,
) -> Result<Option<Picture>, Error> {
    let shown = Shown::of(&moves.unit);
    let rows: Vec<EffectRow> = moves
        .effects
        .iter()
        .filter_map(|effect| {
            Some(EffectRow {
                group: analysis.campaign.called(&effect.factor),
                label: chart_label(effect),
                bar: estimate_bar(effect.estimate.as_ref().ok()?, &shown),
            })
        })
        .collect();
    if rows.is_empty() {
        return Ok(None);
    }
    let percent = fixed(100.0 * analysis.confidence(), 0);
    let chart = EffectChart {
        question: format!("What moves {}, and by how much?", moves.response),
        x_label: format!(
            "change of {} / {}",
            moves.response,
            on_axis(&shown.difference)
        ),
        rows,
        interval: format!("bars: {percent} % intervals"),
    };
    Ok(Some(Picture {
        name: format!("moves-{}", moves.response),
        file: format!("what-moves-{file}.svg"),
        svg: chart.svg()?,
        question: chart.question,
        caption: format!(
            "Change of {} in going from one setting to another, all else at the reference mix; bars are {percent} % intervals, each for its own line.",
            moves.response
        ),
    }))
}

/// What a model misses, against what it expects and in the order of the runs; `called_out` are runs further off than
/// chance explains, None where none could be judged.
pub(super) fn left_over(
    model: &FittedModel,
    called_out: Option<&[String]>,
    file: &str,
) -> Result<[Picture; 2], Error> {
    let shown = Shown::of(&model.unit);
    let response = &model.response;
    // Only what lies outside the usual scatter needs its name.
    let name = |run: &String| called_out?.contains(run).then(|| run.clone());
    // What a name beside a point means, or why there is none.
    let note = match called_out {
        Some([]) => "no run lies further off than chance explains, allowing for all runs",
        Some(_) => "named: runs further off than chance explains, allowing for all runs",
        None => "too little is left over to tell whether a run lies too far off",
    };
    let chart = |question: String, x_label: String, x: &dyn Fn(usize) -> f64| {
        let points = model.runs.iter().enumerate().map(|(run, of)| ScatterPoint {
            x: x(run),
            y: shown.value(model.residuals[run]),
            x_bar: None,
            y_bar: None,
            name: name(of),
        });
        ScatterChart {
            question,
            x_label,
            y_label: format!(
                "logged less fitted {response} / {}",
                on_axis(&shown.difference)
            ),
            series: vec![ScatterSeries {
                name: "runs".into(),
                points: points.collect(),
            }],
            horizontal: vec![line(0.0, "as fitted")],
            note: note.into(),
        }
    };
    let fitted = chart(
        format!("Does what the model misses depend on the {response} itself?"),
        format!("fitted {response} / {}", on_axis(&shown.unit)),
        &|run| shown.value(model.fitted[run]),
    );
    let in_order = chart(
        "Does what the model misses drift from run to run?".into(),
        "run, in order".into(),
        &|run| (run + 1) as f64,
    );
    Ok([
        Picture {
            name: format!("left-over-{response}"),
            file: format!("left-over-{file}.svg"),
            svg: fitted.svg()?,
            question: fitted.question,
            caption: "What the model leaves unexplained against what it expects: a fan or a bow would speak against it; runs further off than chance explains, allowing for all runs, are named.".into(),
        },
        Picture {
            name: format!("left-over-in-order-{response}"),
            file: format!("left-over-in-order-{file}.svg"),
            svg: in_order.svg()?,
            question: in_order.question,
            caption: "What the model leaves unexplained, in the order in which the runs were made: a slope or waves would mean that something moved with time.".into(),
        },
    ])
}

/// The differences of each two levels, where a choice has more than two.
pub(super) fn pairs(
    analysis: &Analysis,
    model: &FittedModel,
    comparisons: &[FactorComparisons],
    file: &str,
) -> Result<Option<Picture>, Error> {
    let shown = Shown::of(&model.unit);
    let several = comparisons.iter().filter(|of| of.pairs.len() > 1);
    let rows = several.flat_map(|of| &of.pairs).filter_map(|pair| {
        let ends = pair.interval?;
        Some(EffectRow {
            group: analysis.campaign.called(&pair.factor),
            label: format!("{} against {}", pair.level, pair.against),
            bar: Bar {
                value: shown.value(pair.value),
                low: shown.value(ends.low),
                high: shown.value(ends.high),
            },
        })
    });
    let rows: Vec<EffectRow> = rows.take(MOST_PAIRS).collect();
    if rows.is_empty() {
        return Ok(None);
    }
    let response = analysis.campaign.called(&model.response);
    let percent = fixed(100.0 * model.confidence, 0);
    let chart = EffectChart {
        question: format!("Which levels differ in {response}?"),
        x_label: format!("difference of {response} / {}", on_axis(&shown.difference)),
        rows,
        interval: format!("bars: {percent} % intervals, all pairs of a choice together"),
    };
    Ok(Some(Picture {
        name: picture_of_pairs(&model.response),
        file: format!("pairs-{file}.svg"),
        svg: chart.svg()?,
        question: chart.question,
        caption: format!(
            "Adjusted means of {response}, each level against each other one; the {percent} % intervals hold for all pairs of a choice together, so they are wider than those of one difference alone."
        ),
    }))
}

/// Most differences in one picture; the table has all.
const MOST_PAIRS: usize = 40;

pub(super) fn route_chart(routes: &Routes) -> Result<Picture, Error> {
    let shown = Shown::of("1");
    let limit = routes.aim.spec.map(|spec| plain(100.0 * spec));
    let levels = routes.levels.iter().map(|level| {
        let mean = level.mean_yield.as_ref().ok();
        Slot {
            name: level.level.clone(),
            group: None,
            shown: Level {
                mean: mean.map(|mean| estimate_bar(mean, &shown)),
                points: level.yields.iter().map(|y| 100.0 * y).collect(),
                note: pure(level, limit.as_deref()),
                fails: limit.is_some()
                    && level
                        .chance_spec
                        .is_some_and(|chance| chance < routes.aim.purity_chance),
            },
        }
    });
    let chart = LevelChart {
        question: "Which route gives most?".into(),
        y_label: "contained yield / %".into(),
        levels: levels.collect(),
        failing: limit.as_ref().map_or_else(String::new, |limit| {
            let runs = plain(100.0 * routes.aim.purity_chance);
            format!("open: not expected to meet {limit} % in {runs} % of runs")
        }),
        interval: "adjusted mean with its interval".into(),
    };
    Ok(Picture {
        name: "routes".into(),
        file: "routes.svg".into(),
        svg: chart.svg()?,
        question: chart.question,
        caption: "Contained yield of each run by route, and the mean of each route adjusted to the reference mix of all else, with its interval; above them the purity to expect, and how many runs met the specification where there is one.".into(),
    })
}

/// `98.92 ± 0.12 % pure, 20 of 21 met 98.5 %`.
fn pure(level: &RouteLevel, limit: Option<&str>) -> String {
    let mean = level.mean_purity.as_ref().ok();
    let mean = mean.map(|mean| format!("{} pure", Shown::of("1").mean(mean)));
    let met = level.meets_spec.zip(limit);
    let met = met.map(|(met, limit)| format!("{met} of {} met {limit} %", level.purity_runs));
    joined(mean.into_iter().chain(met), ", ")
}
