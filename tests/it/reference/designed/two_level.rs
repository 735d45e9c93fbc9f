//! Does the fit repeat worked two-level experiments?
//!
//! In: a replicated three-factor and an unreplicated four-factor experiment of a chemical pilot plant and process.
//! Out: tests of effects and their standard errors.
//! This module never pools or drops a term by itself.

use crate::reference::designed::{DIGITS, SUMMARY, check_terms};
use crate::reference::study::{Model, Study, Table, expected};
use crate::support::{check_digits, check_printed, number};

#[test]
fn a_pilot_plant_has_its_published_effects_and_their_standard_error() {
    let reference = expected("doe_bhh_pilot_plant");
    let study = Study {
        amounts: &["T", "C", "K"],
        choices: &[],
        response: "yield_g",
        model: r#"joint = [["T", "C"], ["T", "K"], ["C", "K"], ["T", "C", "K"]]"#,
    };
    let model = study.fit(&Table::read("doe_bhh_pilot_plant"));
    let names = [
        ("constant", "Intercept"),
        ("T", "T"),
        ("C", "C"),
        ("K", "K"),
        ("T with C", "T:C"),
        ("T with K", "T:K"),
        ("C with K", "C:K"),
        ("T with C with K", "T:C:K"),
    ];
    let computed = &reference["regression_half_effects"];
    check_terms(&model, computed, &names);
    model.check_summary(&SUMMARY, computed, DIGITS);
    // An effect goes from −1 to +1, so it is twice the value of its term.
    let published = &reference["effects_published"];
    for (name, effect) in [
        ("T", "T"),
        ("C", "C"),
        ("K", "K"),
        ("T with C", "TC"),
        ("T with K", "TK"),
    ] {
        let printed = published[effect].as_str().expect("a printed figure");
        let term = model.term(name);
        check_printed(name, 2.0 * number(term, "value"), printed);
        let printed = published["se_effect"].as_str().expect("a printed figure");
        check_printed(
            "standard error of an effect",
            2.0 * number(term, "u"),
            printed,
        );
    }
}

#[test]
fn a_pilot_plant_in_natural_units_is_the_same_fit() {
    let reference = expected("doe_bhh_pilot_plant");
    let computed = &reference["regression_half_effects"];
    let table = Table::read("doe_bhh_pilot_plant");
    let (degrees, percent) = (
        table.numbers("temperature_C"),
        table.numbers("concentration_pct"),
    );
    let study = Study {
        amounts: &["degrees", "strength"],
        choices: &["catalyst"],
        response: "yield_g",
        model: r#"joint = [["degrees", "strength"], ["degrees", "catalyst"], ["strength", "catalyst"], ["degrees", "strength", "catalyst"]]"#,
    };
    let model = study.fit(&table.with("degrees", degrees).with("strength", percent));
    model.check_summary(&SUMMARY, computed, DIGITS);
    // The highest joint term is the coded one over the half-ranges 10 and 10, and from −1 to +1 for the catalyst.
    let highest = model.term("degrees with strength with catalyst: B");
    let scale = 2.0 / (10.0 * 10.0);
    check_digits(
        "value",
        number(highest, "value"),
        scale * number(computed, "b_T:C:K"),
        DIGITS,
    );
    check_digits(
        "u",
        number(highest, "u"),
        scale * number(computed, "se_T:C:K"),
        DIGITS,
    );
    check_digits(
        "p",
        number(highest, "p"),
        number(computed, "p_T:C:K"),
        DIGITS,
    );
}

/// Factors of the process development as the book numbers them.
const PROCESS: [&str; 4] = [
    "x1_catalyst_charge",
    "x2_temperature",
    "x3_pressure",
    "x4_concentration",
];

/// Fits the process development with all joint effects of up to this many factors; returns name and number pairs
/// of the effects as well, such as `x1_catalyst_charge with x2_temperature` and `12`.
fn fit_process(largest: usize) -> (Model, Vec<(String, String)>) {
    let mut names = Vec::new();
    let mut joint = Vec::new();
    for subset in 1_usize..16 {
        let members: Vec<usize> = (0..4)
            .filter(|factor| (subset >> factor) & 1 == 1)
            .collect();
        if members.len() > largest {
            continue;
        }
        let factors: Vec<&str> = members.iter().map(|factor| PROCESS[*factor]).collect();
        let digits: String = members
            .iter()
            .map(|factor| (factor + 1).to_string())
            .collect();
        names.push((factors.join(" with "), digits));
        if factors.len() > 1 {
            joint.push(factors);
        }
    }
    let study = Study {
        amounts: &PROCESS,
        choices: &[],
        response: "conversion_pct",
        model: &format!("joint = {joint:?}"),
    };
    (
        study.fit(&Table::read("doe_bhh_process_development")),
        names,
    )
}

#[test]
fn a_process_development_takes_its_error_from_the_joint_effects_of_three_and_four() {
    let reference = expected("doe_bhh_process_development");
    let (model, names) = fit_process(2);
    assert_eq!(number(&model.printed, "residual_df"), 5.0);
    let constant = number(model.term("constant"), "value");
    check_digits(
        "mean",
        constant,
        number(&reference["effects_published"], "mean"),
        DIGITS,
    );
    for (name, digits) in names {
        let term = model.term(&name);
        let effect = number(&reference["effects_published"], &digits);
        check_digits(&name, 2.0 * number(term, "value"), effect, DIGITS);
        let error = number(&reference, "se_effect_from_higher_order_interactions");
        check_digits(
            "standard error of an effect",
            2.0 * number(term, "u"),
            error,
            DIGITS,
        );
        check_printed("the book's standard error", 2.0 * number(term, "u"), "0.55");
    }
}

#[test]
fn as_many_terms_as_runs_have_values_but_no_standard_errors() {
    let reference = expected("doe_bhh_process_development");
    let (model, names) = fit_process(4);
    assert_eq!(number(&model.printed, "residual_df"), 0.0);
    assert!(
        model.printed["residual_sd"].is_null(),
        "{}",
        model.printed["residual_sd"]
    );
    assert_eq!(names.len(), 15);
    for (name, digits) in names {
        let term = model.term(&name);
        let effect = number(&reference["effects_published"], &digits);
        check_digits(&name, 2.0 * number(term, "value"), effect, DIGITS);
        assert!(
            term["u"].is_null() && term["t"].is_null() && term["p"].is_null(),
            "{term}"
        );
    }
}
