//! Small results as data, with differences that can be reckoned in the head.
//!
//! In: nothing. Out: results for tests.
//! This module never reads a report.

use super::{Inputs, Part, Record};
use crate::result::{
    AmountFigures, Around, CampaignHead, Caveat, Chart, ChartSettings, Comparison, LeftOut,
    LevelMean, Measured, Model, Money, Named, Pays, Piece, Point, Recycling, Residue, Subject,
    Term, Terms, Titrant, WholeResult, Yield,
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

pub fn power(factor: &str, power: u32) -> Piece {
    Piece::Power {
        factor: factor.into(),
        power,
    }
}

pub fn level(factor: &str, level: &str) -> Piece {
    Piece::Level {
        factor: factor.into(),
        level: level.into(),
    }
}

pub fn term(pieces: &[Piece], value: f64, interval: [f64; 2]) -> Term {
    Term {
        term: String::new(),
        pieces: pieces.to_vec(),
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
        gain_per_kg: amount,
        gain_per_campaign: amount,
        chance_positive: 0.9,
        terms: Terms::default(),
        break_even: Named(Vec::new()),
        ranking: Vec::new(),
        specification: None,
        map: None,
        not_counted: Vec::new(),
    }
}

pub fn residue(verdict: Pays, money: Money) -> Recycling {
    let nothing = money.gain_per_run;
    Recycling::Answered(Box::new(Residue {
        verdict: Some(verdict),
        money: Some(money),
        cycles: serde_json::Value::Null,
        around: Around::Unknown {
            reason: String::new(),
        },
        ratio: 0.3,
        charged_runs: 1,
        extra_product: nothing,
        of_promise: nothing,
        feed_saved: 0.0,
        levels: Vec::new(),
        responses: Vec::new(),
        runs_to_settle: None,
        settling: None,
        unanswered: None,
    }))
}

pub fn point(flag: Option<&str>) -> Point {
    Point {
        run: "R1".into(),
        lot: None,
        value: 0.6,
        charted: 0.6,
        statistic: 0.6,
        lower: 0.5,
        upper: 0.7,
        flag: flag.map(str::to_string),
        upper_statistic: None,
        lower_statistic: None,
        moving_range: None,
    }
}

/// A result with one run, one effect, and one decision.
pub fn result() -> WholeResult {
    let interval = [0.03, 0.07];
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
                term(&[level("route", "boil")], 0.05, interval),
            ],
            against_baseline: vec![Comparison {
                factor: "route".into(),
                level: "boil".into(),
                against: "chill".into(),
                value: 0.05,
                interval: Some(interval),
                ..Comparison::default()
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
        recycling: Some(residue(Pays::NotSettled, gain(0.4, [-0.2, 1.0]))),
        titrants: Some(vec![Titrant {
            titrant: "T1".into(),
            concentration: Measured {
                value: 0.1,
                u: 0.0001,
            },
            budget: Vec::new(),
            rows: Vec::new(),
        }]),
        drift: Some(vec![Chart {
            response: "yield".into(),
            titrant: None,
            unit: "1".into(),
            chart: "ewma",
            centre: 0.6,
            sd: 0.01,
            centre_from: String::new(),
            sd_from: String::new(),
            lower: 0.5,
            upper: 0.7,
            taken_out: Vec::new(),
            false_alarm: 0.1,
            false_alarm_any_chart: 0.1,
            points: vec![point(None)],
            signals: Vec::new(),
            settings: ChartSettings::Ewma {
                lambda: 0.2,
                limits: 3.0,
            },
            shows: "",
            moving_range: None,
        }]),
        caveats: vec![Caveat {
            kind: "few degrees of freedom",
            about: String::new(),
            subject: Subject::Campaign {},
            seen: String::new(),
            advice: String::new(),
        }],
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
