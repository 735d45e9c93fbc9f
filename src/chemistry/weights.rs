//! What an atom weighs: the IUPAC/CIAAW standard atomic weights 2021.
//!
//! In: nothing but the table beside this file. Out: [`AtomicWeights`], one shared source an element.
//! This module never rounds.
//!
//! Source: Prohaska et al., Standard atomic weights of the elements 2021 (IUPAC Technical Report),
//! Pure Appl. Chem. 94 (2022) 573-600, abridged values.

use std::cell::RefCell;
use std::collections::BTreeMap;

use crate::measured::{Distribution, Measured, Sources};

const TABLE: &str = include_str!("atomic_weights_2021.csv");

/// One standard atomic weight [g/mol].
#[derive(Debug, Clone, Copy)]
pub struct AtomicWeight {
    /// The abridged value.
    pub value: f64,
    /// Its standard uncertainty.
    pub standard_uncertainty: f64,
}

/// Standard atomic weights with their standard uncertainty, printed uncertainty / √3 [g/mol].
#[derive(Debug, Clone)]
pub struct AtomicWeights {
    of: BTreeMap<&'static str, Measured>,
    /// Sums of them that were asked for, by the text of the formula: each titration asks for the same ones.
    sums: RefCell<BTreeMap<String, Measured>>,
}

impl AtomicWeights {
    /// The table, with one source of uncertainty for each element.
    pub fn new(sources: &mut Sources) -> Self {
        Self::with(|weight| {
            let (name, distribution) = (Self::BUDGET_NAME, Self::DISTRIBUTION);
            let source = sources.add(name, distribution, f64::INFINITY);
            Measured::new(weight.value, source, weight.standard_uncertainty)
        })
    }

    /// The table, with each weight made into a measured number by the caller.
    pub fn with(mut measured: impl FnMut(AtomicWeight) -> Measured) -> Self {
        let weights = rows().map(|(symbol, weight)| (symbol, measured(weight)));
        Self {
            of: weights.collect(),
            sums: RefCell::default(),
        }
    }

    /// Budget name of all atomic weights together.
    pub const BUDGET_NAME: &'static str = "atomic weights";

    /// What a printed uncertainty means: a half-width, so u = printed / √3.
    pub const DISTRIBUTION: Distribution = Distribution::Rectangular;

    /// Atomic weight of an element [g/mol].
    pub fn of(&self, symbol: &str) -> Option<&Measured> {
        self.of.get(symbol)
    }

    /// A sum of weights by the text that it belongs to, worked out once.
    pub(super) fn once(&self, text: &str, sum: impl FnOnce() -> Measured) -> Measured {
        if let Some(known) = self.sums.borrow().get(text) {
            return known.clone();
        }
        let sum = sum();
        self.sums.borrow_mut().insert(text.to_string(), sum.clone());
        sum
    }
}

/// Whether the table holds an element of that symbol.
pub(super) fn is_element(symbol: &str) -> bool {
    symbols().any(|known| known == symbol)
}

/// All symbols of the table.
pub(super) fn symbols() -> impl Iterator<Item = &'static str> {
    rows().map(|(symbol, _)| symbol)
}

fn rows() -> impl Iterator<Item = (&'static str, AtomicWeight)> {
    TABLE.lines().skip(1).filter_map(|line| {
        let mut cells = line.split(',');
        let symbol = cells.nth(1)?;
        let value = cells.nth(1)?.parse().ok()?;
        let printed = cells.next()?.parse().ok()?;
        let weight = AtomicWeight {
            value,
            standard_uncertainty: AtomicWeights::DISTRIBUTION.standard_uncertainty(printed),
        };
        Some((symbol, weight))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_table_is_read() {
        assert_eq!(rows().count(), TABLE.lines().count() - 1);
    }

    #[test]
    fn the_standard_uncertainty_is_the_printed_one_over_root_three() {
        let weights = AtomicWeights::new(&mut Sources::default());
        // Prohaska et al. 2022: lithium 6.94 ± 0.06.
        let lithium = weights.of("Li").unwrap();
        assert_eq!(lithium.value(), 6.94);
        assert!((lithium.uncertainty() - 0.06 / 3f64.sqrt()).abs() < 1e-15);
    }
}
