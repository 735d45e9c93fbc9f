//! Does a plan over a small space ever hold a forbidden run?
//!
//! In: random bans. Out: a test that counts the runs planned.
//! This module never judges how good a plan is.

use std::ops::Bound::{Excluded, Included, Unbounded};

use residuum::regression::{
    Barred, BlocksAs, Constant, Criterion, Curve, Method, ModelParams, NoPlan, PlanFactor, Planner,
    ResponseScale, Setting, Settings, Space,
};
use residuum::seeded::Seeded;

use super::bans::{At, Ban, Named, Of, Part, below};

/// With the 60 of `whole_program.rs` these are 2,000.
const SPACES: u64 = 1_940;
/// Runs of each plan.
const RUNS: usize = 8;
const SEED: u64 = 1313;

const HEATING: &[&str] = &["muffle", "hob", "torch"];
const ROUTE: &[&str] = &["chill", "boil"];

fn factors() -> Vec<Named> {
    vec![
        ("heating", Of::Choice(HEATING)),
        ("excess", Of::Amount(10.0, 120.0)),
        ("route", Of::Choice(ROUTE)),
        ("ratio", Of::Amount(0.0, 0.6)),
    ]
}

fn barred(ban: &Ban) -> Barred {
    ban.0.iter().fold(Barred::default(), |all, (name, part)| {
        let (low, high) = match *part {
            Part::Level(level) => return all.level(*name, level),
            Part::Above(end) => (Excluded(end), Unbounded),
            Part::Below(end) => (Unbounded, Excluded(end)),
            Part::AtLeast(end) => (Included(end), Unbounded),
            Part::AtMost(end) => (Unbounded, Included(end)),
            Part::Between(low, high) => (Included(low), Included(high)),
        };
        all.amounts(*name, low, high)
    })
}

fn space(bans: &[Ban]) -> Space {
    let never: Vec<Barred> = bans.iter().map(barred).collect();
    let factors = factors().into_iter().map(|(name, of)| match of {
        Of::Choice(levels) => {
            let levels: Vec<String> = levels.iter().map(ToString::to_string).collect();
            PlanFactor::choice(name, &levels)
        }
        Of::Amount(low, high) => {
            let ends = never.iter().flat_map(|never| never.allowed_ends(name));
            PlanFactor::amount(name, low, high, 3).with(ends)
        }
    });
    Space {
        factors: factors.collect(),
        never,
    }
}

fn params() -> ModelParams {
    ModelParams {
        response: "yield".into(),
        unit: "1".into(),
        effects: ["heating", "excess", "route", "ratio"]
            .map(String::from)
            .into(),
        joint: Vec::new(),
        curved: vec![Curve {
            factor: "excess".into(),
            power: 2,
        }],
        blocks: Vec::new(),
        constant: Constant::Present,
        confidence: 0.95,
        method: Method::Plain,
        scale: ResponseScale::Plain,
    }
}

fn named(settings: &Settings) -> Vec<(String, At)> {
    let at = |setting: &Setting| match setting {
        Setting::Amount(value) => At::Amount(*value),
        Setting::Level(level) => At::Level(level.clone()),
    };
    let each = settings.iter();
    each.map(|(name, setting)| (name.to_string(), at(setting)))
        .collect()
}

#[test]
fn no_plan_over_a_small_space_holds_a_forbidden_run() {
    let mut random = Seeded::stream(SEED, 1);
    let (mut runs, mut at_ends, mut nothing_left) = (0, 0, 0);
    for seed in 0..SPACES {
        let bans: Vec<Ban> = (0..=below(&mut random, 4))
            .map(|_| Ban::random(&factors(), &mut random))
            .collect();
        let planned = Planner::of_nothing(&params(), space(&bans)).and_then(|planner| {
            planner.plan(RUNS, &[], &Criterion::Everything, BlocksAs::Random, seed)
        });
        match planned {
            Ok(plan) => {
                assert_eq!(plan.runs.len(), RUNS);
                for run in &plan.runs {
                    let settings = named(run);
                    for ban in &bans {
                        assert!(!ban.is_in(&settings), "{}: {settings:?}", ban.written());
                    }
                }
                runs += RUNS;
                let is_end = |value: f64| ![10.0, 65.0, 120.0].contains(&value);
                let excess = plan.runs.iter().filter_map(|run| run.amount_of("excess"));
                at_ends += usize::from(excess.into_iter().any(is_end));
            }
            Err(NoPlan::AllForbidden) => nothing_left += 1,
            Err(why) => panic!("{why:?}"),
        }
    }
    println!(
        "{runs} runs planned, {nothing_left} spaces without any, {at_ends} plans at the end of a range"
    );
    // A ban of one or two factors leaves nearly every space something, and some plans go to the end that a range leaves allowed.
    assert!(nothing_left < 100, "{nothing_left}");
    assert!(at_ends > 100, "{at_ends}");
}
