//! Names of aims, settings and their units.
//!
//! In: aims and settings. Out: pieces of sentences, names as they were logged.
//! This module never decides which route or setting is best.

use super::numbers::{decimals_for, fixed, plain};
use super::response_unit::Shown;
use super::words::{around, joined};
use crate::decide::{AimOf, Aimed, Direction};
use crate::regression::{Setting, Settings};

/// How values of what is aimed at are written: costs per kilogram.
pub fn shown(aim: &Aimed) -> Shown {
    match aim.of {
        AimOf::Cost => Shown::per_kilogram(&aim.unit),
        _ => Shown::of(&aim.unit),
    }
}

/// `most yield`, `least cost`.
pub fn goal(aim: &Aimed) -> String {
    let word = match aim.direction {
        Direction::Up => "most",
        Direction::Down => "least",
    };
    format!("{word} {}", aim.of.name())
}

/// `a purity of 98.5 % in at least 90 % of new runs`; None without a specification.
pub fn demand(aim: &Aimed) -> Option<String> {
    let spec = plain(100.0 * aim.spec?);
    let chance = plain(100.0 * aim.purity_chance);
    Some(format!(
        "a purity of {spec} % in at least {chance} % of new runs"
    ))
}

/// How the name of a factor or a response is written; `str::to_string` leaves it as it was logged.
pub type Called<'a> = &'a dyn Fn(&str) -> String;

/// `heating muffle, oxidant excess 83.8`, without units.
pub fn place(settings: &Settings, called: Called) -> String {
    let each = settings.iter();
    joined(
        each.map(|(factor, setting)| format!("{} {}", called(factor), value(setting))),
        ", ",
    )
}

/// A level, or an amount with four digits.
pub fn value(setting: &Setting) -> String {
    match setting {
        Setting::Amount(value) => plain(*value),
        Setting::Level(level) => level.clone(),
    }
}

/// A unit behind a number, with its gap; nothing for a pure number.
pub fn unit(unit: &str) -> String {
    match unit {
        "" | "1" => String::new(),
        unit => format!(" {}", spelt(unit)),
    }
}

/// A unit as prose spells it: only that of temperature has a sign that logs mostly go without.
pub fn spelt(unit: &str) -> &str {
    if unit == "degC" { "°C" } else { unit }
}

/// A difference of the response, such as `3.0 points`, to two digits, which are enough for what is only expected.
pub fn difference(value: f64, shown: &Shown) -> String {
    let value = shown.value(value);
    let decimals = match value.abs() {
        size if size >= 10.0 => 0,
        size if size >= 1.0 => 1,
        size if size >= 0.01 => 2,
        size => decimals_for(size),
    };
    fixed(value, decimals) + &around(" ", &shown.difference, "")
}
