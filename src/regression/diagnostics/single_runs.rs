//! Single runs that stand out or decide the fit: residual, leverage, distance.
//!
//! In: a fitted model. Out: [`RunInfluence`] of each run, and three readings.
//! This module never leaves a run out.
//!
//! # Source
//! Cook and Weisberg, Residuals and Influence in Regression, 1982, 2.2.1 (residuals) and 3.5.1 (distance);
//! Belsley, Kuh and Welsch, Regression Diagnostics, 1980, 2.1 (leverage).

use super::{
    Diagnostic, DiagnosticKind, Reading, SideOfModel, WhyNot, has_scatter, is_beyond_chance,
};
use crate::distributions::{f_for_tail, t_two_sided};
use crate::regression::model::FittedModel;

/// A run with a leverage above `1 −` this is fitted by itself alone: its residual is rounding.
const FITTED_ALONE: f64 = 1e-10;

/// Settings stand far from the others when the leverage exceeds so many times the average: common practice, no source.
pub const FAR_LEVERAGE: f64 = 3.0;

/// Settings stand somewhat apart when the leverage exceeds so many times the average (Belsley, Kuh and Welsch, 2.1).
pub const APART_LEVERAGE: f64 = 2.0;

/// A run pulls the fit when its distance exceeds this over the number of runs: common practice, no source.
pub const PULLING_DISTANCE: f64 = 4.0;

/// Coverage of the joint region of the fit beyond whose edge no single run should move it (Cook's yardstick).
pub const OWN_REGION: f64 = 0.5;

/// How one run stands to the fit.
#[derive(Debug, Clone, PartialEq)]
pub struct RunInfluence {
    /// Name of the run.
    pub run: String,
    /// Externally studentised residual: the residual over its standard error, the scatter taken from all other runs.
    pub studentised: Option<f64>,
    /// Weight of the run in its own fitted value, between 0 and 1.
    pub leverage: f64,
    /// Cook's distance: how far all fitted values move when the run is left out.
    pub distance: Option<f64>,
}

/// How each run stands to a plain fit, in run order; of a measured fit, and on the logit scale, the figures mean nothing.
///
/// `t_i = e_i / (s_(i) √(1 − h_i))` with `s_(i)² = (SS − e_i²/(1 − h_i)) / (df − 1)`;
/// `D_i = e_i² h_i / (p s² (1 − h_i)²)`. `p` counts the constant. None for runs that are fitted by themselves alone,
/// for a perfect fit, and for `t_i` below two residual degrees of freedom.
///
/// # Units and shapes
/// One entry a run; all figures are pure numbers. The leverages sum to the number of independent terms.
/// # Assumes
/// Independent errors of one variance; `t_i` then follows Student's t with one degree of freedom less than the residuals.
/// # Source
/// Cook and Weisberg, Residuals and Influence in Regression, 1982, 2.2.1 and 3.5.1.
pub fn influences(model: &FittedModel) -> Vec<RunInfluence> {
    let df = model.residual_df as f64;
    let terms = model.rank as f64;
    let squares: f64 = model.residuals.iter().map(|e| e * e).sum();
    let usable = has_scatter(model);
    let of = |run: usize| {
        let (residual, leverage) = (model.residuals[run], model.leverages[run]);
        let left = 1.0 - leverage;
        let seen = usable && left > FITTED_ALONE;
        let own = residual * residual / left;
        let others = (squares - own) / (df - 1.0);
        let studentised = (seen && df > 1.0 && others > 0.0)
            .then(|| residual / (others * left).sqrt())
            .filter(|t| t.is_finite());
        let distance = seen
            .then(|| own / left * leverage / (terms * squares / df))
            .filter(|distance| distance.is_finite());
        RunInfluence {
            run: model.runs[run].clone(),
            studentised,
            leverage,
            distance,
        }
    };
    (0..model.runs.len()).map(of).collect()
}

/// What residuals, leverage and distance say.
pub(super) fn diagnose(model: &FittedModel) -> Vec<Diagnostic> {
    let found = influences(model);
    vec![
        residual(model, &found),
        leverage(model, &found),
        distance(model, &found),
    ]
}

fn residual(model: &FittedModel, found: &[RunInfluence]) -> Diagnostic {
    let what = DiagnosticKind::LargestResidual;
    let df = model.residual_df as f64 - 1.0;
    let judged: Vec<(&RunInfluence, f64)> = found
        .iter()
        .filter_map(|run| Some((run, run.studentised?)))
        .collect();
    let largest = judged.iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    let Some(&(run, t)) = largest else {
        return Diagnostic::not_judged(what, WhyNot::NoScatter);
    };
    // Any of the runs could have been the largest, so that its chance counts once for each.
    let chance = |t: f64| t_two_sided(t, df).map(|p| (p * judged.len() as f64).min(1.0));
    let beyond = |p: Option<f64>| is_beyond_chance(p, model);
    let p = chance(t);
    let furthest = run.run.clone();
    let side = if t > 0.0 {
        SideOfModel::Above
    } else {
        SideOfModel::Below
    };
    let reading = if beyond(p) {
        let called_out = judged.iter().filter(|(_, t)| beyond(chance(*t)));
        Reading::RunsBeyondChance {
            furthest,
            side,
            called_out: called_out.map(|(run, _)| run.run.clone()).collect(),
        }
    } else {
        Reading::NoRunBeyondChance { furthest, side }
    };
    Diagnostic::new(what, t, reading)
        .with_p(p)
        .about(vec![run.run.clone()])
}

fn leverage(model: &FittedModel, found: &[RunInfluence]) -> Diagnostic {
    let what = DiagnosticKind::LargestLeverage;
    let average = model.rank as f64 / model.runs.len() as f64;
    let largest = found.iter();
    let Some(largest) = largest.max_by(|a, b| a.leverage.total_cmp(&b.leverage)) else {
        return Diagnostic::not_judged(what, WhyNot::NoScatter);
    };
    let above = |bound: f64| -> Vec<String> {
        let over = found.iter().filter(|run| run.leverage > bound);
        over.map(|run| run.run.clone()).collect()
    };
    let alone: fn(Vec<String>) -> Reading = Reading::OnlyRunsWithATerm;
    let bounds = [
        (1.0 - FITTED_ALONE, alone),
        (FAR_LEVERAGE * average, Reading::SettingsFarOff),
        (APART_LEVERAGE * average, Reading::SettingsApart),
    ];
    let mut passed = bounds.iter().map(|(bound, said)| (above(*bound), said));
    let (runs, reading) = match passed.find(|(runs, _)| !runs.is_empty()) {
        Some((runs, said)) => (runs.clone(), said(runs)),
        None => (vec![largest.run.clone()], Reading::NoSettingsApart),
    };
    Diagnostic::new(what, largest.leverage, reading).about(runs)
}

fn distance(model: &FittedModel, found: &[RunInfluence]) -> Diagnostic {
    let what = DiagnosticKind::LargestDistance;
    let largest = found
        .iter()
        .filter_map(|run| Some((run, run.distance?)))
        .max_by(|a, b| a.1.total_cmp(&b.1));
    let Some((run, distance)) = largest else {
        return Diagnostic::not_judged(what, WhyNot::NoScatter);
    };
    // The quantile of F is the edge of the joint region.
    let (terms, df) = (model.rank as f64, model.residual_df as f64);
    let edge = f_for_tail(1.0 - OWN_REGION, terms, df);
    let name = run.run.clone();
    let reading = if edge.is_some_and(|edge| distance > edge) {
        Reading::RunDecidesFit(name)
    } else if distance > PULLING_DISTANCE / model.runs.len() as f64 {
        Reading::RunPullsFit(name)
    } else {
        Reading::NoRunPullsFit
    };
    Diagnostic::new(what, distance, reading).about(vec![run.run.clone()])
}
