//! Answers to question 3: what moves each response.
//!
//! In: effects, and what cannot be told apart. Out: one answer a model.
//! This module never calls an unseen effect absent.

use super::{Answer, Basis, Figure, FigureOf, Question, Status, ToDo, WhyOpen};
use crate::campaign::Campaign;
use crate::decide::{Claim, Effect, Moves, Verdict};
use crate::distributions::coverage_factor;
use crate::regression::{FittedModel, Settings};

pub(super) fn answers(basis: &Basis) -> Vec<Answer> {
    if basis.models.responses.is_empty() {
        let (status, to_do) = (Status::NotAsked, vec![ToDo::AddModel]);
        let question = Question::Moves(None);
        return vec![Answer::without(question, status, WhyOpen::NoModel, to_do)];
    }
    let models = basis.models.models().zip(&basis.findings.moves);
    let models = models.enumerate();
    models
        .map(|(position, (model, moves))| one(basis, position, model, moves))
        .collect()
}

fn one(basis: &Basis, position: usize, model: &FittedModel, moves: &Moves) -> Answer {
    let campaign = basis.campaign;
    let figure = |effect: &Effect| {
        let estimate = effect.estimate.as_ref().ok()?;
        let (value, unit) = (estimate.value, &moves.unit);
        let figure = Figure::new(FigureOf::Effect, &effect.factor, value, unit);
        Some(Figure {
            compared: Some(effect.comparison.clone()),
            ..figure.between(estimate.interval)
        })
    };
    let figures = moves.effects.iter().filter_map(figure).collect();
    let unseen = standing(moves, |standing| standing == FactorStanding::Unseen);
    let found = standing(moves, |standing| {
        matches!(standing, FactorStanding::Moves | FactorStanding::Small)
    });
    let tangled = model.not_separable.len();
    let untold = untold(campaign, model, moves).len();
    let status = match (tangled + unseen + untold, found) {
        (0, 0) if !mean_is_known(model) => Status::Open,
        (0, _) => Status::Settled,
        (_, 0) => Status::Open,
        _ => Status::PartlyOpen,
    };
    let open = WhyOpen::PartsOpen {
        tangled,
        unseen,
        untold,
    };
    let groups = model.not_separable.iter();
    let to_do = groups.filter_map(|group| {
        let first = group.runs_that_would_separate.first()?;
        Some(ToDo::Separate(first.clone()))
    });
    let question = Question::Moves(Some(position));
    let mut effects = moves.effects.iter().enumerate();
    let shaken = effects.find_map(|(effect, of)| {
        let claim = Claim::Effect {
            model: position,
            effect,
        };
        let by = Box::new(basis.firmness.shaken(claim)?.clone());
        let about = Some(Box::new(of.clone()));
        Some(WhyOpen::Shaken { about, by })
    });
    let alone = not_together(moves, model.confidence);
    let (status, reason) = match (status, shaken) {
        // What would be firm and is not matters more than what is open anyway.
        (Status::Settled, Some(shaken)) => (Status::InDoubt, Some(shaken)),
        (_, Some(shaken)) => (status, Some(shaken)),
        (Status::Settled, None) if !alone.is_empty() => {
            (Status::PartlyOpen, Some(WhyOpen::NotTogether(alone)))
        }
        (Status::Settled, None) => (status, None),
        (_, None) => (status, Some(open)),
    };
    Answer {
        status,
        ..Answer::with(question, figures, reason, to_do.collect())
    }
}

/// Factors of which an effect is firm by itself but not when all effects that can be told count together.
///
/// # Source
/// Holm, Scandinavian J. Statistics 6 (1979), 65-70, for effects that are there; Bonferroni's for those too small to matter.
fn not_together(moves: &Moves, confidence: f64) -> Vec<String> {
    let told = moves.effects.iter();
    let told = told.filter_map(|effect| Some((effect, effect.estimate.as_ref().ok()?)));
    let count = told.clone().count();
    let luck = 1.0 - confidence;
    let is_there = |effect: &Effect| matches!(effect.verdict, Verdict::Raises | Verdict::Lowers);
    let shown = told.clone().filter(|(effect, _)| is_there(effect));
    let shown = shown.filter_map(|(effect, estimate)| Some((effect, estimate.p?)));
    let mut shown: Vec<(&Effect, f64)> = shown.collect();
    shown.sort_by(|one, other| one.1.total_cmp(&other.1));
    let mut numbered = shown.iter().enumerate();
    let first = numbered.position(|(place, (_, p))| *p >= luck / (count - place) as f64);
    let alone = shown[first.unwrap_or(shown.len())..].iter();
    let mut found: Vec<String> = alone.map(|(effect, _)| effect.factor.clone()).collect();
    let small = told.filter(|(effect, _)| effect.verdict == Verdict::Negligible);
    found.extend(small.filter_map(|(effect, estimate)| {
        let ends = estimate.interval?;
        let reach = |confidence| coverage_factor(confidence, estimate.degrees_of_freedom);
        let wider = reach(1.0 - luck / count as f64)? / reach(confidence)?;
        let half = wider * (ends.high - ends.low) / 2.0;
        let margin = moves.margin?;
        (estimate.value.abs() + half >= margin).then(|| effect.factor.clone())
    }));
    found.dedup();
    found
}

/// Factors that the campaign asks about and of which nothing can be told, those of a tangled group aside: they never varied.
pub fn untold<'a>(campaign: &'a Campaign, model: &FittedModel, moves: &Moves) -> Vec<&'a str> {
    let plan = campaign.model.iter();
    let asked = plan.flat_map(|plan| plan.effects.iter().chain(plan.joint.iter().flatten()));
    let mut untold: Vec<&str> = Vec::new();
    for factor in asked {
        let mut tangled = model.not_separable.iter().flat_map(|group| &group.terms);
        if FactorStanding::of(moves, factor) == FactorStanding::Untold
            && !tangled.any(|term| term.has(factor))
            && !untold.contains(&factor.as_str())
        {
            untold.push(factor);
        }
    }
    untold
}

/// Whether a model without any effect at least knows how far off its mean may be.
fn mean_is_known(model: &FittedModel) -> bool {
    let mean = model.estimate(&Settings::default());
    mean.is_ok_and(|mean| mean.interval.is_some())
}

/// What can be said of a factor, all its effects taken together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FactorStanding {
    /// One of its effects is there.
    Moves,
    /// One of its effects is neither shown nor ruled out, and none is there.
    Unseen,
    /// All that can be told of it is too small to matter.
    Small,
    /// None of its effects can be told.
    Untold,
}

impl FactorStanding {
    /// What can be said of a factor.
    pub fn of(moves: &Moves, factor: &str) -> Self {
        let own = || moves.effects.iter().filter(|e| e.factor == factor);
        let any = |wanted: &[Verdict]| own().any(|effect| wanted.contains(&effect.verdict));
        if any(&[Verdict::Raises, Verdict::Lowers]) {
            FactorStanding::Moves
        } else if any(&[Verdict::NotSeen]) {
            FactorStanding::Unseen
        } else if any(&[Verdict::Negligible]) {
            FactorStanding::Small
        } else {
            FactorStanding::Untold
        }
    }
}

/// How many factors stand so.
fn standing(moves: &Moves, wanted: impl Fn(FactorStanding) -> bool) -> usize {
    let mut factors: Vec<&str> = moves.effects.iter().map(|e| e.factor.as_str()).collect();
    factors.dedup();
    factors.retain(|factor| wanted(FactorStanding::of(moves, factor)));
    factors.len()
}
