//! How pure each sample is, from its titres.
//!
//! In: the titres log and the strength of the titrants. Out: [`Titrated`], one result a sample, replicates pooled.
//! This module never drops a discordant titre: it names it.

use std::collections::BTreeMap;

use super::book::{Book, Spread};
use super::scatter::{self, Scatter};
use super::titrants::TitrantResult;
use crate::campaign::{Chemistry, SampleBasis, Titration, UncertaintyPlan};
use crate::caveat::{About, Caveat};
use crate::chemistry::{AtomicWeights, Formula};
use crate::distributions::grubbs_critical;
use crate::error::{Error, ErrorKind};
use crate::intake::{LeftOut, Logged, LoggedNumber, TitreOf, TitreRow};
use crate::measured::{Distribution, Measured};

/// What was titrated, run and sample.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct SampleKey {
    pub run: String,
    pub of: TitreOf,
}

/// Mass fraction found in each sample: of the product in crops, of the assay formula in feed and residue.
pub(super) type Titrated = BTreeMap<SampleKey, Measured>;

/// Critical difference of two titrations in standard deviations of one, 95 %: 1.96·√2, rounded.
/// Source: ISO 5725-6:1994, 4.1.4.
const CRITICAL_DIFFERENCE: f64 = 2.8;

/// Level of the test for a titre that does not belong with the others.
const OUTLIER_LEVEL: f64 = 0.05;

/// What a titration needs to know beside its titres.
pub(super) struct Bench<'a> {
    pub titration: &'a Titration,
    pub chemistry: &'a Chemistry,
    pub weights: &'a AtomicWeights,
    pub titrants: &'a [TitrantResult],
    /// Pooled scatter of replicates, where there are any.
    pub scatter: Option<Scatter>,
}

impl Bench<'_> {
    /// Relative error of one titration that is its own: the pooled scatter, else the stated repeatability.
    fn relative_scatter(&self) -> Option<Spread> {
        let (uncertainty, degrees_of_freedom) = match (self.scatter, self.titration.repeatability) {
            (Some(scatter), _) => (scatter.relative, scatter.degrees_of_freedom),
            (None, Some(repeatability)) => (repeatability, f64::INFINITY),
            (None, None) => return None,
        };
        Some(Spread {
            distribution: Distribution::Normal,
            uncertainty,
            degrees_of_freedom,
        })
    }
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
    let mut found: Vec<Caveat> = Vec::new();
    let mut samples = 0;
    for (key, rows) in groups {
        let mut single = Vec::new();
        let group = Group {
            calibration: book.error("burette", "burette calibration"),
            blank: shared_blank(&rows, book),
        };
        for row in &rows {
            match content(bench, row, &group, book) {
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
        samples += usize::from(single.len() > 1);
        found.extend(discordant(&key, &single, bench.scatter, book));
        let mean = Measured::sum(&single) / single.len() as f64;
        titrated.insert(key, mean);
    }
    for mut caveat in found {
        caveat.advice = format!(
            "titrate once more; all titres were kept, and of {samples} samples with replicates about {:.0} look so by luck",
            OUTLIER_LEVEL * samples as f64
        );
        caveats.push(caveat);
    }
    titrated
}

/// Pooled scatter of replicate titrations of crops, from their best estimates alone.
pub(super) fn scatter_of_replicates(bench: &Bench, logged: &Logged) -> Option<Scatter> {
    let plan = UncertaintyPlan::default();
    let mut book = Book::new(&plan, None);
    let group = Group {
        calibration: None,
        blank: None,
    };
    let mut samples: BTreeMap<SampleKey, Vec<f64>> = BTreeMap::new();
    for row in logged
        .titres
        .iter()
        .filter(|row| matches!(row.of, TitreOf::Crop(_)))
    {
        if let Ok(content) = content(bench, row, &group, &mut book) {
            let key = SampleKey {
                run: row.run.clone(),
                of: row.of,
            };
            samples.entry(key).or_default().push(content.value());
        }
    }
    scatter::pooled(samples.values().map(Vec::as_slice))
}

/// What the titres of one sample share.
struct Group {
    /// Error of the burette: it does not average away over replicates.
    calibration: Option<Measured>,
    /// One blank for all of them.
    blank: Option<Measured>,
}

/// The blank, when all titres of a sample were corrected by the same one.
fn shared_blank(rows: &[&TitreRow], book: &mut Book) -> Option<Measured> {
    let first = rows.first()?.blank?;
    (rows.len() > 1 && rows.iter().all(|row| row.blank == Some(first)))
        .then(|| book.reading(first, &["blank", "titre"], "blank"))
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
    group: &Group,
    book: &mut Book,
) -> Result<Measured, Error> {
    let used_up = moles_used(bench, row, group, book)?;
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
    group: &Group,
    book: &mut Book,
) -> Result<Measured, Error> {
    let name = row.titrant.as_ref().or(bench.titration.titrant.as_ref());
    let strength = strength(bench, row, name, "titrant")?;
    let mut volume = volume(bench, row.titre, &["titre"], "titre", book);
    match (&group.blank, row.blank) {
        (Some(shared), _) => volume = &volume - shared,
        (None, Some(blank)) => {
            volume = &volume - &self::volume(bench, blank, &["blank", "titre"], "blank", book);
        }
        (None, None) => {}
    }
    if let Some(calibration) = &group.calibration {
        volume = &volume + calibration;
    }
    let mut moles = &volume * strength;
    if let Some(back) = row.back_titre {
        let back_strength = strength_of_back(bench, row)?;
        let back_volume = self::volume(bench, back, &["back_titre", "titre"], "back titre", book);
        // One burette gives both volumes, so its error enters with both.
        let back_volume = match &group.calibration {
            Some(calibration) => &back_volume + calibration,
            None => back_volume,
        };
        let back_moles = &back_volume * back_strength;
        moles = &moles - &(back_moles * bench.titration.back_ratio);
    }
    if let Some(relative) = bench.relative_scatter() {
        moles = &moles * &book.pooled(1.0, "scatter of titrations", relative);
    }
    Ok(moles / 1000.0)
}

/// A volume run from the burette. Where replicates show how far titrations scatter, that stands for reading and
/// end point, and the figure of the campaign file is not counted a second time.
fn volume(
    bench: &Bench,
    number: LoggedNumber,
    names: &[&str],
    label: &str,
    book: &mut Book,
) -> Measured {
    if bench.scatter.is_some() && number.uncertainty.is_none() {
        Measured::exact(number.value)
    } else {
        book.reading(number, names, label)
    }
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

/// Names replicates further apart than chance allows: two against the pooled scatter, three or more by Grubbs' test.
///
/// # Source
/// ISO 5725-6:1994, 5.2.2 (critical difference 2.8 standard deviations); ISO 5725-2:1994, 7.3.4 (Grubbs).
fn discordant(
    key: &SampleKey,
    single: &[Measured],
    scatter: Option<Scatter>,
    book: &Book,
) -> Option<Caveat> {
    let sample = match key.of {
        TitreOf::Crop(crop) => format!("crop {crop}"),
        TitreOf::Residue => "the residue".into(),
        TitreOf::Feed => "the feed".into(),
    };
    let count = single.len();
    let mean = single.iter().map(Measured::value).sum::<f64>() / count as f64;
    let seen = match count {
        0 | 1 => return None,
        2 => {
            let apart = (single[0].value() - single[1].value()).abs();
            let deviation = match scatter {
                Some(scatter) => scatter.relative * mean,
                None => own_error(single, book)?,
            };
            let allowed = CRITICAL_DIFFERENCE * deviation;
            if apart <= allowed {
                return None;
            }
            format!(
                "2 titres of {sample} of run {} lie {:.2} points apart, more than the {:.2} points that their scatter allows",
                key.run,
                100.0 * apart,
                100.0 * allowed
            )
        }
        _ => {
            let square: f64 = single.iter().map(|x| (x.value() - mean).powi(2)).sum();
            let deviation = (square / (count as f64 - 1.0)).sqrt();
            let odd = single
                .iter()
                .map(Measured::value)
                .max_by(|a, b| (a - mean).abs().total_cmp(&(b - mean).abs()))?;
            let distance = (odd - mean).abs() / deviation;
            let allowed = grubbs_critical(count, OUTLIER_LEVEL)?;
            if deviation <= 0.0 || distance <= allowed {
                return None;
            }
            format!(
                "one of {count} titres of {sample} of run {}, {:.2} %, lies {distance:.2} standard deviations from their mean, more than the {allowed:.2} that Grubbs' test allows",
                key.run,
                100.0 * odd
            )
        }
    };
    Some(Caveat {
        kind: "discordant titres",
        about: About::Run(key.run.clone()),
        seen,
        advice: String::new(),
    })
}

/// Standard uncertainty of one of two titrations from what they do not share; `None` where none is stated.
fn own_error(single: &[Measured], book: &Book) -> Option<f64> {
    let stated = single[0].parts().iter().any(|(id, _)| {
        let source = book.sources.get(*id);
        source.name == "titre" && source.distribution != Distribution::NotStated
    });
    let own = (&single[0] - &single[1]).uncertainty() / 2f64.sqrt();
    (stated && own > 0.0).then_some(own)
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
