//! Does a model of a fraction foretell what no fraction can be?
//!
//! In: what the fit knows, its fitted values and adjusted means. Out: a [`Caveat`] with the furthest value, or nothing.
//! This module never changes the scale by itself.

use super::fitted::{FittedModel, Interval};
use super::scale::ResponseScale;
use super::words::quoted;
use crate::caveat::{About, Caveat};

/// The unit of a fraction.
const FRACTION: &str = "1";

/// How many runs with the highest fitted values, and with the lowest, are looked at for a new run; the others lie further inside.
const MOST_RUNS: usize = 200;

/// Most decimals of a percentage that lies only just outside.
const MOST_DECIMALS: usize = 12;

/// One value that was foretold.
struct Foretold {
    value: f64,
    what: String,
}

impl Foretold {
    /// How far outside 0 to 1 it lies; negative inside.
    fn outside(&self) -> f64 {
        (self.value - 1.0).max(-self.value)
    }

    fn both(ends: Interval, what: &str) -> [Self; 2] {
        [ends.low, ends.high].map(|value| Self {
            value,
            what: what.to_string(),
        })
    }
}

/// The doubt about a plain fit of a fraction that leaves 0 to 1; fitted values first, then means, then new runs.
///
/// A response counts as a fraction when its unit is `1` and its mean lies between 0 and 1.
pub(crate) fn doubt(model: &FittedModel) -> Option<Caveat> {
    let responses = &model.machinery.data.response;
    let mean = super::overall::mean(responses);
    let fraction = model.unit == FRACTION && mean > 0.0 && mean < 1.0;
    if model.scale != ResponseScale::Plain || !fraction {
        return None;
    }
    let found = furthest(fitted(model))
        .or_else(|| furthest(means(model)))
        .or_else(|| furthest(new_runs(model)))?;
    let name = quoted(&model.response);
    let key = model.response.as_str();
    // Both are texts of the campaign file, so that a name with blanks needs its quotes.
    let bare = key
        .chars()
        .all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
    let key = if bare {
        key.to_string()
    } else {
        format!("{key:?}")
    };
    let setting = format!("`scale = {{ {key} = \"logit\" }}` under `[model]`");
    let inside = |y: f64| y > 0.0 && y < 1.0;
    let odd = responses.iter().position(|&y| !inside(y));
    let advice = match odd {
        None => format!("set {setting}: on that scale no prediction leaves 0 to 100 %"),
        Some(run) => format!(
            "if {name} is a fraction, look for a slip in the log of run {}, which itself came to {}; once every run lies inside, set {setting}",
            quoted(&model.runs[run]),
            percent(responses[run])
        ),
    };
    Some(Caveat {
        kind: if found.value > 1.0 {
            "prediction beyond 100 %"
        } else {
            "prediction below 0 %"
        },
        about: About::Model(model.response.clone()),
        seen: format!(
            "the model of {name} is a straight sum and reaches {} for {}",
            percent(found.value),
            found.what
        ),
        advice,
    })
}

/// The value that lies furthest outside, if one does; of equals the first.
fn furthest(foretold: Vec<Foretold>) -> Option<Foretold> {
    let outside = foretold.into_iter().filter(|value| value.outside() > 0.0);
    outside.reduce(|best, next| {
        if next.outside() > best.outside() {
            next
        } else {
            best
        }
    })
}

fn fitted(model: &FittedModel) -> Vec<Foretold> {
    let runs = model.runs.iter().zip(&model.fitted);
    let outside = runs.filter(|(_, value)| !(0.0..=1.0).contains(*value));
    outside
        .map(|(run, &value)| Foretold {
            value,
            what: format!("the fitted value of run {}", quoted(run)),
        })
        .collect()
}

fn means(model: &FittedModel) -> Vec<Foretold> {
    let mut found = Vec::new();
    for means in &model.adjusted_means {
        for level in &means.levels {
            let what = format!(
                "an end of the interval of {} at {}",
                quoted(&means.factor),
                quoted(&level.level)
            );
            let ends = level.mean.as_ref().and_then(|mean| mean.interval);
            found.extend(
                ends.into_iter()
                    .flat_map(|ends| Foretold::both(ends, &what)),
            );
        }
    }
    found
}

fn new_runs(model: &FittedModel) -> Vec<Foretold> {
    let machinery = &model.machinery;
    let mut order: Vec<usize> = (0..model.runs.len()).collect();
    order.sort_by(|&a, &b| model.fitted[a].total_cmp(&model.fitted[b]));
    if order.len() > 2 * MOST_RUNS {
        order.drain(MOST_RUNS..order.len() - MOST_RUNS);
    }
    let mut row = vec![0.0; machinery.design.columns.len()];
    let mut found = Vec::new();
    for run in order {
        machinery
            .coding
            .row(&machinery.design, &machinery.data, run, &mut row);
        let ends = machinery
            .new_response(&row)
            .ok()
            .and_then(|new| new.interval);
        let what = format!(
            "an end of the interval of a new run like {}",
            quoted(&model.runs[run])
        );
        found.extend(
            ends.into_iter()
                .flat_map(|ends| Foretold::both(ends, &what)),
        );
    }
    found
}

/// A fraction in per cent, with enough decimals to see on which side of 0 or 100 it lies.
fn percent(value: f64) -> String {
    let hundredfold = 100.0 * value;
    let side = |number: f64| (number > 100.0, number < 0.0);
    let shown = |decimals: usize| format!("{hundredfold:.decimals$}");
    let seen = |text: &String| {
        text.parse()
            .is_ok_and(|number: f64| side(number) == side(hundredfold))
    };
    let text = (1..MOST_DECIMALS).map(shown).find(seen);
    format!("{} %", text.unwrap_or_else(|| shown(MOST_DECIMALS)))
}

#[cfg(test)]
mod tests {
    use crate::regression::testing::{choice, model, runs};
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

    fn doubts(model: &FittedModel) -> Vec<(&'static str, String, String)> {
        let of_kind = model
            .caveats
            .iter()
            .filter(|c| c.kind.starts_with("prediction"));
        of_kind
            .map(|c| (c.kind, c.seen.clone(), c.advice.clone()))
            .collect()
    }

    #[test]
    fn a_new_run_beyond_100_percent_is_told_with_its_number_and_what_to_set() {
        // Two levels of two runs each, with pooled variance 0.000018 and 2 degrees of freedom. By Student's table (0.975
        // and 2: 4.302653) a mean lies within 0.98 ± 0.01291, a new run within 0.98 ± 4.302653·√(0.000018·1.5).
        let data = purity(vec![0.977, 0.937, 0.983, 0.943]);
        let found = doubts(&fitted(&data, "1"));
        assert_eq!(found.len(), 1);
        let (kind, seen, advice) = &found[0];
        assert_eq!(*kind, "prediction beyond 100 %");
        assert!(seen.contains("100.2 %"), "{seen}");
        assert!(seen.contains("new run like `1`"), "{seen}");
        assert!(advice.contains("`scale = { y = \"logit\" }`"), "{advice}");
        assert!(advice.contains("`[model]`"), "{advice}");
    }

    #[test]
    fn a_mean_is_told_before_a_new_run() {
        // As above, with variance 0.00005: the mean lies within 0.99 ± 4.302653·√(0.00005/2), up to 1.01151.
        let found = doubts(&fitted(&purity(vec![0.985, 0.935, 0.995, 0.945]), "1"));
        assert!(found[0].1.contains("101.2 %"), "{}", found[0].1);
        assert!(
            found[0].1.contains("interval of `route` at `chill`"),
            "{}",
            found[0].1
        );
    }

    #[test]
    fn below_zero_is_told_as_such() {
        let data = purity(vec![0.015, 0.065, 0.005, 0.055]);
        let found = doubts(&fitted(&data, "1"));
        assert_eq!(found[0].0, "prediction below 0 %");
        assert!(found[0].1.contains("-1.2 %"), "{}", found[0].1);
    }

    #[test]
    fn a_run_that_is_itself_outside_is_named_first() {
        let data = purity(vec![1.003, 0.935, 1.001, 0.945]);
        let found = doubts(&fitted(&data, "1"));
        assert!(
            found[0].1.contains("the fitted value of run `1`"),
            "{}",
            found[0].1
        );
        assert!(
            found[0].2.contains("run `1`, which itself came to 100.3 %"),
            "{}",
            found[0].2
        );
    }

    #[test]
    fn well_inside_on_the_logit_scale_or_in_another_unit_there_is_no_doubt() {
        let near = purity(vec![0.985, 0.935, 0.995, 0.945]);
        assert_eq!(doubts(&fitted(&near, "g")), []);
        assert_eq!(
            doubts(&fitted(&purity(vec![0.6, 0.5, 0.61, 0.51]), "1")),
            []
        );
        let logit = ModelParams {
            unit: "1".into(),
            ..model(&["route"]).on_logit()
        };
        assert_eq!(doubts(&logit.fitted(&near)), []);
    }
}
