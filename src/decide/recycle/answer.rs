//! Verdicts on a gain, amounts with their intervals, and the reasons why there are none.
//!
//! In: ends of intervals. Out: [`Verdict`], [`Amount`], [`Unanswered`], [`Untold`].
//! This module never works out a gain.

use serde::Serialize;

use crate::campaign::RecyclingValue;
use crate::regression::Refusal;

/// What the log says about feeding the residue forward.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Verdict {
    /// The interval of the gain lies above zero.
    #[serde(rename = "pays")]
    Pays,
    /// It lies below zero, or its upper end below what would matter.
    #[serde(rename = "does not pay")]
    DoesNotPay,
    /// It holds zero.
    #[serde(rename = "not settled")]
    NotSettled,
    /// It holds zero, and more than three times the runs made would be needed to tell.
    #[serde(rename = "not settled")]
    TooClose,
}

impl Verdict {
    /// The verdict of an interval; `margin` is the gain that would matter in practice.
    pub(in crate::decide) fn of(low: f64, high: f64, margin: f64) -> Self {
        if low > 0.0 {
            Verdict::Pays
        } else if high < margin.max(0.0) {
            Verdict::DoesNotPay
        } else {
            Verdict::NotSettled
        }
    }
}

/// A figure with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    /// Best estimate.
    pub value: f64,
    /// Standard uncertainty.
    pub uncertainty: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Amount {
    /// The same multiplied by an exact number above zero.
    pub fn times(self, factor: f64) -> Self {
        Self {
            value: self.value * factor,
            uncertainty: self.uncertainty * factor,
            low: self.low * factor,
            high: self.high * factor,
        }
    }
}

/// Why a question cannot be answered; what to log, declare or run, and what can be answered instead, goes with each.
#[derive(Debug, Clone, PartialEq)]
pub enum Unanswered {
    /// No factor stands for residue fed forward.
    NoFactor,
    /// There is no model of yield.
    NoModel,
    /// No run charged residue.
    NotCharged,
    /// Every run charged residue at this ratio, so that there is nothing to hold it against [g/g].
    OneRatio(f64),
    /// Each ratio at which residue was charged is never to be proposed.
    Forbidden,
    /// No residue that was charged has an assay.
    NoAssay,
    /// The model cannot tell a charged run from one without residue.
    CannotBeTold {
        /// Factor that stands for residue fed forward.
        factor: String,
        /// Residual degrees of freedom of the model.
        residual_df: usize,
        /// Why.
        why: Untold,
    },
    /// There are no prices.
    NoPrices,
    /// What is valued has no price.
    NoPrice(RecyclingValue),
}

/// Why a charged run cannot be told from one without residue.
#[derive(Debug, Clone, PartialEq)]
pub enum Untold {
    /// The model refuses to say.
    Refused(Refusal),
    /// A model that only this decision needs refuses to say.
    BySide {
        /// Which one.
        model: SideModel,
        /// Why.
        refusal: Refusal,
    },
    /// The model has no residual degrees of freedom, so that nothing is known of its error.
    NoFreedom,
}

/// A model that only this decision needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SideModel {
    /// Of the cost of further reagents.
    Reagents,
    /// Of the residue that runs leave.
    ResidueOut,
    /// Of what second products bring.
    Second,
}

impl SideModel {
    /// Its name among the sources of uncertainty.
    pub(super) fn source(self) -> &'static str {
        match self {
            SideModel::Reagents => "further reagents",
            SideModel::ResidueOut => "residue left",
            SideModel::Second => "second products",
        }
    }
}
