//! Does the fit repeat a worked factorial experiment in blocks?
//!
//! In: a field experiment of three factors in six blocks of four, in which the joint effect of all three was given
//! up to the blocks. Out: tests of the table of tests, and of what can't be told apart.
//! This module never asks for random blocks.

use crate::reference::designed::DIGITS;
use crate::reference::study::{Study, Table, expected};
use crate::support::{check_digits, check_printed, list, member, number};

/// Printed rows of tests of the field experiment, with the names that they have in the reference.
const FIELD_TESTS: [(&str, &str); 7] = [
    ("block", "block"),
    ("N", "N"),
    ("P", "P"),
    ("K", "K"),
    ("N with P", "NP"),
    ("N with K", "NK"),
    ("P with K", "PK"),
];

#[test]
fn a_factorial_in_blocks_has_its_published_tests() {
    let reference = expected("factorial_in_blocks");
    let (published, computed) = (&reference["anova_published"], &reference["anova_computed"]);
    let study = Study {
        amounts: &[],
        choices: &["block", "N", "P", "K"],
        response: "yield",
        model: r#"joint = [["N", "P"], ["N", "K"], ["P", "K"]]"#,
    };
    let model = study.fit(&Table::read("factorial_in_blocks"));
    assert!(list(&model.printed, "not_separable").is_empty());
    let summary = [
        ("residual_df", "residual_df"),
        ("ss_residual", "residual_ss"),
    ];
    model.check_summary(&summary, computed, DIGITS);
    let tests = list(&model.printed, "tests");
    assert_eq!(tests.len(), FIELD_TESTS.len());
    for (name, reference) in FIELD_TESTS {
        let test = member(tests, "factor", name).unwrap_or_else(|| panic!("no test of `{name}`"));
        for (printed, suffix) in [("df", "df"), ("ss", "ss"), ("f", "F"), ("p", "p")] {
            let key = format!("{reference}_{suffix}");
            check_digits(
                &format!("  {printed} of {name}"),
                number(test, printed),
                number(computed, &key),
                DIGITS,
            );
            if let Some(figure) = published[&key].as_str() {
                check_printed(&key, number(test, printed), figure);
            }
        }
    }
}

#[test]
fn the_joint_effect_that_was_given_up_to_the_blocks_is_not_reported() {
    let computed = expected("factorial_in_blocks")["anova_computed"].take();
    let table = Table::read("factorial_in_blocks");
    let coded = |heading: &str| {
        table
            .numbers(heading)
            .into_iter()
            .map(|level| 2.0 * level - 1.0)
    };
    let (nitrogen, phosphate, potash) = (
        coded("N").collect::<Vec<_>>(),
        coded("P").collect::<Vec<_>>(),
        coded("K").collect::<Vec<_>>(),
    );
    let study = Study {
        amounts: &["nitrogen", "phosphate", "potash"],
        choices: &["block"],
        response: "yield",
        model: r#"joint = [["nitrogen", "phosphate"], ["nitrogen", "potash"], ["phosphate", "potash"], ["nitrogen", "phosphate", "potash"]]"#,
    };
    let model = study.fit(
        &table
            .with("nitrogen", nitrogen)
            .with("phosphate", phosphate)
            .with("potash", potash),
    );
    let confounded = "nitrogen with phosphate with potash";
    assert!(model.find_term(confounded).is_none());
    assert!(
        model.is_not_separable(confounded),
        "{}",
        model.printed["not_separable"]
    );
    // From −1 to +1 each of the others is one orthogonal column, whose t² is the F of its row of tests.
    let others = [
        ("nitrogen", "N"),
        ("phosphate", "P"),
        ("potash", "K"),
        ("nitrogen with phosphate", "NP"),
        ("nitrogen with potash", "NK"),
        ("phosphate with potash", "PK"),
    ];
    for (name, reference) in others {
        let t = number(model.term(name), "t");
        check_digits(
            &format!("  t² of {name}"),
            t * t,
            number(&computed, &format!("{reference}_F")),
            DIGITS,
        );
    }
}
