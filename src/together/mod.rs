//! What several campaigns say together: one model of what they share, and what differs among them.
//!
//! In: campaigns with their runs on one footing. Out: [`Together`], or why there is none.
//! This module never pools what two campaigns define otherwise, and never words a reason.

mod alike;
mod answer;
mod effects;
mod joined;

pub use answer::{
    Asked, Differing, Member, NotPooled, OfResponse, SharedEffect, Together, What, Why, WhyNot,
};

use alike::{Alike, alike, comparable};
use effects::{Of, with_differing};
use joined::{CAMPAIGN, Part, joined, part};

use crate::campaign::nearest;
use crate::error::{Error, ErrorKind, Faults, Place};
use crate::pipeline::{Extent, Further};
use crate::regression::{comparisons, diagnostics};

/// Why campaigns give no model together.
#[derive(Debug, Clone)]
pub enum Stopped {
    /// Faults of the campaigns or of what was asked.
    Faults(Faults),
    /// They share no effect on any response.
    NothingAlike(Vec<NotPooled>),
}

impl From<Faults> for Stopped {
    fn from(faults: Faults) -> Self {
        Stopped::Faults(faults)
    }
}

/// Fits one model a response to all campaigns: terms of the first campaign's model that all have in the same meaning, campaigns
/// as random blocks, blocks of a campaign random within it, and effects that a campaign has for itself acting on its runs alone.
///
/// # Assumes
/// Campaigns are drawn at random from those that might be run; errors of measurement of two campaigns are independent.
/// # Errors
/// [`Stopped`].
pub fn together(members: &[Member], asked: &Asked) -> Result<Together, Stopped> {
    comparable(members)?;
    let mut alike = alike(members, asked.response.as_deref())?;
    may_differ(members, &alike, &asked.differ)?;
    let mut responses = Vec::new();
    for response in std::mem::take(&mut alike.responses) {
        let parts = parts(members, &alike, &response);
        match parts {
            Ok(parts) if !alike.effects.is_empty() => {
                responses.push(of_response(&parts, &alike, asked)?);
            }
            Ok(_) => {}
            Err(lacking) => alike.not_pooled.extend(lacking),
        }
    }
    if responses.is_empty() {
        return Err(Stopped::NothingAlike(alike.not_pooled));
    }
    Ok(Together {
        titles: members.iter().map(|of| of.campaign.title.clone()).collect(),
        confidence: members[0].campaign.confidence(),
        responses,
        not_pooled: alike.not_pooled,
    })
}

/// Refuses factors that are to differ and have no pooled effect, and a factor of the name that campaigns go by.
fn may_differ(members: &[Member], alike: &Alike, differ: &[String]) -> Result<(), Faults> {
    let known = || alike.effects.iter().map(String::as_str);
    let unknown = differ
        .iter()
        .filter(|name| known().all(|known| known != name.as_str()));
    let mut faults: Vec<Error> = unknown
        .map(|name| {
            Error::new(
                ErrorKind::UnknownName,
                format!("`--differ {name}` names no effect that the campaigns share"),
            )
            .hint(match nearest(name, known()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!(
                    "effects that they share: {}",
                    known().collect::<Vec<_>>().join(", ")
                ),
            })
        })
        .collect();
    for member in members {
        let campaign = member.campaign;
        faults.extend(campaign.factor(CAMPAIGN).map(|plan| {
            let title = &campaign.title;
            Place::new(campaign.file.as_str(), plan.line).fault(ErrorKind::Campaign, format!("a factor of `{title}` is called `{CAMPAIGN}`"), "campaigns put together go by that name; call the factor otherwise and name its column with `column`")
        }));
    }
    Faults::or(faults, ())
}

/// The parts of all campaigns, or those that have no run for the model.
fn parts(members: &[Member], alike: &Alike, response: &str) -> Result<Vec<Part>, Vec<NotPooled>> {
    let first = &members[0];
    let plan = first.campaign.model.as_ref();
    let of = |member: &Member| part(member, first, plan?, alike, response);
    let parts: Vec<Option<Part>> = members.iter().map(of).collect();
    let parts: Vec<Option<Part>> = parts
        .into_iter()
        .map(|part| part.filter(|part| !part.data.runs.is_empty()))
        .collect();
    let lacking = parts.iter().enumerate().filter(|(_, part)| part.is_none());
    let lacking = lacking.map(|(campaign, _)| {
        let of = members[campaign].campaign;
        let line = of.model.as_ref().map_or(1, |plan| plan.line);
        NotPooled {
            what: What::Response(response.to_string()),
            campaign,
            place: Place::new(of.file.as_str(), line),
            why: Why::NoValue,
        }
    });
    let lacking: Vec<NotPooled> = lacking.collect();
    match lacking.is_empty() {
        true => Ok(parts.into_iter().flatten().collect()),
        false => Err(lacking),
    }
}

fn of_response(parts: &[Part], alike: &Alike, asked: &Asked) -> Result<OfResponse, Faults> {
    let (mut params, data) = joined(parts, alike);
    if !asked.differ.is_empty() {
        params = with_differing(params, &asked.differ);
    }
    let valid = params.clone().check(&data)?.scattering_by(CAMPAIGN);
    let model = valid.fit(&data)?;
    let of = Of {
        parts,
        alike,
        differ: &asked.differ,
        params: &params,
        data: &data,
    };
    let differs = of.differing();
    let effects = of.shared(&valid, &model, &differs);
    let doubts = parts.iter().flat_map(|part| part.doubts.clone());
    let caveats = doubts.chain(model.caveats.iter().cloned()).collect();
    // Where an effect may differ, its levels are not to be compared over all campaigns.
    let mut comparisons = match asked.extent {
        Extent::Whole => comparisons(&model, asked.seed),
        Extent::WithoutCharts => Vec::new(),
    };
    comparisons.retain(|of| of.factor != CAMPAIGN && !asked.differ.contains(&of.factor));
    let further = Further {
        comparisons,
        diagnostics: match asked.extent {
            Extent::Whole => diagnostics(&valid, &model, &data, &[]),
            Extent::WithoutCharts => Vec::new(),
        },
        selection: None,
        decides: Vec::new(),
        alike: Vec::new(),
        over: Vec::new(),
    };
    Ok(OfResponse {
        runs: parts.iter().map(|part| part.data.runs.len()).collect(),
        model,
        further,
        differs,
        effects,
        caveats,
    })
}
