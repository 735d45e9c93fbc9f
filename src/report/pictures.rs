//! Which pictures a report has and what stands in them.
//!
//! In: an analysis. Out: [`Pictures`], finished SVG texts with file, question and caption.
//! This module never computes more than the unit that an axis shows.

use super::first_screen::COVERAGE_FACTOR;
use super::numbers::{fixed, plain};
use super::shown::Shown;
use super::words::chart_label;
use crate::charts::{
    Bar, EffectChart, EffectRow, Layer, Level, LevelChart, ReferenceLine, RunChart, RunSeries,
    ScatterChart, ScatterPoint, ScatterSeries, StackChart,
};
use crate::decide::{Budget, Moves, Routes};
use crate::error::Error;
use crate::pipeline::Analysis;
use crate::regression::{Estimate, FittedModel};
use crate::runs::{Outcome, RunResult};

/// One picture.
#[derive(Debug, Clone)]
pub struct Picture {
    /// Name that sections know it by.
    pub name: String,
    /// File name; never holds a name from a log.
    pub file: String,
    /// The question it answers.
    pub question: String,
    /// What is drawn.
    pub caption: String,
    /// The SVG document.
    pub svg: String,
}

/// All pictures of a report.
#[derive(Debug, Clone, Default)]
pub struct Pictures(pub Vec<Picture>);

impl Pictures {
    /// The picture of that name.
    pub fn named(&self, name: &str) -> Option<&Picture> {
        self.0.iter().find(|picture| picture.name == name)
    }
}

/// Draws every picture that the analysis has figures for.
///
/// # Errors
/// What a chart cannot draw.
pub fn pictures(analysis: &Analysis) -> Result<Pictures, Error> {
    let mut pictures = Pictures::default();
    if analysis.answers.given.is_some() {
        pictures.0.push(yields_by_run(analysis)?);
        pictures.0.extend(yield_and_purity(analysis)?);
        pictures.0.extend(budgets(analysis)?);
    }
    if analysis.answers.went.is_some() {
        pictures.0.push(balance(analysis)?);
    }
    for (position, moves) in analysis.answers.moves.iter().enumerate() {
        let Some(model) = analysis
            .models
            .iter()
            .find(|m| m.response == moves.response)
        else {
            continue;
        };
        let file = file_name(&moves.response, position);
        pictures.0.extend(what_moves(moves, &file, analysis)?);
        pictures.0.push(left_over(model, &file)?);
        pictures.0.push(left_over_in_order(model, &file)?);
    }
    if let Some(routes) = &analysis.answers.routes {
        pictures.0.push(route_chart(routes)?);
    }
    Ok(pictures)
}

/// A name from a campaign never stands in a path: only the two names of residuum's own do.
fn file_name(response: &str, position: usize) -> String {
    match response {
        "yield" | "purity" => response.to_string(),
        _ => format!("response-{}", position + 1),
    }
}

fn bar(outcome: &Outcome) -> Option<Bar> {
    let value = outcome.as_ref().ok()?;
    let half = COVERAGE_FACTOR * value.uncertainty();
    Some(Bar {
        value: 100.0 * value.value(),
        low: 100.0 * (value.value() - half),
        high: 100.0 * (value.value() + half),
    })
}

fn estimate_bar(estimate: &Estimate, shown: &Shown) -> Bar {
    let value = shown.value(estimate.value);
    let ends = estimate
        .interval
        .map(|interval| [shown.value(interval.low), shown.value(interval.high)]);
    let [low, high] = ends.unwrap_or([value, value]);
    Bar { value, low, high }
}

fn yields_by_run(analysis: &Analysis) -> Result<Picture, Error> {
    let results = &analysis.runs.results;
    let series = |name: &str, of: fn(&RunResult) -> &Outcome| RunSeries {
        name: name.into(),
        values: results.iter().map(|run| bar(of(run))).collect(),
    };
    let question = "What did each run give?".to_string();
    let chart = RunChart {
        question: question.clone(),
        y_label: "yield / %".into(),
        runs: results.iter().map(|run| run.run.clone()).collect(),
        series: vec![
            series("gross", |run| &run.gross),
            series("contained", |run| &run.contained),
        ],
        groups: if results.iter().any(|run| run.lot.is_some()) {
            results
                .iter()
                .map(|run| run.lot.clone().unwrap_or_default())
                .collect()
        } else {
            Vec::new()
        },
        lines: Vec::new(),
    };
    Ok(Picture {
        name: "yields-by-run".into(),
        file: "yields-by-run.svg".into(),
        question,
        caption: "Gross yield (the feed taken as 100 %) beside contained yield (assay and purity counted), run by run with the lots marked; bars are ± two standard uncertainties, about 95 %.".into(),
        svg: chart.svg()?,
    })
}

fn yield_and_purity(analysis: &Analysis) -> Result<Option<Picture>, Error> {
    let routes = analysis
        .answers
        .routes
        .as_ref()
        .map(|routes| routes.factor.as_str());
    let mut series: Vec<ScatterSeries> = Vec::new();
    for (position, run) in analysis.runs.results.iter().enumerate() {
        if run.set_aside.is_some() {
            continue;
        }
        let (Some(x), Some(y)) = (bar(&run.contained), bar(&run.purity)) else {
            continue;
        };
        let name = routes
            .and_then(|factor| level_of(analysis, factor, position))
            .unwrap_or_else(|| "runs".into());
        let point = ScatterPoint {
            x: x.value,
            y: y.value,
            x_bar: Some(x),
            y_bar: Some(y),
            name: None,
        };
        match series.iter_mut().find(|known| known.name == name) {
            Some(known) => known.points.push(point),
            None => series.push(ScatterSeries {
                name,
                points: vec![point],
            }),
        }
    }
    if series.is_empty() {
        return Ok(None);
    }
    series.sort_by(|a, b| a.name.cmp(&b.name));
    let question = "Does more yield cost purity?".to_string();
    let chart = ScatterChart {
        question: question.clone(),
        x_label: "contained yield / %".into(),
        y_label: "purity / %".into(),
        series,
        horizontal: analysis
            .campaign
            .purity_spec
            .map(|spec| ReferenceLine {
                value: 100.0 * spec,
                label: format!("specification {} %", plain(100.0 * spec)),
            })
            .into_iter()
            .collect(),
        vertical: Vec::new(),
        note: String::new(),
    };
    Ok(Some(Picture {
        name: "yield-and-purity".into(),
        file: "yield-and-purity.svg".into(),
        question,
        caption: "Purity of the product of each run against its contained yield; bars are ± two standard uncertainties, about 95 %.".into(),
        svg: chart.svg()?,
    }))
}

/// The level of a choice that a run had.
fn level_of(analysis: &Analysis, factor: &str, position: usize) -> Option<String> {
    let column = analysis
        .runs
        .factors
        .iter()
        .find(|column| column.name == factor)?;
    match &column.values {
        crate::runs::FactorValues::Choice { levels, codes } => {
            codes[position].map(|code| levels[code].clone())
        }
        crate::runs::FactorValues::Amount(_) => None,
    }
}

/// Sources with less than this share of every lot are drawn together.
const SMALL_SHARE: f64 = 0.04;

/// Most sources drawn by themselves.
const MOST_SOURCES: usize = 5;

fn budgets(analysis: &Analysis) -> Result<Option<Picture>, Error> {
    let all = &analysis.answers.budgets;
    let shown: Vec<&Budget> = if all.len() > 1 {
        all.iter().skip(1).collect()
    } else {
        all.iter().collect()
    };
    if shown.is_empty() {
        return Ok(None);
    }
    let mut names: Vec<String> = Vec::new();
    for share in shown.iter().flat_map(|budget| &budget.shares) {
        let name = common_name(&share.source);
        if share.share.is_some_and(|share| share >= SMALL_SHARE)
            && !names.contains(&name)
            && names.len() < MOST_SOURCES
        {
            names.push(name);
        }
    }
    let part = |budget: &Budget, keep: &dyn Fn(&str) -> bool| -> f64 {
        budget
            .shares
            .iter()
            .filter(|share| keep(&common_name(&share.source)))
            .filter_map(|share| share.share)
            .fold(0.0, |sum, share| sum + 100.0 * share)
    };
    let mut layers: Vec<Layer> = names
        .iter()
        .map(|name| Layer {
            name: name.clone(),
            values: shown
                .iter()
                .map(|budget| part(budget, &|source| source == name))
                .collect(),
        })
        .collect();
    layers.push(Layer {
        name: "all others".into(),
        values: shown
            .iter()
            .map(|budget| part(budget, &|source| !names.iter().any(|name| name == source)))
            .collect(),
    });
    let question = "Where does the ± of a yield come from?".to_string();
    let chart = StackChart {
        question: question.clone(),
        y_label: "part of the variance / %".into(),
        runs: shown
            .iter()
            .map(|budget| {
                budget
                    .lot
                    .as_ref()
                    .map_or_else(|| "all runs".into(), |lot| format!("lot {lot}"))
            })
            .collect(),
        layers,
        lines: Vec::new(),
    };
    Ok(Some(Picture {
        name: "budgets".into(),
        file: "where-the-uncertainty-comes-from.svg".into(),
        question,
        caption: "Parts of the variance of the contained yields, lot by lot; the largest part is the first to improve.".into(),
        svg: chart.svg()?,
    }))
}

/// One name for what each lot has of its own.
fn common_name(source: &str) -> String {
    if source.starts_with("assay of lot ") {
        "assay of the lot".into()
    } else {
        source.to_string()
    }
}

fn balance(analysis: &Analysis) -> Result<Picture, Error> {
    let closed: Vec<&RunResult> = analysis
        .runs
        .results
        .iter()
        .filter(|run| run.balance.closure.is_ok())
        .collect();
    let layer = |name: &str, of: fn(&RunResult) -> &Outcome| Layer {
        name: name.into(),
        values: closed
            .iter()
            .map(|run| of(run).as_ref().map_or(0.0, |value| 100.0 * value.value()))
            .collect(),
    };
    let question = "Where did the followed element go?".to_string();
    let chart = StackChart {
        question: question.clone(),
        y_label: "part of the charge / %".into(),
        runs: closed.iter().map(|run| run.run.clone()).collect(),
        layers: vec![
            layer("crops", |run| &run.balance.crops),
            layer("mother liquor", |run| &run.balance.liquor),
            layer("residue", |run| &run.balance.residue),
            layer("unaccounted for", |run| &run.balance.unaccounted),
        ],
        lines: vec![ReferenceLine {
            value: 100.0,
            label: "all of the charge".into(),
        }],
    };
    Ok(Picture {
        name: "balance".into(),
        file: "balance.svg".into(),
        question,
        caption: "What became of the followed element in the charge of each run; what hangs below zero came out without having gone in, by the entries of the log.".into(),
        svg: chart.svg()?,
    })
}

fn what_moves(moves: &Moves, file: &str, analysis: &Analysis) -> Result<Option<Picture>, Error> {
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
    let confidence = analysis
        .campaign
        .model
        .as_ref()
        .map_or(0.95, |model| model.confidence);
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

fn plain_unit(unit: &str) -> &str {
    match unit {
        "1" => "points",
        "" => "1",
        other => other,
    }
}

fn axis_unit(unit: &str) -> &str {
    match unit {
        "1" => "%",
        "" => "1",
        other => other,
    }
}

fn scatter_of_residuals(
    model: &FittedModel,
    question: &str,
    x_label: String,
    x: impl Fn(usize) -> f64,
) -> Result<String, Error> {
    let shown = Shown::of(&model.unit);
    let half = |leverage: f64| {
        model
            .residual_sd
            .map(|sd| COVERAGE_FACTOR * shown.value(sd) * (1.0 - leverage).max(0.0).sqrt())
    };
    let points = (0..model.runs.len())
        .map(|run| {
            let y = shown.value(model.residuals[run]);
            let half = half(model.leverages[run]);
            ScatterPoint {
                x: x(run),
                y,
                x_bar: None,
                y_bar: None,
                // Only what lies outside the usual scatter needs its name.
                name: half
                    .is_some_and(|half| y.abs() > half)
                    .then(|| model.runs[run].clone()),
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
        note: "named: runs further off than two standard deviations of what is left".into(),
    }
    .svg()
}

fn left_over(model: &FittedModel, file: &str) -> Result<Picture, Error> {
    let shown = Shown::of(&model.unit);
    let question = format!(
        "Does what the model misses depend on the {} itself?",
        model.response
    );
    let svg = scatter_of_residuals(
        model,
        &question,
        format!("fitted {} / {}", model.response, axis_unit(&model.unit)),
        |run| shown.value(model.fitted[run]),
    )?;
    Ok(Picture {
        name: format!("left-over-{}", model.response),
        file: format!("left-over-{file}.svg"),
        question,
        caption: "What the model leaves unexplained against what it expects: a fan or a bow would speak against it; runs further off than two standard deviations are named.".into(),
        svg,
    })
}

fn left_over_in_order(model: &FittedModel, file: &str) -> Result<Picture, Error> {
    let question = "Does what the model misses drift from run to run?".to_string();
    let svg = scatter_of_residuals(model, &question, "run, in order".into(), |run| {
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

fn route_chart(routes: &Routes) -> Result<Picture, Error> {
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
