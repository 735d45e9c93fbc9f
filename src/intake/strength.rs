//! Strengths of mother liquors, and the formula that each is of.
//!
//! In: units such as `g Ni/L` or `mol/L`, and the headings of the runs logs. Out: a unit in g/L, and one formula for all.
//! This module never turns a strength into product.

use super::heading_units::Cut;
use super::table::Table;
use crate::campaign::{Campaign, LogKind};
use crate::chemistry::Formula;
use crate::error::{Error, ErrorKind, Place};
use crate::units::{Dimension, Unit};

/// The column that holds strengths.
const STRENGTH: &str = "liquor_conc";

/// A unit of strength with the formula in it: `g/L`, `mol/L`, `g Ni/L`, `g/L Ni`, `g/L of Ni`; before the unit only a
/// formula of the followed element is one.
pub(super) fn named(campaign: &Campaign, text: &str) -> Option<(Unit, Option<Formula>)> {
    let unit = |text: &str| {
        let dimensions = [Dimension::MassConcentration, Dimension::Concentration];
        dimensions.into_iter().find_map(|of| Unit::of(text, of))
    };
    let formula = |text: &str| Formula::parse(text).ok();
    if let Some(unit) = unit(text) {
        return Some((unit, None));
    }
    let (front, behind) = text.split_once(' ')?;
    if let Some(unit) = unit(front) {
        let stated = behind.strip_prefix("of ").or(behind.strip_prefix("as "));
        return Some((unit, Some(formula(stated.unwrap_or(behind))?)));
    }
    if let Some((inside, below)) = behind.rsplit_once('/')
        && let Some(unit) = unit(&format!("{front}/{below}"))
    {
        return Some((unit, Some(formula(inside)?)));
    }
    Some((unit(behind)?, Some(of_followed(campaign, front)?)))
}

/// A formula that holds the followed element.
fn of_followed(campaign: &Campaign, text: &str) -> Option<Formula> {
    let followed = &campaign.chemistry.as_ref()?.followed;
    let formula = Formula::parse(text).ok()?;
    (formula.atoms_of(followed) > 0.0).then_some(formula)
}

/// The unit of a strength in g/L, and the formula that unit or heading state.
///
/// # Errors
/// A hint where the unit does not fit, or the formula does not hold the followed element.
pub(super) fn said(
    campaign: &Campaign,
    text: Option<&str>,
    heading: Cut,
) -> Result<(Option<Unit>, Option<Formula>), String> {
    let (unit, formula) = match text {
        Some(text) => {
            let (unit, formula) = named(campaign, text).ok_or_else(|| fitting(campaign))?;
            (Some(unit), formula)
        }
        None => (None, None),
    };
    let behind_name = || heading.name.split_whitespace().next_back();
    let formula = formula
        .or_else(|| named(campaign, heading.unit?)?.1)
        .or_else(|| of_followed(campaign, behind_name()?));
    let Some(chemistry) = &campaign.chemistry else {
        let is_mass = unit.is_none_or(|unit| unit.dimension == Dimension::MassConcentration);
        return is_mass
            .then_some((unit, formula))
            .ok_or_else(|| fitting(campaign));
    };
    if let Some(formula) = &formula
        && formula.atoms_of(&chemistry.followed) == 0.0
    {
        return Err(format!(
            "{} holds no {}: name the product, its salt without water, or the followed element",
            formula.text(),
            chemistry.followed
        ));
    }
    let stated = campaign.titration.as_ref();
    let stated = stated.and_then(|titration| titration.liquor_as.as_ref());
    let counted = formula.as_ref().or(stated.map(|stated| &stated.formula));
    let counted = counted.unwrap_or(&chemistry.product);
    let unit = unit.map(|unit| match unit.dimension {
        Dimension::Concentration => unit.by_molar_mass(counted.grams_per_mole()),
        _ => unit,
    });
    Ok((unit, formula))
}

fn fitting(campaign: &Campaign) -> String {
    let mass = Dimension::MassConcentration.unit_names();
    let amount = Dimension::Concentration.unit_names();
    let amount = amount.filter(|_| campaign.chemistry.is_some());
    let names: Vec<String> = mass.into_iter().chain(amount).collect();
    let with_formula = match &campaign.chemistry {
        Some(chemistry) => format!(
            "; a formula may stand in them: `g {}/L`",
            chemistry.followed
        ),
        None => String::new(),
    };
    format!("units that fit: {}{with_formula}", names.join(", "))
}

/// The formula that strengths are stated as, by the headings of the runs logs or by the campaign file; two that differ stop
/// the work.
pub(super) fn stated_as(
    campaign: &Campaign,
    tables: &[Table],
    stops: &mut Vec<Error>,
) -> Option<Formula> {
    let titration = campaign.titration.as_ref();
    let of_file = titration.and_then(|titration| titration.liquor_as.as_ref());
    let product = campaign
        .chemistry
        .as_ref()
        .map(|chemistry| &chemistry.product);
    let mut first: Option<(Option<&Formula>, String)> = None;
    let tables = tables.iter().filter(|table| table.kind == LogKind::Runs);
    for table in tables {
        let Some(head) = table.column(STRENGTH).map(|column| &table.heads[column]) else {
            continue;
        };
        let own = head.formula.as_ref();
        let counted = own.or(of_file.map(|stated| &stated.formula));
        let here = format!("column `{}` in `{}`", head.heading, table.file);
        let of = |formula: Option<&Formula>| {
            let formula = formula.or(product);
            formula.map_or_else(
                || "what it does not say".into(),
                |of| format!("`{}`", of.text()),
            )
        };
        let other = match (own, of_file, &first) {
            (Some(own), Some(stated), _) if *own != stated.formula => {
                let place = Place::new(&campaign.file, stated.line);
                Some((format!("`liquor_as` in {place}"), Some(&stated.formula)))
            }
            (_, _, Some((formula, place))) if formula.or(product) != counted.or(product) => {
                Some((place.clone(), *formula))
            }
            _ => None,
        };
        if let Some((place, formula)) = other {
            let message = format!(
                "{here} is of {}, and {place} of {}",
                of(counted),
                of(formula)
            );
            let hint = "say in both of which formula the strengths are";
            let fault = Place::new(&table.file, 1).fault(ErrorKind::Formula, message, hint);
            stops.push(fault.in_column(&head.heading));
        }
        first.get_or_insert((counted, here));
    }
    let counted = first.and_then(|(formula, _)| formula);
    counted.or(of_file.map(|stated| &stated.formula)).cloned()
}
