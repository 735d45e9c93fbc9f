//! Do many runs on one lot give their mean, with the error of the assay that they share?
//!
//! In: a log of twenty thousand runs on one lot, written from a seed. Out: a test through the program.
//! This module never draws without a seed.

use std::fmt::Write;

use residuum::seeded::Seeded;

use crate::support::{CampaignFolder, list, member, number, residuum_json};

const SEED: u64 = 31;
const RUNS: usize = 20_000;

/// Relative standard uncertainty of the assay of the lot.
const ASSAY: f64 = 0.017;

/// True yield and its standard deviation from run to run.
const MEAN: f64 = 0.62;
const SCATTER: f64 = 0.02;

/// How far the mean found may lie from the true one, in standard errors.
///
/// The assay that the log states is the true one, so that the shared error of this lot is zero; the scatter of the runs
/// moves their mean by 0.00014, a hundredth of the standard error, which is all but the uncertainty of the assay. A
/// fit that takes the error at each observed yield comes out 0.03 or more too low at 200 runs on a lot.
const UNBIASED: f64 = 0.1;

/// How far the standard error may lie from `0.017 · 0.62`, relative: scatter adds 0.0001 of it, a mean that is off by
/// `UNBIASED` 0.0017, and the masses are written to 0.01 g.
const OF_THE_ERROR: f64 = 0.005;

/// How far the scatter found may lie from the true one, relative: four standard errors of a standard deviation from
/// 20,000 runs, which is known to 1 / √(2 · 20,000).
const OF_THE_SCATTER: f64 = 0.02;

/// Grams of pentahydrate from 100 g of feed at an assay of 0.8: molar masses 249.677 and 79.545 g/mol, CIAAW 2021 abridged,
/// as in `tests/data/molar_masses.json`.
const THEORY: f64 = 80.0 / 79.545 * 249.677;

const CAMPAIGN: &str = r#"[campaign]
title = "One lot for years"
product = "CuSO4·5H2O"
followed = "Cu"
assay_as = "CuO"

[logs]
runs = "runs.csv"
lots = "lots.csv"

[model]
responses = ["yield"]
effects = []

[uncertainty]
feed_mass = "0.01 g"
crop_mass = "0.01 g"
purity = "0.0001"
"#;

fn runs() -> String {
    let mut generator = Seeded::stream(SEED, 0);
    let mut text = String::from("run,lot,feed_mass,crop1_mass,purity1\n");
    for run in 0..RUNS {
        let mass = THEORY * (MEAN + SCATTER * generator.normal());
        writeln!(text, "r{run},A,100,{mass:.2},1").expect("text can be written to");
    }
    text
}

#[test]
fn the_mean_of_twenty_thousand_runs_on_one_lot_is_unbiased() {
    let lot = format!("lot,assay,u_assay\nA,0.8,{}\n", 0.8 * ASSAY);
    let folder = CampaignFolder::new()
        .with("campaign.toml", CAMPAIGN)
        .with("lots.csv", &lot)
        .with("runs.csv", &runs());
    let result = residuum_json("fit", folder.path());
    let model = &list(&result, "models")[0];
    assert_eq!(model["method"], "measured");
    assert_eq!(number(model, "runs"), RUNS as f64);
    let mean = member(list(model, "terms"), "term", "constant").expect("a mean");
    let [value, error] = ["value", "u"].map(|key| number(mean, key));
    println!(
        "{value} ± {error}, off by {} errors",
        (value - MEAN) / error
    );
    assert!((value - MEAN).abs() < UNBIASED * error, "{mean}");
    assert!(
        (error / (ASSAY * MEAN) - 1.0).abs() < OF_THE_ERROR,
        "{mean}"
    );
    let parts = list(model, "variance_components");
    let scatter = member(parts, "name", "run to run").expect("what the runs scatter by");
    let found = number(scatter, "sd");
    assert!((found / SCATTER - 1.0).abs() < OF_THE_SCATTER, "{scatter}");
}
