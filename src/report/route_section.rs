//! Question 4: which recovery route is best?
//!
//! In: the routes compared. Out: its section of the report.
//! This module never compares two routes itself.

use super::escape::markdown;
use super::numbers::{fixed, plain, probability};
use super::page::Page;
use super::pictures::Pictures;
use super::sections::picture;
use super::shown::Shown;
use super::words::count;
use crate::decide::Routes;
use crate::pipeline::Analysis;

/// Writes the comparison of the routes.
pub(super) fn route(page: &mut Page, analysis: &Analysis, routes: &Routes, pictures: &Pictures) {
    let shown = Shown::of("1");
    page.heading(2, "4 Which recovery route is best?");
    picture(page, pictures, "routes");
    let mean = |estimate: &Result<crate::regression::Estimate, String>| match estimate {
        Ok(mean) => shown.mean(mean),
        Err(reason) => markdown(reason),
    };
    let spec = analysis.campaign.purity_spec;
    let rows: Vec<Vec<String>> = routes
        .levels
        .iter()
        .map(|level| {
            let of_ceiling = match (&level.mean_yield, level.ceiling) {
                (Ok(mean), Some(ceiling)) => {
                    format!("{} %", fixed(100.0 * mean.value / ceiling, 1))
                }
                _ => "–".into(),
            };
            vec![
                markdown(&level.level),
                level.yields.len().to_string(),
                mean(&level.mean_yield),
                of_ceiling,
                mean(&level.mean_purity),
                level.meets_spec.map_or_else(
                    || "–".into(),
                    |met| format!("{met} of {}", level.purity_runs),
                ),
                level.labour.map_or_else(
                    || "–".into(),
                    |minutes| format!("{} min", fixed(minutes, 0)),
                ),
            ]
        })
        .collect();
    page.table(
        &[
            "route",
            ">runs",
            ">adjusted mean yield",
            ">of its ceiling",
            ">adjusted mean purity",
            ">runs that met the specification",
            ">labour of one run, middle",
        ],
        &rows,
    );
    if let Some(spec) = spec {
        page.paragraph(&format!(
            "The specification is a purity of {} %.",
            plain(100.0 * spec)
        ));
    }
    if let Some(leader) = &routes.leader {
        let items: Vec<String> = routes
            .lead
            .iter()
            .map(|other| match &other.difference {
                Ok(difference) => format!(
                    "{} against {}: {}, chance of such a lead by luck {} with all {} counted",
                    markdown(leader),
                    markdown(&other.against),
                    shown.change(difference),
                    other
                        .adjusted_p
                        .map_or_else(|| "not known".into(), probability),
                    count(routes.pairs, "pair"),
                ),
                Err(reason) => format!(
                    "{} against {}: {}",
                    markdown(leader),
                    markdown(&other.against),
                    markdown(reason)
                ),
            })
            .collect();
        page.list(&items);
    }
}
