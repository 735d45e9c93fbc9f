//! What several campaigns say together, as finished figures.
//!
//! In: nothing of its own. Out: [`Together`] with its parts.
//! This module never computes.

use crate::answers::Status;
use crate::campaign::Campaign;
use crate::caveat::Caveat;
use crate::error::Place;
use crate::measured::Consensus;
use crate::pipeline::{Extent, Further};
use crate::regression::{Estimate, FittedModel, Interval, Term, TermName};
use crate::runs::Runs;

/// A campaign with its runs on one footing.
#[derive(Debug, Clone, Copy)]
pub struct Member<'a> {
    /// The campaign file.
    pub campaign: &'a Campaign,
    /// Its runs.
    pub runs: &'a Runs,
}

/// What is asked of several campaigns.
#[derive(Debug, Clone)]
pub struct Asked {
    /// Factors whose effects may differ among the campaigns.
    pub differ: Vec<String>,
    /// The only response; None for all that the first campaign's model names.
    pub response: Option<String>,
    /// Seed of whatever is simulated.
    pub seed: u64,
    /// Whether levels are compared and the model is diagnosed besides.
    pub extent: Extent,
}

/// What several campaigns say together.
#[derive(Debug, Clone)]
pub struct Together {
    /// Titles of the campaigns, in the order in which they were named.
    pub titles: Vec<String>,
    /// Coverage of all intervals.
    pub confidence: f64,
    /// One model a response.
    pub responses: Vec<OfResponse>,
    /// What was not pooled, and why.
    pub not_pooled: Vec<NotPooled>,
}

/// What the campaigns say of one response.
#[derive(Debug, Clone)]
pub struct OfResponse {
    /// The one model.
    pub model: FittedModel,
    /// What stands beside it.
    pub further: Further,
    /// How many runs of each campaign are in it.
    pub runs: Vec<usize>,
    /// Whether each effect differs among the campaigns.
    pub differs: Vec<Differing>,
    /// Each term that the campaigns share.
    pub effects: Vec<SharedEffect>,
    /// Doubts about the model and about runs that are not in it.
    pub caveats: Vec<Caveat>,
}

/// Whether an effect differs among the campaigns.
#[derive(Debug, Clone)]
pub struct Differing {
    /// Its factors.
    pub factors: Vec<String>,
    /// Chance of campaigns that lie so far apart when the effect is the same in all; None where the runs cannot tell.
    pub p: Option<f64>,
    /// The same counted for all effects of the response that were tested.
    pub corrected: Option<f64>,
    /// Whether the effect may differ in the model, because that was asked for.
    pub may_differ: bool,
}

/// One term that the campaigns share.
#[derive(Debug, Clone)]
pub struct SharedEffect {
    /// What it is a product of.
    pub name: TermName,
    /// The units of the amounts in it; empty without any.
    pub per: String,
    /// The common effect of the one model; None where the effect may differ there, or cannot be told.
    pub common: Option<Term>,
    /// What each campaign says alone.
    pub own: Vec<Option<Estimate>>,
    /// What they say together if the effect may be another in each campaign.
    pub across: Option<Consensus>,
    /// The interval of that, with as many degrees of freedom as there are campaigns less one.
    pub across_interval: Option<Interval>,
    /// Where it stands: settled, open or in doubt.
    pub status: Status,
    /// Why it is not settled.
    pub why: Vec<WhyNot>,
}

/// Why an effect is not settled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhyNot {
    /// Its interval holds zero.
    HoldsZero,
    /// It differs among the campaigns.
    Differs,
    /// It was allowed to differ, so that there is no common effect.
    MayDiffer,
    /// The runs cannot tell whether it differs.
    NotTested,
    /// It was varied between campaigns alone.
    BetweenCampaigns,
    /// So few campaigns tell it by themselves.
    FewTell(usize),
    /// Its interval holds zero, or its sign turns, once the effect may be another in each campaign.
    HoldsZeroAcross,
    /// In every campaign that varied it, it changed so seldom along the runs that time may have done it.
    AlongWithTime,
    /// It does not hold once each campaign may drift.
    NotWithDrift,
    /// It does not hold in a robust refit.
    NotRobust,
    /// The fit did not settle.
    FitNotSettled,
    /// The runs cannot tell it apart from something else.
    NotSeparable,
}

/// Something that was not pooled.
#[derive(Debug, Clone)]
pub struct NotPooled {
    /// What.
    pub what: What,
    /// Position of the campaign in which it is otherwise.
    pub campaign: usize,
    /// Where that stands.
    pub place: Place,
    /// Why.
    pub why: Why,
}

/// What may not be pooled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum What {
    /// The effect of a factor.
    Effect(String),
    /// The joint effect of factors.
    Joint(Vec<String>),
    /// One level of a choice.
    Level {
        /// The choice.
        factor: String,
        /// The level.
        level: String,
    },
    /// A response.
    Response(String),
}

/// Why something is not pooled; `first` is how the first campaign has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Why {
    /// The campaign does not have it.
    NotThere,
    /// An amount in one, a choice in the other.
    OtherKind,
    /// Units that cannot be converted; empty where none is stated.
    OtherUnit {
        /// Of the first.
        first: String,
        /// Of this one.
        here: String,
    },
    /// Levels are compared with another one.
    OtherBaseline {
        /// Of the first.
        first: String,
        /// Of this one.
        here: String,
    },
    /// No run of the campaign has the level.
    NoSuchLevel,
    /// Lots of two campaigns are different lots, whatever their names.
    LotsAreItsOwn,
    /// Assays are stated as another formula.
    OtherAssay {
        /// Of the first.
        first: String,
        /// Of this one.
        here: String,
    },
    /// No run of the campaign has a value, with every factor of its model.
    NoValue,
    /// The first campaign does not ask for it.
    NotInFirst,
    /// A factor of it is not pooled.
    PartNotPooled(String),
}
