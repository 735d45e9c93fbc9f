//! What would a process have logged that moves at a known run?
//!
//! In: a seed, the number of a campaign and a [`Process`]. Out: [`InMemory`], a campaign on logged columns.
//! This module never knows what a chart makes of it.

use std::fmt::Write as _;

use residuum::campaign::LogKind;
use residuum::seeded::Seeded;

use crate::in_memory::InMemory;

/// Runs of each campaign.
pub const RUNS: usize = 64;

/// Run from which on the process stands elsewhere, counted from 1.
pub const STEP_AT: usize = 40;

/// Standard deviation from run to run [g].
pub const SD: f64 = 2.0;

/// How a process behaves.
#[derive(Clone, Copy)]
pub struct Process {
    /// Lasting change from run 40 on [standard deviations from run to run].
    pub step: f64,
    /// Runs made on one lot before the next is opened.
    pub runs_a_lot: usize,
    /// Scatter of the lots [standard deviations from run to run].
    pub lots: f64,
}

impl Process {
    /// A step of one and a half standard deviations in the middle of the third of four lots.
    pub const STEPPED: Process = Process {
        step: 1.5,
        runs_a_lot: 16,
        lots: 0.3,
    };
}

/// Two factors whose effects are as large as the step, lots in a row as blocks.
const CAMPAIGN: &str = r#"[campaign]
title = "A process that may move"

[logs]
runs = "runs.csv"

[factors.heating]
kind = "choice"
baseline = "muffle"

[factors.excess]
kind = "amount"
unit = "%"

[responses.output]
column = "output"
unit = "g"

[model]
responses = ["output"]
effects = ["heating", "excess"]
blocks = ["lot"]

[drift]
response = "output"
baseline = 30
"#;

/// One campaign; every number of it has a stream of its own.
pub fn campaign(process: Process, seed: u64, number: u64) -> InMemory {
    let mut draws = Seeded::stream(seed, number);
    let lots: Vec<f64> = (0..RUNS.div_ceil(process.runs_a_lot))
        .map(|_| process.lots * SD * draws.normal())
        .collect();
    let mut log = String::from("run,lot,heating,excess,output\n");
    for run in 1..=RUNS {
        let lot = (run - 1) / process.runs_a_lot;
        let hob = draws.uniform() < 0.5;
        let excess = 20.0 + 80.0 * draws.uniform();
        let step = if run >= STEP_AT {
            process.step * SD
        } else {
            0.0
        };
        let output = 60.0 - if hob { 3.0 } else { 0.0 }
            + 0.05 * excess
            + lots[lot]
            + step
            + SD * draws.normal();
        let heating = if hob { "hob" } else { "muffle" };
        writeln!(
            log,
            "S-{run:02},L{},{heating},{excess:.1},{output:.3}",
            lot + 1
        )
        .expect("a text takes what is written");
    }
    InMemory::new(CAMPAIGN).with(LogKind::Runs, &log)
}
