//! Small results as data, with differences that can be reckoned in the head.
//!
//! In: nothing. Out: results for tests.
//! This module never reads a report.

use super::{Inputs, Part, Record};
use serde_json::Value;

use crate::decide::{Comparison, RecyclingVerdict};
use crate::regression::{self, Interval, TermName, TermPiece};
use crate::result::{
    AmountFigures, CampaignHead, Change, Chart, Estimated, LeftOut, LevelMean, Measured, Model,
    Money, Moves, Named, Point, Recycling, Term, Titrant, WholeResult, Yield,
};

pub fn record(result: &WholeResult) -> Record {
    record_of(result, "1.0.0", "log")
}

pub fn record_of(result: &WholeResult, program: &str, log: &str) -> Record {
    let part = |name: &str, digest: &str| Part {
        name: name.to_string(),
        digest: digest.to_string(),
    };
    let inputs = Inputs {
        digest: format!("{program} {log}"),
        program: program.to_string(),
        parts: vec![part("campaign file", "same"), part("runs log", log)],
    };
    Record::of(result, inputs, 1)
}

pub fn run(name: &str, contained: Option<f64>) -> Yield {
    Yield {
        run: name.into(),
        contained: contained.map(|value| Measured { value, u: 0.01 }),
        ..Yield::default()
    }
}

pub fn power(factor: &str, power: u32) -> TermPiece {
    TermPiece::Power {
        factor: factor.into(),
        power,
    }
}

pub fn level(factor: &str, level: &str) -> TermPiece {
    TermPiece::Level {
        factor: factor.into(),
        level: level.into(),
    }
}

pub fn product(pieces: &[TermPiece]) -> TermName {
    TermName {
        pieces: pieces.to_vec(),
    }
}

pub fn term(pieces: &[TermPiece], value: f64, interval: [f64; 2]) -> Term {
    Term {
        term: String::new(),
        pieces: product(pieces),
        value,
        u: Some((interval[1] - interval[0]) / 4.0),
        df: 10.0,
        t: None,
        p: None,
        interval: Some(interval),
    }
}

pub fn gain(value: f64, interval: [f64; 2]) -> Money {
    let amount = AmountFigures {
        value,
        u: (interval[1] - interval[0]) / 4.0,
        interval,
    };
    Money {
        currency: "EUR".into(),
        gain_per_run: amount,
        more: Value::Null,
    }
}

pub fn residue(verdict: RecyclingVerdict, money: Money) -> Recycling {
    Recycling {
        verdict: Some(verdict),
        money: Some(money),
        more: Value::Null,
    }
}

/// From ten per cent to a third of hundred, which no short decimal is.
pub fn oxidant() -> Comparison {
    Comparison::Span {
        from: 10.0,
        to: 100.0 / 3.0,
        at: None,
    }
}

pub fn point(flag: Option<&str>) -> Point {
    Point {
        run: "R1".into(),
        statistic: Value::Null,
        flag: flag.map(str::to_string),
        more: Value::Null,
    }
}

/// A result with one run, one effect, and one decision.
pub fn result() -> WholeResult {
    let [low, high] = [0.03, 0.07];
    WholeResult {
        campaign: CampaignHead {
            title: "Invented".into(),
            ..CampaignHead::default()
        },
        yields: Some(vec![run("R1", Some(0.60)), run("R2", None)]),
        models: Some(vec![Model {
            response: "yield".into(),
            unit: "1".into(),
            terms: vec![
                term(&[], 0.6, [0.56, 0.64]),
                term(&[power("oxidant", 1)], 0.002, [0.001, 0.003]),
                term(&[level("route", "boil")], 0.05, [low, high]),
            ],
            against_baseline: vec![regression::Comparison {
                factor: "route".into(),
                level: "boil".into(),
                against: "chill".into(),
                value: 0.05,
                interval: Some(Interval { low, high }),
                ..regression::Comparison::default()
            }],
            adjusted_means: Named(vec![(
                "route".into(),
                vec![LevelMean {
                    level: "boil".into(),
                    value: Some(0.65),
                    u: Some(0.01),
                    interval: Some([0.63, 0.67]),
                    reason: None,
                }],
            )]),
            ..Model::default()
        }]),
        moves: Some(vec![Moves {
            response: "yield".into(),
            unit: "1".into(),
            changes: vec![Change {
                factor: "oxidant".into(),
                unit: "%".into(),
                comparison: oxidant(),
                estimate: Estimated {
                    value: Some(0.1),
                    u: Some(0.02),
                    interval: Some([0.06, 0.14]),
                    reason: None,
                },
                p: None,
            }],
        }]),
        recycling: Some(residue(
            RecyclingVerdict::NotSettled,
            gain(0.4, [-0.2, 1.0]),
        )),
        titrants: Some(vec![Titrant {
            titrant: "T1".into(),
            concentration: Measured {
                value: 0.1,
                u: 0.0001,
            },
            used: "pooled",
            budget: Value::Null,
            rows: Value::Null,
        }]),
        drift: Some(vec![Chart {
            response: "yield".into(),
            titrant: None,
            unit: "1".into(),
            chart: "ewma",
            limits: Value::Null,
            points: vec![point(None)],
            more: Value::Null,
        }]),
        caveats: vec![Value::Null],
        left_out: vec![row("R9", true)],
        ..WholeResult::default()
    }
}

pub fn row(run: &str, on_purpose: bool) -> LeftOut {
    LeftOut {
        file: "runs.csv".into(),
        line: 2,
        run: Some(run.into()),
        reason: "set aside".into(),
        hint: None,
        on_purpose,
    }
}

/// The result after something in it became other.
pub fn with(change: impl FnOnce(&mut WholeResult)) -> WholeResult {
    let mut result = result();
    change(&mut result);
    result
}

pub fn model(result: &mut WholeResult) -> &mut Model {
    let models = result.models.as_mut().expect("models are there");
    &mut models[0]
}
