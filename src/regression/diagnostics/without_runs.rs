//! Which decisions rest on one run?
//!
//! In: a checked model, its fit and the runs. Out: [`DecisionChange`]s: what each fit without one run would decide otherwise.
//! This module never advises to leave a run out.

use super::Diagnostic;
use crate::regression::data::{FactorValues, FitData};
use crate::regression::fitted::FittedModel;
use crate::regression::params::ValidModel;
use crate::regression::rounds::Closeness;
use crate::regression::words::{one_of, quoted};

/// Most runs for which the model is fitted again without each.
pub const MOST_REFITS: usize = 500;

/// Runs that the verdict names for one decision; it counts more than that.
const MOST_NAMED: usize = 5;

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

/// Changes of the same kind about the same effect, with the runs that each make it.
struct Decision<'a> {
    about: &'a str,
    change: Change,
    runs: Vec<String>,
}

impl Decision<'_> {
    /// The change in words, without a full stop.
    fn told(&self) -> String {
        let about = quoted(self.about);
        let runs: Vec<String> = self.runs.iter().map(|run| quoted(run)).collect();
        let which = match runs.as_slice() {
            [only] => format!("run {only}"),
            few if few.len() <= MOST_NAMED => format!("any one of {}", one_of(few)),
            many => format!("any one of {} runs", many.len()),
        };
        match self.change {
            Change::NoLongerMatters => format!("without {which}, {about} would no longer matter"),
            Change::WouldMatter => format!("without {which}, {about} would matter"),
            Change::CouldNotBeTold => format!("without {which}, {about} could not be told"),
            Change::NoFit => format!("without {which} there would be no fit"),
        }
    }
}

/// The changes by effect and kind, in the order in which they come up.
fn decisions(changes: &[DecisionChange]) -> Vec<Decision<'_>> {
    let mut found: Vec<Decision> = Vec::new();
    for change in changes {
        let same = found
            .iter_mut()
            .find(|known| known.about == change.about && known.change == change.change);
        match same {
            Some(known) => known.runs.push(change.run.clone()),
            None => found.push(Decision {
                about: &change.about,
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

/// The verdict on decisions that rest on one run.
pub(super) fn diagnose(valid: &ValidModel, model: &FittedModel, data: &FitData) -> Diagnostic {
    let name = "decisions that rest on one run";
    let Some(changes) = decisions_without_one_run(valid, model, data) else {
        let verdict =
            format!("not looked at above {MOST_REFITS} runs, where no single run decides much");
        return Diagnostic::new(name, None, verdict);
    };
    let decisions = decisions(&changes);
    let told: Vec<String> = decisions.iter().map(Decision::told).collect();
    let verdict = if told.is_empty() {
        "every effect would be judged the same without any one run".to_string()
    } else {
        told.join("; ")
    };
    let mut runs: Vec<String> = changes.iter().map(|change| change.run.clone()).collect();
    runs.dedup();
    Diagnostic::new(name, Some(decisions.len() as f64), verdict).about(runs)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::regression::testing::{amount, runs};
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
