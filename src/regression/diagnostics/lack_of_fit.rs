//! Do the terms describe the runs as well as repeats agree among themselves?
//!
//! In: a fitted model and which runs repeat one another. Out: the ratio of the two scatters and what it says.
//! This module never decides what counts as a repeat.
//!
//! # Source
//! Draper and Smith, Applied Regression Analysis, 3rd ed. 1998, 2.1.

use super::{Diagnostic, DiagnosticKind, Reading, WhyNot, has_scatter};
use crate::distributions::f_upper;
use crate::regression::asked::FitData;
use crate::regression::model::FittedModel;

/// `F = ((SS − SS_repeats)/(df − df_repeats)) / (SS_repeats/df_repeats)`.
pub(super) fn diagnose(
    model: &FittedModel,
    data: &FitData,
    replicates: &[Vec<usize>],
) -> Diagnostic {
    let not_judged = |why| Diagnostic::not_judged(DiagnosticKind::LackOfFit, why);
    if !has_scatter(model) {
        return not_judged(WhyNot::NoScatter);
    }
    let (mut repeats, mut repeats_df) = (0.0, 0.0);
    let mut runs = Vec::new();
    for group in replicates {
        let known: Vec<usize> = group
            .iter()
            .copied()
            .filter(|&run| run < data.runs.len())
            .collect();
        if known.len() < 2 {
            continue;
        }
        let mean = known.iter().map(|&run| data.response[run]).sum::<f64>() / known.len() as f64;
        repeats += known
            .iter()
            .map(|&run| (data.response[run] - mean).powi(2))
            .sum::<f64>();
        repeats_df += known.len() as f64 - 1.0;
        runs.extend(known.iter().map(|&run| data.runs[run].clone()));
    }
    let squares: f64 = model.residuals.iter().map(|e| e * e).sum();
    let lack_df = model.residual_df as f64 - repeats_df;
    if repeats_df == 0.0 {
        return not_judged(WhyNot::NoRepeats);
    }
    if lack_df <= 0.0 {
        return not_judged(WhyNot::TermForEverySetting);
    }
    if repeats == 0.0 {
        return not_judged(WhyNot::RepeatsAgreeExactly);
    }
    // Repeats that differ a little in their settings may scatter more than the residuals.
    let ratio = ((squares - repeats).max(0.0) / lack_df) / (repeats / repeats_df);
    let p = f_upper(ratio, lack_df, repeats_df);
    let reading = if p.is_some_and(|p| p < 1.0 - model.confidence) {
        Reading::TermMissing
    } else {
        Reading::NoTermMissing
    };
    Diagnostic::new(DiagnosticKind::LackOfFit, ratio, reading)
        .with_p(p)
        .about(runs)
}
