//! A measured number whose unit stands in its type.
//!
//! In: [`Measured`] in a base unit. Out: [`In`], which cannot be added to a number of another unit.
//! This module never converts; [`super::Unit`] does.

use std::marker::PhantomData;

use crate::measured::Measured;

/// A measured number in the unit `U`.
#[derive(Debug, Clone, PartialEq)]
pub struct In<U> {
    measured: Measured,
    unit: PhantomData<U>,
}

/// Gram.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gram;
/// Millilitre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Millilitre;
/// Mole per litre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MolePerLitre;
/// Gram per litre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GramPerLitre;
/// Degree Celsius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Degree;
/// Minute.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Minute;
/// A fraction of one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share;

impl<U> In<U> {
    /// A number that is already in the unit `U`.
    pub fn new(measured: Measured) -> Self {
        Self {
            measured,
            unit: PhantomData,
        }
    }

    /// The number, without its unit.
    pub fn measured(&self) -> &Measured {
        &self.measured
    }

    /// The best estimate, in the unit `U`.
    pub fn value(&self) -> f64 {
        self.measured.value()
    }

    /// Sum of two numbers of one unit.
    pub fn plus(&self, other: &In<U>) -> In<U> {
        In::new(&self.measured + &other.measured)
    }

    /// The same quantity times a number without a unit.
    pub fn times(&self, factor: &Measured) -> In<U> {
        In::new(&self.measured * factor)
    }

    /// Ratio of two numbers of one unit, without a unit.
    pub fn ratio(&self, other: &In<U>) -> Measured {
        &self.measured / &other.measured
    }
}
