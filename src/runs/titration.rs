//! Purity of each sample from its titres.
//!
//! In: the titres log and the strength of the titrants. Out: [`Titrated`], one result a sample, replicates pooled.
//! This module never drops a discordant titre: it names it.

use std::borrow::Cow;
use std::collections::BTreeMap;

use super::blanks::Blanks;
use super::by_date::Days;
use super::caveats::COVERAGE;
use super::reading_errors::{Book, Spread};
use super::replicates::{Scatter, by_luck, discordant, pooled};
use super::results::{ControlResult, TitrantResult};
use crate::campaign::{Chemistry, SampleBasis, Titration, UncertaintyPlan};
use crate::caveat::{Caveat, Discordance, Doubt, Sample};
use crate::chemistry::{AtomicWeights, Formula};
use crate::error::{Cause, Error, ErrorKind};
use crate::intake::{LeftOut, Logged, LoggedNumber, TitreOf, TitreRow, UnusableTitrant};
use crate::measured::{Distribution, Measured};
use crate::name::Name;

/// What was titrated: run and sample.
pub(super) type SampleKey = (Name, TitreOf);

/// Mass fraction found in each sample: of the product in crops, of the assay formula in feed and residue.
pub(super) type Titrated = BTreeMap<SampleKey, Measured>;

/// What a titration needs to know beside its titres.
#[derive(Clone, Copy)]
pub(super) struct Bench<'a> {
    pub titration: &'a Titration,
    pub chemistry: &'a Chemistry,
    pub weights: &'a AtomicWeights,
    pub titrants: &'a [TitrantResult],
    pub blanks: &'a Blanks,
    pub days: &'a Days<'a>,
    /// Titrants that are logged with a strength that could not be used.
    pub unusable: &'a [UnusableTitrant],
    /// Pooled scatter of replicates, where there are any.
    pub scatter: Option<Scatter>,
    /// What purities of crops are corrected by.
    pub control: Option<&'a ControlResult>,
}

impl Bench<'_> {
    /// A purity without the bias that the control sample shows on its day, where the campaign asks for that.
    fn corrected(&self, row: &TitreRow, content: Measured) -> Measured {
        let is_crop = matches!(row.of, TitreOf::Crop(_));
        match self.control.filter(|control| is_crop && control.corrects) {
            Some(control) => &content / &*control.by_date.at(self.days.day(row)),
            None => content,
        }
    }

    /// Relative error of one titration that is its own: the pooled scatter, else the stated repeatability.
    fn relative_scatter(&self) -> Option<Spread> {
        let stated = |relative| Spread::normal(relative, f64::INFINITY);
        let seen = |scatter: Scatter| Spread::normal(scatter.relative, scatter.degrees_of_freedom);
        let stated = self.titration.repeatability.map(stated);
        self.scatter.map(seen).or(stated)
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
        let key = (row.run.clone(), row.of);
        groups.entry(key).or_default().push(row);
    }
    let assays = groups.keys().any(|(_, of)| !matches!(of, TitreOf::Crop(_)));
    if assays && bench.titration.of_assays.is_none() {
        caveats.push(Caveat::of_campaign(Doubt::AssayTitresLikeCrops {
            ratio: bench.titration.ratio,
            analyte: bench.titration.analyte.text().to_string(),
        }));
    }
    let mut titrated = Titrated::new();
    let mut found: Vec<(SampleKey, Discordance)> = Vec::new();
    let mut samples = 0;
    for (key, rows) in groups {
        let mut burette = Burette { bench, book };
        let group = burette.group(&rows);
        let mut single = Vec::new();
        for row in &rows {
            match burette.content(row, &group) {
                Ok(content) => single.push(bench.corrected(row, content)),
                Err(error) => left_out.push(LeftOut::new(Some(&row.run), error)),
            }
        }
        if single.is_empty() {
            continue;
        }
        samples += usize::from(single.len() > 1);
        let stated = burette.stated_error(&rows, &group);
        let values: Vec<f64> = single.iter().map(Measured::value).collect();
        let discordance = discordant(&values, bench.scatter, stated);
        found.extend(discordance.map(|found| (key.clone(), found)));
        let mean = Measured::sum(&single) / single.len() as f64;
        titrated.insert(key, mean);
    }
    caveats.extend(found.into_iter().map(|((run, of), found)| {
        let doubt = Doubt::DiscordantTitres {
            sample: match of {
                TitreOf::Crop(crop) => Sample::Crop(crop),
                TitreOf::Residue => Sample::Residue,
                TitreOf::Feed | TitreOf::Control => Sample::Feed,
            },
            found,
            samples,
            by_luck: by_luck(samples),
        };
        Caveat::of_run(run, doubt)
    }));
    titrated
}

/// What each titration of the control sample found [mass fraction].
pub(super) fn titrate_control<'l>(
    bench: &Bench,
    logged: &'l Logged,
    book: &mut Book,
    left_out: &mut Vec<LeftOut>,
) -> Vec<(&'l TitreRow, Measured)> {
    let mut found = Vec::new();
    for row in &logged.controls {
        let mut burette = Burette { bench, book };
        let group = burette.group(&[row]);
        match burette.content(row, &group) {
            Ok(content) => found.push((row, content)),
            Err(error) => left_out.push(LeftOut::new(None, error)),
        }
    }
    found
}

/// Pooled scatter of replicate titrations of crops, from their best estimates alone.
pub(super) fn scatter_of_replicates(bench: &Bench, logged: &Logged) -> Option<Scatter> {
    let plan = UncertaintyPlan::default();
    let mut book = Book::new(&plan, None);
    let mut burette = Burette {
        bench,
        book: &mut book,
    };
    let mut samples: BTreeMap<SampleKey, Vec<f64>> = BTreeMap::new();
    let of_crop = |row: &&TitreRow| matches!(row.of, TitreOf::Crop(_));
    for row in logged.titres.iter().filter(of_crop) {
        if let Ok(content) = burette.content(row, &Group::default()) {
            let key = (row.run.clone(), row.of);
            samples.entry(key).or_default().push(content.value());
        }
    }
    pooled(samples.values().map(Vec::as_slice))
}

/// What the titres of one sample share.
#[derive(Default)]
struct Group {
    /// Error of the burette: it does not average away over replicates.
    calibration: Option<Measured>,
    /// Error of the burette of the back titrant.
    back_calibration: Option<Measured>,
}

/// What is known of a titration, and the book in which its errors are written down.
struct Burette<'a, 'c> {
    bench: &'a Bench<'a>,
    book: &'a mut Book<'c>,
}

impl<'a> Burette<'a, '_> {
    /// What these titres of one sample share.
    fn group(&mut self, rows: &[&TitreRow]) -> Group {
        let back = rows.iter().find(|row| row.back_titre().is_some());
        let mut error = || self.book.error("burette", "burette calibration");
        Group {
            calibration: error(),
            back_calibration: back.and_then(|_| error()),
        }
    }

    /// Mass fraction in one sample from one titre.
    ///
    /// `w = r·n·(f_a / f_x)·M_x / (m·q/d)`, `n` moles of titrant used up, `r` moles of analyte per mole of titrant,
    /// `f` followed atoms in the analyte and in the formula looked for, `M_x` its molar mass [g/mol],
    /// `m` sample \[g\], `q` aliquot, `d` dilution.
    ///
    /// # Errors
    /// [`ErrorKind::UnknownName`] for a titrant without a strength, [`ErrorKind::NotPositive`] where nothing was used up.
    /// # Source
    /// Stoichiometry of direct and back titration; common practice, no source.
    fn content(&mut self, row: &TitreRow, group: &Group) -> Result<Measured, Error> {
        let used_up = something_used(row, self.moles_used(row, group)?)?;
        let Bench {
            titration,
            chemistry,
            ..
        } = *self.bench;
        let is_assay = matches!(row.of, TitreOf::Residue | TitreOf::Feed);
        let (analyte, ratio) = match &titration.of_assays {
            Some(other) if is_assay => (&other.analyte, other.ratio),
            _ => (&titration.analyte, titration.ratio),
        };
        let wanted = match (row.of, &titration.control) {
            (TitreOf::Control, Some(control)) => &control.formula,
            (TitreOf::Crop(_) | TitreOf::Control, _) => &chemistry.product,
            (TitreOf::Residue | TitreOf::Feed, _) => &chemistry.assay_as,
        };
        let per_analyte = per_analyte(analyte, wanted, &chemistry.followed);
        let grams = &(used_up * (ratio * per_analyte)) * &wanted.molar_mass(self.bench.weights);
        let book = &mut self.book;
        let mut sample = book.reading(row.sample_mass, &["sample_mass"], "sample mass");
        if let Some(aliquot) = row.aliquot() {
            sample = &sample * &book.reading(aliquot, &["aliquot"], "aliquot");
        }
        if let Some(dilution) = row.dilution() {
            sample = &sample / &book.reading(dilution, &["dilution"], "dilution");
        }
        Ok(&grams / &sample)
    }

    /// Titrant used up by the sample \[mol\]: what was run in, less the blank, less what was titrated back.
    fn moles_used(&mut self, row: &TitreRow, group: &Group) -> Result<Measured, Error> {
        let titration = self.bench.titration;
        let name = usual_titrant(titration, row);
        let strength = self.strength(row, name, "titrant")?;
        let mut volume = self.volume(row.titre, &["titre"], "titre");
        if let Some(name) = row.blank_of() {
            volume = &volume - self.shared_blank(row, name)?;
        } else if let Some(blank) = row.blank {
            volume = &volume - &self.volume(blank, &["blank", "titre"], "blank");
        }
        if let Some(calibration) = &group.calibration {
            volume = &volume + calibration;
        }
        let mut moles = &volume * &*strength;
        if let Some(back) = row.back_titre() {
            let strength = self.strength(
                row,
                row.back_titrant().map(|name| name.as_str()),
                "back_titrant",
            )?;
            let mut volume = self.volume(back, &["back_titre", "titre"], "back titre");
            // Two solutions stand in two burettes, unless the campaign says that all burettes share one error.
            if let Some(calibration) = &group.back_calibration {
                volume = &volume + calibration;
            }
            moles = &moles - &(&volume * &*strength * titration.back_ratio);
        }
        if let Some(relative) = self.bench.relative_scatter() {
            moles = &moles * &self.book.pooled(1.0, "scatter of titrations", relative);
        }
        Ok(moles / 1000.0)
    }

    /// A volume run from the burette \[mL\]. Where replicates show how far titrations scatter, that stands for reading and
    /// end point, and the figure of the campaign file is not counted a second time.
    fn volume(&mut self, number: LoggedNumber, names: &[&str], label: &str) -> Measured {
        if self.bench.scatter.is_some() && number.uncertainty.is_none() {
            Measured::exact(number.value)
        } else {
            self.book.reading(number, names, label)
        }
    }

    /// The blank of the blanks log that a titre names \[mL\], or a fault with those that could have been named.
    fn shared_blank(&self, row: &TitreRow, name: &str) -> Result<&'a Measured, Error> {
        let blanks = self.bench.blanks;
        blanks.get(name).ok_or_else(|| {
            let known: Vec<&str> = blanks.keys().map(Name::as_str).collect();
            let hint = match known.is_empty() {
                true => "log it in a blanks log, `blanks = \"blanks.csv\"` under `[logs]`".into(),
                false => format!(
                    "blanks that are logged and can be used: {}",
                    known.join(", ")
                ),
            };
            let fault = row
                .place
                .thing(ErrorKind::UnknownName, "unknown blank", Some(name), hint);
            fault.in_column("blank_of")
        })
    }

    /// Concentration that the titrant of a titre had on its day [mol/L], or a fault with those that could have been named.
    fn strength(
        &self,
        row: &TitreRow,
        name: Option<&str>,
        column: &str,
    ) -> Result<Cow<'a, Measured>, Error> {
        let Bench {
            titrants,
            unusable,
            days,
            ..
        } = *self.bench;
        let of_name = |titrant: &&TitrantResult| Some(titrant.titrant.as_str()) == name;
        if let Some(titrant) = titrants.iter().find(of_name) {
            return Ok(titrant.by_date.at(days.day(row)));
        }
        let spoilt = unusable
            .iter()
            .find(|row| Some(row.titrant.as_str()) == name);
        let noun = match (name, spoilt) {
            (Some(_), Some(_)) => format!("a `{column}` without a usable strength"),
            (Some(_), None) => format!("unknown `{column}`"),
            (None, _) => format!("a titre without `{column}`"),
        };
        let known: Vec<&str> = titrants.iter().map(|t| t.titrant.as_str()).collect();
        let hint = match (spoilt, known.is_empty()) {
            (Some(of), _) => format!("correct {}", of.place),
            (_, true) => "log its concentration or a standardisation in the titrants log".into(),
            (_, false) => format!("titrants that are logged: {}", known.join(", ")),
        };
        let (kind, name) = (ErrorKind::UnknownName, name);
        Err(row.place.thing(kind, &noun, name, hint).in_column(column))
    }

    /// Standard uncertainty of one of a pair of titrations from what they do not share, by what the logs and the campaign
    /// file state; only worked out where the scatter of replicates says too little.
    fn stated_error(&self, rows: &[&TitreRow], group: &Group) -> Option<f64> {
        let scatter = self.bench.scatter;
        if rows.len() != 2 || scatter.is_some_and(|scatter| !scatter.says_little()) {
            return None;
        }
        let bench = Bench {
            scatter: None,
            ..*self.bench
        };
        let mut scratch = self.book.scratch();
        let mut burette = Burette {
            bench: &bench,
            book: &mut scratch,
        };
        let mut read = |row| burette.content(row, group).ok();
        let (first, second) = (read(rows[0])?, read(rows[1])?);
        let stated = first.parts().iter().any(|(id, _)| {
            let source = scratch.sources.get(*id);
            &*source.name == "titre" && source.distribution != Distribution::NotStated
        });
        let own = (&first - &second).uncertainty() / 2f64.sqrt();
        (stated && own > 0.0).then_some(own)
    }
}

/// The titrant of a titre: its own, else the campaign's.
pub(super) fn usual_titrant<'t>(titration: &'t Titration, row: &'t TitreRow) -> Option<&'t str> {
    row.titrant.as_deref().or(titration.titrant.as_deref())
}

/// Moles of a formula that one mole of analyte is worth, by the followed element.
pub(super) fn per_analyte(analyte: &Formula, wanted: &Formula, followed: &str) -> f64 {
    match analyte.atoms_of(followed) {
        atoms if atoms > 0.0 => atoms / wanted.atoms_of(followed),
        _ => 1.0,
    }
}

/// The titrant used up, which a sample of product or feed cannot do without; what is left of a residue may be lost in
/// the errors of titre and blank.
fn something_used(row: &TitreRow, used_up: Measured) -> Result<Measured, Error> {
    let enough = match row.of {
        TitreOf::Residue => used_up.value() + COVERAGE * used_up.uncertainty() >= 0.0,
        TitreOf::Crop(_) | TitreOf::Feed | TitreOf::Control => used_up.value() > 0.0,
    };
    if enough {
        return Ok(used_up);
    }
    let (what, column) = match row.back_titre() {
        Some(_) => ("titre less blank and back titre", "back_titre"),
        None => ("titre less blank", "blank"),
    };
    let fault = row.place.fault(
        ErrorKind::NotPositive,
        format!("{what} in {} leaves no titrant for the sample", row.place),
        "check the volumes, and which titrant is which",
    );
    let cause = Cause::Things(format!("{what} that leaves no titrant for the sample"));
    Err(fault.in_column(column).alike(cause, None))
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
