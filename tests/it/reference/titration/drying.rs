//! What does a crop hold of water by what it lost on drying?
//!
//! In: masses of a sample before and after drying, with its dish. Out: tests against a standard and closed formulas, of
//! the doubt where another moisture is logged, and that each wrong use is told.
//! This module never takes an expected figure from residuum.

use residuum::campaign::LogKind;
use residuum::measured::Measured;

use super::{Printed, bench, check_measured, u_bluestone};
use crate::in_memory::InMemory;
use crate::support::{check_digits, list, residuum};

/// Digits asked of products, ratios and roots of sums of squares of a few logged numbers in binary64.
const DIGITS: f64 = 9.0;

/// ISO 11465:1993, 6.2 (formula from memory, masses invented): dish 24.8132 g, with the moist sample 30.1527 g, with the
/// dried one 29.9418 g; `w = (m1 − m2)/(m2 − m0)` on the dry basis, 4.1122 %.
const MASSES: [f64; 3] = [30.1527, 29.9418, 24.8132];

fn campaign(sample: &str, crops: &str) -> InMemory {
    let keys = format!("sample = \"{sample}\"");
    bench(
        &keys,
        "drying_mass = \"0.0003 g\"\ncrop_mass = \"0.1 g\"\nmoisture = \"0.001\"",
    )
    .with(LogKind::Crops, crops)
    .with(
        LogKind::Titres,
        "run,crop,sample_mass,titre\nR1,1,1,39.20\n",
    )
}

fn purity(campaign: &InMemory) -> Measured {
    let worked = campaign.work_out();
    worked.run("R1").purity.clone().expect("a purity")
}

/// Crops with that drying, and with what stands under `moisture`.
fn dried(moisture: &str) -> String {
    format!(
        "run,crop,mass,moisture,wet_mass,dry_mass,tare\nR1,1,200,{moisture},30.1527,29.9418,24.8132\n"
    )
}

#[test]
fn moisture_by_drying_is_that_of_the_standard_on_the_other_basis() {
    let [wet, dry, tare] = MASSES;
    let on_dry_basis: f64 = (wet - dry) / (dry - tare);
    check_digits(
        "the standard",
        on_dry_basis,
        0.041_122_333_580_314_06,
        DIGITS,
    );
    let on_wet_basis = on_dry_basis / (1.0 + on_dry_basis);
    // ∂L/∂wet = (dry − tare)/(wet − tare)², ∂L/∂dry = −1/(wet − tare), ∂L/∂tare = (wet − dry)/(wet − tare)².
    let taken: f64 = wet - tare;
    let squares = ((dry - tare) / taken.powi(2)).powi(2)
        + taken.powi(-2)
        + ((wet - dry) / taken.powi(2)).powi(2);
    let u = 0.0003 * squares.sqrt();
    let printed = Printed::of(&campaign("dried", &dried("")));
    let crop = &list(printed.run("R1"), "crops")[0];
    check_measured("moisture", &crop["moisture"], on_wet_basis, u);
    // The purity of a dried sample is corrected once, and has that error besides those of weighing and molar mass.
    let plain = purity(&campaign("dried", "run,crop,mass\nR1,1,200\n"));
    let found = purity(&campaign("dried", &dried("")));
    check_digits(
        "purity",
        found.value(),
        plain.value() * (1.0 - on_wet_basis),
        DIGITS,
    );
    let relative = (u / (1.0 - on_wet_basis)).hypot(u_bluestone());
    check_digits(
        "its u",
        found.uncertainty() / found.value(),
        relative,
        DIGITS,
    );
    let budget = list(printed.run("R1"), "budget");
    assert!(
        budget
            .iter()
            .any(|part| part["source"] == "drying: dry mass"),
        "{budget:?}"
    );
}

/// Craig's Soil Mechanics, 7th edition, 2004, example 1.1 (figures from memory): a soil of 2290 g in its natural condition
/// weighs 2035 g dried, a water content of 12.5 % of the dry mass.
#[test]
fn moisture_of_a_soil_is_its_water_content_on_the_other_basis() {
    let crops = "run,crop,mass,wet_mass,dry_mass,tare\nR1,1,200,2290,2035,0\n";
    let worked = campaign("dried", crops).work_out();
    let moisture = worked.run("R1").crops[0].dried_to.clone();
    let moisture = moisture.expect("a moisture").value();
    let content = moisture / (1.0 - moisture);
    assert_eq!(format!("{:.1}", 100.0 * content), "12.5");
    check_digits("water content", content, 255.0 / 2035.0, DIGITS);
}

#[test]
fn a_purity_as_weighed_holds_its_moisture_already() {
    let with = purity(&campaign("as weighed", &dried("")));
    let without = purity(&campaign("as weighed", "run,crop,mass\nR1,1,200\n"));
    assert_eq!(with.value(), without.value());
}

#[test]
fn a_logged_moisture_counts_and_one_that_the_drying_denies_is_a_doubt() {
    let logged = |moisture: &str| campaign("dried", &dried(moisture));
    let alone = campaign("dried", "run,crop,mass,moisture\nR1,1,200,0.020\n");
    assert_eq!(purity(&logged("0.020")).value(), purity(&alone).value());
    let printed = Printed::of(&logged("0.020"));
    let doubt = printed.caveat("moistures disagree");
    let seen = doubt["seen"].as_str().expect("a sentence");
    assert!(
        seen.contains("2.00 ± 0.20 %") && seen.contains("3.95 ± 0.02 %"),
        "{seen}"
    );
    // 3.95 and 4.05 % differ by less than twice 0.1 points.
    assert!(
        Printed::of(&logged("0.0405"))
            .caveats("moistures disagree")
            .is_empty()
    );
}

/// What `check` says of a crops log.
fn checked(crops: &str) -> String {
    let folder = campaign("dried", crops).folder();
    let call = residuum(&["check".as_ref(), folder.path().as_os_str()]);
    assert_ne!(call.exit_code, 0, "{crops}\n{}", call.stdout);
    call.stdout + &call.stderr
}

#[test]
fn a_drying_that_cannot_be_is_told_with_what_to_do() {
    let all = "run,crop,mass,wet_mass,dry_mass,tare\n";
    let cases = [
        (
            "R1,1,200,29.9,30.1,24.8",
            "column `dry_mass` in `crops.csv` line 2 is above the wet mass: `30.1`",
        ),
        (
            "R1,1,200,30.1,24.0,24.8",
            "column `tare` in `crops.csv` line 2 leaves no sample in the dish: `24.8`",
        ),
        (
            "R1,1,200,24.8,24.8,24.8",
            "column `tare` in `crops.csv` line 2 leaves no sample in the dish: `24.8`",
        ),
        (
            "R1,1,200,30.1,,24.8",
            "column `dry_mass` in `crops.csv` line 2 is empty beside other masses of a drying",
        ),
        (
            "R1,1,200,30.1,29.9,n/a",
            "column `tare` in `crops.csv` line 2 is empty beside other masses of a drying",
        ),
        (
            "R1,1,200,-30.1,29.9,24.8",
            "column `wet_mass` in `crops.csv` line 2 is negative: `-30.1`",
        ),
        (
            "R1,1,200,heavy,29.9,24.8",
            "column `wet_mass` in `crops.csv` line 2 is not a number: `heavy`",
        ),
        // Milligrams in one column alone.
        (
            "R1,1,200,30.1527,29941.8,24.8132",
            "column `dry_mass` in `crops.csv` line 2 is above the wet mass: `29941.8`",
        ),
    ];
    for (row, expected) in cases {
        let said = checked(&format!("{all}{row}\n"));
        assert!(said.contains(expected), "{row}\n{said}");
    }
    let said = checked("run,crop,mass,wet_mass,dry_mass\nR1,1,200,30.1,29.9\n");
    assert!(
        said.contains("`tare`") && said.contains("the empty dish"),
        "{said}"
    );
    let said = checked("run,crop,mass,wet_mass / mL,dry_mass,tare\nR1,1,200,30.1,29.9,24.8\n");
    assert!(
        said.contains("has a unit that does not fit: `mL`"),
        "{said}"
    );
    let hint = checked(&format!("{all}R1,1,200,30.1,24.0,24.8\n"));
    assert!(
        hint.contains("weigh all three with the dish and in one unit"),
        "{hint}"
    );
}

#[test]
fn masses_of_a_drying_may_have_units_of_their_own() {
    let grams = purity(&campaign("dried", &dried("")));
    let mixed =
        "run,crop,mass,wet_mass / mg,dry_mass / g,tare (kg)\nR1,1,200,30152.7,29.9418,0.0248132\n";
    check_digits(
        "purity",
        purity(&campaign("dried", mixed)).value(),
        grams.value(),
        DIGITS,
    );
    // No loss is no moisture, and a dish set to zero weighs nothing.
    let none = "run,crop,mass,wet_mass,dry_mass,tare\nR1,1,200,5.0,5.0,0\n";
    let plain = purity(&campaign("dried", "run,crop,mass\nR1,1,200\n"));
    assert_eq!(purity(&campaign("dried", none)).value(), plain.value());
}
