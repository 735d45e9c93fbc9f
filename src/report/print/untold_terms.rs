//! Terms that cannot be told, and what would tell them, in words.
//!
//! In: what the regression found. Out: clauses with names between backticks, not escaped.
//! This module never decides what can be told.

use super::aim_names::Called;
use super::words::{and_list, around, joined, or_list};
use crate::regression::{AmountAt, Proposal, ReferenceMix, Tangled, TermName, TermPiece};

/// Values of an amount that are listed.
const MOST_VALUES: usize = 5;

/// Levels of a choice that are listed.
const MOST_LEVELS: usize = 10;

/// Terms as they are written, each by itself.
pub fn written(terms: &[TermName]) -> Vec<String> {
    terms.iter().map(TermName::to_string).collect()
}

/// What was seen of terms that cannot be told.
pub fn tangled(why: &Tangled) -> String {
    match why {
        Tangled::NeverRun(term) => format!("{} was never run", quoted(term)),
        Tangled::Values {
            amount,
            values: seen,
        } => {
            let amount = quoted(amount);
            match seen.as_slice() {
                [only] => format!("{amount} was {only} in every run"),
                some if some.len() <= MOST_VALUES => {
                    format!(
                        "{amount} took only the values {}",
                        and_list(some.iter().map(f64::to_string))
                    )
                }
                many => format!("{amount} took only {} different values", many.len()),
            }
        }
        Tangled::NotShown(term) => format!("no run shows {}", quoted(term)),
        Tangled::OnlyTogether(terms) => {
            let names = and_list(terms.iter().map(quoted));
            format!("only ever changed together: {names}")
        }
    }
}

/// A run that would tell tangled terms apart.
pub fn proposal(proposal: &Proposal) -> String {
    match proposal {
        Proposal::OneWithoutTheOthers => {
            "runs that change one of these terms without the others".to_string()
        }
        Proposal::Beside {
            level,
            choice,
            levels,
        } => {
            let other = if levels.len() > MOST_LEVELS {
                format!("{} at another level", quoted(choice))
            } else {
                format!("{} at {}", quoted(choice), or_list(levels))
            };
            format!("a run with {} and {other}", quoted(level))
        }
        Proposal::Levels(levels) => format!("a run with {}", and_list(levels.iter().map(quoted))),
        Proposal::Moved {
            levels,
            amount,
            away_from,
            with,
        } => {
            let amount = quoted(amount);
            let moved = if away_from.len() <= MOST_VALUES {
                format!(
                    "{amount} away from {}",
                    and_list(away_from.iter().map(f64::to_string))
                )
            } else {
                format!("{amount} changed on its own")
            };
            a_run_with(levels, moved, with)
        }
        Proposal::At {
            levels,
            amount,
            values,
            with,
        } => {
            let amount = quoted(amount);
            let at = if values.len() <= MOST_VALUES {
                let values: Vec<String> = values.iter().map(f64::to_string).collect();
                format!("{amount} at {}", or_list(&values))
            } else {
                format!("{amount} at another of its values in the log")
            };
            a_run_with(levels, at, with)
        }
    }
}

/// A run at levels, with what an amount does, and with other amounts where they stand.
fn a_run_with(levels: &[TermPiece], does: String, with: &[AmountAt]) -> String {
    let levels = (!levels.is_empty()).then(|| and_list(levels.iter().map(quoted)));
    let with = with
        .iter()
        .map(|at| format!("{} at {}", quoted(&at.amount), at.value));
    let parts = levels.into_iter().chain([does]).chain(with);
    format!("a run with {}", and_list(parts))
}

/// What the factors besides the one that is looked at stood at.
pub fn mix(mix: &ReferenceMix, called: Called) -> String {
    let amounts = and_list(mix.amounts.iter().map(|name| called(name)));
    let amounts = around("", &amounts, " at the mean of the runs");
    let choices = mix.choices.iter().map(|choice| {
        let levels = and_list(&choice.levels);
        format!("{} equally over {levels}", called(&choice.factor))
    });
    let parts = [amounts].into_iter().chain(choices);
    match joined(parts.filter(|part| !part.is_empty()), "; ").as_str() {
        "" => "nothing else is in the model".into(),
        parts => parts.into(),
    }
}

/// A name between backticks.
pub fn quoted(name: impl std::fmt::Display) -> String {
    format!("`{name}`")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_values_of_an_amount_are_listed_and_many_counted() {
        let words = |values: &[f64]| {
            tangled(&Tangled::Values {
                amount: "ratio".into(),
                values: values.to_vec(),
            })
        };
        assert_eq!(words(&[0.25]), "`ratio` was 0.25 in every run");
        assert_eq!(
            words(&[0.0, 0.25, 1.0]),
            "`ratio` took only the values 0, 0.25 and 1"
        );
        assert_eq!(
            words(&[0.0, 1.0, 2.0, 3.0, 4.0, 5.0]),
            "`ratio` took only 6 different values"
        );
    }

    #[test]
    fn terms_stand_between_backticks() {
        let term = |factor: &str, level: &str| {
            TermName::of(TermPiece::Level {
                factor: factor.into(),
                level: level.into(),
            })
        };
        let [arc, hob] = [term("heating", "arc"), term("heating", "hob")];
        assert_eq!(
            tangled(&Tangled::NeverRun(arc.clone())),
            "`heating: arc` was never run"
        );
        assert_eq!(
            tangled(&Tangled::NotShown(arc.clone())),
            "no run shows `heating: arc`"
        );
        assert_eq!(
            tangled(&Tangled::OnlyTogether(vec![arc, hob])),
            "only ever changed together: `heating: arc` and `heating: hob`"
        );
    }
}
