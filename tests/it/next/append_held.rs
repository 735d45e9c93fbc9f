//! Does `next --append` leave a log alone that others hold, and never half of one when it is killed?
//!
//! In: logs that are links, read-only or held; calls that are killed, come together or have no room for their output. Out: tests of every
//! byte of the log, and of the whole message.
//! This module never looks at which runs are added.

use std::fs;
use std::os::unix::fs::{MetadataExt, PermissionsExt, symlink};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::append::{append, check_refused, dated, folder, read};
use super::{LOG, planned};
use crate::support::list;

#[test]
fn the_log_keeps_its_permissions() {
    let folder = folder(&dated(LOG));
    let path = folder.path().join("runs.csv");
    for mode in [0o664, 0o600, 0o640] {
        fs::set_permissions(&path, fs::Permissions::from_mode(mode)).expect("they can be set");
        let runs = format!("{}", 1 + mode % 97);
        append(folder.path(), "runs.csv", &["--runs", &runs]);
        let now = fs::metadata(&path).expect("the log is there");
        assert_eq!(now.mode() & 0o7777, mode);
    }
    assert!(read(folder.path(), "runs.csv").contains("\nnext-1,"));
}

#[test]
fn a_log_that_is_read_only_is_refused() {
    let folder = folder(&dated(LOG));
    let path = folder.path().join("runs.csv");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o444)).expect("they can be set");
    check_refused(
        folder.path(),
        &["--quiet"],
        "error: `runs.csv` is read-only, so nothing is added to it\n\nhint: allow writing to it first\n",
    );
}

#[test]
fn a_link_and_a_file_of_two_names_are_refused() {
    let linked = folder(&dated(LOG));
    fs::rename(
        linked.path().join("runs.csv"),
        linked.path().join("true.csv"),
    )
    .expect("renamed");
    symlink("true.csv", linked.path().join("runs.csv")).expect("a link can be made");
    check_refused(
        linked.path(),
        &["--quiet"],
        "error: `runs.csv` is a link, to which nothing is added\n\nhint: name the file that it leads to\n",
    );
    let named = append(linked.path(), "true.csv", &["--runs", "2"]);
    assert_eq!(named.exit_code, 0, "{}", named.stderr);
    assert!(read(linked.path(), "true.csv").contains("\nnext-2,"));
    let twice = folder(&dated(LOG));
    let other = twice.path().join("other.csv");
    fs::hard_link(twice.path().join("runs.csv"), other).expect("a second name can be given");
    check_refused(
        twice.path(),
        &["--quiet"],
        "error: `runs.csv` is one of 2 names of a file, so nothing is added to it\n\nhint: copy it to a file of its own first\n",
    );
}

#[test]
fn a_log_that_another_process_holds_is_refused() {
    let folder = folder(&dated(LOG));
    let held = fs::File::open(folder.path().join("runs.csv")).expect("the log can be opened");
    held.lock().expect("the log can be locked");
    check_refused(
        folder.path(),
        &["--quiet"],
        "error: another process is writing to `runs.csv`\n\nhint: ask again when it is done\n",
    );
    drop(held);
    assert_eq!(append(folder.path(), "runs.csv", &["--quiet"]).exit_code, 0);
    let open = super::append::folder(&dated(LOG)).with(".~lock.runs.csv#", "somebody");
    check_refused(
        open.path(),
        &["--quiet"],
        "error: another program holds `runs.csv` open: it left `.~lock.runs.csv#` beside it\n\nhint: close the file there; if nobody has it open, delete that mark\n",
    );
}

#[test]
fn what_nobody_can_be_told_of_is_not_added() {
    let folder = folder(&dated(LOG));
    let full = fs::OpenOptions::new().write(true).open("/dev/full");
    let Ok(full) = full else { return };
    let status = Command::new(env!("CARGO_BIN_EXE_residuum"))
        .args(["next", "--quiet", "--append"])
        .args([folder.path().join("runs.csv"), folder.path().to_path_buf()])
        .stdout(full)
        .stderr(Stdio::null())
        .status();
    assert_eq!(status.expect("the program starts").code(), Some(2));
    assert_eq!(read(folder.path(), "runs.csv"), dated(LOG));
}

/// Calls that are killed.
const KILLS: u64 = 60;

#[test]
fn a_call_that_is_killed_leaves_the_old_log_or_the_new_one() {
    let before = dated(LOG);
    let whole = folder(&before);
    append(whole.path(), "runs.csv", &["--runs", "3"]);
    let after = read(whole.path(), "runs.csv");
    let folder = folder(&before);
    let start = Instant::now();
    append(folder.path(), "runs.csv", &["--runs", "3"]);
    let usual = start.elapsed();
    let mut done = 0;
    for kill in 0..KILLS {
        fs::write(folder.path().join("runs.csv"), &before).expect("the log can be written");
        let mut child = Command::new(env!("CARGO_BIN_EXE_residuum"))
            .args(["next", "--quiet", "--runs", "3", "--append"])
            .args([folder.path().join("runs.csv"), folder.path().to_path_buf()])
            .stdout(Stdio::null())
            .spawn()
            .expect("the program starts");
        // The last moments of the call, in which the log is written, come most often.
        let share = 1.2 * (kill as f64 / KILLS as f64).sqrt();
        std::thread::sleep(Duration::from_secs_f64(share * usual.as_secs_f64()));
        let _ = child.kill();
        child.wait().expect("it ends");
        let now = read(folder.path(), "runs.csv");
        assert!(now == before || now == after, "killed {kill}: {now}");
        done += usize::from(now == after);
    }
    assert!(done > 0, "no call lived long enough");
    // The next one finds nothing half-written in its way, and leaves nothing.
    fs::write(folder.path().join("runs.csv"), &before).expect("the log can be written");
    append(folder.path(), "runs.csv", &["--runs", "3"]);
    assert_eq!(read(folder.path(), "runs.csv"), after);
    assert_eq!(fs::read_dir(folder.path()).expect("the folder").count(), 2);
}

#[test]
fn two_calls_at_once_add_the_runs_once() {
    let folder = folder(&dated(LOG));
    let call = || {
        Command::new(env!("CARGO_BIN_EXE_residuum"))
            .args(["next", "--quiet", "--runs", "3", "--append"])
            .args([folder.path().join("runs.csv"), folder.path().to_path_buf()])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program starts")
    };
    let calls: Vec<_> = (0..4).map(|_| call()).collect();
    let codes = calls
        .into_iter()
        .map(|mut call| call.wait().expect("it ends").code());
    let codes: Vec<_> = codes.collect();
    assert!(codes.contains(&Some(0)), "{codes:?}");
    assert_eq!(read(folder.path(), "runs.csv").lines().count(), 7 + 3);
    let plan = planned(folder.path(), &["--runs", "3"]);
    assert_eq!(list(&plan, "next_runs").len(), 0);
}
