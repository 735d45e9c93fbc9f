//! `costs` and `recycling`.
//!
//! In: finished figures. Out: what is serialised under these keys.
//! This module never computes.

use serde::Serialize;
use serde_json::Value;

use super::{Ends, Measured, Named, Pays};

/// What runs and product cost.
#[derive(Debug, Clone, Serialize)]
pub struct Costs {
    /// Name of the currency.
    pub currency: String,
    /// All runs together, or the reason why not.
    pub campaign: CampaignCost,
    /// One entry a run.
    pub runs: Vec<RunCost>,
    /// What is not counted.
    pub not_counted: Vec<String>,
    /// Runs without a cost.
    pub without_a_cost: Vec<String>,
}

/// The cost of all runs together.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum CampaignCost {
    /// It cannot be said.
    Unknown {
        /// Why.
        reason: String,
    },
    /// It can.
    Known {
        /// Runs counted.
        runs: usize,
        /// The sum [currency].
        total: Measured,
        /// Pure product [g].
        contained: Measured,
        /// Cost of a gram [currency/g].
        per_gram: Measured,
        /// Share of the product on specification.
        on_specification: Option<f64>,
        /// Cost of a gram on specification [currency/g].
        per_gram_on_specification: Option<Measured>,
        /// What buying a gram costs more [currency/g].
        gained_by_making: Option<Measured>,
        /// What was paid for.
        parts: Vec<CostPart>,
    },
}

/// One kind of cost.
#[derive(Debug, Clone, Serialize)]
pub struct CostPart {
    /// What was paid for.
    pub what: &'static str,
    /// How much [currency].
    pub cost: Measured,
}

/// The cost of one run.
#[derive(Debug, Clone, Serialize)]
pub struct RunCost {
    /// The run.
    pub run: String,
    /// The sum [currency].
    pub total: Option<Measured>,
    /// Cost of a gram [currency/g].
    pub per_gram: Option<Measured>,
    /// What was paid for [currency].
    pub parts: Named<f64>,
    /// Why a gram has no cost.
    pub reason: Option<String>,
}

/// Whether feeding the residue forward pays, or what is missing.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum Recycling {
    /// It cannot be said.
    Unanswered {
        /// Null.
        verdict: Option<Pays>,
        /// What is missing.
        unanswered: Missing,
    },
    /// What residue gives.
    Answered(Box<Residue>),
}

impl Recycling {
    /// What residue gives, where that can be said.
    pub fn residue(&self) -> Option<&Residue> {
        match self {
            Recycling::Unanswered { .. } => None,
            Recycling::Answered(residue) => Some(residue),
        }
    }
}

/// What residue gives, and what that is worth where there are prices.
#[derive(Debug, Clone, Serialize)]
pub struct Residue {
    /// `pays`, `does not pay` or `not settled`; null without prices.
    pub verdict: Option<Pays>,
    /// The money, where there are prices.
    #[serde(flatten)]
    pub money: Option<Money>,
    /// The loop, one entry a cycle.
    pub cycles: Value,
    /// What the loop rests on, or why it cannot be followed.
    #[serde(rename = "loop")]
    pub around: Around,
    /// Residue per fresh feed [g/g].
    pub ratio: f64,
    /// Runs that charged residue.
    pub charged_runs: usize,
    /// Product gained per charged run [g].
    pub extra_product: AmountFigures,
    /// The same over what the content of the residue promises.
    pub of_promise: AmountFigures,
    /// Fresh feed saved per charged run [g].
    pub feed_saved: f64,
    /// The gain at each level of a choice.
    pub levels: Vec<GainAtLevel>,
    /// What happens to other responses.
    pub responses: Vec<ResponseChange>,
    /// Runs that would settle it.
    pub runs_to_settle: Option<usize>,
    /// What would settle it.
    pub settling: Option<Settling>,
    /// What is missing for the money.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unanswered: Option<Missing>,
}

/// What the residue is worth.
#[derive(Debug, Clone, Serialize)]
pub struct Money {
    /// Name of the currency.
    pub currency: String,
    /// Gain per charged run.
    pub gain_per_run: AmountFigures,
    /// Gain per kilogram of residue.
    pub gain_per_kg: AmountFigures,
    /// Gain over all charged runs.
    pub gain_per_campaign: AmountFigures,
    /// Chance that it is above zero.
    pub chance_positive: f64,
    /// What is counted.
    pub terms: Terms,
    /// Where the verdict flips.
    pub break_even: Named<BreakEven>,
    /// Figures by how much they move the gain.
    pub ranking: Vec<Influence>,
    /// Chances of meeting the specification.
    pub specification: Option<ResidueSpecification>,
    /// Where the gain is zero over assay and price.
    pub map: Option<MoneyMap>,
    /// What is not counted.
    pub not_counted: Vec<String>,
}

/// A figure with its interval.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct AmountFigures {
    /// Best estimate.
    pub value: f64,
    /// Standard uncertainty.
    pub u: f64,
    /// Both ends.
    pub interval: [f64; 2],
}

/// The terms of a gain [currency per charged run].
#[derive(Debug, Clone, Default, Serialize)]
pub struct Terms {
    /// Worth of the extra product.
    pub product: f64,
    /// Worth of the fresh feed saved.
    pub feed: f64,
    /// Extra oxidant.
    pub oxidant: f64,
    /// Extra further reagents.
    pub further_reagents: f64,
    /// Handling.
    pub handling: f64,
    /// Disposal saved.
    pub disposal: f64,
}

/// Where a verdict flips along one figure.
#[derive(Debug, Clone, Serialize)]
pub struct BreakEven {
    /// The value; null where it never flips.
    pub value: Option<f64>,
    /// Between which values that cannot be told.
    pub interval: Option<[Option<f64>; 2]>,
    /// The value now.
    pub now: f64,
    /// Why it never flips.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<&'static str>,
}

/// How much a figure moves the gain.
#[derive(Debug, Clone, Serialize)]
pub struct Influence {
    /// The figure.
    pub input: &'static str,
    /// By one standard uncertainty of it.
    pub by_one_u: f64,
    /// By a tenth of it.
    pub by_a_tenth: f64,
}

/// Chances of meeting the specification.
#[derive(Debug, Clone, Serialize)]
pub struct ResidueSpecification {
    /// The specification.
    pub spec: f64,
    /// Of a charged run.
    pub chance_with_residue: f64,
    /// Of one without.
    pub chance_without: f64,
    /// Whether that counts as money.
    pub counts_as_money: bool,
}

/// Where the gain is zero over residue assay and product price.
#[derive(Debug, Clone, Serialize)]
pub struct MoneyMap {
    /// The campaign's own assay.
    pub residue_assay: f64,
    /// The campaign's own price [currency/kg].
    pub product_price: f64,
    /// Assay, and the price at which the gain is zero there.
    pub line: Vec<(f64, Option<f64>)>,
}

/// What a loop rests on.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum Around {
    /// It cannot be followed.
    Unknown {
        /// Why.
        reason: String,
    },
    /// It can.
    Known {
        /// Share thrown away each cycle.
        bleed: f64,
        /// The best share.
        best_bleed: Option<f64>,
        /// Mean gain with it.
        best_bleed_mean_gain: Option<f64>,
        /// First cycle that loses.
        turns_at: Option<u32>,
        /// What limits the charge.
        limited_by: Option<&'static str>,
        /// Where the charge settles.
        steady: Option<LongRun>,
        /// Shares that stay on the filter.
        retained: Kept,
    },
}

/// What is charged in the long run.
#[derive(Debug, Clone, Serialize)]
pub struct LongRun {
    /// Residue [g].
    pub residue: f64,
    /// Its assay.
    pub assay: f64,
}

/// Shares that stay on the filter.
#[derive(Debug, Clone, Serialize)]
pub struct Kept {
    /// Of the followed element in feed.
    pub element_of_feed: f64,
    /// Of the followed element in residue.
    pub element_of_residue: f64,
    /// Of all else in feed.
    pub inert_of_feed: f64,
    /// Of all else in residue.
    pub inert_of_residue: f64,
    /// Runs that they come from.
    pub runs: usize,
}

/// The gain at one level.
#[derive(Debug, Clone, Serialize)]
pub struct GainAtLevel {
    /// The choice.
    pub factor: String,
    /// The level.
    pub level: String,
    /// Extra product [g].
    pub extra_product: Option<AmountFigures>,
    /// Gain per charged run.
    pub gain_per_run: Option<AmountFigures>,
    /// Its verdict.
    pub verdict: Option<Pays>,
    /// Why it cannot be told.
    pub reason: Option<String>,
}

/// How a response changes when residue is charged.
#[derive(Debug, Clone, Serialize)]
pub struct ResponseChange {
    /// The response.
    pub response: String,
    /// Its unit.
    pub unit: String,
    /// The change.
    pub value: Option<f64>,
    /// Its standard error.
    pub u: Option<f64>,
    /// Its interval.
    pub interval: Ends,
    /// Why it cannot be told.
    pub reason: Option<String>,
}

/// What would settle an open verdict.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum Settling {
    /// Further runs.
    Runs {
        /// How many.
        runs: usize,
        /// How many with residue.
        with_residue: usize,
        /// Chance that they settle it.
        chance: f64,
    },
    /// It is too close.
    TooClose {
        /// Why.
        reason: &'static str,
        /// Runs that would not be enough.
        not_enough: usize,
        /// The most it could be worth.
        most: f64,
    },
    /// Runs cannot.
    Not {
        /// Why.
        reason: String,
    },
}

/// What is missing for an answer.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Missing {
    /// What is missing.
    pub missing: String,
    /// What to log, declare or run.
    pub advice: String,
    /// What is answered all the same.
    pub still: String,
}
