//! How strong each titrant is.
//!
//! In: the titrants log. Out: [`TitrantResult`], a concentration with its uncertainty.
//! This module never looks at a sample.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use super::book::{Book, Label, Spread};
use super::caveats::COVERAGE;
use crate::caveat::{About, Caveat};
use crate::chemistry::AtomicWeights;
use crate::distributions::{chi_squared_upper, t_two_sided};
use crate::intake::{Logged, TitrantRow, TitrantStrength};
use crate::measured::{Distribution, Measured, Share, SourceFamily, SourceId};

/// Concentration of one titrant.
#[derive(Debug, Clone)]
pub struct TitrantResult {
    /// Its name.
    pub titrant: String,
    /// Concentration [mol/L].
    pub concentration: Measured,
    /// Parts of the variance, the largest first.
    pub budget: Vec<Share>,
    /// Each row of the log by itself, in the order of the dates.
    pub rows: Vec<TitrantPoint>,
}

/// Concentration from one row of the log.
#[derive(Debug, Clone)]
pub struct TitrantPoint {
    /// Date as written.
    pub date: Option<String>,
    /// Concentration [mol/L].
    pub concentration: Measured,
}

/// Chance below which disagreement or a trend counts as real.
const LEVEL: f64 = 0.05;

/// Days that a trend is stated for.
const DAYS: f64 = 30.0;

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
            let calibration = book.error("burette", "burette calibration");
            let bench = Bench {
                name,
                calibration: calibration.as_ref(),
                weights,
                repeatability,
            };
            let single: Vec<Measured> = rows
                .iter()
                .map(|row| concentration(row, &bench, book))
                .collect();
            let concentration = combined(name, &single, book, caveats);
            caveats.extend(ageing(name, &rows, &single));
            TitrantResult {
                titrant: name.to_string(),
                budget: book.sources.budget(&concentration),
                concentration,
                rows: rows
                    .iter()
                    .zip(single)
                    .map(|(row, concentration)| TitrantPoint {
                        date: row.date.as_ref().map(|date| date.text.clone()),
                        concentration,
                    })
                    .collect(),
            }
        })
        .collect()
}

/// By date, those without one last; on one day by what was weighed and read, so that the order of the log is no matter.
fn in_order(a: &TitrantRow, b: &TitrantRow) -> Ordering {
    let date = |row: &TitrantRow| {
        (
            row.date.is_none(),
            row.date.as_ref().map(|d| d.text.clone()),
        )
    };
    let figures = |row: &TitrantRow| match &row.strength {
        TitrantStrength::Given(concentration) => [0.0, concentration.value],
        TitrantStrength::Standardised { mass, titre, .. } => [mass.value, titre.value],
    };
    let ([a_first, a_second], [b_first, b_second]) = (figures(a), figures(b));
    date(a)
        .cmp(&date(b))
        .then(a_first.total_cmp(&b_first))
        .then(a_second.total_cmp(&b_second))
}

struct Bench<'a> {
    name: &'a str,
    calibration: Option<&'a Measured>,
    weights: &'a AtomicWeights,
    repeatability: Option<f64>,
}

/// Concentration from one row [mol/L].
///
/// Standardised: `c = 1000 · R · r · m · p · q / (M · (V − V0))`, with mass `m` [g] of a standard of purity `p` and
/// molar mass `M` [g/mol], aliquot `q`, moles of titrant per mole of standard `r`, titre `V` and blank `V0` [mL],
/// and `R` = 1 with the relative scatter of one standardisation.
///
/// # Source
/// EURACHEM/CITAC Guide CG 4, QUAM:2012, Appendix A, example A2 (without blank and aliquot).
/// Checked in `tests/it/reference/titration.rs`.
fn concentration(row: &TitrantRow, bench: &Bench, book: &mut Book) -> Measured {
    let label = |what: &str| {
        let name = format!("{what} of {}", bench.name);
        Label::of(SourceFamily::TitrantStrength, name)
    };
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
            let mut moles = &book.reading(
                *mass,
                &["standard_mass", "sample_mass"],
                label("standard mass"),
            ) / &standard.molar_mass(bench.weights);
            if let Some(purity) = purity {
                let purity = book.common(
                    *purity,
                    &["standard_purity"],
                    &format!("purity of the standard {}", standard.text()),
                );
                moles = &moles * &purity;
            }
            if let Some(aliquot) = aliquot {
                moles = &moles * &book.reading(*aliquot, &["aliquot"], label("standard aliquot"));
            }
            if let Some(relative) = bench.repeatability {
                let spread = Spread {
                    distribution: Distribution::Normal,
                    uncertainty: relative,
                    degrees_of_freedom: f64::INFINITY,
                };
                moles = &moles * &book.own(1.0, label("standardisation repeatability"), spread);
            }
            let mut volume = book.reading(*titre, &["titre"], label("standardisation titre"));
            if let Some(blank) = blank {
                let blank =
                    book.reading(*blank, &["blank", "titre"], label("standardisation blank"));
                volume = &volume - &blank;
            }
            if let Some(calibration) = bench.calibration {
                volume = &volume + calibration;
            }
            &(moles * (1000.0 * ratio)) / &volume
        }
    }
}

/// Variance of each row from sources that no other row shares.
fn own_variances(single: &[Measured]) -> Vec<f64> {
    let mut holders: BTreeMap<SourceId, usize> = BTreeMap::new();
    for (source, _) in single.iter().flat_map(Measured::parts) {
        *holders.entry(*source).or_insert(0) += 1;
    }
    single
        .iter()
        .map(|row| {
            row.parts()
                .iter()
                .filter(|(source, _)| holders[source] == 1)
                .map(|(_, c)| c * c)
                .sum()
        })
        .collect()
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
    single: &[Measured],
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
    let parts: Vec<Measured> = single
        .iter()
        .zip(&weights)
        .map(|(row, weight)| row.clone() * (weight / total))
        .collect();
    let mean = Measured::sum(&parts);
    let degrees = single.len() as f64 - 1.0;
    if !known || degrees < 1.0 {
        return mean;
    }
    let chi_squared: f64 = single
        .iter()
        .zip(&weights)
        .map(|(row, weight)| weight * (row.value() - mean.value()).powi(2))
        .sum();
    let chance = chi_squared_upper(chi_squared, degrees).unwrap_or(1.0);
    if chance >= LEVEL {
        return mean;
    }
    let excess = ((chi_squared / degrees - 1.0) / total).max(0.0).sqrt();
    caveats.push(Caveat {
        kind: "standardisations disagree",
        about: About::Titrant(name.to_string()),
        seen: format!(
            "{} standardisations of {name} scatter {:.1} times as far as their errors explain (chance {:.2} %)",
            single.len(),
            (chi_squared / degrees).sqrt(),
            100.0 * chance
        ),
        advice: format!(
            "standardise once more; a standard uncertainty of {:.2} % was added to its strength",
            100.0 * excess / mean.value()
        ),
    });
    let spread = Spread {
        distribution: Distribution::Normal,
        uncertainty: excess,
        degrees_of_freedom: degrees,
    };
    let disagreement = book.own(
        0.0,
        format!("disagreement of standardisations of {name}").as_str(),
        spread,
    );
    &mean + &disagreement
}

/// A straight line through strength against date; a slope that chance does not explain is a doubt.
fn ageing(name: &str, rows: &[&TitrantRow], single: &[Measured]) -> Option<Caveat> {
    let points: Vec<Point> = rows
        .iter()
        .zip(single)
        .filter_map(|(row, concentration)| {
            Some(Point {
                day: f64::from(row.date.as_ref()?.day),
                strength: concentration.value(),
            })
        })
        .collect();
    let count = points.len() as f64;
    let mean_day = points.iter().map(|p| p.day).sum::<f64>() / count;
    let mean_strength = points.iter().map(|p| p.strength).sum::<f64>() / count;
    let across: f64 = points.iter().map(|p| (p.day - mean_day).powi(2)).sum();
    if points.len() < 3 || across <= 0.0 {
        return None;
    }
    let along: f64 = points
        .iter()
        .map(|p| (p.day - mean_day) * (p.strength - mean_strength))
        .sum();
    let slope = along / across;
    let left: f64 = points
        .iter()
        .map(|p| (p.strength - mean_strength - slope * (p.day - mean_day)).powi(2))
        .sum();
    let error = (left / (count - 2.0) / across).sqrt();
    // Points exactly on a slope leave no doubt about it.
    let chance = if error > 0.0 {
        t_two_sided(slope / error, count - 2.0)?
    } else if slope == 0.0 {
        1.0
    } else {
        0.0
    };
    (chance < LEVEL).then(|| Caveat {
        kind: "titrant ageing",
        about: About::Titrant(name.to_string()),
        seen: format!(
            "the strength of {name} {} by {:.2} ± {:.2} % in {DAYS:.0} days over its {} standardisations (chance {:.2} %)",
            if slope < 0.0 { "falls" } else { "rises" },
            100.0 * DAYS * (slope / mean_strength).abs(),
            100.0 * DAYS * COVERAGE * error / mean_strength,
            points.len(),
            100.0 * chance
        ),
        advice: "one mean strength was used for all titres; name the solution anew after each standardisation to use each for its own days".into(),
    })
}

struct Point {
    day: f64,
    strength: f64,
}
