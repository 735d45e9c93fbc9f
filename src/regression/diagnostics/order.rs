//! Does the order of the runs show?
//!
//! In: a fitted model and the runs in run order. Out: verdicts on neighbouring residuals, and on factors that changed with time.
//! This module never reads a date: run order is all it knows of time.
//!
//! # Source
//! Durbin and Watson, Biometrika 37 (1950), 409-428; Bartlett, J. Royal Statistical Society Supplement 8 (1946), 27-41
//! (standard error of an autocorrelation).

use super::{Diagnostic, NOTHING_LEFT, has_scatter};
use crate::distributions::{chi_squared_upper, t_two_sided};
use crate::regression::data::{FactorValues, FitData};
use crate::regression::fitted::FittedModel;
use crate::regression::params::ValidModel;
use crate::regression::words::quoted;

/// Durbin-Watson and lag-1 correlation of the residuals.
pub(super) fn of_residuals(model: &FittedModel) -> Vec<Diagnostic> {
    let names = [
        "neighbouring residuals (Durbin-Watson)",
        "lag-1 correlation of residuals",
    ];
    let Some(lag1) = model.lag1.filter(|_| has_scatter(model)) else {
        return names
            .map(|name| Diagnostic::new(name, None, NOTHING_LEFT))
            .to_vec();
    };
    let steps: f64 = model
        .residuals
        .windows(2)
        .map(|pair| (pair[1] - pair[0]).powi(2))
        .sum();
    let squares: f64 = model.residuals.iter().map(|e| e * e).sum();
    // Without correlation, lag 1 is about normal with standard error 1/√n.
    let p = chi_squared_upper(lag1 * lag1 * model.runs.len() as f64, 1.0);
    let verdict = match p {
        Some(p) if p < 1.0 - model.confidence && lag1 > 0.0 => {
            "neighbouring runs err the same way: something drifts, or several runs share an error; intervals are too narrow"
        }
        Some(p) if p < 1.0 - model.confidence => {
            "neighbouring runs err in opposite ways: something is corrected too far from run to run, or two set-ups alternate"
        }
        _ => "neighbouring runs err independently as far as so many runs can tell",
    };
    vec![
        Diagnostic::new(
            names[0],
            Some(steps / squares),
            format!("{verdict}; 2 means no connection, 0 the same error, 4 opposite errors"),
        ),
        Diagnostic::new(names[1], Some(lag1), verdict).with_p(p),
    ]
}

/// The factor that went most with the order of the runs.
///
/// Largest correlation between the place of a run and an amount, or being at a level; its chance counts once for each that was looked at.
pub(super) fn of_factors(valid: &ValidModel, model: &FittedModel, data: &FitData) -> Diagnostic {
    let name = "factor that changed along with time";
    let params = valid.params();
    let used = |name: &String| {
        params.effects.contains(name) || params.joint.iter().flatten().any(|n| n == name)
    };
    let mut found: Vec<(String, f64)> = Vec::new();
    for factor in data.factors.iter().filter(|factor| used(&factor.name)) {
        match &factor.values {
            FactorValues::Amount(values) => {
                found.extend(with_time(values).map(|r| (quoted(&factor.name), r)));
            }
            FactorValues::Choice { levels, codes } => {
                for (level, level_name) in levels.iter().enumerate() {
                    let here: Vec<f64> = codes
                        .iter()
                        .map(|&code| f64::from(u8::from(code == level)))
                        .collect();
                    let shown = quoted(&format!("{}: {level_name}", factor.name));
                    found.extend(with_time(&here).map(|r| (shown, r)));
                }
            }
        }
    }
    let looked_at = found.len() as f64;
    let largest = found
        .into_iter()
        .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    let Some((shown, correlation)) = largest else {
        return Diagnostic::new(
            name,
            None,
            "cannot be judged: no factor of the model changed, or there are too few runs",
        );
    };
    let df = data.runs.len() as f64 - 2.0;
    let p = if correlation.abs() >= 1.0 {
        Some(0.0)
    } else {
        t_two_sided(
            correlation * (df / (1.0 - correlation * correlation)).sqrt(),
            df,
        )
    };
    let p = p.map(|p| (p * looked_at).min(1.0));
    let verdict = if p.is_some_and(|p| p < 1.0 - model.confidence) {
        format!(
            "{shown} changed along with the order of the runs: whatever drifted in that time counts as its effect; mix the order of the next runs"
        )
    } else {
        format!(
            "no factor went with the order of the runs more than chance explains; {shown} did most"
        )
    };
    Diagnostic::new(name, Some(correlation), verdict).with_p(p)
}

/// Correlation with the place in run order; None if nothing changed or there are fewer than three runs.
fn with_time(values: &[f64]) -> Option<f64> {
    let count = values.len() as f64;
    if values.len() < 3 {
        return None;
    }
    let mean = values.iter().sum::<f64>() / count;
    let middle = (count - 1.0) / 2.0;
    let (mut product, mut squares, mut places) = (0.0, 0.0, 0.0);
    for (place, value) in values.iter().enumerate() {
        let (x, t) = (value - mean, place as f64 - middle);
        product += x * t;
        squares += x * x;
        places += t * t;
    }
    let changed = values.iter().any(|value| *value != values[0]);
    let correlation = product / (squares.sqrt() * places.sqrt());
    (changed && correlation.is_finite()).then(|| correlation.clamp(-1.0, 1.0))
}
