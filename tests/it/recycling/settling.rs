//! How are further runs drawn from a fitted model and joined to those made?
//!
//! In: runs on one footing, the model of yield, the settings of further runs. Out: the data of old and new runs together.
//! This module never changes what the runs made logged.

use residuum::pipeline::measurement;
use residuum::regression::{
    Constant, Curve, ErrorEffect, Factor, FactorValues, FitData, FittedModel, Method, ModelParams,
    OwnError, ResponseScale, Setting, Settings,
};
use residuum::runs::{self, ResponseKind, Runs};
use residuum::seeded::Seeded;

/// Factors of the demo model of yield, and the block.
const FACTORS: [&str; 5] = ["heating", "oxidant_excess", "route", "residue_ratio", "lot"];

/// The model that the demo asks for.
pub fn model() -> ModelParams {
    let names = |names: &[&str]| {
        names
            .iter()
            .map(|name| name.to_string())
            .collect::<Vec<_>>()
    };
    ModelParams {
        response: "yield".into(),
        unit: "1".into(),
        effects: names(&FACTORS[..4]),
        joint: vec![names(&["route", "residue_ratio"])],
        curved: vec![Curve {
            factor: "oxidant_excess".into(),
            power: 2,
        }],
        blocks: vec!["lot".into()],
        constant: Constant::Present,
        confidence: 0.95,
        method: Method::Measured,
        scale: ResponseScale::Plain,
    }
}

/// The runs that the model of yield is fitted to, with what is known of their errors.
pub fn made(runs: &Runs) -> FitData {
    let used: Vec<usize> = (0..runs.results.len())
        .filter(|run| {
            runs.results[*run].set_aside.is_none() && runs.results[*run].contained.is_ok()
        })
        .collect();
    let factor = |name: &str| {
        let column = runs.factors.iter().find(|factor| factor.name == name);
        let column = column.expect("the demo declares it");
        let values = match &column.values {
            runs::FactorValues::Amount(values) => FactorValues::Amount(
                used.iter()
                    .map(|run| values[*run].expect("an amount"))
                    .collect(),
            ),
            runs::FactorValues::Choice { levels, codes } => FactorValues::Choice {
                levels: levels.clone(),
                codes: used
                    .iter()
                    .map(|run| codes[*run].expect("a level"))
                    .collect(),
            },
        };
        Factor {
            name: name.into(),
            unit: column.unit.clone(),
            values,
        }
    };
    FitData {
        never: Vec::new(),
        runs: used
            .iter()
            .map(|run| runs.results[*run].run.clone())
            .collect(),
        response: used
            .iter()
            .map(|run| {
                runs.results[*run]
                    .contained
                    .as_ref()
                    .expect("a yield")
                    .value()
            })
            .collect(),
        factors: FACTORS.map(factor).to_vec(),
        measurement: measurement(runs, ResponseKind::Yield, &used),
    }
}

/// The runs made with further ones behind them, drawn from the model at its estimates.
///
/// A new run scatters as the model says and has the mean error that a run made has for itself; it shares the errors that
/// all runs of its lot share.
pub fn joined(
    made: &FitData,
    model: &FittedModel,
    new: &[Settings],
    random: &mut Seeded,
) -> FitData {
    let mut all = made.clone();
    let lots = made.factors.iter().find(|factor| factor.name == "lot");
    let Some(FactorValues::Choice { levels, codes }) = lots.map(|factor| &factor.values) else {
        panic!("lots are a choice");
    };
    let mean_own = |of: fn(&OwnError) -> f64| {
        let own = &made.measurement.own;
        (own.iter().map(|own| of(own).powi(2)).sum::<f64>() / own.len() as f64).sqrt()
    };
    let own = OwnError {
        relative: mean_own(|own| own.relative),
        absolute: mean_own(|own| own.absolute),
    };
    // How far runs truly scatter is known as well as the runs made tell it: what is foretold is a mean over that.
    let degrees = model.residual_df as f64;
    let squares = random.chi_squared(degrees).expect("degrees of freedom");
    let stretch = degrees / squares;
    for settings in new {
        let position = all.runs.len();
        all.runs.push(format!("new-{position}"));
        let lot = match settings.get("lot") {
            Some(Setting::Level(lot)) => lot.clone(),
            other => panic!("a planned run has a lot, not {other:?}"),
        };
        let mut asked = Settings::default();
        for name in &FACTORS[..4] {
            asked = match settings.get(name) {
                Some(Setting::Amount(value)) => asked.amount(*name, *value),
                Some(Setting::Level(level)) => asked.level(*name, level),
                None => panic!("a planned run has {name}"),
            };
        }
        let run = model
            .new_run_interval(&asked)
            .expect("the settings are known");
        let scatter = run
            .scatter
            .expect("there are residual degrees of freedom")
            .run_to_run;
        let measured = (own.relative * run.value).powi(2) + own.absolute.powi(2);
        all.response
            .push(run.value + (stretch * scatter + measured).sqrt() * random.normal());
        all.measurement.own.push(own);
        for factor in &mut all.factors {
            let setting = settings.get(&factor.name);
            match (&mut factor.values, setting) {
                (FactorValues::Amount(values), Some(Setting::Amount(value))) => values.push(*value),
                (FactorValues::Choice { levels, codes }, Some(Setting::Level(level))) => codes
                    .push(
                        levels
                            .iter()
                            .position(|known| known == level)
                            .expect("a known level"),
                    ),
                (_, other) => panic!("{other:?} does not fit {}", factor.name),
            }
        }
        // What every run of the lot shares, and no other run, is shared with the new run too.
        let code = levels.iter().position(|level| *level == lot);
        let of_lot: Vec<usize> = (0..codes.len())
            .filter(|run| Some(codes[*run]) == code)
            .collect();
        for source in &mut all.measurement.shared {
            let reaches = |run: &usize| source.effects.iter().any(|effect| effect.run == *run);
            if of_lot.iter().all(reaches)
                && let Some(first) = source.effects.iter().find(|e| e.run == of_lot[0]).copied()
            {
                source.effects.push(ErrorEffect {
                    run: position,
                    ..first
                });
            }
        }
    }
    all
}
