//! How does a checked model become a fitted one?
//!
//! In: [`ValidModel`] and the runs. Out: [`FittedModel`].
//! This module never computes on its own what another file answers; it puts the steps in order.

use crate::caveat::Doubt;
use crate::distributions::t_for_confidence;
use crate::error::{Error, Faults};
use crate::regression::algebra::mean;
use crate::regression::asked::{FitData, MethodAsked, ResponseScale, ValidModel};
use crate::regression::design::{Coding, Combination, Runs, dense};
use crate::regression::estimable::{Ghosts, Separation, Tangle};
use crate::regression::measured::{
    self, Closeness, Columns, Component, MeasuredFit, Outcome, ScatterOf,
};
use crate::regression::model::{
    Errors, Figures, FittedModel, Machinery, MeasuredErrors, Method, OfAll, OfRuns, Overall, Term,
    beyond_one, caveats, lag1, out_of_range,
};
use crate::regression::plain::{EffectTest, Residuals, Scatter, Solution, effect_tests};

/// What one way of fitting gives, before it is put into words.
struct Found {
    residuals: Residuals,
    coefficients: Vec<twofloat::TwoFloat>,
    errors: Errors,
    tests: Vec<EffectTest>,
    of_all: Option<OfAll>,
    components: Vec<Component>,
    doubts: Vec<Doubt>,
}

impl ValidModel {
    /// Fits the model to runs: by ordinary least squares, or with what is known of the measurement if that is asked for.
    ///
    /// A measured fit of runs of whose measurement nothing is known, without blocks, is ordinary least squares exactly.
    ///
    /// # Assumes
    /// As [`FittedModel`] says. Variances that nobody stated are estimated by restricted likelihood.
    /// # Errors
    /// Those of [`crate::regression::ModelParams::check`] if these runs have other factors than those checked against;
    /// [`crate::error::ErrorKind::OutOfRange`] if the numbers are too large or too small to compute with.
    /// # Caveats
    /// Nearly tangled terms, few degrees of freedom, a perfect fit, a constant response; blocks, which the plain fit ignores;
    /// variances that are estimated as zero or that the runs cannot tell, and a measured fit that does not settle;
    /// a plain scale on which a fraction is foretold beyond 0 or 100 %.
    /// # Source
    /// Golub and Van Loan, Matrix Computations, 4th ed. 2013, 5.3 (least squares through QR).
    /// Patterson and Thompson, Biometrika 58 (1971) 545-554 (restricted likelihood).
    pub fn fit(&self, data: &FitData) -> Result<FittedModel, Faults> {
        self.fit_to(data, Closeness::FULL)
    }

    /// The same, no nearer than is asked for.
    pub(crate) fn fit_to(
        &self,
        data: &FitData,
        closeness: Closeness,
    ) -> Result<FittedModel, Faults> {
        let design = self.design(data)?;
        let scale = self.params().scale;
        let responses = &data.response;
        let on_scale = scale.data(data);
        let data = on_scale.as_ref();
        let coding = Coding::new(&design, &data.factors);
        let natural = coding.natural(&design);
        let runs = Runs::new(&design, &coding, data);
        let solution = Solution::of(&runs)?;
        let residuals = solution.residuals(&runs);
        let ghosts = Ghosts::find(&runs, &solution, &natural);
        let rank = solution.basis.rank();
        let residual_df = data.runs.len() - rank;
        let confidence = self.params().confidence;
        let (method, ignored_blocks, outcome) = match self.params().method {
            MethodAsked::Plain => (
                Method::Plain,
                self.params().blocks.as_slice(),
                Outcome::Plain(Vec::new()),
            ),
            MethodAsked::Measured => (
                Method::Measured,
                [].as_slice(),
                measured::fit(&runs, &solution, &residuals, confidence, closeness, scale),
            ),
        };
        let constant = design.constant_column();
        let found = match outcome {
            Outcome::OutOfRange => return Err(out_of_range().into()),
            Outcome::Plain(doubts) => plainly(
                &runs, &solution, residuals, &ghosts, scale, confidence, doubts,
            ),
            Outcome::Measured(fit) => {
                let columns = Columns::new(
                    &solution.basis,
                    runs.columns(),
                    &ghosts.found,
                    &fit.errors,
                    &fit.scaled,
                );
                let mean_square = fit.residuals.residual_squares / residual_df as f64;
                let tests = columns.effect_tests(&design, mean_square);
                let others: Vec<usize> = constant.into_iter().collect();
                let own: Vec<usize> = (0..runs.columns())
                    .filter(|c| Some(*c) != constant)
                    .collect();
                let of_all = OfAll::tested(&columns.test(&others, &own));
                measured(*fit, tests, of_all)
            }
        };
        let separation = Separation::of(
            &design,
            &data.factors,
            &natural,
            &solution.basis,
            ghosts.found,
        );
        let Found { residuals, .. } = found;
        let mean_square =
            (residual_df > 0).then(|| residuals.residual_squares / residual_df as f64);
        let doubts = caveats(&Figures {
            response: &self.params().response,
            values: responses,
            blocks: ignored_blocks,
            condition: solution.basis.condition,
            residual_df,
            perfect: residuals.perfect,
            besides: found.doubts,
        });
        let mut machinery = Machinery {
            data: data.clone(),
            basis: solution.basis,
            coefficients: found.coefficients,
            separation,
            errors: found.errors,
            scale,
            confidence,
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
        let overall = Overall::of(&residuals, rank, constant, mean_square)?;
        let of_all = found.of_all.filter(|_| overall.model_df > 0);
        let lag1 = (!residuals.perfect)
            .then(|| lag1(&residuals.residuals))
            .flatten();
        let of_runs = match scale {
            ResponseScale::Plain => OfRuns {
                fitted: residuals.fitted,
                residuals: residuals.residuals,
                residual_sd: mean_square.map(f64::sqrt),
                leave_one_out_sd: overall.leave_one_out_sd,
            },
            ResponseScale::Logit => OfRuns::on_logit(responses, &residuals, residual_df),
        };
        let mut model = FittedModel {
            response: self.params().response.clone(),
            unit: self.params().unit.clone(),
            method,
            confidence,
            runs: data.runs.clone(),
            scale,
            lag1,
            fitted: of_runs.fitted,
            residuals: of_runs.residuals,
            leverages: residuals.leverages,
            rank,
            model_df: overall.model_df,
            residual_df,
            residual_sd: of_runs.residual_sd,
            leave_one_out_sd: of_runs.leave_one_out_sd,
            r_squared: overall.r_squared,
            adjusted_r_squared: overall.adjusted_r_squared,
            leave_one_out_r_squared: overall.leave_one_out_r_squared,
            ss_model: overall.ss_model,
            ss_residual: residuals.residual_squares,
            f: of_all.map(|of_all| of_all.f),
            f_denominator_df: of_all.map(|of_all| of_all.denominator_df),
            f_p: of_all.and_then(|of_all| of_all.p),
            terms,
            not_separable,
            tests: found.tests,
            adjusted_means: machinery.adjusted_means(),
            variance_components: found.components,
            caveats: doubts,
            machinery,
        };
        // A fit that only decides shows its doubts to nobody.
        if closeness == Closeness::FULL {
            model.caveats.extend(beyond_one(&model));
        }
        Ok(model)
    }
}

/// What ordinary least squares gives.
fn plainly(
    runs: &Runs,
    solution: &Solution,
    residuals: Residuals,
    ghosts: &Ghosts,
    scale: ResponseScale,
    confidence: f64,
    doubts: Vec<Doubt>,
) -> Found {
    let rank = solution.basis.rank();
    let residual_df = runs.len() - rank;
    let degrees_of_freedom = residual_df as f64;
    let mean_square = (residual_df > 0).then(|| residuals.residual_squares / degrees_of_freedom);
    let scatter = mean_square
        .filter(|&mean_square| mean_square > 0.0 && !residuals.perfect)
        .map(|mean_square| Scatter {
            mean_square,
            degrees_of_freedom,
        });
    let typical = scale.typical_slope(&residuals.fitted);
    let component = |mean_square: f64| {
        let variance = mean_square * (typical * typical);
        Component::estimated(
            ScatterOf::RunToRun,
            variance,
            degrees_of_freedom,
            confidence,
        )
    };
    Found {
        tests: effect_tests(runs.design, &ghosts.triangle, ghosts.found.len(), scatter),
        of_all: OfAll::plain(&residuals, rank, runs.design.constant_column(), scatter),
        components: mean_square.map(component).into_iter().collect(),
        coefficients: solution.coefficients.clone(),
        errors: Errors::Alike {
            mean_square,
            degrees_of_freedom,
            reach: t_for_confidence(confidence, degrees_of_freedom),
        },
        residuals,
        doubts,
    }
}

fn measured(fit: MeasuredFit, tests: Vec<EffectTest>, of_all: Option<OfAll>) -> Found {
    Found {
        residuals: fit.residuals,
        coefficients: fit.coefficients,
        errors: Errors::Measured(Box::new(MeasuredErrors {
            sample: fit.errors,
            scatter: fit.scatter,
        })),
        tests,
        of_all,
        components: fit.components,
        doubts: fit.doubts,
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
            name: machinery.design.columns[position].name.clone(),
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
