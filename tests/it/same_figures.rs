//! Are the figures of the demo campaigns still those of version 0.1?
//!
//! In: what version 0.1 wrote, in `tests/data/version-0.1/`, and what is written now. Out: a test that names each figure
//! that is another one or gone.
//! This is a comparison with an earlier version alone: it says what has changed, never what is right.

use std::path::Path;

use serde_json::{Value, json};

use crate::routes::demo;
use crate::support::{CampaignFolder, copy_files, data_json, residuum};

/// Figures are written with ten digits; two that are rounded apart differ by one unit of the tenth, at most this part.
const ONE_UNIT_OF_THE_TENTH_DIGIT: f64 = 1.0e-9;

/// A difference that is meant.
struct Intended {
    /// What the paths of these figures begin with, such as `bluestone/settings/at`.
    path: &'static str,
    /// Why the figures are other ones, or gone.
    #[expect(dead_code, reason = "it is for those who read the list")]
    reason: &'static str,
}

/// What version 0.3 means to say otherwise.
const INTENDED: [Intended; 41] = [
    Intended {
        path: "bluestone/models/0/diagnostics/3",
        reason: "lots count as terms where runs are held against their repeats",
    },
    Intended {
        path: "bluestone/models/1/diagnostics/3",
        reason: "lots count as terms where runs are held against their repeats",
    },
    Intended {
        path: "bluestone/recycling/gain_per_run",
        reason: "what charged runs log more of labour counts in the gain, with its ±",
    },
    Intended {
        path: "bluestone/recycling/gain_per_kg",
        reason: "what charged runs log more of labour counts in the gain, with its ±",
    },
    Intended {
        path: "bluestone/recycling/gain_per_campaign",
        reason: "what charged runs log more of labour counts in the gain, with its ±",
    },
    Intended {
        path: "bluestone/recycling/chance_positive",
        reason: "what charged runs log more of labour counts in the gain, with its ±",
    },
    Intended {
        path: "bluestone/recycling/ranking",
        reason: "what charged runs log more of labour counts in the gain, with its ±",
    },
    Intended {
        path: "bluestone/recycling/map",
        reason: "what charged runs log more of labour counts in the gain, with its ±",
    },
    Intended {
        path: "bluestone/recycling/loop",
        reason: "what charged runs log more of labour counts in the gain, with its ±",
    },
    Intended {
        path: "bluestone/recycling/without",
        reason: "what charged runs log more of labour counts in the gain, with its ±",
    },
    Intended {
        path: "bluestone/recycling/settling",
        reason: "what charged runs log more of labour counts in the gain, with its ±",
    },
    Intended {
        path: "bluestone/recycling/runs_to_settle",
        reason: "what charged runs log more of labour counts in the gain, with its ±",
    },
    Intended {
        path: "bluestone/recycling/verdict",
        reason: "what charged runs log more of labour counts in the gain, with its ±",
    },
    Intended {
        path: "bluestone/yields/53",
        reason: "the mistyped residue of B-054 is withheld with its balance",
    },
    Intended {
        path: "bluestone/costs/campaign",
        reason: "what the disposal of a mistyped residue costs is not counted",
    },
    Intended {
        path: "bluestone/costs/runs/53",
        reason: "what the disposal of a mistyped residue costs is not counted",
    },
    Intended {
        path: "bluestone/drift",
        reason: "limits and chances of a flag by luck count the errors that runs share and the spread of lots",
    },
    Intended {
        path: "bluestone/next_runs",
        reason: "runs are spent where they can change a decision",
    },
    Intended {
        path: "bluestone/next_runs_for",
        reason: "widths and chances are means over what the scatter may be",
    },
    Intended {
        path: "iodate/costs/campaign",
        reason: "the ± of a cost holds how runs differ",
    },
    Intended {
        path: "iodate/drift",
        reason: "limits and chances of a flag by luck count the errors that runs share and the spread of lots",
    },
    Intended {
        path: "iodate/next_runs",
        reason: "runs are spent where they can change a decision",
    },
    Intended {
        path: "iodate/next_runs_for",
        reason: "widths and chances are means over what the scatter may be",
    },
    Intended {
        path: "bluestone/models/0/adjusted_means",
        reason: "the error of a mean over lots is that of the spread between lots, where that is estimated as zero",
    },
    Intended {
        path: "bluestone/models/1/adjusted_means",
        reason: "as those of yield",
    },
    Intended {
        path: "bluestone/recycling/break_even",
        reason: "the gain takes up means over lots, and its levels come from a model with their joint effect; scatter is drawn in chances",
    },
    Intended {
        path: "bluestone/recycling/cycles",
        reason: "the gain takes up means over lots, and its levels come from a model with their joint effect; scatter is drawn in chances",
    },
    Intended {
        path: "bluestone/recycling/extra_product/interval",
        reason: "the gain takes up means over lots, and its levels come from a model with their joint effect; scatter is drawn in chances",
    },
    Intended {
        path: "bluestone/recycling/levels",
        reason: "the gain takes up means over lots, and its levels come from a model with their joint effect; scatter is drawn in chances",
    },
    Intended {
        path: "bluestone/recycling/of_promise/interval",
        reason: "the gain takes up means over lots, and its levels come from a model with their joint effect; scatter is drawn in chances",
    },
    Intended {
        path: "bluestone/recycling/specification",
        reason: "the gain takes up means over lots, and its levels come from a model with their joint effect; scatter is drawn in chances",
    },
    Intended {
        path: "bluestone/routes/leads",
        reason: "means over lots, and chances that draw the scatter of new runs",
    },
    Intended {
        path: "bluestone/routes/levels",
        reason: "means over lots, and chances that draw the scatter of new runs",
    },
    Intended {
        path: "bluestone/routes/none_meets",
        reason: "means over lots, and chances that draw the scatter of new runs",
    },
    Intended {
        path: "iodate/routes/leads",
        reason: "chances that draw the scatter of new runs",
    },
    Intended {
        path: "iodate/routes/levels",
        reason: "chances that draw the scatter of new runs",
    },
    Intended {
        path: "iodate/routes/none_meets",
        reason: "chances that draw the scatter of new runs",
    },
    Intended {
        path: "bluestone/settings/chance_spec",
        reason: "what the best of many owes to luck is taken off value, intervals and chance",
    },
    Intended {
        path: "bluestone/settings/present_best",
        reason: "what the best of many owes to luck is taken off value, intervals and chance",
    },
    Intended {
        path: "bluestone/settings/response",
        reason: "what the best of many owes to luck is taken off value, intervals and chance",
    },
    Intended {
        path: "bluestone/settings/stationary/response",
        reason: "what the best of many owes to luck is taken off value, intervals and chance",
    },
];

/// Figures that are another one, and members that are gone, each with its path; what was added is no difference.
fn differences(before: &Value, now: &Value, path: &str, intended: &[Intended]) -> Vec<String> {
    let go_on = |step: &str, before: &Value, now: Option<&Value>| {
        let path = format!("{path}/{step}");
        match now {
            _ if intended.iter().any(|known| is_below(&path, known.path)) => Vec::new(),
            None => vec![format!("{path} is gone")],
            Some(now) => differences(before, now, &path, intended),
        }
    };
    match before {
        Value::Object(members) => members
            .iter()
            .flat_map(|(key, value)| go_on(key, value, now.get(key)))
            .collect(),
        Value::Array(members) => (0..)
            .zip(members)
            .flat_map(|(place, value)| go_on(&place.to_string(), value, now.get(place)))
            .collect(),
        Value::Number(_) if !is_the_same(before, now) => {
            vec![format!("{path}: {now} instead of {before}")]
        }
        _ => Vec::new(),
    }
}

fn is_the_same(before: &Value, now: &Value) -> bool {
    let (Some(was), Some(is)) = (before.as_f64(), now.as_f64()) else {
        return false;
    };
    (is - was).abs() <= ONE_UNIT_OF_THE_TENTH_DIGIT * was.abs()
}

/// Whether a path is another or leads further than it.
fn is_below(path: &str, other: &str) -> bool {
    path.strip_prefix(other)
        .is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}

/// The files of a demo campaign. Version 0.1 took equal blanks of one sample for one blank: they are named as such here.
fn as_meant_then(name: &str) -> CampaignFolder {
    let folder = CampaignFolder::new();
    copy_files(&demo(name), &folder.path().join(name));
    let Ok(log) = std::fs::read_to_string(folder.path().join(name).join("titres.csv")) else {
        return folder;
    };
    let rows: Vec<Vec<&str>> = log
        .lines()
        .skip(1)
        .map(|row| row.split(',').collect())
        .collect();
    let mut titres = format!("{},blank_of\n", log.lines().next().expect("headings"));
    let mut blanks = String::from("blank,titre\n");
    for row in &rows {
        // Run, crop, sample, titrant, titre, blank; a crop that was not titrated has no titre.
        let titrated = |other: &&Vec<&str>| other[..2] == row[..2] && !other[4].is_empty();
        let sample: Vec<&Vec<&str>> = rows.iter().filter(titrated).collect();
        let is_one = sample.len() > 1 && sample.iter().all(|other| other[5] == row[5]);
        let name = format!("{} {}", row[0], row[1]);
        match is_one {
            true => titres.push_str(&format!("{},,{name}\n", row[..5].join(","))),
            false => titres.push_str(&format!("{},\n", row.join(","))),
        }
        if is_one && !blanks.contains(&format!("{name},")) {
            blanks.push_str(&format!("{name},{}\n", row[5]));
        }
    }
    let file = std::fs::read_to_string(folder.path().join(name).join("campaign.toml"));
    let file = file
        .expect("a campaign")
        .replace("[logs]", "[logs]\nblanks = \"blanks.csv\"");
    let at = |file: &str| format!("{name}/{file}");
    folder
        .with(&at("titres.csv"), &titres)
        .with(&at("blanks.csv"), &blanks)
        .with(&at("campaign.toml"), &file)
}

/// What is written now for a demo campaign.
fn result(name: &str) -> Value {
    let place = CampaignFolder::new();
    let campaign = as_meant_then(name);
    let path = |path: &Path| path.to_str().expect("UTF-8").to_string();
    let told = residuum(&[
        "report",
        &path(&campaign.path().join(name)),
        "--out",
        &path(place.path()),
        "--quiet",
    ]);
    assert_eq!(told.exit_code, 0, "{}", told.stderr);
    let file = place.path().join(name).join("result.json");
    let text = std::fs::read_to_string(file).expect("the report has a result");
    serde_json::from_str(&text).expect("JSON")
}

#[test]
fn every_figure_of_the_demo_campaigns_is_that_of_version_0_1() {
    let mut found = Vec::new();
    for name in ["bluestone", "iodate"] {
        let before = data_json(&format!("version-0.1/{name}.json"));
        found.extend(differences(&before, &result(name), name, &INTENDED));
    }
    let count = found.len();
    found.truncate(40);
    assert!(found.is_empty(), "{count} figures:\n{}", found.join("\n"));
}

#[test]
fn a_figure_that_is_another_or_gone_is_found_and_one_that_was_added_is_not() {
    let before = json!({"a": [1.0, {"b": 0.25}], "c": "text", "d": 3});
    let found = |now: &Value, intended: &[Intended]| differences(&before, now, "x", intended);
    let none: [Intended; 0] = [];
    let now = json!({"a": [1.0, {"b": 0.25, "new": 7}, 8.0], "c": "other", "d": 3, "e": 1});
    assert_eq!(found(&now, &none), Vec::<String>::new());
    let now = json!({"a": [1.0, {"b": 0.250000001}], "d": null});
    let expected = [
        "x/a/1/b: 0.250000001 instead of 0.25",
        "x/c is gone",
        "x/d: null instead of 3",
    ];
    assert_eq!(found(&now, &none), expected);
    let intended = [Intended {
        path: "x/a",
        reason: "made up",
    }];
    assert_eq!(
        found(&json!({"c": 1, "d": 3}), &intended),
        Vec::<String>::new()
    );
    let expected = ["x/a/0 is gone", "x/a/1 is gone"];
    assert_eq!(found(&json!({"a": 1, "c": 1, "d": 3}), &none), expected);
}
