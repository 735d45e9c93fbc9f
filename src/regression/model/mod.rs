//! The fitted model, and what can be asked of it.
//!
//! In: the parts of a finished fit. Out: [`FittedModel`], which answers for any settings.
//! This module never fits, and never decides what to do with an answer.

mod adjusted_responses;
mod answers_at_several_settings;
mod best_of_many;
mod beyond_100_percent;
mod combination;
mod doubts;
mod estimates;
mod fitted;
mod means;
mod on_response;
mod other_errors;
mod over_factor;
mod overall;
mod predict;
mod run_errors;
mod shrinkage;
mod surface;

pub use adjusted_responses::WithoutEffects;
pub use answers_at_several_settings::{DrawnRuns, Weighted};
pub use best_of_many::{BestOfMany, Choosing, Lead, NotCorrected, Toward};
pub(crate) use beyond_100_percent::beyond_one;
pub(crate) use combination::Mix;
pub(crate) use doubts::doubts;
pub(crate) use estimates::Machinery;
pub use fitted::{FittedModel, Term};
pub use means::{AdjustedMeans, LevelMean, MixedChoice, ReferenceMix};
pub(crate) use on_response::of_runs;
pub use other_errors::OtherErrors;
pub use over_factor::{At, MeanAt, OverFactor, RunAt};
pub(crate) use overall::{lag1, share_explained, squares_of_model, test_of_all};
pub use predict::RoughMean;
pub use run_errors::RunErrors;
pub use surface::{NoStationary, Stationary, StationaryKind};
