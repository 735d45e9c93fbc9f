//! Diagnostics as people read them.
//!
//! In: [`Diagnostic`]s. Out: their names and readings as sentences without a last full stop; names between backticks, not escaped.
//! This module never judges a figure, and takes each bound that it states from the code that judges by it.

mod sentences;

#[cfg(test)]
mod tests;

use crate::regression::{Diagnostic, DiagnosticKind, Standing};
use sentences::{SCALE_OF_NEIGHBOURS, reading_text};

/// What the figure is, in full.
pub(super) fn name_text(kind: DiagnosticKind) -> &'static str {
    match kind {
        DiagnosticKind::LargestResidual => "largest studentised residual",
        DiagnosticKind::LargestLeverage => "largest leverage",
        DiagnosticKind::LargestDistance => "largest Cook's distance",
        DiagnosticKind::LackOfFit => "lack of fit against replicates",
        DiagnosticKind::Normality => "normal residuals (Shapiro-Wilk)",
        DiagnosticKind::EvenSpread => "even spread (Breusch-Pagan, studentised)",
        DiagnosticKind::Neighbours => "neighbouring residuals (Durbin-Watson)",
        DiagnosticKind::LagOne => "lag-1 correlation of residuals",
        DiagnosticKind::AlongWithTime => "factor that changed along with time",
        DiagnosticKind::VarianceInflation => "largest variance inflation factor",
        DiagnosticKind::ConditionIndex => "largest condition index",
        DiagnosticKind::RestsOnOneRun => "decisions that rest on one run",
    }
}

/// Whether it calls for a look, as scripts read it.
pub(super) fn standing_key(standing: Standing) -> &'static str {
    match standing {
        Standing::Fine => "fine",
        Standing::Noticed => "noticed",
        Standing::Failed => "failed",
        Standing::NotJudged => "not_judged",
    }
}

/// What it says, one sentence or more.
pub(super) fn verdict_text(diagnostic: &Diagnostic) -> String {
    let said = reading_text(&diagnostic.reading);
    let judged = diagnostic.standing() != Standing::NotJudged;
    if judged && diagnostic.what == DiagnosticKind::Neighbours {
        format!("{said}; {}", SCALE_OF_NEIGHBOURS)
    } else {
        said
    }
}
