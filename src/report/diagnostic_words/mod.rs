//! How is it said what a diagnostic found?
//!
//! In: [`Diagnostic`]s. Out: their names and readings as sentences without a last full stop; names between backticks, not escaped.
//! This module never judges a figure, and takes each bound that it states from the code that judges by it.

mod collinearity;
mod not_judged;
mod one_run;
mod order;
mod scatter;
mod single_runs;

#[cfg(test)]
mod checks;

use crate::regression::{Diagnostic, DiagnosticKind, Reading, Standing};

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
        format!("{said}; {}", order::SCALE_OF_NEIGHBOURS)
    } else {
        said
    }
}

fn reading_text(reading: &Reading) -> String {
    match reading {
        Reading::NotJudged(why) => not_judged::reason(*why),
        Reading::RunsBeyondChance { furthest, side, .. } => {
            single_runs::beyond_chance(furthest, *side)
        }
        Reading::NoRunBeyondChance { furthest, side } => {
            single_runs::none_beyond_chance(furthest, *side)
        }
        Reading::OnlyRunsWithATerm { runs } => single_runs::only_with_a_term(runs),
        Reading::SettingsFarOff { runs } => single_runs::settings_far_off(runs),
        Reading::SettingsApart { runs } => single_runs::settings_apart(runs),
        Reading::NoSettingsApart => single_runs::no_settings_apart(),
        Reading::RunDecidesFit { run } => single_runs::decides_fit(run),
        Reading::RunPullsFit { run } => single_runs::pulls_fit(run),
        Reading::NoRunPullsFit => single_runs::NONE_PULLS.into(),
        Reading::TermMissing => scatter::TERM_MISSING.into(),
        Reading::NoTermMissing => scatter::NO_TERM_MISSING.into(),
        Reading::NotNormal => scatter::NOT_NORMAL.into(),
        Reading::LooksNormal => scatter::LOOKS_NORMAL.into(),
        Reading::SpreadChanges => scatter::SPREAD_CHANGES.into(),
        Reading::SpreadEven => scatter::SPREAD_EVEN.into(),
        Reading::NeighboursAlike => order::ALIKE.into(),
        Reading::NeighboursOpposite => order::OPPOSITE.into(),
        Reading::NeighboursIndependent => order::INDEPENDENT.into(),
        Reading::WentWithOrder { most } => order::went_with_order(most),
        Reading::NoneWentWithOrder { most } => order::none_went_with_order(most),
        Reading::TermBadlyBlurred { term } => collinearity::badly_blurred(term),
        Reading::TermBlurred { term } => collinearity::blurred(term),
        Reading::NoTermBlurred => collinearity::NONE_BLURRED.into(),
        Reading::StronglyTogether { terms } => collinearity::strongly_together(terms),
        Reading::Together { terms } => collinearity::together(terms),
        Reading::NoneTogether => collinearity::NONE_TOGETHER.into(),
        Reading::SomeRestOnOneRun { decisions } => one_run::some_rest(decisions),
        Reading::NoneRestsOnOneRun => one_run::NONE_RESTS.into(),
    }
}

fn quoted(name: &str) -> String {
    format!("`{name}`")
}

fn all_quoted(names: &[String]) -> Vec<String> {
    names.iter().map(|name| quoted(name)).collect()
}
