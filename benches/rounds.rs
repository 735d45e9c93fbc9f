//! What does a night with 1,000 campaigns cost?
//!
//! In: a number of campaigns, 1,000 unless one is given. Out: seconds for a first round, an unchanged one, one with a
//! single changed campaign, and `report` on that campaign alone, as the program as a whole takes them.
//! Each time stands beside the time that the processors worked, which does not depend on who else uses the machine.
//! This module never judges a figure: `cargo bench --bench rounds` prints, and people compare.

// A bench is read by people and stops where it cannot go on.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::unwrap_used
)]

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Campaigns when no number is given.
const CAMPAIGNS: usize = 1000;

/// Runs of each campaign.
const RUNS: usize = 60;

/// Times that a quick round is repeated; the middle one is told.
const REPEATS: usize = 5;

fn main() {
    // A test of all targets starts this too, and shall not wait for it.
    if !std::env::args().any(|argument| argument == "--bench") {
        return;
    }
    let number = std::env::args()
        .skip(1)
        .find_map(|argument| argument.parse().ok());
    let number: usize = number.unwrap_or(CAMPAIGNS);
    let place = tempfile::tempdir().expect("a temporary folder can be made");
    let all = place.path().join("campaigns");
    for position in 0..number {
        write_campaign(
            &all.join(format!("{:02}/c{position:04}", position % 20)),
            position,
        );
    }
    let out = place.path().join("reports");
    let round = || {
        timed(&[
            "rounds".as_ref(),
            all.as_ref(),
            "--out".as_ref(),
            out.as_ref(),
        ])
    };
    println!("{number} campaigns of {RUNS} runs, on {} cores", cores());
    tell("first round", round());
    tell("unchanged round, middle of 5", middle(round));
    let one = all.join("07/c0007");
    let mut last = 0;
    let changed = || {
        last += 1;
        write_campaign(&one, number + last);
        round()
    };
    tell(
        "round with one changed campaign, middle of 5",
        middle(changed),
    );
    let alone = place.path().join("alone");
    let report = || {
        timed(&[
            "report".as_ref(),
            one.as_ref(),
            "--out".as_ref(),
            alone.as_ref(),
        ])
    };
    tell(
        "`report` on that campaign alone, middle of 5",
        middle(report),
    );
}

/// What a call took.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Took {
    /// On the clock.
    elapsed: Duration,
    /// On all processors together, where the system tells.
    worked: Option<Duration>,
}

fn tell(what: &str, took: Took) {
    let worked = took.worked.map_or("an unknown time".to_string(), |worked| {
        format!("{:.2} s", worked.as_secs_f64())
    });
    println!(
        "{what}: {:.2} s, processors worked {worked}",
        took.elapsed.as_secs_f64()
    );
}

/// Processor time of all calls that have ended, from `/proc` of Linux, in its hundredths of a second.
fn worked_so_far() -> Option<Duration> {
    let text = fs::read_to_string("/proc/self/stat").ok()?;
    let behind_the_name = text.rsplit_once(')')?.1;
    // `cutime` and `cstime` are the fields 16 and 17 of proc(5), and the third is the first behind the name.
    let fields: Vec<&str> = behind_the_name.split_whitespace().collect();
    let hundredths: u64 =
        fields.get(13)?.parse::<u64>().ok()? + fields.get(14)?.parse::<u64>().ok()?;
    Some(Duration::from_millis(10 * hundredths))
}

fn cores() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from)
}

fn middle(mut once: impl FnMut() -> Took) -> Took {
    let mut times: Vec<Took> = (0..REPEATS).map(|_| once()).collect();
    times.sort();
    times[REPEATS / 2]
}

fn timed(arguments: &[&Path]) -> Took {
    let before = worked_so_far();
    let start = Instant::now();
    let status = Command::new(env!("CARGO_BIN_EXE_residuum"))
        .args(arguments)
        .arg("--quiet")
        .stdout(Stdio::null())
        .status()
        .expect("the program starts");
    assert!(matches!(status.code(), Some(0 | 1)), "{status}");
    let elapsed = start.elapsed();
    let worked = worked_so_far()
        .zip(before)
        .map(|(after, before)| after - before);
    Took { elapsed, worked }
}

/// The first runs of the demo campaign, with a feed of its own, so that no two campaigns are the same.
fn write_campaign(folder: &Path, position: usize) {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone");
    let read = |name: &str| fs::read_to_string(demo.join(name)).expect("the demo can be read");
    fs::create_dir_all(folder.join("furnace")).expect("a folder can be made");
    let write = |name: &str, text: &str| {
        fs::write(folder.join(name), text).expect("a file can be written");
    };
    write("campaign.toml", &read("campaign.toml"));
    write("lots.csv", &read("lots.csv"));
    write("titrants.csv", &read("titrants.csv"));
    for name in ["runs.csv", "crops.csv", "titres.csv", "residues.csv"] {
        write(name, &first_runs(&read(name), position));
    }
    for run in 1..=RUNS {
        let name = format!("furnace/B-{run:03}.csv");
        write(&name, &read(&name));
    }
}

fn first_runs(log: &str, position: usize) -> String {
    let is_early = |line: &&str| {
        let run = line.strip_prefix("B-").and_then(|rest| rest.get(..3));
        run.is_none_or(|run| run.parse::<usize>().is_ok_and(|run| run <= RUNS))
    };
    let lines: Vec<&str> = log.lines().filter(is_early).collect();
    let charged = format!("0.{}", 5018 + position % 1000);
    lines.join("\n").replacen("0.5018", &charged, 1) + "\n"
}
