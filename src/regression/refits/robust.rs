//! A refit in which no single run decides.
//!
//! In: a checked model, its fit and the runs. Out: [`FittedModel`] of responses that were drawn back where they lie far off.
//! This module never leaves a run out, and never draws back what several runs share.
//!
//! A run is judged by what it has for itself: `ε = D P y*`, what the terms, blocks and shared errors of the fit leave of it,
//! with `D` its own variance. Its standard deviation is `D √P_ii`, so that `ε` is judged the more strictly the more the
//! settings of the run stand alone (Schweppe's weights). A response `y` is replaced by `y* = y − ε + s v ψ(ε / (s v))`, and all
//! is fitted again, until nothing moves. At the end what is left is stretched by `K/m`, so that the ordinary standard errors of the
//! last fit are Huber's; its variances are estimated anew.
//!
//! # Source
//! Huber, Robust Statistics, 1981, 7.6 (standard errors) and 7.8 (modified residuals);
//! Street, Carroll and Ruppert, The American Statistician 42 (1988), 152-154 (pseudo-responses that carry the standard errors);
//! Fellner, Technometrics 28 (1986), 51-60 (modified responses where variances are estimated by restricted likelihood);
//! Handschin, Schweppe, Kohlas and Fiechter, IEEE Transactions on Power Apparatus and Systems 94 (1975), 329-337 (weights by leverage);
//! Andrews and others, Robust Estimates of Location, 1972 (Hampel's function, constants 22A).

use super::covariance::Covariance;
use crate::distributions::{mean, middle};
use crate::error::Faults;
use crate::regression::algebra::subtract;
use crate::regression::asked::{FitData, ValidModel};
use crate::regression::measured::Closeness;
use crate::regression::measured::variances::{Evaluation, Problem};
use crate::regression::model::FittedModel;

/// From where on Huber's function no longer grows: 95 % efficiency where errors are normal (Huber, 1981, 4.5 and 7.10).
const HUBER: f64 = 1.345;
/// Where Hampel's function stops growing, falls, and is zero: normal errors are nearly all left as they are.
const HAMPEL: [f64; 3] = [2.2, 3.7, 5.9];
/// The median size of a standard normal number.
const MEDIAN_SIZE: f64 = 0.6745;
/// The robust scale is not taken below this share of that of the fit: more than half of the runs are fitted all but exactly.
const LOWEST_SCALE: f64 = 0.05;
/// A run of whose own error the terms leave no more than this share is fitted by itself.
const FITTED_BY_ITSELF: f64 = 1e-8;
/// Rounds of drawing back; twenty are usual.
const ROUNDS: usize = 300;
/// Rounds in which the scale is still adjusted.
const SCALE_ROUNDS: usize = 20;
/// Responses are settled when none moves by more than this share of its standard deviation.
const SETTLED: f64 = 1e-6;
/// With so small a mean slope of Hampel's function so many runs lie far off that Huber's stands.
const LOWEST_SLOPE: f64 = 0.6;
/// Fits with variances estimated anew.
const REFITS: usize = 4;
/// The variances are settled when they differ by less than this share of their sum from those before.
const SAME_VARIANCES: f64 = 0.05;

/// How far a standardised error counts.
#[derive(Clone, Copy)]
enum Influence {
    /// `u` up to a bound, then the bound.
    Huber,
    /// The same with a wider bound, then falling to zero.
    Hampel,
}

/// The fit with bounded influence of every run: responses that lie far off are drawn towards the fit.
///
/// From Huber's function, whose solution is one alone, to Hampel's, under which a run that is six standard deviations off no
/// longer counts. Use it as a sensitivity: it answers as any other fit, and only sign and firmness are to be read.
/// A fit that is perfect or has no residual degrees of freedom comes back as it is.
///
/// # Assumes
/// `model` is the fit of `valid` to `data`. Fewer than half of the runs are wild; shared errors and blocks are not.
/// # Errors
/// Those of [`ValidModel::fit`].
/// # Source
/// See the head of this file.
pub fn robust(
    valid: &ValidModel,
    model: &FittedModel,
    data: &FitData,
) -> Result<FittedModel, Faults> {
    let scale = valid.params().scale;
    let on_scale = scale.data(data);
    let mut refitted = model.clone();
    for _ in 0..REFITS {
        let Some(covariance) = Covariance::of(&refitted, &on_scale) else {
            break;
        };
        let Some(response) = drawn_back(&covariance) else {
            break;
        };
        let drawn = FitData {
            response: response.iter().map(|&z| scale.response(z)).collect(),
            ..data.clone()
        };
        let next = valid.fit_to(&drawn, Closeness::FOR_DECISIONS, Some(&refitted))?;
        let nothing_known =
            covariance.shape.columns.is_empty() && covariance.at.own.iter().all(|&own| own == 0.0);
        // Without anything known the size of the one variance changes nothing.
        let settled = nothing_known
            || Covariance::of(&next, &on_scale)
                .is_none_or(|after| alike(&covariance.variances, &after.variances));
        refitted = next;
        if settled {
            break;
        }
    }
    Ok(refitted)
}

/// Whether two lists of variances differ by little of their sum.
fn alike(before: &[f64], after: &[f64]) -> bool {
    let sum: f64 = before.iter().sum();
    let moved = before.iter().zip(after).map(|(a, b)| (a - b).abs());
    moved.fold(0.0, f64::max) <= SAME_VARIANCES * sum
}

/// The responses drawn back, on the scale of the fit; None if the numbers leave their range.
fn drawn_back(covariance: &Covariance) -> Option<Vec<f64>> {
    let problem = covariance.problem();
    let found = problem.evaluate(&covariance.at, &covariance.variances)?;
    let own: Vec<f64> = covariance
        .at
        .own
        .iter()
        .zip(&covariance.shape.groups)
        .map(|(own, &group)| own + covariance.variances[group])
        .collect();
    let left = found.projection_diagonal();
    let share = own
        .iter()
        .zip(&left)
        .map(|(own, left)| (own * left).max(0.0));
    let deviations = share.zip(&own).map(|(share, own)| {
        if share > FITTED_BY_ITSELF {
            (share * own).sqrt()
        } else {
            0.0
        }
    });
    let mut drawing = Drawing {
        deviations: deviations.collect(),
        drawn: problem.response.clone(),
        fitted: vec![0.0; problem.response.len()],
        errors: Vec::new(),
        scale: 1.0,
        problem: &problem,
        found: &found,
        own: &own,
    };
    drawing.scale = drawing.started()?;
    drawing.settle(Influence::Huber, SCALE_ROUNDS);
    let (drawn, fitted) = (drawing.drawn.clone(), drawing.fitted.clone());
    drawing.settle(Influence::Hampel, 0);
    let mut slopes = drawing.slopes(Influence::Hampel);
    if mean(&slopes) < LOWEST_SLOPE {
        (drawing.drawn, drawing.fitted) = (drawn, fitted);
        drawing.settle(Influence::Huber, 0);
        slopes = drawing.slopes(Influence::Huber);
    }
    let stretched = drawing.stretched(&slopes);
    let shift = covariance.runs.shift;
    let response: Vec<f64> = stretched.iter().map(|value| value + shift).collect();
    response
        .iter()
        .all(|value| value.is_finite())
        .then_some(response)
}

/// Responses on their way back.
struct Drawing<'p> {
    problem: &'p Problem<'p>,
    found: &'p Evaluation<'p>,
    /// Variance of what each run has for itself.
    own: &'p [f64],
    /// Standard deviation of what is left of it; zero of a run that is fitted by itself.
    deviations: Vec<f64>,
    /// The responses as they are drawn back.
    drawn: Vec<f64>,
    /// What the terms make of those.
    fitted: Vec<f64>,
    /// What each response has for itself beside that fit.
    errors: Vec<f64>,
    /// The robust scale, against that of the fit.
    scale: f64,
}

impl Drawing<'_> {
    /// Fits the drawn responses, and sees what each response has for itself; gives that of the drawn ones.
    fn fit(&mut self) -> Vec<f64> {
        let left = |drawn: &[f64], fitted: &[f64]| -> Vec<f64> {
            drawn.iter().zip(fitted).map(|(y, f)| y - f).collect()
        };
        let mut rest = left(&self.drawn, &self.fitted);
        let step = self.found.correction(self.problem, &rest);
        for (column, &amount) in step.iter().enumerate() {
            subtract(
                &mut self.fitted,
                -amount,
                self.problem.columns.column(column),
            );
        }
        rest = left(&self.drawn, &self.fitted);
        self.found.factored.divide(&mut rest);
        let of_drawn: Vec<f64> = rest
            .iter()
            .zip(self.own)
            .map(|(part, own)| part * own)
            .collect();
        let taken = self.problem.response.iter().zip(&self.drawn);
        let errors = taken
            .zip(&of_drawn)
            .map(|((y, drawn), error)| error + (y - drawn));
        self.errors = errors.collect();
        of_drawn
    }

    /// The scale of the errors that the plain responses leave; None without any.
    fn started(&mut self) -> Option<f64> {
        self.fit();
        self.robust_scale()
    }

    /// The median size of the standardised errors against that of normal ones.
    fn robust_scale(&self) -> Option<f64> {
        let judged = self.errors.iter().zip(&self.deviations);
        let judged = judged.filter(|(_, deviation)| **deviation > 0.0);
        let sizes = judged.map(|(error, deviation)| (error / deviation).abs());
        middle(sizes.collect()).map(|size| (size / MEDIAN_SIZE).max(LOWEST_SCALE))
    }

    /// Draws back and fits in turn until nothing moves; in the first rounds the scale follows.
    fn settle(&mut self, influence: Influence, scale_rounds: usize) {
        for round in 0..ROUNDS {
            self.fit();
            if round < scale_rounds {
                self.scale = self.robust_scale().unwrap_or(self.scale);
            }
            let mut moved = 0.0_f64;
            let responses = self.problem.response.iter().zip(&self.errors);
            let runs = responses.zip(&self.deviations).zip(&mut self.drawn);
            for (((response, error), deviation), drawn) in runs {
                let reach = self.scale * deviation;
                if reach > 0.0 {
                    let now = response - error + reach * influence.of(error / reach);
                    moved = moved.max((now - *drawn).abs() / reach);
                    *drawn = now;
                }
            }
            if moved <= SETTLED {
                break;
            }
        }
    }

    /// How much of a small error of each run counts.
    fn slopes(&self, influence: Influence) -> Vec<f64> {
        let runs = self.errors.iter().zip(&self.deviations);
        let slope = |(error, deviation): (&f64, &f64)| match *deviation {
            0.0 => 1.0,
            deviation => influence.slope(error / (self.scale * deviation)),
        };
        runs.map(slope).collect()
    }

    /// The drawn responses with what they have for themselves stretched by `K/m`, in such a way that the coefficients stay.
    ///
    /// `m` is the mean slope, `K = 1 + (p/n) var(slope)/m²`.
    fn stretched(&mut self, slopes: &[f64]) -> Vec<f64> {
        let own = self.fit();
        let m = mean(slopes);
        let squares: Vec<f64> = slopes.iter().map(|slope| (slope - m).powi(2)).collect();
        let terms = self.problem.rank as f64 / slopes.len() as f64;
        let stretch = (1.0 + terms * mean(&squares) / (m * m)) / m - 1.0;
        let explained = self.found.correction(self.problem, &own);
        let mut more = own;
        for (column, &amount) in explained.iter().enumerate() {
            subtract(&mut more, amount, self.problem.columns.column(column));
        }
        let drawn = self.drawn.iter().zip(&more);
        drawn.map(|(drawn, more)| drawn + stretch * more).collect()
    }
}

impl Influence {
    /// What counts of a standardised error.
    fn of(self, error: f64) -> f64 {
        let size = error.abs();
        let counted = match self {
            Influence::Huber => size.min(HUBER),
            Influence::Hampel => {
                let [bound, falls, zero] = HAMPEL;
                size.min(bound)
                    .min(bound * ((zero - size) / (zero - falls)).max(0.0))
            }
        };
        counted.copysign(error)
    }

    /// How much of a small further error counts.
    fn slope(self, error: f64) -> f64 {
        let size = error.abs();
        match self {
            Influence::Huber => f64::from(u8::from(size <= HUBER)),
            Influence::Hampel => {
                let [bound, falls, zero] = HAMPEL;
                match size {
                    size if size <= bound => 1.0,
                    size if size <= falls || size >= zero => 0.0,
                    _ => -bound / (zero - falls),
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_counts_of_an_error_is_as_published() {
        // 22A of Andrews and others, from memory: 2.2 up to 3.7, then in a straight line to zero at 5.9.
        let hampel = Influence::Hampel;
        let cases = [
            (-1.0, -1.0),
            (3.0, 2.2),
            (-3.7, -2.2),
            (4.8, 1.1),
            (6.0, 0.0),
        ];
        for (error, counted) in cases {
            assert!((hampel.of(error) - counted).abs() < 1e-14, "{error}");
        }
        assert_eq!(Influence::Huber.of(-2.0), -1.345);
        // Central differences.
        for influence in [hampel, Influence::Huber] {
            for error in [-7.0, -4.8, -1.0, 0.0, 1.3, 2.0, 3.0, 5.0] {
                let step = 1e-6;
                let rise = influence.of(error + step) - influence.of(error - step);
                let slope = influence.slope(error);
                assert!((rise / (2.0 * step) - slope).abs() < 1e-8, "{error}");
            }
        }
    }
}
