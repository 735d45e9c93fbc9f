//! Decisions that rest on one run.
//!
//! In: a checked model, its fit and the runs. Out: [`RestingDecision`]s: what fits without one run would decide otherwise.
//! This module never advises to leave a run out.

use super::{Change, Diagnostic, DiagnosticKind, Reading, RestingDecision, WhyNot};
use crate::at_once::on_all_cores;
use crate::regression::asked::{FitData, ValidModel};
use crate::regression::measured::{Closeness, told_by_few};
use crate::regression::model::FittedModel;

/// Most runs for which the model is fitted again without each.
pub const MOST_REFITS: usize = 500;

/// Most work of all these fits, in runs squared times terms squared: what 500 runs of 28 terms take.
const MOST_WORK: usize = 200_000_000;

/// What fits without one run would decide otherwise, by effect and kind in the order in which they come up; None above [`MOST_REFITS`] runs,
/// or where runs and terms together are too many.
///
/// An effect matters when the chance of its test lies below `1 − confidence`.
///
/// # Assumes
/// `model` is the fit of `valid` to `data`. Each fit without one run is made anew in the same way, variances included,
/// as near as decisions need.
/// # Source
/// Cook and Weisberg, Residuals and Influence in Regression, 1982, chapter 3 (leaving out one case at a time).
pub fn decisions_without_one_run(
    valid: &ValidModel,
    model: &FittedModel,
    data: &FitData,
) -> Option<Vec<RestingDecision>> {
    let (runs, rank) = (data.runs.len(), model.rank);
    if runs > MOST_REFITS || (runs * rank).pow(2) > MOST_WORK {
        return None;
    }
    let mut decisions: Vec<RestingDecision> = Vec::new();
    for (run, refitted) in data.runs.iter().zip(refits(valid, model, data)) {
        for (about, change) in changes(model, refitted.as_ref()) {
            let mut known = decisions.iter_mut();
            match known.find(|known| known.about == about && known.change == change) {
                Some(known) => known.runs.push(run.clone()),
                None => decisions.push(RestingDecision {
                    about,
                    change,
                    runs: vec![run.clone()],
                }),
            }
        }
    }
    Some(decisions)
}

/// What the fit without a run decides otherwise: the effect or the term that it is about, and the change.
fn changes(model: &FittedModel, refitted: Option<&FittedModel>) -> Vec<(String, Change)> {
    let Some(refitted) = refitted else {
        return vec![(String::new(), Change::NoFit)];
    };
    let lost = model.terms.iter().map(|term| &term.name);
    let lost = lost.filter(|name| refitted.term(name).is_none());
    let mut changes: Vec<(String, Change)> = lost
        .map(|name| (name.to_string(), Change::CouldNotBeTold))
        .collect();
    let level = 1.0 - model.confidence;
    for test in &model.tests {
        let mut others = refitted.tests.iter();
        let other = others.find(|other| other.factors == test.factors);
        let Some((before, after)) = test.p.zip(other.and_then(|other| other.p)) else {
            continue;
        };
        match (before < level, after < level) {
            (true, false) => changes.push((test.name(), Change::NoLongerMatters)),
            (false, true) => changes.push((test.name(), Change::WouldMatter)),
            _ => {}
        }
    }
    changes
}

/// The model fitted without each run in turn; each fit is the same whoever makes it.
fn refits(valid: &ValidModel, model: &FittedModel, data: &FitData) -> Vec<Option<FittedModel>> {
    let data = FitData {
        measurement: told_by_few(&data.measurement),
        ..data.clone()
    };
    let runs = (0..data.runs.len()).collect();
    on_all_cores(runs, |run| {
        let rest = data.without(&[run]);
        valid.fit_to(&rest, Closeness::FOR_TESTS, Some(model)).ok()
    })
}

/// What the fits without one run say.
pub(super) fn diagnose(valid: &ValidModel, model: &FittedModel, data: &FitData) -> Diagnostic {
    let what = DiagnosticKind::RestsOnOneRun;
    let Some(decisions) = decisions_without_one_run(valid, model, data) else {
        return Diagnostic::not_judged(what, WhyNot::TooManyToRefit);
    };
    let rests = |run: &&String| decisions.iter().any(|decision| decision.runs.contains(run));
    let runs = data.runs.iter().filter(rests).cloned().collect();
    let count = decisions.len() as f64;
    let reading = if decisions.is_empty() {
        Reading::NoneRestsOnOneRun
    } else {
        Reading::SomeRestOnOneRun(decisions)
    };
    Diagnostic::new(what, count, reading).about(runs)
}

#[cfg(test)]
mod tests {
    use crate::regression::tests::testing::{amount, runs};
    use crate::regression::{ErrorEffect, ErrorSize, OwnError, SharedError};

    fn shared(name: &str, runs: &[usize]) -> SharedError {
        let effect = |&run: &usize| ErrorEffect {
            run,
            size: ErrorSize::Relative(0.01 * run as f64),
        };
        SharedError {
            name: name.to_string(),
            effects: runs.iter().map(effect).collect(),
        }
    }

    #[test]
    fn what_is_known_of_the_errors_stays_with_its_runs() {
        let mut data = runs(vec![1.0, 2.0, 3.0], vec![amount("x", vec![4.0, 5.0, 6.0])]);
        data.measurement.shared = vec![shared("lot", &[0, 2]), shared("titrant", &[1])];
        data.measurement.own = [1.0, 2.0, 3.0]
            .map(|absolute| OwnError {
                relative: 0.0,
                absolute,
            })
            .to_vec();
        let rest = data.without(&[1]);
        assert_eq!(rest.runs, ["1", "3"]);
        assert_eq!(rest.response, [1.0, 3.0]);
        assert_eq!(rest.factors[0].amounts(), Some(&[4.0, 6.0][..]));
        let own: Vec<f64> = rest
            .measurement
            .own
            .iter()
            .map(|own| own.absolute)
            .collect();
        assert_eq!(own, [1.0, 3.0]);
        assert_eq!(rest.measurement.shared.len(), 1);
        let effects = &rest.measurement.shared[0].effects;
        assert_eq!(effects[1].run, 1);
        assert_eq!(effects[1].size, ErrorSize::Relative(0.02));
    }
}
