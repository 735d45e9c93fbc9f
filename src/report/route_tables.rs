//! The tables of question 4.
//!
//! In: the routes compared, and how names are made harmless. Out: [`Cells`] for a page or a terminal.
//! This module never leaves a cell empty: where there is no figure, a dash stands.

use super::aim_words::Naming;
use super::numbers::{fixed, probability};
use super::reasons::no_mean;
use super::shown::Shown;
use crate::decide::{NoMean, RouteLevel, Routes};
use crate::regression::{Estimate, Interval};

/// Headings and rows; a heading that begins with `>` stands over numbers.
pub(super) struct Cells {
    pub headings: Vec<String>,
    pub rows: Vec<Vec<String>>,
}

/// What each route gives.
pub(super) fn given(routes: &Routes, naming: Naming) -> Cells {
    let fraction = Shown::of("1");
    let any = |of: &dyn Fn(&RouteLevel) -> bool| routes.levels.iter().any(of);
    let costs = any(&|level| level.mean_cost.is_ok());
    let labour = any(&|level| level.mean_labour.is_ok());
    let ceilings = any(&|level| level.of_ceiling.is_some());
    let mut headings = vec!["route", ">runs", ">adjusted mean yield"];
    if ceilings {
        headings.push(">of its ceiling");
    }
    headings.extend([">adjusted mean purity", ">runs that met the specification"]);
    if costs {
        headings.push(">adjusted mean cost");
    }
    headings.push(if labour {
        ">adjusted mean labour of one run"
    } else {
        ">labour of one run, middle"
    });
    let rows = routes
        .levels
        .iter()
        .map(|level| {
            let mean = |mean: &Result<Estimate, NoMean>, shown: &Shown| match mean {
                Ok(mean) => shown.mean(mean),
                Err(reason) => naming(&no_mean(reason)),
            };
            let mut row = vec![
                naming(&level.level),
                level.yields.len().to_string(),
                mean(&level.mean_yield, &fraction),
            ];
            if ceilings {
                let part = level.of_ceiling.as_ref();
                row.push(or_dash(part.map(|part| fraction.mean(part))));
            }
            row.extend([
                mean(&level.mean_purity, &fraction),
                or_dash(
                    level
                        .meets_spec
                        .map(|met| format!("{met} of {}", level.purity_runs)),
                ),
            ]);
            if costs {
                row.push(mean(&level.mean_cost, &Shown::of(&level.cost_unit)));
            }
            row.push(if labour {
                mean(&level.mean_labour, &Shown::of("min"))
            } else {
                or_dash(
                    level
                        .labour
                        .map(|minutes| format!("{} min", fixed(minutes, 0))),
                )
            });
            row
        })
        .collect();
    Cells {
        headings: headings.into_iter().map(str::to_string).collect(),
        rows,
    }
}

/// How likely each route is the best, and meets the specification.
pub(super) fn chances(routes: &Routes, naming: Naming) -> Cells {
    let asks = routes
        .levels
        .iter()
        .any(|level| level.chance_spec.is_some());
    let mut headings = vec!["route".to_string(), ">chance of being the best".to_string()];
    if asks {
        headings.extend([
            ">the same, whatever the purity".to_string(),
            ">chance that one new run meets the specification".to_string(),
            ">part of all new runs that meet it".to_string(),
            ">chance that enough of them do".to_string(),
        ]);
    }
    let judged = routes
        .levels
        .iter()
        .filter_map(|level| Some((level, level.chance.as_ref()?)));
    let rows = judged
        .map(|(level, chance)| {
            let mut row = vec![naming(&level.level), probability(chance.best)];
            if asks {
                row.extend([
                    probability(chance.best_without_spec),
                    or_dash(level.chance_spec.map(probability)),
                    or_dash(chance.share.map(share)),
                    probability(chance.allowed),
                ]);
            }
            row
        })
        .collect();
    Cells { headings, rows }
}

fn share(ends: Interval) -> String {
    // Half a percent at either end would be printed as certainty.
    if ends.low >= 0.99 {
        return "above 99 %".into();
    }
    if ends.high <= 0.01 {
        return "below 1 %".into();
    }
    format!(
        "{} to {} %",
        fixed(100.0 * ends.low, 0),
        fixed(100.0 * ends.high, 0)
    )
}

fn or_dash(text: Option<String>) -> String {
    text.unwrap_or_else(|| "–".into())
}
