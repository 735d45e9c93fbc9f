//! Does a single run stand out, or decide the fit?
//!
//! In: a fitted model. Out: [`RunInfluence`] of each run, and three verdicts.
//! This module never leaves a run out.
//!
//! # Source
//! Cook and Weisberg, Residuals and Influence in Regression, 1982, 2.2.1 (residuals) and 3.5.1 (distance);
//! Belsley, Kuh and Welsch, Regression Diagnostics, 1980, 2.1 (leverage).

use super::{Diagnostic, NOTHING_LEFT, has_scatter};
use crate::distributions::{f_for_tail, t_two_sided};
use crate::regression::fitted::FittedModel;
use crate::regression::words::{all_of, quoted};

/// A run with a leverage above `1 −` this is fitted by itself alone: its residual is rounding.
const FITTED_ALONE: f64 = 1e-10;

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

/// The verdicts on residuals, leverage and distance.
pub(super) fn diagnose(model: &FittedModel) -> Vec<Diagnostic> {
    let found = influences(model);
    vec![
        residual(model, &found),
        leverage(model, &found),
        distance(model, &found),
    ]
}

fn residual(model: &FittedModel, found: &[RunInfluence]) -> Diagnostic {
    let name = "largest studentised residual";
    let df = model.residual_df as f64 - 1.0;
    let judged: Vec<(&RunInfluence, f64)> = found
        .iter()
        .filter_map(|run| Some((run, run.studentised?)))
        .collect();
    let largest = judged.iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    let Some(&(run, t)) = largest else {
        return Diagnostic::new(name, None, NOTHING_LEFT);
    };
    // Any of the runs could have been the largest, so that its chance counts once for each.
    let p = t_two_sided(t, df).map(|p| (p * judged.len() as f64).min(1.0));
    let side = if t > 0.0 { "above" } else { "below" };
    let shown = quoted(&run.run);
    let verdict = if p.is_some_and(|p| p < 1.0 - model.confidence) {
        format!(
            "run {shown} lies further {side} the model than chance explains, allowing for all runs: look for a slip in its logs before believing the rest"
        )
    } else {
        format!(
            "no run lies further off than chance explains, allowing for all runs; {shown} is the furthest, {side} the model"
        )
    };
    Diagnostic::new(name, Some(t), verdict)
        .with_p(p)
        .about(vec![run.run.clone()])
}

fn leverage(model: &FittedModel, found: &[RunInfluence]) -> Diagnostic {
    let name = "largest leverage";
    let average = model.rank as f64 / model.runs.len() as f64;
    let Some(largest) = found
        .iter()
        .max_by(|a, b| a.leverage.total_cmp(&b.leverage))
    else {
        return Diagnostic::new(name, None, NOTHING_LEFT);
    };
    let above = |bound: f64| -> Vec<String> {
        let over = found.iter().filter(|run| run.leverage > bound);
        over.map(|run| run.run.clone()).collect()
    };
    let worded = |runs: &[String]| {
        let names: Vec<String> = runs.iter().map(|run| quoted(run)).collect();
        let noun = if runs.len() == 1 { "run" } else { "runs" };
        format!("{noun} {}", all_of(&names))
    };
    let alone = above(1.0 - FITTED_ALONE);
    let (far, apart) = (above(3.0 * average), above(2.0 * average));
    let (verdict, runs) = if !alone.is_empty() {
        (
            format!(
                "{}: each is the only one to show some term, so that nothing checks its reading; repeat it",
                worded(&alone)
            ),
            alone,
        )
    } else if !far.is_empty() {
        (
            format!(
                "{}: settings so far from the others (beyond three times the average) that few runs check the reading",
                worded(&far)
            ),
            far,
        )
    } else if !apart.is_empty() {
        (
            format!(
                "{}: settings somewhat apart from the others (beyond twice the average); a slip there would cost more than elsewhere",
                worded(&apart)
            ),
            apart,
        )
    } else {
        (
            "no run's settings stand apart: all are within twice the average".to_string(),
            vec![largest.run.clone()],
        )
    };
    Diagnostic::new(name, Some(largest.leverage), verdict).about(runs)
}

fn distance(model: &FittedModel, found: &[RunInfluence]) -> Diagnostic {
    let name = "largest Cook's distance";
    let largest = found
        .iter()
        .filter_map(|run| Some((run, run.distance?)))
        .max_by(|a, b| a.1.total_cmp(&b.1));
    let Some((run, distance)) = largest else {
        return Diagnostic::new(name, None, NOTHING_LEFT);
    };
    // Cook's yardstick: the median of F is the edge of the joint region that covers with chance one half.
    let half = f_for_tail(0.5, model.rank as f64, model.residual_df as f64);
    let shown = quoted(&run.run);
    let verdict = if half.is_some_and(|half| distance > half) {
        format!(
            "without run {shown} the fit would move to the edge of its own 50 % region: the result rests on this run, so repeat it"
        )
    } else if distance > 4.0 / model.runs.len() as f64 {
        format!(
            "run {shown} pulls the fit more than most do (above 4 over the number of runs), though not far"
        )
    } else {
        "no single run pulls the fit noticeably".to_string()
    };
    Diagnostic::new(name, Some(distance), verdict).about(vec![run.run.clone()])
}
