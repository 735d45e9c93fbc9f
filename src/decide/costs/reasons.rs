//! Kinds of cost, what is not counted, and why a run has no cost.
//!
//! In: what prices and logs lack. Out: [`CostKind`], [`NotCounted`], [`NoCost`], [`WithoutCost`].
//! This module never words a reason: reports do.

/// What is paid for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CostKind {
    /// Fresh feed.
    Feed,
    /// Oxidant.
    Oxidant,
    /// Further reagents.
    Reagents,
    /// Heat.
    Heat,
    /// Labour of the run itself.
    Labour,
    /// Handling of residue that is charged.
    ResidueHandling,
    /// Getting rid of residue; what is charged again is taken off.
    Disposal,
    /// Products of second elements, which are sold: taken off.
    Second,
}

/// Something that costs leave out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotCounted {
    /// It has no price.
    NoPrice(CostKind),
    /// No run logs how much of it was used.
    NotLogged(CostKind),
    /// No run logs a mass of the further reagent with this column.
    ReagentNotLogged(String),
    /// Heat is priced by this choice, which no run names.
    HeatWithoutLevel(String),
    /// Handling of residue takes labour, which has no price.
    HandlingWithoutLabour,
    /// No time is stated for handling residue.
    HandlingWithoutTime,
    /// Nothing says whether the labour of charged runs holds the time to handle residue.
    HandlingMayBeLogged,
    /// What the product is worth has no price.
    ProductWithoutPrice,
    /// No model tells how much more a charged run takes or leaves of it.
    NotTold(CostKind),
    /// Product off specification should be worth nothing, and no chance of meeting it is known.
    OffSpecification(WorthUnknown),
}

/// Why no chance of meeting the specification is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WorthUnknown {
    /// No specification is stated.
    NoSpecification,
    /// No model of purity tells it.
    NoModel,
    /// What it brings cannot be held against the price of the product, which is not stated.
    NoPrice,
}

/// What is paid for, as the runs log or the campaign names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Paid {
    /// Fresh feed.
    Feed,
    /// Oxidant.
    Oxidant,
    /// The further reagent with this column.
    Reagent(String),
    /// Heat.
    Heat,
    /// Labour of the run itself.
    Labour,
    /// The time that is attended and stands in the response of this name.
    Attended(String),
    /// Time for handling residue.
    Handling,
    /// Residue that is got rid of.
    Residue,
    /// The product of the second element of this symbol.
    Second(String),
    /// The level of the choice that heat is priced by.
    LevelOf(String),
}

/// Why a run, or all of them together, has no cost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoCost {
    /// It is not logged.
    NotLogged(Paid),
    /// It has no price.
    NoPrice(Paid),
    /// Heat has no price at the level of the run.
    NoHeatPrice {
        /// The choice that heat is priced by.
        factor: String,
        /// Its level.
        level: String,
    },
    /// Nothing that is logged has a price.
    NothingPriced,
    /// The run gave no product.
    NoProduct,
    /// What the run gave is not known.
    NoResult(crate::runs::Reason),
    /// There is no run.
    NoRun,
}

/// Runs without a cost though others have one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WithoutCost {
    /// What they lack.
    pub reason: NoCost,
    /// How many lack it.
    pub runs: usize,
    /// Of so many.
    pub of: usize,
}
