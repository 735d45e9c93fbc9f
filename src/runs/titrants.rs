//! Strength of each titrant.
//!
//! In: the titrants log. Out: [`TitrantResult`], a concentration with its uncertainty.
//! This module never looks at a sample.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use super::by_date::{Days, Used};
use super::caveats::COVERAGE;
use super::days_compared::{Disagreement, Trend, by_date, mean_of_all};
use super::reading_errors::{Book, Label, Spread};
use super::results::{TitrantPoint, TitrantResult};
use super::titration::usual_titrant;
use crate::campaign::Titration;
use crate::caveat::{About, AtTheBench, Caveat, DatesOfTitres, Doubt, PlusMinus};
use crate::chemistry::AtomicWeights;
use crate::intake::{Logged, TitrantRow, TitrantStrength};
use crate::measured::Measured;

/// Concentrations of all titrants by name, each from its rows in the order of their dates.
pub(super) fn titrants(
    logged: &Logged,
    weights: &AtomicWeights,
    titration: Option<&Titration>,
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
                repeatability: titration.and_then(|titration| titration.repeatability),
            };
            let point = |row: &&TitrantRow| TitrantPoint {
                place: row.place.clone(),
                date: row.date.as_ref().map(|date| date.text.to_string()),
                day: row.date.as_ref().map(|date| date.day),
                concentration: concentration(row, &bench, book),
            };
            let points: Vec<TitrantPoint> = rows.iter().map(point).collect();
            let single: Vec<&Measured> = points.iter().map(|at| &at.concentration).collect();
            let label = format!("disagreement of standardisations of {name}");
            let (concentration, disagreement) = mean_of_all(&single, label, book);
            let days = points.iter().map(|at| at.day);
            let dated: Vec<(Option<i32>, &Measured)> = days.zip(single).collect();
            let label = |what: &str| Label::of_titrant(what, name);
            let (by_date, trend) = by_date(&dated, concentration.clone(), label, book);
            let doubt = match by_date.used() {
                Used::Pooled => {
                    disagreement.map(|found| disagree(found, points.len(), &concentration))
                }
                used => titration.map(|titration| {
                    let dates = dates_of_titres(name, &rows, titration, logged);
                    changing(used, &dated, trend, dates)
                }),
            };
            caveats.extend(doubt.map(|doubt| Caveat {
                about: About::Titrant(name.to_string()),
                doubt,
            }));
            TitrantResult {
                titrant: name.to_string(),
                budget: book.sources.budget(&concentration),
                concentration,
                by_date,
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

/// The doubt of standardisations that scatter further than their errors explain.
fn disagree(found: Disagreement, standardisations: usize, mean: &Measured) -> Doubt {
    Doubt::StandardisationsDisagree {
        standardisations,
        times: found.times,
        chance: found.chance,
        added: found.added / mean.value(),
    }
}

/// The doubt of a titrant whose strength is another on each day.
fn changing(
    used: Used,
    dated: &[(Option<i32>, &Measured)],
    trend: Option<Trend>,
    dates: DatesOfTitres,
) -> Doubt {
    let dated = dated.iter().filter(|(day, _)| day.is_some());
    let values: Vec<f64> = dated.map(|(_, value)| value.value()).collect();
    let standardisations = values.len();
    match trend.filter(|_| used == Used::Line) {
        Some(trend) => Doubt::TitrantAgeing {
            per_day: PlusMinus {
                value: trend.per_day,
                half_width: COVERAGE * trend.error,
            },
            standardisations,
            chance: trend.chance,
            dates,
        },
        None => Doubt::AtTheBench(AtTheBench::TitrantWanders {
            standardisations,
            low: values.iter().copied().fold(f64::INFINITY, f64::min),
            high: values.iter().copied().fold(0.0, f64::max),
            dates,
        }),
    }
}

/// How the titrations with a titrant lie to its standardisations.
fn dates_of_titres(
    name: &str,
    rows: &[&TitrantRow],
    titration: &Titration,
    logged: &Logged,
) -> DatesOfTitres {
    let known = rows.iter().filter_map(|row| Some(row.date.as_ref()?.day));
    let (first, last) = (known.clone().min(), known.max());
    let days = Days::of(logged);
    let mut found = DatesOfTitres::default();
    for titre in &logged.titres {
        let back = titre.back_titrant().map(|name| name.as_str());
        if usual_titrant(titration, titre) != Some(name) && back != Some(name) {
            continue;
        }
        found.titrations += 1;
        let Some(day) = days.day(titre) else {
            found.undated += 1;
            continue;
        };
        found.of_runs += usize::from(titre.date().is_none());
        let before = first.map_or(0, |first| first - day);
        let outside = before.max(last.map_or(0, |last| day - last));
        found.outside += usize::from(outside > 0);
        found.furthest = found.furthest.max(outside);
    }
    found
}
