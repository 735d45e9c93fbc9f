//! The answers to question 3: what moves each response?
//!
//! In: effects, and what cannot be told apart. Out: one answer a model.
//! This module never calls an unseen effect absent.

use super::{
    Answer, Basis, Compared, Figure, FigureOf, Question, Status, ToDo, WhyOpen, WithLevel,
};
use crate::decide::{Comparison, Effect, Moves, Verdict};
use crate::regression::FittedModel;

pub(super) fn answers(basis: &Basis) -> Vec<Answer> {
    if basis.models.responses.is_empty() {
        let (status, to_do) = (Status::NotAsked, vec![ToDo::AddModel]);
        let question = Question::Moves(None);
        return vec![Answer::without(question, status, WhyOpen::NoModel, to_do)];
    }
    let models = basis.models.models().zip(&basis.findings.moves);
    models
        .enumerate()
        .map(|(position, (model, moves))| one(position, model, moves))
        .collect()
}

fn one(position: usize, model: &FittedModel, moves: &Moves) -> Answer {
    let figures = moves
        .effects
        .iter()
        .filter_map(|effect| {
            let estimate = effect.estimate.as_ref().ok()?;
            let (value, unit) = (estimate.value, &moves.unit);
            let figure = Figure::new(FigureOf::Effect, &effect.factor, value, unit);
            Some(Figure {
                compared: Some(compared(effect)),
                ..figure.between(estimate.interval)
            })
        })
        .collect();
    let unseen = standing(moves, |standing| standing == FactorStanding::Unseen);
    let found = standing(moves, |standing| {
        matches!(standing, FactorStanding::Moves | FactorStanding::Small)
    });
    let tangled = model.not_separable.len();
    let status = match (tangled + unseen, found) {
        (0, _) => Status::Settled,
        (_, 0) => Status::Open,
        _ => Status::PartlyOpen,
    };
    let groups = model.not_separable.iter();
    let to_do = groups.filter_map(|group| {
        let first = group.runs_that_would_separate.first()?;
        Some(ToDo::Separate(first.clone()))
    });
    Answer::with(
        Question::Moves(Some(position)),
        status,
        figures,
        (status != Status::Settled).then_some(WhyOpen::PartsOpen { tangled, unseen }),
        to_do.collect(),
    )
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

/// What an effect is the difference of.
fn compared(effect: &Effect) -> Compared {
    match &effect.comparison {
        Comparison::Level { level, against } => Compared::Levels {
            level: level.clone(),
            against: against.clone(),
        },
        Comparison::Span { from, to, at } => Compared::Values {
            from: *from,
            to: *to,
            with: at.as_ref().map(|at| WithLevel {
                factor: at.factor.clone(),
                level: at.level.clone(),
            }),
        },
    }
}
