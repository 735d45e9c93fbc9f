//! How old were bag, residue and strength when a run was made?
//!
//! In: dates of runs, lots, residues, titrants and titres. Out: tests of the factors `lot_age`, `residue_age` and
//! `titrant_age` against days counted by hand, of what has no age, and of dates that cannot be.
//! This module never asks the library for a day.

use residuum::campaign::LogKind;
use residuum::runs::FactorValues;

use crate::in_memory::InMemory;
use crate::support::residuum;

const CAMPAIGN: &str = r#"
[campaign]
title = "Ages"
product = "CuSO4·5H2O"
followed = "Cu"
assay_as = "CuO"

[logs]
runs = "runs.csv"
lots = "lots.csv"
crops = "crops.csv"
titres = "titres.csv"
titrants = "titrants.csv"
residues = "residues.csv"

[titration]
analyte = "CuSO4·5H2O"
titrant = "S"
ratio = 1.0

[factors.lot_age]
kind = "amount"

[factors.residue_age]
kind = "amount"
unit = "h"

[factors.titrant_age]
kind = "amount"
unit = "d"
"#;

/// Four runs: A was opened on 1 March 2026, B on 10 March; S standardised on 2 and 20 March.
fn campaign() -> InMemory {
    let runs = "run,date,lot,lot_share,feed_mass,residue_mass,residue_from,residue_share\n\
        R1,2026-03-04,A,,100,0,,\n\
        R2,2026-03-12,A;B,0.25;0.75,100,0,,\n\
        R3,2026-03-28,B,,100,30,R1;R2,\n\
        R4,2026-04-02,B,,100,30,R1;R2,0.9;0.1\n";
    InMemory::new(CAMPAIGN)
        .with(LogKind::Runs, runs)
        .with(LogKind::Lots, "lot,assay,opened\nA,0.80,2026-03-01\nB,0.81,2026-03-10\n")
        .with(LogKind::Crops, "run,crop,mass\nR1,1,200\nR2,1,200\nR3,1,200\nR4,1,200\n")
        .with(
            LogKind::Titres,
            "run,crop,date,sample_mass,titre\nR1,1,,1,39.4\nR2,1,2026-03-19,1,39.4\nR2,1,2026-03-25,1,39.5\nR3,1,,1,39.3\nR4,residue,2026-04-03,1,10\n",
        )
        .with(
            LogKind::Titrants,
            "titrant,date,concentration\nS,2026-03-02,0.1\nS,2026-03-20,0.1\n",
        )
        // The residue of R2 was left a day after the run was begun.
        .with(LogKind::Residues, "run,date,mass,assay\nR1,,40,0.5\nR2,2026-03-13,20,0.5\n")
}

/// The values of a factor in run order.
fn ages(campaign: &InMemory, factor: &str) -> Vec<Option<f64>> {
    let worked = campaign.work_out();
    match &worked.runs().factor(factor).expect("the factor").values {
        FactorValues::Amount(values) => values.clone(),
        FactorValues::Choice { .. } => panic!("an age is an amount"),
    }
}

#[test]
fn a_lot_is_as_old_as_the_days_since_it_was_opened_by_its_share() {
    // 3; 0.25·11 + 0.75·2; 18; 23 days.
    let expected = [3.0, 4.25, 18.0, 23.0].map(Some);
    assert_eq!(ages(&campaign(), "lot_age"), expected);
    let unit = campaign().work_out();
    assert_eq!(unit.runs().factor("lot_age").expect("the factor").unit, "d");
}

#[test]
fn residue_is_as_old_as_the_days_since_it_was_left_by_its_share() {
    // R3: 24 and 15 days, 40 and 20 g of them left; R4: 29 and 20 days by the shares of the charge; in hours.
    let found = ages(&campaign(), "residue_age");
    let expected = [(24.0 * 40.0 + 15.0 * 20.0) / 60.0, 0.9 * 29.0 + 0.1 * 20.0];
    assert_eq!(found[..2], [None, None]);
    for (found, expected) in found[2..].iter().zip(expected) {
        assert!(
            (found.expect("an age") / 24.0 - expected).abs() < 1e-12,
            "{found:?}"
        );
    }
}

#[test]
fn a_strength_is_as_old_as_the_days_since_the_newest_standardisation_before() {
    // R1 on its own day: 2; R2: 17 and 5 in the mean; R3: 8; R4 has no titre of a crop.
    let expected = [Some(2.0), Some(11.0), Some(8.0), None];
    assert_eq!(ages(&campaign(), "titrant_age"), expected);
}

#[test]
fn what_has_no_date_has_no_age() {
    let lots = campaign().with(
        LogKind::Lots,
        "lot,assay,opened\nA,0.80,\nB,0.81,2026-03-10\n",
    );
    assert_eq!(ages(&lots, "lot_age"), [None, None, Some(18.0), Some(23.0)]);
    let none = campaign().with(LogKind::Lots, "lot,assay\nA,0.80\nB,0.81\n");
    assert_eq!(ages(&none, "lot_age"), [None; 4]);
    let before = campaign().with(
        LogKind::Titrants,
        "titrant,date,concentration\nS,2026-03-10,0.1\n",
    );
    assert_eq!(ages(&before, "titrant_age")[0], None);
}

#[test]
fn an_age_explains_a_response_like_any_amount() {
    let mut runs = String::from("run,date,lot,feed_mass,colour\n");
    for day in 1..=12 {
        runs.push_str(&format!(
            "R{day:02},2026-03-{day:02},A,100,{}\n",
            5.0 + 0.25 * f64::from(day)
        ));
    }
    let file = "[campaign]\ntitle = \"Ages\"\n\n[logs]\nruns = \"runs.csv\"\nlots = \"lots.csv\"\n\n[factors.lot_age]\nkind = \"amount\"\n\n[responses.colour]\n\n[model]\nresponses = [\"colour\"]\neffects = [\"lot_age\"]\nblocks = []\nmethod = \"plain\"\n";
    let folder = InMemory::new(file)
        .with(LogKind::Runs, &runs)
        .with(LogKind::Lots, "lot,assay,opened\nA,0.80,2026-02-27\n")
        .folder();
    let fit = residuum(&["fit".as_ref(), folder.path().as_os_str(), "--json".as_ref()]).json();
    let terms = fit["models"][0]["terms"].as_array().expect("terms");
    let slope = terms
        .iter()
        .find(|term| term["term"] == "lot_age")
        .expect("the age");
    assert!(
        (slope["value"].as_f64().expect("a number") - 0.25).abs() < 1e-9,
        "{slope}"
    );
}

#[test]
fn dates_that_cannot_be_are_told() {
    let said = |campaign: InMemory| {
        let folder = campaign.folder();
        let call = residuum(&["check".as_ref(), folder.path().as_os_str()]);
        call.stdout + &call.stderr
    };
    let late = said(campaign().with(
        LogKind::Lots,
        "lot,assay,opened\nA,0.80,2026-03-08\nB,0.81,2026-03-10\n",
    ));
    assert!(
        late.contains("opened") && late.contains("run R1 used it before"),
        "{late}"
    );
    let late = said(campaign().with(
        LogKind::Residues,
        "run,date,mass,assay\nR1,,40,0.5\nR2,2026-03-30,20,0.5\n",
    ));
    assert!(
        late.contains("residues.csv") && late.contains("run R3 used it before"),
        "{late}"
    );
    let none = said(campaign().with(
        LogKind::Lots,
        "lot,assay,opened\nA,0.80,spring\nB,0.81,2026-03-10\n",
    ));
    assert!(
        none.contains("column `opened` in `lots.csv` line 2"),
        "{none}"
    );
    let none = said(campaign().with(
        LogKind::Residues,
        "run,date,mass,assay\nR1,soon,40,0.5\nR2,,20,0.5\n",
    ));
    assert!(
        none.contains("column `date` in `residues.csv` line 2"),
        "{none}"
    );
    let unit = said(campaign().edited(|text| text.replace("unit = \"h\"", "unit = \"kg\"")));
    assert!(
        unit.contains("`residue_age`") && unit.contains("do not measure the same"),
        "{unit}"
    );
}
