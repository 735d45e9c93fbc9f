//! What of several campaigns means the same, so that it may be pooled.
//!
//! In: campaigns with their runs. Out: [`Alike`], with everything that is not pooled and why; faults where the campaigns as
//! a whole are no subject for one model.
//! This module never takes two things for the same because they have one name.

use super::answer::{Member, NotPooled, What, Why};
use crate::campaign::{Campaign, LOT};
use crate::error::{Error, ErrorKind, Faults, Place};
use crate::runs::{FactorValues, ResponseColumn, ResponseKind, RunResult, Runs};
use crate::units::Unit;

/// Runs that stand in two campaigns with the same name, date and results before they are taken for the same runs.
const FEWEST_REPEATED: usize = 2;

/// What may be pooled.
pub(super) struct Alike {
    pub effects: Vec<String>,
    pub joint: Vec<Vec<String>>,
    pub responses: Vec<String>,
    pub not_pooled: Vec<NotPooled>,
}

/// Refuses campaigns that are no subject for one model.
///
/// # Errors
/// Fewer than two campaigns, a title or runs that stand there twice, another product, a first campaign without a model; all at once.
pub(super) fn comparable(members: &[Member]) -> Result<(), Faults> {
    let mut faults = Vec::new();
    if members.len() < 2 {
        faults.push(
            Error::new(
                ErrorKind::Missing,
                "one campaign alone has nothing to be put together with",
            )
            .hint("name two campaigns or more; `residuum fit` models one"),
        );
    }
    for (position, member) in members.iter().enumerate() {
        let campaign = member.campaign;
        for before in &members[..position] {
            if before.campaign.title == campaign.title {
                faults.push(Error::new(ErrorKind::DuplicatedRun, format!("two campaigns have the title `{}`", campaign.title)).hint("name each campaign once, and give each a `title` of its own under `[campaign]`"));
            }
            faults.extend(repeated(before, member));
        }
        faults.extend(other_product(members[0].campaign, campaign));
    }
    if let Some(first) = members.first()
        && first.campaign.model.is_none()
    {
        let (title, file) = (&first.campaign.title, &first.campaign.file);
        faults.push(
            Error::new(ErrorKind::Campaign, format!("`{title}`, the first campaign, has no `[model]` in `{file}`"))
                .in_file(file)
                .hint("the model is that of the campaign that is named first; name one that has it, or add `[model]` with `effects`"),
        );
    }
    Faults::or(faults, ())
}

/// A fault where most runs of one campaign stand in another.
fn repeated(one: &Member, other: &Member) -> Option<Error> {
    let values = |runs: &Runs, run: usize| -> Vec<(String, u64)> {
        let known =
            |column: &ResponseColumn| Some((column.name.clone(), column.values[run]?.to_bits()));
        runs.responses.iter().filter_map(known).collect()
    };
    let is_same = |(at, run): &(usize, &RunResult), (place, it): (usize, &RunResult)| {
        let (here, there) = (values(other.runs, *at), values(one.runs, place));
        run.run == it.run && run.date == it.date && !here.is_empty() && here == there
    };
    let of_one = || one.runs.results.iter().enumerate();
    let mut both = other.runs.results.iter().enumerate();
    let both = both
        .by_ref()
        .filter(|run| of_one().any(|it| is_same(run, it)));
    let count = both.count();
    let fewest = one.runs.results.len().min(other.runs.results.len());
    (count >= FEWEST_REPEATED && 2 * count >= fewest).then(|| {
        let [a, b] = [one, other].map(|member| &member.campaign.title);
        Error::new(ErrorKind::DuplicatedRun, format!("the same runs stand in two campaigns, `{a}` and `{b}`: {count} with the same name, date and results"))
            .hint("a run that counts twice makes everything look surer than it is; leave one of the two out")
    })
}

fn other_product(first: &Campaign, here: &Campaign) -> Option<Error> {
    let of = |campaign: &Campaign| {
        let chemistry = campaign.chemistry.as_ref();
        chemistry.map_or(("none".to_string(), String::new(), 1), |of| {
            (
                of.product.text().to_string(),
                of.followed.clone(),
                of.lines[0],
            )
        })
    };
    let ((product, followed, _), (other, element, line)) = (of(first), of(here));
    (product != other || followed != element).then(|| {
        let (title, file) = (&here.title, &here.file);
        Place::new(file.as_str(), line).fault(ErrorKind::Campaign, format!("`{title}` is about another product, in `{file}` line {line}: `{other}`, not `{product}`"), "effects on two products are two matters; put campaigns of one product together, its formula and followed element written alike")
    })
}

/// What of the first campaign's model all campaigns have in the same meaning.
pub(super) fn alike(members: &[Member], only: Option<&str>) -> Result<Alike, Faults> {
    let mut alike = Alike {
        effects: Vec::new(),
        joint: Vec::new(),
        responses: Vec::new(),
        not_pooled: Vec::new(),
    };
    let Some(plan) = members
        .first()
        .and_then(|first| first.campaign.model.as_ref())
    else {
        return Ok(alike);
    };
    for effect in &plan.effects {
        let others = other_factors(members, effect);
        if others.is_empty() {
            alike.effects.push(effect.clone());
            let levels = levels_not_everywhere(members, effect);
            alike.not_pooled.extend(levels);
        }
        alike.not_pooled.extend(others);
    }
    for set in &plan.joint {
        match set.iter().find(|name| !alike.effects.contains(name)) {
            None => alike.joint.push(set.clone()),
            Some(part) => alike.not_pooled.push(NotPooled {
                what: What::Joint(set.clone()),
                campaign: 0,
                place: Place::new(members[0].campaign.file.as_str(), plan.line),
                why: Why::PartNotPooled(part.clone()),
            }),
        }
    }
    for (position, member) in members.iter().enumerate().skip(1) {
        let Some(own) = &member.campaign.model else {
            continue;
        };
        let place = Place::new(member.campaign.file.as_str(), own.line);
        let effects = own
            .effects
            .iter()
            .filter(|name| !plan.effects.contains(name));
        let effects = effects.map(|name| What::Effect(name.clone()));
        let joint = own.joint.iter().filter(|set| !plan.joint.contains(set));
        let joint = joint.map(|set| What::Joint(set.clone()));
        alike
            .not_pooled
            .extend(effects.chain(joint).map(|what| NotPooled {
                what,
                campaign: position,
                place: place.clone(),
                why: Why::NotInFirst,
            }));
    }
    let asked = match only {
        Some(name) => vec![name.to_string()],
        None => plan.responses.clone(),
    };
    for response in asked {
        let others = other_responses(members, &response)?;
        if others.is_empty() {
            alike.responses.push(response);
        }
        alike.not_pooled.extend(others);
    }
    Ok(alike)
}

/// Campaigns in which a factor of the first is something else.
fn other_factors(members: &[Member], name: &str) -> Vec<NotPooled> {
    let first = members[0];
    let not = |campaign: usize, why: Why| NotPooled {
        what: What::Effect(name.to_string()),
        campaign,
        place: place_of(members[campaign].campaign, name),
        why,
    };
    if name == LOT {
        return vec![not(0, Why::LotsAreItsOwn)];
    }
    let Some(own) = first.runs.factor(name) else {
        return vec![not(0, Why::NotThere)];
    };
    let others = members.iter().enumerate().skip(1);
    let why = |member: &Member| {
        let Some(here) = member.runs.factor(name) else {
            return Some(Why::NotThere);
        };
        match (&own.values, &here.values) {
            (FactorValues::Amount(_), FactorValues::Amount(_)) => converted(&here.unit, &own.unit)
                .is_none()
                .then(|| Why::OtherUnit {
                    first: own.unit.clone(),
                    here: here.unit.clone(),
                }),
            (FactorValues::Choice { levels, .. }, FactorValues::Choice { levels: other, .. }) => {
                let [first, here] = [levels, other].map(|levels| levels.first().cloned());
                let [first, here] = [first, here].map(Option::unwrap_or_default);
                (first != here).then_some(Why::OtherBaseline { first, here })
            }
            _ => Some(Why::OtherKind),
        }
    };
    let others = others.filter_map(|(position, member)| Some(not(position, why(member)?)));
    others.collect()
}

/// Levels that not all campaigns have run, each with the first campaign that lacks it.
fn levels_not_everywhere(members: &[Member], name: &str) -> Vec<NotPooled> {
    let of_members = members.iter().map(|member| member.runs.levels_run(name));
    let run: Vec<Vec<String>> = of_members.collect();
    let mut all: Vec<&String> = run.iter().flatten().collect();
    all.sort_unstable();
    all.dedup();
    let lacking = all.into_iter().filter_map(|level| {
        let campaign = run.iter().position(|levels| !levels.contains(level))?;
        Some(NotPooled {
            what: What::Level {
                factor: name.to_string(),
                level: level.clone(),
            },
            campaign,
            place: place_of(members[campaign].campaign, name),
            why: Why::NoSuchLevel,
        })
    });
    lacking.collect()
}

/// Campaigns in which a response of the first is something else.
///
/// # Errors
/// A response that the first campaign does not have.
fn other_responses(members: &[Member], name: &str) -> Result<Vec<NotPooled>, Faults> {
    let first = members[0];
    let Some(own) = first.runs.response(name) else {
        crate::pipeline::known_response(first.campaign, first.runs, Some(name))?;
        return Ok(Vec::new());
    };
    let why = |member: &Member| {
        let Some(here) = member.runs.response(name) else {
            return Some(Why::NotThere);
        };
        let assays = [first, *member].map(|member| {
            let chemistry = member.campaign.chemistry.as_ref();
            chemistry.map_or_else(String::new, |of| of.assay_as.text().to_string())
        });
        if own.kind == ResponseKind::Yield && assays[0] != assays[1] {
            let [first, here] = assays;
            return Some(Why::OtherAssay { first, here });
        }
        converted(&here.unit, &own.unit)
            .is_none()
            .then(|| Why::OtherUnit {
                first: own.unit.clone(),
                here: here.unit.clone(),
            })
    };
    let others = members.iter().enumerate().skip(1);
    let others = others.filter_map(|(campaign, member)| {
        let why = why(member)?;
        let file = member.campaign.file.as_str();
        let line = match (&why, &member.campaign.chemistry) {
            (Why::OtherAssay { .. }, Some(of)) => of.lines[1],
            _ => {
                let mut plans = member.campaign.responses.iter();
                plans
                    .find(|plan| plan.name == name)
                    .map_or(1, |plan| plan.line)
            }
        };
        Some(NotPooled {
            what: What::Response(name.to_string()),
            campaign,
            place: Place::new(file, line),
            why,
        })
    });
    Ok(others.collect())
}

/// Where a campaign file declares a factor; its first line where it does not.
fn place_of(campaign: &Campaign, factor: &str) -> Place {
    let line = campaign.factor(factor).map_or(1, |plan| plan.line);
    Place::new(campaign.file.as_str(), line)
}

/// What turns figures in one unit into another; None where they cannot be converted.
pub(super) fn converted(from: &str, to: &str) -> Option<impl Fn(f64) -> f64 + use<>> {
    let units = Unit::named(from).zip(Unit::named(to));
    let units = units.filter(|(from, to)| from.dimension == to.dimension);
    let is_same = from == to;
    (is_same || units.is_some()).then_some(move |value: f64| match units {
        Some((from, to)) if !is_same => to.from_base(from.to_base(value)),
        _ => value,
    })
}
