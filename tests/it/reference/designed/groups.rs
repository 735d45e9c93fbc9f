//! Does the fit repeat worked comparisons of groups?
//!
//! In: four diets with unequal numbers, three treatments with equal numbers. Out: tests of sums of squares, F,
//! differences from the first level, and adjusted means.
//! This module never compares all pairs; the fit does not print them yet.

use serde_json::Value;

use crate::reference::designed::DIGITS;
use crate::reference::study::{Model, Study, Table, expected};
use crate::support::{check_digits, check_printed, list, member, number};

/// Printed and computed names of the figures of a comparison of groups.
const SUMMARY: [(&str, &str); 5] = [
    ("ss_model", "between_ss"),
    ("ss_residual", "within_ss"),
    ("residual_df", "within_df"),
    ("f", "F"),
    ("f_p", "p"),
];

fn fit(set: &str, group: &str, response: &str) -> Model {
    let study = Study {
        amounts: &[],
        choices: &[group],
        response,
        model: "",
    };
    study.fit(&Table::read(set))
}

/// The only row of tests of a comparison of groups is the comparison itself.
fn check_test(model: &Model, group: &str, computed: &Value) {
    let tests = list(&model.printed, "tests");
    assert_eq!(tests.len(), 1);
    assert_eq!(tests[0]["factor"], group);
    for (key, figure) in [
        ("df", "between_df"),
        ("ss", "between_ss"),
        ("f", "F"),
        ("p", "p"),
    ] {
        check_digits(
            &format!("  {key} of {group}"),
            number(&tests[0], key),
            number(computed, figure),
            DIGITS,
        );
    }
}

fn adjusted_mean<'a>(model: &'a Model, group: &str, level: &str) -> &'a Value {
    member(
        list(&model.printed["adjusted_means"], group),
        "level",
        level,
    )
    .unwrap_or_else(|| panic!("no adjusted mean of `{level}`"))
}

#[test]
fn four_diets_have_their_published_table_and_means() {
    let reference = expected("anova_coagulation");
    let model = fit("anova_coagulation", "diet", "coagulation_time");
    let (published, computed) = (&reference["published"], &reference["anova_computed"]);
    model.check_summary(&SUMMARY, computed, DIGITS);
    check_test(&model, "diet", computed);
    for (key, figure) in [
        ("ss_model", "between_ss"),
        ("ss_residual", "within_ss"),
        ("f", "F"),
    ] {
        check_printed(
            key,
            number(&model.printed, key),
            published[figure].as_str().unwrap(),
        );
    }
    let within_square = number(computed, "within_ms");
    for (level, size) in [("A", 4.0), ("B", 6.0), ("C", 6.0), ("D", 8.0_f64)] {
        let mean = adjusted_mean(&model, "diet", level);
        check_digits(
            level,
            number(mean, "value"),
            number(&published["means"], level),
            DIGITS,
        );
        // With one factor an adjusted mean is the mean of its group; its variance is that of one reading over n.
        check_digits(
            "u",
            number(mean, "u"),
            (within_square / size).sqrt(),
            DIGITS,
        );
    }
    for row in list(&reference, "tukey_computed") {
        let (level, against) = row["pair"].as_str().unwrap().split_once('-').unwrap();
        if against == "A" {
            let term = model.term(&format!("diet: {level}"));
            check_digits(level, number(term, "value"), number(row, "diff"), DIGITS);
        }
    }
}

#[test]
fn three_treatments_have_their_published_table_and_differences() {
    let reference = expected("tukey_three_groups");
    let model = fit("tukey_three_groups", "group", "weight");
    let (published, computed) = (&reference["anova_published"], &reference["anova_computed"]);
    model.check_summary(&SUMMARY, computed, DIGITS);
    check_test(&model, "group", computed);
    for (key, figure) in [
        ("ss_model", "between_ss"),
        ("ss_residual", "within_ss"),
        ("f", "F"),
        ("f_p", "p"),
    ] {
        check_printed(
            key,
            number(&model.printed, key),
            published[figure].as_str().unwrap(),
        );
    }
    for (level, pair) in [("trt1", "trt1-ctrl"), ("trt2", "trt2-ctrl")] {
        let term = model.term(&format!("group: {level}"));
        let published = number(&reference["tukey_published"][pair], "diff");
        check_digits(level, number(term, "value"), published, DIGITS);
        // Ten readings in each of two groups: u² = 2 s² / 10.
        let error = (2.0 * number(computed, "within_ms") / 10.0).sqrt();
        check_digits("u", number(term, "u"), error, DIGITS);
    }
}
