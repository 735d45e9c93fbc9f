//! Names of costs, figures and verdicts about residue.
//!
//! In: what decisions name. Out: texts.
//! This module never decides what is said, only how it is called.

use crate::campaign::{Handling, RecyclingValue};
use crate::decide::{CostKind, Figure, Limit, Never, RecyclingVerdict};

/// What is paid for.
pub fn cost_kind(kind: CostKind) -> &'static str {
    match kind {
        CostKind::Feed => "feed",
        CostKind::Oxidant => "oxidant",
        CostKind::Reagents => "further reagents",
        CostKind::Heat => "heat",
        CostKind::Labour => "labour",
        CostKind::ResidueHandling => "handling of residue",
        CostKind::Disposal => "disposal of residue",
        CostKind::Second => "second products sold",
    }
}

/// The verdict on residue.
pub fn verdict(verdict: RecyclingVerdict) -> &'static str {
    match verdict {
        RecyclingVerdict::Pays => "pays",
        RecyclingVerdict::DoesNotPay => "does not pay",
        RecyclingVerdict::NotSettled | RecyclingVerdict::TooClose => "not settled",
    }
}

/// Name of a figure in JSON and tables.
pub fn figure_key(figure: Figure) -> &'static str {
    match figure {
        Figure::YieldWith => "yield_with_residue",
        Figure::YieldWithout => "yield_without_residue",
        Figure::FeedContent => "feed_assay",
        Figure::ResidueContent => "residue_assay",
        Figure::ProductPrice => "product_price",
        Figure::FeedPrice => "feed_price",
        Figure::OxidantPrice => "oxidant_price",
        Figure::LabourPrice => "labour_price",
        Figure::DisposalPrice => "disposal_price",
        Figure::OffSpecPrice => "off_spec_price",
        Figure::HandlingMinutes => "handling_minutes",
        Figure::ReagentsWithout => "further_reagents",
        Figure::ReagentsExtra => "extra_reagents",
        Figure::ResidueOutWithout => "residue_left",
        Figure::ResidueOutExtra => "extra_residue_left",
        Figure::WorthWith => "on_specification_with_residue",
        Figure::WorthWithout => "on_specification_without",
        Figure::RunLabour => "labour_of_a_run",
        Figure::LabourExtra => "extra_labour_minutes",
        Figure::RunHeat => "heat_of_a_run",
        Figure::SecondWithout => "second_products",
        Figure::SecondExtra => "extra_second_products",
    }
}

/// Name of a figure in a sentence.
pub fn figure(figure: Figure) -> &'static str {
    match figure {
        Figure::YieldWith => "yield of charged runs",
        Figure::YieldWithout => "yield without residue",
        Figure::FeedContent => "assay of the feed",
        Figure::ResidueContent => "assay of the residue",
        Figure::ProductPrice => "price of the product",
        Figure::FeedPrice => "price of the feed",
        Figure::OxidantPrice => "price of the oxidant",
        Figure::LabourPrice => "price of labour",
        Figure::DisposalPrice => "price of disposal",
        Figure::OffSpecPrice => "price of product off specification",
        Figure::HandlingMinutes => "time to handle the residue",
        Figure::ReagentsWithout => "further reagents of every run",
        Figure::ReagentsExtra => "further reagents for the residue",
        Figure::ResidueOutWithout => "residue that every run leaves",
        Figure::ResidueOutExtra => "residue that charged runs leave more",
        Figure::WorthWith => "share on specification with residue",
        Figure::WorthWithout => "share on specification without",
        Figure::RunLabour => "labour of a run without residue",
        Figure::LabourExtra => "labour that charged runs log more",
        Figure::RunHeat => "heat of a run",
        Figure::SecondWithout => "second products of every run",
        Figure::SecondExtra => "second products that charged runs give more",
    }
}

/// Name of a way to value residue in JSON and in the campaign file.
pub fn way_key(value: RecyclingValue) -> &'static str {
    match value {
        RecyclingValue::Product => "product",
        RecyclingValue::Feed => "feed",
        RecyclingValue::Runs => "runs",
    }
}

/// What is valued, in a sentence.
pub fn way(value: RecyclingValue) -> &'static str {
    match value {
        RecyclingValue::Product => "extra product for the same fresh feed",
        RecyclingValue::Feed => "fresh feed saved for the same product",
        RecyclingValue::Runs => "runs not made for the same product",
    }
}

/// Where the time to handle residue stands, in JSON and in the campaign file.
pub fn handling_key(handling: Handling) -> &'static str {
    match handling {
        Handling::Logged => "logged",
        Handling::Extra => "extra",
    }
}

/// The same in a sentence.
pub fn handling(handling: Handling) -> &'static str {
    match handling {
        Handling::Logged => "in the labour that is logged",
        Handling::Extra => "beside the labour that is logged",
    }
}

/// What is short where a way to value residue is the right one.
pub fn short_of(value: RecyclingValue) -> &'static str {
    match value {
        RecyclingValue::Product => "all product sells and runs are as many as can be",
        RecyclingValue::Feed => "no more product is wanted and feed is what costs",
        RecyclingValue::Runs => "no more product is wanted and a run not made saves its labour too",
    }
}

/// Why a verdict never flips.
pub fn never(why: Never) -> &'static str {
    match why {
        Never::AlwaysGain => "the gain stays above zero at any value looked at",
        Never::AlwaysLoss => "the gain stays below zero at any value looked at",
        Never::NoMatter => "the gain does not depend on it",
    }
}

/// What stops a charge from growing.
pub fn limit(limit: Limit) -> &'static str {
    match limit {
        Limit::Vessel => "the vessel",
        Limit::Declared => "the declared limit of the ratio",
        Limit::Tried => "the largest ratio that was ever run",
    }
}

/// What turns a figure into the unit that its key stands for.
pub fn shown_scale(figure: Figure, content_per_assay: f64) -> f64 {
    match figure {
        Figure::ResidueContent => 1.0 / content_per_assay,
        Figure::ProductPrice | Figure::FeedPrice | Figure::DisposalPrice | Figure::OffSpecPrice => {
            1000.0
        }
        _ => 1.0,
    }
}
