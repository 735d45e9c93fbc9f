//! Assays worth repeating, in words and as data.
//!
//! In: figures that open decisions rest on, with their assays. Out: clauses, names as they were logged, and JSON.
//! This module never promises that a decision will be settled.

use serde_json::{Value, json};

use crate::pipeline::{Analysis, OpenAbout, OpenFigure, Repeated};
use crate::report::print::{Shown, capital, decimals_for, fixed, joined, percent, plus_minus};
use crate::report::reasons::{compared, compared_as};

/// An assay with a smaller share of the variance narrows an interval by less than a hundredth and is not named.
const NAMED_FROM: f64 = 0.05;

/// Done once more, an assay with this share of the variance narrows an interval by a sixteenth; one with less is no advice.
const ADVISED_FROM: f64 = 0.25;

/// Most assays that are named of one figure.
const MOST_NAMED: usize = 3;

/// What repeating assays would do to each open figure, then what that is worth; nothing where nothing is open.
pub fn lines(analysis: &Analysis) -> Vec<String> {
    let mut lines: Vec<String> = analysis
        .assays
        .iter()
        .filter_map(|of| line(analysis, of))
        .collect();
    match (analysis.assays.is_empty(), lines.is_empty()) {
        (true, _) => {}
        (_, true) => lines.push(format!(
            "No assay has {} or more of the variance of any figure that an open decision rests on: repeating assays would tell nothing that is open.",
            percent(NAMED_FROM, 0)
        )),
        _ => lines.push("A repeated assay moves the estimate too, so that what an interval would say is known only afterwards.".into()),
    }
    lines
}

fn line(analysis: &Analysis, figure: &OpenFigure) -> Option<String> {
    let shown = Shown::per_kilogram(&figure.unit);
    let half = |half: f64| {
        let half = shown.value(half);
        format!("± {}", fixed(half, decimals_for(half)))
    };
    let of_assay = |of: &Repeated| {
        let [once, twice] = of.half_widths.map(half);
        let then = match of.decides {
            Some(1) => ", and at this estimate once would do to tell",
            Some(_) => ", and at this estimate twice would do to tell",
            None => "",
        };
        format!(
            "{} {} of the variance, made once more {once}, twice more {twice}{then}",
            of.assay,
            percent(of.share, 0)
        )
    };
    let named = figure.assays.iter().filter(|of| of.share >= NAMED_FROM);
    let named: Vec<String> = named.take(MOST_NAMED).map(of_assay).collect();
    (!named.is_empty()).then(|| {
        format!(
            "{}, {} {}: {}.",
            capital(&about(analysis, figure)),
            plus_minus(shown.value(figure.value), shown.value(figure.half_width)),
            shown.difference,
            joined(named, "; ")
        )
    })
}

/// The assay that would tell most of what is open, at the present estimate: `repeat the assay of lot A, ...`.
pub fn in_short(analysis: &Analysis) -> Option<String> {
    let figures = analysis.assays.iter();
    let mut told = figures.flat_map(|figure| figure.assays.iter().map(move |of| (figure, of)));
    let (figure, of) = told.find(|(_, of)| of.share >= ADVISED_FROM && of.decides == Some(1))?;
    Some(format!(
        "Repeat the {}: if the estimate stays, that tells {}",
        of.assay,
        about(analysis, figure)
    ))
}

fn about(analysis: &Analysis, figure: &OpenFigure) -> String {
    match &figure.about {
        OpenAbout::Difference {
            response, compared, ..
        } => format!(
            "{} in {}",
            compared_as(compared, |name| analysis.campaign.called(name)),
            analysis.campaign.called(response)
        ),
        OpenAbout::Gain => "the gain of a charged run".into(),
        OpenAbout::MakeOrBuy => "what making costs more than buying".into(),
    }
}

/// One entry a figure.
pub fn as_data(analysis: &Analysis) -> Value {
    let figures = analysis.assays.iter().map(|figure| {
        let (kind, response, difference) = match &figure.about {
            OpenAbout::Difference {
                response,
                compared: of,
                ..
            } => ("difference", Some(response), Some(compared(of))),
            OpenAbout::Gain => ("gain of residue", None, None),
            OpenAbout::MakeOrBuy => ("make or buy", None, None),
        };
        let assays = figure.assays.iter().map(|of| {
            json!({
                "assay": of.assay,
                "share": of.share,
                "half_width_once_more": of.half_widths[0],
                "half_width_twice_more": of.half_widths[1],
                "would_tell_after": of.decides,
            })
        });
        json!({
            "of": kind,
            "response": response,
            "about": difference,
            "unit": figure.unit,
            "value": figure.value,
            "half_width": figure.half_width,
            "margin": figure.margin,
            "assays": assays.collect::<Value>(),
        })
    });
    figures.collect()
}
