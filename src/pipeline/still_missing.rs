//! What a campaign still lacks for an answer, as far as its file and the columns of its logs tell.
//!
//! In: a campaign and what was logged. Out: reasons with what to do, in the order in which to do it.
//! This module never says that a question has to be asked: who has no prices has no cost to know.

use crate::answers::{ToDo, WhyOpen};
use crate::campaign::{Campaign, FactorKind, LogKind, StandsFor};
use crate::intake::Logged;
use crate::runs::Reason;

/// What is missing, and the key to write.
pub fn still_missing(campaign: &Campaign, logged: &Logged) -> Vec<(WhyOpen, ToDo)> {
    let has_log = |kind: LogKind| campaign.logs.files.iter().any(|log| log.kind == kind);
    let has = |kind: LogKind, names: &[&str]| {
        let mut columns = logged.columns.iter().chain(&logged.lacks);
        columns.any(|(of, name)| *of == kind && names.contains(&name.as_str()))
    };
    let in_runs = |names: &[&str]| has(LogKind::Runs, names);
    let without = |reason: Reason, log: LogKind| {
        let why = WhyOpen::NoYield(Some(reason));
        (why, ToDo::NameLog(log.key()))
    };
    let mut missing = Vec::new();
    let is_preparation = in_runs(&["feed_mass", "crop1_mass"]) || has_log(LogKind::Crops);
    if campaign.chemistry.is_none() && is_preparation {
        missing.push((WhyOpen::NoChemistry, ToDo::StateChemistry));
    }
    if campaign.chemistry.is_some() {
        let has_assays = has_log(LogKind::Lots) || in_runs(&["feed_assay"]);
        let mut shares = logged.runs.rows.iter().flat_map(|row| &row.lots);
        if !has_assays {
            let reason = match shares.next() {
                Some(share) => Reason::NoAssayOfLot {
                    lot: share.lot.clone(),
                },
                None => Reason::NoLot,
            };
            missing.push(without(reason, LogKind::Lots));
        }
        let has_crops = has_log(LogKind::Crops) || in_runs(&["crop1_mass", "crop2_mass"]);
        if !has_crops {
            missing.push(without(Reason::NoCrop, LogKind::Crops));
        }
        let has_titres = has_log(LogKind::Titres);
        let otherwise = campaign.by_difference || has(LogKind::Crops, &["ignited_mass"]);
        if has_crops && !has_titres && !otherwise && !in_runs(&["purity", "purity1"]) {
            missing.push(without(Reason::NoPurity { crop: 1 }, LogKind::Titres));
        }
        if has_titres && campaign.titration.is_none() {
            let reason = Some(Reason::NoPurity { crop: 1 });
            missing.push((WhyOpen::NoYield(reason), ToDo::AddTitration));
        }
        if has_titres && !has_log(LogKind::Titrants) {
            let to_do = ToDo::NameLog(LogKind::Titrants.key());
            missing.push((WhyOpen::NoStrength, to_do));
        }
    }
    if campaign.model.is_none() {
        missing.push((WhyOpen::NoModel, ToDo::AddModel));
    }
    if campaign.chemistry.is_some() {
        let mut factors = campaign.factors.iter();
        let has_choice = factors.any(|plan| matches!(plan.kind, FactorKind::Choice { .. }));
        if has_choice && campaign.factor_for(StandsFor::Route).is_none() {
            missing.push((WhyOpen::NoRouteFactor, ToDo::DeclareRoute));
        }
        if campaign.prices.is_none() {
            missing.push((WhyOpen::NoPrices, ToDo::StatePrices));
        }
    }
    missing
}
