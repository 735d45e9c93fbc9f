//! The nine answers: what each question comes to, where it stands, and what would lift what is open.
//!
//! In: runs, models, findings, charts and costs of a campaign. Out: [`Answer`]s, always all nine.
//! This module never works out a figure anew and never writes a sentence: it takes the figures that are there.

mod costs;
mod doubts;
mod drift;
mod given;
mod moves;
mod next;
mod residue;
mod routes;
mod settings;
mod went;

pub use moves::{FactorStanding, untold};

use serde::Serialize;

use crate::campaign::Campaign;
use crate::caveat::Caveat;
use crate::decide::{Costs, Findings, Gap, ModelSet, NextRuns, NoCost, NoMean, Unanswered};
use crate::drift::Drifts;
use crate::error::Error;
use crate::regression::{Interval, Proposal};
use crate::runs::{Reason, Runs};

/// One of the questions that a campaign is asked.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Question {
    /// 1: what did the runs give?
    Given,
    /// 2: where did the rest go?
    Went,
    /// 3: what moves a response? Its position among the models; `None` where there is no model at all.
    Moves(Option<usize>),
    /// 4: which recovery route is best?
    Routes,
    /// 5: does it pay to feed the residue forward?
    Residue,
    /// 6: which settings are best?
    Settings,
    /// 7: which runs should be made next?
    Next,
    /// 8: is the process drifting?
    Drift,
    /// 9: what did a gram of product cost, against buying it?
    Cost,
}

impl Question {
    /// Its number, 1 to 9.
    pub fn number(&self) -> u32 {
        match self {
            Question::Given => 1,
            Question::Went => 2,
            Question::Moves(_) => 3,
            Question::Routes => 4,
            Question::Residue => 5,
            Question::Settings => 6,
            Question::Next => 7,
            Question::Drift => 8,
            Question::Cost => 9,
        }
    }
}

/// Where an answer stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Status {
    /// The log carries it.
    Settled,
    /// The log carries a part of it.
    #[serde(rename = "partly open")]
    PartlyOpen,
    /// The log leaves it open.
    Open,
    /// It would be settled, but something that it rests on is doubtful.
    #[serde(rename = "in doubt")]
    InDoubt,
    /// The campaign has nothing to do with it.
    #[serde(rename = "not asked")]
    NotAsked,
}

/// The answer to one question.
#[derive(Debug, Clone)]
pub struct Answer {
    /// The question.
    pub question: Question,
    /// Where the answer stands.
    pub status: Status,
    /// The figures that it rests on, those of the headline first.
    pub figures: Vec<Figure>,
    /// The one reason that matters most why it is not settled; `None` where it is.
    pub reason: Option<WhyOpen>,
    /// The doubts that touch it, as positions in the list of all doubts.
    pub doubts: Vec<usize>,
    /// What to log, declare or run, the most useful first.
    pub to_do: Vec<ToDo>,
}

/// A figure of an answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figure {
    /// What it is.
    pub what: FigureOf,
    /// What it is about, such as a factor, a level or a response; empty where that is clear.
    pub about: String,
    /// What is held against what, for an effect.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub compared: Option<Compared>,
    /// The best estimate, in the unit below.
    pub value: f64,
    /// Both ends of its interval at the confidence of the campaign, where there is one.
    pub interval: Option<[f64; 2]>,
    /// Its unit; `1` is a fraction.
    pub unit: String,
}

/// Two settings held against each other.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Compared {
    /// Two levels of a choice.
    Levels {
        /// This one.
        level: String,
        /// With that one.
        against: String,
    },
    /// Two values of an amount.
    Values {
        /// From this one.
        from: f64,
        /// To that one.
        to: f64,
        /// At this level of a choice that changes the effect.
        with: Option<WithLevel>,
    },
}

/// A level of a choice.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WithLevel {
    /// The choice.
    pub factor: String,
    /// The level.
    pub level: String,
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
    /// What a kilogram costs more to make than to buy.
    MoreThanBuying,
}

impl Figure {
    fn new(what: FigureOf, about: &str, value: f64, unit: &str) -> Self {
        Self {
            what,
            about: about.to_string(),
            compared: None,
            value,
            interval: None,
            unit: unit.to_string(),
        }
    }

    fn between(self, ends: Option<Interval>) -> Self {
        Self {
            interval: ends.map(|ends| [ends.low, ends.high]),
            ..self
        }
    }

    fn with_half_width(self, half: f64) -> Self {
        Self {
            interval: Some([self.value - half, self.value + half]),
            ..self
        }
    }
}

/// Why an answer is not settled.
#[derive(Debug, Clone)]
pub enum WhyOpen {
    /// The campaign names no product, so there is no theory to hold anything against.
    NoChemistry,
    /// No run has a contained yield; the reason of the first.
    NoYield(Option<Reason>),
    /// These runs gave more than can be.
    Impossible(Vec<String>),
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
    /// No route gives the purity that is asked for often enough.
    NoRouteMeets,
    /// No route has a mean that could be compared; what stands in the way of the first.
    NoRouteTold(Option<NoMean>),
    /// The lead of the best may be luck.
    LeadMayBeLuck,
    /// The campaign has nothing to do with residue.
    NoResidue,
    /// Something that the answer needs is missing.
    Missing(Box<Unanswered>),
    /// The interval of the gain holds zero.
    GainMayBeNothing,
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

/// What answers are made from.
#[derive(Debug, Clone, Copy)]
pub struct Basis<'a> {
    /// The campaign.
    pub campaign: &'a Campaign,
    /// Its runs on one footing.
    pub runs: &'a Runs,
    /// Its models.
    pub models: &'a ModelSet,
    /// What was found.
    pub findings: &'a Findings,
    /// The runs to make next, or why none can be planned; absent without a model.
    pub next: Option<&'a Result<NextRuns, Error>>,
    /// Control charts.
    pub drift: &'a Drifts,
    /// What runs and product cost; `None` without prices.
    pub costs: Option<&'a Costs>,
    /// All doubts.
    pub doubts: &'a [Caveat],
    /// Coverage of all intervals.
    pub confidence: f64,
}

/// The answers to all nine questions, question 3 once for each model.
pub fn answers(basis: &Basis) -> Vec<Answer> {
    let mut all = vec![given::answer(basis), went::answer(basis)];
    all.extend(moves::answers(basis));
    all.extend([
        routes::answer(basis),
        residue::answer(basis),
        settings::answer(basis),
        next::answer(basis),
        drift::answer(basis),
        costs::answer(basis),
    ]);
    for answer in &mut all {
        answer.doubts = doubts::touching(basis, &answer.question);
    }
    all
}

impl Answer {
    /// An answer without figures: what stands in its way, and what would help.
    fn without(question: Question, status: Status, reason: WhyOpen, to_do: Vec<ToDo>) -> Self {
        Self {
            question,
            status,
            figures: Vec::new(),
            reason: Some(reason),
            doubts: Vec::new(),
            to_do,
        }
    }

    /// An answer with figures; not settled where there is a reason.
    fn with(
        question: Question,
        status: Status,
        figures: Vec<Figure>,
        reason: Option<WhyOpen>,
        to_do: Vec<ToDo>,
    ) -> Self {
        Self {
            question,
            status,
            figures,
            reason,
            doubts: Vec::new(),
            to_do,
        }
    }
}
