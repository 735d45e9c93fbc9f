//! Which figures of a result are kept?
//!
//! In: the result as data. Out: [`Record`]: runs with their yields, left-out rows, estimates.
//! This module never computes a figure: it takes those that are there and passes over what is not.

use super::{
    Estimated, Figure, FigureKind, FlaggedPoint, Inputs, LeftOutRow, OfRoute, Record, RunYield,
    verdicts,
};
use crate::result::{self, Chart, Ends, Measured, Model, RouteLevel, Settings, WholeResult};

impl Record {
    /// What is kept of a result; `round` is its position in the history.
    pub fn of(result: &WholeResult, inputs: Inputs, round: u64) -> Record {
        let yields = result.yields.iter().flatten();
        let left_out = result.left_out.iter();
        let charts = result.drift.iter().flatten();
        Record {
            round,
            inputs,
            title: result.campaign.title.clone(),
            runs: yields
                .map(|run| RunYield {
                    run: run.run.clone(),
                    value: run.contained.map(|contained| contained.value),
                    u: run.contained.map(|contained| contained.u),
                })
                .collect(),
            // Rows set aside on purpose are no faults.
            left_out: left_out
                .filter(|row| !row.on_purpose)
                .map(|row| LeftOutRow {
                    file: row.file.clone(),
                    run: row.run.clone(),
                    reason: row.reason.clone(),
                })
                .collect(),
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
    let mut figures = Vec::new();
    for model in result.models.iter().flatten() {
        of_model(model, &mut figures);
    }
    if let Some(Some(routes)) = &result.routes {
        routes
            .levels
            .iter()
            .for_each(|level| of_route(level, &mut figures));
    }
    let residue = result.recycling.as_ref().and_then(|found| found.residue());
    figures.extend(
        residue
            .and_then(|residue| residue.money.as_ref())
            .map(|money| Figure {
                about: Estimated::Gain,
                unit: money.currency.clone(),
                kind: FigureKind::Difference,
                value: money.gain_per_run.value,
                u: Some(money.gain_per_run.u),
                interval: Some(money.gain_per_run.interval),
            }),
    );
    if let Some(Some(Settings::Best(best))) = &result.settings {
        let expected = &best.response;
        figures.push(Figure {
            about: Estimated::AtBest {
                response: expected.response.clone(),
            },
            unit: expected.unit.clone(),
            kind: FigureKind::Level,
            value: expected.value,
            u: expected.u,
            interval: expected.interval,
        });
    }
    let titrants = result.titrants.iter().flatten();
    figures.extend(titrants.map(|titrant| {
        let Measured { value, u } = titrant.concentration;
        Figure {
            about: Estimated::Titrant {
                titrant: titrant.titrant.clone(),
            },
            unit: "mol/L".into(),
            kind: FigureKind::Level,
            value,
            u: Some(u),
            interval: None,
        }
    }));
    figures
}

fn of_route(level: &RouteLevel, figures: &mut Vec<Figure>) {
    let all: [(OfRoute, &str, &result::Estimated); 4] = [
        (OfRoute::Yield, "1", &level.mean_yield),
        (OfRoute::Purity, "1", &level.purity),
        (OfRoute::Cost, &level.cost_unit, &level.cost),
        (OfRoute::Labour, "min", &level.labour),
    ];
    for (what, unit, estimate) in all {
        let route = level.level.clone();
        let about = Estimated::OfRoute { what, route };
        let level = Known {
            value: estimate.value,
            u: estimate.u,
            interval: estimate.interval,
        };
        figures.extend(level.figure(about, unit, FigureKind::Level));
    }
}

fn of_model(model: &Model, figures: &mut Vec<Figure>) {
    let response = || model.response.clone();
    for (factor, levels) in &model.adjusted_means.0 {
        for level in levels {
            let about = Estimated::Mean {
                response: response(),
                factor: factor.clone(),
                level: level.level.clone(),
            };
            let mean = Known {
                value: level.value,
                u: level.u,
                interval: level.interval,
            };
            figures.extend(mean.figure(about, &model.unit, FigureKind::Level));
        }
    }
    for term in &model.terms {
        let known = Known {
            value: Some(term.value),
            u: term.u,
            interval: term.interval,
        };
        if term.pieces.is_empty() {
            // Where a log has its constant alone, that is the mean; else it lies where no run was made.
            if model.terms.len() == 1 {
                let about = Estimated::Overall {
                    response: response(),
                };
                figures.extend(known.figure(about, &model.unit, FigureKind::Level));
            }
            continue;
        }
        let about = Estimated::Effect {
            response: response(),
            term: term.pieces.clone(),
        };
        // On the logit scale a term has no unit; means are given back as fractions.
        let unit = if model.scale == result::Scale::Logit {
            ""
        } else {
            &model.unit
        };
        figures.extend(known.figure(about, unit, FigureKind::Difference));
    }
}

/// What is known of an estimate.
struct Known {
    value: Option<f64>,
    u: Option<f64>,
    interval: Ends,
}

impl Known {
    fn figure(self, about: Estimated, unit: &str, kind: FigureKind) -> Option<Figure> {
        Some(Figure {
            about,
            unit: unit.to_string(),
            kind,
            value: self.value?,
            u: self.u,
            interval: self.interval,
        })
    }
}
