//! Which single entries can no run be worked out from, though each is a sound number, or no entry at all?
//!
//! In: logs with a gap, a figure that divides by zero, or the same thing twice. Out: tests of the whole message.
//! This module never spoils a cell so that it is no number.

use super::bench::{
    CAMPAIGN, CROPS, Edit, LOTS, RUNS, TITRANTS, TITRES, campaign, change, whole, with_column,
};
use super::promises::{Doubt, check_doubts, check_left_out, check_stops, fault, faults_of};
use crate::support::{list, residuum_json};

const ALL_OF_IT: &str =
    "an aliquot is the part of the solution that was titrated; leave the cell empty for all of it";
const VOLUMES: &str = "check the volumes, and which titrant is which";

/// A fault of the titre of R3, which stands on line 4; R3 is the only run that goes.
fn check_titre(titres: String, reason: &str, hint: &str) {
    check_left_out(
        &[whole("titres.csv", titres)],
        &[fault(reason, hint)
            .in_file("titres.csv")
            .on_line(4)
            .of_run("R3")],
        &["R3"],
    );
}

#[test]
fn a_titre_of_a_crop_that_nobody_weighed_leaves_out_its_run() {
    check_left_out(
        &[change("titres.csv", "R4,1,", "R3,2,0.1600,20.00\nR4,1,")],
        &[fault(
            "crop 2 of run `R3` has no mass, though it was titrated",
            "write its mass, `0` where there was none, or correct the number of the crop",
        )
        .in_file("titres.csv")
        .on_line(5)
        .of_run("R3")],
        &["R3"],
    );
}

#[test]
fn an_aliquot_of_nothing_leaves_out_its_run() {
    check_titre(
        with_column(TITRES, "aliquot", "R3", "0"),
        "column `aliquot` in `titres.csv` line 4 is not above zero: `0`",
        ALL_OF_IT,
    );
}

#[test]
fn a_titre_of_zero_leaves_out_its_run() {
    check_titre(
        TITRES.replace("R3,1,0.1600,20.00", "R3,1,0.1600,0.00"),
        "column `titre` in `titres.csv` line 4 is not above zero: `0.00`",
        "leave the cell empty when the sample was not titrated",
    );
}

#[test]
fn a_titre_that_its_blank_or_back_titre_uses_up_leaves_out_its_run() {
    check_titre(
        with_column(TITRES, "blank", "R3", "20.00"),
        "titre less blank in `titres.csv` line 4 leaves no titrant for the sample",
        VOLUMES,
    );
    let back = with_column(TITRES, "back_titrant", "R3", "T1");
    check_titre(
        with_column(&back, "back_titre", "R3", "20.01"),
        "titre less blank and back titre in `titres.csv` line 4 leaves no titrant for the sample",
        VOLUMES,
    );
}

#[test]
fn a_residue_so_depleted_that_it_uses_up_no_titrant_stays_in() {
    let titres = format!("{TITRES}R3,residue,0.1600,0.00\n");
    let residues = "run,mass\nR3,56\n";
    let edits = [whole("titres.csv", titres), whole("residues.csv", residues)];
    let result = residuum_json("yields", campaign(&edits).path());
    assert_eq!(list(&result, "left_out").len(), 0, "{result}");
    let line = &list(&result, "yields")[2];
    assert_eq!(line["residue_assay"]["value"], 0.0);
}

#[test]
fn a_titrant_without_a_usable_strength_leaves_out_the_runs_titrated_with_it_and_no_other() {
    // 20.00 mL of titrant for standard and blank alike leave none for the standard.
    let titrants = format!(
        "{}\n{}\nT2,,,,KIO3,0.1,20,20\n",
        "titrant,date,concentration,u_concentration,standard,standard_mass,titre,blank",
        "T1,2025-03-01,0.1,0.0001,,,,"
    );
    check_left_out(
        &[
            whole("titrants.csv", titrants),
            whole("titres.csv", with_column(TITRES, "titrant", "R3", "T2")),
        ],
        &[
            fault(
                "column `blank` in `titrants.csv` line 3 is not below the titre: `20`",
                "what is left of the titre without the blank is what the standard used up; check both",
            )
            .in_file("titrants.csv")
            .on_line(3),
            fault(
                "a `titrant` without a usable strength in `titres.csv` line 4: `T2`",
                "correct `titrants.csv` line 3",
            )
            .in_file("titres.csv")
            .on_line(4)
            .of_run("R3"),
        ],
        &["R3"],
    );
}

#[test]
fn a_figure_beyond_all_vessels_leaves_out_its_run_with_what_is_possible() {
    check_left_out(
        &[change("crops.csv", "R3,1,117", "R3,1,1e300")],
        &[fault(
            "column `mass` in `crops.csv` line 4 is out of all range: `1e300`",
            "a mass is zero or from 1e-9 to 1e9 g; look for a slip in the exponent or the unit",
        )
        .in_file("crops.csv")
        .on_line(4)
        .of_run("R3")],
        &["R3"],
    );
}

#[test]
fn a_feed_assay_a_hundred_times_off_the_other_assays_leaves_out_its_run() {
    // Middle of 0.0075, 0.75 and 0.80 is 0.75.
    check_left_out(
        &[whole(
            "runs.csv",
            with_column(RUNS, "feed_assay", "R3", "0.0075"),
        )],
        &[fault(
            "the feed assay in `runs.csv` line 4 is 100 times off the other assays: 0.0075",
            "a percent typed as a fraction, or the other way round? write `82 %` or `0.82`",
        )
        .in_file("runs.csv")
        .on_line(4)
        .of_run("R3")],
        &["R3"],
    );
}

/// The sound campaign with an oxidant that the carbon of the feed uses up too, and these contents of carbon.
fn with_carbon(of_a: &str, of_b: &str) -> [Edit; 2] {
    let oxidant = "[oxidant]\nformula = \"H2O2\"\nelectrons = 2\nneeded = 0.4\nimpurities = { carbon = { formula = \"C\", electrons = 4 } }\n\n[model]";
    let lots = LOTS
        .replace("u_assay\n", "u_assay,carbon\n")
        .replace("0.80,0.004\n", &format!("0.80,0.004,{of_a}\n"))
        .replace("0.75,0.004\n", &format!("0.75,0.004,{of_b}\n"));
    [
        whole("campaign.toml", CAMPAIGN.replace("[model]", oxidant)),
        whole("lots.csv", lots),
    ]
}

#[test]
fn an_impurity_that_was_not_logged_is_not_taken_for_none() {
    let gone = ["R3", "R4", "R6", "R8"];
    let lines = [4, 5, 7, 9];
    let reasons = gone.map(|run| {
        let line = lines[gone
            .iter()
            .position(|other| *other == run)
            .expect("it is there")];
        format!("lot `B` of run `{run}` in `runs.csv` line {line} has no usable assay")
    });
    let mut faults = vec![
        fault(
            "column `carbon` in `lots.csv` line 3 is empty",
            "write the mass fraction, 0 where there is none",
        )
        .in_file("lots.csv")
        .on_line(3),
    ];
    for ((run, line), reason) in gone.iter().zip(lines).zip(&reasons) {
        faults.push(
            fault(reason, "correct `lots.csv` line 3")
                .in_file("runs.csv")
                .on_line(line)
                .of_run(run),
        );
    }
    check_left_out(&with_carbon("0.004", ""), &faults, &gone);
}

#[test]
fn gaps_of_a_run_set_aside_are_no_faults_in_any_log() {
    let edits = [
        whole(
            "runs.csv",
            with_column(RUNS, "set_aside", "R3", "the beaker broke"),
        ),
        change("crops.csv", "R3,1,117", "R3,1,"),
        change("residues.csv", "R3,56,0.60", "R3,,"),
    ];
    let result = residuum_json("yields", campaign(&edits).path());
    let reasons: Vec<_> = list(&result, "left_out")
        .iter()
        .map(|entry| &entry["reason"])
        .collect();
    assert_eq!(reasons, ["set aside: the beaker broke"]);
    assert_eq!(list(&result, "yields").len(), 8);
}

#[test]
fn a_date_that_one_run_alone_lacks_is_a_doubt_about_the_order_of_all() {
    check_doubts(
        &[change("runs.csv", "R3,2025-03-05", "R3,")],
        &[Doubt {
            kind: "date missing",
            about: "campaign",
            seen: "1 of 8 runs have no date (R3), so all runs stand in the order of the log instead of their dates",
            advice: "log the date of every run, or of none",
        }],
    );
}

#[test]
fn readings_of_one_run_in_two_files_leave_it_out() {
    let named = CAMPAIGN.replace(
        "residues = \"residues.csv\"",
        "residues = \"residues.csv\"\nreadings = [\"R3.csv\", \"later.csv\"]",
    );
    let log = "time,temperature\n0,20\n600,700\n";
    let later = "run,time,temperature\nR3,0,300\nR3,600,700\n";
    check_left_out(
        &[
            whole("campaign.toml", named),
            whole("R3.csv", log),
            whole("later.csv", later),
        ],
        &[fault(
            "readings of run `R3` in `later.csv` line 2 and in `R3.csv` too",
            "each run has its readings in one file",
        )
        .in_file("later.csv")
        .on_line(2)
        .of_run("R3")],
        &["R3"],
    );
}

#[test]
fn a_ragged_row_of_readings_leaves_out_the_run_of_its_file() {
    let named = CAMPAIGN.replace(
        "residues = \"residues.csv\"",
        "residues = \"residues.csv\"\nreadings = \"furnace-*.csv\"",
    );
    let log = "time,temperature\n0,20\n600,700,9\n";
    let folder = campaign(&[whole("campaign.toml", named)]).with("furnace-R3.csv", log);
    let faults = faults_of(folder.path());
    let entries = list(&faults, "left_out");
    assert_eq!(entries[0]["run"], "furnace-R3");
    assert_eq!(
        entries[0]["reason"],
        "`furnace-R3.csv` line 3 has 3 cells where the heading has 2"
    );
}

#[test]
fn a_run_that_stands_twice_stops_though_one_row_has_too_many_cells() {
    check_stops(
        &[change(
            "runs.csv",
            "R3,2025-03-05,B,200,muffle,80",
            "R2,2025-03-05,B,200,muffle,80,1",
        )],
        &[fault(
            "run `R2` stands in `runs.csv` line 3 and in `runs.csv` line 4, whose cells cannot be held against one another",
            "if the later line corrects the other one, write `1` and `2` into a column `revision`; if it is another run, give it another name",
        )
        .in_file("runs.csv")
        .on_line(4)
        .in_column("run")],
    );
}

#[test]
fn a_runs_log_without_a_row_is_not_asked_to_be_taken_out() {
    check_stops(
        &[whole("runs.csv", "run,date,lot,feed_mass,heating,bath\n")],
        &[fault(
            "`runs.csv` has headings but no row",
            "write a row for each run that was made",
        )
        .in_file("runs.csv")
        .on_line(1)],
    );
}

#[test]
fn the_campaign_folder_itself_is_no_log() {
    check_stops(
        &[change("campaign.toml", "\"crops.csv\"", "\".\"")],
        &[fault(
            "`.` is a folder, not a file",
            "name the file, or all CSV files in the folder: `furnace/*.csv`",
        )
        .in_file(".")],
    );
}

#[cfg(target_os = "linux")]
#[test]
fn a_device_that_never_ends_is_no_log() {
    check_stops(
        &[change("campaign.toml", "\"crops.csv\"", "\"/dev/zero\"")],
        &[fault(
            "`/dev/zero`, which `campaign.toml` line 11 names, lies outside of the folder of `campaign.toml`",
            "copy it into the folder, or call with `--allow-outside` if you trust whoever wrote the campaign file",
        )
        .in_file("campaign.toml")
        .on_line(11)],
    );
}

#[test]
fn stated_uncertainties_and_ratios_that_no_bench_has_stop() {
    check_stops(
        &[
            change("campaign.toml", "\"0.03 mL\"", "\"3e20 mL\""),
            change("campaign.toml", "ratio = 1.0", "ratio = 1e-300"),
        ],
        &[
            fault(
                "`uncertainty.titre` is `3e20 mL`, in `campaign.toml` line 29",
                "no uncertainty of a bench is so large: look for a slip in the exponent or the unit",
            )
            .in_file("campaign.toml")
            .on_line(29),
            fault(
                "`titration.ratio` is 1e-300, in `campaign.toml` line 36",
                "it must be above 0, from 1e-9 to 1000",
            )
            .in_file("campaign.toml")
            .on_line(36),
        ],
    );
}

#[test]
fn standardisations_of_one_day_count_alike_in_either_order() {
    let rows = [
        "T1,2025-03-01,0.1,0.0001\n",
        "T1,2025-03-01,0.1002,0.0001\n",
    ];
    let heading = TITRANTS.lines().next().expect("the log has a heading");
    let yields = |first: &str, second: &str| {
        let log = format!("{heading}\n{first}{second}");
        residuum_json("yields", campaign(&[whole("titrants.csv", log)]).path())
    };
    assert_eq!(yields(rows[0], rows[1]), yields(rows[1], rows[0]));
}

#[test]
fn a_second_row_of_one_crop_leaves_out_its_run() {
    let crops = format!("{CROPS}R3,1,117\n");
    check_left_out(
        &[whole("crops.csv", crops)],
        &[fault(
            "column `crop` in `crops.csv` line 10 names crop 1 of run `R3` a second time",
            "number the crops of a run 1, 2, ...",
        )
        .in_file("crops.csv")
        .on_line(10)
        .of_run("R3")],
        &["R3"],
    );
}
