//! Unit part of a heading, and what it says of its column.
//!
//! In: a heading, and the text of a unit. Out: [`Cut`] and [`UnitSaid`].
//! This module never knows which column a heading names.

use super::columns::Holds;
use super::strength;
use crate::campaign::{Campaign, PriceUnit, is_same_currency};
use crate::chemistry::Formula;
use crate::units::{Dimension, Unit};

/// A heading cut into its name and its unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Cut<'h> {
    /// The heading without its unit part.
    pub name: &'h str,
    /// The unit part.
    pub unit: Option<&'h str>,
    /// Whether nothing but its text shows that it is a unit: `acid excess, %`, `Liquor g/L`.
    pub is_loose: bool,
}

/// What the unit of a column says.
#[derive(Debug, Default)]
pub(super) struct UnitSaid {
    /// Unit of its numbers.
    pub unit: Option<Unit>,
    /// What a strength is of.
    pub formula: Option<Formula>,
    /// What a price is stated in.
    pub price: PriceUnit,
}

/// Cuts a heading: `mass / g`, `mass (g)`, `mass [g]`; also `mass, g` and `Liquor g/L`, where `is_unit` knows what stands
/// behind the comma, or behind a blank if it cannot be a word and no number stands before it (`H2O2 30 %`).
pub(super) fn cut(heading: &str, is_unit: impl Fn(&str) -> bool) -> Cut<'_> {
    let heading = heading.trim();
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let Some(front) = heading.strip_suffix(close)
            && let Some((name, unit)) = front.rsplit_once(open)
            && !name.trim().is_empty()
        {
            return Cut::tight(name, unit);
        }
    }
    let loose = behind_a_blank(heading, &is_unit);
    match (heading.split_once(" / "), loose) {
        // `Price € / kg`
        (Some(_), Some(cut)) if cut.unit.is_some_and(|unit| unit.contains(" / ")) => return cut,
        (Some((name, unit)), _) => return Cut::tight(name, unit),
        (None, _) => {}
    }
    if let Some((name, unit)) = heading.rsplit_once(',')
        && is_unit(unit.trim())
    {
        return Cut::loose(name, unit);
    }
    loose.unwrap_or(Cut {
        name: heading,
        unit: None,
        is_loose: false,
    })
}

impl<'h> Cut<'h> {
    fn tight(name: &'h str, unit: &'h str) -> Self {
        Cut {
            name: name.trim(),
            unit: Some(unit.trim()),
            is_loose: false,
        }
    }

    fn loose(name: &'h str, unit: &'h str) -> Self {
        Cut {
            name: name.trim_end_matches([' ', ',']),
            is_loose: true,
            ..Cut::tight(name, unit)
        }
    }
}

/// The longest unit at the end of a heading that cannot be a word of it.
fn behind_a_blank<'h>(heading: &'h str, is_unit: &impl Fn(&str) -> bool) -> Option<Cut<'h>> {
    let cannot_be_a_word =
        |text: &str| text.starts_with("per ") || text.contains(['%', '‰', '/', '°', 'º', '℃']);
    heading.match_indices(' ').find_map(|(blank, _)| {
        let (name, unit) = (&heading[..blank], heading[blank..].trim_start());
        let last_word = name.split_whitespace().next_back()?;
        let is_of_number = last_word.starts_with(|c: char| c.is_ascii_digit());
        let is_there = !unit.starts_with('/') && cannot_be_a_word(unit) && is_unit(unit);
        (is_there && !is_of_number).then(|| Cut::loose(name, unit))
    })
}

/// Whether a text is a unit of any column.
pub(super) fn is_unit(campaign: &Campaign, text: &str) -> bool {
    Unit::named(text).is_some()
        || PriceUnit::named(text).is_some()
        || strength::named(campaign, text).is_some()
}

/// Whether two texts are one unit.
pub(super) fn is_same(campaign: &Campaign, one: &str, other: &str) -> bool {
    let units = [one, other].map(Unit::named);
    if let [Some(one), Some(other)] = units {
        return one == other;
    }
    let strengths = [one, other].map(|text| strength::named(campaign, text));
    if let [Some((unit, formula)), Some((other, also))] = strengths {
        return unit == other && (formula.is_none() || also.is_none() || formula == also);
    }
    match [one, other].map(PriceUnit::named) {
        [Some(one), Some(other)] => one.is_same(&other),
        _ => one == other,
    }
}

/// What a unit says of a column that holds this, with what else its heading says.
///
/// # Errors
/// A hint with the units that fit.
pub(super) fn said(
    campaign: &Campaign,
    name: &str,
    holds: Option<Holds>,
    text: Option<&str>,
    heading: Cut,
) -> Result<UnitSaid, String> {
    let unit = |unit: Option<Unit>| UnitSaid {
        unit,
        ..UnitSaid::default()
    };
    let dimension = holds.and_then(Holds::dimension);
    match (holds, dimension, text) {
        (_, Some(Dimension::MassConcentration), _) => {
            let (unit, formula) = strength::said(campaign, text, heading.name, heading.unit)?;
            Ok(UnitSaid {
                unit,
                formula,
                ..UnitSaid::default()
            })
        }
        (_, _, None) => Ok(UnitSaid::default()),
        (Some(Holds::PriceOfMass), _, Some(text)) => price(campaign, text),
        (_, Some(dimension), Some(text)) => {
            let may_be_volume = name.trim_start_matches("u_") == "aliquot";
            let dimensions = [Some(dimension), may_be_volume.then_some(Dimension::Volume)];
            let fitting = || dimensions.into_iter().flatten();
            let found = fitting().find_map(|dimension| Unit::of(text, dimension));
            let names: Vec<String> = fitting().filter_map(Dimension::unit_names).collect();
            match found {
                Some(_) => Ok(unit(found)),
                None if names.is_empty() => Err(format!(
                    "its numbers have no unit: take `{text}` out of the heading"
                )),
                None => Err(format!("units that fit: {}", names.join(", "))),
            }
        }
        (_, None, Some(text)) => Ok(unit(Unit::named(text))),
    }
}

fn price(campaign: &Campaign, text: &str) -> Result<UnitSaid, String> {
    let price = PriceUnit::named(text)
        .ok_or("write what a price is per: `€/kg`, `EUR/kg`, `per t` or a currency alone")?;
    let prices = campaign.prices.as_ref();
    let known = prices.and_then(|prices| prices.stated_currency());
    if let (Some(own), Some(known)) = (&price.currency, known)
        && !is_same_currency(own, known)
    {
        return Err(format!(
            "the prices of the campaign file are in {known}: write these in it, or correct `currency` under `[prices]`"
        ));
    }
    Ok(UnitSaid {
        price,
        ..UnitSaid::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn known(heading: &str) -> (&str, Option<&str>) {
        let is_unit = |text: &str| {
            Unit::named(text).is_some() || PriceUnit::named(text).is_some() || text == "Ni g/L"
        };
        let cut = cut(heading, is_unit);
        (cut.name, cut.unit)
    }

    #[test]
    fn a_unit_is_cut_off_in_each_written_form() {
        assert_eq!(known("mass / g"), ("mass", Some("g")));
        assert_eq!(known("mass (g)"), ("mass", Some("g")));
        assert_eq!(known("mass [g]"), ("mass", Some("g")));
        assert_eq!(known("conc / g/L"), ("conc", Some("g/L")));
        assert_eq!(known("acid excess, %"), ("acid excess", Some("%")));
        assert_eq!(known("mass, g"), ("mass", Some("g")));
        assert_eq!(known("Residue Ni out %"), ("Residue Ni out", Some("%")));
        assert_eq!(known("ML Ni g/L"), ("ML", Some("Ni g/L")));
        assert_eq!(known("Bath °C"), ("Bath", Some("°C")));
        assert_eq!(known("assay w/w %"), ("assay", Some("w/w %")));
        assert_eq!(known("Price €/kg"), ("Price", Some("€/kg")));
        assert_eq!(known("Price € / kg"), ("Price", Some("€ / kg")));
        assert_eq!(known("price (per t)"), ("price", Some("per t")));
        assert_eq!(known("price / EUR/kg"), ("price", Some("EUR/kg")));
        assert_eq!(known("Price per t"), ("Price", Some("per t")));
    }

    #[test]
    fn what_may_be_a_word_is_no_unit_behind_a_blank() {
        for heading in [
            "H2O2 30 %",
            "mass",
            "Scale t",
            "Run no. C",
            "Vessel L",
            "%",
            "note, see below",
            "a/b",
        ] {
            assert_eq!(known(heading), (heading, None), "{heading}");
        }
    }
}
