//! Failed diagnostics as doubts, each with its subject.
//!
//! In: the diagnostics of a model. Out: [`Caveat`]s.
//! This module never judges a diagnostic: its reading says whether it failed.

use crate::caveat::{Caveat, Doubt, Found};
use crate::regression::{Changing, Diagnostic, DiagnosticKind, Reading};

/// A doubt for each diagnostic of the model of a response that failed; neighbours count once.
pub(super) fn doubts(response: &str, diagnostics: &[Diagnostic]) -> Vec<Caveat> {
    let found = diagnostics
        .iter()
        .filter(|diagnostic| diagnostic.what != DiagnosticKind::Neighbours)
        .filter_map(|diagnostic| {
            let (found, names) = failed(&diagnostic.reading)?;
            let p = diagnostic.p;
            let doubt = Doubt::DiagnosticFailed { found, names, p };
            Some(Caveat::of_response(response, doubt))
        });
    found.collect()
}

/// What a reading found, and about what; `None` where it does not call for a look.
fn failed(reading: &Reading) -> Option<(Found, Vec<String>)> {
    let one = |name: &String| vec![name.clone()];
    Some(match reading {
        Reading::RunsBeyondChance { called_out, .. } => {
            (Found::RunsBeyondChance, called_out.clone())
        }
        Reading::OnlyRunsWithATerm(runs) => (Found::OnlyRunsWithATerm, runs.clone()),
        Reading::RunDecidesFit(run) => (Found::RunDecidesFit, one(run)),
        Reading::TermMissing => (Found::TermMissing, Vec::new()),
        Reading::NotNormal => (Found::NotNormal, Vec::new()),
        Reading::SpreadChanges => (Found::SpreadChanges, Vec::new()),
        Reading::NeighboursAlike => (Found::NeighboursAlike, Vec::new()),
        Reading::NeighboursOpposite => (Found::NeighboursOpposite, Vec::new()),
        Reading::WentWithOrder(went) => {
            let names = went.iter().map(|what| match what {
                Changing::Amount { factor } => factor.clone(),
                Changing::Level { factor, level } => format!("{factor}: {level}"),
            });
            (Found::WentWithOrder, names.collect())
        }
        Reading::TermBadlyBlurred(term) => (Found::TermBadlyBlurred, one(term)),
        Reading::StronglyTogether(terms) => (Found::StronglyTogether, terms.clone()),
        _ => return None,
    })
}
