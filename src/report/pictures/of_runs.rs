//! The pictures of single runs: yields, purity, balance, budgets.
//!
//! In: an analysis. Out: [`Picture`]s.
//! This module never computes more than the unit that an axis shows.

use super::{Picture, bar, bar_of};
use crate::charts::{
    Layer, ReferenceLine, RunChart, RunSeries, ScatterChart, ScatterPoint, ScatterSeries,
    StackChart,
};
use crate::decide::Budget;
use crate::error::Error;
use crate::measured::{Share, SourceFamily};
use crate::pipeline::Analysis;
use crate::report::print::numbers::{fixed, plain};
use crate::runs::{Outcome, RunResult};

pub(super) fn yields_by_run(analysis: &Analysis) -> Result<Picture, Error> {
    let results = &analysis.runs.results;
    let series = |name: &str, of: fn(&RunResult) -> &Outcome| RunSeries {
        name: name.into(),
        values: results.iter().map(|run| bar(analysis, of(run))).collect(),
    };
    let contained = RunSeries {
        name: "contained".into(),
        values: results
            .iter()
            .map(|run| analysis.contained_ends(run).map(bar_of))
            .collect(),
    };
    let question = "What did each run give?".to_string();
    let chart = RunChart {
        question: question.clone(),
        y_label: "yield / %".into(),
        runs: results.iter().map(|run| run.run.clone()).collect(),
        series: vec![series("gross", |run| &run.gross), contained],
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
        caption: format!(
            "Gross yield (the feed taken as 100 %) beside contained yield (assay and purity counted), run by run with the lots marked; bars are {} % intervals.",
            fixed(100.0 * analysis.confidence(), 0)
        ),
        svg: chart.svg()?,
    })
}

pub(super) fn yield_and_purity(analysis: &Analysis) -> Result<Option<Picture>, Error> {
    let routes = analysis
        .findings
        .routes
        .as_ref()
        .map(|routes| routes.factor.as_str());
    let mut series: Vec<ScatterSeries> = Vec::new();
    for (position, run) in analysis.runs.results.iter().enumerate() {
        if run.set_aside.is_some() {
            continue;
        }
        let (Some(x), Some(y)) = (
            analysis.contained_ends(run).map(bar_of),
            bar(analysis, &run.purity),
        ) else {
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
        caption: format!(
            "Purity of the product of each run against its contained yield; bars are {} % intervals.",
            fixed(100.0 * analysis.confidence(), 0)
        ),
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

pub(super) fn budgets(analysis: &Analysis) -> Result<Option<Picture>, Error> {
    let all = &analysis.findings.budgets;
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
        let name = common_name(share);
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
            .filter(|share| keep(&common_name(share)))
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
fn common_name(share: &Share) -> String {
    match share.family {
        SourceFamily::LotAssay => "assay of the lot".into(),
        SourceFamily::TitrantStrength | SourceFamily::Other => share.source.clone(),
    }
}

pub(super) fn balance(analysis: &Analysis) -> Result<Picture, Error> {
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
