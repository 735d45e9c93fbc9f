//! Which dates are read, and what is said of one that could be two?
//!
//! In: dates as people write them. Out: tests of the dates that are kept and of whole messages.
//! This module never judges whether a date is likely.

use super::bench::{CAMPAIGN, Edit, RUNS, campaign, change, whole};
use super::promises::{
    Fault, check_as_sound, check_left_out, check_stops, fault, faults_of, yield_of,
};
use crate::support::{list, residuum_json};

const WRITE: &str = "write year-month-day, such as `2025-10-03`";

/// The runs log with other dates, in the order of its rows; those beyond the list stay.
fn dated(dates: &[&str]) -> Edit {
    let rows = RUNS.lines().skip(1).enumerate().map(|(position, row)| {
        let mut cells: Vec<String> = row.split(',').map(str::to_string).collect();
        if let Some(date) = dates.get(position) {
            cells[1] = match date.contains(',') {
                true => format!("\"{date}\""),
                false => (*date).to_string(),
            };
        }
        cells.join(",") + "\n"
    });
    let heading = "run,date,lot,feed_mass,heating,bath\n".to_string();
    whole("runs.csv", heading + &rows.collect::<String>())
}

fn stated(order: &str) -> Edit {
    change(
        "campaign.toml",
        "[logs]",
        format!("[logs]\ndates = \"{order}\""),
    )
}

fn of_run<'a>(line: u64, run: &'a str, reason: &'a str, hint: &'a str) -> Fault<'a> {
    fault(reason, hint)
        .in_file("runs.csv")
        .on_line(line)
        .of_run(run)
}

/// Dates of all runs as a call prints them.
fn kept(edits: &[Edit]) -> Vec<String> {
    let result = residuum_json("yields", campaign(edits).path());
    assert_eq!(result["left_out"], serde_json::json!([]));
    let lines = list(&result, "yields").iter();
    lines
        .map(|line| line["date"].as_str().unwrap_or_default().to_string())
        .collect()
}

#[test]
fn dates_with_names_of_months_and_of_one_order_are_kept_in_iso_form() {
    let dates = [
        "03/03/2025",
        "4 Mar 2025",
        "5-Mar-25",
        "06.03.25",
        "Mar 7, 2025",
        "10. March 2025",
        "2025-03-11",
        // The 13th of no month: from here on the order is known.
        "13/03/2025 14:30",
    ];
    let runs = kept(&[dated(&dates)]);
    let expected = [
        "2025-03-03",
        "2025-03-04",
        "2025-03-05",
        "2025-03-06",
        "2025-03-07",
        "2025-03-10",
        "2025-03-11",
        "2025-03-13T14:30",
    ];
    assert_eq!(runs, expected);
}

#[test]
fn a_date_of_figures_that_two_orders_read_is_refused_with_both() {
    check_left_out(
        // 3 March is one day in both orders.
        &[dated(&["3.3.2025", "2025-03-04", "5.3.2025"])],
        &[of_run(
            4,
            "R3",
            "column `date` in `runs.csv` line 4 can be read as several dates: `5.3.2025`",
            "it is 2025-03-05 by `dates = \"d.m.y\"` and 2025-05-03 by `dates = \"m.d.y\"`: add the one that holds to `[logs]`, or write year-month-day, such as `2025-10-03`",
        )],
        &["R3"],
    );
}

#[test]
fn the_order_that_the_campaign_file_states_holds() {
    for (order, written) in [
        ("d.m.y", "5.3.2025"),
        ("d/m/y", "05-03-25"),
        ("m.d.y", "3/5/2025"),
        ("y-m-d", "2025/3/5"),
        ("yyyy.mm.dd", "25.3.5"),
    ] {
        let line = yield_of(
            "R3",
            &[stated(order), dated(&["2025-03-03", "4 Mar 2025", written])],
        );
        assert_eq!(line["run"], "R3", "{order}");
    }
}

#[test]
fn a_date_that_the_stated_order_cannot_read_is_refused_with_what_it_would_be() {
    let what = "is not a date in the order that the campaign file states";
    for (written, by, day) in [
        ("03/25/2025", "m.d.y", "2025-03-25"),
        ("2025/3/5", "y.m.d", "2025-03-05"),
    ] {
        check_left_out(
            &[
                stated("d.m.y"),
                dated(&["2025-03-03", "2025-03-04", written]),
            ],
            &[of_run(
                4,
                "R3",
                &format!("column `date` in `runs.csv` line 4 {what}: `{written}`"),
                &format!("`dates` under `[logs]` says `d.m.y`; by `{by}` it is {day}: write it so"),
            )],
            &["R3"],
        );
    }
    check_left_out(
        &[
            stated("d.m.y"),
            dated(&["2025-03-03", "2025-03-04", "13/25/2025"]),
        ],
        &[of_run(
            4,
            "R3",
            "column `date` in `runs.csv` line 4 is not a date: `13/25/2025`",
            WRITE,
        )],
        &["R3"],
    );
}

#[test]
fn an_order_that_is_none_stops() {
    for text in ["d.m", "", "iso", "y.d.m"] {
        check_stops(
            &[stated(text)],
            &[fault(
                &format!("`logs.dates` is `{text}`, in `campaign.toml` line 9"),
                "write `d.m.y`, `m.d.y` or `y.m.d`",
            )
            .in_file("campaign.toml")
            .on_line(9)],
        );
    }
}

#[test]
fn dates_of_titrants_are_read_alike() {
    check_as_sound(&[
        stated("d.m.y"),
        change("titrants.csv", "T1,2025-03-01", "T1,1.3.25"),
    ]);
    check_left_out(
        &[whole(
            "titrants.csv",
            "titrant,date,concentration,u_concentration\nT1,2025-03-01,0.1,0.0001\nT2,1.3.25,0.1,0.0001\n",
        )],
        &[fault(
            "column `date` in `titrants.csv` line 3 can be read as several dates: `1.3.25`",
            "it is 2025-03-01 by `dates = \"d.m.y\"` and 2025-01-03 by `dates = \"m.d.y\"`: add the one that holds to `[logs]`, or write year-month-day, such as `2025-10-03`",
        )
        .in_file("titrants.csv")
        .on_line(3)],
        &[],
    );
}

#[test]
fn readings_may_be_dated_in_any_order_that_is_clear() {
    let with = |readings: &str| {
        let factor = "[factors.peak_temperature]\nkind = \"amount\"\n\n[factors.heating_rate]\nkind = \"amount\"\n\n[model]";
        let text = CAMPAIGN.replace("[model]", factor).replace(
            "residues = \"residues.csv\"",
            "residues = \"residues.csv\"\nreadings = \"readings.csv\"",
        );
        campaign(&[
            whole("campaign.toml", text),
            whole("readings.csv", readings),
        ])
    };
    let rows = |first: &str, second: &str| {
        let runs = RUNS
            .lines()
            .skip(1)
            .map(|row| row.split(',').next().unwrap_or_default());
        let rows = runs.map(|run| format!("{run},{first},20\n{run},{second},500\n"));
        format!("run,time,temperature\n{}", rows.collect::<String>())
    };
    for (first, second) in [
        ("2025-03-13T10:00", "2025-03-13T10:48"),
        ("13/03/2025 10:00", "13/03/2025 10:48"),
        ("\"Mar 13, 2025 10:00 AM\"", "\"Mar 13, 2025 10:48 AM\""),
    ] {
        let folder = with(&rows(first, second));
        let result = residuum_json("yields", folder.path());
        assert_eq!(result["left_out"], serde_json::json!([]), "{first}");
    }
    let folder = with(&rows("03/04/2025 10:00", "03/04/2025 10:48"));
    let faults = faults_of(folder.path());
    let first = &list(&faults, "left_out")[0];
    assert_eq!(
        first["reason"],
        "column `time` in `readings.csv` line 2 can be read as several dates: `03/04/2025 10:00`"
    );
}

#[test]
fn a_slip_of_day_and_month_is_found_in_dates_of_figures_as_in_iso_dates() {
    let slips = |dates: &[&str]| {
        let result = residuum_json("report", campaign(&[stated("d.m.y"), dated(dates)]).path());
        let slips = list(&result, "slips")
            .iter()
            .filter(|slip| slip["column"] == "date");
        let told = slips.map(|slip| (slip["run"].clone(), slip["likely"].clone()));
        told.collect::<Vec<_>>()
    };
    // R3 on 3 May in place of 5 March.
    let iso = slips(&["2025-03-03", "2025-03-04", "2025-05-03"]);
    assert_eq!(slips(&["3.3.25", "4.3.25", "3.5.25"]), iso);
    assert_eq!(iso.len(), 1);
    assert_eq!(iso[0].0, "R3");
    let named = slips(&["3 Mar 25", "4 Mar 25", "3 May 25"]);
    assert!(named.iter().all(|slip| slip.1 != iso[0].1), "{named:?}");
}
