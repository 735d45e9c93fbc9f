//! Does one campaign give one result, however it is written down?
//!
//! In: the same runs in separate logs and in one flat table, in another order, with other headings and units. Out: tests
//! that the figures agree.
//! This module never changes what was measured.

use std::path::Path;

use serde_json::Value;

use super::bench::{CAMPAIGN, CROPS, Edit, LOTS, RUNS, TITRES, campaign, gone, whole};
use super::output::files_below;
use super::promises::call;
use crate::support::{CampaignFolder, check_digits, list, member, number, residuum_json};

/// Digits asked of figures that were converted or summed on the way, where each step rounds once in binary64.
const DIGITS: f64 = 12.0;

fn yields(edits: &[Edit]) -> Vec<Value> {
    let result = residuum_json("yields", campaign(edits).path());
    assert_eq!(result["left_out"], Value::Array(Vec::new()));
    list(&result, "yields").to_vec()
}

/// Both have the same runs, and the named figures agree, each with its uncertainty.
fn check_alike(one: &[Value], other: &[Value], figures: &[&str]) {
    assert_eq!(one.len(), other.len());
    for line in one {
        let run = line["run"].as_str().unwrap_or_default();
        let twin = member(other, "run", run).unwrap_or_else(|| panic!("no run `{run}`"));
        for figure in figures {
            for part in ["value", "u"] {
                check_digits(
                    &format!("{figure} of {run}, {part}"),
                    number(&twin[figure], part),
                    number(&line[figure], part),
                    DIGITS,
                );
            }
        }
    }
}

const FIGURES: [&str; 5] = [
    "gross",
    "assay_adjusted",
    "contained",
    "purity",
    "theory_fresh",
];

/// The campaign with the named logs only.
fn only(logs: &[&str]) -> String {
    CAMPAIGN
        .lines()
        .filter(|line| !line.contains(".csv\"") || logs.iter().any(|log| line.starts_with(log)))
        .fold(String::new(), |text, line| text + line + "\n")
}

/// A row for each run from its cells in the runs log, after the cells up to the lot.
fn rows(heading: &str, row: impl Fn(&[&str]) -> String) -> String {
    let body = RUNS
        .lines()
        .skip(1)
        .map(|line| row(&line.split(',').collect::<Vec<_>>()));
    body.fold(format!("{heading}\n"), |text, line| text + &line + "\n")
}

fn crop_of(run: &str) -> &'static str {
    let row = CROPS
        .lines()
        .find(|row| row.starts_with(&format!("{run},")));
    row.and_then(|row| row.split(',').nth(2))
        .expect("each run has a crop")
}

/// R3 with a second crop of 10 g, purity logged for the run.
fn separate() -> Vec<Edit> {
    let runs = rows("run,lot,feed_mass,heating,purity,u_purity", |cells| {
        format!(
            "{},{},{},{},0.9943125,0.002",
            cells[0], cells[2], cells[3], cells[4]
        )
    });
    vec![
        whole("campaign.toml", only(&["runs", "lots", "crops"])),
        whole("runs.csv", runs),
        whole("crops.csv", format!("{CROPS}R3,2,10\n")),
    ]
}

fn flat() -> Vec<Edit> {
    let heading =
        "run,feed_mass,feed_assay,u_feed_assay,heating,crop1_mass,crop2_mass,purity,u_purity";
    let runs = rows(heading, |cells| {
        let assay = if cells[2] == "A" { "0.80" } else { "0.75" };
        let second = if cells[0] == "R3" { "10" } else { "" };
        let first = crop_of(cells[0]);
        format!(
            "{},{},{assay},0.004,{},{first},{second},0.9943125,0.002",
            cells[0], cells[3], cells[4]
        )
    });
    vec![
        whole("campaign.toml", only(&["runs"])),
        whole("runs.csv", runs),
    ]
}

#[test]
fn separate_logs_and_one_flat_table_give_the_same_figures() {
    let (separate, flat) = (yields(&separate()), yields(&flat()));
    check_alike(&separate, &flat, &FIGURES);
    let third = member(&flat, "run", "R3").expect("the run is there");
    // (117 + 10) · 0.9943125 / (200 · 0.75).
    check_digits(
        "contained",
        number(&third["contained"], "value"),
        0.84185125,
        DIGITS,
    );
    assert_eq!(list(third, "crops").len(), 2);
}

#[test]
fn a_purity_from_titres_and_the_same_purity_as_logged_give_the_same_yield() {
    let titrated = yields(&[]);
    let logged = yields(&flat());
    for run in ["R1", "R2", "R8"] {
        let value = |lines: &[Value]| {
            number(
                &member(lines, "run", run).expect("the run is there")["contained"],
                "value",
            )
        };
        check_digits(run, value(&titrated), value(&logged), DIGITS);
    }
}

/// The rows of a log in another order, its heading first.
fn shuffled(text: &str) -> String {
    let (heading, body) = text.split_once('\n').expect("a log has a heading");
    let rows: Vec<&str> = body.lines().collect();
    // Odd rows from the back, then even rows from the front.
    let odd = rows.iter().skip(1).step_by(2).rev();
    let all: Vec<&str> = odd.chain(rows.iter().step_by(2)).copied().collect();
    format!("{heading}\n{}\n", all.join("\n"))
}

/// Reports on a campaign before and after each of its logs was shuffled; both are the same, byte by byte.
fn check_order_is_no_matter(original: &Path, logs: &[&str], edits: &[[&str; 3]]) {
    let place = CampaignFolder::new();
    let out = place.path().join("out");
    let folder = CampaignFolder::copy_of(original);
    let write = |log: &str, change: &dyn Fn(&str) -> String| {
        let path = folder.path().join(log);
        let text = std::fs::read_to_string(&path).expect("the log is text");
        std::fs::write(path, change(&text)).expect("the log can be written");
    };
    for [log, from, to] in edits {
        write(log, &|text| text.replace(from, to));
    }
    assert_eq!(
        call("report", folder.path(), &out, &["--quiet"]).exit_code,
        0
    );
    let before = files_below(&out);
    for log in logs {
        write(log, &shuffled);
    }
    assert_eq!(
        call("report", folder.path(), &out, &["--quiet"]).exit_code,
        0
    );
    for (path, bytes) in files_below(&out) {
        assert!(
            before.get(&path) == Some(&bytes),
            "{} has changed",
            path.display()
        );
    }
}

#[test]
fn the_order_of_the_rows_is_no_matter() {
    let folder = campaign(&[]);
    let logs = [
        "runs.csv",
        "lots.csv",
        "crops.csv",
        "titres.csv",
        "titrants.csv",
        "residues.csv",
    ];
    check_order_is_no_matter(folder.path(), &logs, &[]);
}

fn demo(name: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("data-demo")
        .join(name)
}

#[test]
fn the_order_of_the_rows_is_no_matter_for_a_large_campaign() {
    // The run set aside comes back in, with what boiled over, and the mistyped residue is put right: both are listed with their lines, which another order
    // changes.
    let logs = [
        "runs.csv",
        "lots.csv",
        "crops.csv",
        "titres.csv",
        "residues.csv",
    ];
    let edits = [
        ["runs.csv", "boiled over during the boil-down", ""],
        ["crops.csv", "B-041,2,83.3,", "B-041,2,391.0,"],
        ["residues.csv", "B-054,1072.0,", "B-054,107.2,"],
    ];
    check_order_is_no_matter(&demo("bluestone"), &logs, &edits);
}

#[test]
fn the_order_of_standardisations_is_no_matter() {
    let logs = ["titrants.csv"];
    check_order_is_no_matter(&demo("bluestone"), &logs, &[]);
}

#[test]
fn the_order_of_a_flat_table_is_no_matter() {
    check_order_is_no_matter(&demo("iodate"), &["charges.csv"], &[]);
}

#[test]
fn every_way_to_write_a_heading_means_the_same_column() {
    let sound = yields(&[]);
    for heading in [
        "feed_mass",
        "feed_mass / g",
        "feed_mass (g)",
        "feed_mass [g]",
        "feed_mass_g",
    ] {
        check_alike(
            &sound,
            &yields(&[whole("runs.csv", RUNS.replace("feed_mass", heading))]),
            &FIGURES,
        );
    }
    for heading in ["mass / g", "mass (g)", "mass [g]", "mass_g"] {
        check_alike(
            &sound,
            &yields(&[whole("crops.csv", CROPS.replace("mass", heading))]),
            &FIGURES,
        );
    }
}

#[test]
fn a_heading_of_the_users_own_means_the_column_it_is_given_for() {
    let sound = yields(&[]);
    let toml = |mapping: &str| {
        whole(
            "campaign.toml",
            format!("{CAMPAIGN}\n[columns.runs]\n{mapping}\n"),
        )
    };
    for (mapping, heading) in [
        ("feed_mass = \"Scale charged\"", "Scale charged"),
        (
            "feed_mass = { heading = \"Scale charged\" }",
            "Scale charged (g)",
        ),
        (
            "feed_mass = { heading = \"Scale charged (g)\" }",
            "Scale charged (g)",
        ),
        (
            "feed_mass = { heading = \"Scale charged\", unit = \"g\" }",
            "Scale charged",
        ),
    ] {
        let edits = [
            toml(mapping),
            whole("runs.csv", RUNS.replace("feed_mass", heading)),
        ];
        check_alike(&sound, &yields(&edits), &FIGURES);
    }
}

#[test]
fn kilograms_milligrams_litres_and_percent_give_the_same_figures() {
    let sound = yields(&[]);
    let in_kilograms = |text: &str| text.replace(",100,", ",0.1,").replace(",200,", ",0.2,");
    let in_milligrams = |text: &str| text.replace("0.1600", "160.0");
    let in_litres = |text: &str| text.replace("20.00", "0.02000");
    let percent = |text: &str| {
        text.replace("0.80,0.004", "80,0.4")
            .replace("0.75,0.004", "75,0.4")
    };
    for edit in [
        whole(
            "runs.csv",
            in_kilograms(&RUNS.replace("feed_mass", "feed_mass / kg")),
        ),
        whole(
            "runs.csv",
            in_kilograms(&RUNS.replace("feed_mass", "feed_mass_kg")),
        ),
        whole(
            "titres.csv",
            in_milligrams(&TITRES.replace("sample_mass", "sample_mass [mg]")),
        ),
        whole(
            "titres.csv",
            in_litres(&TITRES.replace("titre\n", "titre (L)\n")),
        ),
        whole(
            "titrants.csv",
            "titrant,concentration / mmol/L,u_concentration\nT1,100,0.1\n",
        ),
        whole(
            "lots.csv",
            percent(&LOTS.replace("assay,u_assay", "assay / %,u_assay")),
        ),
        whole(
            "lots.csv",
            percent(&LOTS.replace("assay,u_assay", "assay (%),u_assay (%)")),
        ),
        whole(
            "lots.csv",
            LOTS.replace("0.80,", "80 %,").replace("0.75,", "75%,"),
        ),
        whole(
            "lots.csv",
            LOTS.replace("0.80,0.004", "80 %,0.4 %")
                .replace("0.75,0.004", "75 %,0.4 %"),
        ),
    ] {
        check_alike(&sound, &yields(&[edit]), &FIGURES);
    }
}

#[test]
fn an_uncertainty_in_the_log_counts_as_the_same_one_in_the_campaign_file() {
    let sound = yields(&[]);
    let logged = rows("run,lot,feed_mass (kg),u_feed_mass,heating", |cells| {
        let charge = if cells[3] == "100" { "0.1" } else { "0.2" };
        format!("{},{},{charge},0.0001,{}", cells[0], cells[2], cells[4])
    });
    let toml = CAMPAIGN.replace("feed_mass = \"0.1 g\"\n", "");
    let edits = [whole("campaign.toml", toml), whole("runs.csv", logged)];
    check_alike(&sound, &yields(&edits), &FIGURES);
}

#[test]
fn a_log_in_two_files_is_the_log_in_one() {
    let sound = yields(&[]);
    let (heading, body) = CROPS.split_once('\n').expect("the log has a heading");
    let (first, second) = body.split_at(body.find("R5").expect("R5 is there"));
    for named in ["[\"crops-1.csv\", \"crops-2.csv\"]", "\"crops-*.csv\""] {
        let edits = [
            gone("crops.csv"),
            whole("campaign.toml", CAMPAIGN.replace("\"crops.csv\"", named)),
            whole("crops-1.csv", format!("{heading}\n{first}")),
            whole("crops-2.csv", format!("{heading}\n{second}")),
        ];
        check_alike(&sound, &yields(&edits), &FIGURES);
    }
}
