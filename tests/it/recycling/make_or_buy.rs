//! Is it said whether to make the product or to buy it, and where that turns?
//!
//! In: bluestone with other prices, whole or of one run. Out: tests of what is said and settled.
//! This module never works out a cost: `reference/recycling_gain.rs` does.

use serde_json::Value;

use super::labour::edited;
use crate::support::{CampaignFolder, check_digits, list, member, number, residuum, residuum_json};

/// Digits of a quotient of two figures of the result.
const DIGITS: f64 = 12.0;

fn told(folder: &CampaignFolder) -> (Value, Value) {
    let mut result = residuum_json("report", folder.path());
    let answer = member(list(&result, "answers"), "question", "9").expect("answer 9");
    let answer = answer.clone();
    (answer, result["costs"]["campaign"]["make_or_buy"].take())
}

#[test]
fn with_its_delivery_buying_costs_less_from_some_quantity_on() {
    let with = "product = \"18 /kg\"\ndelivery = \"60 /order\"";
    let (answer, choice) = told(&edited(&[("product = \"18 /kg\"", with)]));
    let dearer = number(&choice["with_labour"]["more_than_buying"], "value");
    // 60 an order over what a gram costs more to make, in kilograms.
    let quantity = &choice["quantity"];
    check_digits("quantity", number(quantity, "value"), 0.06 / dearer, DIGITS);
    let ends = list(&choice["with_labour"]["more_than_buying"], "interval");
    let ends: Vec<f64> = ends.iter().filter_map(Value::as_f64).collect();
    let found: Vec<f64> = list(quantity, "interval")
        .iter()
        .filter_map(Value::as_f64)
        .collect();
    check_digits("low", found[0], 0.06 / ends[1], DIGITS);
    check_digits("high", found[1], 0.06 / ends[0], DIGITS);
    let headline = answer["headline"].as_str().expect("a headline");
    assert!(
        headline.contains("buy it; without own labour"),
        "{headline}"
    );
}

#[test]
fn a_price_within_the_interval_leaves_the_choice_open() {
    let edits = [("product = \"18 /kg\"", "product = \"48 /kg\"")];
    let (answer, choice) = told(&edited(&edits));
    assert_eq!(choice["with_labour"]["choice"], "not settled");
    assert_eq!(choice["without_labour"]["choice"], "make");
    assert_ne!(answer["status"], "settled");
}

#[test]
fn a_price_of_bought_product_that_is_as_doubtful_leaves_it_open_too() {
    let edits = [("product = \"18 /kg\"", "product = \"18 ± 20 /kg\"")];
    let (_, choice) = told(&edited(&edits));
    assert_eq!(choice["with_labour"]["choice"], "not settled");
    // One chance more to be settled: of what buying cannot cost more than.
    let half = |price: &str| {
        let (_, choice) = told(&edited(&[("product = \"18 /kg\"", price)]));
        number(&choice["with_labour"]["more_than_buying"], "u")
    };
    let [sure, doubtful] = ["product = \"18 /kg\"", "product = \"18 ± 3 /kg\""].map(half);
    // The price is known to 3 a kilogram by itself.
    let sum = (sure * sure + 0.003 * 0.003).sqrt();
    check_digits("u", doubtful, sum, DIGITS);
}

#[test]
fn a_delivery_that_is_no_price_of_an_order_is_told() {
    for (line, told) in [
        ("delivery = \"15\"", "what it is per"),
        ("delivery = \"15 /kg\"", "it is counted per order"),
        ("delivery = \"15,5 /order\"", "use a decimal point"),
        ("delivery = \"\"", "what it is per"),
        ("delivery = 15", "prices.delivery"),
        ("delivry = \"15 /order\"", "did you mean `delivery`?"),
    ] {
        let with = format!("product = \"18 /kg\"\n{line}");
        let folder = edited(&[("product = \"18 /kg\"", &with)]);
        let outcome = residuum(&["check".as_ref(), folder.path().as_os_str()]);
        let said = outcome.stdout + &outcome.stderr;
        assert_ne!(outcome.exit_code, 0, "{line}");
        assert!(said.contains(told), "{line}: {said}");
    }
}

#[test]
fn as_long_as_something_is_not_counted_making_is_never_called_cheaper() {
    let without = ("oxidant = \"3.10 /kg\"\n", "");
    let price = ("product = \"18 /kg\"", "product = \"90 /kg\"");
    let (_, counted) = told(&edited(&[price]));
    assert_eq!(counted["with_labour"]["choice"], "make");
    let (_, choice) = told(&edited(&[without, price]));
    assert_eq!(choice["with_labour"]["choice"], "not settled");
    assert_eq!(choice["without_labour"]["choice"], "not settled");
    assert!(choice["hours"].is_null());
    // What costs more already costs more still with all of it.
    let (_, dear) = told(&edited(&[without]));
    assert_eq!(dear["with_labour"]["choice"], "buy");
}
