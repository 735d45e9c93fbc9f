//! Does any answer of the program propose, recommend or plan what is forbidden?
//!
//! In: an invented campaign with random bans. Out: a test over all that the program proposes.
//! This module never checks whether an answer is right.

use residuum::seeded::Seeded;
use serde_json::Value;

use super::bans::{At, Ban, Named, Of, below};
use crate::support::{CampaignFolder, Outcome, list, residuum};

/// With the 1,940 of `planned.rs` these are 2,000.
const CAMPAIGNS: u64 = 60;
const SEED: u64 = 1313;

const HEATING: &[&str] = &["muffle", "hob", "kiln"];
const ROUTE: &[&str] = &["chill", "boil"];
const LOT: &[&str] = &["A", "B", "D"];

const CAMPAIGN: &str = r#"[campaign]
title = "Copper oxide with forbidden settings"
product = "CuO"
followed = "Cu"
assay_as = "CuO"
purity_spec = 0.97

[logs]
runs = "runs.csv"

[factors.heating]
kind = "choice"

[factors.soak]
kind = "amount"
unit = "min"
low = 20
high = 95

[factors.route]
kind = "choice"
stands_for = "route"

[factors.residue_ratio]
kind = "amount"
low = 0
high = 0.5
stands_for = "residue"

[model]
responses = ["yield", "purity"]
effects = ["heating", "soak", "route", "residue_ratio"]
joint = [["heating", "route"]]
curved = { soak = 2 }

[uncertainty]
feed_mass = "0.1 g"
residue_mass = "0.1 g"
crop_mass = "0.01 g"
feed_assay = "0.002"
residue_assay = "0.002"
purity = "0.0005"

[prices]
product = "200 /kg"
feed = "5 /kg"
labour = "20 /h"
residue_handling = "3 min/run"

[aim]
maximise = "yield"
margin = { yield = 0.02 }

[limits]
never = [NEVER]
"#;

fn factors() -> Vec<Named> {
    vec![
        ("heating", Of::Choice(HEATING)),
        ("soak", Of::Amount(20.0, 95.0)),
        ("route", Of::Choice(ROUTE)),
        ("residue_ratio", Of::Amount(0.0, 0.5)),
        ("lot", Of::Choice(LOT)),
    ]
}

/// Thirty-five runs, of which those in the kiln are on lot D, and those on lot D in the kiln.
fn log(random: &mut Seeded) -> String {
    let mut text = "run,lot,heating,soak,route,feed_mass,feed_assay,residue_mass,residue_assay,crop1_mass,purity,labour\n".to_string();
    for run in 0..35 {
        let (heating, lot) = match run % 7 {
            6 => (2, 2),
            _ => (below(random, 2), below(random, 2)),
        };
        let soak = [20.0, 45.0, 70.0, 95.0][below(random, 4)];
        let route = below(random, 2);
        let residue = [0.0, 20.0, 40.0, 0.0, 50.0][below(random, 5)];
        let theory = 80.0 + 0.4 * residue;
        let bend = (soak - 60.0) / 75.0;
        let share = 0.72 - 0.05 * heating as f64 + 0.03 * route as f64 - 0.1 * bend * bend;
        let share = share - 0.0004 * residue + 0.01 * random.normal();
        let purity = 0.985 - 0.006 * route as f64 + 0.002 * random.normal();
        text.push_str(&format!(
            "R{run:02},{},{},{soak},{},100,0.80,{residue},0.40,{:.4},{purity:.5},60\n",
            LOT[lot],
            HEATING[heating],
            ROUTE[route],
            share * theory / purity,
        ));
    }
    text
}

fn called(arguments: &[&str], folder: &CampaignFolder) -> Outcome {
    let path = folder.path().display().to_string();
    let out = folder.path().join("out").display().to_string();
    let mut all = vec![arguments[0], path.as_str(), "--out", out.as_str()];
    all.extend(&arguments[1..]);
    residuum(&all)
}

/// Settings of an object of JSON.
fn settings(object: &Value) -> Vec<(String, At)> {
    let each = object.as_object().into_iter().flatten();
    let at = |value: &Value| match value {
        Value::String(level) => At::Level(level.clone()),
        number => At::Amount(number.as_f64().expect("a number")),
    };
    each.map(|(name, value)| (name.clone(), at(value)))
        .collect()
}

/// All settings that a sentence such as "a run with `heating: kiln` and `lot` at A or B" leaves to choose from.
fn told(sentence: &str) -> Vec<Vec<(String, At)>> {
    let pieces: Vec<&str> = sentence.split('`').collect();
    let mut all: Vec<Vec<(String, At)>> = vec![Vec::new()];
    for pair in pieces[1..].chunks(2) {
        let (name, rest) = (pair[0], pair.get(1).copied().unwrap_or_default());
        let alternatives: Vec<(String, At)> = if let Some((factor, level)) = name.split_once(": ") {
            vec![(factor.to_string(), At::Level(level.to_string()))]
        } else if let Some(values) = rest.strip_prefix(" at ") {
            let values = values.trim_end_matches(" and ").replace(" or ", ", ");
            let values = values.split(", ").filter(|value| !value.is_empty());
            let at = |value: &str| match value.parse() {
                Ok(number) => At::Amount(number),
                Err(_) => At::Level(value.to_string()),
            };
            values.map(|value| (name.to_string(), at(value))).collect()
        } else {
            continue;
        };
        all = all
            .iter()
            .flat_map(|before| {
                let with =
                    |one: &(String, At)| [before.as_slice(), std::slice::from_ref(one)].concat();
                alternatives.iter().map(with).collect::<Vec<_>>()
            })
            .collect();
    }
    all
}

/// Everything that one report and the lines for the log propose, each with where it stands.
fn proposed(folder: &CampaignFolder) -> Vec<(&'static str, Vec<(String, At)>)> {
    let report = called(&["report", "--json", "--quiet"], folder).json();
    let mut all = vec![("settings", settings(&report["settings"]["at"]))];
    let present = &report["settings"]["present_best"]["at"];
    all.push(("the best of the runs made", settings(present)));
    for run in report["next_runs"].as_array().into_iter().flatten() {
        let mut at = settings(&run["settings"]);
        if let Some(lot) = run["lot"].as_str() {
            at.push(("lot".into(), At::Level(lot.into())));
        }
        all.push(("next_runs", at));
    }
    for model in list(&report, "models") {
        for group in list(model, "not_separable") {
            for sentence in list(group, "runs_that_would_separate") {
                let sentence = sentence.as_str().expect("a sentence");
                let told = told(sentence).into_iter();
                all.extend(told.map(|at| ("not_separable", at)));
            }
        }
    }
    let route = report["routes"]["best"].as_str();
    all.extend(route.map(|best| ("routes", vec![("route".into(), At::Level(best.into()))])));
    let ratio = report["recycling"]["ratio"].as_f64();
    all.extend(ratio.map(|ratio| {
        (
            "recycling",
            vec![("residue_ratio".into(), At::Amount(ratio))],
        )
    }));
    for level in report["recycling"]["levels"]
        .as_array()
        .into_iter()
        .flatten()
    {
        let factor = level["factor"].as_str().expect("a factor").to_string();
        let at = level["level"].as_str().expect("a level").to_string();
        let ratio = ("residue_ratio".into(), At::Amount(ratio.expect("a ratio")));
        all.push(("recycling by level", vec![(factor, At::Level(at)), ratio]));
    }
    let lines = called(&["next", "--csv", "--quiet"], folder).stdout;
    let mut lines = lines
        .lines()
        .map(|line| line.split(',').collect::<Vec<_>>());
    let heads = lines.next().unwrap_or_default();
    for line in lines {
        let cells = heads.iter().zip(line).filter(|(_, cell)| !cell.is_empty());
        let at = cells.filter_map(|(head, cell)| {
            let at = match *head {
                "soak" => At::Amount(cell.parse().expect("a number")),
                "lot" | "heating" | "route" => At::Level(cell.to_string()),
                _ => return None,
            };
            Some((head.to_string(), at))
        });
        all.push(("lines for the log", at.collect()));
    }
    all
}

#[test]
fn no_answer_of_the_program_proposes_what_is_forbidden() {
    let mut random = Seeded::stream(SEED, 2);
    let log = log(&mut random);
    let mut seen = std::collections::BTreeMap::<&str, usize>::new();
    for _ in 0..CAMPAIGNS {
        let bans: Vec<Ban> = (0..=below(&mut random, 4))
            .map(|_| Ban::random(&factors(), &mut random))
            .collect();
        let written: Vec<String> = bans.iter().map(Ban::written).collect();
        let campaign = CAMPAIGN.replace("NEVER", &written.join(", "));
        let folder = CampaignFolder::new()
            .with("campaign.toml", &campaign)
            .with("runs.csv", &log);
        for (place, at) in proposed(&folder) {
            for ban in &bans {
                assert!(!ban.is_in(&at), "{place}: {} in {at:?}", ban.written());
            }
            *seen.entry(place).or_default() += usize::from(!at.is_empty());
        }
    }
    println!("{seen:?}");
    for place in [
        "settings",
        "next_runs",
        "not_separable",
        "routes",
        "recycling",
        "recycling by level",
        "lines for the log",
    ] {
        let count = seen.get(place).copied().unwrap_or_default();
        assert!(count >= 20, "{place}: {count}");
    }
}

#[test]
fn without_limits_the_same_campaign_proposes_what_some_of_them_forbid() {
    let mut random = Seeded::stream(SEED, 2);
    let folder = CampaignFolder::new()
        .with("campaign.toml", &CAMPAIGN.replace("NEVER", ""))
        .with("runs.csv", &log(&mut random));
    let all = proposed(&folder);
    let bans: Vec<Ban> = (0..100)
        .map(|_| Ban::random(&factors(), &mut random))
        .collect();
    for place in ["settings", "next_runs", "not_separable", "recycling"] {
        let at = || all.iter().filter(|(of, _)| *of == place);
        let hit = bans.iter().filter(|ban| at().any(|(_, at)| ban.is_in(at)));
        assert!(hit.count() > 0, "{place} never held what a ban forbids");
    }
}
