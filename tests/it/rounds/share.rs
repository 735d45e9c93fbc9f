//! Can several programs share a round, and does none of them hold up another?
//!
//! In: small campaigns; lists, locks, limits, killed workers. Out: tests of names, reports, index and collected tables.
//! This module never looks into a figure but to find it again.

use std::fs;
use std::process::Stdio;
use std::thread::sleep;
use std::time::Duration;

use super::place::{Place, whole};

fn names(text: &str) -> Vec<&str> {
    text.lines().collect()
}

/// What `--due` prints; a round that writes nothing leaves no folder to look into.
fn due(place: &Place) -> String {
    let output = place
        .command(&["--due"])
        .output()
        .expect("the program starts");
    assert!(output.status.success(), "{output:?}");
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// Does what is due by so many workers with a part of the list each.
fn share(place: &Place, workers: usize) {
    let due = due(place);
    for worker in 0..workers {
        let part = names(&due);
        let part = part.iter().skip(worker).step_by(workers);
        let part: String = part.map(|name| format!("{name}\n")).collect();
        let list = format!("list-{worker}");
        place.write(&list, &part);
        let list = place.at(&list);
        let outcome = place.round(&["--listed", list.to_str().expect("UTF-8")]);
        assert_ne!(outcome.exit_code, 2, "{}{}", outcome.stdout, outcome.stderr);
    }
}

#[test]
fn what_is_due_is_named_and_nothing_is_written() {
    let place = Place::with(&["a", "b/c", "d"]);
    assert_eq!(names(&due(&place)), ["a", "b/c", "d"]);
    assert!(!place.at("out").exists());
    place.round(&[]);
    assert_eq!(due(&place), "");
    place.log_a_run("b/c", "R3", 48.2);
    fs::write(place.at("out/d/report.md"), "damaged").expect("it can be written");
    assert_eq!(names(&due(&place)), ["b/c", "d"]);
}

#[test]
fn workers_with_lists_and_a_gathering_round_give_what_one_round_gives() {
    let all = ["a", "b", "c/d", "e", "f"];
    let places = [Place::with(&all), Place::with(&all)];
    for turn in 0..2 {
        places[0].round(&[]);
        share(&places[1], 2);
        let gathered = places[1].round(&["--gather"]);
        assert_ne!(gathered.exit_code, 2, "{}", gathered.stderr);
        let [one, shared] = places.each_ref().map(|place| {
            let mut kept = place.kept("out");
            kept.retain(|path, _| !path.starts_with(".residuum/locks"));
            kept
        });
        assert_eq!(
            one.keys().collect::<Vec<_>>(),
            shared.keys().collect::<Vec<_>>()
        );
        for (path, bytes) in &one {
            assert!(shared[path] == *bytes, "turn {turn}: {}", path.display());
        }
        for place in &places {
            place.log_a_run("c/d", &format!("N{turn}"), 48.2);
        }
    }
}

#[test]
fn a_gathering_round_leaves_what_is_due_and_says_so() {
    let place = Place::with(&["a", "b"]);
    place.round(&[]);
    let before = fs::read(place.at("out/b/report.md")).expect("a report");
    place.log_a_run("b", "R3", 48.2);
    let outcome = place.round(&["--gather"]);
    assert!(
        outcome.stdout.contains("due        b"),
        "{}",
        outcome.stdout
    );
    assert_eq!(place.entry("b")["standing"], "due");
    assert_eq!(place.entry("b")["stale"], true);
    assert_eq!(
        fs::read(place.at("out/b/report.md")).expect("a report"),
        before
    );
    assert_eq!(names(&due(&place)), ["b"]);
    place.check(0, &["unchanged a", "changed b"]);
}

#[test]
fn a_list_with_a_name_that_is_none_does_nothing() {
    let place = Place::with(&["kiln", "pan"]);
    place.write("list", "pan\nkilm\n");
    let list = place.at("list");
    let list = list.to_str().expect("UTF-8");
    let outcome = place.round(&["--listed", list]);
    assert_eq!(outcome.exit_code, 2);
    assert!(
        outcome.stderr.contains("no campaign `kilm`"),
        "{}",
        outcome.stderr
    );
    assert!(outcome.stderr.contains("line 2"), "{}", outcome.stderr);
    assert!(
        outcome.stderr.contains("did you mean `kiln`?"),
        "{}",
        outcome.stderr
    );
    assert!(!place.at("out").exists());
    let outcome = place.round(&["--listed", place.at("none").to_str().expect("UTF-8")]);
    assert_eq!(outcome.exit_code, 2);
    for both in [["--due", "--gather"], ["--gather", "--due"]] {
        assert_eq!(place.round(&both).exit_code, 2);
    }
}

#[test]
fn a_campaign_that_another_worker_has_is_left_to_it() {
    let place = Place::with(&["a", "b"]);
    place.write("list", "a\nb\n");
    let list = place.at("list");
    let list = list.to_str().expect("UTF-8");
    fs::create_dir_all(place.at("out/.residuum/locks")).expect("a folder");
    let lock = fs::File::create(place.at("out/.residuum/locks/a")).expect("a file");
    lock.lock().expect("a lock");
    let outcome = place.round(&["--listed", list]);
    assert!(
        outcome.stdout.contains("busy       a"),
        "{}",
        outcome.stdout
    );
    assert!(whole(&place.at("out/b")).is_ok() && !place.at("out/a").exists());
    drop(lock);
    place.round(&["--listed", list]);
    assert!(whole(&place.at("out/a")).is_ok());
}

#[test]
fn killed_workers_lose_nothing() {
    let all: Vec<String> = (0..12).map(|number| format!("c{number}")).collect();
    let place = Place::with(&all.iter().map(String::as_str).collect::<Vec<_>>());
    place.write("list", &(all.join("\n") + "\n"));
    let list = place.at("list");
    let list = list.to_str().expect("UTF-8");
    for moment in 0..12 {
        let mut worker = place.command(&["--listed", list, "--threads", "1"]);
        let worker = worker.stdout(Stdio::null()).stderr(Stdio::null());
        let mut worker = worker.spawn().expect("a worker");
        sleep(Duration::from_millis(5 * moment));
        let _ = worker.kill();
        worker.wait().expect("it ended");
        for name in &all {
            let report = place.at("out").join(name);
            assert!(
                !report.exists() || whole(&report).is_ok(),
                "{name} at {moment}"
            );
        }
    }
    share(&place, 3);
    place.round(&["--gather"]);
    assert_eq!(due(&place), "");
    assert!(
        all.iter()
            .all(|name| whole(&place.at("out").join(name)).is_ok())
    );
}

#[test]
fn a_campaign_that_takes_too_long_is_ended_and_its_old_report_stays() {
    let place = Place::with(&["quick", "slow"]);
    place.round(&[]);
    let before = fs::read(place.at("out/slow/report.md")).expect("a report");
    let log = place.read("all/slow/runs.csv");
    let more = (0..60_000).map(|run| format!("S{run},100,0.80,48.{run},1.00\n"));
    place.write("all/slow/runs.csv", &(log + &more.collect::<String>()));
    let outcome = place.round(&["--limit", "0.2 s"]);
    assert_eq!(outcome.exit_code, 2, "{}", outcome.stdout);
    assert!(
        outcome.stdout.contains("failed     slow"),
        "{}",
        outcome.stdout
    );
    assert!(
        outcome.stdout.contains("it took longer than 0.2 s"),
        "{}",
        outcome.stdout
    );
    assert_eq!(
        fs::read(place.at("out/slow/report.md")).expect("a report"),
        before
    );
    assert!(whole(&place.at("out/slow")).is_ok());
    for wrong in ["10", "0 s", "5 g", "-1 s", "1,5 h"] {
        let outcome = place.round(&[&format!("--limit={wrong}")]);
        assert_eq!(outcome.exit_code, 2);
        assert!(outcome.stderr.contains("`90 s`"), "{}", outcome.stderr);
    }
}

#[test]
fn tables_are_collected_as_parquet_and_follow_the_campaigns() {
    let place = Place::with(&["a", "b/c"]);
    place.round(&["--tables", "parquet"]);
    let at = |name: &str| place.at("out/collected").join(name);
    assert!(at("yields/campaign=a.parquet").is_file());
    assert!(at("yields/campaign=b%2Fc.parquet").is_file());
    let answers = fs::read(at("answers.parquet")).expect("answers");
    assert!(answers.starts_with(b"PAR1") && answers.ends_with(b"PAR1"));
    let again = place.round(&["--tables", "parquet"]);
    assert!(again.stdout.contains("unchanged"), "{}", again.stdout);
    assert_eq!(fs::read(at("answers.parquet")).expect("answers"), answers);
    fs::remove_dir_all(place.at("all/b")).expect("it can be removed");
    fs::remove_dir_all(place.at("out/b")).expect("it can be removed");
    place.round(&["--tables", "parquet"]);
    assert!(!at("yields/campaign=b%2Fc.parquet").exists());
    assert_ne!(fs::read(at("answers.parquet")).expect("answers"), answers);
}
