//! Is the strength of a titrant on a day what an independent calculation has for it?
//!
//! In: `titrant_strength.json`, computed by `tests/check-scripts/titrant_strength.py` with matrices. Out: tests through the
//! library of value, uncertainty and covariance, and through the program of what is said of them.
//! This module never takes an expected figure from residuum.

use std::fmt::Write as _;

use residuum::campaign::LogKind;
use serde_json::Value;

use super::{Printed, bench};
use crate::in_memory::InMemory;
use crate::support::{check_digits, data_json, list, number, residuum};

/// Digits asked: sums of a few dozen products in binary64, whose differences lose some.
const DIGITS: f64 = 9.0;

const UNCERTAINTY: &str = "standard_mass = \"0.0002 g\"\ntitre = \"0.03 mL\"";

const HEADINGS: &str = "titrant,date,standard,standard_mass,standard_purity,u_standard_purity,standard_ratio,titre,aliquot\n";

/// The rows of one titrant of the data, under the name `S`.
fn rows_of(of: &Value) -> String {
    let mut text = HEADINGS.to_string();
    for row in list(of, "rows") {
        let (date, mass, titre) = (row[0].as_str().expect("a date"), &row[1], &row[2]);
        writeln!(text, "S,{date},KIO3,{mass},0.9994,0.0002,6,{titre},0.2").unwrap();
    }
    text
}

/// A campaign of that titrant with one titre, dated or not.
fn campaign(titrants: &str, titres: &str) -> InMemory {
    bench("", UNCERTAINTY)
        .with(LogKind::Titrants, titrants)
        .with(LogKind::Titres, titres)
}

const ONE_TITRE: &str = "run,crop,sample_mass,titre\nR1,1,1.0000,39.68\n";

/// Days since an arbitrary one, of a date in 2026 from February to April.
fn day_of(date: &str) -> i32 {
    let days: i32 = date[8..].parse().expect("a day");
    days + match &date[..7] {
        "2026-02" => 0,
        "2026-03" => 28,
        "2026-04" => 59,
        other => panic!("no month of the data: {other}"),
    }
}

#[test]
fn strengths_of_days_agree_with_matrices() {
    let data = data_json("titrant_strength.json");
    for (name, of) in data["titrants"].as_object().expect("titrants") {
        let worked = campaign(&rows_of(of), ONE_TITRE).work_out();
        let strength = &worked.runs().titrants[0];
        assert_eq!(strength.by_date.used().name(), of["used"], "{name}");
        let first = strength.rows[0].date.clone().expect("a date");
        let known = strength.rows[0].day.expect("a day") - day_of(&first);
        let at = |date: &str| strength.by_date.at(Some(known + day_of(date))).into_owned();
        let asked = list(of, "strengths");
        let all: Vec<_> = asked
            .iter()
            .map(|on| at(on["date"].as_str().expect("a date")))
            .collect();
        for (found, on) in all.iter().zip(asked) {
            let what = format!("{name} on {}", on["date"]);
            check_digits(&what, found.value(), number(on, "value"), DIGITS);
            check_digits(&what, found.uncertainty(), number(on, "u"), DIGITS);
        }
        let shared = all[1].covariance(&all[4]);
        check_digits(
            &format!("{name}, two days"),
            shared,
            number(of, "covariance"),
            DIGITS,
        );
    }
}

/// The purity of the one run, by the program.
fn purity(titrants: &str, titres: &str) -> f64 {
    let printed = Printed::of(&campaign(titrants, titres));
    number(&printed.run("R1")["purity"], "value")
}

fn ageing() -> String {
    rows_of(&data_json("titrant_strength.json")["titrants"]["ageing"])
}

fn with_date(date: &str) -> String {
    format!("run,crop,date,sample_mass,titre\nR1,1,{date},1.0000,39.68\n")
}

#[test]
fn a_titre_takes_the_strength_of_its_own_day_then_of_its_run_then_the_mean() {
    let data = data_json("titrant_strength.json");
    let strengths = list(&data["titrants"]["ageing"], "strengths");
    let on = |place: usize| number(&strengths[place], "value");
    let dated = |place: usize| {
        let date = strengths[place]["date"].as_str().expect("a date");
        purity(&ageing(), &with_date(date))
    };
    let ratio = dated(1) / dated(4);
    check_digits("two days", ratio, on(1) / on(4), DIGITS);
    let of_run = campaign(&ageing(), ONE_TITRE).with(
        LogKind::Runs,
        "run,date,feed_mass,feed_assay\nR1,2026-03-05,100,0.8\n",
    );
    let printed = Printed::of(&of_run);
    check_digits(
        "date of the run",
        number(&printed.run("R1")["purity"], "value"),
        dated(1),
        DIGITS,
    );
    let caveat = printed.caveat("titrant ageing");
    let advice = caveat["advice"].as_str().expect("an advice");
    assert!(
        advice.contains("1 without a date of their own take that of their run"),
        "{advice}"
    );
    // Without any date: the mean, as before.
    let printed = Printed::of(&campaign(&ageing(), ONE_TITRE));
    let mean = number(&printed.titrant("S")["concentration"], "value");
    let undated = number(&printed.run("R1")["purity"], "value");
    check_digits("no date", undated / dated(1), mean / on(1), DIGITS);
    let caveat = printed.caveat("titrant ageing");
    let advice = caveat["advice"].as_str().expect("an advice");
    assert!(
        advice.contains("1 without any date take the mean"),
        "{advice}"
    );
}

#[test]
fn the_report_says_which_strength_was_used_and_its_chart_shows_it() {
    let of_run = campaign(&ageing(), &with_date("2026-04-10"));
    let folder = of_run.folder();
    let out = folder.path().join("out");
    let call = residuum(&[
        "report".as_ref(),
        folder.path().as_os_str(),
        "--out".as_ref(),
        out.as_os_str(),
    ]);
    assert_eq!(call.exit_code, 0, "{}", call.stderr);
    let name = folder.path().file_name().expect("a name");
    let report = std::fs::read_to_string(out.join(name).join("report.md")).expect("a report");
    assert!(
        report.contains("reckoned with the strength of their day: S by the line through its days"),
        "{report}"
    );
    assert!(
        report.contains("1 lie up to 4 days before the first or behind the last standardisation"),
        "{report}"
    );
    let result = std::fs::read_to_string(out.join(name).join("result.json")).expect("a result");
    let result: Value = serde_json::from_str(&result).expect("JSON");
    assert_eq!(result["titrants"][0]["used"], "line");
    let charts = list(&result, "drift");
    let single = charts
        .iter()
        .find(|of| of["titrant"] == "S" && of["chart"] == "individuals");
    let points = list(single.expect("the chart of the titrant"), "points");
    let data = data_json("titrant_strength.json");
    let on_march_16 = number(&list(&data["titrants"]["ageing"], "strengths")[2], "value");
    let point = points
        .iter()
        .find(|point| point["run"] == "2026-03-16")
        .expect("that day");
    check_digits("charted line", number(point, "used"), on_march_16, DIGITS);
    let picture = std::fs::read_dir(out.join(name).join("charts")).expect("charts");
    let single = picture.filter_map(|entry| {
        let path = entry.expect("a file").path();
        let is_it = path.to_string_lossy().contains("titrant-");
        (is_it && path.to_string_lossy().ends_with("single.svg"))
            .then(|| std::fs::read_to_string(path).expect("SVG"))
    });
    let drawn: Vec<String> = single.collect();
    assert!(
        drawn
            .iter()
            .any(|svg| svg.contains("reckoned with that day")),
        "{}",
        drawn.len()
    );
}

#[test]
fn two_days_that_differ_leave_the_days_between_open() {
    // (0.101 − 0.100)²/12 in the middle, and half of each error.
    let titrants = "titrant,date,concentration,u_concentration\nS,2026-03-02,0.101,0.0002\nS,2026-03-22,0.100,0.0002\n";
    let worked = campaign(titrants, ONE_TITRE).work_out();
    let strength = &worked.runs().titrants[0];
    let middle = strength
        .by_date
        .at(strength.rows[0].day.map(|day| day + 10));
    check_digits("value", middle.value(), 0.1005, DIGITS);
    let expected = (0.001_f64.powi(2) / 12.0 + 0.0002_f64.powi(2) / 2.0).sqrt();
    check_digits("u", middle.uncertainty(), expected, DIGITS);
    let printed = Printed::of(&campaign(titrants, ONE_TITRE));
    assert_eq!(printed.titrant("S")["used"], "between neighbours");
    assert!(printed.caveats("titrant ageing").is_empty());
    let wanders = printed.caveat("titrant wanders");
    assert_eq!(wanders["about"], "titrant S");
}

#[test]
fn the_chain_of_a_run_shows_the_strength_of_its_day() {
    let folder = campaign(&ageing(), &with_date("2026-03-05")).folder();
    let call = residuum(&[
        "check".as_ref(),
        folder.path().as_os_str(),
        "--chain".as_ref(),
        "R1".as_ref(),
        "--json".as_ref(),
    ]);
    let chain = call.json();
    let data = data_json("titrant_strength.json");
    let expected = number(&list(&data["titrants"]["ageing"], "strengths")[1], "value");
    let found = chain
        .pointer("/chain/titres/0/concentration")
        .or(chain.pointer("/titres/0/concentration"));
    check_digits(
        "strength",
        found.and_then(Value::as_f64).expect("a strength"),
        expected,
        DIGITS,
    );
}

#[test]
fn a_date_of_a_titre_that_is_none_is_told() {
    let folder = campaign(&ageing(), &with_date("31.2.2026")).folder();
    let call = residuum(&["check".as_ref(), folder.path().as_os_str()]);
    let said = call.stdout + &call.stderr;
    assert!(
        said.contains("column `date` in `titres.csv` line 2"),
        "{said}"
    );
}
