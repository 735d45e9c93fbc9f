//! How pure each sample is, from its titres.
//!
//! In: the titres log and the strength of the titrants. Out: [`Titrated`], one result a sample, replicates pooled.
//! This module never drops a discordant titre: it names it.

use std::collections::BTreeMap;

use super::book::{Book, Spread};
use super::caveats::COVERAGE;
use super::discordance::{Evidence, by_luck, discordant};
use super::scatter::{self, Scatter};
use super::titrants::TitrantResult;
use crate::campaign::{Chemistry, SampleBasis, Titration, UncertaintyPlan};
use crate::caveat::{Caveat, Discordance, Doubt, Sample};
use crate::chemistry::{AtomicWeights, Formula};
use crate::error::{Error, ErrorKind};
use crate::intake::{LeftOut, Logged, LoggedNumber, TitreOf, TitreRow, UnusableTitrant};
use crate::measured::{Distribution, Measured};

/// What was titrated, run and sample.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct SampleKey {
    pub run: String,
    pub of: TitreOf,
}

/// Mass fraction found in each sample: of the product in crops, of the assay formula in feed and residue.
pub(super) type Titrated = BTreeMap<SampleKey, Measured>;

/// What a titration needs to know beside its titres.
#[derive(Clone, Copy)]
pub(super) struct Bench<'a> {
    pub titration: &'a Titration,
    pub chemistry: &'a Chemistry,
    pub weights: &'a AtomicWeights,
    pub titrants: &'a [TitrantResult],
    /// Titrants that are logged with a strength that could not be used.
    pub unusable: &'a [UnusableTitrant],
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
    let reckoned_alike = bench.titration.of_assays.is_none()
        && groups.keys().any(|key| !matches!(key.of, TitreOf::Crop(_)));
    if reckoned_alike {
        caveats.push(Caveat::of_campaign(Doubt::AssayTitresLikeCrops {
            ratio: bench.titration.ratio,
            analyte: bench.titration.analyte.text().to_string(),
        }));
    }
    let mut titrated = Titrated::new();
    let mut found: Vec<(SampleKey, Discordance)> = Vec::new();
    let mut samples = 0;
    for (key, rows) in groups {
        let mut single = Vec::new();
        let group = Group {
            calibration: book.error("burette", "burette calibration"),
            back_calibration: rows
                .iter()
                .any(|row| row.back_titre.is_some())
                .then(|| book.error("burette", "burette calibration"))
                .flatten(),
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
        let evidence = Evidence {
            scatter: bench.scatter,
            stated: stated_error(bench, &rows, &group, book),
        };
        let values: Vec<f64> = single.iter().map(Measured::value).collect();
        found.extend(discordant(&values, evidence).map(|found| (key.clone(), found)));
        let mean = Measured::sum(&single) / single.len() as f64;
        titrated.insert(key, mean);
    }
    caveats.extend(found.into_iter().map(|(key, found)| {
        let doubt = Doubt::DiscordantTitres {
            sample: match key.of {
                TitreOf::Crop(crop) => Sample::Crop(crop),
                TitreOf::Residue => Sample::Residue,
                TitreOf::Feed => Sample::Feed,
            },
            found,
            samples,
            by_luck: by_luck(samples),
        };
        Caveat::of_run(key.run, doubt)
    }));
    titrated
}

/// Standard uncertainty of one of a pair of titrations from what they do not share, by what the logs and the campaign
/// file state; only worked out where the scatter of replicates says too little.
fn stated_error(bench: &Bench, rows: &[&TitreRow], group: &Group, book: &Book) -> Option<f64> {
    if rows.len() != 2 || bench.scatter.is_some_and(|scatter| !scatter.says_little()) {
        return None;
    }
    let bare = Bench {
        scatter: None,
        ..*bench
    };
    let mut scratch = book.scratch();
    let mut read = |row| content(&bare, row, group, &mut scratch).ok();
    let (first, second) = (read(rows[0])?, read(rows[1])?);
    let stated = first.parts().iter().any(|(id, _)| {
        let source = scratch.sources.get(*id);
        source.name == "titre" && source.distribution != Distribution::NotStated
    });
    let own = (&first - &second).uncertainty() / 2f64.sqrt();
    (stated && own > 0.0).then_some(own)
}

/// Pooled scatter of replicate titrations of crops, from their best estimates alone.
pub(super) fn scatter_of_replicates(bench: &Bench, logged: &Logged) -> Option<Scatter> {
    let plan = UncertaintyPlan::default();
    let mut book = Book::new(&plan, None);
    let group = Group {
        calibration: None,
        back_calibration: None,
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
    /// Error of the burette of the back titrant.
    back_calibration: Option<Measured>,
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
    let used_up = something_used(row, moles_used(bench, row, group, book)?)?;
    let titration = bench.titration;
    let (wanted, analyte, ratio): (&Formula, &Formula, f64) = match (row.of, &titration.of_assays) {
        (TitreOf::Crop(_), _) => (
            &bench.chemistry.product,
            &titration.analyte,
            titration.ratio,
        ),
        (_, Some(other)) => (&bench.chemistry.assay_as, &other.analyte, other.ratio),
        (_, None) => (
            &bench.chemistry.assay_as,
            &titration.analyte,
            titration.ratio,
        ),
    };
    let analyte_atoms = analyte.atoms_of(&bench.chemistry.followed);
    let per_analyte = if analyte_atoms > 0.0 {
        analyte_atoms / wanted.atoms_of(&bench.chemistry.followed)
    } else {
        1.0
    };
    let grams = &(used_up * (ratio * per_analyte)) * &wanted.molar_mass(bench.weights);
    let mut sample = book.reading(row.sample_mass, &["sample_mass"], "sample mass");
    if let Some(aliquot) = row.aliquot {
        sample = &sample * &book.reading(aliquot, &["aliquot"], "aliquot");
    }
    if let Some(dilution) = row.dilution {
        sample = &sample / &book.reading(dilution, &["dilution"], "dilution");
    }
    Ok(&grams / &sample)
}

/// The titrant used up, which a sample of product or feed cannot do without; what is left of a residue may be lost in
/// the errors of titre and blank.
fn something_used(row: &TitreRow, used_up: Measured) -> Result<Measured, Error> {
    let enough = match row.of {
        TitreOf::Residue => used_up.value() + COVERAGE * used_up.uncertainty() >= 0.0,
        TitreOf::Crop(_) | TitreOf::Feed => used_up.value() > 0.0,
    };
    if enough {
        return Ok(used_up);
    }
    let (what, column) = match row.back_titre {
        Some(_) => ("titre less blank and back titre", "back_titre"),
        None => ("titre less blank", "blank"),
    };
    let place = format!("`{}` line {}", row.file, row.line);
    Err(Error::new(
        ErrorKind::NotPositive,
        format!("{what} in {place} leaves no titrant for the sample"),
    )
    .in_file(&row.file)
    .on_line(row.line)
    .in_column(column)
    .hint("check the volumes, and which titrant is which"))
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
        // Two solutions stand in two burettes, unless the campaign says that all burettes share one error.
        let back_volume = match &group.back_calibration {
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
    let spoilt = |name: &String| bench.unusable.iter().find(|row| row.titrant == *name);
    let Some(name) = name else {
        return Err(place(with_titrants(
            bench,
            Error::new(
                ErrorKind::UnknownName,
                format!(
                    "a titre without `{column}` in `{}` line {}",
                    row.file, row.line
                ),
            ),
        )));
    };
    bench
        .titrants
        .iter()
        .find(|titrant| titrant.titrant == *name)
        .map(|titrant| &titrant.concentration)
        .ok_or_else(|| {
            let place_named = format!("in `{}` line {}: `{name}`", row.file, row.line);
            place(match spoilt(name) {
                Some(of) => Error::new(
                    ErrorKind::UnknownName,
                    format!("a `{column}` without a usable strength {place_named}"),
                )
                .hint(format!("correct `{}` line {}", of.file, of.line)),
                None => with_titrants(
                    bench,
                    Error::new(
                        ErrorKind::UnknownName,
                        format!("unknown `{column}` {place_named}"),
                    ),
                ),
            })
        })
}

/// The same fault with the titrants that could have been named.
fn with_titrants(bench: &Bench, error: Error) -> Error {
    let known: Vec<&str> = bench.titrants.iter().map(|t| t.titrant.as_str()).collect();
    error.hint(if known.is_empty() {
        "log its concentration or a standardisation in the titrants log".to_string()
    } else {
        format!("titrants that are logged: {}", known.join(", "))
    })
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
