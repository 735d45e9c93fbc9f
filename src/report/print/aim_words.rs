//! Names of aims, settings and their units.
//!
//! In: aims and settings, and how names are made harmless. Out: pieces of sentences.
//! This module never decides which route or setting is best.

use super::escape::Naming;
use super::numbers::{decimals_for, fixed, plain};
use super::shown::Shown;
use crate::decide::{AimOf, Aimed, Direction};
use crate::regression::{Setting, Settings};

/// How values of what is aimed at are written: costs per kilogram.
pub fn shown(aim: &Aimed, naming: Naming) -> Shown {
    let shown = match aim.of {
        AimOf::Cost => Shown::per_kilogram(&aim.unit),
        _ => Shown::raw(&aim.unit),
    };
    shown.named(naming)
}

/// `most yield`, `least cost`.
pub fn goal(aim: &Aimed, naming: Naming) -> String {
    let word = match aim.direction {
        Direction::Up => "most",
        Direction::Down => "least",
    };
    format!("{word} {}", naming(aim.of.name()))
}

/// `a purity of 98.5 % in at least 90 % of new runs`; None without a specification.
pub fn demand(aim: &Aimed) -> Option<String> {
    aim.spec.map(|spec| {
        format!(
            "a purity of {} % in at least {} % of new runs",
            plain(100.0 * spec),
            plain(100.0 * aim.purity_chance)
        )
    })
}

/// `heating muffle, oxidant_excess 83.8`, without units.
pub fn place(settings: &Settings, naming: Naming) -> String {
    let parts: Vec<String> = settings
        .iter()
        .map(|(factor, setting)| format!("{} {}", naming(factor), value(setting, naming)))
        .collect();
    parts.join(", ")
}

/// A level, or an amount with four digits.
pub fn value(setting: &Setting, naming: Naming) -> String {
    match setting {
        Setting::Amount(value) => plain(*value),
        Setting::Level(level) => naming(level),
    }
}

/// A unit behind a number, with its gap; nothing for a pure number.
pub fn unit(unit: &str, naming: Naming) -> String {
    match unit {
        "" | "1" => String::new(),
        unit => format!(" {}", naming(unit)),
    }
}

/// A difference of the response, such as `3.0 points`.
pub fn difference(value: f64, shown: &Shown) -> String {
    let gap = if shown.difference.is_empty() { "" } else { " " };
    format!(
        "{}{gap}{}",
        plain_tenths(shown.value(value)),
        shown.difference
    )
}

/// Two significant digits are enough for what is only expected.
fn plain_tenths(value: f64) -> String {
    let size = value.abs();
    let decimals = if size >= 10.0 {
        0
    } else if size >= 1.0 {
        1
    } else if size >= 0.01 {
        2
    } else {
        decimals_for(size)
    };
    fixed(value, decimals)
}
