//! Does residuum find what others have published or certified?
//!
//! In: `tests/data`, whose sources stand in `SOURCE.md` there. Out: one test a published case, each of which goes
//! through the program and prints how many digits agree (seen with `cargo test -- --nocapture`).
//! This module never takes an expected value from residuum.

mod blending;
mod carried_on;
mod chain;
mod control_charts;
mod correlated;
mod designed;
mod digits;
mod guides;
mod ledger;
mod molar_masses;
mod nist_one_way;
mod nist_regression;
mod optimal_designs;
mod power;
mod quantiles;
mod recycling_gain;
mod response_surfaces;
mod run_lengths;
mod second;
mod solubility;
mod statsmodels;
mod study;
mod titration;
mod trade;
