//! Does a round that is killed at any moment leave every report whole and every history as long as it was?
//!
//! In: 30 campaigns, a third of whose logs change before every round, and 200 rounds killed at random moments. Out: one test.
//! This module never looks at what a round says while it lives.

use std::collections::BTreeMap;
use std::fs;
use std::process::Stdio;
use std::thread::sleep;
use std::time::{Duration, Instant};

use super::place::{Place, whole};

/// Campaigns of the place.
const CAMPAIGNS: usize = 30;

/// Rounds that are killed while they are at work.
const KILLS: usize = 200;

/// Moments that are equally likely, of one that is long enough for the whole round.
const MOMENTS: u64 = 1000;

/// Moments between 0 and 1 that look random and are the same every time.
///
/// # Source
/// The congruential generator of Knuth, D. E., The Art of Computer Programming, volume 2, section 3.3.4 (MMIX).
struct Moments(u64);

impl Moments {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % MOMENTS) as f64 / MOMENTS as f64
    }
}

fn name(campaign: usize) -> String {
    format!("{:02}/c{campaign:02}", campaign % 3)
}

/// A third of the campaigns, another one each turn, so that unchanged ones are always among them.
fn change(place: &Place, turn: usize) {
    for campaign in (0..CAMPAIGNS).filter(|campaign| campaign % 3 == turn % 3) {
        let crop = 48.0 + (turn * CAMPAIGNS + campaign) as f64 / 1e4;
        let log = format!(
            "run,feed_mass,feed_assay,crop1_mass,purity\nR1,100,0.80,{crop},1.00\nR2,100,0.80,49.6,1.00\n"
        );
        place.write(&format!("all/{}/runs.csv", name(campaign)), &log);
    }
}

/// What stood in the histories after the round before, as whole lines.
type Histories = BTreeMap<usize, String>;

/// Every report that was there is there and whole, and every line of a history still stands where it stood.
fn check_whole(place: &Place, histories: &mut Histories, moment: &str) {
    for campaign in 0..CAMPAIGNS {
        let report = place.at("out").join(name(campaign));
        let records = format!("out/.residuum/history/{}/records.jsonl", name(campaign));
        let bytes = fs::read(place.at(&records)).unwrap_or_default();
        let text = String::from_utf8(bytes).expect("a history is UTF-8");
        let whole_lines = text.rfind('\n').map_or("", |end| &text[..=end]);
        let before = histories.entry(campaign).or_default();
        assert!(
            whole_lines.starts_with(before.as_str()),
            "{moment}: the history of {campaign} lost a line"
        );
        for line in whole_lines[before.len()..].lines() {
            let _: serde_json::Value = serde_json::from_str(line).expect("a line is an object");
        }
        let had_a_report = !before.is_empty() || report.exists();
        if had_a_report && let Err(why) = whole(&report) {
            panic!("{moment}: the report of {campaign} is not whole: {why}");
        }
        *before = whole_lines.to_string();
    }
}

#[cfg(target_os = "linux")]
#[test]
fn two_hundred_killed_rounds_leave_every_report_whole_and_the_next_one_repairs() {
    let place = Place::with(&[]);
    for campaign in 0..CAMPAIGNS {
        place.add(&format!("all/{}", name(campaign)));
    }
    assert_eq!(place.round(&[]).exit_code, 0);
    change(&place, 0);
    let start = Instant::now();
    assert_eq!(place.round(&[]).exit_code, 0);
    let mut longest = start.elapsed();
    let mut histories = Histories::new();
    check_whole(&place, &mut histories, "first round");
    let mut moments = Moments(1);
    let (mut killed, mut turn, mut grown) = (0, 0, 0);
    while killed < KILLS {
        turn += 1;
        assert!(
            turn < 3 * KILLS,
            "only {killed} rounds could be killed in {turn}"
        );
        change(&place, turn);
        let mut command = place.command(&["--quiet"]);
        command.stdout(Stdio::null()).stderr(Stdio::null());
        let mut child = command.spawn().expect("the program starts");
        sleep(longest.mul_f64(moments.next()));
        if child.try_wait().expect("it can be asked").is_none() {
            child.kill().expect("it can be killed");
            killed += 1;
            // And where it is slower, early moments lie before the work.
            longest = longest.mul_f64(1.01);
        } else {
            // The machine is faster than it was, so late moments lie behind the end.
            longest = longest.mul_f64(0.9).max(Duration::from_millis(20));
        }
        child.wait().expect("it ends");
        let before: usize = histories.values().map(String::len).sum();
        check_whole(&place, &mut histories, &format!("turn {turn}"));
        grown += usize::from(histories.values().map(String::len).sum::<usize>() > before);
    }
    println!("{killed} of {turn} rounds were killed; {grown} of them had added to a history");
    assert!(
        grown > KILLS / 10,
        "hardly any round was killed at its work"
    );

    let outcome = place.round(&[]);
    assert!([0, 1].contains(&outcome.exit_code), "{}", outcome.stderr);
    check_whole(&place, &mut histories, "repair");
    let left: Vec<_> = fs::read_dir(place.at("out"))
        .expect("it can be listed")
        .map(|entry| entry.expect("it can be listed").file_name())
        .filter(|name| name.to_string_lossy().starts_with(".residuum-"))
        .collect();
    assert!(left.is_empty(), "{left:?}");
    // Reports are those of the inputs as they are now: a round that was never disturbed gives the same digests.
    let fresh = place.at("fresh");
    assert_eq!(
        place
            .round(&["--out", fresh.to_str().expect("UTF-8")])
            .exit_code,
        0
    );
    for campaign in 0..CAMPAIGNS {
        let [repaired, undisturbed] =
            [place.at("out"), fresh.clone()].map(|out| whole(&out.join(name(campaign))));
        assert!(
            repaired.is_ok() && repaired == undisturbed,
            "{campaign}: {repaired:?}"
        );
    }
    let again = place.round(&[]).stdout;
    assert_eq!(
        again
            .lines()
            .filter(|line| line.starts_with("unchanged"))
            .count(),
        CAMPAIGNS
    );
}
