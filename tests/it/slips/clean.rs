//! Is an entry doubted that is right?
//!
//! In: simulated campaigns that nothing is wrong with, from seeds fixed beforehand. Out: a test of how many of them are doubted.
//! This module never draws an unseeded number.

use std::collections::BTreeMap;

use residuum::seeded::Seeded;

use super::found::{Kind, Slip, slips};
use super::logs::make;
use super::plans::{Draws, Plan};
use super::preparations::PREPARATIONS;

/// The seed was fixed before any campaign was looked at.
const SEED: u64 = 1_313;

/// Part of clean campaigns that may have an unlikely entry; and standard errors of the count allowed at the small size.
const UNLIKELY: f64 = 0.05;
const STANDARD_ERRORS: f64 = 2.0;

/// Campaigns of the test command, and at full size.
fn size() -> u64 {
    match std::env::var("RESIDUUM_SIMULATIONS").as_deref() {
        Ok("full") => 300,
        _ => 60,
    }
}

fn doubted(number: u64) -> (Plan, Vec<Slip>) {
    let preparation = PREPARATIONS[(number % 3) as usize];
    let mut draws = Draws(Seeded::stream(SEED, number));
    let plan = Plan::draw(preparation, &mut draws);
    let worked = make(&plan, &mut draws).work_out();
    let runs = worked.runs();
    let left_out: Vec<_> = runs
        .left_out
        .iter()
        .map(|row| row.error.to_string())
        .collect();
    assert!(left_out.is_empty(), "campaign {number}: {left_out:?}");
    assert_eq!(runs.used(), plan.runs, "campaign {number}");
    (plan, slips(&runs.caveats))
}

#[test]
fn entries_that_are_right_are_hardly_ever_doubted() {
    let campaigns = size();
    let mut by_kind: BTreeMap<(Kind, String), usize> = BTreeMap::new();
    let mut with: BTreeMap<Kind, usize> = BTreeMap::new();
    for number in 0..campaigns {
        let (plan, found) = doubted(number);
        for slip in &found {
            println!(
                "campaign {number} ({}, {} runs, {:?}, sizes {:?}): {:?} {} {} line {}, {} = {}: {}",
                plan.preparation.product,
                plan.runs,
                plan.style,
                plan.sizes,
                slip.kind,
                slip.run,
                slip.file,
                slip.line,
                slip.column,
                slip.value,
                slip.likely
            );
            let column = format!("{} {}", slip.file, slip.column);
            *by_kind.entry((slip.kind, column)).or_default() += 1;
        }
        for kind in [Kind::Impossible, Kind::Unlikely, Kind::Odd] {
            let any = found.iter().any(|slip| slip.kind == kind);
            *with.entry(kind).or_default() += usize::from(any);
        }
    }
    println!("entries doubted in {campaigns} clean campaigns: {by_kind:#?}");
    println!("campaigns with any, of {campaigns}: {with:?}");
    assert_eq!(
        with[&Kind::Impossible],
        0,
        "impossible entries in clean campaigns"
    );
    let share = with[&Kind::Unlikely] as f64 / campaigns as f64;
    let error = (UNLIKELY * (1.0 - UNLIKELY) / campaigns as f64).sqrt();
    let by_count = if campaigns < 300 {
        STANDARD_ERRORS * error
    } else {
        0.0
    };
    assert!(
        share <= UNLIKELY + by_count,
        "{share} of {campaigns} campaigns"
    );
}
