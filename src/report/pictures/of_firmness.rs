//! Pictures of answers that differ where the model is fitted otherwise.
//!
//! In: claims with what became of each. Out: [`Picture`]s.
//! This module never draws a second interval: what is fitted otherwise is a mark alone.

use crate::charts::{Bar, EffectChart, EffectRow};
use crate::decide::{Claim, Held, Outcome, Recycling};
use crate::error::Error;
use crate::pipeline::Analysis;
use crate::report::firmness::otherwise_in_short;
use crate::report::print::{Picture, Shown, percent};

/// What a claim is about in a picture.
struct Decided {
    claim: Claim,
    question: &'static str,
    file: &'static str,
    x_label: String,
    /// What turns the figure into the unit of the axis.
    scale: f64,
    /// The figure of the model as asked.
    asked: Bar,
}

/// The figure that decides each claim that does not stand everywhere, in every way of fitting.
pub(super) fn otherwise_fitted(analysis: &Analysis) -> Result<Vec<Picture>, Error> {
    let decided = [residue(analysis), settings(analysis)];
    let drawn = decided.into_iter().flatten().filter_map(|decided| {
        let tested = analysis.firmness.of(decided.claim)?;
        let differs = tested
            .held
            .iter()
            .any(|held| held.outcome != Outcome::Stands);
        differs.then(|| picture(analysis, &decided, &tested.held))
    });
    drawn.collect()
}

fn picture(analysis: &Analysis, decided: &Decided, held: &[Held]) -> Result<Picture, Error> {
    let row = |label: String, bar: Bar| EffectRow {
        group: String::new(),
        label,
        bar,
    };
    let mark = |held: &Held| {
        let value = decided.scale * held.figure?;
        let alone = Bar {
            value,
            low: f64::NAN,
            high: f64::NAN,
        };
        Some(row(otherwise_in_short(&held.how), alone))
    };
    let mut rows = vec![row("as asked".into(), decided.asked.clone())];
    rows.extend(held.iter().filter_map(mark));
    let confidence = percent(analysis.confidence(), 0);
    let chart = EffectChart {
        question: decided.question.into(),
        x_label: decided.x_label.clone(),
        rows,
        interval: format!("bar: {confidence} interval of the model as asked"),
    };
    Ok(Picture {
        name: decided.file.into(),
        file: format!("{}.svg", decided.file),
        svg: chart.svg()?,
        question: chart.question,
        caption: "The figure that decides, in the model as asked with its interval, and where it is fitted otherwise: with a drift, a bend or a joint effect in the model, without single runs, with far-off runs weighed less; sign and firmness must stand everywhere.".into(),
    })
}

fn residue(analysis: &Analysis) -> Option<Decided> {
    let recycling: &Recycling = analysis.findings.recycling.as_ref().ok()?;
    let money = recycling.money.as_ref().ok()?;
    Some(Decided {
        claim: Claim::Residue,
        question: "Does residue pay where the model is fitted otherwise?",
        file: "residue-fitted-otherwise",
        x_label: format!("gain of a charged run / {}", money.currency),
        scale: 1.0,
        asked: Bar {
            value: money.gain.value,
            low: money.gain.low,
            high: money.gain.high,
        },
    })
}

fn settings(analysis: &Analysis) -> Option<Decided> {
    let best = analysis.findings.settings.as_ref()?.as_ref().ok()?;
    let gain = best.present.as_ref()?.gain.as_ref()?;
    let shown = Shown::of(&best.aim.unit);
    let ends = gain.interval?;
    let [value, low, high] = [gain.value, ends.low, ends.high].map(|x| shown.value(x));
    Some(Decided {
        claim: Claim::Settings,
        question: "Are the settings better than the best run where the model is fitted otherwise?",
        file: "settings-fitted-otherwise",
        x_label: format!("better than the best run made / {}", shown.difference),
        scale: shown.value(1.0),
        asked: Bar { value, low, high },
    })
}
