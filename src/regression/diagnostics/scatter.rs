//! The scatter about a model: against that among repeats, and whether it is the same at all settings.
//!
//! In: a checked model, its fit, the runs, and which of them repeat one another. Out: the ratio of the two scatters, the
//! studentised Breusch-Pagan figure, and what they say.
//! This module never decides what counts as a repeat, and never weights a run.
//!
//! # Source
//! Draper and Smith, Applied Regression Analysis, 3rd ed. 1998, 2.1 (lack of fit);
//! Breusch and Pagan, Econometrica 47 (1979), 1287-1294; studentised: Koenker, J. Econometrics 17 (1981), 107-112.

use super::{Diagnostic, DiagnosticKind, Reading, WhyNot, has_scatter, is_beyond_chance};
use crate::distributions::{chi_squared_upper, f_upper, mean};
use crate::regression::algebra::{dot, triangle};
use crate::regression::asked::{Factor, FitData, ValidModel};
use crate::regression::design::{Basis, Coding};
use crate::regression::model::FittedModel;

/// Whether the terms describe the runs as well as repeats agree among themselves.
///
/// `F = ((SS − SS_repeats)/(df − df_repeats)) / (SS_repeats/df_repeats)`. Repeats share the levels of blocks, so that `SS` is what
/// terms and blocks leave: else blocks that differ look like a term that is missing.
pub(super) fn among_repeats(
    valid: &ValidModel,
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
        let known = group.iter().copied().filter(|&run| run < data.runs.len());
        let known: Vec<usize> = known.collect();
        if known.len() < 2 {
            continue;
        }
        let responses = known.iter().map(|&run| data.response[run]);
        let mean = responses.clone().sum::<f64>() / known.len() as f64;
        repeats += responses.map(|y| (y - mean).powi(2)).sum::<f64>();
        repeats_df += known.len() as f64 - 1.0;
        runs.extend(known.iter().map(|&run| data.runs[run].clone()));
    }
    let (squares, residual_df) = within_blocks(valid, data).unwrap_or_else(|| {
        let squares = model.residuals.iter().map(|e| e * e).sum();
        (squares, model.residual_df as f64)
    });
    let lack_df = residual_df - repeats_df;
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
    let reading = if is_beyond_chance(p, model) {
        Reading::TermMissing
    } else {
        Reading::NoTermMissing
    };
    Diagnostic::new(DiagnosticKind::LackOfFit, ratio, reading)
        .with_p(p)
        .about(runs)
}

/// What terms and blocks together leave of the responses, with its degrees of freedom; `None` without blocks.
fn within_blocks(valid: &ValidModel, data: &FitData) -> Option<(f64, f64)> {
    let design = valid.design(data).ok()?;
    let blocks: Vec<&Factor> = design.blocks.iter().map(|of| &data.factors[*of]).collect();
    if blocks.is_empty() {
        return None;
    }
    let coding = Coding::new(&design, &data.factors);
    let terms = design.columns.len();
    let levels: usize = blocks.iter().map(|block| block.levels().len()).sum();
    let (width, runs) = (terms + levels, data.runs.len());
    let middle = mean(&data.response);
    let upper = triangle(runs, width + 1, |run, row| {
        coding.row(&design, data, run, &mut row[..terms]);
        row[terms..width].fill(0.0);
        let mut first = terms;
        for block in &blocks {
            row[first + block.codes()[run]] = 1.0;
            first += block.levels().len();
        }
        row[width] = data.response[run] - middle;
    });
    let reduced = Basis::of(&upper, width);
    let whole = data.response.iter().map(|y| (y - middle).powi(2));
    let left = whole.sum::<f64>() - dot(&reduced.right, &reduced.right);
    Some((left.max(0.0), (runs - reduced.basis.rank()) as f64))
}

/// What the spread of the residuals says.
pub(super) fn evenness(valid: &ValidModel, model: &FittedModel, data: &FitData) -> Diagnostic {
    let what = DiagnosticKind::EvenSpread;
    if !has_scatter(model) {
        return Diagnostic::not_judged(what, WhyNot::NoScatter);
    }
    let Some([figure, terms]) = breusch_pagan(valid, model, data) else {
        return Diagnostic::not_judged(what, WhyNot::ConstantAlone);
    };
    let p = chi_squared_upper(figure, terms);
    let reading = if is_beyond_chance(p, model) {
        Reading::SpreadChanges
    } else {
        Reading::SpreadEven
    };
    Diagnostic::new(what, figure, reading).with_p(p)
}

/// `n R²` of the squared residuals regressed on the terms and a constant, with the number of terms: it is about chi-squared
/// with as many degrees of freedom.
fn breusch_pagan(valid: &ValidModel, model: &FittedModel, data: &FitData) -> Option<[f64; 2]> {
    let design = valid.design(data).ok()?;
    let coding = Coding::new(&design, &data.factors);
    // The mean square must be free, whether or not the model has a constant.
    let own = usize::from(design.constant_column().is_none());
    let width = own + design.columns.len();
    let runs = model.residuals.len();
    let squares: Vec<f64> = model.residuals.iter().map(|e| e * e).collect();
    let mean = squares.iter().sum::<f64>() / runs as f64;
    let upper = triangle(runs, width + 1, |run, row| {
        row[..own].fill(1.0);
        coding.row(&design, data, run, &mut row[own..width]);
        row[width] = squares[run] - mean;
    });
    let reduced = Basis::of(&upper, width);
    let whole: f64 = squares.iter().map(|square| (square - mean).powi(2)).sum();
    let explained = dot(&reduced.right, &reduced.right);
    let terms = reduced.basis.rank() as f64 - 1.0;
    let figure = runs as f64 * (explained / whole).min(1.0);
    (terms > 0.0 && whole > 0.0).then_some([figure, terms])
}
