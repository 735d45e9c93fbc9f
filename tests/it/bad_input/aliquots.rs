//! Is a part of a solution understood as a fraction, as a volume of its flask, or for the whole campaign, and told where it
//! cannot be?
//!
//! In: titres of tenfold samples of which a tenth was titrated. Out: tests of purities and of whole messages.
//! This module never judges a purity.

use super::bench::{Edit, TITRANTS, TITRES, campaign, change, whole, with_column};
use super::promises::{check_left_out, check_stops, fault};
use crate::support::{check_digits, list, member, number, residuum_json};

const DIGITS: f64 = 12.0;

/// Each titre means 20.00 mL · 0.1 mol/L · 79.545 g/mol / 1000 / 0.1600 g.
const PURITY: f64 = 0.9943125;

/// Samples ten times as heavy, with these further cells in each row.
fn tenfold(heading: &str, cells: &str) -> Edit {
    let rows = TITRES.replace("0.1600,20.00", &format!("1.6000,20.00{cells}"));
    whole(
        "titres.csv",
        rows.replace("titre\n", &format!("titre{heading}\n")),
    )
}

fn titration(keys: &str) -> Edit {
    change(
        "campaign.toml",
        "ratio = 1.0",
        format!("ratio = 1.0\n{keys}"),
    )
}

#[test]
fn an_aliquot_is_a_fraction_or_a_volume_of_its_flask_or_holds_for_all() {
    for (edits, what) in [
        (vec![tenfold(",aliquot", ",0.1")], "fraction"),
        (vec![tenfold(",aliquot", ",10 %")], "per cent"),
        (
            vec![tenfold(",aliquot / mL,flask / mL", ",25,250")],
            "volume",
        ),
        (
            vec![tenfold(",aliquot (mL),flask (L)", ",25.0,0.25")],
            "two units",
        ),
        (
            vec![
                tenfold(",aliquot / mL", ",25"),
                titration("flask = \"250 mL\""),
            ],
            "flask for all",
        ),
        (
            vec![
                tenfold(",aliquot / mL,flask / mL", ",25,"),
                titration("flask = \"0.25 L\""),
            ],
            "empty flask",
        ),
        (
            vec![tenfold("", ""), titration("aliquot = 0.1")],
            "fraction for all",
        ),
        (
            vec![tenfold(",aliquot", ","), titration("aliquot = \"10 %\"")],
            "empty cells",
        ),
        (
            vec![
                tenfold("", ""),
                titration("aliquot = \"25 mL\"\nflask = \"250 mL\""),
            ],
            "volume for all",
        ),
    ] {
        let folder = campaign(&edits);
        let yields = residuum_json("yields", folder.path());
        assert_eq!(yields["left_out"], serde_json::json!([]), "{what}");
        let line = member(list(&yields, "yields"), "run", "R3").expect("the run is there");
        check_digits(what, number(&line["purity"], "value"), PURITY, DIGITS);
        let checked = residuum_json("check", folder.path());
        let empty = list(&checked, "caveats").iter().filter(|caveat| {
            let seen = caveat["seen"].as_str().unwrap_or_default();
            seen.contains("aliquot") && seen.contains("empty")
        });
        assert_eq!(empty.count(), 0, "{what}");
    }
}

#[test]
fn the_errors_of_both_volumes_are_in_the_purity() {
    let of = |heading: &str, cells: &str| {
        let yields = residuum_json("yields", campaign(&[tenfold(heading, cells)]).path());
        let line = member(list(&yields, "yields"), "run", "R3").expect("the run is there");
        number(&line["purity"], "u")
    };
    // u(q) of 25 ± 0.2 of 250 ± 1.5: 0.1 · √(0.008² + 0.006²) = 0.001.
    let volumes = of(
        ",aliquot / mL,u_aliquot,flask / mL,u_flask",
        ",25,0.2,250,1.5",
    );
    check_digits("u", volumes, of(",aliquot,u_aliquot", ",0.1,0.001"), DIGITS);
}

#[test]
fn a_volume_without_a_flask_and_one_larger_than_it_leave_out_their_run() {
    let titres = |column: &str, cell: &str| with_column(TITRES, column, "R3", cell);
    for (log, reason, hint) in [
        (
            titres("aliquot / mL", "25"),
            "column `aliquot / mL` in `titres.csv` line 4 is a volume without its flask: `25`",
            "write the volume of its flask under `flask / mL`, or `flask = \"250 mL\"` under `[titration]`",
        ),
        (
            with_column(&titres("aliquot / mL", "25"), "flask / mL", "R3", "20"),
            "column `aliquot / mL` in `titres.csv` line 4 is larger than its flask of 20 mL: `25`",
            "check both volumes and their units",
        ),
        (
            titres("aliquot", "25"),
            "column `aliquot` in `titres.csv` line 4 is above 1: `25`",
            "an aliquot is a part of 1; a volume has its unit in the heading, `aliquot / mL`, and its flask under `flask / mL`",
        ),
        (
            titres("flask / mL", "250"),
            "column `flask / mL` in `titres.csv` line 4 stands without an aliquot: `250`",
            "write what was titrated of it under `aliquot / mL`, or leave the flask out",
        ),
        (
            with_column(&titres("aliquot / mL", "25"), "flask / mL", "R3", "0"),
            "column `flask / mL` in `titres.csv` line 4 is not above zero: `0`",
            "check the entry, or give the run a reason under `set_aside`",
        ),
    ] {
        check_left_out(
            &[whole("titres.csv", log)],
            &[fault(reason, hint)
                .in_file("titres.csv")
                .on_line(4)
                .of_run("R3")],
            &["R3"],
        );
    }
}

#[test]
fn a_standard_is_titrated_in_parts_of_a_flask_too() {
    let standardised = |heading: &str, cells: &str| {
        let log =
            format!("titrant,standard,standard_mass,titre{heading}\nT1,CuO,0.79545,10.00{cells}\n");
        let folder = campaign(&[whole("titrants.csv", log)]);
        let yields = residuum_json("yields", folder.path());
        let titrant = member(list(&yields, "titrants"), "titrant", "T1").expect("the titrant");
        number(&titrant["concentration"], "value")
    };
    // 0.79545 g / 79.545 g/mol = 10 mmol, a tenth of it in 10 mL.
    check_digits("fraction", standardised(",aliquot", ",0.1"), 0.1, 9.0);
    check_digits(
        "volume",
        standardised(",aliquot / mL,flask / mL", ",10,100"),
        0.1,
        9.0,
    );
    check_left_out(
        &[whole(
            "titrants.csv",
            format!(
                "{}T2,,,,CuO,0.79545,10.00,10\n",
                TITRANTS
                    .replace("u_concentration\n", "u_concentration,standard,standard_mass,titre,aliquot / mL\n")
                    .replace("0.0001\n", "0.0001,,,,\n")
            ),
        )],
        &[fault(
            "column `aliquot / mL` in `titrants.csv` line 3 is a volume without its flask: `10`",
            "write the volume of its flask under `flask / mL`, or `flask = \"250 mL\"` under `[titration]`",
        )
        .in_file("titrants.csv")
        .on_line(3)],
        &[],
    );
}

#[test]
fn keys_that_say_no_part_stop() {
    let part = "write the part that was titrated, such as `0.1`, or its volume with `flask`";
    let of_flask = "it must be above zero, and no more than `flask`";
    for (keys, line, key, text, hint) in [
        ("aliquot = 1.5", 37, "aliquot", "1.5", part),
        ("aliquot = 0", 37, "aliquot", "0", part),
        (
            "aliquot = \"\"",
            37,
            "aliquot",
            "",
            "`` is not a finite number; use a decimal point",
        ),
        (
            "aliquot = \"0,1\"",
            37,
            "aliquot",
            "0,1",
            "`,1` is none of the units that fit: 1, %, g/g, g/kg, ppm",
        ),
        (
            "aliquot = \"25 mL\"",
            37,
            "aliquot",
            "25 mL",
            "a volume is a part of its flask: add `flask = \"250 mL\"`",
        ),
        (
            "flask = \"250 mL\"\naliquot = \"300 mL\"",
            38,
            "aliquot",
            "300 mL",
            of_flask,
        ),
        (
            "aliquot = \"25 g\"",
            37,
            "aliquot",
            "25 g",
            "`g` is none of the units that fit: 1, %, g/g, g/kg, ppm",
        ),
        (
            "flask = \"250\"\naliquot = \"25 mL\"",
            37,
            "flask",
            "250",
            "add the unit, such as `250 mL`",
        ),
        (
            "flask = \"0 mL\"",
            37,
            "flask",
            "0 mL",
            "it must be above zero",
        ),
    ] {
        check_stops(
            &[titration(keys)],
            &[fault(
                &format!("`titration.{key}` is `{text}`, in `campaign.toml` line {line}"),
                hint,
            )
            .in_file("campaign.toml")
            .on_line(line)],
        );
    }
    check_stops(
        &[titration("flask = \"250 mL\"")],
        &[fault(
            "`titration.flask` in `campaign.toml` goes with an aliquot, and `titres.csv` has no column `aliquot`",
            "add `aliquot / mL` to the log, or `aliquot` to `[titration]`",
        )
        .in_file("titres.csv")
        .on_line(1)
        .in_column("aliquot")],
    );
}
