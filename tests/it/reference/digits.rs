//! How many digits of each certified set does the fit reach, and does the documentation say so?
//!
//! In: the six linear and the four one-way sets of the Statistical Reference Datasets (National Institute of Standards
//! and Technology, public domain). Out: the table "Digits reached" of `DEVELOPERS.md`, printed and compared.
//! This module never compares with anything but certified values.

use serde_json::Value;

use crate::reference::study::{Model, Study, Table, expected};
use crate::support::{matching_digits, number};

/// Whole digits asked of every linear set: of the 15 that are certified, what is left after the last roundings of
/// binary64 in long sums.
const LINEAR: u32 = 12;

/// Whole digits asked of one-way sets with few constant digits: readings in binary64 hold 13 of the certified sums, and
/// one is left to the arithmetic.
const FEW_CONSTANT: u32 = 12;

/// The readings of SmLs04, 1000000.4 and the like, hold 10.0 digits of the certified sums in binary64 (found with
/// exact fractions of the rounded readings); one digit is left to the arithmetic.
const SEVEN_CONSTANT: u32 = 9;

/// The readings of SmLs07, 1000000000000.4 and the like, hold 4.0 digits, found in the same way; one is left.
const THIRTEEN_CONSTANT: u32 = 3;

const DOCUMENT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/DEVELOPERS.md");
const HEADING: &str = "## Digits reached";
const COLUMNS: &str = "| Set | Values | Standard errors | Figures of the whole | Asked |";

/// Printed and certified names of the figures of a whole regression.
const OF_A_REGRESSION: [(&str, &str); 5] = [
    ("residual_sd", "residual_sd"),
    ("r_squared", "r_squared"),
    ("ss_model", "regression_ss"),
    ("ss_residual", "residual_ss"),
    ("f", "F"),
];

/// The same of a comparison of groups.
const OF_GROUPS: [(&str, &str); 5] = [
    ("residual_sd", "residual_sd"),
    ("r_squared", "r_squared"),
    ("ss_model", "between_ss"),
    ("ss_residual", "within_ss"),
    ("f", "F"),
];

/// A certified set with the model that is certified for it.
struct Certified {
    name: &'static str,
    amounts: &'static [&'static str],
    model: &'static str,
    terms: &'static [(&'static str, &'static str)],
    asked: u32,
}

const POWERS: [(&str, &str); 6] = [
    ("constant", "B0"),
    ("x", "B1"),
    ("x to the 2", "B2"),
    ("x to the 3", "B3"),
    ("x to the 4", "B4"),
    ("x to the 5", "B5"),
];

const SETS: [Certified; 10] = [
    linear("Norris", "", POWERS.split_at(2).0),
    linear("Pontius", "curved = { x = 2 }", POWERS.split_at(3).0),
    linear("NoInt1", "constant = false", &[("x", "B1")]),
    Certified {
        amounts: &["x1", "x2", "x3", "x4", "x5", "x6"],
        ..linear(
            "Longley",
            "",
            &[
                ("constant", "B0"),
                ("x1", "B1"),
                ("x2", "B2"),
                ("x3", "B3"),
                ("x4", "B4"),
                ("x5", "B5"),
                ("x6", "B6"),
            ],
        )
    },
    linear("Wampler1", "curved = { x = 5 }", &POWERS),
    linear("Wampler4", "curved = { x = 5 }", &POWERS),
    one_way("SiRstv", FEW_CONSTANT),
    one_way("SmLs01", FEW_CONSTANT),
    one_way("SmLs04", SEVEN_CONSTANT),
    one_way("SmLs07", THIRTEEN_CONSTANT),
];

const fn linear(
    name: &'static str,
    model: &'static str,
    terms: &'static [(&'static str, &'static str)],
) -> Certified {
    Certified {
        name,
        amounts: &["x"],
        model,
        terms,
        asked: LINEAR,
    }
}

const fn one_way(name: &'static str, asked: u32) -> Certified {
    Certified {
        name,
        amounts: &[],
        model: "",
        terms: &[],
        asked,
    }
}

/// The fewest digits that agree, of each kind of figure; None where the set certifies none of that kind.
struct Reached {
    values: Option<f64>,
    standard_errors: Option<f64>,
    whole: Option<f64>,
}

impl Certified {
    fn reached(&self) -> Reached {
        let groups = self.amounts.is_empty();
        let kind = if groups { "anova" } else { "lls" };
        let file = format!("nist_{kind}_{}", self.name);
        let study = Study {
            amounts: self.amounts,
            choices: if groups { &["treatment"] } else { &[] },
            response: "y",
            model: self.model,
        };
        let model = study.fit(&Table::read(&file));
        let certified = expected(&file);
        let of_terms = |key: &str, prefix: &str| {
            fewest(self.terms.iter().map(|(term, parameter)| {
                digits(
                    &certified,
                    &format!("{prefix}{parameter}"),
                    number(model.term(term), key),
                )
            }))
        };
        Reached {
            values: of_terms("value", ""),
            standard_errors: of_terms("u", "sd_"),
            whole: of_the_whole(
                if groups { OF_GROUPS } else { OF_A_REGRESSION },
                &model,
                &certified,
            ),
        }
    }
}

fn digits(certified: &Value, key: &str, actual: f64) -> f64 {
    matching_digits(actual, number(certified, key))
}

fn of_the_whole(figures: [(&str, &str); 5], model: &Model, certified: &Value) -> Option<f64> {
    fewest(figures.into_iter().filter_map(|(printed, published)| {
        if certified[published] == "Infinity" {
            // A perfect fit has no ratio of mean squares, and none is printed.
            assert!(model.printed[printed].is_null());
            return None;
        }
        Some(digits(
            certified,
            published,
            number(&model.printed, printed),
        ))
    }))
}

fn fewest(digits: impl Iterator<Item = f64>) -> Option<f64> {
    digits.min_by(f64::total_cmp)
}

/// The table, a row a set.
fn table(sets: &[(&Certified, Reached)]) -> Vec<String> {
    let whole = |digits: Option<f64>| {
        digits.map_or("none certified".to_string(), |digits| {
            format!("{}", digits.floor())
        })
    };
    let rows = sets.iter().map(|(set, reached)| {
        format!(
            "| {} | {} | {} | {} | {} |",
            set.name,
            whole(reached.values),
            whole(reached.standard_errors),
            whole(reached.whole),
            set.asked
        )
    });
    let rule = "| --- | ---: | ---: | ---: | ---: |".to_string();
    [COLUMNS.to_string(), rule]
        .into_iter()
        .chain(rows)
        .collect()
}

/// The rows of the table under the heading of this name.
fn documented() -> Vec<String> {
    let text = std::fs::read_to_string(DOCUMENT).expect("DEVELOPERS.md");
    let section = text.split_once(HEADING).expect("a section on digits").1;
    section
        .lines()
        .skip_while(|line| !line.starts_with('|'))
        .take_while(|line| line.starts_with('|'))
        .map(str::to_string)
        .collect()
}

#[test]
fn the_documentation_says_how_many_digits_of_each_certified_set_are_reached() {
    let sets: Vec<(&Certified, Reached)> = SETS.iter().map(|set| (set, set.reached())).collect();
    let table = table(&sets);
    println!("{}", table.join("\n"));
    for (set, reached) in &sets {
        for reached in [reached.values, reached.standard_errors, reached.whole] {
            assert!(
                reached.is_none_or(|digits| digits >= f64::from(set.asked)),
                "{}: {reached:?}",
                set.name
            );
        }
    }
    assert_eq!(documented(), table);
}
