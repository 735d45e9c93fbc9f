//! Do effects and variances agree with restricted likelihood worked out elsewhere?
//!
//! In: `tests/data/together.json` by `tests/check-scripts/together.py`. Out: tests of every effect and standard deviation.
//! This module never takes a figure from the program.

use serde_json::Value;

use super::{CAMPAIGN, together};
use crate::support::{check_digits, data, data_json, list, member, number};

/// Digits asked: both sides solve for the variances until they stand still, in binary64.
const DIGITS: f64 = 8.0;

fn check(what: &str, found: &Value, expected: &Value) {
    let model = &list(found, "models")[0];
    for (term, value) in expected["terms"].as_object().expect("terms") {
        let own = member(list(model, "terms"), "term", term);
        let own = own.unwrap_or_else(|| panic!("{what}: no term `{term}`"));
        let value = value.as_f64().expect("a number");
        check_digits(
            &format!("{what}, {term}"),
            number(own, "value"),
            value,
            DIGITS,
        );
    }
    for (part, sd) in expected["sd"].as_object().expect("variances") {
        let own = member(list(model, "variance_components"), "name", part);
        let own = own.unwrap_or_else(|| panic!("{what}: nothing scatters by `{part}`"));
        let sd = sd.as_f64().expect("a number");
        check_digits(&format!("{what}, {part}"), number(own, "sd"), sd, DIGITS);
    }
}

#[test]
fn a_published_experiment_in_blocks_agrees_with_restricted_likelihood() {
    // Yates 1937: six blocks of four plots, each block a campaign.
    let text = data("factorial_in_blocks.csv");
    let rows: Vec<Vec<&str>> = text
        .lines()
        .skip(1)
        .map(|row| row.split(',').collect())
        .collect();
    let of_block = |block: &str| {
        let rows = rows.iter().filter(|row| row[0] == block).enumerate();
        let rows = rows.map(|(plot, row)| format!("P{plot},{}\n", row[1..].join(",")));
        format!("run,N,P,K,peas\n{}", rows.collect::<String>())
    };
    let amount = |name: &str| format!("[factors.{name}]\nkind = \"amount\"\n");
    let file = |block: &str| {
        let factors = ["N", "P", "K"].map(amount).concat();
        format!(
            "[campaign]\ntitle = \"block {block}\"\n[logs]\nruns = \"runs.csv\"\n[responses.peas]\n{factors}[model]\nresponses = [\"peas\"]\neffects = [\"N\", \"P\", \"K\"]\njoint = [[\"N\", \"K\"]]\n"
        )
    };
    let blocks = ["1", "2", "3", "4", "5", "6"];
    let campaigns = blocks.map(|block| (file(block), of_block(block)));
    let found = together(&campaigns, &[]);
    check("npk", &found, &data_json("together.json")["npk"]);
}

#[test]
fn campaigns_with_lots_agree_with_restricted_likelihood() {
    let expected = data_json("together.json")["invented"].take();
    let rows = list(&expected, "rows");
    let campaigns = ["C1", "C2", "C3", "C4"].map(|campaign| {
        let mut text = String::from("run,lot,heating,excess,crystals\n");
        let own = rows.iter().filter(|row| row[0] == campaign).enumerate();
        for (run, row) in own {
            let word = |place: usize| row[place].as_str().expect("a word");
            text += &format!("R{run},{},{},{},{}\n", word(1), word(2), row[3], row[4]);
        }
        (CAMPAIGN.replace("TITLE", campaign), text)
    });
    check("invented", &together(&campaigns, &[]), &expected);
}
