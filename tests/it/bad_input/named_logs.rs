//! Is each log that a campaign names read, or told with what stands in the way?
//!
//! In: patterns that mean files without a readable name, folders that cannot be looked into, pipes and files that are far too long;
//! variables that a library reads. Out: tests of the whole message, or that nothing changes.
//! This module never spoils what stands in a log.

use std::path::Path;
use std::process::Command;

use super::bench::{CAMPAIGN, CROPS, write_campaign};
use super::promises::{call, faults_of};
use crate::support::{CampaignFolder, list};

const NOT_MEANT: &str = "change the pattern in `[logs]` so that it is not meant";

/// The sound campaign with its crops found by a pattern.
fn by_pattern(pattern: &str) -> CampaignFolder {
    let folder = CampaignFolder::new();
    write_campaign(folder.path(), &[]);
    let toml = CAMPAIGN.replace("\"crops.csv\"", &format!("\"{pattern}\""));
    assert_ne!(toml, CAMPAIGN);
    folder
        .with("campaign.toml", &toml)
        .with("crops/a.csv", CROPS)
}

/// Every call stops with this one fault.
fn check_stop(folder: &Path, reason: &str, hint: &str) {
    let found = faults_of(folder);
    let stops = list(&found, "stops");
    assert_eq!(stops.len(), 1, "{stops:?}");
    assert_eq!(stops[0]["reason"], reason);
    assert_eq!(stops[0]["hint"], hint);
    let out = folder.join("out");
    for name in ["yields", "report", "next"] {
        let outcome = call(name, folder, &out, &[]);
        assert_eq!(outcome.exit_code, 2, "{name}");
        assert_eq!(
            outcome.stderr,
            format!("error: {reason}\n\nhint: {hint}\n"),
            "{name}"
        );
    }
    assert!(!out.exists());
}

fn check_sound(folder: &Path) {
    let outcome = call("yields", folder, folder, &["--strict"]);
    assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
}

#[test]
fn a_pattern_finds_what_it_means_in_every_form() {
    for pattern in [
        "crops/*.csv",
        "crop?/a.csv",
        "c*/[ab].csv",
        "**/a.csv",
        "crops/**/*.csv",
        "./crops/*",
    ] {
        check_sound(by_pattern(pattern).path());
    }
}

#[test]
fn a_pattern_without_a_file_stops() {
    let folder = by_pattern("crops/*.tsv");
    check_stop(
        folder.path(),
        "no file `crops/*.tsv`, which `campaign.toml` line 11 names",
        "paths are relative to the campaign file; take the log out of `[logs]` if there is none",
    );
}

#[cfg(target_os = "linux")]
#[test]
fn a_file_without_a_readable_name_stops() {
    use std::os::unix::ffi::OsStrExt;
    let folder = by_pattern("crops/*.csv");
    let name = std::ffi::OsStr::from_bytes(b"caf\xe9.csv");
    std::fs::write(folder.path().join("crops").join(name), CROPS).expect("a file can be written");
    let hint = format!("rename it, or {NOT_MEANT}");
    check_stop(
        folder.path(),
        "the name of `crops/caf\u{fffd}.csv` is not UTF-8",
        &hint,
    );
    // One that the pattern does not mean stops nothing.
    let folder = by_pattern("crops/a*.csv");
    std::fs::write(folder.path().join("crops").join(name), CROPS).expect("a file can be written");
    check_sound(folder.path());
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_looked_into_stops() {
    // A link to itself, since a test may run as somebody who may read everything.
    let folder = by_pattern("c*/*.csv");
    let link = folder.path().join("circle");
    std::os::unix::fs::symlink("circle", &link).expect("a link can be made");
    check_sound(folder.path());
    let folder = by_pattern("circle/*.csv");
    std::os::unix::fs::symlink("circle", folder.path().join("circle")).expect("a link can be made");
    let found = faults_of(folder.path());
    let reason = list(&found, "stops")[0]["reason"]
        .as_str()
        .expect("a reason")
        .to_string();
    assert!(
        reason.starts_with("`circle` cannot be looked into: "),
        "{reason}"
    );
    check_stop(
        folder.path(),
        &reason,
        &format!("check who may read it, or {NOT_MEANT}"),
    );
}

#[test]
fn files_that_a_system_leaves_beside_others_are_passed_over() {
    let folder = by_pattern("crops/*.csv").with("crops/._a.csv", "\u{0}\u{5}\u{16}\u{7}");
    check_sound(folder.path());
}

#[cfg(unix)]
#[test]
fn a_pipe_is_not_read() {
    let folder = by_pattern("crops/*.csv");
    let pipe = folder.path().join("crops/pipe.csv");
    let made = Command::new("mkfifo")
        .arg(&pipe)
        .status()
        .expect("the system makes pipes");
    assert!(made.success());
    check_stop(
        folder.path(),
        "`crops/pipe.csv` is no ordinary file",
        "write the log into a file first; pipes and devices are not read",
    );
}

/// A file of so many bytes that takes no room on the disk.
fn long(folder: &CampaignFolder, name: &str, bytes: u64) {
    let file = std::fs::File::create(folder.path().join(name)).expect("a file can be made");
    file.set_len(bytes).expect("a file can have holes");
}

#[test]
fn a_log_that_is_far_too_long_is_not_read() {
    let folder = by_pattern("crops/*.csv");
    long(&folder, "crops/b.csv", 5_000_000_000);
    check_stop(
        folder.path(),
        "`crops/b.csv` holds more than 512 MB",
        "check that it is the file you mean: a log of a campaign is far shorter",
    );
}

#[test]
fn logs_that_are_far_too_long_together_are_not_read() {
    let folder = by_pattern("crops/*.csv");
    for name in ["crops/b.csv", "crops/c.csv", "crops/d.csv"] {
        long(&folder, name, 400_000_000);
    }
    check_stop(
        folder.path(),
        "the logs hold 1201 MB together, more than 1000 MB",
        "check that `[logs]` names the files you mean: a campaign is far shorter",
    );
}

#[test]
fn a_campaign_file_that_is_far_too_long_is_not_read() {
    let folder = by_pattern("crops/*.csv");
    long(&folder, "campaign.toml", 5_000_000_000);
    check_stop(
        folder.path(),
        "`campaign.toml` holds more than 16 MB",
        "check that it is the file you mean: a log of a campaign is far shorter",
    );
}

#[test]
fn variables_that_a_library_reads_change_nothing() {
    let folder = CampaignFolder::new();
    write_campaign(folder.path(), &[]);
    let told = |variable: Option<(&str, &str)>| {
        let output = Command::new(env!("CARGO_BIN_EXE_residuum"))
            .arg("yields")
            .arg(folder.path())
            .envs(variable)
            .output()
            .expect("the program starts");
        (
            output.status.code(),
            output.stdout,
            String::from_utf8_lossy(&output.stderr).into_owned(),
        )
    };
    let plain = told(None);
    assert_eq!(plain.0, Some(0));
    for variable in [
        ("POLARS_MAX_THREADS", "abc"),
        ("POLARS_MAX_THREADS", "0"),
        ("POLARS_MAX_THREADS", "1000000"),
        ("POLARS_MAX_THREADS", "3"),
        ("POLARS_VERBOSE", "1"),
        ("POLARS_VERBOSE", "loud"),
        ("POLARS_WARN_UNKNOWN_CONFIG", "1"),
        ("POLARS_PANIC_ON_ERR", "1"),
        ("POLARS_BACKTRACE_IN_ERR", "1"),
        ("POLARS_FMT_MAX_ROWS", "x"),
        ("POLARS_IDEAL_MORSEL_SIZE", "-1"),
        ("RAYON_NUM_THREADS", "abc"),
        ("RAYON_NUM_THREADS", "1000000"),
        ("RAYON_RS_NUM_CPUS", "abc"),
    ] {
        assert_eq!(told(Some(variable)), plain, "{variable:?}");
    }
}
