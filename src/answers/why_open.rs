//! The reasons why an answer is not settled, and what to do about each.
//!
//! In: typed reasons of the stages before. Out: [`WhyOpen`] and [`ToDo`].
//! This module never says a reason in words.

use crate::decide::{Effect, Gap, NoCost, NoMean, Shaken, Unanswered};
use crate::error::Error;
use crate::regression::Proposal;
use crate::runs::Reason;

/// Why an answer is not settled.
#[derive(Debug, Clone)]
pub enum WhyOpen {
    /// The campaign names no product, so there is no theory to hold anything against.
    NoChemistry,
    /// No run has a contained yield; the reason of the first.
    NoYield(Option<Reason>),
    /// These runs gave more than can be.
    Impossible(Vec<String>),
    /// Entries of these runs are hardly right.
    HardlyRight(Vec<String>),
    /// Nothing states the strength of a titrant.
    NoStrength,
    /// No run has a balance; the reason of the first.
    NoBalance(Option<Reason>),
    /// In so many runs more came out than went in.
    MoreOutThanIn(usize),
    /// From so many runs less came out than from the others.
    LessOutThanOthers(usize),
    /// The balances of all runs miss by as much.
    BalanceOpen,
    /// The campaign file has no `[model]`.
    NoModel,
    /// So many groups of terms cannot be told apart, and effects of so many factors are neither shown nor ruled out.
    PartsOpen {
        /// Groups of terms.
        tangled: usize,
        /// Factors of which an effect is neither shown nor ruled out.
        unseen: usize,
        /// Factors of which nothing can be told.
        untold: usize,
    },
    /// No factor stands for the recovery route.
    NoRouteFactor,
    /// Only this route was run.
    OneRoute(String),
    /// Only this route may be proposed of those that were run.
    OneRouteAllowed(String),
    /// No route gives the purity that is asked for often enough.
    NoRouteMeets,
    /// No route has a mean that could be compared; what stands in the way of the first.
    NoRouteTold(Option<NoMean>),
    /// The lead of the best may be luck.
    LeadMayBeLuck,
    /// This route leads, but whether it gives the purity that is asked for often enough is not settled.
    MayMiss(String),
    /// Its interval says so, but something shakes it.
    Shaken {
        /// The effect that it is about, where the answer is about several.
        about: Option<Box<Effect>>,
        /// What shakes it.
        by: Box<Shaken>,
    },
    /// Effects of these factors are shown one by one, but not all together.
    NotTogether(Vec<String>),
    /// The campaign has nothing to do with residue.
    NoResidue,
    /// Something that the answer needs is missing.
    Missing(Box<Unanswered>),
    /// The interval of the gain holds zero.
    GainMayBeNothing,
    /// Valued in another way the gain of a charged run has the other sign, and the campaign file says of none that it counts.
    ValuedOtherwise,
    /// Charged less often, with what was collected, it pays beyond its interval, and as it was charged it does not.
    ChargedLessOften,
    /// As it was charged it pays, and each way to charge it again and again loses beyond its interval.
    NotAgainAndAgain,
    /// The verdict hangs on whether the labour log holds the time to handle residue, and nothing says so.
    HandlingUnsaid,
    /// Labour is paid, and nothing tells how much more of it a charged run takes.
    LabourUntold,
    /// What the best settings need is missing; the first piece.
    NoSettings(Option<Box<Gap>>),
    /// No settings within the limits give the purity that is asked for often enough.
    NoSettingsMeet,
    /// Whether the best settings beat the best run made is not settled.
    NoBetterThanMade,
    /// No plan can be made; why.
    NoPlan(Box<Error>),
    /// The runs are still to be made.
    ToBeMade,
    /// Nothing is charted.
    NothingCharted,
    /// A control chart flags.
    Flagged,
    /// So few runs show only a large drift.
    FewRuns,
    /// There are no prices.
    NoPrices,
    /// Something that was paid for has no price, or a run no cost.
    NotAllCounted,
    /// Whether making or buying costs less is not known.
    MakeOrBuy,
    /// No cost can be worked out.
    NoCost(NoCost),
}

/// What to do about what is open.
#[derive(Debug, Clone)]
pub enum ToDo {
    /// Correct or set aside these runs.
    Correct(Vec<String>),
    /// Log the mother liquor and the residue of each run.
    LogBalance,
    /// Log what this yield needs.
    LogYield,
    /// State what is made and what is followed.
    StateChemistry,
    /// Name the log with this key.
    NameLog(&'static str),
    /// Say how titres become purity.
    AddTitration,
    /// Add `[model]` to the campaign file.
    AddModel,
    /// A run that would tell terms apart.
    Separate(Proposal),
    /// Make the planned runs.
    MakePlanned(usize),
    /// Declare which factor is the recovery route.
    DeclareRoute,
    /// Make runs on another route.
    RunAnotherRoute,
    /// What a missing piece asks for.
    Supply(Box<Unanswered>),
    /// So many further runs, so many of them with residue, would settle the gain.
    SettleGain {
        /// Runs in all.
        runs: usize,
        /// Those with residue.
        charged: usize,
    },
    /// Look at the first candidate cause of a flag.
    LookAtFlag,
    /// State prices.
    StatePrices,
}
