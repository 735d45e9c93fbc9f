//! Question 3 in words: what moves a response.
//!
//! In: effects and what cannot be told apart. Out: the answer, and clauses about one effect, names as they were logged.
//! This module never calls an unseen effect absent.

use crate::answers::{FactorStanding, untold};
use crate::decide::{Comparison, Effect, Moves, Verdict};
use crate::pipeline::Analysis;
use crate::regression::{FittedModel, Settings};
use crate::report::print::aim_names::unit;
use crate::report::print::untold_terms::written;
use crate::report::print::{
    Shown, and_list, around, decimals_for, fixed, joined, plain, plus_minus,
};

/// The answer to question 3 for one response, in one line.
pub fn headline(analysis: &Analysis, moves: &Moves) -> String {
    let shown = Shown::of(&moves.unit);
    let mut models = analysis.models.models();
    let model = models.find(|model| model.response == moves.response);
    let mut factors: Vec<&str> = Vec::new();
    for effect in &moves.effects {
        if !factors.contains(&effect.factor.as_str()) {
            factors.push(&effect.factor);
        }
    }
    let (mut found, mut unseen, mut small) = (Vec::new(), Vec::new(), Vec::new());
    for factor in factors {
        let own = moves.effects.iter().filter(|of| of.factor == factor);
        let told = own.filter(|effect| effect.verdict != Verdict::CannotBeTold);
        match FactorStanding::of(moves, factor) {
            FactorStanding::Moves => {
                let clauses = joined(told.map(|effect| clause(effect, &shown)), "; ");
                found.push(format!("{factor} ({clauses})"));
            }
            FactorStanding::Unseen => unseen.push(format!("{factor}{}", reach(told, &shown))),
            FactorStanding::Small => small.push(factor),
            FactorStanding::Untold => {}
        }
    }
    let first = match found.is_empty() && unseen.is_empty() && small.is_empty() {
        true => nothing_varied(model, &shown),
        false => around("", &joined(found, ", then "), "."),
    };
    let untold = model.map(|model| untold(&analysis.campaign, model, moves));
    let mut sentences = vec![
        first,
        around("No effect of ", &and_list(small), " that would matter."),
        around(
            "This log neither shows nor rules out an effect of ",
            &and_list(unseen),
            ".",
        ),
        around(
            "Nothing can be told of ",
            &and_list(untold.unwrap_or_default()),
            ": the runs used do not vary enough.",
        ),
    ];
    let groups = model.into_iter().flat_map(|model| &model.not_separable);
    sentences.extend(groups.map(|group| match written(&group.terms).as_slice() {
        [only] => format!("{only} cannot be told from this log."),
        terms => format!("{} cannot be told apart.", and_list(terms)),
    }));
    sentences.retain(|sentence| !sentence.is_empty());
    joined(sentences, " ")
}

/// What can be said of a model without a single effect that can be told.
fn nothing_varied(model: Option<&FittedModel>, shown: &Shown) -> String {
    let Some(model) = model.filter(|model| model.not_separable.is_empty()) else {
        return "Nothing that was varied can be told apart.".into();
    };
    let mean = model.estimate(&Settings::default()).ok();
    match mean.and_then(|mean| Some((mean.value, mean.interval?))) {
        Some((value, ends)) => {
            let half = shown.value((ends.high - ends.low) / 2.0);
            let mean = plus_minus(shown.value(value), half);
            format!(
                "The model has no factor. The mean is {mean} {}.",
                shown.unit
            )
        }
        None => "Nothing that was varied can be told apart.".into(),
    }
}

/// How far the effects of a factor could reach in either direction.
fn reach<'a>(effects: impl Iterator<Item = &'a Effect>, shown: &Shown) -> String {
    let ends: Vec<_> = effects
        .filter_map(|effect| effect.estimate.as_ref().ok()?.interval)
        .collect();
    let low = ends.iter().map(|ends| ends.low).reduce(f64::min);
    let high = ends.iter().map(|ends| ends.high).reduce(f64::max);
    let Some((low, high)) = low.zip(high) else {
        return String::new();
    };
    let [low, high] = [low, high].map(|end| {
        let end = shown.value(end);
        let sign = if end > 0.0 { "+" } else { "" };
        format!("{sign}{}", fixed(end, decimals_for(end.abs())))
    });
    format!(" (between {low} and {high} {})", shown.difference)
}

/// `10 to 60 %`, with the unit of the factor.
fn span(effect: &Effect, from: f64, to: f64) -> String {
    let unit = unit(&effect.unit);
    format!("{} to {}{unit}", plain(from), plain(to))
}

/// `heating: hob against muffle`, `oxidant_excess from 10 to 60 %`.
pub fn comparison(effect: &Effect) -> String {
    let factor = &effect.factor;
    match &effect.comparison {
        Comparison::Level { level, against } => format!("{factor}: {level} against {against}"),
        Comparison::Span { from, to, at } => {
            let place = at.as_ref().map(|at| format!("{} {}", at.factor, at.level));
            let place = around(" with ", &place.unwrap_or_default(), "");
            format!("{factor} from {}{place}", span(effect, *from, *to))
        }
    }
}

/// The label of an effect in a chart; names stay raw, the chart makes them harmless.
pub fn chart_label(effect: &Effect) -> String {
    match &effect.comparison {
        Comparison::Level { level, against } => format!("{level} against {against}"),
        Comparison::Span { from, to, at } => {
            let place = at.as_ref().map(|at| format!(", {}", at.level));
            span(effect, *from, *to) + &place.unwrap_or_default()
        }
    }
}

/// What an effect does, in a clause: `hob 4.8 ± 0.9 points below muffle`.
fn clause(effect: &Effect, shown: &Shown) -> String {
    let Ok(estimate) = &effect.estimate else {
        return format!("{}: cannot be told from this log", comparison(effect));
    };
    let (size, change) = (shown.size(estimate), shown.change(estimate));
    match (&effect.comparison, effect.verdict) {
        (Comparison::Level { level, against }, Verdict::Raises) => {
            format!("{level} {size} above {against}")
        }
        (Comparison::Level { level, against }, Verdict::Lowers) => {
            format!("{level} {size} below {against}")
        }
        (Comparison::Level { level, against }, _) => {
            format!("{level} not told from {against} ({change})")
        }
        (Comparison::Span { from, to, at }, verdict) => {
            let place = at.as_ref().map(|at| format!(" with {}", at.level));
            let what = match verdict {
                Verdict::Raises => format!("{size} more"),
                Verdict::Lowers => format!("{size} less"),
                _ => format!("nothing that this log can see ({change})"),
            };
            let span = span(effect, *from, *to);
            format!("from {span}{}: {what}", place.unwrap_or_default())
        }
    }
}

/// The finding as a sentence: `boildown gave 5.6 ± 1.1 points more than chill`.
pub fn sentence(effect: &Effect, shown: &Shown) -> Option<String> {
    let more = match effect.verdict {
        Verdict::Raises => "more",
        Verdict::Lowers => "less",
        Verdict::Negligible | Verdict::NotSeen | Verdict::CannotBeTold => return None,
    };
    let size = shown.size(effect.estimate.as_ref().ok()?);
    let factor = &effect.factor;
    Some(match &effect.comparison {
        Comparison::Level { level, against } => {
            format!("{factor} {level} gave {size} {more} than {against}")
        }
        Comparison::Span { from, to, at } => {
            let place = at
                .as_ref()
                .map(|at| format!("with {} {}, ", at.factor, at.level));
            let place = place.unwrap_or_default();
            let span = span(effect, *from, *to);
            format!("{place}going from {span} {factor} gave {size} {more}")
        }
    })
}

/// What can be said of an effect, for a table.
pub fn reading(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Raises => "raises it",
        Verdict::Lowers => "lowers it",
        Verdict::Negligible => "too small to matter",
        Verdict::NotSeen => "not seen in this log, not ruled out",
        Verdict::CannotBeTold => "cannot be told",
    }
}
