//! Does the schema of results name all that results hold, and is each key of README in that of campaigns?
//!
//! In: the schemas, results, README. Out: tests of names; `tests/schema/check.py` has a library check types and refusals.
//! This module never takes the schema's word for what a result holds.

use std::path::Path;

use serde_json::Value;

use crate::support::residuum;

fn schema(of: &str) -> Value {
    let outcome = residuum(&["schema", of]);
    assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
    outcome.json()
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Keys of a value that its schema does not name.
fn unnamed(schema: &Value, all: &Value, value: &Value, path: &str, found: &mut Vec<String>) {
    let schema = match schema["$ref"].as_str() {
        Some(place) => all.pointer(place.trim_start_matches('#')).expect("a place"),
        None => schema,
    };
    if let Some(forms) = schema["anyOf"].as_array() {
        let kind = |form: &&Value| match value {
            Value::Object(_) => form.get("properties").is_some(),
            Value::Array(_) => form.get("items").is_some(),
            _ => false,
        };
        if let Some(form) = forms.iter().find(kind) {
            unnamed(form, all, value, path, found);
        }
        return;
    }
    match value {
        Value::Object(entries) => {
            for (key, entry) in entries {
                let path = format!("{path}.{key}");
                let others = &schema["additionalProperties"];
                match schema["properties"].get(key) {
                    Some(below) => unnamed(below, all, entry, &path, found),
                    None if others.is_object() => unnamed(others, all, entry, &path, found),
                    // What changed since last time is not spelt out.
                    None if schema["properties"].is_null() => {}
                    None => found.push(path),
                }
            }
        }
        Value::Array(entries) => {
            for entry in entries {
                unnamed(&schema["items"], all, entry, path, found);
            }
        }
        _ => {}
    }
}

#[test]
fn every_key_of_a_result_is_named_in_the_schema() {
    let schema = schema("result");
    let look = |what: &str, result: &Value| {
        let mut found = Vec::new();
        unnamed(&schema, &schema, result, "", &mut found);
        assert!(found.is_empty(), "{what}: {found:?}");
    };
    for name in ["bluestone", "iodate"] {
        let path = root().join("reports").join(name).join("result.json");
        let text = std::fs::read_to_string(path).expect("a result");
        look(name, &serde_json::from_str(&text).expect("JSON"));
    }
    for call in [
        "yields", "fit", "routes", "recycle", "settings", "next", "drift",
    ] {
        for name in ["bluestone", "iodate"] {
            let campaign = root().join("data-demo").join(name);
            let campaign = campaign.to_str().expect("UTF-8");
            let outcome = residuum(&[call, campaign, "--json", "--quiet"]);
            look(&format!("{call} {name}"), &outcome.json());
        }
    }
}

#[test]
fn the_table_of_keys_in_readme_has_the_keys_of_the_schema() {
    let schema = schema("campaign");
    let readme = std::fs::read_to_string(root().join("README.md")).expect("README");
    let rows = readme.lines().filter(|line| line.starts_with("| `["));
    let mut tables = 0;
    for row in rows {
        let cells: Vec<&str> = row.split(" | ").collect();
        let table = cells[0].trim_start_matches("| `[").trim_end_matches("]`");
        let mut of = &schema;
        for name in table.split('.') {
            let own = name.chars().all(|c| c.is_ascii_uppercase());
            of = match own {
                true => &of["additionalProperties"],
                false => &of["properties"][name],
            };
        }
        let text = of.to_string();
        let named: Vec<&str> = cells[1].split('`').skip(1).step_by(2).collect();
        for key in named {
            let key = key.split([' ', '=']).next().unwrap_or_default();
            let is_there = key == "NAME" || text.contains(&format!("\"{key}\":"));
            assert!(is_there, "`{key}` of [{table}] is not in the schema");
        }
        let keys = of["properties"].as_object().into_iter().flatten();
        for (key, _) in keys.filter(|_| table != "uncertainty") {
            assert!(
                cells[1].contains(key.as_str()),
                "README lacks `{key}` of [{table}]"
            );
        }
        tables += 1;
    }
    let all = schema["properties"].as_object().expect("tables").len();
    assert_eq!(tables, all, "tables of README and of the schema");
}
