//! The unit in which a response is shown to people.
//!
//! In: the unit of a response. Out: [`Shown`]: fractions as percent, their differences as points.
//! This module never changes a figure that a script reads.

use super::columns_and_cells::{Cell, Digits, Value};
use super::numbers::plain;
use crate::regression::{Estimate, Interval};

/// How the values of one response are written, as cells of a table or in a sentence.
#[derive(Debug, Clone)]
pub struct Shown {
    factor: f64,
    /// Unit of a value.
    pub unit: String,
    /// Unit of a difference.
    pub difference: String,
}

impl Shown {
    /// Percent for fractions, else the unit itself.
    pub fn of(unit: &str) -> Shown {
        let (factor, unit, difference) = match unit {
            "1" => (100.0, "%", "points"),
            unit => (1.0, unit, unit),
        };
        Shown {
            factor,
            unit: unit.into(),
            difference: difference.into(),
        }
    }

    /// Money per gram is said per kilogram; any other unit stays.
    pub fn per_kilogram(unit: &str) -> Shown {
        match unit.strip_suffix("/g") {
            Some(money) => Shown {
                factor: 1000.0,
                ..Shown::of(&format!("{money}/kg"))
            },
            None => Shown::of(unit),
        }
    }

    /// A value in the unit that is shown.
    pub fn value(&self, value: f64) -> f64 {
        value * self.factor
    }

    /// `2.1 points`: a standard deviation or a margin, to four digits.
    pub fn scatter(&self, sd: f64) -> String {
        format!("{} {}", plain(self.value(sd)), self.difference)
    }

    /// `71.4 ± 1.1 %` with the half-width of the interval behind the sign.
    pub fn mean(&self, estimate: &Estimate) -> Cell {
        self.with_error(estimate.value, estimate.interval)
            .in_unit(&self.unit)
    }

    /// `+6.1 ± 1.4 points`, always with a sign.
    pub fn change(&self, estimate: &Estimate) -> Cell {
        self.difference_with(estimate.value, estimate.interval)
    }

    /// The same with an interval that may be another than that of an estimate.
    pub fn difference_with(&self, value: f64, interval: Option<Interval>) -> Cell {
        let cell = self.with_error(value, interval);
        cell.in_unit(&self.difference).signed()
    }

    /// The size of a difference without its sign.
    pub fn size(&self, estimate: &Estimate) -> Cell {
        let cell = self.with_error(estimate.value.abs(), estimate.interval);
        cell.in_unit(&self.difference)
    }

    /// `63.2 to 69.8`.
    pub fn interval(&self, interval: Option<Interval>) -> Cell {
        let digits = Digits::OfWidth;
        match interval {
            Some(ends) => Cell::of(Value::Range { ends, digits }).times(self.factor),
            None => Cell::because("not known"),
        }
    }

    fn with_error(&self, value: f64, interval: Option<Interval>) -> Cell {
        let half_width = interval.map(|ends| (ends.high - ends.low) / 2.0);
        Cell::of(Value::WithError { value, half_width }).times(self.factor)
    }
}
