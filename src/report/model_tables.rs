//! The tables of models as CSV rows.
//!
//! In: an analysis. Out: rows of terms, effects, adjusted means and tests.
//! This module never writes a heading: [`super::tables`] does.

use super::escape::csv;
use super::numbers::committed;
use super::tables::optional;
use super::words::{chart_label, reading};
use crate::pipeline::Analysis;
use crate::regression::ResponseScale;

pub(super) fn terms(analysis: &Analysis) -> Vec<Vec<String>> {
    analysis
        .models
        .models()
        .flat_map(|model| {
            model.terms.iter().map(|term| {
                vec![
                    csv(&model.response),
                    match model.scale {
                        ResponseScale::Plain => csv(&model.unit),
                        ResponseScale::Logit => csv("logit"),
                    },
                    csv(&term.term),
                    committed(term.value),
                    optional(term.standard_error),
                    committed(term.degrees_of_freedom),
                    optional(term.t),
                    optional(term.p),
                    optional(term.interval.map(|ends| ends.low)),
                    optional(term.interval.map(|ends| ends.high)),
                ]
            })
        })
        .collect()
}

pub(super) fn effects(analysis: &Analysis) -> Vec<Vec<String>> {
    analysis
        .answers
        .moves
        .iter()
        .flat_map(|moves| {
            moves.effects.iter().map(|effect| {
                let estimate = effect.estimate.as_ref().ok();
                let interval = estimate.and_then(|e| e.interval);
                vec![
                    csv(&moves.response),
                    csv(&moves.unit),
                    csv(&format!("{}: {}", effect.factor, chart_label(effect))),
                    optional(estimate.map(|e| e.value)),
                    optional(estimate.and_then(|e| e.standard_error)),
                    optional(interval.map(|ends| ends.low)),
                    optional(interval.map(|ends| ends.high)),
                    optional(estimate.and_then(|e| e.p)),
                    csv(reading(effect.verdict)),
                ]
            })
        })
        .collect()
}

pub(super) fn means(analysis: &Analysis) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    for model in analysis.models.models() {
        for means in &model.adjusted_means {
            for level in &means.levels {
                let mean = level.mean.as_ref();
                rows.push(vec![
                    csv(&model.response),
                    csv(&means.factor),
                    csv(&level.level),
                    optional(mean.map(|m| m.value)),
                    optional(mean.and_then(|m| m.standard_error)),
                    optional(mean.and_then(|m| m.interval).map(|ends| ends.low)),
                    optional(mean.and_then(|m| m.interval).map(|ends| ends.high)),
                ]);
            }
        }
    }
    rows
}

pub(super) fn tests(analysis: &Analysis) -> Vec<Vec<String>> {
    analysis
        .models
        .models()
        .flat_map(|model| {
            model.tests.iter().map(|test| {
                vec![
                    csv(&model.response),
                    csv(&test.factor),
                    test.df.to_string(),
                    committed(test.ss),
                    optional(test.f),
                    optional(test.p),
                ]
            })
        })
        .collect()
}
