//! Which decisions rest on one run?
//!
//! In: a checked model, its fit and the runs. Out: [`DecisionChange`]s: what each fit without one run would decide otherwise.
//! This module never advises to leave a run out.

use super::{Diagnostic, DiagnosticKind, Reading, RestingDecision, WhyNot};
use crate::regression::asked::{FactorValues, FitData, ValidModel};
use crate::regression::measured::Closeness;
use crate::regression::model::FittedModel;

/// Most runs for which the model is fitted again without each.
pub const MOST_REFITS: usize = 500;

/// What one run more or less decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// The effect matters, and would not without the run.
    NoLongerMatters,
    /// The effect does not show, and would without the run.
    WouldMatter,
    /// The term could not be told without the run.
    CouldNotBeTold,
    /// Without the run there would be no fit at all.
    NoFit,
}

/// A decision that would be another one without one run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DecisionChange {
    /// Name of the run.
    pub run: String,
    /// The effect or the term that it is about; empty for the fit as a whole.
    pub about: String,
    /// What would change.
    pub change: Change,
}

/// The changes by effect and kind, in the order in which they come up.
fn decisions(changes: &[DecisionChange]) -> Vec<RestingDecision> {
    let mut found: Vec<RestingDecision> = Vec::new();
    for change in changes {
        let same = found
            .iter_mut()
            .find(|known| known.about == change.about && known.change == change.change);
        match same {
            Some(known) => known.runs.push(change.run.clone()),
            None => found.push(RestingDecision {
                about: change.about.clone(),
                change: change.change,
                runs: vec![change.run.clone()],
            }),
        }
    }
    found
}

/// What each fit without one run would decide otherwise, in run order; None above [`MOST_REFITS`] runs.
///
/// An effect matters when the chance of its test lies below `1 − confidence`.
pub fn decisions_without_one_run(
    valid: &ValidModel,
    model: &FittedModel,
    data: &FitData,
) -> Option<Vec<DecisionChange>> {
    if data.runs.len() > MOST_REFITS {
        return None;
    }
    let mut changes = Vec::new();
    for (run, refitted) in refits(valid, data).into_iter().enumerate() {
        let change = |about: &str, change: Change| DecisionChange {
            run: data.runs[run].clone(),
            about: about.to_string(),
            change,
        };
        let Some(refitted) = refitted else {
            changes.push(change("", Change::NoFit));
            continue;
        };
        for term in &model.terms {
            if refitted.term(&term.name).is_none() {
                changes.push(change(&term.name.to_string(), Change::CouldNotBeTold));
            }
        }
        let level = 1.0 - model.confidence;
        for test in &model.tests {
            let other = refitted
                .tests
                .iter()
                .find(|other| other.factors == test.factors);
            let Some((before, after)) = test.p.zip(other.and_then(|other| other.p)) else {
                continue;
            };
            match (before < level, after < level) {
                (true, false) => changes.push(change(&test.name(), Change::NoLongerMatters)),
                (false, true) => changes.push(change(&test.name(), Change::WouldMatter)),
                _ => {}
            }
        }
    }
    Some(changes)
}

/// The model fitted without each run in turn, on all processors; each fit is the same whoever makes it.
fn refits(valid: &ValidModel, data: &FitData) -> Vec<Option<FittedModel>> {
    let count = data.runs.len();
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    let share = count.div_ceil(workers).max(1);
    let mut refits: Vec<Option<FittedModel>> = vec![None; count];
    std::thread::scope(|scope| {
        for (worker, chunk) in refits.chunks_mut(share).enumerate() {
            scope.spawn(move || {
                for (offset, refit) in chunk.iter_mut().enumerate() {
                    let rest = without(data, worker * share + offset);
                    *refit = valid.fit_to(&rest, Closeness::FOR_DECISIONS).ok();
                }
            });
        }
    });
    refits
}

/// The runs but one, with what is known of their errors.
fn without(data: &FitData, run: usize) -> FitData {
    let mut rest = data.clone();
    rest.runs.remove(run);
    rest.response.remove(run);
    for factor in &mut rest.factors {
        match &mut factor.values {
            FactorValues::Amount(values) => {
                values.remove(run);
            }
            FactorValues::Choice { codes, .. } => {
                codes.remove(run);
            }
        }
    }
    let known = &mut rest.measurement;
    if run < known.own.len() {
        known.own.remove(run);
    }
    for source in &mut known.shared {
        source.effects.retain(|effect| effect.run != run);
        for effect in &mut source.effects {
            effect.run -= usize::from(effect.run > run);
        }
    }
    known.shared.retain(|source| !source.effects.is_empty());
    rest
}

/// What the fits without one run say.
pub(super) fn diagnose(valid: &ValidModel, model: &FittedModel, data: &FitData) -> Diagnostic {
    let what = DiagnosticKind::RestsOnOneRun;
    let Some(changes) = decisions_without_one_run(valid, model, data) else {
        return Diagnostic::not_judged(what, WhyNot::TooManyToRefit);
    };
    let decisions = decisions(&changes);
    let count = decisions.len() as f64;
    let reading = if decisions.is_empty() {
        Reading::NoneRestsOnOneRun
    } else {
        Reading::SomeRestOnOneRun { decisions }
    };
    let mut runs: Vec<String> = changes.iter().map(|change| change.run.clone()).collect();
    runs.dedup();
    Diagnostic::new(what, count, reading).about(runs)
}

#[cfg(test)]
mod tests {
    use super::*;
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
        let rest = without(&data, 1);
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
