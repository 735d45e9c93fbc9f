//! How does a checked model become a fitted one?
//!
//! In: [`ValidModel`] and the runs. Out: [`FittedModel`].
//! This module never computes on its own what another file answers; it puts the steps in order.

use super::coding::{Coding, Combination};
use super::data::FitData;
use super::doubts::{Figures, caveats};
use super::fitted::{FittedModel, Method, Term};
use super::ghosts::Ghosts;
use super::least_squares::{Residuals, Solution};
use super::machinery::Machinery;
use super::params::ValidModel;
use super::runs::Runs;
use super::separation::{Separation, dense};
use super::tangled::Tangle;
use super::tests_of_effects::{Scatter, effect_tests};
use crate::distributions::{f_upper, t_for_confidence};
use crate::error::{Error, ErrorKind, Faults};

impl ValidModel {
    /// Fits the model to runs by ordinary least squares.
    ///
    /// # Assumes
    /// Independent errors of equal size; normal errors where chances and intervals are given.
    /// # Errors
    /// Those of [`super::ModelParams::check`] if these runs have other factors than those checked against;
    /// [`ErrorKind::OutOfRange`] if the numbers are too large or too small to compute with.
    /// # Caveats
    /// Nearly tangled terms, few degrees of freedom, a perfect fit, a constant response, and blocks, which the plain fit ignores.
    /// # Source
    /// Golub and Van Loan, Matrix Computations, 4th ed. 2013, 5.3 (least squares through QR).
    pub fn fit(&self, data: &FitData) -> Result<FittedModel, Faults> {
        let design = self.design(data)?;
        let coding = Coding::new(&design, &data.factors);
        let natural = coding.natural(&design);
        let runs = Runs::new(&design, &coding, data);
        let solution = Solution::of(&runs)?;
        let residuals = solution.residuals(&runs);
        let ghosts = Ghosts::find(&runs, &solution, &natural);
        let block_columns = ghosts.found.len();
        let separation = Separation::of(
            &design,
            &data.factors,
            &natural,
            &solution.basis,
            ghosts.found,
        );
        let rank = solution.basis.rank();
        let residual_df = data.runs.len() - rank;
        let degrees_of_freedom = residual_df as f64;
        let mean_square =
            (residual_df > 0).then(|| residuals.residual_squares / degrees_of_freedom);
        let scatter = mean_square
            .filter(|&mean_square| mean_square > 0.0 && !residuals.perfect)
            .map(|mean_square| Scatter {
                mean_square,
                degrees_of_freedom,
            });
        let tests = effect_tests(&design, &ghosts.triangle, block_columns, scatter);
        let doubts = caveats(&Figures {
            response: &self.params().response,
            values: &data.response,
            blocks: &self.params().blocks,
            condition: solution.basis.condition,
            residual_df,
            perfect: residuals.perfect,
        });
        let mut machinery = Machinery {
            data: data.clone(),
            basis: solution.basis,
            coefficients: solution.coefficients,
            separation,
            mean_square,
            degrees_of_freedom,
            reach: t_for_confidence(self.params().confidence, degrees_of_freedom),
            perfect: residuals.perfect,
            means: data
                .factors
                .iter()
                .map(|factor| mean(factor.amounts().unwrap_or(&[])))
                .collect(),
            weights: data
                .factors
                .iter()
                .map(|factor| vec![0.0; factor.levels().len()])
                .collect(),
            design,
            coding,
        };
        machinery.weights = machinery.reference_weights();
        let terms = terms(&machinery, &natural)?;
        let not_separable = machinery
            .separation
            .relations
            .iter()
            .map(|relation| Tangle::new(relation, &machinery.design, data).describe())
            .collect();
        let overall = Overall::of(&machinery, &residuals, rank, scatter)?;
        Ok(FittedModel {
            response: self.params().response.clone(),
            unit: self.params().unit.clone(),
            method: Method::Plain,
            confidence: self.params().confidence,
            runs: data.runs.clone(),
            lag1: (!residuals.perfect)
                .then(|| lag1(&residuals.residuals))
                .flatten(),
            fitted: residuals.fitted,
            residuals: residuals.residuals,
            leverages: residuals.leverages,
            rank,
            model_df: overall.model_df,
            residual_df,
            residual_sd: mean_square.map(f64::sqrt),
            leave_one_out_sd: overall.leave_one_out_sd,
            r_squared: overall.r_squared,
            adjusted_r_squared: overall.adjusted_r_squared,
            leave_one_out_r_squared: overall.leave_one_out_r_squared,
            ss_model: overall.ss_model,
            ss_residual: residuals.residual_squares,
            f: overall.f,
            f_p: overall.f_p,
            terms,
            not_separable,
            tests,
            adjusted_means: machinery.adjusted_means(),
            caveats: doubts,
            machinery,
        })
    }
}

/// The terms that can be estimated.
fn terms(machinery: &Machinery, natural: &[Combination]) -> Result<Vec<Term>, Error> {
    let columns = natural.len();
    let mut terms = Vec::with_capacity(columns);
    for (position, term) in natural.iter().enumerate() {
        if !machinery.separation.estimable[position] {
            continue;
        }
        let estimate = machinery
            .finished(&dense(term, columns))
            .ok_or_else(out_of_range)?;
        terms.push(Term {
            term: machinery.design.columns[position].name.clone(),
            value: estimate.value,
            standard_error: estimate.standard_error,
            degrees_of_freedom: estimate.degrees_of_freedom,
            t: machinery.ratio(estimate.value, estimate.standard_error),
            p: estimate.p,
            interval: estimate.interval,
        });
    }
    Ok(terms)
}

/// Figures about the model as a whole.
struct Overall {
    model_df: usize,
    ss_model: f64,
    r_squared: Option<f64>,
    adjusted_r_squared: Option<f64>,
    leave_one_out_r_squared: Option<f64>,
    leave_one_out_sd: Option<f64>,
    f: Option<f64>,
    f_p: Option<f64>,
}

impl Overall {
    fn of(
        machinery: &Machinery,
        residuals: &Residuals,
        rank: usize,
        scatter: Option<Scatter>,
    ) -> Result<Self, Error> {
        let runs = residuals.residuals.len() as f64;
        let constant = usize::from(machinery.design.constant_column().is_some());
        let model_df = rank - constant;
        let (total, left) = (residuals.total_squares, residuals.residual_squares);
        let figures = [total, left, residuals.left_out_squares.unwrap_or(0.0)];
        if figures.iter().any(|figure| !figure.is_finite()) {
            return Err(out_of_range());
        }
        let ss_model = (total - left).max(0.0);
        let share = |lost: f64| {
            (total > 0.0)
                .then(|| 1.0 - lost / total)
                .filter(|share| share.is_finite())
        };
        let total_df = runs - constant as f64;
        let f = scatter
            .filter(|_| model_df > 0)
            .map(|scatter| ss_model / model_df as f64 / scatter.mean_square)
            .filter(|f| f.is_finite());
        Ok(Self {
            model_df,
            ss_model,
            r_squared: share(left),
            adjusted_r_squared: machinery
                .mean_square
                .and_then(|square| share(square * total_df)),
            leave_one_out_r_squared: residuals.left_out_squares.and_then(share),
            leave_one_out_sd: residuals
                .left_out_squares
                .map(|squares| (squares / runs).sqrt()),
            f,
            f_p: f
                .zip(scatter)
                .and_then(|(f, scatter)| f_upper(f, model_df as f64, scatter.degrees_of_freedom)),
        })
    }
}

/// Autocorrelation of residuals with those of the next run.
///
/// `r₁ = Σ (eᵢ − ē)(eᵢ₊₁ − ē) / Σ (eᵢ − ē)²`
/// # Source
/// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.12.
fn lag1(residuals: &[f64]) -> Option<f64> {
    let centre = mean(residuals);
    let products: f64 = residuals
        .windows(2)
        .map(|pair| (pair[0] - centre) * (pair[1] - centre))
        .sum();
    let squares: f64 = residuals
        .iter()
        .map(|residual| (residual - centre).powi(2))
        .sum();
    let usable = residuals.len() > 2 && squares > 0.0;
    usable
        .then(|| products / squares)
        .filter(|ratio| ratio.is_finite())
}

fn mean(values: &[f64]) -> f64 {
    if values.is_empty() {
        0.0
    } else {
        values.iter().sum::<f64>() / values.len() as f64
    }
}

fn out_of_range() -> Error {
    Error::new(
        ErrorKind::OutOfRange,
        "the numbers of the model are too large or too small to compute with",
    )
    .hint("give the response and the factors in units that make their values neither huge nor tiny")
}
