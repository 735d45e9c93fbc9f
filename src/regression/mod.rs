//! Models that explain the results of the runs.
//!
//! In: [`ModelParams`], which can be wrong, and [`FitData`]. Out: [`FittedModel`], which answers for any settings.
//! This module never reads a log or a campaign file, and never decides what to do with an answer.
//!
//! One stack, each folder on those before it: `asked`, `algebra`, `estimate`; `design`, `plain`, `estimable`, `measured`,
//! `model`, `fit`; `comparisons`, `diagnostics`, `selection`; `refits`, `planning`.

mod algebra;
mod asked;
mod comparisons;
mod design;
mod diagnostics;
mod estimable;
mod estimate;
mod fit;
mod measured;
mod model;
mod plain;
mod planning;
mod refits;
mod selection;

#[cfg(test)]
mod tests;

pub use algebra::studentised_range::{studentised_range_for_tail, studentised_range_upper};
pub use asked::{
    Barred, BarredPart, Constant, Curve, ErrorEffect, ErrorSize, Factor, FactorValues, FitData,
    Measurement, Method, ModelParams, OwnError, ResponseScale, Setting, Settings, SharedError,
    TermName, TermPiece, ValidModel,
};
pub use comparisons::{
    Comparison, CriticalValueBy, Equivalence, EquivalenceVerdict, FactorComparisons, Untold,
    comparisons, equivalence,
};
pub use diagnostics::{
    APART_LEVERAGE, BADLY_BLURRED, BLURRED, Change, Changing, Collinearity, ConditionIndex,
    Diagnostic, DiagnosticKind, FAR_LEVERAGE, MOST_FOR_NORMALITY, MOST_REFITS, OWN_REGION,
    PULLING_DISTANCE, Reading, RestingDecision, RunInfluence, STRONGLY_TOGETHER, ShapiroWilk,
    SideOfModel, Standing, TOGETHER, TermShare, WhyNot, called_out, collinearity,
    decisions_without_one_run, diagnostics, influences, shapiro_wilk,
};
pub use estimable::{AmountAt, NotSeparable, Proposal, Refusal, Tangled};
pub use estimate::{Estimate, Interval, NewRun, RunScatter};
pub use measured::{Component, LevelScatter, ScatterByLevel, ScatterOf};
pub use model::{
    AdjustedMeans, At, BestOfMany, Choosing, DrawnRuns, FittedModel, Lead, LevelMean, MeanAt,
    MixedChoice, NoStationary, NotCorrected, OtherErrors, OverFactor, ReferenceMix, RoughMean,
    RunAt, RunErrors, Stationary, StationaryKind, Term, Toward, Weighted, WithoutEffects,
};
pub use plain::EffectTest;
pub use planning::{
    After, BlocksAs, Criterion, Forecast, Grouping, MOST_PLANNED, NoForecast, NoPlan, Outcome,
    Outlook, PlanContrast, PlanFactor, PlanValues, Planned, Planner, Space, power_of_t_test,
    shuffled,
};
pub use refits::{
    Asking, MOST_CONNECTED, Neighbours, asked_otherwise, connected, neighbours, robust,
};
pub use selection::{
    Addition, Candidate, Candidates, MOST_FOR_ALL_SUBSETS, NoRank, NotRanked, Search, Selection,
    candidates, with_terms,
};
