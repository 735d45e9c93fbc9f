//! The doubt about a model of a fraction that foretells values beyond 0 or 100 %.
//!
//! In: what the fit knows, its fitted values and adjusted means. Out: a [`Caveat`] with the furthest value, or nothing.
//! This module never changes the scale by itself.

use super::fitted::FittedModel;
use crate::caveat::{Caveat, Doubt, ForetoldOf, OddRun, Prediction};
use crate::distributions::mean;
use crate::regression::asked::ResponseScale;
use crate::regression::estimate::Interval;

/// The unit of a fraction.
const FRACTION: &str = "1";

/// How many runs with the highest fitted values, and with the lowest, are looked at for a new run; the others lie further inside.
const MOST_RUNS: usize = 200;

/// One value that was foretold.
struct Foretold {
    value: f64,
    of: ForetoldOf,
}

impl Foretold {
    /// How far outside 0 to 1 it lies; negative inside.
    fn outside(&self) -> f64 {
        (self.value - 1.0).max(-self.value)
    }

    fn both(ends: Interval, of: &ForetoldOf) -> [Self; 2] {
        [ends.low, ends.high].map(|value| Self {
            value,
            of: of.clone(),
        })
    }
}

/// The doubt about a plain fit of a fraction that leaves 0 to 1; fitted values first, then means, then new runs.
///
/// A response counts as a fraction when its unit is `1` and its mean lies between 0 and 1.
pub(crate) fn beyond_one(model: &FittedModel) -> Option<Caveat> {
    let responses = &model.machinery.data.response;
    let middle = mean(responses);
    let fraction = model.unit == FRACTION && middle > 0.0 && middle < 1.0;
    if model.scale != ResponseScale::Plain || !fraction {
        return None;
    }
    let found = furthest(fitted(model))
        .or_else(|| furthest(means(model)))
        .or_else(|| furthest(new_runs(model)))?;
    let inside = |y: f64| y > 0.0 && y < 1.0;
    let odd = responses.iter().position(|&y| !inside(y));
    let prediction = Prediction {
        value: found.value,
        of: found.of,
        odd: odd.map(|run| OddRun {
            run: model.runs[run].clone(),
            value: responses[run],
        }),
    };
    let doubt = if prediction.value > 1.0 {
        Doubt::PredictionBeyondOne(prediction)
    } else {
        Doubt::PredictionBelowZero(prediction)
    };
    Some(Caveat::of_response(&model.response, doubt))
}

/// The value that lies furthest outside, if one does; of equals the first.
fn furthest(foretold: Vec<Foretold>) -> Option<Foretold> {
    let outside = foretold.into_iter().filter(|value| value.outside() > 0.0);
    let ordered = |a: &Foretold, b: &Foretold| a.outside().total_cmp(&b.outside());
    // Of equals the last is taken, which is the first from the other end.
    outside.rev().max_by(ordered)
}

fn fitted(model: &FittedModel) -> Vec<Foretold> {
    let of_run = |(run, &value): (&String, &f64)| Foretold {
        value,
        of: ForetoldOf::Run(run.clone()),
    };
    model.runs.iter().zip(&model.fitted).map(of_run).collect()
}

fn means(model: &FittedModel) -> Vec<Foretold> {
    let mut found = Vec::new();
    for means in &model.adjusted_means {
        for level in &means.levels {
            let of = ForetoldOf::Mean {
                factor: means.factor.clone(),
                level: level.level.clone(),
            };
            let ends = level.mean.as_ref().and_then(|mean| mean.interval);
            found.extend(ends.into_iter().flat_map(|ends| Foretold::both(ends, &of)));
        }
    }
    found
}

fn new_runs(model: &FittedModel) -> Vec<Foretold> {
    let mut order: Vec<usize> = (0..model.runs.len()).collect();
    order.sort_by(|&a, &b| model.fitted[a].total_cmp(&model.fitted[b]));
    if order.len() > 2 * MOST_RUNS {
        order.drain(MOST_RUNS..order.len() - MOST_RUNS);
    }
    let mut found = Vec::new();
    for run in order {
        let machinery = &model.machinery;
        let new = machinery.new_response(&machinery.row(run), &machinery.shares_of_run(run));
        let new = new.ok();
        let of = ForetoldOf::NewRunLike(model.runs[run].clone());
        let ends = new.and_then(|new| new.interval);
        found.extend(ends.into_iter().flat_map(|ends| Foretold::both(ends, &of)));
    }
    found
}

#[cfg(test)]
mod tests {
    use crate::caveat::{Doubt, ForetoldOf, Prediction};
    use crate::regression::tests::testing::{choice, model, runs};
    use crate::regression::{FitData, FittedModel, ModelParams};

    fn purity(responses: Vec<f64>) -> FitData {
        let routes: Vec<&str> = (0..responses.len())
            .map(|run| ["chill", "boildown"][run % 2])
            .collect();
        let route = choice("route", &["chill", "boildown"], &routes);
        runs(responses, vec![route])
    }

    fn fitted(data: &FitData, unit: &str) -> FittedModel {
        ModelParams {
            unit: unit.into(),
            ..model(&["route"])
        }
        .fitted(data)
    }

    fn doubt(model: &FittedModel) -> Option<(Doubt, Prediction)> {
        model.caveats.iter().find_map(|caveat| match &caveat.doubt {
            Doubt::PredictionBeyondOne(found) | Doubt::PredictionBelowZero(found) => {
                Some((caveat.doubt.clone(), found.clone()))
            }
            _ => None,
        })
    }

    #[track_caller]
    fn check(
        model: &FittedModel,
        kind: fn(Prediction) -> Doubt,
        value: f64,
        of: ForetoldOf,
    ) -> Prediction {
        let (found, prediction) = doubt(model).unwrap();
        assert_eq!((found, &prediction.of), (kind(prediction.clone()), &of));
        assert!((prediction.value - value).abs() < 0.0005, "{prediction:?}");
        prediction
    }

    fn mean_at(level: &str) -> ForetoldOf {
        ForetoldOf::Mean {
            factor: "route".into(),
            level: level.into(),
        }
    }

    #[test]
    fn a_new_run_beyond_100_percent_is_told_with_its_number() {
        // Two levels of two runs each, with pooled variance 0.000018 and 2 degrees of freedom. By Student's table (0.975
        // and 2: 4.302653) a mean lies within 0.98 ± 0.01291, a new run within 0.98 ± 4.302653·√(0.000018·1.5).
        let data = purity(vec![0.977, 0.937, 0.983, 0.943]);
        let like = ForetoldOf::NewRunLike("1".into());
        let kind = Doubt::PredictionBeyondOne;
        let found = check(&fitted(&data, "1"), kind, 1.0024, like);
        assert_eq!(found.odd, None);
    }

    #[test]
    fn a_mean_is_told_before_a_new_run() {
        // As above, with variance 0.00005: the mean lies within 0.99 ± 4.302653·√(0.00005/2), up to 1.01151.
        let model = fitted(&purity(vec![0.985, 0.935, 0.995, 0.945]), "1");
        let kind = Doubt::PredictionBeyondOne;
        check(&model, kind, 1.0115, mean_at("chill"));
    }

    #[test]
    fn below_zero_is_told_as_such() {
        let model = fitted(&purity(vec![0.015, 0.065, 0.005, 0.055]), "1");
        let kind = Doubt::PredictionBelowZero;
        check(&model, kind, -0.0115, mean_at("chill"));
    }

    #[test]
    fn a_run_that_is_itself_outside_is_named_first() {
        let model = fitted(&purity(vec![1.003, 0.935, 1.001, 0.945]), "1");
        let kind = Doubt::PredictionBeyondOne;
        let found = check(&model, kind, 1.002, ForetoldOf::Run("1".into()));
        let odd = found.odd.unwrap();
        assert_eq!((odd.run.as_str(), odd.value), ("1", 1.003));
    }

    #[test]
    fn well_inside_on_the_logit_scale_or_in_another_unit_there_is_no_doubt() {
        let near = purity(vec![0.985, 0.935, 0.995, 0.945]);
        assert_eq!(doubt(&fitted(&near, "g")), None);
        let inside = purity(vec![0.6, 0.5, 0.61, 0.51]);
        assert_eq!(doubt(&fitted(&inside, "1")), None);
        let logit = ModelParams {
            unit: "1".into(),
            ..model(&["route"]).on_logit()
        };
        assert_eq!(doubt(&logit.fitted(&near)), None);
    }
}
