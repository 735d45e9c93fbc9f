//! The figures that a gain rests on.
//!
//! In: a value for each. Out: [`Figures`].
//! This module never knows where a figure comes from, nor how sure it is.

/// The figures that a gain rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Figure {
    /// Contained yield of the charged run [fraction of theory, total basis].
    YieldWith,
    /// Contained yield without residue [fraction of theory].
    YieldWithout,
    /// Product that fresh feed can give [g/g].
    FeedContent,
    /// Product that the residue can give [g/g].
    ResidueContent,
    /// Price of the product [currency/g].
    ProductPrice,
    /// Price of the feed [currency/g].
    FeedPrice,
    /// Price of the oxidant [currency/g].
    OxidantPrice,
    /// Price of labour [currency/min].
    LabourPrice,
    /// Price of getting rid of residue [currency/g].
    DisposalPrice,
    /// What product off specification brings beside the share of it that counts as product [currency/g].
    OffSpecPrice,
    /// Time to handle residue in a charged run \[min\].
    HandlingMinutes,
    /// Further reagents of a run without residue [currency/g fresh feed].
    ReagentsWithout,
    /// What a charged run takes more of them [currency/g fresh feed].
    ReagentsExtra,
    /// Residue out of a run without residue [g/g fresh feed].
    ResidueOutWithout,
    /// What a charged run leaves more [g/g fresh feed].
    ResidueOutExtra,
    /// Share of the product of a charged run that meets the specification; 1 where the rest is sold like it.
    WorthWith,
    /// The same without residue.
    WorthWithout,
    /// Labour of a run without residue \[min\].
    RunLabour,
    /// What a charged run logs more \[min\].
    LabourExtra,
    /// Heat of a run \[currency\].
    RunHeat,
    /// What second products of a run without residue bring [currency/g fresh feed].
    SecondWithout,
    /// What those of a charged run bring more [currency/g fresh feed].
    SecondExtra,
}

impl Figure {
    /// All of them, in their order.
    pub const ALL: [Figure; 22] = [
        Figure::YieldWith,
        Figure::YieldWithout,
        Figure::FeedContent,
        Figure::ResidueContent,
        Figure::ProductPrice,
        Figure::FeedPrice,
        Figure::OxidantPrice,
        Figure::LabourPrice,
        Figure::DisposalPrice,
        Figure::OffSpecPrice,
        Figure::HandlingMinutes,
        Figure::ReagentsWithout,
        Figure::ReagentsExtra,
        Figure::ResidueOutWithout,
        Figure::ResidueOutExtra,
        Figure::WorthWith,
        Figure::WorthWithout,
        Figure::RunLabour,
        Figure::LabourExtra,
        Figure::RunHeat,
        Figure::SecondWithout,
        Figure::SecondExtra,
    ];
}

/// One value for each [`Figure`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures([f64; Figure::ALL.len()]);

impl Figures {
    /// The value that a function gives each figure.
    pub fn from(value: impl FnMut(Figure) -> f64) -> Self {
        Self(Figure::ALL.map(value))
    }

    /// The value of a figure.
    pub fn get(&self, figure: Figure) -> f64 {
        self.0[figure as usize]
    }

    /// The same figures but one.
    pub fn with(mut self, figure: Figure, value: f64) -> Self {
        self.0[figure as usize] = value;
        self
    }
}
