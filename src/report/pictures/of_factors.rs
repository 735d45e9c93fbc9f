//! Pictures of a response over one factor, everything else at the reference mix.
//!
//! In: what a model says over a factor. Out: one [`Picture`] each.
//! This module never computes more than the unit that an axis shows.

use super::parts::{along, estimate_bar, on_axis};
use crate::campaign::Campaign;
use crate::charts::{CurveChart, CurvePoint, Level, LevelChart, ScatterPoint, Slot};
use crate::error::Error;
use crate::regression::{At, FittedModel, OverFactor};
use crate::report::effects::words::picture_over;
use crate::report::print::numbers::fixed;
use crate::report::print::untold_terms::mix;
use crate::report::print::{Picture, Shown};

/// The picture of one response over each factor of its model; `file` stands for the response in the names of the files.
pub(super) fn over_factors(
    campaign: &Campaign,
    model: &FittedModel,
    over: &[OverFactor],
    file: &str,
) -> Result<Vec<Picture>, Error> {
    let each = over.iter().enumerate();
    each.map(|(position, over)| {
        let question = question(campaign, &model.response, over);
        Ok(Picture {
            name: picture_over(&model.response, &over.factor),
            file: format!("over-{file}-{}.svg", position + 1),
            svg: picture(campaign, model, over)?,
            caption: format!(
                "Expected {} with its {} % interval; each run stands where it would with all else at the reference mix ({}).",
                model.response,
                fixed(100.0 * model.confidence, 0),
                mix(&over.mix, &|name| campaign.called(name))
            ),
            question,
        })
    })
    .collect()
}

fn question(campaign: &Campaign, response: &str, over: &OverFactor) -> String {
    let [response, factor] = [response, &over.factor].map(|name| campaign.called(name));
    format!("How does {response} go with {factor}?")
}

/// The picture alone, as an SVG document.
///
/// # Errors
/// What a chart cannot draw.
pub fn picture(
    campaign: &Campaign,
    model: &FittedModel,
    over: &OverFactor,
) -> Result<String, Error> {
    let shown = Shown::of(&model.unit);
    let y_label = format!("{} / {}", model.response, on_axis(&shown.unit));
    let question = question(campaign, &model.response, over);
    let levels = over.means.iter().filter_map(|mean| match &mean.at {
        At::Amount(_) => None,
        At::Level(level) => Some((level, mean.mean.as_ref().ok())),
    });
    let levels: Vec<Slot<Level>> = levels
        .map(|(level, mean)| {
            let runs = over.runs.iter();
            let here = runs.filter(|run| matches!(&run.at, At::Level(of) if of == level));
            Slot {
                name: level.clone(),
                group: None,
                shown: Level {
                    mean: mean.map(|mean| estimate_bar(mean, &shown)),
                    points: here.map(|run| shown.value(run.response)).collect(),
                    ..Level::default()
                },
            }
        })
        .collect();
    if !levels.is_empty() {
        let interval = "adjusted mean with its interval".into();
        return LevelChart {
            question,
            y_label,
            levels,
            failing: String::new(),
            interval,
        }
        .svg();
    }
    let curve = over.means.iter().filter_map(|mean| match &mean.at {
        At::Level(_) => None,
        At::Amount(x) => {
            let bar = estimate_bar(mean.mean.as_ref().ok()?, &shown);
            Some(CurvePoint {
                x: *x,
                middle: bar.value,
                low: bar.low,
                high: bar.high,
            })
        }
    });
    let points = over.runs.iter().filter_map(|run| match &run.at {
        At::Level(_) => None,
        At::Amount(x) => Some(ScatterPoint {
            x: *x,
            y: shown.value(run.response),
            x_bar: None,
            y_bar: None,
            name: None,
        }),
    });
    CurveChart {
        question,
        x_label: along(&campaign.called(&over.factor), &over.unit),
        y_label,
        curve: curve.collect(),
        points: points.collect(),
        band: "interval of the mean".into(),
        vertical: Vec::new(),
    }
    .svg()
}
