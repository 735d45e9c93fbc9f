//! Pictures of what several campaigns say together: each effect in each campaign beside the common one.
//!
//! In: what was found. Out: [`Picture`]s.
//! This module never computes more than the unit that an axis shows.

use super::words::shown;
use crate::charts::{Bar, EffectChart, EffectRow, described};
use crate::error::Error;
use crate::regression::Interval;
use crate::report::print::{Picture, Shown, fixed};
use crate::together::{OfResponse, SharedEffect, Together};

/// The name of the picture of an effect, by the positions of response and effect.
pub(super) fn name(response: usize, effect: usize) -> String {
    format!("effect-{}-{}", response + 1, effect + 1)
}

pub(super) fn pictures(found: &Together) -> Result<Vec<Picture>, Error> {
    let mut pictures = Vec::new();
    for (response, of) in found.responses.iter().enumerate() {
        for (place, effect) in of.effects.iter().enumerate() {
            pictures.push(picture(found, of, effect, name(response, place))?);
        }
    }
    Ok(pictures)
}

fn picture(
    found: &Together,
    of: &OfResponse,
    effect: &SharedEffect,
    name: String,
) -> Result<Picture, Error> {
    let shown = shown(of);
    let own = found.titles.iter().zip(&effect.own);
    let own = own.filter_map(|(title, own)| {
        let own = own.as_ref()?;
        Some(row("alone", title, own.value, own.interval, &shown))
    });
    let common = effect.common.as_ref();
    let common = common.map(|term| {
        row(
            "together",
            "the same in all",
            term.value,
            term.interval,
            &shown,
        )
    });
    let across = effect
        .across
        .as_ref()
        .filter(|_| effect.across_interval.is_some());
    let across = across.map(|across| {
        let ends = effect.across_interval;
        row("together", "another in each", across.value, ends, &shown)
    });
    let percent = fixed(100.0 * found.confidence, 0);
    let response = &of.model.response;
    let per = match effect.per.as_str() {
        "" => String::new(),
        per => format!(" per {per}"),
    };
    let chart = EffectChart {
        question: format!(
            "What does {} do to {response} in each campaign?",
            effect.name
        ),
        x_label: format!("change of {response} / {}{per}", shown.difference),
        rows: own.chain(common).chain(across).collect(),
        interval: format!("bars: {percent} % intervals"),
    };
    let caption = format!(
        "Above each campaign alone, below all together: if the effect is the same in all, and if it may be another in each; bars are {percent} % intervals."
    );
    Ok(Picture {
        file: format!("{name}.svg"),
        name,
        svg: described(&chart.svg()?, &caption),
        question: chart.question,
        caption,
    })
}

fn row(group: &str, label: &str, value: f64, ends: Option<Interval>, shown: &Shown) -> EffectRow {
    EffectRow {
        group: group.into(),
        label: label.into(),
        bar: Bar {
            value: shown.value(value),
            low: shown.value(ends.map_or(value, |ends| ends.low)),
            high: shown.value(ends.map_or(value, |ends| ends.high)),
        },
    }
}
