//! Does a loop that no price values, or that no vessel holds, say so in place of figures?
//!
//! In: a sound campaign that asks about money, spoilt. Out: tests of what is told of the loop.
//! This module never takes an expected figure from the program.

use serde_json::Value;

use super::money_bench::{MoneyCampaign, gain, recycled};
use crate::support::{list, number};

/// Absolute, in g or EUR: crops are logged with six decimals.
const LOGGED: f64 = 1e-4;
/// (0.65 · 100 g − 0.70 · 80 g) · 0.2 EUR/g less 3 minutes at 20 EUR/h [EUR].
const GAIN: f64 = 0.8;

#[test]
fn without_prices_a_loop_is_told_in_grams_and_gains_nothing() {
    for campaign in [
        MoneyCampaign::with_residue_left().without("[prices]"),
        MoneyCampaign::with_residue_left().but("product = \"200 /kg\"\n", ""),
        MoneyCampaign::with_residue_left()
            .without("[prices]")
            .but("bleed = 0.2\n", ""),
    ] {
        let (said, found) = recycled(&campaign);
        assert_eq!(found["loop"]["best_bleed"], Value::Null);
        let cycles = list(&found, "cycles");
        assert_eq!(cycles.len(), 4);
        for cycle in cycles {
            assert_eq!(cycle["gain"], Value::Null);
            assert_eq!(cycle["half_width"], Value::Null);
            assert!(number(cycle, "residue") > 0.0);
        }
        let last = said.lines().rfind(|line| line.starts_with("4 "));
        assert!(last.expect("the fourth cycle").ends_with(" –"), "{said}");
    }
}

#[test]
fn a_vessel_that_holds_no_residue_is_named() {
    let (said, found) = recycled(&MoneyCampaign::with_residue_left().but("400 g", "90 g"));
    assert!((gain(&found) - GAIN).abs() < LOGGED, "{said}");
    let why = "`vessel_solids` is 90 g and a run takes 100 g of fresh feed, so no residue fits in";
    assert_eq!(found["loop"]["reason"], why);
    assert!(
        said.ends_with(&format!("\nround after round: {why}\n")),
        "{said}"
    );
}

#[test]
fn one_cycle_without_a_bleed_charges_all_that_a_run_leaves() {
    let once = MoneyCampaign::with_residue_left()
        .but("bleed = 0.2", "bleed = 0")
        .but("cycles = 4", "cycles = 1");
    let (_, found) = recycled(&once);
    let cycles = list(&found, "cycles");
    assert_eq!(cycles.len(), 1);
    // 24 g of copper oxide that is not in the crop, and 20 g else.
    assert!(
        (number(&cycles[0], "residue") - 44.0).abs() < LOGGED,
        "{found}"
    );
    assert!(
        (number(&cycles[0], "solids") - 144.0).abs() < LOGGED,
        "{found}"
    );
}
