//! A doubt that travels with a result.
//!
//! In: what was seen, with the figures that triggered it. Out: [`Caveat`], and the [`Reason`] why there is no result.
//! This module never decides what is doubtful, and never says it in words.

mod at_the_bench;
mod doubt;
mod parts_of_doubts;
mod reason;
mod slip;

pub use at_the_bench::{AtTheBench, DatesOfTitres, ToldTwice};
pub use doubt::Doubt;
pub use parts_of_doubts::{
    AtAnEnd, BalancePart, Discordance, Ends, ForetoldOf, Found, LevelWritten, LotsPlannedOn,
    MissingLimit, MoneyDoubt, NotCounted, OddRun, PairAgainst, PlusMinus, Prediction, RunWithout,
    SameAsPlace, Sample, ScatterAtLevel, SpeltAlike, Suspect,
};
pub use reason::{NoLimits, Reason};
pub use slip::{Against, Likely, Part, ResultOf, Slip, SlipOf, Weight, WouldBe};

/// A doubt: what it touches, and what was seen with the figures that triggered it.
#[derive(Debug, Clone, PartialEq)]
pub struct Caveat {
    /// What it touches.
    pub about: About,
    /// What was seen.
    pub doubt: Doubt,
}

/// What a doubt touches.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum About {
    /// The campaign as a whole.
    Campaign,
    /// One lot of feed.
    Lot(String),
    /// One titrant.
    Titrant(String),
    /// One run.
    Run(String),
    /// One response with its model and its charts.
    Response(String),
}

impl Caveat {
    /// A doubt about one run.
    pub fn of_run(run: impl Into<String>, doubt: Doubt) -> Self {
        Self {
            about: About::Run(run.into()),
            doubt,
        }
    }

    /// A doubt about one response.
    pub fn of_response(response: impl Into<String>, doubt: Doubt) -> Self {
        Self {
            about: About::Response(response.into()),
            doubt,
        }
    }

    /// A doubt about the campaign as a whole.
    pub fn of_campaign(doubt: Doubt) -> Self {
        Self {
            about: About::Campaign,
            doubt,
        }
    }
}

impl About {
    /// The name of what it touches; empty for the campaign.
    pub fn name(&self) -> &str {
        match self {
            About::Campaign => "",
            About::Lot(name) | About::Titrant(name) | About::Run(name) | About::Response(name) => {
                name
            }
        }
    }
}
