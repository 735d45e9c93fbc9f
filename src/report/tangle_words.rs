//! How terms that cannot be told, and what would tell them, are put into words.
//!
//! In: what the regression found. Out: clauses with names between backticks, not escaped.
//! This module never decides what can be told.

use super::words::{and_list, or_list};
use crate::regression::{Proposal, ReferenceMix, TermName, TermPiece};

/// Values of an amount that are listed.
const MOST_VALUES: usize = 5;

/// Levels of a choice that are listed.
const MOST_LEVELS: usize = 10;

/// Terms as they are written, each by itself.
pub(super) fn written(terms: &[TermName]) -> Vec<String> {
    terms.iter().map(TermName::to_string).collect()
}

/// A run that would tell tangled terms apart.
pub(super) fn proposal(proposal: &Proposal) -> String {
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
        Proposal::Levels(levels) => format!("a run with {}", and_list(&pieces(levels))),
        Proposal::Moved {
            levels,
            amount,
            away_from,
            with,
        } => {
            let amount = quoted(amount);
            let moved = if away_from.len() <= MOST_VALUES {
                format!("{amount} away from {}", and_list(&values(away_from)))
            } else {
                format!("{amount} changed on its own")
            };
            let mut parts: Vec<String> = Vec::new();
            if !levels.is_empty() {
                parts.push(and_list(&pieces(levels)));
            }
            parts.push(moved);
            parts.extend(
                with.iter()
                    .map(|at| format!("{} at {}", quoted(&at.amount), at.value)),
            );
            format!("a run with {}", and_list(&parts))
        }
    }
}

/// What the factors besides the one that is looked at stood at.
pub(super) fn mix(mix: &ReferenceMix) -> String {
    let mut parts = Vec::new();
    if !mix.amounts.is_empty() {
        let amounts: Vec<String> = mix.amounts.iter().map(quoted).collect();
        parts.push(format!("{} at the mean of the runs", and_list(&amounts)));
    }
    parts.extend(mix.choices.iter().map(|choice| {
        let levels = and_list(&choice.levels);
        format!("{} equally over {levels}", quoted(&choice.factor))
    }));
    if parts.is_empty() {
        "nothing else is in the model".to_string()
    } else {
        parts.join("; ")
    }
}

fn pieces(pieces: &[TermPiece]) -> Vec<String> {
    pieces.iter().map(quoted).collect()
}

fn values(values: &[f64]) -> Vec<String> {
    values.iter().map(f64::to_string).collect()
}

fn quoted(name: impl std::fmt::Display) -> String {
    format!("`{name}`")
}
