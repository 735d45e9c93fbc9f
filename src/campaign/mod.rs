//! What was planned: the campaign file, drafted, then checked.
//!
//! In: the text of `campaign.toml`. Out: [`CampaignDraft`], which may be wrong, and [`Campaign`], which can't.
//! This module never reads a log and never fits.

mod aims;
mod basics;
mod checked;
mod columns;
mod currency;
mod draft;
mod factors;
mod figure;
mod ignition;
mod impurities;
mod keys;
mod limits;
mod model;
mod money;
mod price;
mod routes;
mod run_rules;
mod same_as;
mod second;
mod section;
mod source;
mod spelling;
mod titration;
mod uncertainty;

pub use aims::{Aim, Drift, Goal, Sold, Solubility, SolubilityPoint};
pub use basics::{AsAbove, Chemistry, DateOrder, Decimal, LogFiles, LogKind, Logs, PlusMinusIs};
pub use checked::{Campaign, ShelfLot};
pub use columns::ColumnMapping;
pub use currency::is_same_currency;
pub use draft::{CampaignDraft, FileText, Readable, readable};
pub use factors::{FactorKind, FactorPlan, LOT, Oxidant, OxidantImpurity, ResponsePlan, StandsFor};
pub use figure::{Stated, measure};
pub use ignition::Ignition;
pub use impurities::FollowedImpurity;
pub use keys::{KEYS, Key, KeyHolds};
pub use limits::{Limits, NeverIs, NeverPart};
pub use model::{CurvePlan, FitMethod, ModelPlan};
pub use money::{Handling, Heat, OffSpec, Prices, Recycling, RecyclingValue};
pub use price::{Per, Price, PriceUnit, StatedPrice};
pub use routes::{RoutePlan, RouteReagent};
pub use run_rules::{CusumPlan, RunRule};
pub use same_as::Spelling;
pub use second::SecondElement;
pub use spelling::{are_spelt_alike, did_you_mean, folded, nearest, stem_of};
pub use titration::{AssayTitration, ControlSample, SampleBasis, StatedFormula, Titration};
pub use uncertainty::UncertaintyPlan;
