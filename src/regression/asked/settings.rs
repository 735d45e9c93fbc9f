//! Settings at which a model is asked.
//!
//! In: values of some factors. Out: [`Settings`].
//! This module never checks whether a model knows the factors.

use std::collections::BTreeMap;

use serde::Serialize;

/// The value of one factor.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Setting {
    /// A number, in the unit of the factor.
    Amount(f64),
    /// The name of a level.
    Level(String),
}

/// Values of factors; those not named stand at the reference mix.
///
/// The reference mix has each amount at its mean over the runs used, and the levels of each choice equally weighted.
/// # Example
/// ```
/// use residuum::regression::{Setting, Settings};
/// let settings = Settings::default().amount("oxidant_excess", 60.0).level("route", "chill");
/// assert_eq!(settings.get("oxidant_excess"), Some(&Setting::Amount(60.0)));
/// assert_eq!(settings.get("heating"), None);
/// ```
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Settings(BTreeMap<String, Setting>);

impl Settings {
    /// The same settings with an amount, in the unit of the factor.
    pub fn amount(mut self, factor: impl Into<String>, value: f64) -> Self {
        self.0.insert(factor.into(), Setting::Amount(value));
        self
    }

    /// The same settings with a level of a choice.
    pub fn level(mut self, factor: impl Into<String>, level: impl Into<String>) -> Self {
        self.0.insert(factor.into(), Setting::Level(level.into()));
        self
    }

    /// The same settings without this factor.
    pub fn without(&self, factor: &str) -> Self {
        let mut rest = self.clone();
        rest.0.remove(factor);
        rest
    }

    /// The value of one factor, if it is named.
    pub fn get(&self, factor: &str) -> Option<&Setting> {
        self.0.get(factor)
    }

    /// The value of an amount, if it is named, in the unit of the factor.
    pub fn amount_of(&self, factor: &str) -> Option<f64> {
        match self.get(factor) {
            Some(Setting::Amount(value)) => Some(*value),
            _ => None,
        }
    }

    /// The level of a choice, if it is named.
    pub fn level_of(&self, factor: &str) -> Option<&str> {
        match self.get(factor) {
            Some(Setting::Level(level)) => Some(level),
            _ => None,
        }
    }

    /// The same settings with only those factors that are to be kept.
    pub fn only(&self, is_kept: impl Fn(&str, &Setting) -> bool) -> Self {
        let mut rest = self.clone();
        rest.0.retain(|name, setting| is_kept(name, setting));
        rest
    }

    /// All named factors with their values, in byte order.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Setting)> {
        self.0
            .iter()
            .map(|(name, setting)| (name.as_str(), setting))
    }
}
