//! Tests of which line of a run counts.
//!
//! In: runs logs with a column `revision`. Out: tests of what is read, and of the whole message.
//! This module never looks at anything but lines and names.

use crate::campaign::{CampaignDraft, FileText, LogKind};
use crate::error::Faults;
use crate::intake::{LogFile, Logged, read};

fn logged(decimal: &str, logs: &[&str]) -> Result<Logged, Faults> {
    let names: Vec<String> = (1..=logs.len()).map(|log| format!("{log}.csv")).collect();
    let file = FileText {
        file: "campaign.toml".into(),
        text: format!(
            "[campaign]\ntitle = \"x\"\n[logs]\nruns = {names:?}\ndecimal = \"{decimal}\"\n"
        ),
    };
    let campaign = CampaignDraft::read(file)?.check()?;
    let files = names.into_iter().zip(logs).map(|(file, log)| LogFile {
        part: None,
        kind: LogKind::Runs,
        file,
        bytes: log.as_bytes().to_vec(),
    });
    read(&campaign, &files.collect::<Vec<_>>())
}

/// The labour of the lines that count, and the superseded lines with the one that counts instead.
fn settled(revisions: &[&str]) -> (Vec<f64>, Vec<(usize, usize)>) {
    let rows = revisions.iter().enumerate();
    let rows = rows.map(|(row, revision)| format!("a;{revision};{}\n", row + 1));
    let log = "run;revision;labour\n".to_string() + &rows.collect::<String>();
    let logged = logged(".", &[&log]).unwrap();
    let rows = logged.runs.rows.iter();
    let superseded = logged.superseded.iter();
    (
        rows.filter_map(|row| Some(row.labour?.value)).collect(),
        superseded
            .map(|old| (old.place.line, old.by.line))
            .collect(),
    )
}

fn faults(logs: &[&str]) -> Vec<(String, String, Option<String>)> {
    let faults = logged(".", logs).unwrap_err().into_errors().into_iter();
    let told = faults.map(|fault| {
        let hint = fault.advice().unwrap_or_default().to_string();
        let column = fault.column().map(str::to_string);
        (fault.message().to_string(), hint, column)
    });
    told.collect()
}

#[test]
fn of_numbers_the_highest_counts_wherever_it_stands() {
    assert_eq!(
        settled(&["1", "10", "9"]),
        (vec![2.0], vec![(2, 3), (4, 3)])
    );
    assert_eq!(settled(&["2", "1.5"]), (vec![1.0], vec![(3, 2)]));
}

#[test]
fn of_dates_the_last_counts_and_of_one_day_the_last_time() {
    let dates = ["2025-03-09", "2025-03-10T08:00", "2025-03-10T07:00"];
    assert_eq!(settled(&dates), (vec![2.0], vec![(2, 3), (4, 3)]));
}

#[test]
fn of_other_texts_the_last_line_counts() {
    assert_eq!(settled(&["b", "a"]), (vec![2.0], vec![(2, 3)]));
    assert_eq!(settled(&["2", "first"]), (vec![2.0], vec![(2, 3)]));
}

#[test]
fn a_line_without_a_revision_is_older_than_one_with_it() {
    assert_eq!(settled(&["1", ""]), (vec![1.0], vec![(3, 2)]));
    let log = "run,revision,labour\na,,5\na,1,6\na,-,7\n";
    assert_eq!(
        faults(&[log])[0].0,
        "run `a` has no revision in `1.csv` line 2 and in `1.csv` line 4, which differ in `revision`: empty and `-`, `labour`: `5` and `7`"
    );
}

#[test]
fn a_superseded_line_has_no_faults_and_is_no_run() {
    let log = "run,revision,feed_mass\na,1,none at all\na,2,100\nb,,90\n";
    let logged = logged(".", &[log]).unwrap();
    assert_eq!(logged.left_out.len(), 0);
    assert_eq!(logged.runs.names, ["a", "b"]);
    assert_eq!(logged.runs.lines, 3);
    let old = &logged.superseded[0];
    assert_eq!(
        (old.run.as_str(), old.revision.as_deref()),
        ("a", Some("1"))
    );
}

#[test]
fn versions_may_stand_in_several_logs() {
    let [one, two] = ["run,revision\na,2\nb,\n", "run,revision\na,3\n"];
    let logged = logged(".", &[one, two]).unwrap();
    let old = &logged.superseded[0];
    assert_eq!(
        (old.place.to_string(), old.by.to_string()),
        ("`1.csv` line 2".into(), "`2.csv` line 2".into())
    );
    assert_eq!(logged.runs.names, ["b", "a"]);
}

#[test]
fn decimal_commas_are_numbers_where_the_campaign_has_them() {
    let log = "run;revision\na;1,10\na;1,9\n";
    let logged = logged(",", &[log]).unwrap();
    assert_eq!(logged.superseded[0].place.line, 2);
}

#[test]
fn equal_revisions_are_a_fault_that_shows_both_lines() {
    let log = "run,revision,labour\na,1,5\na,2,6\na,2.0,7\n";
    assert_eq!(
        faults(&[log]),
        [(
            "run `a` has the revision `2.0` in `1.csv` line 3 and in `1.csv` line 4, which differ in `revision`: `2` and `2.0`, `labour`: `6` and `7`".into(),
            "give the line that counts a higher revision".into(),
            Some("revision".into())
        )]
    );
}

#[test]
fn a_doubled_run_shows_both_lines_and_what_differs() {
    let hint = "if the later line corrects the other one, write `1` and `2` into a column `revision`; if it is another run, give it another name";
    let long = "x".repeat(41);
    let log = format!("run,labour,note\na,5,\nb,1,\na,6,{long}\n");
    let shown = format!("{}...", "x".repeat(40));
    assert_eq!(
        faults(&[&log]),
        [(
            format!(
                "run `a` stands in `1.csv` line 2 and in `1.csv` line 4, which differ in `labour`: `5` and `6`, `note`: empty and `{shown}`"
            ),
            hint.into(),
            Some("run".into())
        )]
    );
    // Columns of one log alone count too.
    let found = faults(&["run,labour\na,5\n", "run,note\na,x\n"]);
    assert_eq!(
        found[0].0,
        "run `a` stands in `1.csv` line 2 and in `2.csv` line 2, which differ in `note`: empty and `x`, `labour`: `5` and empty"
    );
    let same = faults(&["run,labour\na,5\na,5\na,5\n"]);
    assert_eq!(same.len(), 2);
    assert_eq!(
        (same[1].0.as_str(), same[1].1.as_str()),
        (
            "run `a` stands in `1.csv` line 2 and in `1.csv` line 4, with the same entries",
            "take one of the two lines out"
        )
    );
}
