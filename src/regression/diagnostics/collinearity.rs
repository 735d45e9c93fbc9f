//! Collinearity: terms that changed so much together that they can hardly be told apart.
//!
//! In: a checked model and the runs. Out: [`Collinearity`]: variance inflation, condition indices, variance shares.
//! This module never sees a response.
//!
//! The columns are those of the fit: amounts centred on their mid-range before powers and products are formed. So a power is not
//! blamed for resembling its own amount far from the runs.
//!
//! # Source
//! Belsley, Kuh and Welsch, Regression Diagnostics, 1980, 3.2 (condition indices and variance-decomposition proportions);
//! Marquardt, Technometrics 12 (1970), 591-612 (variance inflation).

use super::{Diagnostic, DiagnosticKind, Reading, WhyNot};
use crate::regression::algebra::{Matrix, dot, solve_upper, triangle};
use crate::regression::asked::{FitData, ValidModel};
use crate::regression::design::{Basis, Coding};

/// Sweeps of rotations; ten are enough for any matrix of this kind.
const SWEEPS: usize = 60;

/// Columns whose cosine is below this are orthogonal.
const ORTHOGONAL: f64 = 1e-15;

/// Variance inflation from which a term is noticeably blurred: common practice, no source.
pub const BLURRED: f64 = 5.0;

/// Variance inflation from which a term is badly blurred: common practice, no source.
pub const BADLY_BLURRED: f64 = 10.0;

/// Condition index from which terms hang together noticeably (Belsley, Kuh and Welsch, 3.2).
pub const TOGETHER: f64 = 10.0;

/// Condition index from which terms hang together strongly (same source).
pub const STRONGLY_TOGETHER: f64 = 30.0;

/// A term takes part in a near relation when more than this share of its variance comes from it (same source).
const TAKES_PART: f64 = 0.5;

/// A term with a figure of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct TermShare {
    /// Name of the term.
    pub term: String,
    /// The figure.
    pub share: f64,
}

/// How near the terms come to one relation among them.
#[derive(Debug, Clone, PartialEq)]
pub struct ConditionIndex {
    /// Largest singular value of the columns at unit length over this one.
    pub index: f64,
    /// For each term, the share of its variance that comes from this relation; over all relations they sum to one.
    pub shares: Vec<TermShare>,
}

/// How far the terms of a model hang together.
#[derive(Debug, Clone, PartialEq)]
pub struct Collinearity {
    /// For each term but the constant, by what factor its variance exceeds that with unrelated terms.
    pub inflation: Vec<TermShare>,
    /// The relations, the weakest first.
    pub conditions: Vec<ConditionIndex>,
    /// Terms that were left out because they depend on the others altogether.
    pub dependent: Vec<String>,
}

/// How far the terms of a model hang together in these runs.
///
/// `VIF_j = 1/(1 − R_j²)`, `R_j²` that of the term regressed on all others (about the mean if there is a constant);
/// condition index `η_k = σ_max/σ_k`, with `σ` the singular values of the columns at unit length, the constant among them;
/// variance share `π_kj = (v_jk/σ_k)² / Σ_k (v_jk/σ_k)²`, with `v` the right singular vectors.
/// None if the runs do not fit the model.
///
/// # Units and shapes
/// All figures are pure numbers and do not change with the unit of an amount.
/// # Assumes
/// Terms that depend on the others altogether are left out first and named.
/// # Source
/// Belsley, Kuh and Welsch, Regression Diagnostics, 1980, 3.2; Marquardt, Technometrics 12 (1970), 591-612.
pub fn collinearity(valid: &ValidModel, data: &FitData) -> Option<Collinearity> {
    let design = valid.design(data).ok()?;
    let coding = Coding::new(&design, &data.factors);
    let width = design.columns.len();
    // The last column would hold a response.
    let all = triangle(data.runs.len(), width + 1, |run, row| {
        coding.row(&design, data, run, &mut row[..width]);
    });
    let mut kept = Basis::of(&all, width).basis.independent;
    kept.sort_unstable();
    let constant = design.constant_column();
    // With the constant first, what stands below its row is about the mean.
    kept.sort_by_key(|&column| Some(column) != constant);
    let count = kept.len();
    let upper = triangle(width + 1, count, |row, entries| {
        for (entry, &column) in entries.iter_mut().zip(&kept) {
            *entry = all.get(row, column);
        }
    });
    let name = |column: usize| design.columns[column].name.to_string();
    let named = |column: usize, share: f64| TermShare {
        term: name(kept[column]),
        share,
    };
    let first = usize::from(constant.is_some_and(|constant| kept.first() == Some(&constant)));
    let inverse = inverse_squares(&upper, count);
    let inflation = (first..count).map(|column| {
        let own = &upper.column(column)[first..=column];
        named(column, dot(own, own) * inverse[column])
    });
    let dependent = (0..width).filter(|column| !kept.contains(column));
    Some(Collinearity {
        inflation: inflation.collect(),
        conditions: conditions(&upper, count, named),
        dependent: dependent.map(name).collect(),
    })
}

/// The diagonal of the inverse of `RᵀR`, as the sums of squares of the rows of `R⁻¹`.
fn inverse_squares(upper: &Matrix, count: usize) -> Vec<f64> {
    let mut sums = vec![0.0; count];
    for column in 0..count {
        let mut unit = vec![0.0; column + 1];
        unit[column] = 1.0;
        for (sum, part) in sums.iter_mut().zip(solve_upper(upper, &unit)) {
            *sum += part * part;
        }
    }
    sums
}

/// Singular values of the columns at unit length by one-sided rotations, as condition indices with variance shares.
///
/// # Source
/// Golub and Van Loan, Matrix Computations, 4th ed. 2013, 8.6.3 (one-sided Jacobi).
fn conditions(
    upper: &Matrix,
    count: usize,
    named: impl Fn(usize, f64) -> TermShare,
) -> Vec<ConditionIndex> {
    let mut columns: Vec<Vec<f64>> = (0..count)
        .map(|column| {
            let entries = &upper.column(column)[..count];
            let size = dot(entries, entries).sqrt();
            entries.iter().map(|entry| entry / size).collect()
        })
        .collect();
    let mut vectors = vec![vec![0.0; count]; count];
    for (place, vector) in vectors.iter_mut().enumerate() {
        vector[place] = 1.0;
    }
    for _ in 0..SWEEPS {
        let mut turned = false;
        for one in 0..count {
            for other in one + 1..count {
                let product = dot(&columns[one], &columns[other]);
                let [a, b] = [one, other].map(|column| dot(&columns[column], &columns[column]));
                if product.abs() <= ORTHOGONAL * (a * b).sqrt() {
                    continue;
                }
                turned = true;
                let zeta = (b - a) / (2.0 * product);
                let tangent = zeta.signum() / (zeta.abs() + zeta.hypot(1.0));
                let cosine = 1.0 / tangent.hypot(1.0);
                rotate(&mut columns, one, other, cosine, cosine * tangent);
                rotate(&mut vectors, one, other, cosine, cosine * tangent);
            }
        }
        if !turned {
            break;
        }
    }
    let sizes: Vec<f64> = columns.iter().map(|c| dot(c, c).sqrt()).collect();
    let largest = sizes.iter().copied().fold(0.0, f64::max);
    let part = |term: usize, relation: usize| (vectors[relation][term] / sizes[relation]).powi(2);
    let whole: Vec<f64> = (0..count)
        .map(|term| (0..count).map(|r| part(term, r)).sum())
        .collect();
    let shares = |relation: usize| {
        let own = |term: usize| named(term, part(term, relation) / whole[term]);
        (0..count).map(own).collect()
    };
    let mut found: Vec<ConditionIndex> = (0..count)
        .map(|relation| ConditionIndex {
            index: largest / sizes[relation],
            shares: shares(relation),
        })
        .collect();
    found.sort_by(|a, b| a.index.total_cmp(&b.index));
    found
}

fn rotate(columns: &mut [Vec<f64>], one: usize, other: usize, cosine: f64, sine: f64) {
    for row in 0..columns[one].len() {
        let (a, b) = (columns[one][row], columns[other][row]);
        columns[one][row] = cosine * a - sine * b;
        columns[other][row] = sine * a + cosine * b;
    }
}

/// What inflation and condition say.
pub(super) fn diagnose(valid: &ValidModel, data: &FitData) -> Vec<Diagnostic> {
    match collinearity(valid, data) {
        Some(found) => vec![inflation(&found), condition(&found)],
        None => [
            DiagnosticKind::VarianceInflation,
            DiagnosticKind::ConditionIndex,
        ]
        .map(|what| Diagnostic::not_judged(what, WhyNot::RunsDoNotFit))
        .to_vec(),
    }
}

fn inflation(found: &Collinearity) -> Diagnostic {
    let what = DiagnosticKind::VarianceInflation;
    let most = found
        .inflation
        .iter()
        .max_by(|a, b| a.share.total_cmp(&b.share));
    let Some(TermShare { term, share }) = most else {
        return Diagnostic::not_judged(what, WhyNot::ConstantAlone);
    };
    let term = term.clone();
    let reading = if *share > BADLY_BLURRED {
        Reading::TermBadlyBlurred(term)
    } else if *share > BLURRED {
        Reading::TermBlurred(term)
    } else {
        Reading::NoTermBlurred
    };
    Diagnostic::new(what, *share, reading)
}

fn condition(found: &Collinearity) -> Diagnostic {
    let what = DiagnosticKind::ConditionIndex;
    let Some(worst) = found.conditions.last() else {
        return Diagnostic::not_judged(what, WhyNot::NoTermTold);
    };
    let members = worst
        .shares
        .iter()
        .filter(|member| member.share > TAKES_PART);
    let terms = members.map(|member| member.term.clone()).collect();
    let reading = if worst.index > STRONGLY_TOGETHER {
        Reading::StronglyTogether(terms)
    } else if worst.index > TOGETHER {
        Reading::Together(terms)
    } else {
        Reading::NoneTogether
    };
    Diagnostic::new(what, worst.index, reading)
}
