//! What becomes of a call whose output nobody takes?
//!
//! In: pipes that are closed, and a device that is full. Out: tests of the exit code.
//! This module never looks at what is printed.

use std::ffi::OsStr;
use std::process::{Command, Stdio};

use super::bench::{change, write_campaign};
use super::output::Bench;

/// A pipe that nobody reads any more.
fn closed_pipe() -> Stdio {
    let (reader, writer) = std::io::pipe().expect("a pipe can be made");
    drop(reader);
    writer.into()
}

fn with_streams(arguments: &[&OsStr], stdout: Stdio, stderr: Stdio) -> Option<i32> {
    Command::new(env!("CARGO_BIN_EXE_residuum"))
        .args(arguments)
        .stdout(stdout)
        .stderr(stderr)
        .status()
        .expect("the program starts")
        .code()
}

#[test]
fn a_reader_that_closes_the_pipe_early_is_no_fault() {
    let bench = Bench::new();
    let campaign = bench.campaign();
    for name in ["check", "yields", "fit"] {
        let arguments = [OsStr::new(name), campaign.as_os_str(), OsStr::new("--json")];
        assert_eq!(
            with_streams(&arguments, closed_pipe(), Stdio::null()),
            Some(0),
            "{name}"
        );
    }
    let new = bench.at("new");
    let start = [OsStr::new("start"), new.as_os_str()];
    assert_eq!(with_streams(&start, closed_pipe(), Stdio::null()), Some(0));
}

#[test]
fn nobody_who_reads_the_messages_changes_no_exit_code() {
    let bench = Bench::new();
    write_campaign(
        &bench.campaign(),
        &[change("crops.csv", "R3,1,117", "R3,1,x")],
    );
    let campaign = bench.campaign();
    let yields = [OsStr::new("yields"), campaign.as_os_str()];
    assert_eq!(with_streams(&yields, Stdio::null(), closed_pipe()), Some(0));
    let nowhere = bench.at("nowhere");
    let failing = [OsStr::new("yields"), nowhere.as_os_str()];
    assert_eq!(
        with_streams(&failing, Stdio::null(), closed_pipe()),
        Some(2)
    );
}

/// A device that has never any room.
#[cfg(target_os = "linux")]
fn full_device() -> Stdio {
    let full = std::fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .expect("the system has a full device");
    full.into()
}

#[cfg(target_os = "linux")]
#[test]
fn a_result_that_the_standard_output_does_not_take_is_not_done() {
    let bench = Bench::new();
    let campaign = bench.campaign();
    for name in ["check", "yields", "fit"] {
        for options in [&[][..], &[OsStr::new("--json")]] {
            let mut arguments = vec![OsStr::new(name), campaign.as_os_str()];
            arguments.extend(options);
            let code = with_streams(&arguments, full_device(), Stdio::null());
            assert_eq!(code, Some(2), "{name}");
        }
    }
    for option in ["--help", "--version"] {
        let arguments = [OsStr::new(option)];
        let code = with_streams(&arguments, full_device(), Stdio::null());
        assert_eq!(code, Some(2), "{option}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_new_campaign_whose_files_cannot_be_named_is_taken_away_again() {
    let bench = Bench::new();
    let new = bench.at("far/new");
    let start = [OsStr::new("start"), new.as_os_str()];
    assert_eq!(with_streams(&start, full_device(), Stdio::null()), Some(2));
    assert!(!bench.at("far").exists());
}
