//! Does it matter how a campaign calls its own responses?
//!
//! In: the demo, with its filtering time under names that residuum has a meaning for. Out: tests that residue, routes and
//! settings are answered as they are when it is called `mess`.
//! This module never looks at the figures of that response itself.

use serde_json::Value;

use crate::demo::committed;
use crate::support::{CampaignFolder, residuum_json};

/// A name that means nothing to residuum.
const PLAIN: &str = "mess";

/// Names of models that only decisions need, of what `[aim]` can mean, and of a model of yield with something behind it.
const TELLING: [&str; 6] = [
    "residue left",
    "cost of further reagents",
    "cost",
    "labour",
    "gain",
    "yield of lot A",
];

/// What the campaign asks of its own response.
#[derive(Clone, Copy)]
enum Asked {
    /// Nothing: it is declared and no more.
    Nothing,
    /// A model of it.
    Model,
    /// That it be as small as can be, with a difference that does not matter.
    Aim,
}

/// The answers of the demo with its own response under this name, and every mention of the name made plain.
fn answers(name: &str, asked: Asked) -> [Value; 3] {
    let folder = CampaignFolder::copy_of(&committed("bluestone"));
    let text = std::fs::read_to_string(folder.path().join("campaign.toml")).expect("a campaign");
    let text = text.replace(
        "[responses.filter_time]",
        &format!("[responses.\"{name}\"]"),
    );
    // At this price the gain is firm.
    let text = text.replace("product = \"18 /kg\"", "product = \"36 /kg\"");
    let text = match asked {
        Asked::Nothing => text,
        Asked::Model => text.replace(
            "responses = [\"yield\", \"purity\"]",
            &format!("responses = [\"yield\", \"purity\", \"{name}\"]"),
        ),
        Asked::Aim => text
            .replace("maximise = \"yield\"", &format!("minimise = \"{name}\""))
            .replace(
                "margin = { yield = 0.02,",
                &format!("margin = {{ \"{name}\" = 2.5,"),
            ),
    };
    let folder = folder.with("campaign.toml", &text);
    let whole = residuum_json("report", folder.path());
    ["recycling", "routes", "settings"].map(|question| {
        assert!(!whole[question].is_null(), "no `{question}`");
        plainly(&whole[question], name)
    })
}

/// The same with the plain name wherever the whole text is the name.
fn plainly(value: &Value, name: &str) -> Value {
    match value {
        Value::String(text) if text == name => PLAIN.into(),
        Value::Array(items) => items.iter().map(|item| plainly(item, name)).collect(),
        Value::Object(object) => Value::Object(
            object
                .iter()
                .map(|(key, item)| (key.clone(), plainly(item, name)))
                .collect(),
        ),
        other => other.clone(),
    }
}

/// Panics where an answer hangs on the name.
fn check(asked: Asked) {
    let plain = answers(PLAIN, asked);
    assert_eq!(plain[0]["verdict"], "pays");
    for name in TELLING {
        for (told, expected) in answers(name, asked).iter().zip(&plain) {
            assert_eq!(told, expected, "with a response called `{name}`");
        }
    }
}

#[test]
fn a_declared_response_never_stands_for_what_only_decisions_need() {
    check(Asked::Nothing);
}

#[test]
fn a_modelled_response_never_stands_for_what_only_decisions_need() {
    check(Asked::Model);
}

#[test]
fn an_aim_means_the_response_of_exactly_that_name() {
    check(Asked::Aim);
    let [_, routes, settings] = answers("cost", Asked::Aim);
    for aim in [&routes["aim"], &settings["aim"]] {
        assert_eq!(aim["unit"], "min", "the filtering time is aimed at");
        assert_eq!(aim["margin"], 2.5);
    }
}
