//! `routes`.
//!
//! In: finished figures. Out: what is serialised under this key.
//! This module never computes.

use serde::Serialize;

use super::{Ends, Lead};

/// Recovery routes compared; figures in the unit of their model.
#[derive(Debug, Clone, Serialize)]
pub struct Routes {
    /// Factor that stands for the route.
    pub factor: String,
    /// What "best" means.
    pub aim: Aim,
    /// One entry a route, the baseline first.
    pub levels: Vec<RouteLevel>,
    /// `settled`, `alike` or `not settled`.
    pub verdict: Lead,
    /// The best route for the aim.
    pub best: Option<String>,
    /// It against the others.
    pub leads: Vec<RouteLead>,
    /// Chance that no route meets the specification often enough.
    pub none_meets: Option<f64>,
    /// Routes that none beats on all counts.
    pub unbeaten: Vec<String>,
    /// Routes that another beats on all counts.
    pub beaten: Vec<Beaten>,
    /// Leads in yield.
    pub differences: Vec<Difference>,
    /// What is missing.
    pub missing: Vec<Gap>,
}

/// What "best" means.
#[derive(Debug, Clone, Serialize)]
pub struct Aim {
    /// The response.
    pub response: String,
    /// Its unit.
    pub unit: String,
    /// `maximise` or `minimise`.
    pub direction: &'static str,
    /// A difference that does not matter.
    pub margin: Option<f64>,
    /// Least purity.
    pub purity_spec: Option<f64>,
    /// Chance that a new run must have of meeting it.
    pub purity_chance: f64,
}

/// An estimate, or null figures with the reason.
#[derive(Debug, Clone, Serialize)]
pub struct Estimated {
    /// The best estimate.
    pub value: Option<f64>,
    /// Its standard error.
    pub u: Option<f64>,
    /// Its interval.
    pub interval: Ends,
    /// Why there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

/// One route.
#[derive(Debug, Clone, Serialize)]
pub struct RouteLevel {
    /// Its name.
    pub level: String,
    /// Runs with a yield.
    pub runs: usize,
    /// Adjusted mean yield.
    #[serde(rename = "yield")]
    pub mean_yield: Estimated,
    /// The same as a fraction of its ceiling.
    pub of_ceiling: Option<Estimated>,
    /// Adjusted mean purity.
    pub purity: Estimated,
    /// Adjusted mean cost.
    pub cost: Estimated,
    /// Unit of the cost.
    pub cost_unit: String,
    /// Adjusted mean labour [min].
    pub labour: Estimated,
    /// Chance of being the best.
    pub chance_best: Option<f64>,
    /// The same, whatever the purity.
    pub chance_best_without_spec: Option<f64>,
    /// Chance that enough new runs meet the specification.
    pub chance_enough: Option<f64>,
    /// Chance that one new run meets it.
    pub chance_spec: Option<f64>,
    /// Part of all new runs that meet it.
    pub share_spec: Ends,
    /// Product in later crops.
    pub later_crops: Option<LaterCrops>,
}

/// Product of a route that comes in the second and later crops.
#[derive(Debug, Clone, Serialize)]
pub struct LaterCrops {
    /// Runs of the route.
    pub runs: usize,
    /// Runs that took one.
    pub with_later: usize,
    /// Middle part of the product.
    pub middle: Option<f64>,
}

/// The best route against another.
#[derive(Debug, Clone, Serialize)]
pub struct RouteLead {
    /// The other route.
    pub against: String,
    /// How much better the best is.
    pub gain: f64,
    /// Interval that allows for all pairs.
    pub interval: Ends,
    /// Chance that allows for all pairs.
    pub p: Option<f64>,
    /// Whether the difference does not matter; null where that is not settled or not asked.
    pub within_margin: Option<bool>,
    /// Chance that the other meets the specification often enough.
    pub chance_enough: Option<f64>,
}

/// A route that another beats.
#[derive(Debug, Clone, Serialize)]
pub struct Beaten {
    /// The route.
    pub level: String,
    /// The route that beats it.
    pub by: String,
}

/// How far the route with the highest yield is ahead of another.
#[derive(Debug, Clone, Serialize)]
pub struct Difference {
    /// `yield`.
    pub response: &'static str,
    /// The route ahead.
    pub level: Option<String>,
    /// The other.
    pub against: String,
    /// The lead.
    pub difference: Estimated,
    /// Interval that allows for all pairs.
    pub simultaneous_interval: Ends,
    /// Chance that allows for all pairs.
    pub p: Option<f64>,
}

/// Something missing, and what is answered without it.
#[derive(Debug, Clone, Serialize)]
pub struct Gap {
    /// What is missing.
    pub missing: String,
    /// What is answered all the same.
    pub still: String,
}
