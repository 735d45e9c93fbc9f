//! Answers to question 3: what moves each response.
//!
//! In: effects, and what cannot be told apart. Out: one answer a model.
//! This module never calls an unseen effect absent.

use super::{Answer, Basis, Figure, FigureOf, Question, Status, ToDo, WhyOpen};
use crate::campaign::Campaign;
use crate::decide::{Moves, Verdict};
use crate::regression::{FittedModel, Settings};

pub(super) fn answers(basis: &Basis) -> Vec<Answer> {
    if basis.models.responses.is_empty() {
        let (status, to_do) = (Status::NotAsked, vec![ToDo::AddModel]);
        let question = Question::Moves(None);
        return vec![Answer::without(question, status, WhyOpen::NoModel, to_do)];
    }
    let models = basis.models.models().zip(&basis.findings.moves);
    models
        .enumerate()
        .map(|(position, (model, moves))| one(basis.campaign, position, model, moves))
        .collect()
}

fn one(campaign: &Campaign, position: usize, model: &FittedModel, moves: &Moves) -> Answer {
    let figures = moves
        .effects
        .iter()
        .filter_map(|effect| {
            let estimate = effect.estimate.as_ref().ok()?;
            let (value, unit) = (estimate.value, &moves.unit);
            let figure = Figure::new(FigureOf::Effect, &effect.factor, value, unit);
            Some(Figure {
                compared: Some(effect.comparison.clone()),
                ..figure.between(estimate.interval)
            })
        })
        .collect();
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
    let reason = (status != Status::Settled).then_some(open);
    Answer {
        status,
        ..Answer::with(question, figures, reason, to_do.collect())
    }
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
    let so = factors
        .iter()
        .filter(|factor| wanted(FactorStanding::of(moves, factor)));
    so.count()
}
