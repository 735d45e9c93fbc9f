//! What does a reference material say of the purities titrated beside it?
//!
//! In: titres of a control sample. Out: tests of its chart against a published one, of the correction against closed
//! formulas, of the doubt on the purities of its time, and that each wrong use is told.
//! This module never takes an expected figure from residuum.

use std::fmt::Write as _;

use residuum::campaign::LogKind;
use residuum::measured::Measured;
use serde_json::Value;

use super::{BLUESTONE, Printed, bench, root_of_squares};
use crate::in_memory::InMemory;
use crate::support::{
    check_digits, data, data_json, list, member, number, residuum, residuum_json,
};

/// Digits asked of products, ratios and roots of sums of squares of a few logged numbers in binary64.
const DIGITS: f64 = 10.0;

const CONTROL: &str = "control = { formula = \"CuSO4·5H2O\", purity = 0.9995, u_purity = 0.0003 }";

const UNCERTAINTY: &str = "titre = \"0.03 mL\"\nconcentration = \"0.0005 mol/L\"";

/// Two runs of one titre each, with these further rows of the titres log and keys of `[titration]`.
fn campaign(keys: &str, titres: &str) -> InMemory {
    bench(keys, UNCERTAINTY)
        .with(
            LogKind::Runs,
            "run,date,feed_mass,feed_assay\nR1,2026-03-02,100,0.8\nR2,2026-03-30,100,0.8\n",
        )
        .with(LogKind::Crops, "run,crop,mass\nR1,1,200\nR2,1,200\n")
        .with(
            LogKind::Titres,
            &format!("run,crop,date,sample_mass,titre\nR1,1,,1,39.20\nR2,1,,1,39.40\n{titres}"),
        )
}

fn purities(campaign: &InMemory) -> [Measured; 2] {
    let worked = campaign.work_out();
    ["R1", "R2"].map(|run| worked.run(run).purity.clone().expect("a purity"))
}

/// Titrations of the control that agree, 0.3 % below what is stated.
const LOW: &str =
    ",control,2026-03-02,1,39.88\n,control,2026-03-16,1,39.92\n,control,2026-03-30,1,39.90\n";

#[test]
fn corrected_purities_share_the_error_of_the_control_and_lose_that_of_the_strength() {
    let keys = format!("{CONTROL}\ncorrect_bias = true");
    let [one, other] = purities(&campaign(&keys, LOW));
    // w = p·V/V̄ of the control: strength and molar mass cancel. V̄ = 39.90 mL weighted by 1/V² nearly alike: the
    // weights are those of w, (w/V)⁻², so that the mean is taken exactly here.
    let controls = [39.88, 39.92, 39.90_f64];
    // All have u(V) = 0.03 mL, so that u(w) is the same for each and the weights are equal.
    let mean = controls.iter().sum::<f64>() / 3.0;
    check_digits("first", one.value(), 0.9995 * 39.20 / mean, DIGITS);
    check_digits("second", other.value(), 0.9995 * 39.40 / mean, DIGITS);
    let of_control = root_of_squares(&[0.0003 / 0.9995, 0.03 / 3f64.sqrt() / mean]);
    let relative = |volume: f64| root_of_squares(&[0.03 / volume, of_control]);
    check_digits(
        "u",
        one.uncertainty() / one.value(),
        relative(39.20),
        DIGITS,
    );
    let shared = one.covariance(&other) / (one.value() * other.value());
    check_digits("shared", shared, of_control.powi(2), DIGITS);
    let printed = Printed::of(&campaign(&keys, LOW));
    let said = printed.caveat("corrected by the control");
    assert!(
        said["seen"]
            .as_str()
            .expect("a sentence")
            .contains("3 titrations"),
        "{said}"
    );
    assert_eq!(printed.0["control"]["corrected"], true);
    let folder = campaign(&keys, LOW).folder();
    let chain = [
        "check".as_ref(),
        folder.path().as_os_str(),
        "--chain".as_ref(),
        "R1".as_ref(),
    ];
    let chain = residuum(&chain).stdout;
    assert!(
        chain.contains("(control)") && chain.contains("0.981"),
        "{chain}"
    );
    let recovery = &printed.0["control"]["recovery"];
    let found = 0.1 * mean / 1000.0 * BLUESTONE / 0.9995;
    check_digits("recovery", number(recovery, "value"), found, DIGITS);
}

#[test]
fn a_bias_beyond_its_uncertainty_is_a_doubt_on_every_purity_and_changes_none() {
    // A strength known to 0.05 %: 0.3 % below is beyond all errors.
    let sure = |text: &str| text.replace("0.0005 mol/L", "0.00005 mol/L");
    let without = purities(&campaign("", "").edited(sure));
    let with = campaign(CONTROL, LOW).edited(sure);
    let found = purities(&with);
    for (one, other) in without.iter().zip(&found) {
        assert_eq!(one.value(), other.value());
        check_digits("u", other.uncertainty(), one.uncertainty(), DIGITS);
    }
    let printed = Printed::of(&with);
    let doubt = printed.caveat("control sample off");
    let seen = doubt["seen"].as_str().expect("a sentence");
    // 0.1·39.90/1000·M/0.9995 − 1.
    let bias = 100.0 * (0.1 * 39.90 / 1000.0 * BLUESTONE / 0.9995 - 1.0);
    assert!(
        seen.contains(&format!("{:.2} ±", bias.abs())),
        "{seen}: {bias}"
    );
    assert!(
        seen.contains("below") && seen.contains("2 of 2 runs"),
        "{seen}"
    );
    // Within the error of the strength it is no doubt.
    assert!(
        Printed::of(&campaign(CONTROL, LOW))
            .caveats("control sample off")
            .is_empty()
    );
}

#[test]
fn a_bias_of_some_weeks_touches_the_purities_of_these_weeks_alone() {
    let mut titres = String::new();
    for (day, volume) in [
        ("03-02", 40.04),
        ("03-05", 40.02),
        ("03-09", 40.03),
        ("03-23", 39.55),
        ("03-26", 39.53),
        ("03-30", 39.54),
    ] {
        writeln!(titres, ",control,2026-{day},1,{volume}").unwrap();
    }
    let sure = |text: &str| text.replace("0.0005 mol/L", "0.00005 mol/L");
    let printed = Printed::of(&campaign(CONTROL, &titres).edited(sure));
    assert_ne!(printed.0["control"]["used"], "pooled");
    let doubt = printed.caveat("control sample off");
    let advice = doubt["advice"].as_str().expect("an advice");
    assert!(
        doubt["seen"]
            .as_str()
            .expect("a sentence")
            .contains("1 of 2 runs"),
        "{doubt}"
    );
    assert!(advice.ends_with("runs R2"), "{advice}");
}

/// Half a step of the rounded constant 1.128 of the handbook, on the scale of a hundredth.
const ROUNDED_CONSTANT: f64 = 0.0017 / 100.0;

#[test]
fn its_chart_has_the_limits_of_a_published_chart_of_single_values() {
    // NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, a hundredth of each flow rate as what was found.
    let example = data_json("nist_individuals_flowrate.json");
    let log = data("nist_individuals_flowrate.csv");
    let mut titres = String::new();
    for (batch, row) in log.lines().skip(1).enumerate() {
        let flow: f64 = row
            .split(',')
            .nth(1)
            .expect("a flow rate")
            .parse()
            .expect("a number");
        let volume = flow / 100.0 * 1000.0 / (0.1 * BLUESTONE);
        writeln!(titres, ",control,2026-03-{:02},1,{volume}", batch + 1).unwrap();
    }
    let keys = CONTROL.replace("0.9995", "0.5081");
    let folder = campaign(&keys, &titres).folder();
    let result = residuum_json("drift", folder.path());
    let charts = list(&result, "drift").iter();
    let of_control = charts.filter(|chart| chart["response"] == "content of the control sample");
    let of_control: Vec<Value> = of_control.cloned().collect();
    let found = member(&of_control, "chart", "individuals").expect("a chart");
    let expected = &example["expected"];
    check_digits("centre", number(found, "centre"), 0.5081, 9.0);
    for (key, with) in [("lower", "LCL"), ("upper", "UCL")] {
        let exact = number(&expected["with_exact_d2"], with) / 100.0;
        check_digits(key, number(found, key), exact, 9.0);
        let off = (number(found, key) - number(expected, with) / 100.0).abs();
        assert!(off <= ROUNDED_CONSTANT, "{key} is {off} from the handbook");
    }
    assert!(
        list(found, "points")
            .iter()
            .all(|point| point["flag"].is_null())
    );
}

/// What `check` says, with its exit code.
fn checked(keys: &str, titres: &str) -> (i32, String) {
    let folder = campaign(keys, titres).folder();
    let call = residuum(&["check".as_ref(), folder.path().as_os_str()]);
    (call.exit_code, call.stdout + &call.stderr)
}

#[test]
fn wrong_use_of_a_control_is_told_with_what_to_do() {
    let cases = [
        (
            "control = { formula = \"CuSO4·5H2O\" }",
            "`titration.control.purity` is missing",
        ),
        (
            "control = { purity = 0.9995 }",
            "`titration.control.formula` is missing",
        ),
        (
            "control = { formula = \"CuSO4·5H2O\", purity = 99.95 }",
            "`titration.control.purity` is 99.95",
        ),
        (
            "control = { formula = \"CuSO4·5H2O\", purity = 0.9995, u_purity = -0.1 }",
            "`titration.control.u_purity` is -0.1",
        ),
        (
            "control = { formula = \"CuSO4·5H2O\", puritty = 0.9995 }",
            "did you mean `purity`?",
        ),
        (
            "control = { formula = \"KIO3\", purity = 0.9995 }",
            "the control sample `KIO3` holds no Cu",
        ),
        (
            "control = { formula = \"CuSO4·\", purity = 0.9995 }",
            "`titration.control.formula`",
        ),
        ("control = 0.9995", "titration.control"),
        (
            "correct_bias = true",
            "`titration.correct_bias` without `titration.control`",
        ),
        (
            "control = { formula = \"CuSO4·5H2O\", purity = 0.9995 }\ncorrect_bias = \"yes\"",
            "true or false",
        ),
        (
            "",
            "column `crop` in `titres.csv`: 3 cells are a control, and `[titration]` names no reference material, each `control`; lines 4 to 6",
        ),
        (
            "",
            "add `control = { formula = \"...\", purity = 0.9995 }` to `[titration]`",
        ),
    ];
    for (keys, expected) in cases {
        let (exit_code, said) = checked(keys, LOW);
        assert_ne!(exit_code, 0, "{keys}");
        assert!(said.contains(expected), "{keys}\n{said}");
    }
    // A control that cannot be read leaves no run out.
    let (_, said) = checked(CONTROL, "R1,control,2026-03-02,1,much\n");
    assert!(
        said.contains("column `titre` in `titres.csv` line 4 is not a number: `much`"),
        "{said}"
    );
    let worked = campaign(CONTROL, "R1,control,2026-03-02,1,much\n").work_out();
    assert_eq!(worked.runs().used(), 2);
}

#[test]
fn one_titration_of_a_control_tells_no_bias_and_corrects_nothing() {
    let one = ",control,2026-03-02,1,39.00\n";
    let keys = format!("{CONTROL}\ncorrect_bias = true");
    let printed = Printed::of(&campaign(&keys, one));
    let doubt = printed.caveat("control titrated too seldom");
    let seen = doubt["seen"].as_str().expect("a sentence");
    assert!(
        seen.contains("once") && seen.contains("no purity was corrected"),
        "{seen}"
    );
    assert_eq!(
        purities(&campaign(&keys, one))[0].value(),
        purities(&campaign("", ""))[0].value()
    );
    let never = Printed::of(&campaign(CONTROL, ""));
    assert!(
        never.caveat("control titrated too seldom")["seen"]
            .as_str()
            .expect("a sentence")
            .contains("never")
    );
}

#[test]
fn a_settled_answer_does_not_stand_on_purities_that_the_control_doubts() {
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone");
    let folder = crate::support::CampaignFolder::copy_of(&demo);
    let file = std::fs::read_to_string(folder.path().join("campaign.toml")).expect("the demo");
    let file = file.replace("[titration]", &format!("[titration]\n{CONTROL}"));
    let titres = std::fs::read_to_string(folder.path().join("titres.csv")).expect("the demo");
    // 1 g of the pure salt needs 40.5 mL of T1; 39.9 are run in, 1.4 % too few.
    let low = "B-001,control,1.0000,T1,39.90,\nB-020,control,1.0000,T1,39.92,\nB-001,control,1.0000,T1,39.91,\n";
    let folder = folder
        .with("campaign.toml", &file)
        .with("titres.csv", &format!("{}\n{low}", titres.trim_end()));
    let routes = residuum_json("routes", folder.path());
    let answer = &list(&routes, "answers")[0];
    assert_eq!(answer["status"], "in doubt", "{answer}");
    assert!(
        answer["reason"]
            .as_str()
            .expect("a reason")
            .contains("control sample"),
        "{answer}"
    );
}
