//! What a diagnostic looks at and what it can find.
//!
//! In: nothing but the findings of its neighbours. Out: [`DiagnosticKind`], [`Reading`] and [`Standing`]: names and numbers of what was found.
//! This module never says it in a sentence.

/// What a diagnostic looks at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DiagnosticKind {
    /// The studentised residual that is furthest from zero.
    LargestResidual,
    /// The run that weighs most in its own fitted value.
    LargestLeverage,
    /// The run without which the fit would move most (Cook).
    LargestDistance,
    /// Scatter about the model against that among repeats.
    LackOfFit,
    /// Whether residuals look normal (Shapiro-Wilk).
    Normality,
    /// Whether residuals scatter the same everywhere (Breusch-Pagan, studentised).
    EvenSpread,
    /// How neighbouring residuals differ (Durbin-Watson).
    Neighbours,
    /// Correlation of residuals with the one before.
    LagOne,
    /// The factor that went most with the order of the runs.
    AlongWithTime,
    /// The term whose variance other terms inflate most.
    VarianceInflation,
    /// How near the terms come to one relation among them.
    ConditionIndex,
    /// Decisions that would be others without one run.
    RestsOnOneRun,
}

/// Whether a reading calls for a look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Nothing shows.
    Fine,
    /// Worth knowing; the fit still says what it says.
    Noticed,
    /// Some of what the fit says should not be believed before somebody has looked.
    Failed,
    /// There was nothing to judge by.
    NotJudged,
}

/// Why a figure says nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhyNot {
    /// The residuals are rounding, or there are none.
    NoScatter,
    /// No two runs repeat the same settings.
    NoRepeats,
    /// The model has a term for every setting that was run.
    TermForEverySetting,
    /// The repeats agree to the last digit.
    RepeatsAgreeExactly,
    /// More than [`super::MOST_FOR_NORMALITY`] runs.
    TooManyForNormality,
    /// More than [`super::MOST_REFITS`] runs.
    TooManyToRefit,
    /// Residuals are mostly determined by one another.
    TooFewDegreesOfFreedom,
    /// The model has no term besides the constant.
    ConstantAlone,
    /// No factor of the model changed, or there are too few runs.
    NothingChanged,
    /// The runs do not fit the model.
    RunsDoNotFit,
    /// No term can be told.
    NoTermTold,
}

/// On which side of the model a run lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SideOfModel {
    /// Its response is larger than fitted.
    Above,
    /// Its response is smaller than fitted.
    Below,
}

/// What may change from run to run: an amount, or being at a level of a choice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Changing {
    /// An amount.
    Amount {
        /// Name of the factor.
        factor: String,
    },
    /// One level of a choice against all others.
    Level {
        /// Name of the factor.
        factor: String,
        /// Name of the level.
        level: String,
    },
}

/// What one run more or less decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// The effect matters, and would not without the run.
    NoLongerMatters,
    /// The effect does not show, and would without the run.
    WouldMatter,
    /// The term could not be told without the run.
    CouldNotBeTold,
    /// Without the run there would be no fit at all.
    NoFit,
}

/// A decision that any one of some runs would change by being left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RestingDecision {
    /// The effect or the term that it is about; empty for the fit as a whole.
    pub about: String,
    /// What would change.
    pub change: Change,
    /// The runs that each make the change, in run order.
    pub runs: Vec<String>,
}

/// What a figure says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reading {
    /// Nothing, and why.
    NotJudged(WhyNot),
    /// At least one run lies further off than chance explains, allowing for all runs.
    RunsBeyondChance {
        /// The run that is furthest off.
        furthest: String,
        /// On which side it lies.
        side: SideOfModel,
        /// Every run beyond chance, in run order.
        called_out: Vec<String>,
    },
    /// No run does.
    NoRunBeyondChance {
        /// The run that is furthest off.
        furthest: String,
        /// On which side it lies.
        side: SideOfModel,
    },
    /// Runs that are each the only one to show some term, by name.
    OnlyRunsWithATerm(Vec<String>),
    /// Leverages beyond [`super::FAR_LEVERAGE`] times the average, and the runs that have them.
    SettingsFarOff(Vec<String>),
    /// Leverages beyond [`super::APART_LEVERAGE`] times the average, and the runs that have them.
    SettingsApart(Vec<String>),
    /// No leverage beyond [`super::APART_LEVERAGE`] times the average.
    NoSettingsApart,
    /// Without this run the fit would move beyond the edge of its own region of coverage [`super::OWN_REGION`].
    RunDecidesFit(String),
    /// A run with a distance above [`super::PULLING_DISTANCE`] over the number of runs, but not so far.
    RunPullsFit(String),
    /// No run does.
    NoRunPullsFit,
    /// The runs lie further from the model than repeats from one another.
    TermMissing,
    /// They do not.
    NoTermMissing,
    /// The residuals do not look normal.
    NotNormal,
    /// They do.
    LooksNormal,
    /// The scatter changes with the settings.
    SpreadChanges,
    /// It does not show that it would.
    SpreadEven,
    /// Neighbouring runs err the same way.
    NeighboursAlike,
    /// Neighbouring runs err in opposite ways.
    NeighboursOpposite,
    /// Neither shows.
    NeighboursIndependent,
    /// What went with the order of the runs, the most first.
    WentWithOrder(Vec<Changing>),
    /// Nothing did more than chance explains; what did most.
    NoneWentWithOrder(Changing),
    /// The term with a variance inflation above [`super::BADLY_BLURRED`].
    TermBadlyBlurred(String),
    /// The term with a variance inflation above [`super::BLURRED`].
    TermBlurred(String),
    /// No variance inflation above [`super::BLURRED`].
    NoTermBlurred,
    /// A condition index above [`super::STRONGLY_TOGETHER`], and the terms that take part in the relation.
    StronglyTogether(Vec<String>),
    /// A condition index above [`super::TOGETHER`], and the terms that take part in the relation.
    Together(Vec<String>),
    /// No condition index above [`super::TOGETHER`].
    NoneTogether,
    /// Decisions that would be others without one run, by effect and kind in the order in which they come up.
    SomeRestOnOneRun(Vec<RestingDecision>),
    /// There are none.
    NoneRestsOnOneRun,
}

impl Reading {
    /// Whether it calls for a look: a test failed at the level of the model, or the stronger of two bounds was passed.
    pub fn standing(&self) -> Standing {
        match self {
            Reading::NotJudged(_) => Standing::NotJudged,
            Reading::RunsBeyondChance { .. }
            | Reading::OnlyRunsWithATerm(_)
            | Reading::RunDecidesFit(_)
            | Reading::TermMissing
            | Reading::NotNormal
            | Reading::SpreadChanges
            | Reading::NeighboursAlike
            | Reading::NeighboursOpposite
            | Reading::WentWithOrder(_)
            | Reading::TermBadlyBlurred(_)
            | Reading::StronglyTogether(_) => Standing::Failed,
            // Settings far from the others are no fault of the reading taken there.
            Reading::SettingsFarOff(_)
            | Reading::SettingsApart(_)
            | Reading::RunPullsFit(_)
            | Reading::TermBlurred(_)
            | Reading::Together(_)
            | Reading::SomeRestOnOneRun(_) => Standing::Noticed,
            Reading::NoRunBeyondChance { .. }
            | Reading::NoSettingsApart
            | Reading::NoRunPullsFit
            | Reading::NoTermMissing
            | Reading::LooksNormal
            | Reading::SpreadEven
            | Reading::NeighboursIndependent
            | Reading::NoneWentWithOrder(_)
            | Reading::NoTermBlurred
            | Reading::NoneTogether
            | Reading::NoneRestsOnOneRun => Standing::Fine,
        }
    }
}
