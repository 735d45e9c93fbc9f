//! What purity has a crop by what it leaves on ignition, or by difference?
//!
//! In: an example of a handbook, `tests/data/ignition.json` of `tests/check-scripts/ignition.py`, and masses that cannot be.
//! Out: tests against both, of the doubts where titres say otherwise or nobody looked, and that each wrong use is told.
//! This module never takes an expected figure from residuum.

use residuum::campaign::LogKind;
use serde_json::Value;

use super::{Printed, bench};
use crate::in_memory::InMemory;
use crate::support::{CampaignFolder, check_digits, data_json, list, member, number, residuum};

/// Digits asked of figures that take the same few steps in binary64 on both sides.
const DIGITS: f64 = 10.0;

/// A campaign without titres that weighs what is left.
fn by_weight(product: &str, leaves: &str, crops: &str) -> InMemory {
    let followed = &product[..2];
    let campaign = format!(
        r#"
[campaign]
title = "In the crucible"
product = "{product}"
followed = "{followed}"
assay_as = "{followed}O"

[logs]
runs = "runs.csv"
crops = "crops.csv"

[ignition]
{leaves}
"#
    );
    InMemory::new(&campaign)
        .with(LogKind::Runs, "run,feed_mass,feed_assay\nR1,100,0.8\n")
        .with(LogKind::Crops, crops)
}

/// Skoog, West, Holler and Crouch, Fundamentals of Analytical Chemistry, the gravimetric determination of calcium in natural
/// water (figures from memory): the crucible weighs 26.6002 g, and 26.7134 g with the CaO of a sample of 200.0 mL, whose
/// content is printed as 0.0405 g of Ca in 100 mL, with 40.08 g/mol of Ca and 56.077 g/mol of CaO.
#[test]
fn calcium_weighed_as_its_oxide_is_as_much_as_the_handbook_prints() {
    // The sample counts as 200.0 g, so that the mass fraction is the content of one millilitre.
    let crops = "run,crop,mass,ignited_sample,ignited_mass,ignited_tare\nR1,1,200,226.6002,26.7134,26.6002\n";
    let worked = by_weight("Ca", "leaves = \"CaO\"", crops).work_out();
    let crop = &worked.run("R1").crops[0];
    let found = crop.purity.as_ref().expect("a purity").value();
    assert_eq!(format!("{:.4}", 100.0 * found), "0.0405");
    // Ca 40.078 and O 15.999, abridged standard atomic weights of 2021.
    let by_hand = (26.7134 - 26.6002) * 40.078 / (40.078 + 15.999) / 200.0;
    check_digits("content", found, by_hand, 9.0);
}

fn folder(reference: &Value) -> CampaignFolder {
    let text = |value: &Value| value.as_str().expect("a text").to_string();
    let folder = CampaignFolder::new().with("campaign.toml", &text(&reference["campaign"]));
    let logs = reference["logs"].as_object().expect("logs by name");
    logs.iter()
        .fold(folder, |folder, (name, log)| folder.with(name, &text(log)))
}

fn check(what: &str, found: &Value, expected: &Value) {
    for key in ["value", "u"] {
        let what = format!("{what} {key}");
        check_digits(&what, number(found, key), number(expected, key), DIGITS);
    }
}

#[test]
fn purities_by_weight_and_by_difference_agree_with_one_variable_for_each_error() {
    let reference = data_json("ignition.json");
    let folder = folder(&reference);
    let json = residuum(&[
        "yields".as_ref(),
        folder.path().as_os_str(),
        "--json".as_ref(),
    ])
    .json();
    for expected in list(&reference, "runs") {
        let name = expected["run"].as_str().expect("a name");
        let run = member(list(&json, "yields"), "run", name).expect("the run");
        check(
            &format!("{name} purity"),
            &run["purity"],
            &expected["purity"],
        );
        check(
            &format!("{name} yield"),
            &run["contained"],
            &expected["contained"],
        );
        let crops = list(run, "crops").iter().zip(list(expected, "crops"));
        for (crop, expected) in crops {
            check(
                &format!("{name} crop"),
                &crop["purity"],
                &expected["purity"],
            );
            if !expected["moisture"].is_null() {
                check(
                    &format!("{name} moisture"),
                    &crop["moisture"],
                    &expected["moisture"],
                );
            }
        }
    }
    let by =
        |run: usize, crop: usize| list(&json, "yields")[run]["crops"][crop]["purity_by"].clone();
    assert_eq!([by(0, 0), by(2, 0)], ["ignition", "ignition"]);
    assert_eq!([by(1, 0), by(2, 1)], ["difference", "difference"]);
    let budget = list(&list(&json, "yields")[2], "budget");
    for source in [
        "ignition: mass after",
        "content of Fe",
        "moisture",
        "atomic weights",
    ] {
        assert!(
            member(budget, "source", source).is_some(),
            "{source}: {budget:?}"
        );
    }
    let mut doubts = list(&json, "caveats").iter();
    let doubt = doubts
        .find(|doubt| doubt["kind"] == "purity by difference")
        .expect("a doubt");
    let seen = doubt["seen"].as_str().expect("a sentence");
    assert!(
        seen.contains("2 of 3 runs") && seen.contains("moisture and Fe and Zn")
            || seen.contains("Fe, Zn"),
        "{seen}"
    );
    assert!(
        seen.contains("what nobody looked for counts as product"),
        "{seen}"
    );
}

#[test]
fn the_chain_shows_each_step_from_masses_to_purity() {
    let folder = folder(&data_json("ignition.json"));
    let told = |run: &str| {
        let call = [
            "check".as_ref(),
            folder.path().as_os_str(),
            "--chain".as_ref(),
            run.as_ref(),
        ];
        residuum(&call).stdout
    };
    let chain = told("G-3");
    for line in [
        "w = 3.138815 g/g (product per CuO) · (23.9204 − 23.365 g) / (25.1188 − 23.365 g) = ",
        "w = 1 − 0.07675427 (moisture) − ",
        " (Fe2S3O12) − 0.00026 (Zn) = 0.9214821",
        "crop 1: purity as weighed = ",
        "(1 − 0.018) of moisture = 0.9761194",
    ] {
        assert!(chain.contains(line), "no `{line}` in\n{chain}");
    }
}

/// Titres of a crop that is 97.9 % pure, with this ignition beside them.
fn titrated(ignited: &str) -> InMemory {
    let crops =
        format!("run,crop,mass,ignited_sample,ignited_mass,ignited_tare\nR1,1,200,{ignited}\n");
    bench("", "ignition_mass = \"0.0002 g\"\ntitre = \"0.03 mL\"")
        .edited(|text| {
            text.replace(
                "[uncertainty]",
                "[ignition]\nleaves = \"CuO\"\n[uncertainty]",
            )
        })
        .with(LogKind::Crops, &crops)
        .with(
            LogKind::Titres,
            "run,crop,sample_mass,titre\nR1,1,1,39.20\n",
        )
}

#[test]
fn titres_lead_and_an_ignition_beyond_both_errors_is_a_doubt() {
    // 0.1 M · 39.20 mL · 249.68 g/mol of 1 g are 97.87 %; of 2.0000 g, 0.6240 g of oxide are 97.93 % and 0.6340 g 99.50 %.
    let near = Printed::of(&titrated("12.0000,10.6240,10.0000"));
    let far = Printed::of(&titrated("12.0000,10.6340,10.0000"));
    for printed in [&near, &far] {
        let purity = number(&list(printed.run("R1"), "crops")[0]["purity"], "value");
        assert_eq!(format!("{purity:.4}"), "0.9787");
    }
    assert!(near.caveats("purities disagree").is_empty());
    let seen = far.caveat("purities disagree")["seen"].to_string();
    assert!(
        seen.contains("97.87 ± 0.15 %") && seen.contains("99.50 ± 0.08 %"),
        "{seen}"
    );
}

#[test]
fn a_titred_crop_never_takes_its_purity_by_difference() {
    let campaign = titrated(",,").edited(|text| {
        let with = text.replace(
            "assay_as = \"CuO\"",
            "assay_as = \"CuO\"\npurity_by = \"difference\"",
        );
        with + "[impurities.Fe]\n"
    });
    let crops = "run,crop,mass,moisture,Fe\nR1,1,200,0.01,0.0001\nR1,2,30,0.01,\n";
    let printed = Printed::of(&campaign.with(LogKind::Crops, crops));
    let crops = list(printed.run("R1"), "crops");
    assert_eq!(
        format!("{:.4}", number(&crops[0]["purity"], "value")),
        "0.9787"
    );
    assert!(
        crops[0]["purity_by"].is_null() && crops[1]["purity"].is_null(),
        "{crops:?}"
    );
    let reason = printed.run("R1")["reason"].to_string();
    assert!(
        reason.contains("crop 2 has no purity by difference: not logged of it is Fe"),
        "{reason}"
    );
    assert!(printed.caveats("purity by difference").is_empty());
}

/// What `check` says of a campaign that must not pass.
fn told(campaign: &InMemory) -> String {
    let folder = campaign.folder();
    let call = residuum(&["check".as_ref(), folder.path().as_os_str()]);
    assert_ne!(call.exit_code, 0, "{}", call.stdout);
    call.stdout + &call.stderr
}

#[test]
fn masses_of_an_ignition_that_cannot_be_are_told() {
    let all = "run,crop,mass,ignited_sample,ignited_mass,ignited_tare\n";
    let place = "in `crops.csv` line 2";
    let cases = [
        (
            "12.0,12.4,10.0",
            "`ignited_mass`",
            "is above the mass before ignition",
        ),
        (
            "12.0,10.6,10.7",
            "`ignited_tare`",
            "leaves no sample in the dish: `10.7`",
        ),
        (
            "12.0,10.6,10.6",
            "`ignited_tare`",
            "leaves no sample in the dish: `10.6`",
        ),
        (
            "12.0,10.6,",
            "`ignited_tare`",
            "is empty beside other masses of an ignition",
        ),
        // A decimal comma, and milligrams in one column alone.
        (
            "12.0,\"10,6\",10.0",
            "`ignited_mass`",
            "is not a number: `10,6`",
        ),
        (
            "12.0,10624,10.0",
            "`ignited_mass`",
            "is above the mass before ignition",
        ),
    ];
    for (masses, column, what) in cases {
        let crops = format!("{all}R1,1,200,{masses}\n");
        let said = told(&by_weight("CuSO4·5H2O", "leaves = \"CuO\"", &crops));
        let expected = format!("column {column} {place} {what}");
        assert!(
            said.contains(&expected),
            "{masses}: no `{expected}` in\n{said}"
        );
    }
    let unit =
        "run,crop,mass,ignited_sample / mL,ignited_mass,ignited_tare\nR1,1,200,12.0,10.6,10.0\n";
    let said = told(&by_weight("CuSO4·5H2O", "leaves = \"CuO\"", unit));
    assert!(
        said.contains("has a unit that does not fit: `mL`"),
        "{said}"
    );
    let without = "run,crop,mass,ignited_sample,ignited_mass\nR1,1,200,12.0,10.6\n";
    let said = told(&by_weight("CuSO4·5H2O", "leaves = \"CuO\"", without));
    assert!(
        said.contains("`ignited_tare`") && said.contains("the empty dish"),
        "{said}"
    );
    // What weighs more than product may have gained.
    let gained = format!("{all}R1,1,80,12.0,12.4,10.0\n");
    let purity = by_weight("CuO", "leaves = \"CuSO4\"", &gained).work_out();
    let purity = purity.run("R1").purity.clone().expect("a purity").value();
    // 2.4 g of CuSO4 (159.602 g/mol) hold as much copper as 1.1962 g of CuO (79.545 g/mol).
    assert_eq!(format!("{purity:.4}"), "0.5981");
}

#[test]
fn what_is_left_has_to_be_said_and_to_hold_the_followed_element() {
    let crops = "run,crop,mass,ignited_sample,ignited_mass,ignited_tare\nR1,1,200,12.0,10.6,10.0\n";
    let of = |leaves: &str| by_weight("CuSO4·5H2O", leaves, crops);
    let said = told(&of("").edited(|text| text.replace("[ignition]", "")));
    assert!(said.contains("column `ignited_sample` in `crops.csv` line 2 is a mass of an ignition, and nothing says what is left: `12.0`"), "{said}");
    assert!(
        said.contains("add `[ignition]` to the campaign file"),
        "{said}"
    );
    let cases = [
        (
            "leaves = \"Fe2O3\"",
            "what is left on ignition, `Fe2O3` holds no Cu",
        ),
        ("", "`ignition.leaves` is missing"),
        ("leafs = \"CuO\"", "did you mean `leaves`?"),
        ("leaves = \"CuXx\"", "`ignition.leaves`"),
        (
            "leaves = \"CuO\"\nsample = \"wet\"",
            "write `as weighed` or `dried`",
        ),
    ];
    for (leaves, expected) in cases {
        let said = told(&of(leaves));
        assert!(
            said.contains(expected),
            "{leaves}: no `{expected}` in\n{said}"
        );
        assert!(
            !said.contains("nothing says what is left"),
            "{leaves}\n{said}"
        );
    }
}

#[test]
fn a_purity_by_difference_needs_what_was_looked_for() {
    let crops = "run,crop,mass,moisture,Fe\nR1,1,200,0.01,0.0001\n";
    let of = |more: &str| {
        by_weight("CuSO4·5H2O", "leaves = \"CuO\"", crops).edited(|text| {
            text.replace(
                "[logs]",
                &format!("purity_by = \"difference\"\n{more}\n[logs]"),
            )
        })
    };
    let said = told(&of(""));
    assert!(
        said.contains("`campaign.purity_by` is `difference`, and no impurity is declared"),
        "{said}"
    );
    let said = told(&of("[impurities.Fe]\nformula = \"ZnO\""));
    assert!(
        said.contains("`impurities.Fe.formula` `ZnO` holds no `Fe`"),
        "{said}"
    );
    let said =
        told(&of("[impurities.Fe]\n").edited(|text| text.replace("\"difference\"", "\"rest\"")));
    assert!(said.contains("write `assay` or `difference`"), "{said}");
    // Two percent of a compound that is five times its element, and a moisture that leaves nothing.
    let none = "run,crop,mass,moisture,Fe\nR1,1,200,0.99,0.01\n";
    let campaign = of("[impurities.Fe]\nformula = \"Fe2S3O12\"").with(LogKind::Crops, none);
    let reason = Printed::of(&campaign).run("R1")["reason"].to_string();
    assert!(
        reason.contains("moisture and impurities of crop 1 leave no product"),
        "{reason}"
    );
}

#[test]
fn a_mistyped_mass_of_an_ignition_is_named_where_it_stands() {
    // Eight crops of 97 %, of which one left 0.98 g of 2 g: more than its sample holds copper for.
    let line = |run: usize| {
        let left = if run == 6 {
            20.98
        } else {
            20.618 + 0.0005 * (run % 3) as f64
        };
        format!("R{run},1,150,22.0,{left},20.0\n")
    };
    let crops: String = (1..=8).map(line).collect();
    let crops = format!("run,crop,mass,ignited_sample,ignited_mass,ignited_tare\n{crops}");
    let runs: String = (1..=8).map(|run| format!("R{run},100,0.8\n")).collect();
    let campaign = by_weight("CuSO4·5H2O", "leaves = \"CuO\"", &crops)
        .with(LogKind::Runs, &format!("run,feed_mass,feed_assay\n{runs}"));
    let folder = campaign.folder();
    let said = residuum(&["check".as_ref(), folder.path().as_os_str()]);
    let said = said.stdout + &said.stderr;
    assert!(
        said.contains("ignited_mass 20.98 of run R6 (crops.csv line 7)"),
        "{said}"
    );
    assert!(said.contains("accept = [\"R6 ignited_mass\"]"), "{said}");
}
