//! Is a report written whole or not at all, and never over what is no report?
//!
//! In: output folders that can't be written, are occupied or were left half-written. Out: tests of the
//! exit code, the message and every byte that was there before.
//! This module never looks into a report beyond its files.

use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use super::bench::{change, write_campaign};
use super::promises::call;
use crate::support::CampaignFolder;

const CHOOSE: &str =
    "check that the folder may be written and has room, or choose another with `--out`";

/// A process number beyond what Linux gives out (2²² at most), so that no such process lives.
const NO_PROCESS: &str = "4194999";

/// Every file below a folder with its content.
pub fn files_below(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(next) = folders.pop() {
        for entry in fs::read_dir(next).expect("the folder can be listed") {
            let path = entry.expect("the folder can be listed").path();
            if path.is_dir() {
                folders.push(path);
            } else {
                files.insert(path.clone(), fs::read(&path).expect("the file can be read"));
            }
        }
    }
    files
}

/// A place with the sound campaign in `scale`.
pub struct Bench {
    place: CampaignFolder,
}

impl Bench {
    pub fn new() -> Self {
        let place = CampaignFolder::new();
        write_campaign(&place.path().join("scale"), &[]);
        Bench { place }
    }

    pub fn campaign(&self) -> PathBuf {
        self.place.path().join("scale")
    }

    pub fn at(&self, name: &str) -> PathBuf {
        self.place.path().join(name)
    }

    /// Names that stand directly in a folder of the place, in byte order.
    fn names(&self, folder: &str) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(self.at(folder))
            .expect("the folder can be listed")
            .map(|entry| {
                entry
                    .expect("the folder can be listed")
                    .file_name()
                    .to_string_lossy()
                    .into_owned()
            })
            .collect();
        names.sort();
        names
    }

    fn write(&self, name: &str, text: &str) {
        let path = self.at(name);
        fs::create_dir_all(path.parent().expect("the file is in a folder"))
            .expect("a folder can be made");
        fs::write(path, text).expect("a file can be written");
    }

    /// `report` into this folder fails with this message and changes nothing that was there.
    fn check_refused(&self, out: &Path, message: &str) {
        let before = files_below(self.place.path());
        let outcome = call("report", &self.campaign(), out, &[]);
        assert_eq!(outcome.exit_code, 2, "{}", outcome.stderr);
        assert_eq!(outcome.stdout, "");
        assert_eq!(outcome.stderr, message);
        assert!(
            files_below(self.place.path()) == before,
            "something was changed"
        );
    }
}

fn cannot(path: &Path, cause: &str) -> String {
    format!(
        "error: `{}` cannot be written: {cause}\n\nhint: {CHOOSE}\n",
        path.display()
    )
}

#[test]
fn a_file_where_the_output_folder_should_be_stops_and_stays() {
    let bench = Bench::new();
    bench.write("taken", "mine\n");
    let out = bench.at("taken");
    bench.check_refused(&out, &cannot(&out, "File exists (os error 17)"));
}

#[test]
fn an_output_folder_below_a_file_stops() {
    let bench = Bench::new();
    bench.write("taken", "mine\n");
    let out = bench.at("taken/reports");
    bench.check_refused(&out, &cannot(&out, "Not a directory (os error 20)"));
}

#[cfg(target_os = "linux")]
#[test]
fn an_output_folder_where_no_folder_can_be_made_stops() {
    let bench = Bench::new();
    let out = Path::new("/proc/residuum");
    bench.check_refused(out, &cannot(out, "No such file or directory (os error 2)"));
}

fn no_report(path: &Path) -> String {
    format!(
        "error: `{}` exists and is no report of residuum\n\nhint: move it away, or choose another folder with `--out`\n",
        path.display()
    )
}

#[test]
fn a_folder_of_the_same_name_that_is_no_report_is_not_touched() {
    let bench = Bench::new();
    bench.write("out/scale/notes.md", "mine\n");
    bench.check_refused(&bench.at("out"), &no_report(&bench.at("out/scale")));
}

#[test]
fn a_file_of_the_same_name_is_not_touched() {
    let bench = Bench::new();
    bench.write("out/scale", "mine\n");
    bench.check_refused(&bench.at("out"), &no_report(&bench.at("out/scale")));
}

#[test]
fn an_empty_folder_of_the_same_name_is_filled() {
    let bench = Bench::new();
    fs::create_dir_all(bench.at("out/scale")).expect("a folder can be made");
    assert_eq!(
        call("report", &bench.campaign(), &bench.at("out"), &[]).exit_code,
        0
    );
    assert_eq!(
        bench.names("out/scale"),
        ["charts", "report.md", "result.json", "tables"]
    );
}

#[test]
fn a_report_beside_the_campaign_does_not_replace_the_campaign() {
    let bench = Bench::new();
    bench.check_refused(bench.place.path(), &no_report(&bench.campaign()));
}

#[test]
fn a_campaign_that_keeps_a_result_of_its_own_is_not_replaced_by_its_report() {
    let bench = Bench::new();
    let result = call("yields", &bench.campaign(), &bench.at("out"), &["--json"]);
    bench.write("scale/result.json", &result.stdout);
    bench.check_refused(bench.place.path(), &no_report(&bench.campaign()));
}

#[test]
fn a_folder_with_the_result_of_something_else_is_not_touched() {
    let bench = Bench::new();
    bench.write("out/scale/result.json", "{\"score\": 3}\n");
    bench.write("out/scale/notes.md", "mine\n");
    bench.check_refused(&bench.at("out"), &no_report(&bench.at("out/scale")));
}

#[test]
fn a_file_that_somebody_put_into_a_report_outlives_the_next_one() {
    let bench = Bench::new();
    let out = bench.at("out");
    assert_eq!(call("report", &bench.campaign(), &out, &[]).exit_code, 0);
    bench.write("out/scale/notes.md", "mine\n");
    let held = format!(
        "error: `{}` holds a file that is no part of the report: `notes.md`\n\nhint: move it away, or choose another folder with `--out`\n",
        out.join("scale").display()
    );
    bench.check_refused(&out, &held);
}

#[test]
fn a_link_that_somebody_put_into_a_report_is_a_file_of_theirs_too() {
    let bench = Bench::new();
    let out = bench.at("out");
    assert_eq!(call("report", &bench.campaign(), &out, &[]).exit_code, 0);
    fs::create_dir_all(bench.at("mine")).expect("a folder can be made");
    #[cfg(unix)]
    std::os::unix::fs::symlink(bench.at("mine"), out.join("scale/charts/mine"))
        .expect("a link can be made");
    #[cfg(unix)]
    assert_eq!(call("report", &bench.campaign(), &out, &[]).exit_code, 2);
}

#[test]
fn a_newer_report_takes_the_place_of_the_older_one_and_leaves_nothing_beside_it() {
    let bench = Bench::new();
    let out = bench.at("out");
    assert_eq!(call("report", &bench.campaign(), &out, &[]).exit_code, 0);
    let before = files_below(&out);
    write_campaign(
        &bench.campaign(),
        &[change("crops.csv", "R3,1,117", "R3,1,116")],
    );
    assert_eq!(call("report", &bench.campaign(), &out, &[]).exit_code, 0);
    let after = files_below(&out);
    assert!(before.keys().eq(after.keys()));
    assert!(before != after);
    assert_eq!(bench.names("out"), ["scale"]);
}

#[cfg(target_os = "linux")]
#[test]
fn what_an_interrupted_run_left_is_cleared_away() {
    let bench = Bench::new();
    let half = format!("out/.residuum-tmp-scale-{NO_PROCESS}/report.md");
    bench.write(&half, "half of");
    // An older report lists its page, or nothing would tell it from a folder of somebody else.
    bench.write("out/.residuum-old-scale/report.md", "older\n");
    bench.write(
        "out/.residuum-old-scale/result.json",
        &format!("{{\"manifest\": {{\"report.md\": \"{:064}\"}}}}\n", 0),
    );
    assert_eq!(
        call("report", &bench.campaign(), &bench.at("out"), &[]).exit_code,
        0
    );
    assert_eq!(bench.names("out"), ["scale"]);
    assert_eq!(
        bench.names("out/scale"),
        ["charts", "report.md", "result.json", "tables"]
    );
}

#[test]
fn what_a_run_that_still_goes_on_has_written_is_left_alone() {
    let bench = Bench::new();
    let other = format!(".residuum-tmp-scale-{}", std::process::id());
    bench.write(&format!("out/{other}/report.md"), "half of");
    bench.write("out/.residuum-tmp-other-1/report.md", "of another campaign");
    assert_eq!(
        call("report", &bench.campaign(), &bench.at("out"), &[]).exit_code,
        0
    );
    assert_eq!(
        bench.names("out"),
        [".residuum-tmp-other-1", other.as_str(), "scale"]
    );
}

/// Runs `sh -c SCRIPT` with the program as `$0` and two paths behind it.
fn shell(script: &str, campaign: &Path, out: &Path) -> std::process::Output {
    Command::new("sh")
        .args([
            OsStr::new("-c"),
            OsStr::new(script),
            OsStr::new(env!("CARGO_BIN_EXE_residuum")),
        ])
        .args([campaign, out])
        .output()
        .expect("the shell starts")
}

/// Files of a report may have one block and no more, so that writing fails in the middle, as on a full disk.
const ON_A_FULL_DISK: &str = "trap '' XFSZ; ulimit -f 1; exec \"$0\" report \"$1\" --out \"$2\"";

#[cfg(target_os = "linux")]
#[test]
fn a_disk_that_is_full_leaves_the_older_report_whole() {
    let bench = Bench::new();
    let out = bench.at("out");
    assert_eq!(call("report", &bench.campaign(), &out, &[]).exit_code, 0);
    let before = files_below(&out);
    let outcome = shell(ON_A_FULL_DISK, &bench.campaign(), &out);
    assert_eq!(outcome.status.code(), Some(2));
    assert_eq!(
        String::from_utf8_lossy(&outcome.stderr),
        cannot(&out.join("scale"), "File too large (os error 27)")
    );
    assert!(files_below(&out) == before);
    assert_eq!(bench.names("out"), ["scale"]);
}

#[cfg(target_os = "linux")]
#[test]
fn a_disk_that_is_full_leaves_no_folder_where_there_was_none() {
    let bench = Bench::new();
    let out = bench.at("out");
    assert_eq!(
        shell(ON_A_FULL_DISK, &bench.campaign(), &out).status.code(),
        Some(2)
    );
    assert!(!out.exists());
}

#[test]
fn a_new_campaign_is_not_written_over_one_that_is_there() {
    let bench = Bench::new();
    let before = files_below(bench.place.path());
    let campaign = bench.campaign();
    let outcome = crate::support::residuum(&[OsStr::new("start"), campaign.as_os_str()]);
    assert_eq!(outcome.exit_code, 2);
    assert_eq!(
        outcome.stderr,
        format!(
            "error: `{}` is there already\n\nhint: name a folder that does not hold a campaign\n",
            campaign.join("campaign.toml").display()
        )
    );
    assert!(files_below(bench.place.path()) == before);
}

#[test]
fn a_campaign_folder_with_a_curious_name_is_reported_below_the_output_folder() {
    for name in ["-rf", "a b", "..x", "\u{1f9ea}", "new\nline", "<b>"] {
        let bench = Bench::new();
        let campaign = bench.at("curious").join(name);
        write_campaign(&campaign, &[]);
        let out = bench.at("out");
        let outcome = call("report", &campaign, &out, &[]);
        assert_eq!(outcome.exit_code, 0, "{name:?}: {}", outcome.stderr);
        assert_eq!(bench.names("out"), [name]);
        assert!(out.join(name).join("report.md").is_file());
    }
}
