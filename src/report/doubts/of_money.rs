//! Doubts about what is paid.
//!
//! In: what the campaign file leaves open, or says against itself. Out: what was seen, and what to do.
//! This module never adds up a cost.

use crate::caveat::MoneyDoubt;
use crate::report::print::plain;

/// The short fixed term for a doubt about money.
pub(super) fn kind(doubt: &MoneyDoubt) -> &'static str {
    match doubt {
        MoneyDoubt::HandlingUnsaid { .. } => "handling unsaid",
        MoneyDoubt::HandlingNotLogged => "handling not logged",
        MoneyDoubt::OffSpecDearer { .. } => "off specification dearer",
        MoneyDoubt::ReworkAtALoss { .. } => "rework at a loss",
        MoneyDoubt::SoldOneByOne => "sold one by one",
    }
}

/// What was seen, and what to do.
pub(super) fn money(doubt: &MoneyDoubt) -> [String; 2] {
    match doubt {
        MoneyDoubt::HandlingUnsaid { minutes } => [
            format!(
                "charged runs log labour, `residue_handling` is {} min a run besides, and nothing says whether the log holds these minutes already",
                plain(*minutes)
            ),
            "state under `[recycling]` whether `handling` is `\"logged\"` or `\"extra\"`".into(),
        ],
        MoneyDoubt::HandlingNotLogged => [
            "`[recycling] handling` is `\"logged\"`, and no charged run logs labour".into(),
            "log the labour of charged runs, or write `handling = \"extra\"`; until then `residue_handling` counts for residue".into(),
        ],
        MoneyDoubt::OffSpecDearer { off_spec, product } => [
            format!(
                "`[recycling] off_spec` is {} a kilogram, more than the {} of the product itself",
                plain(*off_spec),
                plain(*product)
            ),
            "look for a slip in one of the two prices".into(),
        ],
        MoneyDoubt::ReworkAtALoss { cost, product } => [
            format!(
                "rework of a kilogram under `[recycling] off_spec` costs {}, and what it saves of the product is worth {}",
                plain(*cost),
                plain(*product)
            ),
            "look for a slip in cost, loss or the price of the product; where it is right, `off_spec = \"worthless\"` loses less".into(),
        ],
        MoneyDoubt::SoldOneByOne => [
            "`[aim] sold` is `\"crop by crop\"`: costs and what is sold follow that, but routes, settings and residue are judged by the purity of all crops of a run together".into(),
            "declare `[responses.purity_crop1]` to see what moves the purity of first crops".into(),
        ],
    }
}
