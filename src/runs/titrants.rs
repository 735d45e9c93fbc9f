//! How strong each titrant is.
//!
//! In: the titrants log. Out: [`TitrantResult`], a concentration with its uncertainty.
//! This module never looks at a sample.

use std::collections::BTreeMap;

use super::book::Book;
use crate::chemistry::AtomicWeights;
use crate::intake::{Logged, TitrantRow, TitrantStrength};
use crate::measured::{Measured, Share};

/// Concentration of one titrant.
#[derive(Debug, Clone)]
pub struct TitrantResult {
    /// Its name.
    pub titrant: String,
    /// Concentration [mol/L].
    pub concentration: Measured,
    /// Parts of the variance, the largest first.
    pub budget: Vec<Share>,
}

/// Concentrations of all titrants, in the order in which they are first named.
pub(super) fn titrants(
    logged: &Logged,
    weights: &AtomicWeights,
    book: &mut Book,
) -> Vec<TitrantResult> {
    let mut names: Vec<&str> = Vec::new();
    let mut rows: BTreeMap<&str, Vec<&TitrantRow>> = BTreeMap::new();
    for row in &logged.titrants {
        if !names.contains(&row.titrant.as_str()) {
            names.push(&row.titrant);
        }
        rows.entry(&row.titrant).or_default().push(row);
    }
    names
        .into_iter()
        .map(|name| {
            let calibration = book.error("burette", "burette calibration");
            let single: Vec<Measured> = rows[name]
                .iter()
                .map(|row| concentration(row, name, calibration.as_ref(), weights, book))
                .collect();
            let concentration = Measured::sum(&single) / single.len() as f64;
            TitrantResult {
                titrant: name.to_string(),
                budget: book.sources.budget(&concentration),
                concentration,
            }
        })
        .collect()
}

/// Concentration from one row [mol/L].
///
/// Standardised: `c = 1000 · r · m · p · q / (M · (V − V0))`, with mass `m` [g] of a standard of purity `p` and
/// molar mass `M` [g/mol], aliquot `q`, moles of titrant per mole of standard `r`, titre `V` and blank `V0` [mL].
///
/// # Source
/// EURACHEM/CITAC Guide CG 4, QUAM:2012, Appendix A, example A2 (without blank and aliquot).
fn concentration(
    row: &TitrantRow,
    name: &str,
    calibration: Option<&Measured>,
    weights: &AtomicWeights,
    book: &mut Book,
) -> Measured {
    match &row.strength {
        TitrantStrength::Given(concentration) => book.reading(
            *concentration,
            &["concentration"],
            &format!("concentration of {name}"),
        ),
        TitrantStrength::Standardised {
            standard,
            mass,
            purity,
            ratio,
            titre,
            blank,
            aliquot,
        } => {
            let label = |what: &str| format!("{what} of {name}");
            let mut moles = &book.reading(
                *mass,
                &["standard_mass", "sample_mass"],
                &label("standard mass"),
            ) / &standard.molar_mass(weights);
            if let Some(purity) = purity {
                let purity = book.reading(*purity, &["standard_purity"], &label("standard purity"));
                moles = &moles * &purity;
            }
            if let Some(aliquot) = aliquot {
                moles = &moles * &book.reading(*aliquot, &["aliquot"], &label("standard aliquot"));
            }
            let mut volume = book.reading(*titre, &["titre"], &label("standardisation titre"));
            if let Some(blank) = blank {
                let blank =
                    book.reading(*blank, &["blank", "titre"], &label("standardisation blank"));
                volume = &volume - &blank;
            }
            if let Some(calibration) = calibration {
                volume = &volume + calibration;
            }
            &(moles * (1000.0 * ratio)) / &volume
        }
    }
}
