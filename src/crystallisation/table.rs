//! What does the handbook say of a salt?
//!
//! In: nothing but the table beside this file. Out: the points of one salt.
//! This module never converts a hydrate: its figures are of the salt without water.

use super::piece::Point;
use crate::chemistry::Formula;

const TABLE: &str = include_str!("solubility.csv");

/// Where the figures of the table come from.
pub(super) const SOURCE: &str = "CRC Handbook of Chemistry and Physics, 98th edition (2017), \
     Aqueous Solubility of Inorganic Compounds at Various Temperatures";

/// Relative standard uncertainty of a figure that a second compilation bears out, and of the user's own points:
/// handbook solubilities are good to 1 to 3 %; common practice, no source.
pub(super) const COMPARED: f64 = 0.02;
/// Relative standard uncertainty of a figure that was compared with nothing: the wide end of the same range.
const ALONE: f64 = 0.03;
/// Relative standard uncertainty of a figure that a second compilation puts 8 to 15 % elsewhere: about that
/// distance as the half-width of a rectangular distribution.
const DISPUTED: f64 = 0.06;

/// The points of a salt in order of temperature; empty when the table does not hold it.
pub(super) fn points_of(salt: &Formula) -> Vec<Point> {
    let is_salt = |text: &str| Formula::parse(text).is_ok_and(|formula| &formula == salt);
    let mut formulas: Vec<&str> = rows().map(|row| row.formula).collect();
    formulas.dedup();
    let name = formulas.into_iter().find(|text| is_salt(text));
    rows()
        .filter(|row| Some(row.formula) == name)
        .map(|row| row.point)
        .collect()
}

struct Row {
    formula: &'static str,
    point: Point,
}

fn lines() -> impl Iterator<Item = &'static str> {
    TABLE.lines().filter(|line| !line.starts_with('#')).skip(1)
}

fn rows() -> impl Iterator<Item = Row> {
    lines().filter_map(row)
}

fn row(line: &'static str) -> Option<Row> {
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
    Some(Row {
        formula,
        point: Point {
            temperature,
            mass_fraction: mass_percent / 100.0,
            relative_uncertainty,
            change_after,
        },
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
        for pair in rows().collect::<Vec<Row>>().windows(2) {
            assert!(Formula::parse(pair[0].formula).is_ok());
            let same = pair[0].formula == pair[1].formula;
            assert!(!same || pair[0].point.temperature < pair[1].point.temperature);
        }
    }

    #[test]
    fn every_change_of_the_solid_lies_before_the_next_row() {
        for pair in rows().collect::<Vec<Row>>().windows(2) {
            if let Some(near) = pair[0].point.change_after {
                assert_eq!(pair[0].formula, pair[1].formula);
                assert!(pair[0].point.temperature < near);
                assert!(near < pair[1].point.temperature);
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
