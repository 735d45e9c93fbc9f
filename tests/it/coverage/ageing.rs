//! Do purities hold the truth as often as they say while their titrant ages?
//!
//! In: seeded campaigns of five weeks whose titrant loses 1 % in them, jumps once, or stays as it is, standardised twice a
//! week. Out: tests of how often the interval of a purity holds the truth, and how far it would be off by one mean strength.
//! This module never draws an unseeded number. `RESIDUUM_SIMULATIONS=full` asks for 4,000 campaigns of each kind.

use std::fmt::Write as _;

use residuum::campaign::LogKind;
use residuum::runs::Used;

use super::{CONFIDENCE, Chance, Coverage, full_size};
use crate::in_memory::InMemory;

const SEED: u64 = 20_261_201;

/// Days from the first titration to the last.
const SPAN: i32 = 35;

/// Runs of a campaign, evenly spread.
const RUNS: i32 = 8;

/// g/mol, abridged standard atomic weights of 2021.
const BLUESTONE: f64 = 249.677;
const IODATE: f64 = 213.99977;

/// Standard deviations: a titre, a mass on the analytical balance, the purity of the standard, a blank.
const TITRE: f64 = 0.03;
const MASS: f64 = 0.0002;
const STANDARD: f64 = 0.0002;
const BLANK: f64 = 0.01;

/// Half-width of the triangular error of the burette.
const BURETTE: f64 = 0.05;

/// How the strength goes.
#[derive(Clone, Copy)]
enum Titrant {
    Steady,
    /// Loses this part of it over all days, evenly.
    Ages(f64),
    /// Loses this part of it behind the middle day, at once.
    Jumps(f64),
}

impl Titrant {
    fn strength(self, day: i32) -> f64 {
        0.1 * match self {
            Titrant::Steady => 1.0,
            Titrant::Ages(loss) => 1.0 - loss * f64::from(day) / f64::from(SPAN),
            Titrant::Jumps(loss) => 1.0 - if 2 * day > SPAN { loss } else { 0.0 },
        }
    }
}

fn date(day: i32) -> String {
    match day + 1 {
        day @ ..=31 => format!("2026-03-{day:02}"),
        day => format!("2026-04-{:02}", day - 31),
    }
}

/// A campaign whose purities are known.
fn campaign(titrant: Titrant, number: u64) -> (InMemory, Vec<f64>) {
    let mut chance = Chance::stream(SEED, number);
    let burette = chance.triangular(BURETTE);
    let standard = 0.9994 + chance.normal(STANDARD);
    let blank = 0.05;
    let found_blank = blank + chance.normal(BLANK);
    let mut titrants = String::from(
        "titrant,date,standard,standard_mass,standard_purity,u_standard_purity,standard_ratio,titre,aliquot\n",
    );
    for day in (0..=SPAN).step_by(7) {
        for _ in 0..2 {
            let mass = 0.71 + 0.02 * chance.uniform();
            let volume = 1000.0 * 6.0 * 0.2 * mass * standard / IODATE / titrant.strength(day);
            let read = volume + chance.normal(TITRE) - burette;
            let weighed = mass + chance.normal(MASS);
            let at = date(day);
            writeln!(
                titrants,
                "S,{at},KIO3,{weighed},0.9994,{STANDARD},6,{read},0.2"
            )
            .unwrap();
        }
    }
    let mut runs = String::from("run,date,feed_mass,feed_assay\n");
    let mut crops = String::from("run,crop,mass\n");
    let mut titres = String::from("run,crop,date,sample_mass,titre,blank_of\n");
    let mut purities = Vec::new();
    for run in 0..RUNS {
        let day = (SPAN * run + RUNS / 2) / (RUNS - 1);
        let purity = 0.96 + 0.03 * chance.uniform();
        purities.push(purity);
        // Made a week before it was titrated: the date of the titre counts.
        writeln!(runs, "R{run},{},100,0.8", date((day - 7).max(0))).unwrap();
        writeln!(crops, "R{run},1,200").unwrap();
        for _ in 0..2 {
            let sample = 1.0 + 0.05 * chance.uniform();
            let volume = 1000.0 * sample * purity / BLUESTONE / titrant.strength(day);
            let read = volume + chance.normal(TITRE) + blank - burette;
            let weighed = sample + chance.normal(MASS);
            writeln!(titres, "R{run},1,{},{weighed},{read},b", date(day)).unwrap();
        }
    }
    let file = format!(
        r#"
[campaign]
title = "Five weeks"
product = "CuSO4·5H2O"
followed = "Cu"
assay_as = "CuO"

[logs]
runs = "runs.csv"
crops = "crops.csv"
titres = "titres.csv"
titrants = "titrants.csv"
blanks = "blanks.csv"

[titration]
analyte = "CuSO4·5H2O"
titrant = "S"
ratio = 1.0

[uncertainty]
titre = "{TITRE} mL"
blank = "{BLANK} mL"
burette = "±{BURETTE} mL triangular"
sample_mass = "{MASS} g"
standard_mass = "{MASS} g"
shared = ["burette"]
"#
    );
    let campaign = InMemory::new(&file)
        .with(LogKind::Runs, &runs)
        .with(LogKind::Crops, &crops)
        .with(LogKind::Titres, &titres)
        .with(LogKind::Titrants, &titrants)
        .with(LogKind::Blanks, &format!("blank,titre\nb,{found_blank}\n"));
    (campaign, purities)
}

/// What a kind of titrant did to the purity of one run of each campaign.
#[derive(Default)]
struct Held {
    by_day: Coverage,
    by_mean: Coverage,
    /// Campaigns in which one mean, a line and the way between days was used.
    used: [u32; 3],
    /// Sum of what the last run of each would be off by with one mean.
    off_by_mean: f64,
    off: f64,
}

fn simulated(titrant: Titrant) -> Held {
    let campaigns: u64 = if full_size() { 4_000 } else { 500 };
    let mut held = Held::default();
    for number in 0..campaigns {
        let (campaign, truth) = campaign(titrant, number);
        let worked = campaign.work_out();
        let runs = worked.runs();
        let strength = &runs.titrants[0];
        held.used[match strength.by_date.used() {
            Used::Pooled => 0,
            Used::Line => 1,
            Used::Between => 2,
        }] += 1;
        let run = number as usize % truth.len();
        let at = |run: usize| {
            worked
                .run(&format!("R{run}"))
                .purity
                .clone()
                .expect("a purity")
        };
        let day = |run: usize| {
            let day = (SPAN * run as i32 + RUNS / 2) / (RUNS - 1);
            strength.rows[0].day.expect("a date") + day
        };
        let purity = at(run);
        let half = runs.sources.expanded(&purity, CONFIDENCE);
        held.by_day.count(&purity, half, truth[run]);
        // What one mean of all standardisations would make of it.
        let by_mean = |run: usize| {
            let of_day = strength.by_date.at(Some(day(run)));
            &(&at(run) * &strength.concentration) / &of_day
        };
        let mean = by_mean(run);
        held.by_mean
            .count(&mean, runs.sources.expanded(&mean, CONFIDENCE), truth[run]);
        let last = truth.len() - 1;
        held.off_by_mean += (by_mean(last).value() - truth[last]) / campaigns as f64;
        held.off += (at(last).value() - truth[last]) / campaigns as f64;
    }
    println!(
        "one mean {}, line {}, between {}; last run off by {:.2} points, {:.2} with one mean; one mean holds {:.1} %",
        held.used[0],
        held.used[1],
        held.used[2],
        100.0 * held.off,
        100.0 * held.off_by_mean,
        100.0 * held.by_mean.share()
    );
    held
}

/// Coverage of 95 %, within four standard errors and a little more, as many campaigns as there are.
fn check(what: &str, held: &Held) {
    let share = held.by_day.share();
    println!(
        "{what}: {:.1} % of {} hold the truth",
        100.0 * share,
        held.by_day.intervals
    );
    let error = (CONFIDENCE * (1.0 - CONFIDENCE) / held.by_day.intervals as f64).sqrt();
    assert!((share - CONFIDENCE).abs() < 4.4 * error, "{what}: {share}");
}

#[test]
fn purities_hold_the_truth_while_the_titrant_loses_one_per_cent() {
    let held = simulated(Titrant::Ages(0.01));
    check("purity by the strength of its day, 1 % lost", &held);
    // Half of what is lost, at either end.
    assert!(
        (100.0 * held.off_by_mean.abs() - 0.5).abs() < 0.05,
        "{}",
        held.off_by_mean
    );
    assert!(held.off.abs() < 0.0003, "{}", held.off);
    assert!(held.by_mean.share() < 0.8);
    assert_eq!(held.used[0], 0);
}

#[test]
fn purities_hold_the_truth_while_the_titrant_stays_as_it_is() {
    let held = simulated(Titrant::Steady);
    check("purity, nothing lost", &held);
    let all: u32 = held.used.iter().sum();
    // Three tests at 5 %, two of which see the same slope.
    assert!(
        f64::from(held.used[0]) > 0.82 * f64::from(all),
        "{:?}",
        held.used
    );
}

#[test]
fn purities_hold_the_truth_while_a_loss_is_hardly_to_be_seen() {
    let held = simulated(Titrant::Ages(0.0015));
    check("purity, 0.15 % lost", &held);
}

#[test]
fn purities_hold_the_truth_where_the_strength_jumps() {
    let held = simulated(Titrant::Jumps(0.01));
    let share = held.by_day.share();
    println!(
        "purity, 1 % lost at once: {:.1} % hold the truth",
        100.0 * share
    );
    // Between the two days around the jump nobody knows on which it was: wider than elsewhere, never narrower.
    assert!(share > 0.935, "{share}");
}
