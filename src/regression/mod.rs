//! What explains the results of the runs?
//!
//! In: [`ModelParams`], which can be wrong, and [`FitData`]. Out: [`FittedModel`], which answers for any settings.
//! This module never reads a log or a campaign file, and never decides what to do with an answer.

mod basis;
mod beyond;
mod check;
mod coding;
mod comparisons;
mod components;
mod covariance;
mod data;
mod diagnostics;
mod doubts;
mod fine;
mod fit;
mod fitted;
mod ghosts;
mod joint;
mod least_squares;
mod machinery;
mod matrix;
mod means;
mod measured_fit;
mod measurement;
mod on_response;
mod overall;
mod params;
mod planning;
mod power;
mod predict;
mod proposals;
mod qr;
mod refusal;
mod rough;
mod rounds;
mod runs;
mod scale;
mod selection;
mod separation;
mod settings;
mod small;
mod small_sample;
mod solve;
mod studentised_range;
mod surface;
mod symmetric;
mod tangled;
mod term;
mod tests_of_effects;
mod variances;
mod weighted_residuals;
mod weighted_tests;
mod without_effects;
mod words;

#[cfg(test)]
mod checks_of_separation;
#[cfg(test)]
mod exact_checks;
#[cfg(test)]
mod joint_checks;
#[cfg(test)]
mod measured_checks;
#[cfg(test)]
mod measured_coverage;
#[cfg(test)]
mod measured_large;
#[cfg(test)]
mod measured_limits;
#[cfg(test)]
mod measured_properties;
#[cfg(test)]
mod nist_checks;
#[cfg(test)]
mod properties;
#[cfg(test)]
mod scale_checks;
#[cfg(test)]
mod testing;

pub use comparisons::{
    Comparison, CriticalValueBy, Equivalence, EquivalenceVerdict, FactorComparisons, Untold,
    comparisons, equivalence,
};
pub use components::{Component, ScatterOf};
pub use data::{Factor, FactorValues, FitData};
pub use diagnostics::{
    APART_LEVERAGE, BADLY_BLURRED, BLURRED, Change, Changing, Collinearity, ConditionIndex,
    DecisionChange, Diagnostic, DiagnosticKind, FAR_LEVERAGE, MOST_FOR_NORMALITY, MOST_REFITS,
    OWN_REGION, PULLING_DISTANCE, Reading, RestingDecision, RunInfluence, STRONGLY_TOGETHER,
    ShapiroWilk, SideOfModel, Standing, TOGETHER, TermShare, WhyNot, called_out, collinearity,
    decisions_without_one_run, diagnostics, influences, shapiro_wilk,
};
pub use fitted::{Estimate, FittedModel, Interval, Method, NewRun, RunScatter, Term};
pub use joint::Weighted;
pub use means::{AdjustedMeans, LevelMean, MixedChoice, ReferenceMix};
pub use measurement::{ErrorEffect, ErrorSize, Measurement, OwnError, SharedError};
pub use params::{Constant, Curve, MethodAsked, ModelParams, ValidModel};
pub use planning::{
    BlocksAs, Criterion, Forecast, Grouping, MOST_PLANNED, NoPlan, PlanContrast, PlanFactor,
    PlanValues, Planned, Planner, Space, shuffled,
};
pub use power::{
    RunsNeeded, noncentral_t_lower, power_of_t_test, power_of_two_means, runs_for_two_means,
};
pub use refusal::Refusal;
pub use rough::RoughMean;
pub use scale::ResponseScale;
pub use selection::{
    Addition, Candidate, Candidates, MOST_FOR_ALL_SUBSETS, NoRank, NotRanked, Search, Selection,
    candidates, with_terms,
};
pub use settings::{Setting, Settings};
pub use studentised_range::{studentised_range_for_tail, studentised_range_upper};
pub use surface::{NoStationary, Stationary, StationaryKind};
pub use tangled::{AmountAt, NotSeparable, Proposal, Tangled};
pub use term::{TermName, TermPiece};
pub use tests_of_effects::EffectTest;
pub use without_effects::WithoutEffects;
