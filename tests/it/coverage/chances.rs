//! Is a route that is given a chance of 0.85 of being the best the best 85 times in a hundred?
//!
//! In: seeded campaigns with three routes whose true yields are drawn anew for each. Out: tests of how often the route
//! with such a chance was the best in truth.
//! This module never draws an unseeded number.

use residuum::decide::{Direction, Specification, chances};
use residuum::regression::{
    Constant, Factor, FactorValues, FitData, FittedModel, Measurement, Method, ModelParams,
    ResponseScale, Settings,
};
use residuum::seeded::Seeded;

const SEED: u64 = 20_260_311;

const ROUTES: [&str; 3] = ["chill", "boildown", "spirit"];

/// Runs on each route.
const RUNS: usize = 6;

/// Standard deviation from run to run.
const SCATTER: f64 = 0.02;

/// True effects scatter by so many standard errors of a route's mean; a difference of two of them then scatters by as
/// many of its own standard errors.
const STANDARD_ERRORS: f64 = 3.0;

/// Enough campaigns for more than 400 routes with a chance between 0.8 and 0.9.
const CAMPAIGNS: u64 = 3_200;

/// Draws behind each chance: its own error is then a fifteenth of the width of the band looked at.
const DRAWS: usize = 3_000;

const FEWEST_CASES: usize = 400;

/// What share of routes with a chance between 0.8 and 0.9 are the best: the band, and five hundredths to each side.
const ALLOWED: std::ops::RangeInclusive<f64> = 0.75..=0.95;

fn model(truths: [f64; 3], response: &str, scatter: f64, random: &mut Seeded) -> FittedModel {
    let codes: Vec<usize> = (0..3 * RUNS).map(|run| run % 3).collect();
    let data = FitData {
        never: Vec::new(),
        runs: (0..codes.len()).map(|run| format!("R{run:02}")).collect(),
        response: codes
            .iter()
            .map(|code| truths[*code] + scatter * random.normal())
            .collect(),
        factors: vec![Factor {
            name: "route".into(),
            unit: String::new(),
            values: FactorValues::Choice {
                levels: ROUTES.map(str::to_string).to_vec(),
                codes,
            },
        }],
        measurement: Measurement::default(),
    };
    let params = ModelParams {
        response: response.into(),
        unit: "1".into(),
        effects: vec!["route".into()],
        joint: Vec::new(),
        curved: Vec::new(),
        blocks: Vec::new(),
        constant: Constant::Present,
        confidence: 0.95,
        method: Method::Plain,
        scale: ResponseScale::Plain,
    };
    let valid = params.check(&data).expect("a model of these runs");
    valid.fit(&data).expect("a fit of these runs")
}

fn settings() -> Vec<Settings> {
    ROUTES
        .map(|route| Settings::default().level("route", route))
        .to_vec()
}

/// True means about a middle, as many standard errors of a mean apart as stated.
fn truths(middle: f64, scatter: f64, random: &mut Seeded) -> [f64; 3] {
    let error = scatter / (RUNS as f64).sqrt();
    [0; 3].map(|_| middle + STANDARD_ERRORS * error * random.normal())
}

fn largest(values: [f64; 3]) -> usize {
    (0..3).fold(0, |best, place| {
        if values[place] > values[best] {
            place
        } else {
            best
        }
    })
}

/// Cases with a chance between 0.8 and 0.9, and how many of them were the best.
#[derive(Default)]
struct Cases {
    all: usize,
    best: usize,
}

impl Cases {
    fn count(&mut self, chance: f64, was_best: impl FnOnce() -> bool) {
        if (0.8..=0.9).contains(&chance) {
            self.all += 1;
            self.best += usize::from(was_best());
        }
    }

    fn check(&self, what: &str) {
        let share = self.best as f64 / self.all as f64;
        println!(
            "{what}: {} of {} were the best, {share:.3}",
            self.best, self.all
        );
        assert!(self.all >= FEWEST_CASES, "{what}: only {} cases", self.all);
        assert!(ALLOWED.contains(&share), "{what}: {share}");
    }
}

#[test]
fn of_routes_with_a_chance_of_0_8_to_0_9_about_85_in_100_are_the_best() {
    let mut cases = Cases::default();
    for campaign in 0..CAMPAIGNS {
        let mut random = Seeded::stream(SEED, campaign);
        let truths = truths(0.7, SCATTER, &mut random);
        let model = model(truths, "yield", SCATTER, &mut random);
        let found = chances(&model, Direction::Up, &settings(), None, DRAWS, campaign)
            .expect("routes that can be told")
            .expect("residual degrees of freedom");
        for (place, chance) in found.each.iter().enumerate() {
            cases.count(chance.best, || largest(truths) == place);
        }
    }
    cases.check("chance of the largest yield");
}

/// Standard deviation of purity from run to run, its specification and the chance asked for.
const PURITY_SCATTER: f64 = 0.002;
const LIMIT: f64 = 0.985;
const PURITY_CHANCE: f64 = 0.9;

#[test]
fn with_a_specification_the_chances_are_about_as_good() {
    // Half of all routes meet the specification often enough: the middle stands where 90 % of runs just do, which is
    // 1.2816 standard deviations above the limit (normal quantile, e.g. ISO 16269-6 tables).
    let middle = LIMIT + 1.2816 * PURITY_SCATTER;
    let mut cases = Cases::default();
    for campaign in 0..CAMPAIGNS {
        let mut random = Seeded::stream(SEED, CAMPAIGNS + campaign);
        let yields = truths(0.7, SCATTER, &mut random);
        let purities = truths(middle, PURITY_SCATTER, &mut random);
        let goal = model(yields, "yield", SCATTER, &mut random);
        let purity = model(purities, "purity", PURITY_SCATTER, &mut random);
        let specification = Specification {
            purity: &purity,
            limit: LIMIT,
            chance: PURITY_CHANCE,
        };
        let found = chances(
            &goal,
            Direction::Up,
            &settings(),
            Some(specification),
            DRAWS,
            campaign,
        )
        .expect("routes that can be told")
        .expect("residual degrees of freedom");
        let sum: f64 = found.each.iter().map(|chance| chance.best).sum();
        assert!((sum + found.none_meets - 1.0).abs() < 1e-9, "{sum}");
        let allowed = |place: usize| purities[place] >= middle;
        let best = (0..3)
            .filter(|place| allowed(*place))
            .fold(None, |best, place| match best {
                Some(other) if yields[other] >= yields[place] => Some(other),
                _ => Some(place),
            });
        for (place, chance) in found.each.iter().enumerate() {
            cases.count(chance.best, || best == Some(place));
        }
    }
    cases.check("chance of the largest yield within the specification");
}
