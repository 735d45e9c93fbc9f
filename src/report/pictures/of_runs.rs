//! Pictures of single runs: yields, purity, balance, budgets.
//!
//! In: an analysis. Out: [`Picture`]s.
//! This module never computes more than the unit that an axis shows.

use super::parts::{bar, bar_of, line};
use crate::charts::{RunChart, ScatterChart, ScatterPoint, ScatterSeries, Slot, StackChart};
use crate::decide::Budget;
use crate::error::Error;
use crate::measured::{Share, SourceFamily};
use crate::pipeline::Analysis;
use crate::report::print::Picture;
use crate::report::print::numbers::{fixed, plain};
use crate::runs::{FactorValues, Outcome};

pub(super) fn yields_by_run(analysis: &Analysis) -> Result<Picture, Error> {
    let results = &analysis.runs.results;
    let has_set_aside = results.iter().any(|run| run.set_aside.is_some());
    let runs = results.iter().map(|run| {
        let contained = analysis.contained_ends(run).map(bar_of);
        let mut shown = vec![bar(analysis, &run.gross)];
        match run.set_aside {
            Some(_) => shown.extend([None, contained]),
            None if has_set_aside => shown.extend([contained, None]),
            None => shown.push(contained),
        }
        Slot {
            name: run.run.clone(),
            group: run.lot.clone(),
            shown,
        }
    });
    let mut series = vec!["gross".to_string(), "contained".to_string()];
    if has_set_aside {
        series.push("contained, of a run set aside".to_string());
    }
    let chart = RunChart {
        question: "What did each run give?".into(),
        y_label: "yield / %".into(),
        series,
        runs: runs.collect(),
    };
    Ok(Picture {
        name: "yields-by-run".into(),
        file: "yields-by-run.svg".into(),
        svg: chart.svg()?,
        question: chart.question,
        caption: format!(
            "Gross yield (the feed taken as 100 %) beside contained yield (assay and purity counted), run by run with the lots marked; bars are {} % intervals.",
            fixed(100.0 * analysis.confidence(), 0)
        ),
    })
}

pub(super) fn yield_and_purity(analysis: &Analysis) -> Result<Option<Picture>, Error> {
    let routes = analysis.findings.routes.as_ref();
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
            .and_then(|routes| level_of(analysis, &routes.factor, position))
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
    let specification = analysis.campaign.purity_spec.map(|spec| {
        let label = format!("specification {} %", plain(100.0 * spec));
        line(100.0 * spec, label)
    });
    let chart = ScatterChart {
        question: "Does more yield cost purity?".into(),
        x_label: "contained yield / %".into(),
        y_label: "purity / %".into(),
        series,
        horizontal: specification.into_iter().collect(),
        note: String::new(),
    };
    Ok(Some(Picture {
        name: "yield-and-purity".into(),
        file: "yield-and-purity.svg".into(),
        svg: chart.svg()?,
        question: chart.question,
        caption: format!(
            "Purity of the product of each run against its contained yield; bars are {} % intervals.",
            fixed(100.0 * analysis.confidence(), 0)
        ),
    }))
}

/// The level of a choice that a run had.
fn level_of(analysis: &Analysis, factor: &str, position: usize) -> Option<String> {
    let mut factors = analysis.runs.factors.iter();
    match &factors.find(|column| column.name == factor)?.values {
        FactorValues::Choice { levels, codes } => Some(levels[codes[position]?].clone()),
        FactorValues::Amount(_) => None,
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
    let part = |budget: &Budget, keeps: &dyn Fn(&String) -> bool| {
        let shares = budget.shares.iter();
        let kept = shares.filter(|share| keeps(&common_name(share)));
        kept.filter_map(|share| share.share)
            .fold(0.0, |sum, share| sum + 100.0 * share)
    };
    let parts = |budget: &Budget| {
        let own = names.iter();
        let own = own.map(|name| part(budget, &|source| source == name));
        let others = part(budget, &|source| !names.contains(source));
        own.chain([others]).collect()
    };
    let runs = shown.iter().map(|budget| Slot {
        name: match &budget.lot {
            Some(lot) => format!("lot {lot}"),
            None => "all runs".into(),
        },
        group: None,
        shown: parts(budget),
    });
    let chart = StackChart {
        question: "Where does the ± of a yield come from?".into(),
        y_label: "part of the variance / %".into(),
        runs: runs.collect(),
        layers: names.iter().cloned().chain(["all others".into()]).collect(),
        lines: Vec::new(),
    };
    Ok(Some(Picture {
        name: "budgets".into(),
        file: "where-the-uncertainty-comes-from.svg".into(),
        svg: chart.svg()?,
        question: chart.question,
        caption: "Parts of the variance of the contained yields, lot by lot; the largest part is the first to improve.".into(),
    }))
}

/// One name for what each lot has of its own.
fn common_name(share: &Share) -> String {
    match share.family {
        SourceFamily::LotAssay => "assay of the lot".into(),
        SourceFamily::TitrantStrength | SourceFamily::Assay | SourceFamily::Other => {
            share.source.to_string()
        }
    }
}

pub(super) fn balance(analysis: &Analysis) -> Result<Picture, Error> {
    let results = analysis.runs.results.iter();
    let closed = results.filter(|run| run.balance.closure.is_ok());
    let percent = |part: &Outcome| part.as_ref().map_or(0.0, |value| 100.0 * value.value());
    let runs = closed.map(|run| {
        let went = &run.balance;
        let parts = [&went.crops, &went.liquor, &went.residue, &went.unaccounted];
        Slot {
            name: run.run.clone(),
            group: None,
            shown: parts.map(percent).to_vec(),
        }
    });
    let layers = ["crops", "mother liquor", "residue", "unaccounted for"];
    let chart = StackChart {
        question: "Where did the followed element go?".into(),
        y_label: "part of the charge / %".into(),
        runs: runs.collect(),
        layers: layers.map(String::from).to_vec(),
        lines: vec![line(100.0, "all of the charge")],
    };
    Ok(Picture {
        name: "balance".into(),
        file: "balance.svg".into(),
        svg: chart.svg()?,
        question: chart.question,
        caption: "What became of the followed element in the charge of each run; what hangs below zero came out without having gone in, by the entries of the log.".into(),
    })
}
