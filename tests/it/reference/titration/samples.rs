//! What does one titre say of a sample?
//!
//! In: titres with blanks, aliquots, dilutions and back titration, moist crops, residues and feeds. Out: tests whose
//! expected values are worked out by hand beside them.
//! This module never has a replicate.

use residuum::campaign::LogKind;

use super::{
    BLUESTONE, COPPER_OXIDE, DIGITS, Printed, bench, check_measured, root_of_squares, u_bluestone,
};
use crate::support::{check_digits, number};

/// Product that the charge of the bench campaign can give: 100 g of 80 % copper oxide [g].
const THEORY: f64 = 100.0 * 0.8 * BLUESTONE / COPPER_OXIDE;

#[test]
fn a_blank_is_taken_off_the_titre() {
    // Without any stated uncertainty that of the atomic weights is left.
    // 40.05 mL − 0.05 mL = 40.00 mL of 0.1 mol/L are 4.000 mmol of product in 1.0000 g.
    let campaign = bench("", "").with(
        LogKind::Titres,
        "run,crop,sample_mass,titre,blank\nR1,1,1.0000,40.05,0.05\n",
    );
    let printed = Printed::of(&campaign);
    let purity = 0.004 * BLUESTONE;
    check_measured(
        "purity",
        &printed.run("R1")["purity"],
        purity,
        purity * u_bluestone(),
    );
    let contained = 200.0 * purity / THEORY;
    check_digits(
        "contained",
        number(&printed.run("R1")["contained"], "value"),
        contained,
        DIGITS,
    );
}

#[test]
fn errors_of_titre_blank_strength_and_sample_add_in_squares() {
    // V = 40.05 − 0.05 mL, u(V)² = 0.03² + 0.01² + 0.05²/6: reading, blank, calibration of the burette.
    let campaign = bench("", "burette = \"±0.05 mL triangular\"")
        .with(
            LogKind::Titrants,
            "titrant,concentration,u_concentration\nS,0.1,0.0001\n",
        )
        .with(
            LogKind::Titres,
            "run,crop,sample_mass,u_sample_mass,titre,u_titre,blank,u_blank\n\
             R1,1,1.0000,0.0005,40.05,0.03,0.05,0.01\n",
        );
    let printed = Printed::of(&campaign);
    let purity = 0.004 * BLUESTONE;
    let relative = root_of_squares(&[
        root_of_squares(&[0.03, 0.01, 0.05 / 6f64.sqrt()]) / 40.0,
        0.0001 / 0.1,
        0.0005 / 1.0,
        u_bluestone(),
    ]);
    check_measured(
        "purity",
        &printed.run("R1")["purity"],
        purity,
        purity * relative,
    );
}

#[test]
fn an_aliquot_and_a_dilution_give_the_sample_that_was_titrated() {
    // 10 g dissolved, a fifth of it diluted twofold before the same volume is titrated: 10·0.2/2 = 1 g in the flask.
    let campaign = bench("", "").with(
        LogKind::Titres,
        "run,crop,sample_mass,u_sample_mass,aliquot,u_aliquot,dilution,u_dilution,titre,u_titre\n\
         R1,1,10,0.001,0.2,0.0002,2,0.002,39.6,0.02\n",
    );
    let printed = Printed::of(&campaign);
    let purity = 0.1 * 0.0396 * BLUESTONE;
    let relative = root_of_squares(&[
        0.001 / 10.0,
        0.0002 / 0.2,
        0.002 / 2.0,
        0.02 / 39.6,
        u_bluestone(),
    ]);
    check_measured(
        "purity",
        &printed.run("R1")["purity"],
        purity,
        purity * relative,
    );
}

#[test]
fn a_back_titration_counts_what_the_sample_used_up() {
    // 50.00 mL of 0.1 mol/L are 5.000 mmol, of which 12.50 mL of 0.08 mol/L take back 1.000 mmol.
    let campaign = bench("", "")
        .with(
            LogKind::Titrants,
            "titrant,concentration,u_concentration\nS,0.1,0.0001\nZ,0.08,0.00008\n",
        )
        .with(
            LogKind::Titres,
            "run,crop,sample_mass,u_sample_mass,titre,u_titre,back_titrant,back_titre,u_back_titre\n\
             R1,1,1.0,0.0002,50.00,0.03,Z,12.50,0.02\n",
        );
    let printed = Printed::of(&campaign);
    let purity = 0.004 * BLUESTONE;
    // In mmol: 0.1·0.03, 50·0.0001, 0.08·0.02 and 12.5·0.00008.
    let u_moles = root_of_squares(&[0.003, 0.005, 0.0016, 0.001]);
    let relative = root_of_squares(&[u_moles / 4.0, 0.0002, u_bluestone()]);
    check_measured(
        "purity",
        &printed.run("R1")["purity"],
        purity,
        purity * relative,
    );
}

#[test]
fn a_back_titrant_may_take_back_half_a_mole() {
    // I₂ + 2 S₂O₃²⁻: one mole of thiosulfate takes back half a mole of iodine: 5.000 − 0.5·1.000 = 4.500 mmol.
    let campaign = bench("back_ratio = 0.5", "")
        .with(LogKind::Titrants, "titrant,concentration\nS,0.1\nZ,0.08\n")
        .with(
            LogKind::Titres,
            "run,crop,sample_mass,titre,back_titrant,back_titre\nR1,1,1.125,50.00,Z,12.50\n",
        );
    let printed = Printed::of(&campaign);
    let found = number(&printed.run("R1")["purity"], "value");
    check_digits("purity", found, 0.0045 * BLUESTONE / 1.125, DIGITS);
}

#[test]
fn the_ratio_and_the_followed_atoms_carry_an_analyte_over_to_the_product() {
    // Cu²⁺ titrated with two moles of a titrant each: 80.00 mL of 0.1 mol/L are 4.000 mmol of copper.
    let text = |analyte: &str| {
        let campaign = bench("", "");
        let titres = "run,crop,sample_mass,titre\nR1,1,1.0000,80.00\n";
        let campaign = campaign.with(LogKind::Titres, titres);
        campaign.edited(|text| {
            text.replace("ratio = 1.0", "ratio = 0.5").replace(
                "analyte = \"CuSO4·5H2O\"",
                &format!("analyte = \"{analyte}\""),
            )
        })
    };
    for analyte in ["CuSO4·5H2O", "CuO"] {
        let printed = Printed::of(&text(analyte));
        let found = number(&printed.run("R1")["purity"], "value");
        check_digits(analyte, found, 0.004 * BLUESTONE, DIGITS);
    }
    // One mole of Cu2O holds two of copper.
    let printed = Printed::of(&text("Cu2O").with(
        LogKind::Titres,
        "run,crop,sample_mass,titre\nR1,1,1.0000,40.00\n",
    ));
    let found = number(&printed.run("R1")["purity"], "value");
    check_digits("Cu2O", found, 0.004 * BLUESTONE, DIGITS);
}

#[test]
fn moisture_of_a_dried_sample_is_applied_once() {
    let titres = "run,crop,sample_mass,titre\nR1,1,1.0000,39.80\n";
    let crops = "run,crop,mass,moisture,u_moisture\nR1,1,200,0.02,0.001\n";
    let dry = 0.00398 * BLUESTONE;
    let of = |sample: &str| {
        let campaign = bench(&format!("sample = \"{sample}\""), "")
            .with(LogKind::Crops, crops)
            .with(LogKind::Titres, titres);
        Printed::of(&campaign)
    };
    let dried = of("dried");
    let relative = root_of_squares(&[0.001 / 0.98, u_bluestone()]);
    let wet = 0.98 * dry;
    check_measured("purity", &dried.run("R1")["purity"], wet, wet * relative);
    let contained = number(&dried.run("R1")["contained"], "value");
    check_digits("contained", contained, 200.0 * wet / THEORY, DIGITS);
    // A crop titrated as it was weighed has its moisture in its purity already.
    let weighed = of("as weighed");
    check_measured(
        "purity",
        &weighed.run("R1")["purity"],
        dry,
        dry * u_bluestone(),
    );
}

#[test]
fn a_titre_of_the_residue_is_its_assay_and_closes_the_balance() {
    // 0.5 g of residue use up 20.00 mL of 0.1 mol/L: 2.000 mmol of CuO, 0.002·79.545/0.5 = 31.8 %.
    let campaign = bench("", "")
        .edited(|text| text.replace("[titration]", "residues = \"residues.csv\"\n\n[titration]"))
        .with(LogKind::Residues, "run,mass\nR1,40\n")
        .with(
            LogKind::Titres,
            "run,crop,sample_mass,titre\nR1,1,1.0000,39.80\nR1,residue,0.5,20.00\n",
        );
    let printed = Printed::of(&campaign);
    let run = printed.run("R1");
    let assay = 0.002 * COPPER_OXIDE / 0.5;
    let found = number(&run["residue_assay"], "value");
    check_digits("assay", found, assay, DIGITS);
    let in_crops = 200.0 * 0.00398 * BLUESTONE / THEORY;
    let in_residue = 40.0 * assay / (100.0 * 0.8);
    let found = number(&run["closure"], "value");
    check_digits("closure", found, in_crops + in_residue, DIGITS);
    let found = number(&run["unaccounted"], "value");
    check_digits("rest", found, 1.0 - in_crops - in_residue, DIGITS - 1.0);
    assert_eq!(run["residue_by_difference"], false);
}

#[test]
fn a_titre_of_the_feed_replaces_the_assay_that_was_logged() {
    // 0.4 g of feed use up 40.00 mL of 0.1 mol/L: 0.004·79.545/0.4 = 79.5 % CuO, whatever the log says of the feed.
    let campaign = bench("", "").with(
        LogKind::Titres,
        "run,crop,sample_mass,titre\nR1,1,1.0000,39.80\nR1,feed,0.4,40.00\n",
    );
    let printed = Printed::of(&campaign);
    let run = printed.run("R1");
    let theory = 100.0 * (0.004 * COPPER_OXIDE / 0.4) * BLUESTONE / COPPER_OXIDE;
    check_digits(
        "theory",
        number(&run["theory_fresh"], "value"),
        theory,
        DIGITS,
    );
    let contained = 200.0 * 0.00398 * BLUESTONE / theory;
    let found = &run["contained"];
    check_digits("contained", number(found, "value"), contained, DIGITS);
    // The same titrant and the same molar mass stand above and below: nothing uncertain is left.
    assert!(number(found, "u") < 1e-15);
}

#[test]
fn an_unassayed_residue_holds_what_crops_and_liquor_did_not() {
    // Theory 251.1 g; crops 200 g of 99.37 % purity, liquor 0.4 L of 50 g/L = 20 g: the rest in 40 g of residue, as CuO.
    let campaign = bench("", "")
        .edited(|text| text.replace("[titration]", "residues = \"residues.csv\"\n\n[titration]"))
        .with(
            LogKind::Runs,
            "run,date,feed_mass,feed_assay,liquor_volume,liquor_conc,residue_mass,residue_from\n\
             R1,2026-01-05,100,0.8,400,50,,\n\
             R2,2026-01-06,100,0.8,400,50,30,R1\n",
        )
        .with(LogKind::Crops, "run,crop,mass\nR1,1,200\nR2,1,220\n")
        .with(LogKind::Residues, "run,mass\nR1,40\n")
        .with(
            LogKind::Titres,
            "run,crop,sample_mass,titre\nR1,1,1.0000,39.80\nR2,1,1.0000,39.80\n",
        );
    let printed = Printed::of(&campaign);
    let purity = 0.00398 * BLUESTONE;
    let rest = THEORY - 200.0 * purity - 20.0;
    let assay = rest * COPPER_OXIDE / BLUESTONE / 40.0;
    let run = printed.run("R1");
    check_digits(
        "assay",
        number(&run["residue_assay"], "value"),
        assay,
        DIGITS - 1.0,
    );
    assert_eq!(run["residue_by_difference"], true);
    // A balance that was closed by hand proves nothing.
    assert!(run["closure"].is_null(), "{run}");
    assert!(run["reasons"]["closure"].is_string(), "{run}");
    let total = THEORY + 30.0 * assay * BLUESTONE / COPPER_OXIDE;
    let charged = printed.run("R2");
    check_digits(
        "theory",
        number(&charged["theory_total"], "value"),
        total,
        DIGITS,
    );
    check_digits(
        "contained",
        number(&charged["contained"], "value"),
        220.0 * purity / total,
        DIGITS,
    );
}

#[test]
fn feed_and_residue_may_be_titrated_by_another_reaction_than_the_crops() {
    // 0.5 g of residue use up 20.00 mL of 0.1 mol/L, half a mole of CuO each: 1.000 mmol, 0.001·79.545/0.5 = 15.9 %.
    let campaign = bench("assay_analyte = \"CuO\"\nassay_ratio = 0.5", "")
        .edited(|text| text.replace("[titration]", "residues = \"residues.csv\"\n\n[titration]"))
        .with(LogKind::Residues, "run,mass\nR1,40\n")
        .with(
            LogKind::Titres,
            "run,crop,sample_mass,titre\nR1,1,1.0000,39.80\nR1,residue,0.5,20.00\n",
        );
    let printed = Printed::of(&campaign);
    let run = printed.run("R1");
    let found = number(&run["residue_assay"], "value");
    check_digits("assay", found, 0.001 * COPPER_OXIDE / 0.5, DIGITS);
    let found = number(&run["purity"], "value");
    check_digits("purity", found, 0.00398 * BLUESTONE, DIGITS);
}

#[test]
fn a_balance_that_leaves_less_than_nothing_gives_no_residue_its_assay() {
    // A crop of 2200 g for 220 g: 2200 · 0.9937 g of product from a charge that can give 251 g.
    let campaign = bench("", "")
        .edited(|text| text.replace("[titration]", "residues = \"residues.csv\"\n\n[titration]"))
        .with(
            LogKind::Runs,
            "run,date,feed_mass,feed_assay,liquor_volume,liquor_conc\nR1,2026-01-05,100,0.8,400,50\n",
        )
        .with(LogKind::Crops, "run,crop,mass\nR1,1,2200\n")
        .with(LogKind::Residues, "run,mass\nR1,40\n")
        .with(LogKind::Titres, "run,crop,sample_mass,titre\nR1,1,1.0000,39.80\n");
    let printed = Printed::of(&campaign);
    let run = printed.run("R1");
    assert_eq!(run["residue_by_difference"], false);
    assert!(run["residue_assay"].is_null());
    // Nine times what the charge could give: the crop is withheld, and what uses it.
    assert!(run["closure"].is_null());
    assert!(run["contained"].is_null());
}
