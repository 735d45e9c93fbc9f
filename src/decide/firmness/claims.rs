//! What was found firmly, and what becomes of each claim where the models are fitted otherwise.
//!
//! In: findings, the models that they were made from, and models fitted otherwise. Out: [`Claim`]s and their [`Outcome`]s.
//! This module never prints a second interval: only sign and firmness are read.

use super::otherwise::{Found, OtherModels, Otherwise, Outcome};
use crate::campaign::StandsFor;
use crate::decide::aim::{Aimed, HowSettled};
use crate::decide::evidence::{Material, margin, margin_of_gain};
use crate::decide::findings::Findings;
use crate::decide::moves::{Effect, Verdict};
use crate::decide::recycle::{Recycling, Verdict as GainVerdict, gain_otherwise};
use crate::decide::routes::{RouteLead, Routes};
use crate::decide::settings::BestSettings;
use crate::distributions::{coverage_factor, t_upper};
use crate::regression::{Estimate, FittedModel, Settings};

/// Something that was found firmly.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Claim {
    /// An effect, by the position of its model and its own among the effects found.
    Effect {
        /// Position among the models of responses that `[model]` names.
        model: usize,
        /// Position among the effects of that model.
        effect: usize,
    },
    /// The best route.
    Route,
    /// Whether residue pays.
    Residue,
    /// The best settings.
    Settings,
}

/// All that was found firmly.
pub(super) fn claims(findings: &Findings) -> Vec<Claim> {
    let effects = findings
        .moves
        .iter()
        .enumerate()
        .flat_map(|(model, moves)| {
            let effects = moves.effects.iter().enumerate();
            let firm = effects.filter(|(_, effect)| is_firm(effect.verdict));
            firm.map(move |(effect, _)| Claim::Effect { model, effect })
        });
    let settled = |standing: HowSettled| standing != HowSettled::NotSettled;
    let routes = findings.routes.as_ref();
    let route =
        routes.filter(|routes| routes.best.level.is_some() && settled(routes.best.standing));
    let money = findings.recycling.as_ref().ok();
    let money = money.and_then(|recycling| recycling.money.as_ref().ok());
    let residue =
        money.filter(|money| matches!(money.verdict, GainVerdict::Pays | GainVerdict::DoesNotPay));
    let settings = findings
        .settings
        .as_ref()
        .and_then(|found| found.as_ref().ok());
    let settings = settings.filter(|best| settled(best.standing));
    effects
        .chain(route.map(|_| Claim::Route))
        .chain(residue.map(|_| Claim::Residue))
        .chain(settings.map(|_| Claim::Settings))
        .collect()
}

fn is_firm(verdict: Verdict) -> bool {
    matches!(
        verdict,
        Verdict::Raises | Verdict::Lowers | Verdict::Negligible
    )
}

/// Whether a claim rests on what is different.
pub(super) fn rests(
    material: &Material,
    findings: &Findings,
    claim: Claim,
    how: &Otherwise,
) -> bool {
    let factors = match claim {
        Claim::Effect { model, effect } => {
            vec![findings.moves[model].effects[effect].factor.as_str()]
        }
        Claim::Route => Vec::new(),
        Claim::Residue => {
            let of = findings.recycling.as_ref().ok();
            let residue = of.map(|recycling| recycling.reference.factor.as_str());
            let route = material.campaign.factor_for(StandsFor::Route);
            let route = route.map(|route| route.name.as_str());
            residue.into_iter().chain(route).collect()
        }
        // Which settings are best hangs on the shape of every effect, also where they are those of a run made.
        Claim::Settings => {
            let best = findings
                .settings
                .as_ref()
                .and_then(|best| best.as_ref().ok());
            let at = best.iter().flat_map(|best| &best.at);
            at.map(|one| one.factor.as_str()).collect()
        }
    };
    rests_on(how, &factors)
}

/// What becomes of a claim in other models; `None` where it does not rest on what is different.
pub(super) fn outcome(
    material: &Material,
    findings: &Findings,
    claim: Claim,
    other: &OtherModels,
) -> Option<Found> {
    if !rests(material, findings, claim, &other.how) {
        return None;
    }
    Some(match claim {
        Claim::Effect { model, effect } => {
            let (effect, kind) = (
                &findings.moves[model].effects[effect],
                &findings.moves[model].kind,
            );
            let main = &material.models.responses[model].model;
            let Some(found) = other.models.response(kind) else {
                return Some(Outcome::CannotBeTold.into());
            };
            let margin = margin(material.campaign, kind.name());
            of_effect(effect, main, found, &other.how, margin).into()
        }
        Claim::Route => of_route(material, findings.routes.as_ref()?, other),
        Claim::Residue => {
            let recycling = findings.recycling.as_ref().ok()?;
            let money = recycling.money.as_ref().ok()?;
            of_residue(material, recycling, money.verdict, other)
        }
        Claim::Settings => {
            let best = findings.settings.as_ref()?.as_ref().ok()?;
            let found = of_settings(material, best, other);
            // A search that left out a route for its purity rests on that too.
            let routes = findings.routes.as_ref();
            let routes = routes.filter(|routes| routes.best.level.is_some());
            let of_route = routes.map(|routes| of_route(material, routes, other).outcome);
            let excluded = of_route.filter(|_| matches!(other.how, Otherwise::Without(_)));
            Found {
                outcome: Outcome::worst([Some(found.outcome), excluded].into_iter().flatten()),
                ..found
            }
        }
    })
}

/// Whether what decides on these factors can depend on what is different.
fn rests_on(how: &Otherwise, factors: &[&str]) -> bool {
    let uses = |factor: &String| factors.contains(&factor.as_str());
    match how {
        Otherwise::Bend(amount) => uses(amount),
        Otherwise::Joint(pair) => factors.len() > 1 && pair.iter().all(uses),
        Otherwise::Drift | Otherwise::Connected | Otherwise::Without(_) | Otherwise::Robust => true,
    }
}

/// Factors whose best setting differs from that of the best run made.
pub(super) fn changed(best: &BestSettings) -> impl Iterator<Item = &str> {
    let present = best.present.as_ref().filter(|present| !present.same);
    let names = best.at.iter().map(|chosen| chosen.factor.as_str());
    names.filter(move |name| {
        present.is_some_and(|present| present.settings.get(name) != best.settings.get(name))
    })
}

/// Whether settings meet the specification often enough with the mean purity of other models; without one they do.
///
/// The scatter about that mean is the one that the model as asked knows: a term more makes the mean less certain, which is no
/// reason for fewer runs to meet it.
fn meets(material: &Material, aim: &Aimed, other: &OtherModels, settings: &Settings) -> bool {
    let Some(asked) = aim.specification(material.models) else {
        return true;
    };
    let chance = || {
        let found = other.models.purity()?;
        let mean = found.mean(settings).ok()?;
        let run = asked.purity.new_run_interval(settings).ok()?;
        let scatter = run.scatter?;
        let known = asked.purity.estimate(settings).ok()?.standard_error?;
        let variance = scatter.run_to_run + scatter.between_blocks + known.powi(2);
        t_upper(
            (asked.limit - mean) / variance.sqrt(),
            run.degrees_of_freedom,
        )
    };
    chance().is_some_and(|chance| chance >= asked.chance)
}

/// Whether settings may meet the specification often enough without some runs, whose scatter goes with them: at the upper end of what
/// the mean purity may be there, one-sided.
fn may_meet(aim: &Aimed, material: &Material, other: &OtherModels, settings: &Settings) -> bool {
    let Some(asked) = aim.specification(material.models) else {
        return true;
    };
    let chance = || {
        let found = other.models.purity()?;
        let estimate = found.estimate(settings).ok()?;
        let run = found.new_run_interval(settings).ok()?;
        let scatter = run.scatter?;
        let variance = scatter.run_to_run + scatter.between_blocks;
        let upper = estimate.value + ONE_SIDED * estimate.standard_error?;
        t_upper(
            (asked.limit - upper) / variance.sqrt(),
            run.degrees_of_freedom,
        )
    };
    chance().is_none_or(|chance| chance >= asked.chance)
}

/// Quantile of the normal distribution for 95 % on one side.
const ONE_SIDED: f64 = 1.645;

/// Half the width of the interval of an estimate at another confidence; `None` without a standard error.
fn half_width(estimate: &Estimate, confidence: f64) -> Option<f64> {
    let factor = coverage_factor(confidence, estimate.degrees_of_freedom)?;
    Some(factor * estimate.standard_error?)
}

/// Where an estimate lies, for a claim that it is above zero.
fn above_zero(value: f64, half: Option<f64>) -> Outcome {
    match half {
        None => Outcome::CannotBeTold,
        Some(half) if value - half > 0.0 => Outcome::Stands,
        Some(half) if value + half < 0.0 => Outcome::Reversed,
        Some(_) => Outcome::NotShown,
    }
}

/// The same for a claim that it is too small to matter.
fn within(value: f64, half: Option<f64>, margin: Option<f64>) -> Outcome {
    match half.zip(margin) {
        None => Outcome::CannotBeTold,
        Some((half, margin)) if value.abs() + half < margin => Outcome::Stands,
        Some((half, margin)) if value.abs() - half > margin => Outcome::Reversed,
        Some(_) => Outcome::NotShown,
    }
}

fn of_effect(
    effect: &Effect,
    main: &FittedModel,
    other: &FittedModel,
    how: &Otherwise,
    margin: Option<f64>,
) -> Outcome {
    let [settings, against] = effect.comparison.settings(&effect.factor);
    let Ok(found) = other.difference(&settings, &against) else {
        return Outcome::CannotBeTold;
    };
    let half = half_width(&found, how.confidence(main.confidence));
    match effect.verdict {
        Verdict::Lowers => above_zero(-found.value, half),
        Verdict::Negligible => within(found.value, half, margin),
        _ => above_zero(found.value, half),
    }
}

/// The best route against each other one, and both against the specification where that decides.
fn of_route(material: &Material, routes: &Routes, other: &OtherModels) -> Found {
    let best = &routes.best;
    let level = best.level.as_deref().unwrap_or_default();
    let (main, found) = (
        material.models.model(&routes.aim.of),
        other.models.model(&routes.aim.of),
    );
    let Some((main, found)) = main.zip(found) else {
        return Outcome::CannotBeTold.into();
    };
    let at = |level: &str| Settings::default().level(&routes.factor, level);
    let meets = |level: &str| meets(material, &routes.aim, other, &at(level));
    let own = match meets(level) {
        true => Outcome::Stands,
        false => Outcome::NotShown,
    };
    let luck = 1.0 - main.confidence;
    let of_lead = |lead: &RouteLead| {
        let against = at(&lead.against);
        if lead.allowed.is_some_and(|allowed| allowed <= luck) {
            let left_out = matches!(other.how, Otherwise::Without(_));
            let may = || may_meet(&routes.aim, material, other, &against);
            return match meets(&lead.against) || left_out && may() {
                true => Outcome::NotShown,
                false => Outcome::Stands,
            };
        }
        let estimates = main
            .difference(&at(level), &against)
            .and_then(|one| Ok((one, found.difference(&at(level), &against)?)));
        let Ok((before, after)) = estimates else {
            return Outcome::CannotBeTold;
        };
        // All pairs of routes count together here too.
        let together = lead.simultaneous.map(|ends| (ends.high - ends.low) / 2.0);
        let alone = half_width(&before, main.confidence);
        let wider = together.zip(alone).map(|(all, one)| all / one);
        let half = half_width(&after, other.how.confidence(main.confidence));
        let half = half.zip(wider).map(|(half, wider)| half * wider);
        let gain = routes.aim.direction.gain(after.value);
        let is_behind = lead.gain > 0.0 && lead.adjusted_p.is_some_and(|p| p < luck);
        match is_behind {
            true => above_zero(gain, half),
            false => within(gain, half, routes.aim.margin),
        }
    };
    let shortest = best.leads.iter().filter_map(|lead| {
        let found = found.difference(&at(level), &at(&lead.against)).ok()?;
        Some(routes.aim.direction.gain(found.value))
    });
    Found {
        figure: shortest.reduce(f64::min),
        outcome: Outcome::worst(best.leads.iter().map(of_lead).chain([own])),
    }
}

fn of_residue(
    material: &Material,
    recycling: &Recycling,
    verdict: GainVerdict,
    other: &OtherModels,
) -> Found {
    let otherwise = Material {
        models: &other.models,
        ..*material
    };
    let confidence = material.campaign.confidence();
    let Some(gain) = gain_otherwise(&otherwise, &recycling.reference) else {
        return Outcome::CannotBeTold.into();
    };
    let narrower = coverage_factor(other.how.confidence(confidence), f64::INFINITY)
        .zip(coverage_factor(confidence, f64::INFINITY))
        .map_or(1.0, |(one, all)| one / all);
    let (below, above) = (gain.value - gain.low, gain.high - gain.value);
    let (low, high) = (gain.value - narrower * below, gain.value + narrower * above);
    let found = GainVerdict::of(low, high, margin_of_gain(material.campaign));
    let outcome = match (verdict, found) {
        (one, other) if one == other => Outcome::Stands,
        (GainVerdict::Pays, GainVerdict::DoesNotPay)
        | (GainVerdict::DoesNotPay, GainVerdict::Pays) => Outcome::Reversed,
        _ => Outcome::NotShown,
    };
    Found {
        outcome,
        figure: Some(gain.value),
    }
}

/// The settings against the best run made, what a search flatters itself by taken off, and against the specification.
fn of_settings(material: &Material, best: &BestSettings, other: &OtherModels) -> Found {
    let aim = &best.aim;
    let Some(found) = other.models.model(&aim.of) else {
        return Outcome::CannotBeTold.into();
    };
    let own = match meets(material, aim, other, &best.settings) {
        true => Outcome::Stands,
        false => Outcome::NotShown,
    };
    let Some(present) = best.present.as_ref().filter(|present| !present.same) else {
        return own.into();
    };
    let Ok(difference) = found.difference(&best.settings, &present.settings) else {
        return Outcome::CannotBeTold.into();
    };
    let half = half_width(
        &difference,
        other.how.confidence(material.campaign.confidence()),
    );
    let gain = aim.direction.gain(difference.value) - present.flattery;
    let of_gain = match best.standing {
        HowSettled::Alike => within(gain, half, aim.margin),
        _ => above_zero(gain, half),
    };
    Found {
        outcome: Outcome::worst([own, of_gain]),
        figure: Some(gain),
    }
}
