//! Is the chance to see a difference, as stated for runs that are still to be made, met by those runs?
//!
//! In: seeded logs whose scatter and true difference are known. Out: shares of futures in which the interval leaves zero out.
//! This module never takes a share from the library.

use residuum::regression::{
    BlocksAs, Constant, Criterion, Curve, Factor, FactorValues, FitData, FittedModel, Measurement,
    Method, ModelParams, OwnError, PlanContrast, PlanFactor, Planner, ResponseScale, Setting,
    Settings, Space, Weighted,
};
use residuum::seeded::Seeded;

/// The difference that matters, and the true one.
const MARGIN: f64 = 1.0;

/// Scatter lies between so small a part of the margin and so many times it, any size in between as likely: what is stated
/// allows for all sizes, so that logs must come with all of them.
const SIZES: f64 = 200.0;

/// Standard errors of the difference, in margins, of the logs that are counted: far from the ends of what is drawn, so that
/// these do not matter, and about where chances are neither nothing nor all.
const COUNTED: std::ops::Range<f64> = 0.07..7.0;

/// Standard errors of a share that it may lie from what is stated: by chance one of sixty tenths lies further once in 250 tries.
const FAR: f64 = 4.0;

const LEVELS: [&str; 3] = ["a", "b", "c"];
const AMOUNTS: [f64; 3] = [0.0, 1.0, 2.0];

/// Runs made and runs planned.
#[derive(Clone, Copy)]
struct Design {
    made: usize,
    levels: usize,
    curved: bool,
    planned: usize,
    /// Stated standard uncertainty of each reading, in units of the scatter between runs.
    measured: Option<f64>,
}

const FOUR_DEGREES: [Design; 2] = [
    Design {
        made: 7,
        levels: 2,
        curved: false,
        planned: 4,
        measured: None,
    },
    Design {
        made: 8,
        levels: 3,
        curved: false,
        planned: 8,
        measured: None,
    },
];
const MORE_DEGREES: [Design; 3] = [
    Design {
        made: 9,
        levels: 2,
        curved: false,
        planned: 6,
        measured: None,
    },
    Design {
        made: 12,
        levels: 3,
        curved: false,
        planned: 3,
        measured: None,
    },
    Design {
        made: 20,
        levels: 2,
        curved: true,
        planned: 8,
        measured: None,
    },
];
const MEASURED: [Design; 2] = [
    Design {
        made: 10,
        levels: 2,
        curved: false,
        planned: 6,
        measured: Some(0.5),
    },
    Design {
        made: 16,
        levels: 3,
        curved: false,
        planned: 8,
        measured: Some(0.5),
    },
];

/// A tenth of the chances that were stated.
#[derive(Debug, Clone, Copy, Default)]
struct Tenth {
    logs: u64,
    stated: f64,
    seen: u64,
}

/// Chances now and after the runs planned.
type Tenths = [[Tenth; 10]; 2];

impl Design {
    fn params(&self) -> ModelParams {
        ModelParams {
            response: "rate".into(),
            unit: "g".into(),
            effects: vec!["route".into(), "x".into()],
            joint: Vec::new(),
            curved: match self.curved {
                true => vec![Curve {
                    factor: "x".into(),
                    power: 2,
                }],
                false => Vec::new(),
            },
            blocks: Vec::new(),
            constant: Constant::Present,
            confidence: 0.95,
            method: if self.measured.is_some() {
                Method::Measured
            } else {
                Method::Plain
            },
            scale: ResponseScale::Plain,
        }
    }

    fn levels(&self) -> Vec<String> {
        LEVELS[..self.levels]
            .iter()
            .map(|level| level.to_string())
            .collect()
    }

    /// Runs in turn over levels and amounts, without responses.
    fn factors(&self) -> Vec<Factor> {
        let runs = 0..self.made;
        let codes = runs.clone().map(|run| run % self.levels).collect();
        let amounts = runs.map(|run| AMOUNTS[run / self.levels % 3]).collect();
        let factor = |name: &str, values| Factor {
            name: name.into(),
            unit: String::new(),
            values,
        };
        vec![
            factor(
                "route",
                FactorValues::Choice {
                    levels: self.levels(),
                    codes,
                },
            ),
            factor("x", FactorValues::Amount(amounts)),
        ]
    }

    fn space(&self) -> Space {
        let factors = vec![
            PlanFactor::choice("route", &self.levels()),
            PlanFactor::amount("x", 0.0, 2.0, 3),
        ];
        Space {
            factors,
            never: Vec::new(),
        }
    }

    /// Runs with these factors: the second level gives the margin more than the first.
    fn drawn(&self, factors: Vec<Factor>, sigma: f64, random: &mut Seeded) -> FitData {
        let (FactorValues::Choice { codes, .. }, FactorValues::Amount(amounts)) =
            (&factors[0].values, &factors[1].values)
        else {
            panic!("a route and an amount")
        };
        let measured = self.measured.unwrap_or(0.0) * sigma;
        let scatter = (sigma * sigma + measured * measured).sqrt();
        let of_run = codes.iter().zip(amounts);
        let response: Vec<f64> = of_run
            .map(|(code, x)| [0.0, MARGIN, 0.3][*code] + 0.5 * x + scatter * random.normal())
            .collect();
        let own = match self.measured {
            Some(_) => vec![
                OwnError {
                    relative: 0.0,
                    absolute: measured
                };
                response.len()
            ],
            None => Vec::new(),
        };
        FitData {
            never: Vec::new(),
            runs: (0..response.len()).map(|run| run.to_string()).collect(),
            response,
            measurement: Measurement {
                own,
                ..Measurement::default()
            },
            factors,
        }
    }

    fn fit(&self, data: &FitData) -> FittedModel {
        let valid = self
            .params()
            .check(data)
            .unwrap_or_else(|faults| panic!("{faults}"));
        valid.fit(data).unwrap_or_else(|faults| panic!("{faults}"))
    }

    /// Draws logs, has the chance stated for each, and makes the runs once.
    fn count(&self, stream: u64, logs: u64, tenths: &mut Tenths) {
        let mut random = Seeded::stream(23, stream);
        let plan = self.plan(&mut random);
        for _ in 0..logs {
            let sigma = SIZES.powf(2.0 * random.uniform() - 1.0);
            let made = self.drawn(self.factors(), sigma, &mut random);
            let fitted = self.fit(&made);
            let error = fitted
                .weighted_sum(&contrast())
                .expect("it can be told")
                .standard_error;
            if !COUNTED.contains(&error.expect("there are degrees of freedom")) {
                continue;
            }
            let planner = Planner::of_model(&fitted, self.space(), None).expect("a planner");
            let now = planner.known_now(&contrast()).expect("it can be told");
            let after = planner
                .known_after(&plan, &contrast())
                .expect("it can be told");
            let mut further = self.drawn(with(self.factors(), &plan), sigma, &mut random);
            further.response[..self.made].copy_from_slice(&made.response);
            let joined = self.fit(&further);
            for (tenths, (forecast, model)) in
                tenths.iter_mut().zip([(now, &fitted), (after, &joined)])
            {
                let stated = forecast.power(MARGIN, 0.95).expect("enough is known");
                let tenth = &mut tenths[((stated * 10.0) as usize).min(9)];
                tenth.logs += 1;
                tenth.stated += stated;
                tenth.seen += u64::from(leaves_zero_out(model));
            }
        }
    }

    /// The runs that are best for the difference; in a plain fit they rest on no response.
    fn plan(&self, random: &mut Seeded) -> Vec<Settings> {
        let fitted = self.fit(&self.drawn(self.factors(), 1.0, random));
        let planner = Planner::of_model(&fitted, self.space(), None).expect("a planner");
        let parts = contrast();
        let criterion = Criterion::Contrasts(vec![PlanContrast { weight: 1.0, parts }]);
        let plan = planner.plan(self.planned, &[], &criterion, BlocksAs::Random, 1);
        plan.expect("a plan").runs
    }
}

fn contrast() -> Vec<Weighted> {
    let part = |weight, level| Weighted {
        weight,
        settings: Settings::default().level("route", level),
    };
    vec![part(1.0, "b"), part(-1.0, "a")]
}

fn leaves_zero_out(model: &FittedModel) -> bool {
    let found = model.weighted_sum(&contrast()).expect("it can be told");
    let ends = found.interval.expect("there are degrees of freedom");
    ends.low > 0.0 || ends.high < 0.0
}

/// The factors with runs at these settings behind.
fn with(mut factors: Vec<Factor>, plan: &[Settings]) -> Vec<Factor> {
    for settings in plan {
        for factor in &mut factors {
            match (&mut factor.values, settings.get(&factor.name)) {
                (FactorValues::Amount(values), Some(Setting::Amount(value))) => values.push(*value),
                (FactorValues::Choice { levels, codes }, Some(Setting::Level(level))) => {
                    codes.extend(levels.iter().position(|known| known == level));
                }
                other => panic!("{other:?}"),
            }
        }
    }
    factors
}

/// The tenths of all designs, on two threads.
fn count(designs: &[Design], logs: u64) -> Tenths {
    let part = |half: u64| {
        let mut tenths = Tenths::default();
        for (place, design) in designs.iter().enumerate() {
            design.count(2 * place as u64 + half, logs / 2, &mut tenths);
        }
        tenths
    };
    let (one, mut all) = std::thread::scope(|scope| {
        let one = scope.spawn(|| part(0));
        let other = part(1);
        (one.join().expect("the first half ends"), other)
    });
    for (sum, more) in all.iter_mut().flatten().zip(one.iter().flatten()) {
        sum.logs += more.logs;
        sum.stated += more.stated;
        sum.seen += more.seen;
    }
    all
}

/// Asks that in each tenth the share is what was stated, within simulation error.
fn check(name: &str, designs: &[Design], logs: u64) {
    let full = std::env::var("RESIDUUM_SIMULATIONS").is_ok_and(|size| size == "full");
    let tenths = count(designs, if full { 20 * logs } else { logs });
    for (when, tenths) in ["now", "after"].iter().zip(&tenths) {
        for tenth in tenths.iter().filter(|tenth| tenth.logs >= 50) {
            let logs = tenth.logs as f64;
            let (stated, seen) = (tenth.stated / logs, tenth.seen as f64 / logs);
            let error = (stated * (1.0 - stated) / logs).sqrt();
            println!("{name}, {when}: stated {stated:.4}, seen {seen:.4} ± {error:.4} of {logs}");
            assert!(
                (seen - stated).abs() < FAR * error,
                "{name}, {when}: {tenth:?}"
            );
        }
        // The tenths are filled: a chance that is always the same would be met without saying anything.
        let filled = tenths.iter().filter(|tenth| tenth.logs >= 50).count();
        assert!(filled >= 8, "{name}, {when}: {tenths:?}");
    }
}

#[test]
fn the_chance_stated_with_four_degrees_of_freedom_is_met_in_every_tenth() {
    check("four degrees", &FOUR_DEGREES, 20_000);
}

#[test]
fn the_chance_stated_with_more_degrees_of_freedom_is_met_in_every_tenth() {
    check("more degrees", &MORE_DEGREES, 12_000);
}

#[test]
fn the_chance_stated_beside_known_errors_of_measurement_is_met_in_every_tenth() {
    check("measured", &MEASURED, 8_000);
}
