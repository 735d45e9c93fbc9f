//! Strength of each titrant.
//!
//! In: the titrants log. Out: [`TitrantResult`], a concentration with its uncertainty.
//! This module never looks at a sample.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use super::caveats::COVERAGE;
use super::reading_errors::{Book, Label, Spread};
use super::results::{TitrantPoint, TitrantResult};
use crate::caveat::{About, Caveat, Doubt, PlusMinus};
use crate::chemistry::AtomicWeights;
use crate::distributions::{chi_squared_upper, mean, t_two_sided};
use crate::intake::{Logged, TitrantRow, TitrantStrength};
use crate::measured::{Measured, SourceId};

/// Chance below which disagreement or a trend counts as real.
const LEVEL: f64 = 0.05;

/// Concentrations of all titrants by name, each from its rows in the order of their dates.
///
/// `repeatability` is the relative scatter of one standardisation without replicates.
pub(super) fn titrants(
    logged: &Logged,
    weights: &AtomicWeights,
    repeatability: Option<f64>,
    book: &mut Book,
    caveats: &mut Vec<Caveat>,
) -> Vec<TitrantResult> {
    let mut by_name: BTreeMap<&str, Vec<&TitrantRow>> = BTreeMap::new();
    for row in &logged.titrants {
        by_name.entry(&row.titrant).or_default().push(row);
    }
    by_name
        .into_iter()
        .map(|(name, mut rows)| {
            rows.sort_by(|a, b| in_order(a, b));
            let bench = Bench {
                name,
                calibration: book.error("burette", "burette calibration"),
                weights,
                repeatability,
            };
            let point = |row: &&TitrantRow| TitrantPoint {
                place: row.place.clone(),
                date: row.date.as_ref().map(|date| date.text.to_string()),
                concentration: concentration(row, &bench, book),
            };
            let points: Vec<TitrantPoint> = rows.iter().map(point).collect();
            let single: Vec<&Measured> = points.iter().map(|at| &at.concentration).collect();
            let concentration = combined(name, &single, book, caveats);
            caveats.extend(ageing(name, &rows, &single));
            TitrantResult {
                titrant: name.to_string(),
                budget: book.sources.budget(&concentration),
                concentration,
                rows: points,
            }
        })
        .collect()
}

/// By date, those without one last; on one day by what was weighed and read, so that the order of the log is no matter.
fn in_order(a: &TitrantRow, b: &TitrantRow) -> Ordering {
    let date = |row: &TitrantRow| row.date.as_ref().map(|date| date.text.clone());
    let figures = |row: &TitrantRow| match &row.strength {
        TitrantStrength::Given(concentration) => [0.0, concentration.value],
        TitrantStrength::Standardised { mass, titre, .. } => [mass.value, titre.value],
    };
    let (ours, theirs) = (figures(a), figures(b));
    (date(a).is_none(), date(a))
        .cmp(&(date(b).is_none(), date(b)))
        .then(ours[0].total_cmp(&theirs[0]))
        .then(ours[1].total_cmp(&theirs[1]))
}

struct Bench<'a> {
    name: &'a str,
    calibration: Option<Measured>,
    weights: &'a AtomicWeights,
    repeatability: Option<f64>,
}

/// Concentration from one row [mol/L].
///
/// Standardised: `c = 1000 · R · r · m · p · q / (M · (V − V0))`, with mass `m` \[g\] of a standard of purity `p` and
/// molar mass `M` [g/mol], aliquot `q`, moles of titrant per mole of standard `r`, titre `V` and blank `V0` \[mL\],
/// and `R` = 1 with the relative scatter of one standardisation.
///
/// # Source
/// EURACHEM/CITAC Guide CG 4, QUAM:2012, Appendix A, example A2 (without blank and aliquot).
/// Checked in `tests/it/reference/titration.rs`.
fn concentration(row: &TitrantRow, bench: &Bench, book: &mut Book) -> Measured {
    let label = |what: &str| Label::of_titrant(what, bench.name);
    match &row.strength {
        TitrantStrength::Given(concentration) => {
            book.reading(*concentration, &["concentration"], label("concentration"))
        }
        TitrantStrength::Standardised {
            standard,
            mass,
            purity,
            ratio,
            titre,
            blank,
            aliquot,
        } => {
            let weighed = ["standard_mass", "sample_mass"];
            let mass = book.reading(*mass, &weighed, label("standard mass"));
            let mut moles = &mass / &standard.molar_mass(bench.weights);
            if let Some(purity) = purity {
                let bottle = format!("purity of the standard {}", standard.text());
                moles = &moles * &book.common(*purity, &["standard_purity"], &bottle);
            }
            if let Some(aliquot) = aliquot {
                moles = &moles * &book.reading(*aliquot, &["aliquot"], label("standard aliquot"));
            }
            if let Some(relative) = bench.repeatability {
                let spread = Spread::normal(relative, f64::INFINITY);
                moles = &moles * &book.own(1.0, label("standardisation repeatability"), spread);
            }
            let mut volume = book.reading(*titre, &["titre"], label("standardisation titre"));
            if let Some(blank) = blank {
                let label = label("standardisation blank");
                volume = &volume - &book.reading(*blank, &["blank", "titre"], label);
            }
            if let Some(calibration) = &bench.calibration {
                volume = &volume + calibration;
            }
            &(moles * (1000.0 * ratio.unwrap_or(1.0))) / &volume
        }
    }
}

/// Variance of each row from sources that no other row shares.
fn own_variances(single: &[&Measured]) -> Vec<f64> {
    let mut holders: BTreeMap<SourceId, usize> = BTreeMap::new();
    for (source, _) in single.iter().flat_map(|row| row.parts()) {
        *holders.entry(*source).or_insert(0) += 1;
    }
    let own = |row: &&Measured| {
        let parts = row.parts().iter();
        let own = parts.filter(|(source, _)| holders[source] == 1);
        own.map(|(_, c)| c * c).sum()
    };
    single.iter().map(own).collect()
}

/// Mean of all rows, weighted by inverse variance of what they do not share; where they scatter more than that
/// explains, the excess is a source of its own.
///
/// `w ∝ 1/uᵢ²`; `χ² = Σ (cᵢ − c̄)²/uᵢ²` with `n − 1` degrees of freedom; excess `u² = (χ²/(n−1) − 1)/Σ(1/uᵢ²)`.
///
/// # Source
/// Weighted mean and its consistency: Birge, Phys. Rev. 40 (1932) 207 (ratio of external to internal error).
fn combined(
    name: &str,
    single: &[&Measured],
    book: &mut Book,
    caveats: &mut Vec<Caveat>,
) -> Measured {
    let variances = own_variances(single);
    let known = variances.iter().all(|variance| *variance > 0.0);
    let weights: Vec<f64> = if known {
        variances.iter().map(|variance| 1.0 / variance).collect()
    } else {
        vec![1.0; single.len()]
    };
    let total: f64 = weights.iter().sum();
    let weighed = || single.iter().zip(&weights);
    let parts: Vec<Measured> = weighed()
        .map(|(row, weight)| Measured::clone(row) * (weight / total))
        .collect();
    let mean = Measured::sum(&parts);
    let degrees = single.len() as f64 - 1.0;
    if !known || degrees < 1.0 {
        return mean;
    }
    let chi_squared: f64 = weighed()
        .map(|(row, weight)| weight * (row.value() - mean.value()).powi(2))
        .sum();
    let chance = chi_squared_upper(chi_squared, degrees).unwrap_or(1.0);
    if chance >= LEVEL {
        return mean;
    }
    let excess = ((chi_squared / degrees - 1.0) / total).max(0.0).sqrt();
    caveats.push(Caveat {
        about: About::Titrant(name.to_string()),
        doubt: Doubt::StandardisationsDisagree {
            standardisations: single.len(),
            times: (chi_squared / degrees).sqrt(),
            chance,
            added: excess / mean.value(),
        },
    });
    let label = format!("disagreement of standardisations of {name}");
    &mean + &book.own(0.0, label, Spread::normal(excess, degrees))
}

/// A straight line through strength against date; a slope that chance does not explain is a doubt.
fn ageing(name: &str, rows: &[&TitrantRow], single: &[&Measured]) -> Option<Caveat> {
    let dated = rows.iter().zip(single).filter_map(|(row, concentration)| {
        Some((f64::from(row.date.as_ref()?.day), concentration.value()))
    });
    let (days, strengths): (Vec<f64>, Vec<f64>) = dated.unzip();
    let (mean_day, mean_strength) = (mean(&days), mean(&strengths));
    let across: f64 = days.iter().map(|day| (day - mean_day).powi(2)).sum();
    if days.len() < 3 || across <= 0.0 {
        return None;
    }
    let points = || days.iter().zip(&strengths);
    let along: f64 = points()
        .map(|(day, strength)| (day - mean_day) * (strength - mean_strength))
        .sum();
    let slope = along / across;
    let left: f64 = points()
        .map(|(day, strength)| (strength - mean_strength - slope * (day - mean_day)).powi(2))
        .sum();
    let degrees = days.len() as f64 - 2.0;
    let error = (left / degrees / across).sqrt();
    // Points exactly on a slope leave no doubt about it.
    let chance = if error > 0.0 {
        t_two_sided(slope / error, degrees)?
    } else if slope == 0.0 {
        1.0
    } else {
        0.0
    };
    (chance < LEVEL).then(|| Caveat {
        about: About::Titrant(name.to_string()),
        doubt: Doubt::TitrantAgeing {
            per_day: PlusMinus {
                value: slope / mean_strength,
                half_width: COVERAGE * error / mean_strength,
            },
            standardisations: days.len(),
            chance,
        },
    })
}
