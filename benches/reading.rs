//! What does reading large logs cost beside what polars takes to read and cast the same files?
//!
//! In: a number of runs, 100,000 unless one is given; each has two crops, four titres and a residue. Out: seconds of both by
//! the clock and of processors, each the least of several, and their ratios.
//! This module never judges a figure: `cargo bench --bench reading` prints, and people compare.

// A bench is read by people and stops where it cannot go on.
#![allow(clippy::expect_used, clippy::print_stdout)]

use std::hint::black_box;
use std::io::Cursor;
use std::time::Instant;

use polars::prelude::{ChunkCast, CsvReadOptions, DataType, SerReader};
use residuum::campaign::{Campaign, CampaignDraft, FileText, LogKind};
use residuum::intake::{LogFile, survey};

/// Runs when no number is given.
const RUNS: usize = 100_000;

/// Times that each is repeated; the least one is told, which others on the machine disturb least.
const REPEATS: usize = 7;

const CAMPAIGN: &str = r#"
[campaign]
title = "Many runs"
product = "CuSO4·5H2O"
followed = "Cu"
assay_as = "CuO"

[logs]
runs = "runs.csv"
lots = "lots.csv"
crops = "crops.csv"
titres = "titres.csv"
titrants = "titrants.csv"
residues = "residues.csv"

[titration]
analyte = "CuSO4·5H2O"
titrant = "T"
ratio = 1.0

[factors.route]
kind = "choice"
baseline = "chill"

[factors.oxidant_excess]
kind = "amount"
unit = "%"
"#;

fn main() {
    // A test of all targets starts this too, and shall not wait for it.
    if !std::env::args().any(|argument| argument == "--bench") {
        return;
    }
    let number = std::env::args()
        .skip(1)
        .find_map(|argument| argument.parse().ok());
    let files = logs(number.unwrap_or(RUNS));
    let campaign = campaign();
    let rows: usize = files
        .iter()
        .map(|file| file.bytes.iter().filter(|b| **b == b'\n').count() - 1)
        .sum();
    let bytes: usize = files.iter().map(|file| file.bytes.len()).sum();
    println!("{rows} rows, {:.1} MB", bytes as f64 / 1e6);
    let ours = || {
        let found = survey(&campaign, &files);
        assert!(
            found.stops.is_empty() && found.logged.left_out.is_empty(),
            "{:?}",
            found.stops
        );
        black_box(found);
    };
    let theirs = || files.iter().for_each(|file| read_and_cast(&file.bytes));
    let mut least = [[f64::INFINITY; 2]; 2];
    // By turns, so that both meet the same neighbours.
    for _ in 0..REPEATS {
        for (least, spent) in least.iter_mut().zip([spent(ours), spent(theirs)]) {
            *least = [0, 1].map(|of| least[of].min(spent[of]));
        }
    }
    let [ours, theirs] = least;
    let whats = [
        "reading with all checks",
        "polars reading and casting alone",
    ];
    for (what, [wall, processor]) in whats.into_iter().zip([ours, theirs]) {
        println!("{what}: {wall:.3} s, of processors {processor:.2} s");
    }
    let [wall, processor] = [0, 1].map(|of| ours[of] / theirs[of]);
    println!("ratio: {wall:.2}, of processors {processor:.2}");
}

/// Seconds that work takes: by the clock, and of all processors together.
fn spent(work: impl Fn()) -> [f64; 2] {
    let (begin, before) = (Instant::now(), processor_time());
    work();
    [begin.elapsed().as_secs_f64(), processor_time() - before]
}

/// Seconds that all threads of this process have worked, as far as the system tells: user and system time in hundredths.
fn processor_time() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let behind_name = stat.rsplit(')').next().unwrap_or_default();
    let ticks = behind_name.split_whitespace().skip(11).take(2);
    let ticks = ticks.filter_map(|ticks| ticks.parse::<f64>().ok());
    ticks.sum::<f64>() / 100.0
}

/// Reads a log as text and casts every column to numbers, as far as it holds any.
fn read_and_cast(bytes: &[u8]) {
    let options = CsvReadOptions::default()
        .with_has_header(true)
        .with_infer_schema_length(Some(0));
    let frame = options
        .into_reader_with_file_handle(Cursor::new(bytes.to_vec()))
        .finish();
    for column in frame.expect("the log is read").columns() {
        let numbers = column
            .str()
            .expect("it holds texts")
            .cast(&DataType::Float64);
        let _ = black_box(numbers.expect("it is cast"));
    }
}

fn campaign() -> Campaign {
    let file = FileText {
        file: "campaign.toml".into(),
        text: CAMPAIGN.into(),
    };
    let draft = CampaignDraft::read(file).expect("the campaign file is sound");
    draft.check().expect("the campaign is sound")
}

/// Logs of so many runs, with figures that vary and no fault.
fn logs(runs: usize) -> Vec<LogFile> {
    let mut texts = [
        (
            LogKind::Runs,
            String::from("run,date,lot,route,oxidant_excess,feed_mass,residue_mass,labour\n"),
        ),
        (
            LogKind::Lots,
            String::from("lot,assay,u_assay,price\nA,0.81,0.004,4.2\nB,0.83,0.004,4.1\n"),
        ),
        (LogKind::Crops, String::from("run,crop,mass,moisture\n")),
        (
            LogKind::Titres,
            String::from("run,crop,sample_mass,titrant,titre,blank\n"),
        ),
        (
            LogKind::Titrants,
            String::from(
                "titrant,date,concentration,u_concentration\nT,2024-01-01,0.1002,0.0001\n",
            ),
        ),
        (LogKind::Residues, String::from("run,mass,assay\n")),
    ];
    let mut add = |log: usize, line: String| {
        texts[log].1.push_str(&line);
        texts[log].1.push('\n');
    };
    for run in 0..runs {
        let (name, a) = (format!("R{run:06}"), (run * 7919 % 1000) as f64 / 1000.0);
        let day = format!(
            "20{:02}-{:02}-{:02}",
            10 + run / 7000,
            1 + run / 600 % 12,
            1 + run / 30 % 28
        );
        let (lot, route) = (["A", "B"][run % 2], ["chill", "boildown"][run / 2 % 2]);
        add(
            0,
            format!(
                "{name},{day},{lot},{route},{:.1},{:.1},0,{:.0}",
                20.0 + 60.0 * a,
                800.0 + 20.0 * a,
                150.0 + 20.0 * a
            ),
        );
        for crop in 1..3 {
            add(
                2,
                format!(
                    "{name},{crop},{:.1},0.0{}",
                    700.0 / f64::from(crop) + 90.0 * a,
                    1 + run % 8
                ),
            );
            for titre in 0..2 {
                let sample = 0.6 + 0.01 * a + 0.001 * f64::from(titre);
                add(
                    3,
                    format!("{name},{crop},{sample:.4},T,{:.2},0.04", sample * 39.5),
                );
            }
        }
        add(
            5,
            format!("{name},{:.1},0.{:02}", 120.0 + 15.0 * a, 20 + run % 20),
        );
    }
    texts
        .map(|(kind, text)| LogFile {
            kind,
            file: format!("{}.csv", kind.key()),
            part: None,
            bytes: text.into_bytes(),
        })
        .into()
}
