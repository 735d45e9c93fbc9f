//! Is the chance to see a difference that of the published tables?
//!
//! In: `power_two_means.csv`, and a log made so that its residual mean square is 1. Out: the chance that `next` prints, and the
//! power behind it.
//! This module never takes an expected chance from the library.

use residuum::regression::power_of_t_test;

use crate::support::{CampaignFolder, data, number, residuum};

/// The table has eight decimals.
const TABLE: f64 = 1e-7;

/// Chance that a t of 66 degrees of freedom, moved by `0.8 √17`, lies beyond its own 1.996564 on either side: by Simpson's
/// rule over the density. `next` prints it because it knows the scatter from these runs alone; the table takes it as known.
const CHANCE: f64 = 0.901_266_06;

#[test]
fn the_chance_to_see_the_margin_is_that_of_a_moved_t_and_of_the_table_where_the_scatter_is_known() {
    // `power_two_means.csv`: Cohen 1988; effect of 0.8 standard deviations, power 0.9, level 0.05: 34 runs a group.
    let table = data("power_two_means.csv");
    let row: Vec<&str> = table
        .lines()
        .find(|line| line.starts_with("0.05,0.8,0.9,"))
        .expect("the row is there")
        .split(',')
        .collect();
    let each: usize = row[4].parse().expect("a number of runs");
    let power: f64 = row[5].parse().expect("a chance");
    // Half of each group lies `c` above and half below its mean, so that the residual mean square is 1.
    let c = ((2 * each - 2) as f64 / (2 * each) as f64).sqrt();
    // The means lie 0.4 apart: less than the interval reaches, and its end beyond the margin, so that the question is open.
    let mut log = String::from("run,vessel,rate\n");
    for (vessel, mean) in [("steel", 10.0), ("glass", 10.4)] {
        for run in 0..each {
            let rate = if run % 2 == 0 { mean + c } else { mean - c };
            log.push_str(&format!("{vessel}-{run},{vessel},{rate:.15}\n"));
        }
    }
    let campaign = "[campaign]\ntitle = \"Slurry tests\"\n[logs]\nruns = \"runs.csv\"\n[factors.vessel]\nkind = \"choice\"\nbaseline = \"steel\"\n[responses.rate]\ncolumn = \"rate\"\n[model]\nresponses = [\"rate\"]\neffects = [\"vessel\"]\nmethod = \"plain\"\n[aim]\nmaximise = \"rate\"\nmargin = { rate = 0.8 }\n";
    let folder = CampaignFolder::new()
        .with("campaign.toml", campaign)
        .with("runs.csv", &log);
    let plan = residuum(&[
        "next",
        &folder.path().display().to_string(),
        "--json",
        "--runs",
        "4",
    ])
    .json();
    let found = &plan["next_runs_for"]["power"][0];
    assert!(
        (number(found, "before") - CHANCE).abs() < TABLE,
        "{found} {power}"
    );
    assert!(number(found, "after") > CHANCE);
    // With the scatter known, it is that of the table.
    let away = 0.8 * (each as f64 / 2.0).sqrt();
    let known = power_of_t_test(away, (2 * each - 2) as f64, 0.05).expect("a power");
    assert!((known - power).abs() < TABLE, "{known} {power}");
}
