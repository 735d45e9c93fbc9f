//! The figures of a result that are kept.
//!
//! In: the result as data. Out: [`Record`]: runs with their yields, left-out rows, estimates.
//! This module never computes a figure: it takes those that are there and passes over what is not.

use super::{
    Estimated, Figure, FigureKind, FlaggedPoint, Inputs, LeftOutRow, OfRoute, Record, RunYield,
    verdicts,
};
use crate::result::{self, Chart, Model, Moves, RouteLevel, Settings, Term, WholeResult};

impl Record {
    /// What is kept of a result; `round` is its position in the history.
    pub fn of(result: &WholeResult, inputs: Inputs, round: u64) -> Record {
        let yields = result.yields.iter().flatten();
        let yields = yields.map(|run| RunYield {
            run: run.run.clone(),
            value: run.contained.map(|contained| contained.value),
            u: run.contained.map(|contained| contained.u),
        });
        // Rows set aside on purpose are no faults.
        let left_out = result.left_out.iter().filter(|row| !row.on_purpose);
        let left_out = left_out.map(|row| LeftOutRow {
            file: row.file.clone(),
            run: row.run.clone(),
            reason: row.reason.clone(),
        });
        let charts = result.drift.iter().flatten();
        Record {
            round,
            inputs,
            title: result.campaign.title.clone(),
            runs: yields.collect(),
            left_out: left_out.collect(),
            set_aside: result.left_out.iter().filter(|row| row.on_purpose).count(),
            caveats: result.caveats.len(),
            verdicts: verdicts::verdicts(result),
            figures: figures(result),
            drift: charts.flat_map(flags).collect(),
            is_partial: false,
        }
    }
}

fn flags(chart: &Chart) -> impl Iterator<Item = FlaggedPoint> {
    let flagged = chart.points.iter().filter(|point| point.flag.is_some());
    flagged.map(|point| FlaggedPoint {
        response: chart.response.clone(),
        chart: chart.chart.to_string(),
        run: point.run.clone(),
    })
}

fn figures(result: &WholeResult) -> Vec<Figure> {
    let models = result.models.iter().flatten();
    let mut figures: Vec<Figure> = models.flat_map(of_model).collect();
    figures.extend(result.moves.iter().flatten().flat_map(of_moves));
    if let Some(Some(routes)) = &result.routes {
        figures.extend(routes.levels.iter().flat_map(of_route));
    }
    let money = result.recycling.iter().filter_map(|it| it.money.as_ref());
    figures.extend(money.map(|money| Figure {
        about: Estimated::Gain,
        unit: money.currency.clone(),
        kind: FigureKind::Difference,
        value: money.gain_per_run.value,
        u: Some(money.gain_per_run.u),
        interval: Some(money.gain_per_run.interval),
    }));
    if let Some(Some(Settings::Best(best))) = &result.settings {
        let expected = &best.response;
        let response = expected.response.clone();
        let about = Estimated::AtBest { response };
        figures.push(Figure {
            u: expected.u,
            interval: expected.interval,
            ..level(about, &expected.unit, expected.value)
        });
    }
    let titrants = result.titrants.iter().flatten();
    figures.extend(titrants.map(|titrant| {
        let (titrant, measured) = (titrant.titrant.clone(), &titrant.concentration);
        Figure {
            u: Some(measured.u),
            ..level(Estimated::Titrant { titrant }, "mol/L", measured.value)
        }
    }));
    figures
}

/// A value of its own, of which nothing else is known.
fn level(about: Estimated, unit: &str, value: f64) -> Figure {
    Figure {
        about,
        unit: unit.to_string(),
        kind: FigureKind::Level,
        value,
        u: None,
        interval: None,
    }
}

fn of_route(level: &RouteLevel) -> impl Iterator<Item = Figure> {
    let all: [(OfRoute, &str, &result::Estimated); 4] = [
        (OfRoute::Yield, "1", &level.mean_yield),
        (OfRoute::Purity, "1", &level.purity),
        (OfRoute::Cost, &level.cost_unit, &level.cost),
        (OfRoute::Labour, "min", &level.labour),
    ];
    all.into_iter().filter_map(move |(what, unit, estimate)| {
        let route = level.level.clone();
        Some(Figure {
            u: estimate.u,
            interval: estimate.interval,
            ..self::level(Estimated::OfRoute { what, route }, unit, estimate.value?)
        })
    })
}

fn of_model(model: &Model) -> Vec<Figure> {
    let means = model.adjusted_means.0.iter();
    let means = means.flat_map(|(factor, levels)| levels.iter().map(move |level| (factor, level)));
    let means = means.filter_map(|(factor, of)| {
        let mean = Estimated::Mean {
            response: model.response.clone(),
            factor: factor.clone(),
            level: of.level.clone(),
        };
        Some(Figure {
            u: of.u,
            interval: of.interval,
            ..level(mean, &model.unit, of.value?)
        })
    });
    // Where a log has its constant alone, that is the mean; else it lies where no run was made.
    let overall = match model.terms.as_slice() {
        [only] if only.pieces.is_constant() => Some(of_constant(model, only)),
        _ => None,
    };
    means.chain(overall).collect()
}

fn of_constant(model: &Model, constant: &Term) -> Figure {
    let response = model.response.clone();
    let about = Estimated::Overall { response };
    Figure {
        u: constant.u,
        interval: constant.interval,
        ..level(about, &model.unit, constant.value)
    }
}

/// Differences at the reference mix. Another range of an amount makes another difference, which is not compared.
fn of_moves(moves: &Moves) -> impl Iterator<Item = Figure> {
    moves.changes.iter().filter_map(|change| {
        let about = Estimated::Change {
            response: moves.response.clone(),
            factor: change.factor.clone(),
            unit: change.unit.clone(),
            comparison: change.comparison.clone(),
        };
        let estimate = &change.estimate;
        Some(Figure {
            kind: FigureKind::Difference,
            u: estimate.u,
            interval: estimate.interval,
            ..level(about, &moves.unit, estimate.value?)
        })
    })
}
