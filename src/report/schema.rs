//! JSON Schemas: of the campaign file from the declaration of its keys, of `result.json` as it is kept here.
//!
//! In: nothing. Out: a schema as text.
//! This module never reads a campaign.

use serde_json::{Map, Value, json};

use crate::campaign::{KEYS, Key, KeyHolds};

/// The dialect that both schemas are written in.
const DIALECT: &str = "https://json-schema.org/draft/2020-12/schema";

/// The schema of `result.json` and of what `--json` prints.
const RESULT: &str = include_str!("result.schema.json");

/// The JSON Schema of `result.json`, and of what each call prints with `--json`.
///
/// # Source
/// JSON Schema 2020-12.
pub fn of_results() -> &'static str {
    RESULT
}

/// The JSON Schema of the campaign file.
///
/// # Source
/// JSON Schema 2020-12; TOML 1.0 for what a file holds: its tables are objects.
pub fn of_campaigns() -> String {
    let mut schema = table("");
    schema.insert("$schema".into(), json!(DIALECT));
    schema.insert("title".into(), json!("Campaign file of residuum"));
    let text = serde_json::to_string_pretty(&Value::Object(schema));
    text.unwrap_or_default() + "\n"
}

/// The keys of a table, and the tables below it.
fn table(path: &str) -> Map<String, Value> {
    let mut properties = Map::new();
    let mut others = json!(false);
    let mut put = |name: &str, holds: Value| match name {
        "*" => others = holds,
        name => {
            properties.insert(name.to_string(), holds);
        }
    };
    for key in KEYS.iter().filter(|key| key.table == path) {
        put(key.name, of_key(key));
    }
    for name in tables_below(path) {
        let below = joined(path, name);
        let is_declared = KEYS.iter().any(|key| key.table == path && key.name == name);
        if !is_declared {
            put(name, Value::Object(table(&below)));
        }
    }
    let mut schema = Map::new();
    schema.insert("type".into(), json!("object"));
    if !properties.is_empty() {
        schema.insert("properties".into(), Value::Object(properties));
    }
    schema.insert("additionalProperties".into(), others);
    schema
}

/// Names of the tables right below one, each once, in the order in which they are declared.
fn tables_below(path: &str) -> Vec<&'static str> {
    let mut names: Vec<&str> = Vec::new();
    for key in KEYS {
        let below = match path {
            "" => Some(key.table),
            path => {
                let rest = key.table.strip_prefix(path);
                rest.and_then(|rest| rest.strip_prefix('.'))
            }
        };
        if let Some(name) = below.and_then(|below| below.split('.').next())
            && !names.contains(&name)
        {
            names.push(name);
        }
    }
    names
}

fn joined(path: &str, name: &str) -> String {
    match path {
        "" => name.to_string(),
        path => format!("{path}.{name}"),
    }
}

fn of_key(key: &Key) -> Value {
    let texts = json!({ "type": "array", "items": { "type": "string" } });
    let mut schema = match key.holds {
        KeyHolds::Text | KeyHolds::Formula => json!({ "type": "string" }),
        KeyHolds::Path | KeyHolds::Texts => json!({ "anyOf": [{ "type": "string" }, texts] }),
        KeyHolds::List => json!({ "type": "array" }),
        KeyHolds::Number(low, high) => number(low, high),
        KeyHolds::Whole(least) => json!({ "type": "integer", "minimum": least }),
        KeyHolds::Truth => json!({ "type": "boolean" }),
        KeyHolds::Words(words) => json!({ "enum": words }),
        KeyHolds::Quantity(_) | KeyHolds::Price(_) => json!({ "type": ["string", "number"] }),
        KeyHolds::Table => json!({}),
    };
    let below = joined(key.table, key.name);
    let has_keys = KEYS
        .iter()
        .any(|other| other.table == below || other.table.starts_with(&format!("{below}.")));
    schema = match (key.holds, has_keys) {
        (KeyHolds::Table, true) => Value::Object(table(&below)),
        (KeyHolds::Table, false) => json!({ "type": "object" }),
        (_, true) => json!({ "anyOf": [schema, table(&below)] }),
        (_, false) => schema,
    };
    if let Some(of) = schema.as_object_mut() {
        of.insert("description".into(), json!(described(key)));
        if let Some(usual) = key
            .usual
            .filter(|_| matches!(key.holds, KeyHolds::Number(..) | KeyHolds::Whole(_)))
        {
            of.insert("default".into(), json!(usual));
        }
    }
    schema
}

/// Ends that no figure of a campaign comes near are none.
const FAR: f64 = 1e15;

fn number(low: f64, high: f64) -> Value {
    let mut schema = json!({ "type": "number" });
    let ends = [("minimum", low), ("maximum", high)];
    for (name, end) in ends.into_iter().filter(|(_, end)| end.abs() < FAR) {
        schema[name] = json!(end);
    }
    schema
}

fn described(key: &Key) -> String {
    let unit = match (key.unit, key.holds) {
        ("", KeyHolds::Price(per)) => format!(" per {per}"),
        ("", _) => String::new(),
        ("1", _) => " (a fraction)".to_string(),
        (unit, _) => format!(" [{unit}]"),
    };
    format!("{}{unit}", key.meaning)
}
