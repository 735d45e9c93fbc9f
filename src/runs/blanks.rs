//! Blanks that several titrations share.
//!
//! In: the blanks log. Out: a volume \[mL\] by the name of each blank, whose error is one for all titrations that name it.
//! This module never takes two titrations for corrected by one blank because both hold the same figure.

use std::collections::BTreeMap;

use super::reading_errors::{Book, Spread};
use crate::distributions::{chi_squared_upper, mean};
use crate::intake::{BlankTitre, Logged};
use crate::measured::Measured;
use crate::name::Name;

/// Chance below which replicates of a blank scatter further than their stated errors explain.
const LEVEL: f64 = 0.05;

/// Titrant used without sample \[mL\], by the name of the blank.
pub type Blanks = BTreeMap<Name, Measured>;

/// Mean of the replicates of each blank. Where no error of theirs is stated, or they scatter further than what is stated
/// explains, the rest of the error of the mean is one source more.
///
/// `u² = Σuᵢ²/n²`; `χ² = Σ (Vᵢ − V̄)²/u²` of one with `n − 1` degrees of freedom; `s²/n` in all, with `s²` of the replicates.
///
/// # Assumes
/// Replicates have one error each, of one size, and share none but that of the burette, which stands with the titre.
/// # Source
/// JCGM 100:2008, 4.2.3 (mean of repeated readings).
pub(super) fn blanks(logged: &Logged, book: &mut Book) -> Blanks {
    let mut rows: BTreeMap<&Name, Vec<&BlankTitre>> = BTreeMap::new();
    for row in &logged.blanks {
        rows.entry(&row.blank).or_default().push(row);
    }
    let of_rows = |(name, rows): (&Name, Vec<&BlankTitre>)| {
        let read = |row: &&BlankTitre| book.reading(row.titre, &["blank", "titre"], "blank");
        let single: Vec<Measured> = rows.iter().map(read).collect();
        let blank = Measured::sum(&single) / single.len() as f64;
        let more = more_scatter(&single, blank.uncertainty());
        let blank = match more {
            Some(spread) => &blank + &book.own(0.0, "replicates of blanks", spread),
            None => blank,
        };
        (name.clone(), blank)
    };
    rows.into_iter().map(of_rows).collect()
}

/// What the scatter of replicates adds to the error of their mean, whose stated part is `stated`.
fn more_scatter(single: &[Measured], stated: f64) -> Option<Spread> {
    let values: Vec<f64> = single.iter().map(Measured::value).collect();
    let (count, middle) = (values.len() as f64, mean(&values));
    let degrees = count - 1.0;
    if degrees < 1.0 {
        return None;
    }
    let square: f64 = values.iter().map(|value| (value - middle).powi(2)).sum();
    let of_mean = square / degrees / count;
    let agrees = stated > 0.0
        && chi_squared_upper(square / (stated * stated * count), degrees)
            .is_none_or(|chance| chance >= LEVEL);
    let more = (of_mean - stated * stated).max(0.0).sqrt();
    (!agrees && more > 0.0).then(|| Spread::normal(more, degrees))
}
