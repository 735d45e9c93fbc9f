//! Question 3 in short: what moves a response.
//!
//! In: effects, what shakes them and what cannot be told apart. Out: the answer for the first screen, names for people.
//! This module never calls an unseen effect absent.

use super::words::nothing_varied;
use crate::answers::{FactorStanding, untold};
use crate::decide::{Claim, Comparison, Effect, Moves, Verdict};
use crate::pipeline::Analysis;
use crate::regression::{FittedModel, TermName, TermPiece};
use crate::report::print::aim_names::unit;
use crate::report::print::{
    Brief, Shown, and_list, around, decimals_for, fixed, joined, plain, words_in,
};

/// What moves a response: each factor with what is seen of it, then what is unseen, and what cannot be told.
pub fn short(analysis: &Analysis, position: usize, moves: &Moves, brief: &mut Brief) {
    let shown = Shown::of(&moves.unit);
    let model = analysis.models.models().nth(position);
    let mut factors: Vec<&str> = moves.effects.iter().map(|of| of.factor.as_str()).collect();
    factors.dedup();
    // The first figure says the unit for all.
    let mut unit = shown.difference.as_str();
    let (mut told, mut moving) = (Vec::new(), Vec::new());
    for factor in &factors {
        if let Some(clause) = of_factor(analysis, position, moves, factor, &mut unit) {
            told.push(clause);
            moving.push(*factor);
        }
    }
    let standing = |wanted: FactorStanding| -> Vec<&str> {
        let so = factors
            .iter()
            .filter(|of| FactorStanding::of(moves, of) == wanted);
        so.copied().collect()
    };
    let (unseen, small) = (
        standing(FactorStanding::Unseen),
        standing(FactorStanding::Small),
    );
    let called = |names: &[&str]| {
        let names: Vec<String> = names.iter().map(|n| analysis.campaign.called(n)).collect();
        and_list(names)
    };
    if told.is_empty() && unseen.is_empty() && small.is_empty() {
        brief.say(&nothing_varied(model, &shown));
    }
    let groups = model.into_iter().flat_map(|model| &model.not_separable);
    // What an earlier response could not tell apart either is said there.
    let mut before = analysis.models.models().take(position);
    let groups = groups.filter(|group| {
        let is_same =
            |model: &FittedModel| model.not_separable.iter().any(|of| of.terms == group.terms);
        !before.any(is_same)
    });
    let tangled = groups.map(|group| {
        let terms: Vec<String> = group
            .terms
            .iter()
            .map(|term| piece_names(analysis, term))
            .collect();
        match terms.as_slice() {
            [only] => format!("{only} cannot be told"),
            terms => format!("{} cannot be told apart", and_list(terms)),
        }
    });
    let tangled = joined(tangled, "; ");
    brief.keep_for(&tangled);
    // What does not fit is named at least.
    let mut named: Vec<&str> = Vec::new();
    let also = |named: &[&str]| around("also ", &called(named), "");
    while told.len() > 1 && words_of(&told) + words_in(&also(&named)) > brief.left() {
        told.pop();
        named.insert(0, moving.pop().unwrap_or_default());
    }
    brief.keep_for(&also(&named));
    brief.clauses(told);
    brief.say_kept(&also(&named));
    brief.say_kept(&tangled);
    let reach = around(", at most ", &reach(moves, &unseen, &shown), "");
    brief.say(&around(
        "",
        &called(&unseen),
        &format!(": nothing seen{reach}"),
    ));
    brief.say(&around(
        "",
        &called(&small),
        ": no effect that would matter",
    ));
    let untold = model.map(|model| untold(&analysis.campaign, model, moves));
    brief.say(&around(
        "nothing can be told of ",
        &called(&untold.unwrap_or_default()),
        ": it never varied",
    ));
}

fn words_of(clauses: &[String]) -> usize {
    clauses.iter().map(|clause| words_in(clause)).sum()
}

/// `kiln`, `lot D`, `oxidant excess`: a term as people call it.
fn piece_names(analysis: &Analysis, term: &TermName) -> String {
    let names = term.pieces.iter().map(|piece| match piece {
        TermPiece::Level { factor, level } if analysis.campaign.factor(factor).is_some() => {
            level.clone()
        }
        TermPiece::Level { factor, level } => format!("{factor} {level}"),
        piece => analysis.campaign.called(&piece.to_string()),
    });
    joined(names, " with ")
}

/// What is seen of a factor: `boildown +5.5 ± 1.2, spirit +3.8 ± 1.2 over chill`; what something shakes is said to be in doubt.
fn of_factor(
    analysis: &Analysis,
    model: usize,
    moves: &Moves,
    factor: &str,
    unit_to_say: &mut &str,
) -> Option<String> {
    let shown = Shown::of(&moves.unit);
    let own = moves
        .effects
        .iter()
        .enumerate()
        .filter(|(_, of)| of.factor == factor);
    let seen = own.filter(|(_, of)| matches!(of.verdict, Verdict::Raises | Verdict::Lowers));
    let seen: Vec<(usize, &Effect)> = seen.collect();
    let mut size = |at: usize, effect: &Effect| {
        let claim = Claim::Effect { model, effect: at };
        let estimate = effect.estimate.as_ref().ok();
        match (analysis.firmness.shaken(claim), estimate) {
            (None, Some(estimate)) => {
                let unit = std::mem::take(unit_to_say);
                shown.change(estimate).in_unit(unit).to_string()
            }
            _ => "in doubt".into(),
        }
    };
    let (_, first) = seen.first()?;
    let mut spans: Vec<(f64, f64)> = Vec::new();
    let parts = seen.iter().map(|(at, effect)| match &effect.comparison {
        Comparison::Level { level, .. } => format!("{level} {}", size(*at, effect)),
        Comparison::Span { from, to, at: with } => {
            let with = with.as_ref().map(|with| format!(" ({})", with.level));
            let told = size(*at, effect) + &with.unwrap_or_default();
            match spans.contains(&(*from, *to)) {
                true => told,
                false => {
                    spans.push((*from, *to));
                    let unit = unit(&effect.unit);
                    format!("{} → {}{unit} {told}", plain(*from), plain(*to))
                }
            }
        }
    });
    let parts = joined(parts, ", ");
    Some(match &first.comparison {
        Comparison::Level { against, .. } => format!("{parts} over {against}"),
        Comparison::Span { .. } => format!("{} {parts}", analysis.campaign.called(factor)),
    })
}

/// How far the effects of these factors could reach, the furthest of all.
fn reach(moves: &Moves, factors: &[&str], shown: &Shown) -> String {
    let own = moves
        .effects
        .iter()
        .filter(|of| factors.contains(&of.factor.as_str()));
    let ends = own.filter_map(|effect| effect.estimate.as_ref().ok()?.interval);
    let furthest = ends.map(|ends| ends.low.abs().max(ends.high.abs()));
    furthest.reduce(f64::max).map_or_else(String::new, |end| {
        let end = shown.value(end);
        fixed(end, decimals_for(end)) + &around(" ", &shown.difference, "")
    })
}
