//! Do titres become strengths and purities as the guides and a chemist's paper have them?
//!
//! In: example A2 of the EURACHEM/CITAC guide, and small invented campaigns whose answers are worked out by hand beside
//! each check. Out: tests through `residuum yields --json`.
//! - this file: example A2 and what a plain titration is good for;
//! - `samples.rs`: what one titre says of a sample: blanks, aliquots, dilutions, back titration, moisture, residue, feed;
//! - `standards.rs`: several standardisations of one titrant;
//! - `strength_by_date.rs`: the strength of a titrant that changes, on the day of a titration;
//! - `scatter.rs`: replicates;
//! - `blanks.rs`: blanks that titrations share;
//! - `control.rs`: a reference material titrated beside the samples;
//! - `drying.rs`: moisture by what a crop lost on drying;
//! - `ignition.rs`: purity by what a crop leaves on ignition, or by difference.
//!
//! This module never takes a molar mass from the library.

mod blanks;
mod control;
mod drying;
mod ignition;
mod samples;
mod scatter;
mod standards;
mod strength_by_date;

use residuum::campaign::LogKind;
use serde_json::Value;

use crate::in_memory::InMemory;
use crate::support::{
    check_digits, check_printed, data_json, list, matching_digits, member, number, residuum_json,
};

/// Digits asked of products, ratios and roots of sums of squares of a few logged numbers in binary64.
const DIGITS: f64 = 11.0;

/// g/mol, from the abridged standard atomic weights of 2021: Cu 63.546, S 32.06, O 15.999, H 1.0080.
const BLUESTONE: f64 = 63.546 + 32.06 + 9.0 * 15.999 + 10.0 * 1.0080;

/// g/mol, from the same atomic weights.
const COPPER_OXIDE: f64 = 63.546 + 15.999;

/// g/mol, from the same atomic weights: K 39.0983, I 126.90447.
const IODATE: f64 = 39.0983 + 126.90447 + 3.0 * 15.999;

/// Relative standard uncertainty of the molar mass of bluestone: printed uncertainties 0.003 (Cu), 0.02 (S), 0.001 (O)
/// and 0.0002 (H) are half-widths, and all atoms of one element are off together.
fn u_bluestone() -> f64 {
    let half_widths = [0.003, 0.02, 9.0 * 0.001, 10.0 * 0.0002];
    of_rectangles(&half_widths) / BLUESTONE
}

/// Standard uncertainty of a sum of independent rectangular errors.
fn of_rectangles(half_widths: &[f64]) -> f64 {
    (half_widths.iter().map(|a| a * a).sum::<f64>() / 3.0).sqrt()
}

/// Root of a sum of squares.
fn root_of_squares(parts: &[f64]) -> f64 {
    parts.iter().map(|part| part * part).sum::<f64>().sqrt()
}

/// A campaign that makes bluestone from copper oxide and titrates it with a titrant called `S`, mole against mole.
fn bench(titration: &str, uncertainty: &str) -> InMemory {
    let campaign = format!(
        r#"
[campaign]
title = "At the burette"
product = "CuSO4·5H2O"
followed = "Cu"
assay_as = "CuO"

[logs]
runs = "runs.csv"
crops = "crops.csv"
titres = "titres.csv"
titrants = "titrants.csv"

[titration]
analyte = "CuSO4·5H2O"
titrant = "S"
ratio = 1.0
{titration}

[uncertainty]
{uncertainty}
"#
    );
    InMemory::new(&campaign)
        .with(LogKind::Runs, "run,feed_mass,feed_assay\nR1,100,0.8\n")
        .with(LogKind::Crops, "run,crop,mass\nR1,1,200\n")
        .with(LogKind::Titrants, "titrant,concentration\nS,0.1\n")
}

/// What `residuum yields --json` prints for a campaign.
struct Printed(Value);

impl Printed {
    fn of(campaign: &InMemory) -> Self {
        Self(residuum_json("yields", campaign.folder().path()))
    }

    fn run(&self, name: &str) -> &Value {
        member(list(&self.0, "yields"), "run", name).unwrap_or_else(|| panic!("no run `{name}`"))
    }

    fn titrant(&self, name: &str) -> &Value {
        member(list(&self.0, "titrants"), "titrant", name)
            .unwrap_or_else(|| panic!("no titrant `{name}`"))
    }

    fn caveats(&self, kind: &str) -> Vec<&Value> {
        list(&self.0, "caveats")
            .iter()
            .filter(|caveat| caveat["kind"] == kind)
            .collect()
    }

    /// The one caveat of a kind.
    fn caveat(&self, kind: &str) -> &Value {
        let caveats = self.caveats(kind);
        assert_eq!(caveats.len(), 1, "{}", self.0["caveats"]);
        caveats[0]
    }
}

/// Value and standard uncertainty of a measured number.
fn check_measured(what: &str, found: &Value, value: f64, uncertainty: f64) {
    check_digits(what, number(found, "value"), value, DIGITS);
    check_digits(
        &format!("u of {what}"),
        number(found, "u"),
        uncertainty,
        DIGITS,
    );
}

/// Part of the variance that a source has in a budget; 0 where it is not in it.
fn share(budget: &Value, source: &str) -> f64 {
    let parts = budget.as_array().expect("a budget");
    member(parts, "source", source).map_or(0.0, |part| number(part, "share"))
}

/// Panics unless the words of a caveat hold each of these printed figures.
fn check_figures(caveat: &Value, figures: &[&str]) {
    let seen = format!("{} {}", caveat["seen"], caveat["advice"]);
    let found: Vec<&str> = seen
        .split(|c: char| !(c.is_ascii_digit() || c == '.'))
        .map(|figure| figure.trim_end_matches('.'))
        .collect();
    for figure in figures {
        assert!(found.contains(figure), "no {figure} in: {seen}");
    }
}

/// Example A2: sodium hydroxide against potassium hydrogen phthalate, through the titrants log.
///
/// The linearity of the balance counts for tare and gross weighing. The run is a stand-in: a campaign has one.
fn example_a2() -> Value {
    let inputs = data_json("eurachem_A2_naoh_khp.json")["inputs"].take();
    let (mass, purity, volume) = (&inputs["m_KHP_g"], &inputs["P_KHP"], &inputs["V_T_mL"]);
    let u_mass = number(mass, "linearity_half_width_g") * (2.0_f64 / 3.0).sqrt();
    let u_purity = number(purity, "half_width") / 3f64.sqrt();
    let campaign = format!(
        r#"
[campaign]
title = "Lye against phthalate"
product = "H2C2O4·2H2O"
followed = "C"
assay_as = "H2C2O4"

[logs]
runs = "runs.csv"
titrants = "titrants.csv"

[titration]
analyte = "H2C2O4·2H2O"
titrant = "NaOH"
ratio = 0.5
repeatability = {}

[uncertainty]
burette = "±{} mL triangular"
"#,
        number(&inputs["rep"], "u"),
        number(volume, "calibration_half_width"),
    );
    let titrants = format!(
        "titrant,standard,standard_mass,u_standard_mass,standard_purity,u_standard_purity,titre,u_titre\n\
         NaOH,C8H5KO4,{},{u_mass},{},{u_purity},{},{}\n",
        number(mass, "value"),
        number(purity, "value"),
        number(volume, "value"),
        number(volume, "temperature_u"),
    );
    let campaign = InMemory::new(&campaign)
        .with(
            LogKind::Runs,
            "run,date,feed_mass,feed_assay\nR1,2025-03-03,100,0.8\n",
        )
        .with(LogKind::Titrants, &titrants);
    Printed::of(&campaign).titrant("NaOH").clone()
}

/// g/mol, from the atomic weights of 2021: C 12.011, H 1.0080, K 39.0983, O 15.999.
const PHTHALATE: f64 = 8.0 * 12.011 + 5.0 * 1.0080 + 39.0983 + 4.0 * 15.999;

/// Relative, from the printed uncertainties of 2021: C 0.002, H 0.0002, K 0.0001, O 0.001.
fn u_phthalate() -> f64 {
    of_rectangles(&[8.0 * 0.002, 5.0 * 0.0002, 0.0001, 4.0 * 0.001]) / PHTHALATE
}

#[test]
fn lye_against_phthalate_has_the_strength_of_the_guide() {
    // EURACHEM/CITAC CG 4, example A2. The guide has older atomic weights, so that molar masses differ by 5e-6 and
    // their uncertainties by a factor of 2.5; neither shows at the published precision.
    let titrant = example_a2();
    let expected = &data_json("eurachem_A2_naoh_khp.json")["expected"];
    let printed = |key: &str| expected[key].as_str().expect("a printed figure");
    let (value, u) = (
        number(&titrant["concentration"], "value"),
        number(&titrant["concentration"], "u"),
    );
    check_printed("c / mol/L", value, printed("c_NaOH_mol_per_L"));
    check_printed("u / mol/L", u, printed("u_c_NaOH_mol_per_L"));
    check_printed("U, k = 2", 2.0 * u, printed("U_k2_mol_per_L"));
    let unrounded = &expected["unrounded"];
    let digits = matching_digits(value, number(unrounded, "c_NaOH_mol_per_L"));
    assert!(digits > 5.0, "{digits}");
}

#[test]
fn each_source_contributes_what_the_guide_says() {
    let titrant = example_a2();
    let u = number(&titrant["concentration"], "u");
    let contribution = |source: &str| u * share(&titrant["budget"], source).sqrt();
    let unrounded = data_json("eurachem_A2_naoh_khp.json")["expected"]["unrounded"].take();
    let expected = &unrounded["contributions_mol_per_L"];
    // The strength itself differs by 5e-6, so that no contribution can agree to more digits than five.
    for (source, key) in [
        ("standardisation repeatability of NaOH", "rep"),
        ("standard mass of NaOH", "m_KHP"),
        ("purity of the standard C8H5KO4", "P_KHP"),
    ] {
        check_digits(source, contribution(source), number(expected, key), 5.0);
    }
    let volume = root_of_squares(&[
        contribution("standardisation titre of NaOH"),
        contribution("burette calibration"),
    ]);
    check_digits("volume", volume, number(expected, "V_T"), 5.0);
    let weights = number(&titrant["concentration"], "value") * u_phthalate();
    check_digits(
        "molar mass",
        contribution("atomic weights"),
        weights,
        DIGITS - 2.0,
    );
}

#[test]
fn shares_of_the_budget_are_those_of_the_guide_in_percent() {
    let titrant = example_a2();
    let unrounded = data_json("eurachem_A2_naoh_khp.json")["expected"]["unrounded"].take();
    let total = number(&unrounded, "u_c_NaOH_mol_per_L");
    let parts = &unrounded["contributions_mol_per_L"];
    let found = |sources: &[&str]| -> f64 {
        let parts = sources.iter().map(|s| share(&titrant["budget"], s));
        parts.sum()
    };
    for (key, sources) in [
        ("rep", &["standardisation repeatability of NaOH"][..]),
        ("m_KHP", &["standard mass of NaOH"]),
        ("P_KHP", &["purity of the standard C8H5KO4"]),
        (
            "V_T",
            &["standardisation titre of NaOH", "burette calibration"],
        ),
    ] {
        let expected = (number(parts, key) / total).powi(2);
        // The larger molar mass part of 2021 takes 0.2 % from all others: half a percent of the variance is asked.
        assert!((found(sources) - expected).abs() < 0.005, "{key}");
    }
}

#[test]
fn with_the_atomic_weights_of_2021_the_example_agrees_in_full() {
    let titrant = example_a2();
    let value = 1000.0 * 0.3888 / (PHTHALATE * 18.64);
    let relative = root_of_squares(&[
        0.0005,
        0.00015 * (2.0_f64 / 3.0).sqrt() / 0.3888,
        0.0005 / 3f64.sqrt(),
        u_phthalate(),
        0.006 / 18.64,
        0.03 / 6f64.sqrt() / 18.64,
    ]);
    check_measured("c", &titrant["concentration"], value, value * relative);
}

#[test]
fn a_plain_titration_of_a_99_percent_product_is_good_to_about_one_percent() {
    // Common practice, no source: a gram of product, a 50 mL burette with its 0.05 mL, a balance with its 0.1 mg and
    // a titrant standardised once in the same burette leave 0.3 to 1.5 % of doubt (95 %).
    let uncertainty = r#"
titre = "0.05 mL"
burette = "±0.05 mL triangular"
sample_mass = "0.0001 g"
standard_mass = "0.0001 g"
standard_purity = "±0.001 rectangular"
shared = ["burette"]"#;
    let campaign = bench("", uncertainty)
        .with(
            LogKind::Titrants,
            "titrant,standard,standard_mass,standard_purity,standard_ratio,titre\nS,KIO3,0.1427,0.999,6,40.00\n",
        )
        .with(
            LogKind::Titres,
            "run,crop,sample_mass,titre\nR1,1,1.0000,39.68\n",
        );
    let printed = Printed::of(&campaign);
    let purity = &printed.run("R1")["purity"];
    let value = number(purity, "value");
    assert!((0.985..0.995).contains(&value), "{value}");
    let doubt = 100.0 * 1.96 * number(purity, "u") / value;
    println!("purity {value:.4} ± {doubt:.2} %");
    assert!((0.3..1.5).contains(&doubt), "{doubt}");
}
