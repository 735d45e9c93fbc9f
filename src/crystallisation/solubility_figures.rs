//! Solubility figures of a salt: those of the campaign file and those of the handbook.
//!
//! In: `[solubility]`, and the table beside this file. Out: points of one salt as mass fractions, or [`Unknown`] for a
//! faulty figure of the campaign file.
//! This module never mends a figure and never converts a hydrate: the table is of salts without water.

use super::between_points::Point;
use super::reason::Unknown;
use crate::campaign::SolubilityPoint;
use crate::chemistry::Formula;

const TABLE: &str = include_str!("solubility.csv");

/// Where the figures of the table come from.
pub(super) const SOURCE: &str = "CRC Handbook of Chemistry and Physics, 98th edition (2017), \
     Aqueous Solubility of Inorganic Compounds at Various Temperatures";

/// Where own points come from.
pub(super) const OWN_POINTS: &str = "points of the campaign file";

/// Water that a stated solubility refers to \[g\].
const WATER: f64 = 100.0;

/// Relative standard uncertainty of a figure that a second compilation bears out, and of the user's own points:
/// handbook solubilities are good to 1 to 3 %; common practice, no source.
const COMPARED: f64 = 0.02;
/// Relative standard uncertainty of a figure that was compared with nothing: the wide end of the same range.
const ALONE: f64 = 0.03;
/// Relative standard uncertainty of a figure that a second compilation puts 8 to 15 % elsewhere: about that
/// distance as the half-width of a rectangular distribution.
const DISPUTED: f64 = 0.06;

/// Own points in order of temperature, as mass fractions `w = s/(100 + s)`, `s` in g per 100 g of water.
///
/// # Assumes
/// They are as good as a handbook figure that a second one bears out, since nothing is stated of their uncertainty.
/// # Errors
/// [`Unknown::Impossible`] for a figure that is none, [`Unknown::SameTemperature`] for two of one temperature.
pub(super) fn own_points(stated: &[SolubilityPoint]) -> Result<Vec<Point>, Unknown> {
    let impossible = |what, value| Err(Unknown::Impossible { what, value });
    let own = |point: &SolubilityPoint| {
        if !point.temperature.is_finite() {
            return impossible("temperature", point.temperature);
        }
        if !(point.per_100_g.is_finite() && point.per_100_g >= 0.0) {
            return impossible("solubility", point.per_100_g);
        }
        Ok(Point {
            temperature: point.temperature,
            mass_fraction: point.per_100_g / (WATER + point.per_100_g),
            relative_uncertainty: COMPARED,
            change_after: None,
        })
    };
    let mut points = stated.iter().map(own).collect::<Result<Vec<_>, _>>()?;
    points.sort_by(|a, b| a.temperature.total_cmp(&b.temperature));
    let twice = |pair: &&[Point]| pair[0].temperature == pair[1].temperature;
    match points.windows(2).find(twice) {
        Some(pair) => Err(Unknown::SameTemperature {
            temperature: pair[0].temperature,
        }),
        None => Ok(points),
    }
}

/// The points of a salt in the table, in order of temperature; empty when the table does not hold it.
///
/// # Units and shapes
/// Temperatures \[degC\]; mass fractions, of which the table has the hundredfold; relative standard uncertainties.
/// # Source
/// The head of `solubility.csv` beside this file.
pub(super) fn points_of(salt: &Formula) -> Vec<Point> {
    let is_of_salt = |text: &str| Formula::parse(text).is_ok_and(|formula| formula == *salt);
    let rows = rows().filter(|(formula, _)| is_of_salt(formula));
    rows.map(|(_, point)| point).collect()
}

fn lines() -> impl Iterator<Item = &'static str> {
    TABLE.lines().filter(|line| !line.starts_with('#')).skip(1)
}

/// Each row of the table: the formula of a salt and a point.
fn rows() -> impl Iterator<Item = (&'static str, Point)> {
    lines().filter_map(|line| {
        let mut cells = line.split(',');
        let formula = cells.next()?;
        let temperature = cells.next()?.parse().ok()?;
        let mass_percent: f64 = cells.next()?.parse().ok()?;
        let relative_uncertainty = match cells.next()? {
            "compared" => COMPARED,
            "alone" => ALONE,
            "disputed" => DISPUTED,
            _ => return None,
        };
        let change_after = match cells.next()? {
            "" => None,
            near => Some(near.parse().ok()?),
        };
        let point = Point {
            temperature,
            mass_fraction: mass_percent / 100.0,
            relative_uncertainty,
            change_after,
        };
        Some((formula, point))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_table_is_read() {
        assert!(lines().count() > 0);
        assert_eq!(rows().count(), lines().count());
    }

    #[test]
    fn every_formula_is_one_and_its_temperatures_rise() {
        for pair in rows().collect::<Vec<_>>().windows(2) {
            assert!(Formula::parse(pair[0].0).is_ok());
            let same = pair[0].0 == pair[1].0;
            assert!(!same || pair[0].1.temperature < pair[1].1.temperature);
        }
    }

    #[test]
    fn every_change_of_the_solid_lies_before_the_next_row() {
        for pair in rows().collect::<Vec<_>>().windows(2) {
            if let Some(near) = pair[0].1.change_after {
                assert_eq!(pair[0].0, pair[1].0);
                assert!(pair[0].1.temperature < near);
                assert!(near < pair[1].1.temperature);
            }
        }
    }

    #[test]
    fn a_salt_is_found_however_its_formula_is_written() {
        let ammonium = Formula::parse("(NH4)2SO4").unwrap();
        let written_out = Formula::parse("N2H8SO4").unwrap();
        assert_eq!(points_of(&ammonium).len(), 12);
        assert_eq!(points_of(&ammonium), points_of(&written_out));
    }

    #[test]
    fn a_salt_that_is_not_there_has_no_points() {
        assert!(points_of(&Formula::parse("KIO3").unwrap()).is_empty());
    }
}
