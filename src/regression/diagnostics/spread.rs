//! Is the scatter the same at all settings?
//!
//! In: a checked model, its fit and the runs. Out: the studentised Breusch-Pagan figure and what it says.
//! This module never weights a run.
//!
//! # Source
//! Breusch and Pagan, Econometrica 47 (1979), 1287-1294; studentised: Koenker, J. Econometrics 17 (1981), 107-112.

use super::{Diagnostic, DiagnosticKind, Reading, WhyNot, has_scatter};
use crate::distributions::chi_squared_upper;
use crate::regression::algebra::{dot, triangle};
use crate::regression::asked::{FitData, ValidModel};
use crate::regression::design::{Basis, Coding};
use crate::regression::model::FittedModel;

/// A figure and the terms that it rests on.
struct Spread {
    figure: f64,
    terms: f64,
}

/// What the spread of the residuals says.
pub(super) fn diagnose(valid: &ValidModel, model: &FittedModel, data: &FitData) -> Diagnostic {
    let what = DiagnosticKind::EvenSpread;
    if !has_scatter(model) {
        return Diagnostic::not_judged(what, WhyNot::NoScatter);
    }
    let Some(found) = spread(valid, model, data) else {
        return Diagnostic::not_judged(what, WhyNot::ConstantAlone);
    };
    let p = chi_squared_upper(found.figure, found.terms);
    let reading = if p.is_some_and(|p| p < 1.0 - model.confidence) {
        Reading::SpreadChanges
    } else {
        Reading::SpreadEven
    };
    Diagnostic::new(what, found.figure, reading).with_p(p)
}

/// `n R²` of the squared residuals regressed on the terms and a constant; about chi-squared with as many degrees of freedom as terms.
fn spread(valid: &ValidModel, model: &FittedModel, data: &FitData) -> Option<Spread> {
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
    (terms > 0.0 && whole > 0.0).then(|| Spread {
        figure: runs as f64 * (explained / whole).min(1.0),
        terms,
    })
}
