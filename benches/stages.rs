//! What does each stage of a report cost, in logs of 64 to 9,984 runs?
//!
//! In: the bluestone demo, its runs logged again and again under further names. Out: the time of intake, yields with budgets,
//! measured fits with what stands beside them, those with all decisions, and the written report, by number of runs.
//! This module never judges a figure: `cargo bench --bench stages` prints, and people compare.

// A bench is read by people and stops where it cannot go on.
#![allow(clippy::expect_used, clippy::panic)]

use std::fs;
use std::path::Path;

use divan::Bencher;
use residuum::campaign::{Campaign, CampaignDraft, FileText, LogKind};
use residuum::intake::{self, LogFile, Logged};
use residuum::pipeline::{self, Asked, Normalised};
use residuum::report;

/// How often the 64 runs of the demo are logged.
const COPIES: [usize; 3] = [1, 16, 156];

/// Seed of whatever is simulated.
const SEED: u64 = 1;

fn main() {
    divan::main();
}

fn demo(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone");
    fs::read_to_string(folder.join(name)).expect("the demo can be read")
}

/// The campaign without its furnace readings.
fn campaign() -> Campaign {
    let of_readings = ["readings =", "[readings]", "above ="];
    let text = demo("campaign.toml");
    let lines = text.lines();
    let kept = lines.filter(|line| !of_readings.iter().any(|start| line.starts_with(start)));
    let file = FileText {
        file: "campaign.toml".into(),
        text: kept.collect::<Vec<_>>().join("\n"),
    };
    let draft = CampaignDraft::read(file).expect("the demo can be read");
    draft.check().expect("the demo has no fault")
}

/// The logs, each run of the demo so many times.
fn logs(copies: usize) -> Vec<LogFile> {
    let kinds = [
        (LogKind::Runs, "runs.csv"),
        (LogKind::Lots, "lots.csv"),
        (LogKind::Crops, "crops.csv"),
        (LogKind::Titres, "titres.csv"),
        (LogKind::Titrants, "titrants.csv"),
        (LogKind::Residues, "residues.csv"),
    ];
    let of_kind = |(kind, name): (LogKind, &str)| {
        let once = demo(name);
        let mut text = once.clone();
        if !matches!(kind, LogKind::Lots | LogKind::Titrants) {
            let (_, rows) = once.split_once('\n').expect("a log has a heading");
            for copy in 1..copies {
                text += &rows.replace("B-", &format!("B{copy}-"));
            }
        }
        LogFile {
            kind,
            file: name.into(),
            part: None,
            bytes: text.into_bytes(),
        }
    };
    kinds.map(of_kind).into()
}

fn read(campaign: &Campaign, copies: usize) -> Logged {
    intake::read(campaign, &logs(copies)).expect("the demo can be read")
}

fn on_one_footing(campaign: &Campaign, copies: usize) -> Normalised {
    let logged = read(campaign, copies);
    match pipeline::on_one_footing(campaign, logged) {
        Ok(normalised) => normalised,
        Err(stopped) => panic!("{:?}", stopped.faults),
    }
}

#[divan::bench(args = COPIES, sample_count = 5)]
fn intake(bencher: Bencher, copies: usize) {
    let (campaign, logs) = (campaign(), logs(copies));
    bencher.bench(|| intake::read(&campaign, &logs));
}

#[divan::bench(args = COPIES, sample_count = 5)]
fn yields(bencher: Bencher, copies: usize) {
    let campaign = campaign();
    let logged = || read(&campaign, copies);
    bencher
        .with_inputs(logged)
        .bench_values(|logged| pipeline::on_one_footing(&campaign, logged).is_ok());
}

#[divan::bench(args = COPIES, sample_count = 5)]
fn fits(bencher: Bencher, copies: usize) {
    let campaign = campaign();
    let runs = on_one_footing(&campaign, copies).runs;
    bencher.bench(|| pipeline::fit(&campaign, &runs, None, SEED).is_ok());
}

#[divan::bench(args = COPIES, sample_count = 3)]
fn decisions(bencher: Bencher, copies: usize) {
    let made = || (campaign(), on_one_footing(&campaign(), copies));
    bencher
        .with_inputs(made)
        .bench_values(|(campaign, normalised)| {
            pipeline::analyse(campaign, normalised, Asked::usual(SEED)).is_ok()
        });
}

#[divan::bench(args = COPIES, sample_count = 3)]
fn written(bencher: Bencher, copies: usize) {
    let campaign = campaign();
    let normalised = on_one_footing(&campaign, copies);
    let analysis = pipeline::analyse(campaign, normalised, Asked::usual(SEED));
    let analysis = analysis.expect("the demo can be worked out");
    bencher.bench(|| report::report(&analysis).is_ok());
}
