//! What sort of doubt is it?
//!
//! In: a [`Doubt`]. Out: its [`CaveatKind`], which code compares.
//! This module never names a kind in words.

use super::doubt::Doubt;

/// A kind of doubt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CaveatKind {
    /// The purity of a run lies above 1 beyond its uncertainty.
    PurityAboveOne,
    /// A run gave more than its route allows, beyond its uncertainty.
    AboveTheCeiling,
    /// A run has theory but no contained yield.
    NoContainedYield,
    /// A run charged residue of unknown content, so that its yields count fresh feed only.
    ResidueWithoutAssay,
    /// What crops and liquor leave of a charge would make an assay of the residue that cannot be.
    BalanceLeavesNoResidue,
    /// Residue was not assayed in some runs, so that its content is what the balance leaves.
    BalanceTakenForAssay,
    /// Nothing states an uncertainty for some inputs.
    InputWithoutUncertainty,
    /// More came out of a run than went in, beyond its uncertainty.
    ClosureAboveOne,
    /// Less came out of a run than out of the others.
    ClosureBelowOthers,
    /// The balances of all runs miss by as much in the middle, beyond its uncertainty.
    BalanceOpenInAllRuns,
    /// Some runs have a date and others none, so that the dates give no order.
    DateMissing,
    /// A crop was titrated that nobody weighed.
    TitreWithoutCrop,
    /// A run charged more residue than the runs that it came from left.
    MoreResidueThanThereWas,
    /// Two levels of a choice differ in upper and lower case only.
    LevelsDifferInCase,
    /// The price of a lot is no price.
    PriceOfLotNotReadable,
    /// The lots log states the assay of a lot without an uncertainty.
    AssayWithoutUncertainty,
    /// Standardisations of a titrant scatter further than their errors explain.
    StandardisationsDisagree,
    /// The strength of a titrant changes with the days.
    TitrantAgeing,
    /// Replicate titrations of one sample lie further apart than chance allows.
    DiscordantTitres,
    /// Titres of feed or residue are reckoned like those of crops, and nothing says that they should be.
    AssayTitresLikeCrops,
    /// The interval by propagation misses the simulated one.
    FirstOrderFails,
    /// The simulated interval still moves.
    SimulationNotStable,
    /// No run has a value of the response.
    ResponseNeverLogged,
    /// Some runs are in no model of the response because a factor has no value.
    RunWithoutFactor,
    /// A choice had one level in all runs.
    FactorWithOneLevel,
    /// All runs have the same response.
    ConstantResponse,
    /// Some terms changed almost only together.
    NearlyTangledTerms,
    /// Little is left to tell the scatter from.
    FewDegreesOfFreedom,
    /// All residuals are rounding.
    PerfectFit,
    /// The plain fit counts errors shared within blocks as scatter from run to run.
    BlocksInPlainFit,
    /// The errors of the measurement alone explain all scatter.
    NoScatter,
    /// The spread between levels of a block is estimated as zero.
    NoSpreadBetweenBlocks,
    /// The runs cannot tell the spread between levels of a block.
    UnknownSpreadBetweenBlocks,
    /// Values or variances still moved when the fit was stopped.
    FitNotSettled,
    /// A model of a fraction foretells more than 1.
    PredictionBeyondOne,
    /// A model of a fraction foretells less than 0.
    PredictionBelowZero,
    /// Some terms cannot be told apart, so that the charts do not take them out.
    EffectLeftInChart,
    /// The response has no model and is charted as logged.
    ChartedAsLogged,
    /// The response has no control chart.
    NotCharted,
    /// Limits should come from more first runs than there are.
    FewerRunsThanBaseline,
    /// An amount has no limits, so that it is planned within what was run.
    PlanWithoutLimits,
    /// Nothing says which lots are at hand.
    PlanWithoutShelf,
    /// No run was made on a lot that is planned on.
    PlanOnNewLot,
}

impl CaveatKind {
    /// Whether it belongs to the balance of the followed element.
    pub fn is_about_the_balance(self) -> bool {
        matches!(
            self,
            CaveatKind::BalanceLeavesNoResidue
                | CaveatKind::BalanceTakenForAssay
                | CaveatKind::ClosureAboveOne
                | CaveatKind::ClosureBelowOthers
                | CaveatKind::BalanceOpenInAllRuns
        )
    }
}

impl Doubt {
    /// What sort of doubt it is.
    pub fn kind(&self) -> CaveatKind {
        match self {
            Doubt::PurityAboveOne { .. } => CaveatKind::PurityAboveOne,
            Doubt::AboveTheCeiling { .. } => CaveatKind::AboveTheCeiling,
            Doubt::NoContainedYield { .. } => CaveatKind::NoContainedYield,
            Doubt::ResidueWithoutAssay { .. } => CaveatKind::ResidueWithoutAssay,
            Doubt::BalanceLeavesNoResidue { .. } => CaveatKind::BalanceLeavesNoResidue,
            Doubt::BalanceTakenForAssay { .. } => CaveatKind::BalanceTakenForAssay,
            Doubt::InputWithoutUncertainty { .. } => CaveatKind::InputWithoutUncertainty,
            Doubt::ClosureAboveOne { .. } => CaveatKind::ClosureAboveOne,
            Doubt::ClosureBelowOthers { .. } => CaveatKind::ClosureBelowOthers,
            Doubt::BalanceOpenInAllRuns { .. } => CaveatKind::BalanceOpenInAllRuns,
            Doubt::DateMissing { .. } => CaveatKind::DateMissing,
            Doubt::TitreWithoutCrop { .. } => CaveatKind::TitreWithoutCrop,
            Doubt::MoreResidueThanThereWas { .. } => CaveatKind::MoreResidueThanThereWas,
            Doubt::LevelsDifferInCase { .. } => CaveatKind::LevelsDifferInCase,
            Doubt::PriceOfLotNotReadable { .. } => CaveatKind::PriceOfLotNotReadable,
            Doubt::AssayWithoutUncertainty { .. } => CaveatKind::AssayWithoutUncertainty,
            Doubt::StandardisationsDisagree { .. } => CaveatKind::StandardisationsDisagree,
            Doubt::TitrantAgeing { .. } => CaveatKind::TitrantAgeing,
            Doubt::DiscordantTitres { .. } => CaveatKind::DiscordantTitres,
            Doubt::AssayTitresLikeCrops { .. } => CaveatKind::AssayTitresLikeCrops,
            Doubt::FirstOrderFails { .. } => CaveatKind::FirstOrderFails,
            Doubt::SimulationNotStable { .. } => CaveatKind::SimulationNotStable,
            Doubt::ResponseNeverLogged => CaveatKind::ResponseNeverLogged,
            Doubt::RunWithoutFactor { .. } => CaveatKind::RunWithoutFactor,
            Doubt::FactorWithOneLevel { .. } => CaveatKind::FactorWithOneLevel,
            Doubt::ConstantResponse { .. } => CaveatKind::ConstantResponse,
            Doubt::NearlyTangledTerms { .. } => CaveatKind::NearlyTangledTerms,
            Doubt::FewDegreesOfFreedom { .. } => CaveatKind::FewDegreesOfFreedom,
            Doubt::PerfectFit { .. } => CaveatKind::PerfectFit,
            Doubt::BlocksInPlainFit { .. } => CaveatKind::BlocksInPlainFit,
            Doubt::NoScatter => CaveatKind::NoScatter,
            Doubt::NoSpreadBetweenBlocks { .. } => CaveatKind::NoSpreadBetweenBlocks,
            Doubt::UnknownSpreadBetweenBlocks { .. } => CaveatKind::UnknownSpreadBetweenBlocks,
            Doubt::FitNotSettled { .. } => CaveatKind::FitNotSettled,
            Doubt::PredictionBeyondOne(_) => CaveatKind::PredictionBeyondOne,
            Doubt::PredictionBelowZero(_) => CaveatKind::PredictionBelowZero,
            Doubt::EffectLeftInChart { .. } => CaveatKind::EffectLeftInChart,
            Doubt::ChartedAsLogged { .. } => CaveatKind::ChartedAsLogged,
            Doubt::NotCharted { .. } => CaveatKind::NotCharted,
            Doubt::FewerRunsThanBaseline { .. } => CaveatKind::FewerRunsThanBaseline,
            Doubt::PlanWithoutLimits { .. } => CaveatKind::PlanWithoutLimits,
            Doubt::PlanWithoutShelf { .. } => CaveatKind::PlanWithoutShelf,
            Doubt::PlanOnNewLot => CaveatKind::PlanOnNewLot,
        }
    }
}
