//! Doubts about what is paid.
//!
//! In: a campaign and its costs. Out: [`Caveat`]s.
//! This module never changes a price.

use super::{Costs, HandlingStands};
use crate::campaign::Campaign;
use crate::caveat::{Caveat, Doubt, MoneyDoubt};

/// What is doubtful about prices and times that the campaign file states.
pub fn doubts_of_money(campaign: &Campaign, costs: &Costs) -> Vec<Caveat> {
    let _ = campaign;
    let handling = match costs.labour.handling {
        HandlingStands::Known(_) => None,
        HandlingStands::Unsaid(minutes) => Some(MoneyDoubt::HandlingUnsaid { minutes }),
        HandlingStands::NotLogged => Some(MoneyDoubt::HandlingNotLogged),
    };
    let found = handling.into_iter();
    let caveats = found.map(|doubt| Caveat::of_campaign(Doubt::Money(doubt)));
    caveats.collect()
}
