//! Does the gain of residue hold what the product of a second element brings as often as it claims?
//!
//! In: seeded campaigns of a known gain, copper and nickel out of one feed. Out: a test of the share of intervals that hold it, and
//! of what is settled where nothing is gained.
//! This module never takes a truth from the analysis.

use std::fmt::Write as _;

use residuum::answers::{Question, Status};
use residuum::campaign::LogKind;
use residuum::pipeline::{self, Asked, Extent};
use residuum::seeded::Seeded;

use crate::in_memory::InMemory;

const SEED: u64 = 20_261_201;
const FEED: f64 = 400.0;
/// Copper and nickel of feed and residue [mass fraction], and product per metal [g/g].
const FRESH: [f64; 2] = [0.20, 0.066];
const RESIDUE: [f64; 2] = [0.08, 0.05];
const PER_METAL: [f64; 2] = [249.68 / 63.546, 262.85 / 58.693];
/// Prices of the products [currency/g].
const PRICES: [f64; 2] = [0.006, 0.022];
const RATIO: f64 = 0.3;

/// Yields of both at a ratio [fraction of theory].
fn yields(ratio: f64) -> [f64; 2] {
    [0.78 - 0.05 * ratio, 0.55 - 0.02 * ratio]
}

/// What both products of a run are worth \[currency\].
fn worth(ratio: f64) -> f64 {
    let of = |metal: usize| {
        let content = FRESH[metal] + ratio * RESIDUE[metal];
        FEED * content * PER_METAL[metal] * yields(ratio)[metal] * PRICES[metal]
    };
    of(0) + of(1)
}

fn campaign(number: u64) -> InMemory {
    let mut draws = Seeded::stream(SEED, number);
    let file = std::fs::read_to_string("tests/data/second/campaign.toml").expect("a campaign");
    // Handling takes all that a charged run gains, at 1 a minute.
    let handling = worth(RATIO) - worth(0.0);
    let labour = format!("[prices]\nlabour = \"60 /h\"\nresidue_handling = \"{handling} min/run\"");
    let file = file.replace("[prices]", &labour);
    let file = file.replace("[recycling]", "[recycling]\nhandling = \"extra\"");
    let lots = format!(
        "lot,assay,u_assay,Ni_assay,u_Ni_assay\nA,{},0.002,{},0.0007\n",
        FRESH[0] + 0.002 * draws.normal(),
        FRESH[1] + 0.0007 * draws.normal()
    );
    let mut runs =
        "run,lot,feed_mass,residue_mass,residue_from,acid,crop1_mass,purity,Ni_mass,Ni_purity\n"
            .to_string();
    let mut residues = "run,mass,assay,Ni_assay\n".to_string();
    for run in 0..24 {
        let ratio = if run > 0 && draws.uniform() < 0.5 {
            RATIO
        } else {
            0.0
        };
        let cold = run == 0 || run > 1 && draws.uniform() < 0.5;
        let from = if ratio > 0.0 {
            format!("S{}", run - 1)
        } else {
            String::new()
        };
        let acid = if cold { "cold" } else { "hot" };
        let effect = if cold { -0.015 } else { 0.015 };
        let own = [effect + 0.015 * draws.normal(), 0.02 * draws.normal()];
        let [copper, nickel] = [0, 1].map(|metal| {
            let content = FRESH[metal] + ratio * RESIDUE[metal];
            FEED * content * PER_METAL[metal] * (yields(ratio)[metal] + own[metal])
        });
        let charged = FEED * ratio;
        writeln!(
            runs,
            "S{run},A,{FEED},{charged},{from},{acid},{copper:.2},1,{nickel:.2},1"
        )
        .expect("a text takes what is written");
        writeln!(residues, "S{run},180,{},{}", RESIDUE[0], RESIDUE[1])
            .expect("a text takes what is written");
    }
    InMemory::new(&file)
        .with(LogKind::Runs, &runs)
        .with(LogKind::Lots, &lots)
        .with(LogKind::Residues, &residues)
}

#[test]
fn the_gain_with_a_second_product_is_held_and_seldom_firm_where_it_is_nothing() {
    let is_full = std::env::var("RESIDUUM_SIMULATIONS").is_ok_and(|size| size == "full");
    let campaigns: u64 = if is_full { 1000 } else { 60 };
    let (mut held, mut wrong) = (0_u64, 0_u64);
    for number in 0..campaigns {
        let worked = campaign(number).work_out();
        let asked = Asked {
            extent: Extent::WithoutCharts,
            ..Asked::usual(1)
        };
        let analysis = pipeline::analyse(worked.campaign, worked.normalised, asked)
            .unwrap_or_else(|faults| panic!("{faults}"));
        let found = analysis.findings.recycling.as_ref().expect("an answer");
        let gain = found.money.as_ref().expect("prices are stated").gain;
        held += u64::from(gain.low <= 0.0 && 0.0 <= gain.high);
        let mut answers = analysis.answers.iter();
        let answer = answers.find(|answer| answer.question == Question::Residue);
        wrong += u64::from(answer.expect("it is asked").status == Status::Settled);
    }
    let share = |count: u64| count as f64 / campaigns as f64;
    println!(
        "held in {:.3}, settled in {:.3} of {campaigns}",
        share(held),
        share(wrong)
    );
    // Three standard errors of a coverage of 95 %, and of 5 % settled.
    let luck = 3.0 * (0.95 * 0.05 / campaigns as f64).sqrt();
    assert!((share(held) - 0.95).abs() <= luck, "{}", share(held));
    assert!(share(wrong) <= 0.05 + luck, "{}", share(wrong));
}
