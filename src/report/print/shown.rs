//! The unit in which a response is shown to people.
//!
//! In: the unit of a response. Out: [`Shown`]: fractions as percent, their differences as points.
//! This module never changes a figure that a script reads.

use super::escape::markdown;
use super::numbers::{decimals_for, fixed, plus_minus};
use super::table::{Cell, Digits, Value};
use crate::regression::{Estimate, Interval};

/// How the values of one response are written.
#[derive(Debug, Clone)]
pub struct Shown {
    factor: f64,
    /// Unit of a value.
    pub unit: String,
    /// Unit of a difference.
    pub difference: String,
}

impl Shown {
    /// Percent for fractions, else the unit itself, harmless in Markdown.
    pub fn of(unit: &str) -> Shown {
        Shown::raw(&markdown(unit))
    }

    /// The same as it was written, for cells of a table and for terminals.
    pub fn raw(unit: &str) -> Shown {
        if unit == "1" {
            Shown {
                factor: 100.0,
                unit: "%".into(),
                difference: "points".into(),
            }
        } else {
            Shown {
                factor: 1.0,
                unit: unit.into(),
                difference: unit.into(),
            }
        }
    }

    /// Money per gram is said per kilogram; any other unit stays.
    pub fn per_kilogram(unit: &str) -> Shown {
        match unit.strip_suffix("/g") {
            Some(money) => Shown {
                factor: 1000.0,
                ..Shown::raw(&format!("{money}/kg"))
            },
            None => Shown::raw(unit),
        }
    }

    /// The same with its units harmless where they will stand.
    pub fn named(self, naming: impl Fn(&str) -> String) -> Shown {
        Shown {
            unit: naming(&self.unit),
            difference: naming(&self.difference),
            ..self
        }
    }

    /// A value with half the width of its interval, as a cell.
    pub fn mean_cell(&self, estimate: &Estimate) -> Cell {
        let cell = Cell::of(Value::WithError {
            value: estimate.value,
            half_width: half_width(estimate),
        });
        cell.times(self.factor).in_unit(&self.unit)
    }

    /// A difference with its sign and half the width of its interval, as a cell.
    pub fn change_cell(&self, estimate: &Estimate) -> Cell {
        let cell = self.mean_cell(estimate);
        cell.in_unit(&self.difference).signed()
    }

    /// A difference with an interval that may be another than that of an estimate, as a cell.
    pub fn difference_cell(&self, value: f64, interval: Option<Interval>) -> Cell {
        self.change_cell(&estimate_of(value, interval))
    }

    /// The ends of an interval, as a cell.
    pub fn interval_cell(&self, interval: Option<Interval>) -> Cell {
        let range = interval.map(|ends| Value::Range {
            low: ends.low,
            high: ends.high,
            digits: Digits::OfWidth,
        });
        range.map_or_else(
            || Cell::because("not known"),
            |range| Cell::of(range).times(self.factor),
        )
    }

    /// A value in the unit that is shown.
    pub fn value(&self, value: f64) -> f64 {
        value * self.factor
    }

    /// `71.4 ± 1.1 %` with the half-width of the interval behind the sign.
    pub fn mean(&self, estimate: &Estimate) -> String {
        self.with(estimate, &self.unit, "")
    }

    /// `+6.1 ± 1.4 points`, always with a sign.
    pub fn change(&self, estimate: &Estimate) -> String {
        let sign = if estimate.value > 0.0 { "+" } else { "" };
        self.with(estimate, &self.difference, sign)
    }

    /// A difference with a sign and half the width of an interval that may be another than that of an estimate.
    pub fn difference_with(&self, value: f64, interval: Option<Interval>) -> String {
        self.change(&estimate_of(value, interval))
    }

    /// The size of a difference without its sign.
    pub fn size(&self, estimate: &Estimate) -> String {
        let positive = Estimate {
            value: estimate.value.abs(),
            ..estimate.clone()
        };
        self.with(&positive, &self.difference, "")
    }

    fn with(&self, estimate: &Estimate, unit: &str, sign: &str) -> String {
        let gap = if unit.is_empty() { "" } else { " " };
        match half_width(estimate) {
            Some(half) => format!(
                "{sign}{}{gap}{unit}",
                plus_minus(self.value(estimate.value), self.value(half))
            ),
            None => format!(
                "{sign}{}{gap}{unit} (± not known)",
                fixed(self.value(estimate.value), 2)
            ),
        }
    }

    /// `63.2 to 69.8`.
    pub fn interval(&self, interval: Option<Interval>) -> String {
        match interval {
            None => "not known".into(),
            Some(ends) => {
                let decimals = decimals_for(self.value((ends.high - ends.low) / 2.0));
                format!(
                    "{} to {}",
                    fixed(self.value(ends.low), decimals),
                    fixed(self.value(ends.high), decimals)
                )
            }
        }
    }
}

fn estimate_of(value: f64, interval: Option<Interval>) -> Estimate {
    Estimate {
        value,
        standard_error: None,
        degrees_of_freedom: 0.0,
        interval,
        p: None,
    }
}

/// Half the width of the interval of an estimate.
pub fn half_width(estimate: &Estimate) -> Option<f64> {
    estimate
        .interval
        .map(|interval| (interval.high - interval.low) / 2.0)
}
