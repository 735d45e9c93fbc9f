//! Units of the strength of a mother liquor, and the formula in them.
//!
//! In: units such as `g Ni/L` or `mol/L`, and what else stands in a heading. Out: a unit in g/L, and a formula.
//! This module never turns a strength into product.

use crate::campaign::Campaign;
use crate::chemistry::Formula;
use crate::units::{Dimension, Unit};

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

/// The unit of a strength in g/L, and the formula that states it: in the unit, in the unit part of its heading, or at the end
/// of its name there.
///
/// # Errors
/// A hint where the unit does not fit, or the formula does not hold the followed element.
pub(super) fn said(
    campaign: &Campaign,
    text: Option<&str>,
    name: &str,
    in_heading: Option<&str>,
) -> Result<(Option<Unit>, Option<Formula>), String> {
    let (unit, formula) = match text {
        Some(text) => {
            let (unit, formula) = named(campaign, text).ok_or_else(|| fitting(campaign))?;
            (Some(unit), formula)
        }
        None => (None, None),
    };
    let last_word = || name.split_whitespace().next_back();
    let formula = formula
        .or_else(|| named(campaign, in_heading?)?.1)
        .or_else(|| of_followed(campaign, last_word()?));
    let Some(chemistry) = &campaign.chemistry else {
        let is_mass = unit.is_none_or(|unit| unit.dimension == Dimension::MassConcentration);
        let read = is_mass.then_some((unit, formula));
        return read.ok_or_else(|| fitting(campaign));
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
    let stated = campaign.of_titration(|titration| titration.liquor_as.as_ref());
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
    let chemistry = campaign.chemistry.as_ref();
    let with_formula = chemistry.map_or(String::new(), |chemistry| {
        let followed = &chemistry.followed;
        format!("; a formula may stand in them: `g {followed}/L`")
    });
    format!("units that fit: {}{with_formula}", names.join(", "))
}
