//! Seeded logs with a known true surface, and what is found of their best settings.
//!
//! In: which terms, how large effects, how many runs. Out: [`Log`].
//! This module never judges what is found.

use residuum::regression::{
    BestOfMany, Choosing, Constant, Curve, Factor, FactorValues, FitData, FittedModel, Measurement,
    Method, ModelParams, ResponseScale, Settings, Toward,
};
use residuum::seeded::Seeded;

/// Standard deviation from run to run.
pub const SCATTER: f64 = 0.02;

pub const LEVELS: [&str; 3] = ["muffle", "hob", "torch"];

/// Places of each amount in the runs, and in the search.
pub const PLACES_OF_RUNS: usize = 5;
pub const PLACES_OF_SEARCH: usize = 11;

/// How large true effects are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Effects {
    /// There are none.
    None,
    /// Their standard deviation in standard errors of a mean of all runs.
    About(f64),
}

/// Which terms the model has, besides both amounts and the choice.
#[derive(Debug, Clone, Copy)]
pub struct Terms {
    pub bend: bool,
    pub joint: bool,
}

pub const MODELS: [Terms; 3] = [
    Terms {
        bend: false,
        joint: false,
    },
    Terms {
        bend: true,
        joint: false,
    },
    Terms {
        bend: true,
        joint: true,
    },
];

/// Where a run stands: two amounts from −1 to 1 and a level.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    pub one: f64,
    pub other: f64,
    pub level: usize,
}

/// A true surface.
pub struct Truth {
    pub amounts: [f64; 2],
    pub levels: [f64; 3],
    pub bend: f64,
    pub joint: f64,
}

impl Terms {
    pub fn truth(self, effects: Effects, runs: usize, random: &mut Seeded) -> Truth {
        let size = match effects {
            Effects::None => 0.0,
            Effects::About(errors) => errors * SCATTER / (runs as f64).sqrt(),
        };
        let mut effect = |is_there: bool| f64::from(u8::from(is_there)) * size * random.normal();
        Truth {
            amounts: [effect(true), effect(true)],
            levels: [0.0, effect(true), effect(true)],
            bend: effect(self.bend),
            joint: effect(self.joint),
        }
    }

    pub fn params(self) -> ModelParams {
        let name = str::to_string;
        ModelParams {
            response: "yield".into(),
            unit: "1".into(),
            effects: ["time", "excess", "heating"].map(name).to_vec(),
            joint: match self.joint {
                true => vec![["time", "excess"].map(name).to_vec()],
                false => Vec::new(),
            },
            curved: match self.bend {
                true => vec![Curve {
                    factor: "time".into(),
                    power: 2,
                }],
                false => Vec::new(),
            },
            blocks: Vec::new(),
            constant: Constant::Present,
            confidence: 0.95,
            method: Method::Plain,
            scale: ResponseScale::Plain,
        }
    }
}

impl Truth {
    pub fn at(&self, place: Place) -> f64 {
        let Place { one, other, level } = place;
        0.7 + self.amounts[0] * one
            + self.amounts[1] * other
            + self.levels[level]
            + self.bend * one * one
            + self.joint * one * other
    }
}

impl Place {
    pub fn settings(self) -> Settings {
        Settings::default()
            .amount("time", self.one)
            .amount("excess", self.other)
            .level("heating", LEVELS[self.level])
    }
}

pub fn fitted(terms: Terms, places: &[Place], response: Vec<f64>) -> FittedModel {
    let amount = |name: &str, of: fn(&Place) -> f64| Factor {
        name: name.into(),
        unit: "1".into(),
        values: FactorValues::Amount(places.iter().map(of).collect()),
    };
    let data = FitData {
        never: Vec::new(),
        runs: (0..places.len()).map(|run| format!("R{run:02}")).collect(),
        response,
        factors: vec![
            amount("time", |place| place.one),
            amount("excess", |place| place.other),
            Factor {
                name: "heating".into(),
                unit: String::new(),
                values: FactorValues::Choice {
                    levels: LEVELS.map(str::to_string).to_vec(),
                    codes: places.iter().map(|place| place.level).collect(),
                },
            },
        ],
        measurement: Measurement::default(),
    };
    let valid = terms.params().check(&data).expect("a model of these runs");
    valid.fit(&data).expect("a fit of these runs")
}

/// Places of runs: every time and every level in turn, so that all terms can be told, and the excess at random.
pub fn places(runs: usize, random: &mut Seeded) -> Vec<Place> {
    let at = |place: usize| 2.0 * place as f64 / (PLACES_OF_RUNS - 1) as f64 - 1.0;
    let run = |run: usize| Place {
        one: at(2 * run % PLACES_OF_RUNS),
        other: at((PLACES_OF_RUNS as f64 * random.uniform()) as usize),
        level: run % 3,
    };
    (0..runs).map(run).collect()
}

/// All places of the search.
pub fn grid() -> Vec<Place> {
    let at = |place: usize| 2.0 * place as f64 / (PLACES_OF_SEARCH - 1) as f64 - 1.0;
    let size = PLACES_OF_SEARCH * PLACES_OF_SEARCH;
    let place = |number: usize| Place {
        one: at(number % PLACES_OF_SEARCH),
        other: at(number / PLACES_OF_SEARCH % PLACES_OF_SEARCH),
        level: number / size,
    };
    (0..3 * size).map(place).collect()
}

/// The place with the largest fitted mean.
pub fn best(model: &FittedModel, places: &[Place]) -> Place {
    let mean = |place: &Place| model.rough_mean(&place.settings()).expect("a mean").value;
    let ranked = places.iter().map(|place| (mean(place), *place));
    let best = ranked.reduce(|one, next| if next.0 > one.0 { next } else { one });
    best.expect("a place").1
}

/// One log with what it says of its best settings, and what is true.
pub struct Log {
    pub found: BestOfMany,
    /// By how much the fitted mean was too good.
    pub too_good_by: f64,
    pub truth: f64,
    pub new_run: f64,
    /// True gain over the best of the runs made.
    pub gain: f64,
}

pub fn log(terms: Terms, effects: Effects, runs: usize, random: &mut Seeded) -> Log {
    let made = places(runs, random);
    let truth = terms.truth(effects, runs, random);
    let mut logged = |place: &Place| truth.at(*place) + SCATTER * random.normal();
    let response = made.iter().map(&mut logged).collect();
    let model = fitted(terms, &made, response);
    let variance = |place: &Place| {
        let mean = model.rough_mean(&place.settings());
        mean.expect("a mean").variance.expect("degrees of freedom")
    };
    // As the program does, nothing that is less certain than the least certain of the runs made.
    let most = made.iter().map(variance).fold(0.0, f64::max) * (1.0 + 1e-9);
    let mut among = grid();
    among.retain(|place| variance(place) <= most);
    let (chosen, rival) = (best(&model, &among), best(&model, &made));
    let settings = |places: &[Place]| places.iter().map(|place| place.settings()).collect();
    let (among, made): (Vec<Settings>, Vec<Settings>) = (settings(&among), settings(&made));
    let (at_chosen, at_rival) = (chosen.settings(), rival.settings());
    let new_run = logged(&chosen);
    let found = model.best_of_many(
        &Choosing {
            toward: Toward::Larger,
            chosen: &at_chosen,
            among: &among,
            rival: Some(&at_rival).filter(|rival| **rival != at_chosen),
            rival_among: &made,
        },
        random,
    );
    let truth_at_chosen = truth.at(chosen);
    let fitted = model.rough_mean(&at_chosen).expect("a mean").value;
    Log {
        found: found.expect("figures"),
        too_good_by: fitted - truth_at_chosen,
        truth: truth_at_chosen,
        new_run,
        gain: truth_at_chosen - truth.at(rival),
    }
}
