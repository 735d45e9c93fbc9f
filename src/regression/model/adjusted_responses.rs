//! The responses of the runs with the effects of factors taken out.
//!
//! In: a fitted model and the factors whose effects stay in. Out: [`WithoutEffects`].
//! This module never takes out the constant, a block, or a term that the runs cannot tell apart from another.

use super::estimates::Machinery;
use super::fitted::FittedModel;
use crate::regression::asked::{Column, TermName};

/// The response of each run with the effects of the declared factors taken out.
#[derive(Debug, Clone, PartialEq)]
pub struct WithoutEffects {
    /// One value for each run of the model, in run order, in the unit of the response.
    pub values: Vec<f64>,
    /// Names of the terms that were taken out.
    pub taken_out: Vec<TermName>,
    /// Names of the terms that stay in because they cannot be told apart.
    pub not_separable: Vec<TermName>,
}

impl FittedModel {
    /// The response of each run minus what its factors do there more than at the reference mix.
    ///
    /// `y − Σ b (x − x₀)` over the terms that can be estimated, with `b` the value of a term, `x` its column at the run
    /// and `x₀` that at the reference mix: amounts at the mean of the runs, levels equally weighted. Terms with one of
    /// the factors `kept` in them stay in. On the logit scale the sum is taken there and the result brought back.
    ///
    /// # Units and shapes
    /// The unit of the response; one value for each of [`FittedModel::runs`].
    /// # Assumes
    /// The terms are those of the truth; the error of each run stays in its value.
    pub fn without_effects(&self, kept: &[&str]) -> WithoutEffects {
        let machinery = &self.machinery;
        let mut shifts = vec![0.0; self.runs.len()];
        let mut taken_out = Vec::new();
        let mut not_separable = Vec::new();
        let columns = machinery.design.columns.iter();
        for column in columns.filter(|column| !machinery.stays(column, kept)) {
            let Some(term) = self.term(&column.name) else {
                not_separable.push(column.name.clone());
                continue;
            };
            for (shift, off) in shifts.iter_mut().zip(machinery.off_reference(column)) {
                *shift += term.value * off;
            }
            taken_out.push(column.name.clone());
        }
        let responses = self.fitted.iter().zip(&self.residuals);
        let values = responses.zip(shifts).map(|((fitted, residual), shift)| {
            let response = fitted + residual;
            if shift == 0.0 {
                response
            } else {
                self.scale.response(self.scale.fitted(response) - shift)
            }
        });
        WithoutEffects {
            values: values.collect(),
            taken_out,
            not_separable,
        }
    }
}

impl Machinery {
    /// Whether a column stays in the responses: the constant, and what has one of the factors `kept` in it.
    pub fn stays(&self, column: &Column, kept: &[&str]) -> bool {
        let name = |factor: usize| self.data.factors[factor].name.as_str();
        let mut names = column.pieces.iter().map(|piece| name(piece.factor()));
        column.pieces.is_empty() || names.any(|name| kept.contains(&name))
    }

    /// A column in natural units at each run, less what it is at the reference mix.
    pub fn off_reference(&self, column: &Column) -> Vec<f64> {
        let reference = column.value(
            |factor| self.means[factor],
            |factor, level| self.weights[factor][level],
        );
        let factors = &self.data.factors;
        let here = |run: usize| column.at_run(factors, run, |_, amount| amount);
        (0..self.data.runs.len())
            .map(|run| here(run) - reference)
            .collect()
    }
}
