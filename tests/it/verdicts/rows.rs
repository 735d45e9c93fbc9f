//! What is wrong with the logs that are looked at.
//!
//! In: nothing. Out: [`ROWS`], each a name and a [`Truth`], and how many campaigns are drawn of each.
//! This module never says what should be found.

use super::logs::{CLEAN, Charges, Scatter, Truth};

/// Campaigns of each row and true gain, in the test command.
pub const SMALL: u64 = 100;

/// The same, or those at full size.
pub fn size() -> u64 {
    match std::env::var("RESIDUUM_SIMULATIONS").as_deref() {
        Ok("full") => 500,
        _ => SMALL,
    }
}

/// The rows that are looked at.
pub const ROWS: [(&str, Truth); 13] = [
    ("clean", CLEAN),
    (
        "ratio climbs while the process drifts 3 points",
        Truth {
            runs: 20,
            charges: Charges::Climbing,
            drift: 0.03,
            ..CLEAN
        },
    ),
    (
        "charged in the second half, a step of 2 points between",
        Truth {
            charges: Charges::SecondHalf(&[0.2, 0.35, 0.5]),
            step: 0.02,
            ..CLEAN
        },
    ),
    (
        "bowed by 3.75 points",
        Truth {
            charges: Charges::Mixed(&[0.0, 0.15, 0.3, 0.45, 0.6]),
            bow: 0.0375,
            ..CLEAN
        },
    ),
    (
        "bowed, ratios 0, 0.15, 0.5",
        Truth {
            charges: Charges::Mixed(&[0.0, 0.15, 0.5]),
            bow: 0.0375,
            ..CLEAN
        },
    ),
    (
        "joint effect missing",
        Truth {
            joint: 0.12,
            ..CLEAN
        },
    ),
    (
        "heavy tails",
        Truth {
            scatter: Scatter::HeavyTails,
            ..CLEAN
        },
    ),
    (
        "one run in ten wild",
        Truth {
            scatter: Scatter::Wild,
            ..CLEAN
        },
    ),
    (
        "neighbours connected by 0.7",
        Truth {
            scatter: Scatter::Connected(0.7),
            ..CLEAN
        },
    ),
    (
        "two lots that differ by 2 points",
        Truth {
            lots: 2,
            lot_sd: 0.02,
            ..CLEAN
        },
    ),
    (
        "three lots that differ by 2 points",
        Truth {
            lots: 3,
            lot_sd: 0.02,
            ..CLEAN
        },
    ),
    ("two lots alike", Truth { lots: 2, ..CLEAN }),
    (
        "ratio climbs from lot to lot while the process drifts 3 points",
        Truth {
            charges: Charges::Climbing,
            drift: 0.03,
            lots: 3,
            lot_sd: 0.02,
            ..CLEAN
        },
    ),
];
