//! The steps from a checked model to a fitted one.
//!
//! In: [`ValidModel`] and the runs. Out: [`FittedModel`].
//! This module never computes on its own what another file answers; it puts the steps in order.

use std::sync::Arc;

use crate::caveat::{Caveat, Doubt, ScatterAtLevel};
use crate::distributions::t_for_confidence;
use crate::error::{Error, Faults};
use crate::regression::asked::{FitData, Method, ModelParams, ValidModel};
use crate::regression::design::{Coding, Combination, Runs, dense};
use crate::regression::estimable::{Ghosts, Separation, Tangle};
use crate::regression::estimate::Estimate;
use crate::regression::measured::{
    self, ByLevel, Closeness, Component, Errors, Found, Outcome, ScatterOf, uneven,
};
use crate::regression::model::{
    FittedModel, Machinery, Term, beyond_one, doubts, lag1, of_runs, share_explained,
    squares_of_model, test_of_all,
};
use crate::regression::plain::{
    EffectTest, Residuals, Scatter, Solution, effect_tests, out_of_range,
};

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
    /// levels of a choice that scatter differently, after which a measured fit gives each a variance of its own;
    /// a plain scale on which a fraction is foretold beyond 0 or 100 %.
    /// # Source
    /// Golub and Van Loan, Matrix Computations, 4th ed. 2013, 5.3 (least squares through QR).
    /// Patterson and Thompson, Biometrika 58 (1971) 545-554 (restricted likelihood).
    pub fn fit(&self, data: &FitData) -> Result<FittedModel, Faults> {
        self.fit_to(data, Closeness::FULL, None)
    }

    /// The tests of effects alone, as [`Self::fit`] has them; of a measured fit as near as decisions need.
    ///
    /// # Errors
    /// As [`Self::fit`].
    pub fn effect_tests(&self, data: &FitData) -> Result<Vec<EffectTest>, Faults> {
        Ok(self.fit_to(data, Closeness::FOR_TESTS, None)?.tests)
    }

    /// The same, no nearer than is asked for, from the variances of another fit of much the same runs.
    pub(crate) fn fit_to(
        &self,
        data: &FitData,
        closeness: Closeness,
        near: Option<&FittedModel>,
    ) -> Result<FittedModel, Faults> {
        let params = self.params();
        self.fit_by(data, closeness, |runs, solution, residuals, ghosts| {
            let outcome = match params.method {
                Method::Plain => Outcome::Plain(Vec::new()),
                Method::Measured => {
                    let fit = |by_level: Option<&ByLevel>| {
                        let known = &ghosts.found;
                        let near = near.and_then(|model| model.machinery.errors.variances());
                        measured::fit(
                            runs,
                            solution,
                            &residuals,
                            known,
                            params,
                            (closeness, near.as_deref()),
                            by_level,
                        )
                    };
                    let even = fit(None)?;
                    let left = match &even {
                        Outcome::Plain(_) => &residuals,
                        Outcome::Measured(found) => &found.residuals,
                    };
                    // A fit that only decides takes the scatter as even: the test takes longer than the fit.
                    let is_even = self.is_even() || closeness != Closeness::FULL;
                    let asked = (!is_even).then(|| uneven(runs.design, &runs.data.factors, left));
                    match asked.flatten() {
                        None => even,
                        Some(by_level) => fit(Some(&by_level)).unwrap_or(even),
                    }
                }
            };
            Ok(match outcome {
                Outcome::Plain(doubts) => {
                    plainly(runs, solution, residuals, ghosts, params, doubts)
                }
                Outcome::Measured(found) => *found,
            })
        })
    }

    /// The model that follows from what a way of fitting finds, beginning with the plain solution.
    pub(crate) fn fit_by(
        &self,
        data: &FitData,
        closeness: Closeness,
        find: impl FnOnce(&Runs, &Solution, Residuals, &Ghosts) -> Result<Found, Error>,
    ) -> Result<FittedModel, Faults> {
        let design = self.design(data)?;
        let params = self.params();
        let scale = params.scale;
        let responses = &data.response;
        let on_scale = scale.data(data);
        let data = on_scale.as_ref();
        let coding = Coding::new(&design, &data.factors);
        let natural = coding.natural(&design);
        let mut runs = Runs::new(&design, &coding, data);
        let solution = Solution::of(&mut runs, closeness != Closeness::FULL)?;
        let residuals = solution.residuals(&runs);
        let ghosts = Ghosts::find(&runs, &solution, &natural);
        let residual_df = data.runs.len() - solution.basis.rank();
        let found = find(&runs, &solution, residuals, &ghosts)?;
        let (factors, basis) = (&data.factors, solution.basis);
        let separation = Separation::of(&design, factors, &natural, &basis, ghosts.found);
        let residuals = found.residuals;
        let perfect = residuals.perfect;
        let mut doubts = doubts(responses, params, &basis, residual_df, perfect);
        doubts.extend(found.doubts);
        let rank = basis.rank();
        let machinery = Machinery {
            data: Arc::new(data.clone()),
            basis,
            coefficients: found.coefficients,
            separation,
            errors: found.errors,
            scale,
            confidence: params.confidence,
            perfect,
            means: Vec::new(),
            weights: Vec::new(),
            design,
            coding,
        };
        // Who looks at tests alone asks for no means.
        let machinery = match closeness.estimates {
            true => machinery.with_reference(),
            false => machinery,
        };
        let (total, left) = (residuals.total_squares, residuals.residual_squares);
        let left_out = residuals.left_out_squares;
        if [total, left, left_out.unwrap_or(0.0)]
            .iter()
            .any(|squares| !squares.is_finite())
        {
            return Err(out_of_range().into());
        }
        let relations = machinery.separation.relations.iter();
        let tangle = |relation| Tangle::new(relation, &machinery.design, data).describe();
        let constant = usize::from(machinery.design.constant_column().is_some());
        let model_df = rank - constant;
        let count = data.runs.len() as f64;
        let by_df = |squares: f64| (residual_df > 0).then(|| squares / residual_df as f64);
        let total_df = count - constant as f64;
        let of_all = found.of_all.filter(|_| model_df > 0);
        let ss_model = squares_of_model(&residuals);
        let lag1 = (!perfect).then(|| lag1(&residuals.residuals)).flatten();
        let shown = of_runs(scale, responses, residuals);
        let mut model = FittedModel {
            response: params.response.clone(),
            unit: params.unit.clone(),
            method: params.method,
            confidence: params.confidence,
            runs: data.runs.clone(),
            scale,
            lag1,
            fitted: shown.fitted,
            residuals: shown.residuals,
            leverages: shown.leverages,
            rank,
            model_df,
            residual_df,
            residual_sd: by_df(shown.residual_squares).map(f64::sqrt),
            leave_one_out_sd: shown
                .left_out_squares
                .map(|squares| (squares / count).sqrt()),
            r_squared: share_explained(total, left),
            adjusted_r_squared: by_df(left)
                .and_then(|square| share_explained(total, square * total_df)),
            leave_one_out_r_squared: left_out.and_then(|lost| share_explained(total, lost)),
            ss_model,
            ss_residual: left,
            f: of_all.map(|of_all| of_all.f),
            f_denominator_df: of_all.map(|of_all| of_all.denominator_df),
            f_p: of_all.and_then(|of_all| of_all.p),
            terms: terms(&machinery, &natural, closeness)?,
            not_separable: relations.map(tangle).collect(),
            tests: found.tests,
            adjusted_means: match closeness == Closeness::FULL {
                true => machinery.adjusted_means(),
                false => Vec::new(),
            },
            variance_components: found.components,
            uneven: found.uneven,
            caveats: doubts
                .into_iter()
                .map(|doubt| Caveat::of_response(&params.response, doubt))
                .collect(),
            machinery,
        };
        let uneven = model.uneven.as_ref().map(|uneven| {
            let own = uneven.levels.iter().filter(|level| !level.borrowed);
            Doubt::ScatterDiffersByLevel {
                factor: uneven.factor.clone(),
                levels: own
                    .map(|level| ScatterAtLevel {
                        level: level.level.clone(),
                        sd: level.sd,
                    })
                    .collect(),
                unit: params.unit.clone(),
                chance: uneven.p,
            }
        });
        let uneven = uneven.map(|doubt| Caveat::of_response(&params.response, doubt));
        model.caveats.extend(uneven);
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
    params: &ModelParams,
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
    let typical = params.scale.typical_slope(&residuals.fitted);
    let component = |mean_square: f64| {
        let variance = mean_square * (typical * typical);
        let of = ScatterOf::RunToRun;
        Component::estimated(of, variance, degrees_of_freedom, params.confidence)
    };
    let model_df = rank - usize::from(runs.design.constant_column().is_some());
    Found {
        tests: effect_tests(runs.design, &ghosts.triangle, ghosts.found.len(), scatter),
        of_all: test_of_all(&residuals, model_df, scatter),
        components: mean_square.map(component).into_iter().collect(),
        uneven: None,
        coefficients: solution.coefficients.clone(),
        errors: Errors::Alike {
            mean_square,
            degrees_of_freedom,
            reach: t_for_confidence(params.confidence, degrees_of_freedom),
        },
        residuals,
        doubts,
    }
}

/// The terms that can be estimated; where nobody looks at their estimates, they have none.
fn terms(
    machinery: &Machinery,
    natural: &[Combination],
    closeness: Closeness,
) -> Result<Vec<Term>, Error> {
    let estimable = natural.iter().enumerate();
    let estimable = estimable.filter(|&(position, _)| machinery.separation.estimable[position]);
    let term = |(position, term): (usize, &Combination)| {
        let estimate = match closeness.estimates {
            true => machinery.finished(&dense(term, natural.len())),
            false => Some(Estimate::default()),
        };
        let estimate = estimate.ok_or_else(out_of_range)?;
        Ok(Term {
            name: machinery.design.columns[position].name.clone(),
            value: estimate.value,
            standard_error: estimate.standard_error,
            degrees_of_freedom: estimate.degrees_of_freedom,
            t: machinery.ratio(estimate.value, estimate.standard_error),
            p: estimate.p,
            interval: estimate.interval,
        })
    };
    estimable.map(term).collect()
}
