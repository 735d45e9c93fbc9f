//! Do common effects hold the truth 95 times in a hundred, and is one that differs about zero hardly ever settled?
//!
//! In: seeded campaigns, three to eight together. Out: tests of coverage and of wrong firm verdicts, at full size with
//! `RESIDUUM_SIMULATIONS=full`.
//! This module never draws an unseeded number.

use residuum::campaign::LogKind;
use residuum::pipeline::Extent;
use residuum::seeded::Seeded;
use residuum::together::{Asked, Member, SharedEffect, together};

use super::CAMPAIGN;
use crate::in_memory::InMemory;

const SEED: u64 = 20_261_201;

/// Draws in the test command, and at full size: a coverage of 95 % is then known to 0.5 points.
const DRAWS: u64 = 60;
const DRAWS_AT_FULL_SIZE: u64 = 2_000;

/// What campaigns and lots scatter, in the unit of the scatter from run to run.
const BETWEEN_CAMPAIGNS: f64 = 2.0;
const BETWEEN_LOTS: f64 = 0.7;
const HOB: f64 = -1.0;
const SLOPE: f64 = 0.02;

fn full_size() -> bool {
    std::env::var("RESIDUUM_SIMULATIONS").is_ok_and(|size| size == "full")
}

fn draws() -> u64 {
    if full_size() {
        DRAWS_AT_FULL_SIZE
    } else {
        DRAWS
    }
}

/// Shares that so many draws allow about a coverage of 95 %: asked at full size, three standard errors wider below.
fn allowed() -> std::ops::RangeInclusive<f64> {
    let wider = if full_size() {
        0.0
    } else {
        3.0 * (0.95_f64 * 0.05 / DRAWS as f64).sqrt()
    };
    0.935 - wider..=(0.965 + wider).min(1.0)
}

/// One draw: three to eight campaigns of 8 to 14 runs on two lots, whose effect of the hob is drawn about `hob`.
fn effects(draw: u64, hob: f64, apart: f64) -> Vec<SharedEffect> {
    let mut random = Seeded::stream(SEED, draw);
    let count = 3 + (6.0 * random.uniform()) as usize;
    let campaigns: Vec<InMemory> = (0..count)
        .map(|place| one(place, hob, apart, &mut random))
        .collect();
    let worked: Vec<_> = campaigns.iter().map(InMemory::work_out).collect();
    let members: Vec<Member> = worked
        .iter()
        .map(|of| Member {
            campaign: &of.campaign,
            runs: of.runs(),
        })
        .collect();
    let asked = Asked {
        differ: Vec::new(),
        response: None,
        seed: 1,
        extent: Extent::WithoutCharts,
    };
    let found = together(&members, &asked).expect("campaigns of one kind");
    found
        .responses
        .into_iter()
        .next()
        .expect("a response")
        .effects
}

fn one(place: usize, hob: f64, apart: f64, random: &mut Seeded) -> InMemory {
    let runs = 8 + (7.0 * random.uniform()) as usize;
    let middle = 40.0 + BETWEEN_CAMPAIGNS * random.normal();
    let lots = [0, 1].map(|_| BETWEEN_LOTS * random.normal());
    let own = hob + apart * random.normal();
    let mut text = String::from("run,lot,heating,excess,crystals\n");
    for run in 0..runs {
        // Both levels and both lots stand in each campaign, in a mixed order.
        let at_hob = if run < 4 {
            run % 2 == 1
        } else {
            random.uniform() < 0.5
        };
        let lot = if run < 4 {
            run / 2
        } else {
            usize::from(random.uniform() < 0.5)
        };
        let excess = (10.0 * random.uniform()).floor() * 10.0;
        let crystals = middle
            + lots[lot]
            + f64::from(u8::from(at_hob)) * own
            + SLOPE * excess
            + random.normal();
        let level = if at_hob { "hob" } else { "muffle" };
        text += &format!("R{run},L{lot},{level},{excess},{crystals}\n");
    }
    let file = CAMPAIGN.replace("TITLE", &format!("C{place}"));
    InMemory::new(&file).with(LogKind::Runs, &text)
}

#[test]
fn common_effects_hold_the_truth_as_often_as_they_say() {
    let mut held = [0.0; 2];
    let mut settled = 0.0;
    for draw in 0..draws() {
        let effects = effects(draw, HOB, 0.0);
        settled += f64::from(u8::from(effects[0].why.is_empty()));
        for ((effect, truth), held) in effects.iter().zip([HOB, SLOPE]).zip(&mut held) {
            let interval = effect.common.as_ref().and_then(|term| term.interval);
            let interval = interval.expect("a common effect");
            *held += f64::from(u8::from(interval.low <= truth && truth <= interval.high));
        }
    }
    let count = draws() as f64;
    println!(
        "the common effect of the hob is settled in {:.1} % of {count} draws",
        100.0 * settled / count
    );
    for (what, held) in ["hob", "excess"].into_iter().zip(held) {
        let share = held / count;
        println!(
            "{what}: {:.2} % of {count} intervals hold the truth",
            100.0 * share
        );
        assert!(allowed().contains(&share), "{what}: {share}");
    }
}

#[test]
fn an_effect_that_differs_about_zero_is_hardly_ever_settled() {
    for apart in [0.5, 1.0, 3.0] {
        let wrong = (0..draws()).filter(|&draw| effects(draw, 0.0, apart)[0].why.is_empty());
        let (wrong, count) = (wrong.count() as f64, draws() as f64);
        println!(
            "spread {apart}: {:.2} % of {count} draws are settled",
            100.0 * wrong / count
        );
        let wider = if full_size() {
            0.0
        } else {
            3.0 * (0.05_f64 * 0.95 / count).sqrt()
        };
        assert!(
            wrong / count <= 0.05 + wider,
            "spread {apart}: {wrong} of {count}"
        );
    }
}
