//! Does the fit repeat worked response surfaces and a plant regression?
//!
//! In: a first-order design with centre points, a central composite design in two blocks, and 21 days of an
//! ammonia oxidation plant. Out: tests of terms, in coded and in natural units.
//! This module never looks for an optimum.

use crate::reference::designed::{DIGITS, SUMMARY, check_terms};
use crate::reference::study::{Study, Table, expected};
use crate::support::{check_digits, check_printed, list, member, number};

#[test]
fn a_first_order_design_has_its_published_plane() {
    let reference = expected("rsm_first_order");
    let study = Study {
        amounts: &["x1", "x2"],
        choices: &[],
        response: "yield_pct",
        model: "",
    };
    let model = study.fit(&Table::read("rsm_first_order"));
    let names = [("constant", "Intercept"), ("x1", "x1"), ("x2", "x2")];
    let computed = &reference["computed"];
    check_terms(&model, &computed["fit"], &names);
    model.check_summary(&SUMMARY, &computed["fit"], DIGITS);
    let sums = [("ss_model", "model_ss"), ("ss_residual", "residual_ss")];
    model.check_summary(&sums, computed, DIGITS);
    let published = [
        ("F", "f"),
        ("model_ss", "ss_model"),
        ("residual_ss", "ss_residual"),
    ];
    for (figure, key) in published {
        let printed = reference["published"][figure]
            .as_str()
            .expect("a printed figure");
        check_printed(key, number(&model.printed, key), printed);
    }
}

#[test]
fn a_first_order_design_in_natural_units_is_the_published_plane_rescaled() {
    let computed = expected("rsm_first_order")["computed"].take();
    let table = Table::read("rsm_first_order");
    let (minutes, degrees) = (table.numbers("time_min"), table.numbers("temp_F"));
    let study = Study {
        amounts: &["minutes", "degrees"],
        choices: &[],
        response: "yield_pct",
        model: "",
    };
    let model = study.fit(&table.with("minutes", minutes).with("degrees", degrees));
    // The published coding: x1 = (time − 35) / 5, x2 = (temperature − 155) / 5.
    let (b1, b2) = (
        number(&computed, "b_x1") / 5.0,
        number(&computed, "b_x2") / 5.0,
    );
    let constant = number(&computed, "b_Intercept") - 35.0 * b1 - 155.0 * b2;
    for (name, expected) in [("minutes", b1), ("degrees", b2), ("constant", constant)] {
        check_digits(
            &format!("  {name}"),
            number(model.term(name), "value"),
            expected,
            DIGITS,
        );
    }
}

#[test]
fn the_joint_effect_of_a_first_order_design_has_its_published_sum_of_squares() {
    let reference = expected("rsm_first_order");
    let study = Study {
        amounts: &["x1", "x2"],
        choices: &[],
        response: "yield_pct",
        model: r#"joint = [["x1", "x2"]]"#,
    };
    let model = study.fit(&Table::read("rsm_first_order"));
    let test = member(list(&model.printed, "tests"), "factor", "x1 with x2")
        .expect("a test of the joint effect");
    // The book tests it against pure error, this row against all that is left, so only the sum is the same.
    check_digits(
        "sum of squares",
        number(test, "ss"),
        number(&reference["computed"], "interaction_ss"),
        DIGITS,
    );
    check_printed("sum of squares", number(test, "ss"), "0.0025");
}

/// The second-order model of two amounts and the block.
fn second_order(first: &str, second: &str) -> String {
    format!("joint = [[\"{first}\", \"{second}\"]]\ncurved = {{ {first} = 2, {second} = 2 }}")
}

#[test]
fn a_central_composite_design_in_two_blocks_has_its_published_surface() {
    let reference = expected("rsm_ccd_blocks");
    let table = Table::read("rsm_ccd_blocks");
    // The published coding of the printed natural values.
    let x1: Vec<f64> = table
        .numbers("time_min")
        .iter()
        .map(|time| (time - 85.0) / 5.0)
        .collect();
    let x2: Vec<f64> = table
        .numbers("temp_F")
        .iter()
        .map(|degrees| (degrees - 175.0) / 5.0)
        .collect();
    let study = Study {
        amounts: &["x1", "x2"],
        choices: &["block"],
        response: "yield_pct",
        model: &second_order("x1", "x2"),
    };
    let model = study.fit(&table.with("x1", x1).with("x2", x2));
    let names = [
        ("constant", "Intercept"),
        ("block: B2", "blockB2"),
        ("x1", "x1"),
        ("x2", "x2"),
        ("x1 with x2", "x1x2"),
        ("x1 to the 2", "x1sq"),
        ("x2 to the 2", "x2sq"),
    ];
    assert_eq!(model.term_count(), names.len());
    check_terms(&model, &reference["computed"], &names);
    model.check_summary(&SUMMARY, &reference["computed"], DIGITS);
    let published = &reference["published"];
    for (name, figure) in names {
        let printed = published[format!("b_{figure}")]
            .as_str()
            .expect("a printed figure");
        check_printed(name, number(model.term(name), "value"), printed);
    }
    check_printed(
        "F",
        number(&model.printed, "f"),
        published["F"].as_str().unwrap(),
    );
    check_printed(
        "R²",
        number(&model.printed, "r_squared"),
        published["r_squared"].as_str().unwrap(),
    );
}

#[test]
fn a_central_composite_design_in_natural_units_is_the_same_surface() {
    let computed = expected("rsm_ccd_blocks")["computed"].take();
    let table = Table::read("rsm_ccd_blocks");
    let (minutes, degrees) = (table.numbers("time_min"), table.numbers("temp_F"));
    let study = Study {
        amounts: &["minutes", "degrees"],
        choices: &["block"],
        response: "yield_pct",
        model: &second_order("minutes", "degrees"),
    };
    let model = study.fit(&table.with("minutes", minutes).with("degrees", degrees));
    model.check_summary(&SUMMARY, &computed, DIGITS);
    // Terms of the highest order, and the block, do not depend on where zero is: the unit of both is 5.
    let names = [
        ("block: B2", "blockB2", 1.0),
        ("minutes with degrees", "x1x2", 25.0),
        ("minutes to the 2", "x1sq", 25.0),
        ("degrees to the 2", "x2sq", 25.0),
    ];
    for (name, figure, unit) in names {
        let term = model.term(name);
        let value = number(&computed, &format!("b_{figure}")) / unit;
        check_digits(
            &format!("  value of {name}"),
            number(term, "value"),
            value,
            DIGITS,
        );
        let error = number(&computed, &format!("se_{figure}")) / unit;
        check_digits(&format!("  u of {name}"), number(term, "u"), error, DIGITS);
        check_digits(
            &format!("  p of {name}"),
            number(term, "p"),
            number(&computed, &format!("p_{figure}")),
            DIGITS,
        );
    }
}

#[test]
fn an_ammonia_plant_has_its_published_regression() {
    let reference = expected("regression_ammonia");
    let study = Study {
        amounts: &["air_flow", "water_temp", "acid_conc"],
        choices: &[],
        response: "stack_loss",
        model: "",
    };
    let model = study.fit(&Table::read("regression_ammonia"));
    let names = [
        ("constant", "Intercept"),
        ("air_flow", "air_flow"),
        ("water_temp", "water_temp"),
        ("acid_conc", "acid_conc"),
    ];
    check_terms(&model, &reference["computed"], &names);
    model.check_summary(&SUMMARY, &reference["computed"], DIGITS);
    let published = &reference["published"];
    for (name, figure) in names {
        for (printed, prefix) in [("value", "b"), ("u", "se")] {
            let text = published[format!("{prefix}_{figure}")]
                .as_str()
                .expect("a printed figure");
            check_printed(name, number(model.term(name), printed), text);
        }
    }
    for (key, figure) in [
        ("residual_sd", "residual_sd"),
        ("r_squared", "r_squared"),
        ("adjusted_r_squared", "adj_r_squared"),
        ("f", "F"),
    ] {
        check_printed(
            key,
            number(&model.printed, key),
            published[figure].as_str().unwrap(),
        );
    }
}
