//! Reasons about residue in words: what is missing, and what to do about it.
//!
//! In: typed reasons about recycling. Out: texts, with names from logs as they are.
//! This module never decides whether residue pays.

use super::of_decisions::no_forecast;
use super::of_models::refusal;
use crate::campaign::RecyclingValue;
use crate::decide::{NoCycles, NotPlanned, SideModel, Unanswered, Untold};

/// What is missing for the answer about residue.
pub(in crate::report) struct Missing {
    /// What is missing.
    pub missing: String,
    /// What to log, declare or run.
    pub advice: String,
    /// What can be answered all the same.
    pub still: &'static str,
}

/// What can be answered without any model.
const YIELDS_STAND: &str = "yields and balances of the runs stand as they are";
/// What can be answered without prices.
const GRAMS_STAND: &str = "what the residue gives in grams of product stands all the same";

fn said(missing: impl Into<String>, advice: impl Into<String>, still: &'static str) -> Missing {
    Missing {
        missing: missing.into(),
        advice: advice.into(),
        still,
    }
}

/// Why the question cannot be answered.
pub(in crate::report) fn unanswered(why: &Unanswered) -> Missing {
    match why {
        Unanswered::NoFactor => said(
            "no factor stands for residue fed forward",
            "declare `[factors.residue_ratio]` with `kind = \"amount\"` and `stands_for = \"residue\"`, and log `residue_mass`",
            YIELDS_STAND,
        ),
        Unanswered::NoModel => said(
            "there is no model of yield",
            "name `yield` among the responses of `[model]`, and the factor of the residue among its effects",
            YIELDS_STAND,
        ),
        Unanswered::NotCharged => said(
            "no run charged residue",
            "charge residue in some runs and not in others of the same lot and settings, and log `residue_mass` with `residue_from` or `residue_assay`",
            "what the residue on the shelf holds stands under question 2",
        ),
        Unanswered::OneRatio(ratio) => said(
            format!(
                "every run charged residue at the same ratio ({ratio:.3} g/g), so there is nothing to hold it against"
            ),
            "make some runs without residue on the same lot and settings",
            "yields on the total basis show what such runs give, not what the residue adds",
        ),
        Unanswered::Forbidden => said(
            "each ratio at which residue was charged is never to be proposed",
            "charge residue at a ratio that `[limits]` allows, or change what it forbids",
            YIELDS_STAND,
        ),
        Unanswered::NoAssay => said(
            "no residue that was charged has an assay, so nobody knows what it could give",
            "log `residue_assay`, or `residue_from` together with the assay in the residues log",
            "yields count fresh feed only, as their doubts say",
        ),
        Unanswered::CannotBeTold {
            factor,
            residual_df,
            why,
        } => said(
            format!(
                "the model cannot tell a charged run from one without residue: {}",
                untold(why)
            ),
            match residual_df {
                0 => "make more runs, or ask for fewer effects".to_string(),
                _ => format!(
                    "name `{factor}` among the effects of `[model]`, and vary it within lots and settings"
                ),
            },
            YIELDS_STAND,
        ),
        Unanswered::NoPrices => said(
            "there are no prices",
            "add `[prices]` with `product`, and what else is paid for",
            GRAMS_STAND,
        ),
        Unanswered::NoPrice(value) => {
            let name = match value {
                RecyclingValue::Product => "product",
                RecyclingValue::Feed | RecyclingValue::Runs => "feed",
            };
            said(
                format!("the {name} has no price"),
                format!("state `{name}` under `[prices]`"),
                GRAMS_STAND,
            )
        }
    }
}

/// What is missing to say what mother liquor carried on brings, and what to do about it.
pub(in crate::report) fn liquor_untold(why: &Unanswered) -> String {
    let [missing, advice] = match why {
        Unanswered::NoFactor => [
            "no factor stands for mother liquor carried on",
            "declare `[factors.liquor_ratio]` with `kind = \"amount\"` and `stands_for = \"liquor\"`, and name it among the effects of `[model]`",
        ],
        Unanswered::NotCharged => [
            "no run of the model of yield charged any",
            "charge it in more runs",
        ],
        Unanswered::OneRatio(_) => [
            "every run charged as much for its feed, so there is nothing to hold it against",
            "make some runs without it on the same lot and settings",
        ],
        Unanswered::Forbidden => [
            "each ratio at which it was charged is never to be proposed",
            "charge it at a ratio that `[limits]` allows, or change what it forbids",
        ],
        Unanswered::NoAssay => [
            "nobody knows what the liquor held",
            "log `liquor_in_conc`, or `liquor_from` and both `liquor_volume` and `liquor_conc` of those runs",
        ],
        Unanswered::CannotBeTold { why, .. } => {
            return format!(
                "the model cannot tell a charged run from one without it: {}",
                untold(why)
            );
        }
        Unanswered::NoModel | Unanswered::NoPrices | Unanswered::NoPrice(_) => {
            let words = unanswered(why);
            return format!("{}. What to do: {}", words.missing, words.advice);
        }
    };
    format!("{missing}. What to do: {advice}")
}

/// Why a charged run cannot be told from one without residue.
pub(in crate::report) fn untold(why: &Untold) -> String {
    match why {
        Untold::Refused(why) => refusal(why),
        Untold::BySide {
            model,
            refusal: why,
        } => {
            let name = match model {
                SideModel::Reagents => "further reagents",
                SideModel::ResidueOut => "residue left",
                SideModel::Second => "second products",
            };
            format!("{name}: {}", refusal(why))
        }
        Untold::NoFreedom => {
            "the model has no residual degrees of freedom, so nothing is known of its error".into()
        }
    }
}

/// Why the loop cannot be followed.
pub(in crate::report) fn no_cycles(why: &NoCycles) -> String {
    match why {
        NoCycles::NoProduct => "the campaign names no product".into(),
        NoCycles::NoClosedBalance => {
            "no run has a closed balance with the mass and assay of its residue".into()
        }
        NoCycles::VesselTooSmall { solids, feed } => format!(
            "`vessel_solids` is {solids:.0} g and a run takes {feed:.0} g of fresh feed, so no residue fits in"
        ),
        NoCycles::Untold(why) => untold(why),
    }
}

/// Why runs that would settle the verdict cannot be planned.
pub(in crate::report) fn not_planned(why: &NotPlanned) -> String {
    match why {
        NotPlanned::NoSpace(error) | NotPlanned::NoPlan(error) => error.to_string(),
        NotPlanned::NoForecast(why) => no_forecast(why),
    }
}
