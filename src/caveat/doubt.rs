//! Doubts: what was seen that makes a result doubtful.
//!
//! In: figures and names. Out: [`Doubt`], one variant for each kind.
//! This module never says a doubt in words and never judges whether it matters.

use super::at_the_bench::{AtTheBench, DatesOfTitres};
use super::parts_of_doubts::{
    AtAnEnd, Discordance, Ends, Found, LotsPlannedOn, MissingLimit, MoneyDoubt, NotCounted,
    PlusMinus, Prediction, RunWithout, Sample, ScatterAtLevel, SpeltAlike, Suspect,
};
use super::reason::{NoLimits, Reason};
use super::slip::{Likely, ResultOf, Slip};

/// What was seen, with the figures that triggered it; what it touches stands beside it.
#[derive(Debug, Clone, PartialEq)]
pub enum Doubt {
    /// An entry cannot be right, hardly is, or looks odd.
    Entry(Box<Slip>),
    /// A result is off in all runs alike.
    AllOff {
        /// The result.
        what: ResultOf,
        /// Its middle \[fraction\].
        middle: f64,
        /// In how many runs.
        runs: usize,
        /// The likely cause.
        likely: Option<Box<Likely>>,
    },
    /// The values of a factor lie outside its declared range in the middle of all runs.
    FactorOutsideItsRange {
        /// The factor.
        factor: String,
        /// Its unit.
        unit: String,
        /// The middle of its values.
        middle: f64,
        /// Declared lower end.
        low: Option<f64>,
        /// Declared upper end.
        high: Option<f64>,
    },
    /// `[check] accept` names an entry that nothing speaks against.
    AcceptedNothing {
        /// As it is named.
        name: String,
    },
    /// The purity of a run lies above 1 beyond its uncertainty.
    PurityAboveOne {
        /// The purity [mass fraction].
        purity: PlusMinus,
    },
    /// A run gave more than its route allows, beyond its uncertainty.
    AboveTheCeiling {
        /// Its yield over the ceiling \[fraction\].
        part: PlusMinus,
    },
    /// A run has theory but no contained yield.
    NoContainedYield {
        /// Why.
        reason: Reason,
    },
    /// A run charged residue of unknown content, so that its yields count fresh feed only.
    ResidueWithoutAssay {
        /// Residue charged \[g\].
        charged: f64,
        /// Why its content is unknown.
        reason: Reason,
    },
    /// Mother liquor of unknown content was charged: yields do not count it.
    LiquorWithoutStrength {
        /// What was charged \[mL\].
        charged: f64,
        /// Why its content is unknown.
        reason: Reason,
    },
    /// What crops and liquor leave of a charge would make an assay of the residue that cannot be.
    BalanceLeavesNoResidue {
        /// That assay [mass fraction].
        assay: PlusMinus,
    },
    /// Residue was not assayed in some runs, so that its content is what the balance leaves.
    BalanceTakenForAssay {
        /// Those runs.
        runs: Vec<String>,
        /// How many runs there are.
        of: usize,
    },
    /// The yield of a second element is not known in some runs, or is none that a run can have.
    SecondNotKnown {
        /// Its symbol.
        element: String,
        /// Those runs.
        runs: Vec<String>,
        /// How many runs there are.
        of: usize,
        /// Why that of the first of them is not known.
        reason: Reason,
    },
    /// Nothing states an uncertainty for some inputs.
    InputWithoutUncertainty {
        /// The names of these inputs, in alphabetical order.
        sources: Vec<String>,
        /// In how many runs they are used.
        runs: usize,
    },
    /// More came out of a run than went in, beyond its uncertainty.
    ClosureAboveOne {
        /// What came out [fraction of the charge].
        closure: PlusMinus,
        /// The likeliest entry to be wrong.
        suspect: Option<Suspect>,
    },
    /// Less came out of a run than out of the others.
    ClosureBelowOthers {
        /// What came out [fraction of the charge].
        closure: PlusMinus,
        /// The likeliest entry to be wrong.
        suspect: Option<Suspect>,
    },
    /// The balances of all runs miss by as much in the middle, beyond its uncertainty.
    BalanceOpenInAllRuns {
        /// Runs with a balance.
        runs: usize,
        /// What is accounted for nowhere [fraction of the charge]; below zero where more came out than went in.
        missing: PlusMinus,
        /// A formula that closes them where strengths of liquors are taken as stated in it.
        likely: Option<Box<Likely>>,
    },
    /// Some runs have a date and others none, so that the dates give no order.
    DateMissing {
        /// Runs without a date.
        without: Vec<String>,
        /// How many runs there are.
        of: usize,
    },
    /// Some rows of a log without dates have settings and no result.
    PlannedOrNotLogged {
        /// Their runs.
        runs: Vec<String>,
    },
    /// A planned run of the log does not count when further runs are chosen.
    PlannedNotCounted {
        /// Why.
        why: NotCounted,
    },
    /// Levels of a choice differ only in case, blanks, hyphens or an ending, and count as different.
    LevelsSpeltAlike(SpeltAlike),
    /// What the campaign file says of prices and paid times.
    Money(MoneyDoubt),
    /// The price of a lot is no price.
    PriceOfLotNotReadable {
        /// The lots log.
        file: String,
        /// Its line.
        line: usize,
        /// What stands there.
        text: String,
        /// What a price looks like, in the words of whoever reads prices.
        fault: String,
    },
    /// The lots log states the assay of a lot without an uncertainty.
    AssayWithoutUncertainty {
        /// The assay as stated.
        assay: f64,
    },
    /// Assays of a lot without an uncertainty, which have no weight beside those that have one.
    AssayWithoutWeight {
        /// Where they are from; empty where the log does not say.
        sources: Vec<String>,
    },
    /// Assays of a lot lie further apart than their errors explain.
    AssaysDisagree {
        /// How many there are.
        assays: usize,
        /// Standard deviation between their sources [mass fraction].
        between: f64,
        /// Chance of as much by their own errors.
        chance: f64,
    },
    /// Standardisations of a titrant scatter further than their errors explain.
    StandardisationsDisagree {
        /// How many there are.
        standardisations: usize,
        /// How many times as far they scatter.
        times: f64,
        /// Chance of as much by luck.
        chance: f64,
        /// Relative standard uncertainty that was added to its strength.
        added: f64,
    },
    /// The strength of a titrant changes with the days.
    TitrantAgeing {
        /// Relative change in a day; below zero where it falls.
        per_day: PlusMinus,
        /// Standardisations with a date.
        standardisations: usize,
        /// Chance of as much by luck.
        chance: f64,
        /// How titrations with it lie to them.
        dates: DatesOfTitres,
    },
    /// What titrations, controls or drying say against one another.
    AtTheBench(AtTheBench),
    /// Replicate titrations of one sample lie further apart than chance allows.
    DiscordantTitres {
        /// The sample.
        sample: Sample,
        /// How they disagree.
        found: Discordance,
        /// Samples with replicates.
        samples: usize,
        /// How many of them look so by luck.
        by_luck: f64,
    },
    /// Titres of feed or residue are reckoned like those of crops, and nothing says that they should be.
    AssayTitresLikeCrops {
        /// Moles of the substance titrated per mole of titrant.
        ratio: f64,
        /// That substance.
        analyte: String,
    },
    /// The interval by propagation misses the simulated one.
    FirstOrderFails {
        /// The simulated interval of the contained yield \[fraction\].
        simulated: Ends,
        /// By how much it is missed \[fraction\].
        apart: f64,
    },
    /// The simulated interval still moves.
    SimulationNotStable {
        /// By more than this \[fraction\].
        tolerance: f64,
        /// After so many trials.
        trials: usize,
    },
    /// No run has a value of the response.
    ResponseNeverLogged,
    /// Some runs are in no model of the response because a factor has no value.
    RunWithoutFactor {
        /// These runs, each with the factor.
        runs: Vec<RunWithout>,
    },
    /// A choice had one level in all runs.
    FactorWithOneLevel {
        /// The choice.
        factor: String,
        /// Its level.
        level: String,
        /// How many runs there are.
        runs: usize,
    },
    /// All runs have the same response.
    ConstantResponse {
        /// How many runs there are.
        runs: usize,
        /// The response.
        value: f64,
    },
    /// Some terms changed almost only together.
    NearlyTangledTerms {
        /// Condition of the scaled design.
        condition: f64,
    },
    /// Little is left to tell the scatter from.
    FewDegreesOfFreedom {
        /// Residual degrees of freedom.
        residual_df: usize,
    },
    /// All residuals are rounding.
    PerfectFit {
        /// Residual degrees of freedom.
        residual_df: usize,
    },
    /// The plain fit counts errors shared within blocks as scatter from run to run.
    BlocksInPlainFit {
        /// These blocks.
        blocks: Vec<String>,
    },
    /// Runs scatter differently from one level of a choice to another.
    ScatterDiffersByLevel {
        /// The choice.
        factor: String,
        /// The levels that have runs enough, each with what its runs scatter.
        levels: Vec<ScatterAtLevel>,
        /// Unit of the response.
        unit: String,
        /// Chance of as much by luck.
        chance: f64,
    },
    /// The errors of the measurement alone explain all scatter.
    NoScatter,
    /// The spread between levels of a block is estimated as zero.
    NoSpreadBetweenBlocks {
        /// The block.
        block: String,
    },
    /// So few levels of a block were run that the spread between them is hardly known.
    FewLevelsOfBlock {
        /// The block.
        block: String,
        /// Levels with runs.
        levels: usize,
    },
    /// The runs cannot tell the spread between levels of a block.
    UnknownSpreadBetweenBlocks {
        /// The block.
        block: String,
    },
    /// Values or variances still moved when the fit was stopped.
    FitNotSettled {
        /// By so many standard errors in the last round.
        moved: f64,
    },
    /// Amounts were run at their ends alone, so that nothing tells whether their effects bend.
    BendUntold {
        /// These amounts.
        amounts: Vec<String>,
    },
    /// A test of the fit has failed.
    DiagnosticFailed {
        /// What was found.
        found: Found,
        /// The runs, terms or factors that it is about; empty where it is about none.
        names: Vec<String>,
        /// Chance of as much by luck; `None` where it has none.
        p: Option<f64>,
    },
    /// Some fractions lie at 0 or 1, or beyond within their uncertainty, where a logit has no value.
    FractionAtAnEnd {
        /// These runs, each with what it is taken at.
        runs: Vec<AtAnEnd>,
    },
    /// Some fractions lie below 0 or above 1 beyond their uncertainty, and are in no model on the logit scale.
    FractionBeyondAnEnd {
        /// These runs.
        runs: Vec<AtAnEnd>,
    },
    /// A model of a fraction foretells more than 1.
    PredictionBeyondOne(Prediction),
    /// A model of a fraction foretells less than 0.
    PredictionBelowZero(Prediction),
    /// Some terms cannot be told apart, so that the charts do not take them out.
    EffectLeftInChart {
        /// These terms.
        terms: Vec<String>,
    },
    /// The response has no model and is charted as logged.
    ChartedAsLogged {
        /// What was wrong with the model, in the words of whoever found it.
        fault: String,
    },
    /// The response has no control chart.
    NotCharted {
        /// Why.
        reason: NoLimits,
    },
    /// Limits should come from more first runs than there are.
    FewerRunsThanBaseline {
        /// First runs asked for.
        asked: usize,
        /// Runs that there are.
        runs: usize,
    },
    /// An amount has no limits, so that it is planned within what was run.
    PlanWithoutLimits {
        /// The amount.
        factor: String,
        /// Which limit is missing.
        missing: MissingLimit,
        /// What was run.
        within: Ends,
    },
    /// Nothing says which lots are at hand.
    PlanWithoutShelf {
        /// The lots that are planned on.
        lots: Vec<String>,
        /// Which ones these are.
        which: LotsPlannedOn,
    },
    /// No run was made on a lot that is planned on.
    PlanOnNewLot,
}

impl Doubt {
    /// Whether it belongs to the balance of the followed element.
    pub fn is_about_the_balance(&self) -> bool {
        matches!(
            self,
            Doubt::BalanceLeavesNoResidue { .. }
                | Doubt::BalanceTakenForAssay { .. }
                | Doubt::ClosureAboveOne { .. }
                | Doubt::ClosureBelowOthers { .. }
                | Doubt::BalanceOpenInAllRuns { .. }
        )
    }
}
