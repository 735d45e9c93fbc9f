//! How pure each sample is, from its titres.
//!
//! In: the titres log and the strength of the titrants. Out: [`Titrated`], one result a sample, replicates pooled.
//! This module never drops a discordant titre: it names it.

use std::collections::BTreeMap;

use super::book::Book;
use super::titrants::TitrantResult;
use crate::campaign::{Chemistry, SampleBasis, Titration};
use crate::caveat::{About, Caveat};
use crate::chemistry::{AtomicWeights, Formula};
use crate::error::{Error, ErrorKind};
use crate::intake::{LeftOut, Logged, TitreOf, TitreRow};
use crate::measured::{Distribution, Measured};

/// What was titrated, run and sample.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct SampleKey {
    pub run: String,
    pub of: TitreOf,
}

/// Mass fraction found in each sample: of the product in crops, of the assay formula in feed and residue.
pub(super) type Titrated = BTreeMap<SampleKey, Measured>;

/// Critical range of n replicates in units of their standard deviation, n = 2 to 10, 95 %.
/// Source: ISO 5725-6:1994, 5.2.2.1, table 1 (from memory; 2.8 is 1.96·√2 rounded).
const CRITICAL_RANGE: [f64; 9] = [2.8, 3.3, 3.6, 3.9, 4.0, 4.2, 4.3, 4.4, 4.5];

/// What a titration needs to know beside its titres.
pub(super) struct Bench<'a> {
    pub titration: &'a Titration,
    pub chemistry: &'a Chemistry,
    pub weights: &'a AtomicWeights,
    pub titrants: &'a [TitrantResult],
}

/// Titrates every sample of the log.
pub(super) fn titrate(
    bench: &Bench,
    logged: &Logged,
    book: &mut Book,
    caveats: &mut Vec<Caveat>,
    left_out: &mut Vec<LeftOut>,
) -> Titrated {
    let mut groups: BTreeMap<SampleKey, Vec<&TitreRow>> = BTreeMap::new();
    for row in &logged.titres {
        let key = SampleKey {
            run: row.run.clone(),
            of: row.of,
        };
        groups.entry(key).or_default().push(row);
    }
    let mut titrated = Titrated::new();
    for (key, rows) in groups {
        let mut single = Vec::new();
        let calibration = book.error("burette", "burette calibration");
        for row in &rows {
            match content(bench, row, calibration.as_ref(), book) {
                Ok(content) => single.push(content),
                Err(error) => left_out.push(LeftOut {
                    file: row.file.clone(),
                    line: row.line,
                    run: Some(row.run.clone()),
                    error,
                    on_purpose: false,
                }),
            }
        }
        if single.is_empty() {
            continue;
        }
        discordant(&key, &single, book, caveats);
        let mean = Measured::sum(&single) / single.len() as f64;
        titrated.insert(key, mean);
    }
    titrated
}

/// Mass fraction in one sample from one titre.
///
/// `w = r·n·(f_a / f_x)·M_x / (m·q/d)`, `n` moles of titrant used up, `r` moles of analyte per mole of titrant,
/// `f` followed atoms in the analyte and in the formula looked for, `M_x` its molar mass [g/mol],
/// `m` sample [g], `q` aliquot, `d` dilution.
///
/// # Source
/// Stoichiometry of direct and back titration; common practice, no source.
fn content(
    bench: &Bench,
    row: &TitreRow,
    calibration: Option<&Measured>,
    book: &mut Book,
) -> Result<Measured, Error> {
    let used_up = moles_used(bench, row, calibration, book)?;
    let wanted: &Formula = match row.of {
        TitreOf::Crop(_) => &bench.chemistry.product,
        TitreOf::Residue | TitreOf::Feed => &bench.chemistry.assay_as,
    };
    let analyte_atoms = bench.titration.analyte.atoms_of(&bench.chemistry.followed);
    let per_analyte = if analyte_atoms > 0.0 {
        analyte_atoms / wanted.atoms_of(&bench.chemistry.followed)
    } else {
        1.0
    };
    let grams =
        &(used_up * (bench.titration.ratio * per_analyte)) * &wanted.molar_mass(bench.weights);
    let mut sample = book.reading(row.sample_mass, &["sample_mass"], "sample mass");
    if let Some(aliquot) = row.aliquot {
        sample = &sample * &book.reading(aliquot, &["aliquot"], "aliquot");
    }
    if let Some(dilution) = row.dilution {
        sample = &sample / &book.reading(dilution, &["dilution"], "dilution");
    }
    Ok(&grams / &sample)
}

/// Titrant used up by the sample [mol]: what was run in, less the blank, less what was titrated back.
fn moles_used(
    bench: &Bench,
    row: &TitreRow,
    calibration: Option<&Measured>,
    book: &mut Book,
) -> Result<Measured, Error> {
    let name = row.titrant.as_ref().or(bench.titration.titrant.as_ref());
    let strength = strength(bench, row, name, "titrant")?;
    let mut volume = book.reading(row.titre, &["titre"], "titre");
    if let Some(blank) = row.blank {
        volume = &volume - &book.reading(blank, &["blank", "titre"], "blank");
    }
    if let Some(calibration) = calibration {
        volume = &volume + calibration;
    }
    let mut moles = &volume * strength;
    if let Some(back) = row.back_titre {
        let back_strength = strength_of_back(bench, row)?;
        let back_volume = book.reading(back, &["back_titre", "titre"], "back titre");
        let back_moles = &back_volume * back_strength;
        moles = &moles - &(back_moles * bench.titration.back_ratio);
    }
    Ok(moles / 1000.0)
}

fn strength_of_back<'a>(bench: &'a Bench, row: &TitreRow) -> Result<&'a Measured, Error> {
    strength(bench, row, row.back_titrant.as_ref(), "back_titrant")
}

fn strength<'a>(
    bench: &'a Bench,
    row: &TitreRow,
    name: Option<&String>,
    column: &str,
) -> Result<&'a Measured, Error> {
    let place = |error: Error| error.in_file(&row.file).on_line(row.line).in_column(column);
    let known: Vec<&str> = bench.titrants.iter().map(|t| t.titrant.as_str()).collect();
    let hint = if known.is_empty() {
        "log its concentration or a standardisation in the titrants log".to_string()
    } else {
        format!("titrants that are logged: {}", known.join(", "))
    };
    let Some(name) = name else {
        return Err(place(
            Error::new(
                ErrorKind::UnknownName,
                format!(
                    "a titre without `{column}` in `{}` line {}",
                    row.file, row.line
                ),
            )
            .hint(hint),
        ));
    };
    bench
        .titrants
        .iter()
        .find(|titrant| titrant.titrant == *name)
        .map(|titrant| &titrant.concentration)
        .ok_or_else(|| {
            place(
                Error::new(
                    ErrorKind::UnknownName,
                    format!(
                        "unknown `{column}` in `{}` line {}: `{name}`",
                        row.file, row.line
                    ),
                )
                .hint(hint),
            )
        })
}

/// Names replicates further apart than their own errors explain.
fn discordant(key: &SampleKey, single: &[Measured], book: &Book, caveats: &mut Vec<Caveat>) {
    let Some(factor) = single
        .len()
        .checked_sub(2)
        .and_then(|n| CRITICAL_RANGE.get(n))
    else {
        return;
    };
    let values = || single.iter().map(Measured::value);
    let range = values().fold(f64::MIN, f64::max) - values().fold(f64::MAX, f64::min);
    // What two replicates do not share is what remains in their difference.
    let own = (&single[0] - &single[1]).uncertainty() / 2f64.sqrt();
    let stated = single[0].parts().iter().any(|(id, _)| {
        let source = book.sources.get(*id);
        source.name == "titre" && source.distribution != Distribution::NotStated
    });
    if stated && own > 0.0 && range > factor * own {
        let sample = match key.of {
            TitreOf::Crop(crop) => format!("crop {crop}"),
            TitreOf::Residue => "the residue".into(),
            TitreOf::Feed => "the feed".into(),
        };
        caveats.push(Caveat {
            kind: "discordant titres",
            about: About::Run(key.run.clone()),
            seen: format!(
                "{} titres of {sample} of run {} lie {:.2} points apart, more than {:.2} points that their stated errors allow",
                single.len(),
                key.run,
                100.0 * range,
                100.0 * factor * own
            ),
            advice: "titrate a third time; all titres were kept".into(),
        });
    }
}

/// Purity of a crop as weighed: a dried sample is corrected once for the free moisture of the crop.
pub(super) fn as_weighed(
    purity: Measured,
    moisture: Option<&Measured>,
    basis: SampleBasis,
) -> Measured {
    match (basis, moisture) {
        (SampleBasis::Dried, Some(moisture)) => &purity * &(&Measured::exact(1.0) - moisture),
        _ => purity,
    }
}
