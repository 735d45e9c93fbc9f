//! Table `[titration]`: how titres become purity.
//!
//! In: its section and the chemistry. Out: [`Titration`].
//! This module never sees a titre.

use super::basics::{Chemistry, Declared, formula};
use super::factors::required;
use super::figure::{amount, finite, quantity, split};
use super::keys::ABOVE_ZERO;
use super::section::Section;
use super::source::At;
use crate::chemistry::Formula;
use crate::units::{Dimension, Unit};

/// What the titrated sample was.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SampleBasis {
    /// The crop as it was weighed; the moisture is in the purity already.
    AsWeighed,
    /// Freed of moisture first.
    Dried,
}

/// What is titrated in feed and residue.
#[derive(Debug, Clone)]
pub struct AssayTitration {
    /// What is titrated.
    pub analyte: Formula,
    /// Moles of analyte per mole of titrant.
    pub ratio: f64,
}

/// A formula with its place in the campaign file.
#[derive(Debug, Clone)]
pub struct StatedFormula {
    /// The formula.
    pub formula: Formula,
    /// Line of the campaign file.
    pub line: usize,
}

/// How titres become purity.
#[derive(Debug, Clone)]
pub struct Titration {
    /// What is titrated.
    pub analyte: Formula,
    /// Moles of analyte per mole of titrant.
    pub ratio: f64,
    /// How titres of feed and residue are reckoned, where another substance is titrated there.
    pub of_assays: Option<AssayTitration>,
    /// Moles of titrant that one mole of back titrant uses up.
    pub back_ratio: f64,
    /// Default titrant, for titres that name none.
    pub titrant: Option<String>,
    /// Relative standard deviation of one titration without replicates.
    pub repeatability: Option<f64>,
    /// Basis of the sample.
    pub sample: SampleBasis,
    /// Basis of the residue assays; that of the crops where the file says nothing.
    pub residue_sample: SampleBasis,
    /// The formula that strengths of mother liquors are stated as; the product where neither file nor log says one.
    pub liquor_as: Option<StatedFormula>,
    /// Part of each dissolved sample that was titrated, for rows of the titres log that state none.
    pub aliquot: Option<f64>,
    /// Flask that aliquots were taken from, for rows that state none \[mL\].
    pub flask: Option<f64>,
    /// The reference material that is titrated beside the samples.
    pub control: Option<ControlSample>,
    /// Whether purities are corrected by what it was found at.
    pub correct_bias: bool,
}

/// A reference material.
#[derive(Debug, Clone)]
pub struct ControlSample {
    /// The formula that its purity is stated as.
    pub formula: Formula,
    /// Its purity as stated [mass fraction].
    pub purity: f64,
    /// Standard uncertainty of that.
    pub u_purity: Option<f64>,
}

/// What messages call a substance that is titrated.
const ANALYTE: &str = "the analyte";

pub(super) fn titration(section: &Section, chemistry: &Declared) -> Option<Titration> {
    let analyte = required(section, "analyte", formula);
    let ratio = required(section, "ratio", Section::number_within);
    let of_assays = of_assays(section, chemistry);
    let titrant = section.plain_text("titrant");
    let back_ratio = section.number_or_usual("back_ratio");
    let repeatability = section.number_within("repeatability");
    let bases = [SampleBasis::AsWeighed, SampleBasis::Dried];
    let sample = section.one_of("sample", bases);
    let residue_sample = match section.text("residue_sample") {
        Some(_) => section.one_of("residue_sample", bases),
        None => sample,
    };
    let liquor_as = formula(section, "liquor_as");
    if let (Some(stated), Declared::Sound(chemistry)) = (&liquor_as, chemistry) {
        let hint = "name the product, its salt without water, or the followed element";
        check_holds(section, "liquor_as", stated, chemistry, hint);
    }
    let (flask, aliquot) = aliquot(section);
    let control = section.table_if_there("control", |table| control(table, chemistry));
    let correct_bias = section.truth("correct_bias").unwrap_or(false);
    if correct_bias && !section.has("control") {
        section.fault(
            "`titration.correct_bias` without `titration.control`",
            "name the reference material: `control = { formula = \"...\", purity = 0.9995 }`",
        );
    }
    match (&analyte, chemistry) {
        (_, Declared::Nothing) => section.fault(
            "`[titration]` without `product`, `followed` and `assay_as` in `[campaign]`",
            "a titre becomes a purity only when the product is known",
        ),
        (Some(analyte), Declared::Sound(chemistry)) if analyte.value != chemistry.product => {
            let hint = "name the product, or what holds its followed element";
            check_holds(section, ANALYTE, analyte, chemistry, hint);
        }
        _ => {}
    }
    Some(Titration {
        analyte: analyte?.value,
        ratio: ratio?,
        of_assays,
        back_ratio,
        titrant,
        repeatability,
        sample,
        residue_sample,
        liquor_as: liquor_as.map(|stated| StatedFormula {
            line: section.source.line(stated.position),
            formula: stated.value,
        }),
        aliquot,
        flask,
        control,
        correct_bias,
    })
}

/// The key `control`: what the reference material is and how pure.
fn control(section: &Section, chemistry: &Declared) -> Option<ControlSample> {
    let stated = required(section, "formula", formula);
    let purity = required(section, "purity", Section::number_within);
    let u_purity = section.number_within("u_purity");
    if let (Some(stated), Declared::Sound(chemistry)) = (&stated, chemistry) {
        let hint = "its titre tells the followed element: name a formula that holds it";
        check_holds(section, "the control sample", stated, chemistry, hint);
    }
    Some(ControlSample {
        formula: stated?.value,
        purity: purity?,
        u_purity,
    })
}

/// The keys `flask` and `aliquot`: a part of the solution, or a volume of the flask.
fn aliquot(section: &Section) -> (Option<f64>, Option<f64>) {
    let flask = section.meaning("flask", |text| amount(text, Dimension::Volume));
    let Some(text) = section.figure("aliquot") else {
        return (flask, None);
    };
    if flask.is_none() && section.has("flask") {
        // What is wrong with the flask has been noted.
        return (None, None);
    }
    let refuse = |hint| section.refuse("aliquot", &text, hint);
    let part = part_of_flask(&text.value, flask).map_err(refuse);
    (flask, part.ok())
}

fn part_of_flask(text: &str, flask: Option<f64>) -> Result<f64, String> {
    let (figure, unit) = split(text);
    let volume = Unit::of(unit, Dimension::Volume);
    let part = match (volume, flask) {
        (None, _) => quantity(text, Dimension::Fraction)?,
        (Some(_), None) => Err("a volume is a part of its flask: add `flask = \"250 mL\"`")?,
        (Some(unit), Some(flask)) => unit.to_base(finite(figure)?) / flask,
    };
    match (ABOVE_ZERO..=1.0).contains(&part) {
        true => Ok(part),
        false if volume.is_some() => Err("it must be above zero, and no more than `flask`".into()),
        false => {
            Err("write the part that was titrated, such as `0.1`, or its volume with `flask`")?
        }
    }
}

/// Notes a formula without the followed element.
pub(super) fn check_holds(
    section: &Section,
    what: &str,
    stated: &At<Formula>,
    chemistry: &Chemistry,
    hint: &str,
) {
    let (formula, followed) = (&stated.value, &chemistry.followed);
    if formula.atoms_of(followed) == 0.0 {
        let what = format!("{what} `{}` holds no {followed}", formula.text());
        section.source.fault(stated.position, what, hint);
    }
}

/// The keys `assay_analyte` and `assay_ratio`, which go together.
fn of_assays(section: &Section, chemistry: &Declared) -> Option<AssayTitration> {
    let pair = ["assay_analyte", "assay_ratio"];
    let analyte = formula(section, pair[0]);
    let ratio = section.number_within(pair[1]);
    let mut names = section.own_names();
    names.retain(|name| pair.contains(&name.value.as_str()));
    if let [one] = names.as_slice() {
        section.source.fault(
            one.position,
            "`titration.assay_analyte` and `titration.assay_ratio` go together",
            "name what is titrated in feed and residue, and its moles per mole of titrant",
        );
    }
    let analyte = analyte?;
    if let Declared::Sound(chemistry) = chemistry {
        let hint = "name what holds the followed element in feed and residue";
        check_holds(section, ANALYTE, &analyte, chemistry, hint);
    }
    let (analyte, ratio) = (analyte.value, ratio?);
    Some(AssayTitration { analyte, ratio })
}
