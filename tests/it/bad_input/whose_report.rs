//! Is a report that of the campaign that it says, and written only where it could be told?
//!
//! In: two campaigns of one name, folders without a readable name, logs that change, streams that take nothing. Out: tests of the
//! exit code, the message, and every byte of what was there before.
//! This module never looks into a report beyond its source.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Duration;

use serde_json::Value;

use super::bench::{CAMPAIGN, write_campaign};
use super::output::{Bench, files_below};
use super::promises::call;
use crate::support::CampaignFolder;

const ANOTHER: &str = "choose another folder with `--out`; if it is the same campaign, moved or renamed, delete the old report first";

fn source(out: &Path) -> Value {
    let text = fs::read_to_string(out.join("scale/result.json")).expect("a result");
    let result: Value = serde_json::from_str(&text).expect("JSON");
    result["source"].clone()
}

#[test]
fn two_campaigns_of_one_name_do_not_take_each_others_place() {
    let place = CampaignFolder::new();
    let [first, second] = ["a/scale", "b/scale"].map(|name| place.path().join(name));
    let out = place.path().join("out");
    for campaign in [&first, &second] {
        write_campaign(campaign, &[]);
    }
    assert_eq!(call("report", &first, &out, &[]).exit_code, 0);
    assert_eq!(source(&out), "../../a/scale/campaign.toml");
    let before = files_below(&out);
    let outcome = call("report", &second, &out, &[]);
    assert_eq!(outcome.exit_code, 2);
    assert_eq!(outcome.stdout, "");
    assert_eq!(
        outcome.stderr,
        format!(
            "error: `{}` holds the report of another campaign, `../../a/scale/campaign.toml`\n\nhint: {ANOTHER}\n",
            out.join("scale").display()
        )
    );
    assert!(files_below(&out) == before);
    assert_eq!(call("report", &first, &out, &[]).exit_code, 0);
    assert!(files_below(&out) == before);
}

#[test]
fn two_campaign_files_of_one_folder_do_not_take_each_others_place() {
    let bench = Bench::new();
    let second = bench.at("scale/second.toml");
    fs::write(&second, CAMPAIGN).expect("a file can be written");
    let out = bench.at("out");
    assert_eq!(call("report", &bench.campaign(), &out, &[]).exit_code, 0);
    assert_eq!(call("report", &second, &out, &[]).exit_code, 2);
    assert_eq!(source(&out), "../../scale/campaign.toml");
}

#[cfg(unix)]
#[test]
fn a_campaign_by_way_of_a_link_is_the_same_campaign() {
    let bench = Bench::new();
    let out = bench.at("out");
    std::os::unix::fs::symlink(bench.campaign(), bench.at("link")).expect("a link can be made");
    assert_eq!(call("report", &bench.campaign(), &out, &[]).exit_code, 0);
    let before = files_below(&out);
    assert_eq!(call("report", &bench.at("link"), &out, &[]).exit_code, 0);
    assert!(files_below(&out) == before);
}

#[test]
fn a_copy_of_a_tree_holds_the_same_reports() {
    let reports = [(); 2].map(|()| {
        let bench = Bench::new();
        let out = bench.at("reports");
        assert_eq!(call("report", &bench.campaign(), &out, &[]).exit_code, 0);
        let files = files_below(&out).into_values();
        files.collect::<Vec<_>>()
    });
    assert!(reports[0] == reports[1]);
}

#[cfg(target_os = "linux")]
#[test]
fn a_folder_or_file_without_a_readable_name_has_no_report() {
    use std::os::unix::ffi::OsStrExt;
    let bench = Bench::new();
    let out = bench.at("out");
    let odd = std::ffi::OsStr::from_bytes(b"caf\xe9");
    let folder = bench.at("all").join(odd);
    write_campaign(&folder, &[]);
    let file = bench.campaign().join(odd);
    fs::write(&file, CAMPAIGN).expect("a file can be written");
    for (campaign, what) in [(folder, "folder"), (file, "campaign file")] {
        let outcome = call("report", &campaign, &out, &[]);
        assert_eq!(outcome.exit_code, 2, "{what}");
        let short = what.rsplit(' ').next().expect("a word");
        assert_eq!(
            outcome.stderr,
            format!(
                "error: the name of the {what} is not UTF-8\n\nhint: give the {short} another name\n"
            )
        );
        assert!(!out.exists());
        assert_eq!(call("yields", &campaign, &out, &[]).exit_code, 0, "{what}");
    }
}

#[test]
fn a_log_that_changes_while_it_is_worked_out_gives_no_report() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone");
    let folder = CampaignFolder::copy_of(&demo);
    let out = folder.path().join("out");
    let [log, fresh] = ["lots.csv", "fresh"].map(|name| folder.path().join(name));
    let text = fs::read_to_string(&log).expect("the log is text");
    let done = AtomicBool::new(false);
    let outcome = thread::scope(|scope| {
        scope.spawn(|| {
            let mut price = 0;
            while !done.load(Ordering::Relaxed) {
                price += 1;
                // Renamed into place, so that the program always reads a whole log, and each time another one.
                let text = text.replace(",4.20,", &format!(",{price},"));
                let written = fs::write(&fresh, text).and_then(|()| fs::rename(&fresh, &log));
                written.expect("the log can be written");
                thread::sleep(Duration::from_micros(200));
            }
        });
        let outcome = call("report", folder.path(), &out, &["--quiet"]);
        done.store(true, Ordering::Relaxed);
        outcome
    });
    assert_eq!(outcome.exit_code, 2);
    assert_eq!(outcome.stdout, "");
    assert_eq!(
        outcome.stderr,
        "error: `lots.csv` changed while the report was worked out\n\nhint: ask again when nobody writes to it; `rounds` takes such a campaign again by itself\n"
    );
    assert!(!out.exists());
}

/// `report` with its standard output sent to a device that is always full.
#[cfg(target_os = "linux")]
fn report_to_a_full_device(campaign: &Path, out: &Path, options: &[&str]) -> Option<i32> {
    let full = fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .expect("the system has a full device");
    Command::new(env!("CARGO_BIN_EXE_residuum"))
        .arg("report")
        .arg(campaign)
        .arg("--out")
        .arg(out)
        .args(options)
        .stdout(full)
        .stderr(Stdio::null())
        .status()
        .expect("the program starts")
        .code()
}

#[cfg(target_os = "linux")]
#[test]
fn a_report_that_cannot_be_told_is_not_written() {
    for options in [&[][..], &["--json"]] {
        let bench = Bench::new();
        let out = bench.at("far/out");
        assert_eq!(
            report_to_a_full_device(&bench.campaign(), &out, options),
            Some(2)
        );
        assert!(!bench.at("far").exists(), "{options:?}");
        assert_eq!(call("report", &bench.campaign(), &out, &[]).exit_code, 0);
        let before = files_below(&bench.at("far"));
        write_campaign(
            &bench.campaign(),
            &[super::bench::change("crops.csv", "R3,1,117", "R3,1,116")],
        );
        assert_eq!(
            report_to_a_full_device(&bench.campaign(), &out, options),
            Some(2)
        );
        assert!(files_below(&bench.at("far")) == before, "{options:?}");
        assert_eq!(call("report", &bench.campaign(), &out, &[]).exit_code, 0);
        assert!(files_below(&bench.at("far")) != before, "{options:?}");
    }
}
