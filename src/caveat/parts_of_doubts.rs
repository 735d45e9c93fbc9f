//! The parts of doubts: figures and names that they quote.
//!
//! In: figures and names of a result. Out: the small types that variants of [`Doubt`](super::Doubt) hold.
//! This module never rounds a figure.

/// A figure with half the width of its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlusMinus {
    /// The figure.
    pub value: f64,
    /// What is added and taken off.
    pub half_width: f64,
}

/// What is doubtful about prices and paid times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MoneyDoubt {
    /// Charged runs log labour, `residue_handling` is stated, and nothing says whether the log holds these minutes.
    HandlingUnsaid {
        /// Minutes of a run.
        minutes: f64,
    },
    /// The campaign file says that charged runs log the time to handle residue, and none logs labour.
    HandlingNotLogged,
    /// Product off specification has a price above that of the product.
    OffSpecDearer {
        /// Its price [currency/kg].
        off_spec: f64,
        /// That of the product [currency/kg].
        product: f64,
    },
    /// Rework costs more than what it saves is worth.
    ReworkAtALoss {
        /// What it costs [currency/kg].
        cost: f64,
        /// What is left of a kilogram is worth so much \[currency\].
        product: f64,
    },
    /// Crops are sold one by one, and other questions judge a run by all its crops together.
    SoldOneByOne,
}

/// Both ends of an interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ends {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// A level of a choice with what its runs scatter.
#[derive(Debug, Clone, PartialEq)]
pub struct ScatterAtLevel {
    /// Its name.
    pub level: String,
    /// Standard deviation from run to run, in the unit of the response.
    pub sd: f64,
}

/// Levels of one choice that may be spellings of fewer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpeltAlike {
    /// The choice.
    pub factor: String,
    /// Where the campaign file can say which mean the same.
    pub place: SameAsPlace,
    /// Levels that are spelt alike, in each group first the one that the others may be spellings of.
    pub groups: Vec<Vec<LevelWritten>>,
}

/// Where the campaign file can say which spellings mean one level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SameAsPlace {
    /// In a table that is not there yet.
    NewTable,
    /// Under a key that is not there yet.
    NewKey,
    /// Beside the spellings that are joined already.
    MoreSpellings,
}

/// A level as it stands in the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LevelWritten {
    /// Its name.
    pub level: String,
    /// In how many rows it stands.
    pub rows: usize,
}

/// One part of what came out of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BalancePart {
    /// Masses or purity of the crops.
    Crops,
    /// The mother liquor.
    Liquor,
    /// The residue.
    Residue,
}

/// The part of a balance that is furthest off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suspect {
    /// Which one.
    pub part: BalancePart,
    /// What the run has there [fraction of the charge].
    pub own: f64,
    /// What the other runs have in the middle [fraction of the charge].
    pub middle: f64,
}

/// What was titrated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sample {
    /// The crop of this number.
    Crop(u32),
    /// The residue.
    Residue,
    /// The feed.
    Feed,
}

/// How replicate titrations disagree.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Discordance {
    /// Two lie too far apart.
    Pair {
        /// How far [mass fraction].
        apart: f64,
        /// How far they may lie apart [mass fraction].
        allowed: f64,
        /// What says how far.
        against: PairAgainst,
    },
    /// One of several lies too far from their mean.
    Odd {
        /// How many there are.
        count: usize,
        /// The odd one [mass fraction].
        odd: f64,
        /// How far it lies from the mean [standard deviations].
        distance: f64,
        /// How far Grubbs' test allows [standard deviations].
        allowed: f64,
    },
}

/// What a pair of titrations is compared with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PairAgainst {
    /// The uncertainty that is stated for them.
    StatedUncertainty,
    /// The scatter of all replicates.
    Scatter,
}

/// What a failed test of a fit has found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Found {
    /// Runs lie further from the model than chance explains, all runs counted together.
    RunsBeyondChance,
    /// Runs are each the only one to show some term.
    OnlyRunsWithATerm,
    /// Without one run the fit would be another.
    RunDecidesFit,
    /// Runs lie further from the model than repeats from one another.
    TermMissing,
    /// The residuals do not look normal.
    NotNormal,
    /// The scatter changes with the settings.
    SpreadChanges,
    /// Neighbouring runs err the same way.
    NeighboursAlike,
    /// Neighbouring runs err in opposite ways.
    NeighboursOpposite,
    /// Factors changed along with the order of the runs.
    WentWithOrder,
    /// A term changed along with others.
    TermBadlyBlurred,
    /// Terms hang together.
    StronglyTogether,
}

/// A run that is in no model of a response.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RunWithout {
    /// The run.
    pub run: String,
    /// The factor that it lacks.
    pub factor: String,
}

/// A run whose response lies at an end of the fractions, or beyond one.
#[derive(Debug, Clone, PartialEq)]
pub struct AtAnEnd {
    /// The run.
    pub run: String,
    /// Its response \[fraction\].
    pub value: f64,
    /// What it is taken at \[fraction\]; `None` where it is left out.
    pub taken_at: Option<f64>,
}

/// A prediction that no fraction can be.
#[derive(Debug, Clone, PartialEq)]
pub struct Prediction {
    /// The value \[fraction\].
    pub value: f64,
    /// What it is foretold of.
    pub of: ForetoldOf,
    /// A run that is itself outside 0 to 1.
    pub odd: Option<OddRun>,
}

/// What a value is foretold of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ForetoldOf {
    /// The fitted value of a run.
    Run(String),
    /// An end of the interval of a mean.
    Mean {
        /// The factor.
        factor: String,
        /// Its level.
        level: String,
    },
    /// An end of the interval of a new run like one that was made.
    NewRunLike(String),
}

/// A run whose response is no fraction.
#[derive(Debug, Clone, PartialEq)]
pub struct OddRun {
    /// The run.
    pub run: String,
    /// Its response.
    pub value: f64,
}

/// Which limit of an amount nobody states.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MissingLimit {
    /// The lower one.
    Low,
    /// The upper one.
    High,
    /// Both.
    Both,
}

/// Which lots further runs are planned on where nothing says what is at hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LotsPlannedOn {
    /// Those of the last runs.
    OfTheLastRuns,
    /// All that are logged.
    AllLogged,
}

/// Why a planned run of the log does not count when further ones are chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotCounted {
    /// Its row does not give the value of a factor.
    NotSaid {
        /// The factor.
        factor: String,
    },
    /// A setting lies outside of what may be planned.
    Outside {
        /// The factor.
        factor: String,
        /// Its value as it is shown.
        value: String,
    },
    /// Its settings together are forbidden.
    Forbidden,
}
