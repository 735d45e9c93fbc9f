//! Question 3 in words: what moves a response.
//!
//! In: effects and what cannot be told apart. Out: the answer, and clauses about one effect.
//! This module never calls an unseen effect absent.

use crate::answers::{FactorStanding, untold};
use crate::decide::{Comparison, Effect, Moves, Verdict};
use crate::pipeline::Analysis;
use crate::regression::Settings;
use crate::report::print::aim_words::unit;
use crate::report::print::term_words::written;
use crate::report::print::{
    Naming, Shown, and_list, decimals_for, fixed, markdown, plain, plus_minus, raw,
};

/// The answer to question 3 for one response, in one line.
pub fn headline(analysis: &Analysis, moves: &Moves, naming: Naming) -> String {
    let shown = Shown::raw(&moves.unit).named(naming);
    let mut factors: Vec<&str> = Vec::new();
    for effect in &moves.effects {
        if !factors.contains(&effect.factor.as_str()) {
            factors.push(&effect.factor);
        }
    }
    let mut found: Vec<String> = Vec::new();
    let mut unseen: Vec<String> = Vec::new();
    let mut small: Vec<String> = Vec::new();
    for factor in factors {
        let own = moves
            .effects
            .iter()
            .filter(|effect| effect.factor == factor);
        let told: Vec<&Effect> = own
            .filter(|effect| effect.verdict != Verdict::CannotBeTold)
            .collect();
        match FactorStanding::of(moves, factor) {
            FactorStanding::Moves => {
                let clauses = told.iter().map(|effect| clause(effect, &shown, naming));
                let clauses: Vec<String> = clauses.collect();
                found.push(format!("{} ({})", naming(factor), clauses.join("; ")));
            }
            FactorStanding::Unseen => {
                unseen.push(format!("{}{}", naming(factor), reach(&told, &shown)));
            }
            FactorStanding::Small => small.push(naming(factor)),
            FactorStanding::Untold => {}
        }
    }
    let open: Vec<String> = analysis
        .models
        .models()
        .filter(|model| model.response == moves.response)
        .flat_map(|model| &model.not_separable)
        .map(|group| {
            let terms: Vec<String> = written(&group.terms).iter().map(|t| naming(t)).collect();
            if terms.len() == 1 {
                format!("{} cannot be told from this log.", terms[0])
            } else {
                format!("{} cannot be told apart.", and_list(&terms))
            }
        })
        .collect();
    let mut body = match (found.is_empty(), unseen.is_empty() && small.is_empty()) {
        (false, _) => format!("{}.", found.join(", then ")),
        (true, false) => String::new(),
        (true, true) => nothing_varied(analysis, moves, &shown),
    };
    if !small.is_empty() {
        body.push_str(&format!(
            " No effect of {} that would matter.",
            and_list(&small)
        ));
    }
    if !unseen.is_empty() {
        body.push_str(&format!(
            " This log neither shows nor rules out an effect of {}.",
            and_list(&unseen)
        ));
    }
    let models = || analysis.models.models();
    if let Some(model) = models().find(|model| model.response == moves.response) {
        let untold = untold(&analysis.campaign, model, moves);
        let untold: Vec<String> = untold.into_iter().map(naming).collect();
        if !untold.is_empty() {
            body.push_str(&format!(
                " Nothing can be told of {}: the runs used do not vary enough.",
                and_list(&untold)
            ));
        }
    }
    for text in open {
        body.push_str(&format!(" {text}"));
    }
    body.trim_start().to_string()
}

/// What can be said of a model without a single effect that can be told.
fn nothing_varied(analysis: &Analysis, moves: &Moves, shown: &Shown) -> String {
    let model = analysis
        .models
        .models()
        .find(|model| model.response == moves.response);
    let mean = model
        .and_then(|model| model.estimate(&Settings::default()).ok())
        .and_then(|mean| Some((mean.value, mean.interval?)))
        .map(|(value, ends)| {
            format!(
                " The mean is {} {}.",
                plus_minus(
                    shown.value(value),
                    shown.value((ends.high - ends.low) / 2.0)
                ),
                shown.unit
            )
        });
    match (
        mean,
        model.is_some_and(|model| model.not_separable.is_empty()),
    ) {
        (Some(mean), true) => format!("The model has no factor.{mean}"),
        _ => "Nothing that was varied can be told apart.".into(),
    }
}

/// How far the effects of a factor could reach in either direction.
fn reach(effects: &[&Effect], shown: &Shown) -> String {
    let ends: Vec<_> = effects
        .iter()
        .filter_map(|effect| effect.estimate.as_ref().ok()?.interval)
        .collect();
    let low = ends.iter().map(|ends| ends.low).reduce(f64::min);
    let high = ends.iter().map(|ends| ends.high).reduce(f64::max);
    match low.zip(high) {
        Some((low, high)) => format!(
            " (between {} and {} {})",
            signed(shown.value(low)),
            signed(shown.value(high)),
            shown.difference
        ),
        None => String::new(),
    }
}

fn signed(value: f64) -> String {
    let sign = if value > 0.0 { "+" } else { "" };
    format!("{sign}{}", fixed(value, decimals_for(value.abs())))
}

/// `heating: hob against muffle`, `oxidant_excess from 10 to 60 %`.
pub fn comparison(effect: &Effect, naming: Naming) -> String {
    let factor = naming(&effect.factor);
    match &effect.comparison {
        Comparison::Level { level, against } => {
            format!("{factor}: {} against {}", naming(level), naming(against))
        }
        Comparison::Span { from, to, at } => {
            let place = match at {
                Some(at) => format!(" with {} {}", naming(&at.factor), naming(&at.level)),
                None => String::new(),
            };
            format!(
                "{factor} from {} to {}{}{place}",
                plain(*from),
                plain(*to),
                unit(&effect.unit, naming)
            )
        }
    }
}

/// The label of an effect in a chart; names stay raw, the chart makes them harmless.
pub fn chart_label(effect: &Effect) -> String {
    match &effect.comparison {
        Comparison::Level { level, against } => format!("{level} against {against}"),
        Comparison::Span { from, to, at } => {
            let place = match at {
                Some(at) => format!(", {}", at.level),
                None => String::new(),
            };
            let unit = unit(&effect.unit, raw);
            format!("{} to {}{unit}{place}", plain(*from), plain(*to))
        }
    }
}

/// What an effect does, in a clause: `hob 4.8 ± 0.9 points below muffle`.
pub fn clause(effect: &Effect, shown: &Shown, naming: Naming) -> String {
    let Ok(estimate) = &effect.estimate else {
        return format!(
            "{}: cannot be told from this log",
            comparison(effect, naming)
        );
    };
    match (&effect.comparison, effect.verdict) {
        (Comparison::Level { level, against }, Verdict::Raises | Verdict::Lowers) => format!(
            "{} {} {} {}",
            naming(level),
            shown.size(estimate),
            if effect.verdict == Verdict::Raises {
                "above"
            } else {
                "below"
            },
            naming(against)
        ),
        (Comparison::Level { level, against }, _) => format!(
            "{} not told from {} ({})",
            naming(level),
            naming(against),
            shown.change(estimate)
        ),
        (Comparison::Span { from, to, at }, verdict) => {
            let place = match at {
                Some(at) => format!(" with {}", naming(&at.level)),
                None => String::new(),
            };
            let what = match verdict {
                Verdict::Raises => format!("{} more", shown.size(estimate)),
                Verdict::Lowers => format!("{} less", shown.size(estimate)),
                _ => format!("nothing that this log can see ({})", shown.change(estimate)),
            };
            format!(
                "from {} to {}{}{place}: {what}",
                plain(*from),
                plain(*to),
                unit(&effect.unit, naming)
            )
        }
    }
}

/// The finding as a sentence: `boildown gave 5.6 ± 1.1 points more than chill`.
pub fn sentence(effect: &Effect, shown: &Shown) -> Option<String> {
    let estimate = effect.estimate.as_ref().ok()?;
    let more = match effect.verdict {
        Verdict::Raises => "more",
        Verdict::Lowers => "less",
        Verdict::Negligible | Verdict::NotSeen | Verdict::CannotBeTold => return None,
    };
    let size = shown.size(estimate);
    Some(match &effect.comparison {
        Comparison::Level { level, against } => format!(
            "{} {} gave {size} {more} than {}",
            markdown(&effect.factor),
            markdown(level),
            markdown(against)
        ),
        Comparison::Span { from, to, at } => {
            let place = match at {
                Some(at) => format!("with {} {}, ", markdown(&at.factor), markdown(&at.level)),
                None => String::new(),
            };
            format!(
                "{place}going from {} to {}{} {} gave {size} {more}",
                plain(*from),
                plain(*to),
                unit(&effect.unit, markdown),
                markdown(&effect.factor)
            )
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
