//! A figure of an answer, and what it is of.
//!
//! In: finished figures. Out: [`Figure`], which serialises itself.
//! This module never works out a figure.

use serde::Serialize;

use crate::decide::Comparison;
use crate::regression::Interval;

/// A figure of an answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figure {
    /// What it is.
    pub what: FigureOf,
    /// What it is about, such as a factor, a level or a response; empty where that is clear.
    pub about: String,
    /// What is held against what, for an effect.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub compared: Option<Comparison>,
    /// The best estimate, in the unit below.
    pub value: f64,
    /// Both ends of its interval at the confidence of the campaign, where there is one.
    pub interval: Option<[f64; 2]>,
    /// Its unit; `1` is a fraction.
    pub unit: String,
}

/// What a figure of an answer is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FigureOf {
    /// Smallest contained yield.
    LowestYield,
    /// Middle contained yield.
    MiddleYield,
    /// Largest contained yield.
    HighestYield,
    /// Middle purity.
    MiddlePurity,
    /// Middle half-width of the interval of one contained yield.
    HalfWidth,
    /// Middle part of the charge in the crops.
    InCrops,
    /// Middle part of the charge in the mother liquor.
    InLiquor,
    /// Middle part of the charge in the residue.
    InResidue,
    /// Middle part of the charge that nobody measured.
    Unaccounted,
    /// Change of a response from one setting to another.
    Effect,
    /// Adjusted mean yield of the best route.
    MeanYield,
    /// How much better the best route is than another.
    Lead,
    /// Gain of a charged run.
    GainPerRun,
    /// Extra product of a charged run.
    ExtraProduct,
    /// Expected response at the best settings.
    BestSettings,
    /// Chance of something.
    Chance,
    /// Runs to make.
    RunsToMake,
    /// Flags on control charts.
    Flags,
    /// Cost of a kilogram of contained product.
    CostPerKilogram,
    /// Cost of a kilogram made to specification, own labour counted.
    CostToSpecification,
    /// The same without own labour.
    CostWithoutLabour,
    /// What a kilogram costs more to make than to buy.
    MoreThanBuying,
}

impl Figure {
    pub(super) fn new(what: FigureOf, about: &str, value: f64, unit: &str) -> Self {
        Self {
            what,
            about: about.to_string(),
            compared: None,
            value,
            interval: None,
            unit: unit.to_string(),
        }
    }

    pub(super) fn between(self, ends: Option<Interval>) -> Self {
        Self {
            interval: ends.map(|ends| [ends.low, ends.high]),
            ..self
        }
    }

    pub(super) fn with_half_width(self, half: f64) -> Self {
        Self {
            interval: Some([self.value - half, self.value + half]),
            ..self
        }
    }
}
