//! Does `residuum together` put campaigns together that may be, say what differs, and settle nothing that only luck made alike?
//!
//! In: invented campaigns, a published experiment, `tests/check-scripts/together.py`. Out: tests of figures, verdicts and faults.
//! This module never takes a figure from the program.

mod bad_input;
mod figures;
mod shared;
mod simulated;

use std::path::Path;

use serde_json::Value;

use crate::support::{CampaignFolder, Outcome, residuum};

/// A campaign file for runs with `crystals`, `heating`, `excess` and a lot.
const CAMPAIGN: &str = r#"[campaign]
title = "TITLE"
[logs]
runs = "runs.csv"
[responses.crystals]
unit = "g"
[factors.heating]
kind = "choice"
baseline = "muffle"
[factors.excess]
kind = "amount"
unit = "%"
[model]
responses = ["crystals"]
effects = ["heating", "excess"]
"#;

/// Twelve runs on two lots; worked out by hand: crystals are `middle`, 3 less on the hob, 0.02 more per cent of excess, and what
/// the last column adds.
fn runs(middle: f64, hob: f64) -> String {
    const OFF: [f64; 12] = [
        0.3, 0.2, -0.1, -0.4, 0.3, 0.1, -0.1, -0.2, 0.2, 0.0, -0.2, -0.1,
    ];
    const EXCESS: [f64; 12] = [
        20.0, 40.0, 90.0, 60.0, 50.0, 80.0, 70.0, 30.0, 40.0, 70.0, 90.0, 20.0,
    ];
    let mut text = String::from("run,date,lot,heating,excess,crystals\n");
    for (run, (off, excess)) in OFF.into_iter().zip(EXCESS).enumerate() {
        let at = ["muffle", "hob"][usize::from([1, 2, 4, 7, 9, 10].contains(&run))];
        let shift = if at == "hob" { hob } else { 0.0 };
        let crystals = middle + shift + 0.02 * excess + off;
        let (day, lot) = (run + 1, ["A", "B"][run / 2 % 2]);
        text += &format!("R{day},2026-03-{day:02},{lot},{at},{excess},{crystals:.3}\n");
    }
    text
}

/// A folder with one campaign each in `c1`, `c2`, ...
fn folder(campaigns: &[(String, String)]) -> CampaignFolder {
    let numbered = campaigns.iter().enumerate();
    numbered.fold(CampaignFolder::new(), |folder, (place, (file, runs))| {
        let name = format!("c{}", place + 1);
        folder
            .with(&format!("{name}/campaign.toml"), file)
            .with(&format!("{name}/runs.csv"), runs)
    })
}

fn titled(title: &str) -> String {
    CAMPAIGN.replace("TITLE", title)
}

/// Three campaigns of one truth.
fn three() -> Vec<(String, String)> {
    let middles = [("Spring", 40.0), ("Summer", 42.0), ("Autumn", 39.0)];
    let each = middles.into_iter();
    each.map(|(title, middle)| (titled(title), runs(middle, -3.0)))
        .collect()
}

/// The call on the campaigns of a folder.
fn call(folder: &Path, count: usize, options: &[&str]) -> Outcome {
    let paths = (1..=count).map(|place| folder.join(format!("c{place}")));
    let paths: Vec<String> = paths.map(|path| path.display().to_string()).collect();
    let paths = paths.iter().map(String::as_str);
    let arguments: Vec<&str> = std::iter::once("together")
        .chain(paths)
        .chain(options.iter().copied())
        .collect();
    residuum(&arguments)
}

/// What it gives as data.
fn together(campaigns: &[(String, String)], options: &[&str]) -> Value {
    let folder = folder(campaigns);
    let options = [options, &["--json", "--quiet"]].concat();
    call(folder.path(), campaigns.len(), &options).json()["together"].take()
}
