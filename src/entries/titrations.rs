//! Titrations that lie far from those of their kind, and the reading that did it.
//!
//! In: the titres log and the strength of the titrants. Out: slips, each of one titre.
//! This module never pools replicates: one that is ten times off would widen the scatter of all.

use std::collections::BTreeMap;

use super::neighbours::standings;
use super::rules::{FEWEST, IN_LINE};
use super::usual::Usual;
use crate::campaign::Campaign;
use crate::caveat::{Against, Likely, Part, Slip, SlipOf, Weight};
use crate::intake::{Logged, LoggedNumber, TitreOf, TitreRow};
use crate::runs::{Days, Runs};

/// How many times off the middle a titration may be, of crops, which are all nearly pure, and of feed and residue.
const TIMES: [f64; 2] = [1.08, 6.0];

/// A titration so many times off that a usual slip explains cannot be right, and would spoil the scatter of all others.
const CANNOT_BE: f64 = 4.0;

/// One reading of a titration: its column, its value, and the side to which it moves what is found.
struct Reading {
    column: &'static str,
    value: f64,
    side: f64,
}

/// Slips in titrations.
pub(super) fn of_titrations(campaign: &Campaign, logged: &Logged, runs: &Runs) -> Vec<Slip> {
    let Some(titration) = &campaign.titration else {
        return Vec::new();
    };
    let days = Days::of(logged);
    let strength = |name: Option<&str>, row: &TitreRow| {
        let mut titrants = runs.titrants.iter();
        let of_name = titrants.find(|titrant| Some(titrant.titrant.as_str()) == name)?;
        Some(of_name.by_date.at(days.day(row)).value())
    };
    // Moles per gram: what differs between samples of one kind is their content alone.
    let found = |row: &TitreRow| {
        let name = row.titrant.as_deref().or(titration.titrant.as_deref());
        let back = match row.back_titre() {
            Some(back) => {
                let name = row.back_titrant().map(|name| name.as_str());
                strength(name, row)? * back.value * titration.back_ratio
            }
            None => 0.0,
        };
        let used = strength(name, row)? * (row.titre.value - runs.blank(row)) - back;
        let (aliquot, dilution) = (value(row.aliquot(), 1.0), value(row.dilution(), 1.0));
        let content = used * dilution / (row.sample_mass.value * aliquot);
        (content > 0.0).then(|| content.ln())
    };
    let mut kinds: BTreeMap<&str, Vec<&TitreRow>> = BTreeMap::new();
    for row in &logged.titres {
        kinds.entry(kind(row.of)).or_default().push(row);
    }
    let mut slips = Vec::new();
    for (kind, rows) in kinds {
        let times = match kind {
            "crop" => TIMES[0],
            _ => TIMES[1],
        };
        let values: Vec<_> = rows.iter().map(|row| (found(row), None)).collect();
        let standings = standings(&values, f64::ln(times), FEWEST);
        for (row, standing) in rows.iter().zip(standings) {
            if let Some(off) = standing.filter(|standing| standing.is_off()) {
                slips.push(slip(row, &rows, off.distance, off.most.map(f64::exp)));
            }
        }
    }
    slips
}

fn value(number: Option<LoggedNumber>, usual: f64) -> f64 {
    number.map_or(usual, |number| number.value)
}

fn kind(of: TitreOf) -> &'static str {
    match of {
        TitreOf::Crop(_) => "crop",
        TitreOf::Residue => "residue",
        TitreOf::Feed => "feed",
        TitreOf::Control => "control",
    }
}

/// The readings of a row.
fn readings(row: &TitreRow) -> Vec<Reading> {
    let all = [
        ("titre", row.titre.value, 1.0),
        ("back_titre", value(row.back_titre(), 0.0), -1.0),
        ("sample_mass", row.sample_mass.value, -1.0),
        ("aliquot", value(row.aliquot(), 1.0), -1.0),
        ("dilution", value(row.dilution(), 1.0), 1.0),
    ];
    let reading = |(column, value, side)| Reading {
        column,
        value,
        side,
    };
    let all = all.map(reading).into_iter();
    all.filter(|reading| reading.value > 0.0).collect()
}

/// The reading of a titration that is furthest off those of the others on the side of the fault, with the likely slip.
fn slip(row: &TitreRow, rows: &[&TitreRow], distance: f64, most: [f64; 2]) -> Slip {
    let side = distance.signum();
    let off = readings(row).into_iter().filter_map(|reading| {
        let others = rows.iter().flat_map(|other| readings(other));
        let others = others.filter(|other| other.column == reading.column);
        let usual = Usual::of(others.map(|other| other.value.ln()).collect(), FEWEST)?;
        let off = reading.value.ln() - usual.middle;
        Some((side * reading.side * off, off, usual.middle.exp(), reading))
    });
    let furthest = off.max_by(|(one, ..), (other, ..)| one.total_cmp(other));
    let with_back = rows.iter().filter(|row| row.back_titre().is_some()).count();
    let lacks_back = row.back_titre().is_none() && 2 * with_back > rows.len();
    let (column, value, likely) = match furthest.filter(|(towards, ..)| *towards > 0.0) {
        _ if lacks_back => ("back_titre", 0.0, None),
        Some((_, off, usual, reading)) => {
            // What is titrated back is only a part of the difference.
            let part = row.back_titre().map_or(distance, |_| off);
            let likely = explained(&reading, off, part, usual);
            (reading.column, reading.value, likely)
        }
        None => ("titre", row.titre.value, None),
    };
    let weight = match distance.abs() >= CANNOT_BE.ln() && likely.is_some() {
        true => Weight::Impossible,
        false => Weight::Unlikely,
    };
    let [low, high] = most.map(|end| end / (most[0] * most[1]).sqrt());
    let times = distance.exp();
    let against = Against::Titration { times, low, high };
    let part = match row.of {
        TitreOf::Crop(crop) => Some(Part::PurityOf(crop)),
        TitreOf::Residue => Some(Part::ResidueAssay),
        TitreOf::Feed => Some(Part::FeedAssay),
        TitreOf::Control => None,
    };
    Slip {
        likely,
        part,
        ..Slip::new(&row.place, column, value, against)
            .of_run(&row.run)
            .trusted(weight)
    }
}

/// The usual slip in a reading that explains how far its titration is off.
fn explained(reading: &Reading, off: f64, distance: f64, usual: f64) -> Option<Likely> {
    let slips = match reading.column {
        "aliquot" => vec![(usual / reading.value, SlipOf::Aliquot)],
        "dilution" => vec![(usual / reading.value, SlipOf::Dilution)],
        "sample_mass" => vec![(1000.0, SlipOf::Kilograms), (0.001, SlipOf::Kilograms)],
        _ => vec![(1000.0, SlipOf::Litres), (0.001, SlipOf::Litres)],
    };
    let decimal = [10.0, 0.1, 100.0, 0.01].map(|times| (times, SlipOf::DecimalPoint));
    let all = slips.into_iter().chain(decimal);
    let side = off.signum();
    let fitting = all.filter(|(times, _)| {
        let size = times.ln().abs();
        size > IN_LINE.ln()
            && (distance.abs() - size).abs() <= IN_LINE.ln()
            && (off.abs() - size).abs() <= IN_LINE.ln()
    });
    let best = fitting.min_by(|(one, _), (other, _)| {
        let left = |times: f64| (off.abs() - times.ln().abs()).abs();
        left(*one).total_cmp(&left(*other))
    });
    let (times, how) = best?;
    let meant = reading.value * (-side * times.ln().abs()).exp();
    let unit = match reading.column {
        "sample_mass" => "g",
        "titre" | "back_titre" => "mL",
        _ => "1",
    };
    Some(Likely::number(how, meant, unit))
}
