//! Do charts flag by luck as often as they say, where runs share the error of the assay of their lot?
//!
//! In: seeded campaigns that do not drift, with lots whose assay is stated with an error or exactly. Out: tests of the
//! share of campaigns with any flag, at a small size or, with `RESIDUUM_SIMULATIONS=full`, at full size.
//! This module never draws an unseeded number.

use std::fmt::Write as _;

use residuum::campaign::LogKind;
use residuum::drift::Series;
use residuum::pipeline;
use residuum::seeded::Seeded;

use crate::in_memory::InMemory;

const SEED: u64 = 912_024;

/// Lots of each campaign, used up one after the other.
const LOTS: usize = 5;

/// Part of what is stated by which the share of campaigns with a flag may be off.
const A_FIFTH: f64 = 0.2;

/// Standard errors of the count that are allowed besides at the small size.
const STANDARD_ERRORS: f64 = 2.0;

/// Standard deviation of the yield from run to run [fraction].
const RUN_TO_RUN: f64 = 0.02;

/// Standard uncertainty of the assay of a lot [mass fraction]: the yields of its runs share 1.1 points.
const OF_ASSAY: f64 = 0.013;

const CAMPAIGN: &str = r#"[campaign]
title = "A process that stays where it is"
product = "CuSO4·5H2O"
followed = "Cu"
assay_as = "CuO"

[logs]
runs = "runs.csv"
lots = "lots.csv"

[factors.route]
kind = "choice"
baseline = "chill"

[factors.excess]
kind = "amount"
unit = "%"

[model]
responses = ["yield"]
effects = ["route", "excess"]
"#;

/// How the assays of the lots are known.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Assays {
    /// With an error that is stated.
    WithError,
    /// Exactly.
    Exact,
}

/// A campaign that does not drift; the true assay of a lot differs from the one stated where that has an error.
fn campaign(runs: usize, assays: Assays, number: u64) -> InMemory {
    let mut draws = Seeded::stream(SEED + runs as u64, number);
    let mut lots = String::from("lot,assay,u_assay\n");
    let mut true_assays = Vec::new();
    for lot in 1..=LOTS {
        let stated = 0.80 + 0.10 * draws.uniform();
        let error = OF_ASSAY * draws.normal();
        let (truth, of_assay) = match assays {
            Assays::WithError => (stated + error, OF_ASSAY.to_string()),
            Assays::Exact => (stated, String::new()),
        };
        true_assays.push(truth);
        writeln!(lots, "L{lot},{stated},{of_assay}").expect("a text takes what is written");
    }
    let mut log = String::from("run,lot,route,excess,feed_mass,crop1_mass,purity\n");
    for run in 0..runs {
        let lot = run * LOTS / runs;
        let boildown = draws.uniform() < 0.5;
        let excess = 20.0 + 80.0 * draws.uniform();
        let (route, effect) = if boildown {
            ("boildown", 0.05)
        } else {
            ("chill", 0.0)
        };
        let yields = 0.65 + effect + 0.0004 * excess + RUN_TO_RUN * draws.normal();
        // Product per gram of CuO, from molar masses of 249.68 and 79.545 g/mol.
        let theory = 500.0 * true_assays[lot] * 3.1389;
        writeln!(
            log,
            "N-{:02},L{},{route},{excess:.1},500,{:.2},0.99",
            run + 1,
            lot + 1,
            yields * theory / 0.99
        )
        .expect("a text takes what is written");
    }
    InMemory::new(CAMPAIGN)
        .with(LogKind::Runs, &log)
        .with(LogKind::Lots, &lots)
}

/// Campaigns at the small size, that of the test command, and at full size.
struct Campaigns {
    small: u64,
    full: u64,
}

fn full_size() -> bool {
    std::env::var("RESIDUUM_SIMULATIONS").is_ok_and(|size| size == "full")
}

fn check(runs: usize, assays: Assays, size: &Campaigns) {
    let campaigns = if full_size() { size.full } else { size.small };
    let (mut flagged, mut stated, mut widest) = (0.0, 0.0, 0.0_f64);
    for number in 0..campaigns {
        let worked = campaign(runs, assays, number).work_out();
        let drifts = pipeline::drift(&worked.campaign, worked.runs(), &[], Some("yield"), SEED);
        let series = &drifts.series[0];
        assert_eq!(series.places.len(), runs);
        stated += series.chance_of_any_flag / campaigns as f64;
        flagged += f64::from(u8::from(Series::signals(series).next().is_some()));
        widest = series
            .charts
            .iter()
            .map(|chart| chart.widened)
            .fold(widest, f64::max);
    }
    let share = flagged / campaigns as f64;
    let error = (stated * (1.0 - stated) / campaigns as f64).sqrt();
    println!(
        "{runs} runs, assays {assays:?}: {:.1} ± {:.1} % of {campaigns} campaigns flag, {:.1} % stated; limits at most {widest:.2} times as far out",
        100.0 * share,
        100.0 * error,
        100.0 * stated
    );
    let by_count = if full_size() { 0.0 } else { STANDARD_ERRORS };
    assert!(
        (share - stated).abs() <= A_FIFTH * stated + by_count * error,
        "{share} for {stated}"
    );
}

#[test]
fn sixty_two_runs_of_five_lots_flag_by_luck_as_often_as_they_say() {
    let size = Campaigns {
        small: 90,
        full: 2000,
    };
    for assays in [Assays::WithError, Assays::Exact] {
        check(62, assays, &size);
    }
}

#[test]
fn twenty_four_runs_of_five_lots_flag_by_luck_as_often_as_they_say() {
    let size = Campaigns {
        small: 110,
        full: 4000,
    };
    for assays in [Assays::WithError, Assays::Exact] {
        check(24, assays, &size);
    }
}
