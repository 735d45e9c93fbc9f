//! Figures with their uncertainty, as they stand under many keys of a result.
//!
//! In: finished figures. Out: [`Measured`], [`Estimated`], [`AmountFigures`], [`Ends`] and [`Named`].
//! This module never computes.

use serde::Serialize;
use serde::ser::Serializer;

/// Both ends of an interval; null where there is none.
pub type Ends = Option<[f64; 2]>;

/// A key that a call may not compute, and that may be null where it does.
pub type Maybe<T> = Option<Option<T>>;

/// A value with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Measured {
    /// The value.
    pub value: f64,
    /// Its standard uncertainty.
    pub u: f64,
}

impl From<&crate::measured::Measured> for Measured {
    fn from(value: &crate::measured::Measured) -> Self {
        Self {
            value: value.value(),
            u: value.uncertainty(),
        }
    }
}

/// An estimate, or null figures with the reason.
#[derive(Debug, Clone, Serialize)]
pub struct Estimated {
    /// The best estimate.
    pub value: Option<f64>,
    /// Its standard error.
    pub u: Option<f64>,
    /// Its interval.
    pub interval: Ends,
    /// Why there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

/// A figure with its interval.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct AmountFigures {
    /// Best estimate.
    pub value: f64,
    /// Standard uncertainty.
    pub u: f64,
    /// Both ends.
    pub interval: [f64; 2],
}

/// Entries under names from the campaign, in their order.
#[derive(Debug, Clone, Default)]
pub struct Named<T>(pub Vec<(String, T)>);

impl<T: Serialize> Serialize for Named<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(name, entry)| (name, entry)))
    }
}
