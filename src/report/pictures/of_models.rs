//! The pictures of models: effects, what they miss, routes.
//!
//! In: fitted models and answers. Out: [`Picture`]s.
//! This module never computes more than the unit that an axis shows.

use super::{Picture, estimate_bar};
use crate::charts::{
    EffectChart, EffectRow, Level, LevelChart, ReferenceLine, ScatterChart, ScatterPoint,
    ScatterSeries,
};
use crate::decide::{Moves, Routes};
use crate::error::Error;
use crate::pipeline::Analysis;
use crate::regression::FittedModel;
use crate::report::effects::words::chart_label;
use crate::report::print::numbers::fixed;
use crate::report::print::shown::Shown;

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
                group: effect.factor.clone(),
                label: chart_label(effect),
                bar: estimate_bar(effect.estimate.as_ref().ok()?, &shown),
            })
        })
        .collect();
    if rows.is_empty() {
        return Ok(None);
    }
    let confidence = analysis.confidence();
    let question = format!("What moves {}, and by how much?", moves.response);
    let chart = EffectChart {
        question: question.clone(),
        x_label: format!("change of {} / {}", moves.response, plain_unit(&moves.unit)),
        rows,
        interval: format!("bars: {} % intervals", fixed(100.0 * confidence, 0)),
    };
    Ok(Some(Picture {
        name: format!("moves-{}", moves.response),
        file: format!("what-moves-{file}.svg"),
        question,
        caption: format!(
            "Change of {} in going from one setting to another, all else at the reference mix; bars are {} % intervals, each for its own line.",
            moves.response,
            fixed(100.0 * confidence, 0)
        ),
        svg: chart.svg()?,
    }))
}

pub(super) fn plain_unit(unit: &str) -> &str {
    match unit {
        "1" => "points",
        "" => "1",
        other => other,
    }
}

pub(super) fn axis_unit(unit: &str) -> &str {
    match unit {
        "1" => "%",
        "" => "1",
        other => other,
    }
}

/// A model with the runs that its diagnostics call out; None where these could not judge any.
pub(super) struct LeftOver<'a> {
    pub model: &'a FittedModel,
    pub called_out: Option<&'a [String]>,
}

impl LeftOver<'_> {
    fn stands_out(&self, run: &str) -> bool {
        self.called_out
            .is_some_and(|runs| runs.iter().any(|named| named == run))
    }

    /// What a name beside a point means, or why there is none.
    fn note(&self) -> &'static str {
        match self.called_out {
            Some([]) => "no run lies further off than chance explains, allowing for all runs",
            Some(_) => "named: runs further off than chance explains, allowing for all runs",
            None => "too little is left over to tell whether a run lies too far off",
        }
    }
}

fn scatter_of_residuals(
    left: &LeftOver,
    question: &str,
    x_label: String,
    x: impl Fn(usize) -> f64,
) -> Result<String, Error> {
    let model = left.model;
    let shown = Shown::of(&model.unit);
    let points = (0..model.runs.len())
        .map(|run| {
            let name = &model.runs[run];
            ScatterPoint {
                x: x(run),
                y: shown.value(model.residuals[run]),
                x_bar: None,
                y_bar: None,
                // Only what lies outside the usual scatter needs its name.
                name: left.stands_out(name).then(|| name.clone()),
            }
        })
        .collect();
    ScatterChart {
        question: question.to_string(),
        x_label,
        y_label: format!(
            "logged less fitted {} / {}",
            model.response,
            plain_unit(&model.unit)
        ),
        series: vec![ScatterSeries {
            name: "runs".into(),
            points,
        }],
        horizontal: vec![ReferenceLine {
            value: 0.0,
            label: "as fitted".into(),
        }],
        vertical: Vec::new(),
        note: left.note().into(),
    }
    .svg()
}

pub(super) fn left_over(left: &LeftOver, file: &str) -> Result<Picture, Error> {
    let model = left.model;
    let shown = Shown::of(&model.unit);
    let question = format!(
        "Does what the model misses depend on the {} itself?",
        model.response
    );
    let svg = scatter_of_residuals(
        left,
        &question,
        format!("fitted {} / {}", model.response, axis_unit(&model.unit)),
        |run| shown.value(model.fitted[run]),
    )?;
    Ok(Picture {
        name: format!("left-over-{}", model.response),
        file: format!("left-over-{file}.svg"),
        question,
        caption: "What the model leaves unexplained against what it expects: a fan or a bow would speak against it; runs further off than chance explains, allowing for all runs, are named.".into(),
        svg,
    })
}

pub(super) fn left_over_in_order(left: &LeftOver, file: &str) -> Result<Picture, Error> {
    let model = left.model;
    let question = "Does what the model misses drift from run to run?".to_string();
    let svg = scatter_of_residuals(left, &question, "run, in order".into(), |run| {
        (run + 1) as f64
    })?;
    Ok(Picture {
        name: format!("left-over-in-order-{}", model.response),
        file: format!("left-over-in-order-{file}.svg"),
        question,
        caption: "What the model leaves unexplained, in the order in which the runs were made: a slope or waves would mean that something moved with time.".into(),
        svg,
    })
}

pub(super) fn route_chart(routes: &Routes) -> Result<Picture, Error> {
    let shown = Shown::of("1");
    let question = "Which route gives most?".to_string();
    let chart = LevelChart {
        question: question.clone(),
        y_label: "contained yield / %".into(),
        levels: routes
            .levels
            .iter()
            .map(|level| Level {
                name: level.level.clone(),
                mean: level
                    .mean_yield
                    .as_ref()
                    .ok()
                    .map(|mean| estimate_bar(mean, &shown)),
                points: level.yields.iter().map(|y| 100.0 * y).collect(),
            })
            .collect(),
        interval: "adjusted mean with its interval".into(),
    };
    Ok(Picture {
        name: "routes".into(),
        file: "routes.svg".into(),
        question,
        caption: "Contained yield of each run by route, and the mean of each route adjusted to the reference mix of all else, with its interval.".into(),
        svg: chart.svg()?,
    })
}
