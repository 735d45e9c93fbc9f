//! Does a round keep what is there when something is in its way?
//!
//! In: full disks, folders that may not be written, files that change while they are read, another round at work.
//! Out: tests of messages and of every byte that was there before.
//! This module never kills a round: `killed.rs` does.

use std::fs;
use std::process::{Command, Output, Stdio};
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Duration;

use super::place::{Place, whole};

/// A place with two campaigns, both with a report and with a log that has grown since.
fn grown() -> Place {
    let place = Place::with(&["a", "b"]);
    place.check(0, &["new a", "new b"]);
    place.log_a_run("a", "R3", 48.2);
    place.log_a_run("b", "R3", 48.2);
    place
}

/// Nothing was changed, and as soon as the cause is gone the next round does its work.
#[track_caller]
fn check_kept(place: &Place, before: &std::collections::BTreeMap<std::path::PathBuf, Vec<u8>>) {
    assert!(place.kept("out") == *before, "something was changed");
    place.check(0, &["changed a", "changed b"]);
    assert_eq!(place.entry("a")["round"], 2);
    whole(&place.at("out/a")).expect("the report is whole");
}

/// A round whose files may have so many blocks of 512 bytes and no more, as on a disk that fills up.
#[cfg(target_os = "linux")]
fn with_room_for(place: &Place, blocks: usize) -> Output {
    Command::new("sh")
        .arg("-c")
        .arg(format!(
            "trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" rounds \"$1\" --out \"$2\""
        ))
        .arg(env!("CARGO_BIN_EXE_residuum"))
        .args([place.at("all"), place.at("out")])
        .output()
        .expect("the shell starts")
}

/// A round into so little room fails on both campaigns, and says so.
#[cfg(target_os = "linux")]
fn check_too_little_room(place: &Place, blocks: usize) -> String {
    let output = with_room_for(place, blocks);
    assert_eq!(output.status.code(), Some(2));
    let told = String::from_utf8_lossy(&output.stdout);
    assert_eq!(told.lines().count(), 2, "{told}");
    for line in told.lines() {
        assert!(line.starts_with("failed "), "{line}");
        assert!(line.contains("cannot be written: File too large"), "{line}");
    }
    String::from_utf8_lossy(&output.stderr).into_owned()
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_leaves_reports_history_and_index_as_they_were() {
    let place = grown();
    let before = place.kept("out");
    let errors = check_too_little_room(&place, 1);
    assert!(
        errors.contains("rounds.json` cannot be written"),
        "{errors}"
    );
    check_kept(&place, &before);
}

#[cfg(target_os = "linux")]
#[test]
fn a_disk_with_room_for_the_index_alone_has_an_index_that_says_so() {
    let place = grown();
    let is_page =
        |path: &std::path::Path| path.ends_with("index.md") || path.ends_with("rounds.json");
    let mut before = place.kept("out");
    check_too_little_room(&place, 8);
    let mut after = place.kept("out");
    before.retain(|path, _| !is_page(path));
    after.retain(|path, _| !is_page(path));
    assert!(before == after, "something was changed");
    assert!(place.read("out/index.md").contains("failed, report stale"));
    place.check(0, &["changed a", "changed b"]);
    assert_eq!(place.entry("a")["round"], 2);
}

/// Makes a folder and all below it read-only or writable again; whoever owns the files still may do that.
#[cfg(unix)]
fn permit(folder: &std::path::Path, folders: u32) {
    use std::os::unix::fs::PermissionsExt;
    let mode = fs::Permissions::from_mode(folders);
    if folder.is_dir() {
        fs::set_permissions(folder, fs::Permissions::from_mode(0o755)).expect("it is ours");
        for entry in fs::read_dir(folder).expect("it can be listed") {
            permit(&entry.expect("it can be listed").path(), folders);
        }
        fs::set_permissions(folder, mode).expect("it is ours");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn an_output_folder_that_may_not_be_written_stays_as_it_was() {
    use std::os::unix::process::CommandExt;
    let place = grown();
    let before = place.kept("out");
    permit(&place.at("out"), 0o555);
    // The superuser may write everywhere, so the round is then made by a user who owns nothing.
    let is_superuser = fs::write(place.at("out/probe"), "").is_ok();
    let mut command;
    if is_superuser {
        fs::remove_file(place.at("out/probe")).expect("it can be removed");
        permit(&place.at(""), 0o555);
        let program = place.at("residuum");
        fs::copy(env!("CARGO_BIN_EXE_residuum"), &program).expect("it can be copied");
        command = Command::new(program);
        command.uid(65_534).gid(65_534);
        command.args(["rounds".as_ref(), place.at("all").as_os_str()]);
        command.args(["--out".as_ref(), place.at("out").as_os_str()]);
    } else {
        command = place.command(&[]);
    }
    let output = command.output().expect("the program starts");
    permit(&place.at(""), 0o755);
    assert_eq!(output.status.code(), Some(2));
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(
        errors.contains("cannot be written: Permission denied"),
        "{errors}"
    );
    check_kept(&place, &before);
}

#[test]
fn a_log_that_is_being_written_is_left_to_the_next_round() {
    let place = grown();
    // So many runs that the lots log is written many times while they are worked out.
    let runs: String = (1..3000)
        .map(|run| format!("M{run},100,0.80,48,1.00\n"))
        .collect();
    let log = place.read("all/a/runs.csv");
    place.write("all/a/runs.csv", &format!("{log}{runs}"));
    let campaign = place.read("all/a/campaign.toml");
    let named = "runs = \"runs.csv\"\nlots = \"lots.csv\"\n";
    place.write(
        "all/a/campaign.toml",
        &campaign.replace("runs = \"runs.csv\"\n", named),
    );
    place.write("all/a/lots.csv", "lot,assay,price\nA,0.8,1\n");
    let before = whole(&place.at("out/a"));
    let (path, fresh) = (place.at("all/a/lots.csv"), place.at("fresh"));
    let done = AtomicBool::new(false);
    let outcome = thread::scope(|scope| {
        scope.spawn(|| {
            let mut price = 0;
            while !done.load(Ordering::Relaxed) {
                price += 1;
                // Renamed into place, so that the program always reads a whole log, and each time another one.
                let text = format!("lot,assay,price\nA,0.8,{price}\n");
                let written = fs::write(&fresh, text).and_then(|()| fs::rename(&fresh, &path));
                written.expect("the log can be written");
                thread::sleep(Duration::from_micros(200));
            }
        });
        let outcome = place.round(&[]);
        done.store(true, Ordering::Relaxed);
        outcome
    });
    assert_eq!(
        outcome.stdout,
        "busy       a: its files changed while they were read, so it was left to the next round; the report is that of before\nchanged    b: 3 runs, 1 new\n"
    );
    assert_eq!(outcome.exit_code, 1);
    assert_eq!(whole(&place.at("out/a")), before);
    assert_eq!(place.entry("a")["stale"], true);
    let told = place.round(&[]).stdout;
    assert!(told.starts_with("changed    a: 3002 runs"), "{told}");
    assert!(told.ends_with("\nunchanged  b\n"), "{told}");
    assert_eq!(place.entry("a")["round"], 2);
}

#[test]
fn a_second_round_at_the_same_time_leaves_with_a_message() {
    let place = grown();
    let before = place.kept("out");
    let path = place.at("out/.residuum/lock");
    let lock = fs::File::options()
        .write(true)
        .open(&path)
        .expect("the lock is there");
    lock.try_lock().expect("no round is at work");
    fs::write(&path, "4711\n").expect("it can be written");
    let outcome = place.round(&[]);
    assert_eq!(outcome.exit_code, 2);
    assert_eq!(outcome.stdout, "");
    assert_eq!(
        outcome.stderr,
        format!(
            "error: another round is at work in `{}` (process 4711)\n\nhint: wait until it is done; a round that was killed holds nothing\n",
            place.at("out").display()
        )
    );
    drop(lock);
    check_kept(&place, &before);
}

#[test]
fn of_two_rounds_started_together_the_reports_come_out_whole() {
    let place = Place::with(&["a", "b", "c", "d", "e", "f", "g", "h"]);
    let start = || {
        let mut command = place.command(&[]);
        command.stdout(Stdio::null()).stderr(Stdio::null());
        command.spawn().expect("the program starts")
    };
    let [mut first, mut second] = [start(), start()];
    let codes = [&mut first, &mut second].map(|child| child.wait().expect("it ends").code());
    assert!(codes.contains(&Some(0)), "{codes:?}");
    assert!(
        codes.iter().all(|code| [Some(0), Some(2)].contains(code)),
        "{codes:?}"
    );
    for name in ["a", "b", "c", "d", "e", "f", "g", "h"] {
        whole(&place.at("out").join(name)).expect("the report is whole");
        let records = format!("out/.residuum/history/{name}/records.jsonl");
        assert_eq!(place.read(&records).lines().count(), 1);
    }
}
