//! The order of the runs: neighbouring residuals, and factors that changed with time.
//!
//! In: a fitted model and the runs in run order. Out: readings of neighbouring residuals, and of factors that changed with time.
//! This module never reads a date: run order is all it knows of time.
//!
//! # Source
//! Durbin and Watson, Biometrika 37 (1950), 409-428; Bartlett, J. Royal Statistical Society Supplement 8 (1946), 27-41
//! (standard error of an autocorrelation).

use super::{Changing, Diagnostic, DiagnosticKind, Reading, WhyNot, has_scatter, is_beyond_chance};
use crate::distributions::{chi_squared_upper, t_two_sided};
use crate::regression::asked::{Factor, FactorValues, FitData, ValidModel};
use crate::regression::model::FittedModel;

/// Durbin-Watson and lag-1 correlation of the residuals.
pub(super) fn of_residuals(model: &FittedModel) -> Vec<Diagnostic> {
    let Some(lag1) = model.lag1.filter(|_| has_scatter(model)) else {
        return [DiagnosticKind::Neighbours, DiagnosticKind::LagOne]
            .map(|what| Diagnostic::not_judged(what, WhyNot::NoScatter))
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
    let reading = if !is_beyond_chance(p, model) {
        Reading::NeighboursIndependent
    } else if lag1 > 0.0 {
        Reading::NeighboursAlike
    } else {
        Reading::NeighboursOpposite
    };
    vec![
        Diagnostic::new(DiagnosticKind::Neighbours, steps / squares, reading.clone()),
        Diagnostic::new(DiagnosticKind::LagOne, lag1, reading).with_p(p),
    ]
}

/// The factors that went with the order of the runs, the one that did most first.
///
/// Correlation between the place of a run and an amount, or being at a level; each chance counts once for each that was looked at.
pub(super) fn of_factors(valid: &ValidModel, model: &FittedModel, data: &FitData) -> Diagnostic {
    let what = DiagnosticKind::AlongWithTime;
    let params = valid.params();
    let used = |name: &String| {
        params.effects.contains(name) || params.joint.iter().flatten().any(|n| n == name)
    };
    let factors = data.factors.iter().filter(|factor| used(&factor.name));
    let found: Vec<(Changing, f64)> = factors
        .flat_map(changing)
        .filter_map(|(what, values)| Some((what, with_time(&values)?)))
        .collect();
    let looked_at = found.len() as f64;
    let df = data.runs.len() as f64 - 2.0;
    let chance = |correlation: f64| {
        let t = correlation * (df / (1.0 - correlation * correlation)).sqrt();
        let p = if correlation.abs() >= 1.0 {
            Some(0.0)
        } else {
            t_two_sided(t, df)
        };
        p.map(|p| (p * looked_at).min(1.0))
    };
    let mut found = found;
    // Those that went as far stay in their order.
    found.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    let Some((most, correlation)) = found.first().cloned() else {
        return Diagnostic::not_judged(what, WhyNot::NothingChanged);
    };
    let went = found
        .into_iter()
        .filter(|(_, correlation)| is_beyond_chance(chance(*correlation), model));
    let went: Vec<Changing> = went.map(|(what, _)| what).collect();
    let reading = if went.is_empty() {
        Reading::NoneWentWithOrder(most)
    } else {
        Reading::WentWithOrder(went)
    };
    Diagnostic::new(what, correlation, reading).with_p(chance(correlation))
}

/// What of a factor may change from run to run: an amount, or for each level of a choice being at it, as 1 or 0.
fn changing(factor: &Factor) -> Vec<(Changing, Vec<f64>)> {
    let name = || factor.name.clone();
    let (levels, codes) = match &factor.values {
        FactorValues::Amount(values) => {
            return vec![(Changing::Amount { factor: name() }, values.clone())];
        }
        FactorValues::Choice { levels, codes } => (levels, codes),
    };
    let of_level = |(position, level): (usize, &String)| {
        let at_level = Changing::Level {
            factor: name(),
            level: level.clone(),
        };
        let here = codes
            .iter()
            .map(|&code| f64::from(u8::from(code == position)));
        (at_level, here.collect())
    };
    levels.iter().enumerate().map(of_level).collect()
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
