//! What does a sound campaign look like that asks about money, and how are its answers read?
//!
//! In: edits of its campaign file and its log. Out: a folder, and the answers of the calls that count money.
//! This module never knows what the program says about a spoilt campaign.

use std::path::Path;

use serde_json::Value;

use super::promises::call;
use crate::support::{CampaignFolder, number, residuum_json, without_links};

/// Copper oxide purified, as in `bench.rs`: theory is mass times assay.
const CAMPAIGN: &str = r#"[campaign]
title = "Copper oxide with residue fed forward"
product = "CuO"
followed = "Cu"
assay_as = "CuO"
purity_spec = 0.98

[logs]
runs = "runs.csv"

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
effects = ["route", "residue_ratio"]
method = "plain"

[uncertainty]
feed_mass = "0.1 g"
residue_mass = "0.1 g"
crop_mass = "0.01 g"
feed_assay = "0.002"
residue_assay = "0.002"
purity = "0.0005"

[prices]
currency = "EUR"
product = "200 /kg"
feed = "5 /kg"
labour = "20 /h"
heat = { route = { boil = "2 /run", chill = "1 /run" } }
residue_handling = "3 min/run"

[recycling]
vessel_solids = "400 g"
cycles = 4
bleed = 0.2

[aim]
maximise = "yield"
"#;

/// Yield of runs without residue, and of those with 50 g of it.
const YIELDS: [f64; 2] = [0.70, 0.65];
/// What single runs have more, and less, so that each mean is as it says.
const SCATTER: [f64; 4] = [0.010, -0.010, 0.005, -0.005];
/// The same of purity.
const PURITIES: [f64; 4] = [0.991, 0.990, 0.989, 0.990];

/// Sixteen runs: two routes that give the same, with and without residue, four of each.
///
/// 100 g of feed of 80 % can give 80 g, and 50 g of residue of 40 % another 20 g.
fn runs() -> String {
    let mut text =
        "run,route,feed_mass,feed_assay,residue_mass,residue_assay,crop1_mass,purity,labour\n"
            .to_string();
    for place in 0..16 {
        let (route, charged, repeat) = (place % 2, place / 2 % 2, place / 4);
        let theory = [80.0, 100.0][charged];
        let contained = (YIELDS[charged] + SCATTER[repeat]) * theory;
        text.push_str(&format!(
            "R{:02},{},100,0.80,{},{:.6},{},60\n",
            place + 1,
            ["boil", "chill"][route],
            [",", "50,0.40"][charged],
            contained / PURITIES[repeat],
            PURITIES[repeat],
        ));
    }
    text
}

/// The sound campaign.
pub struct MoneyCampaign {
    toml: String,
    log: String,
    residues: Option<String>,
}

impl MoneyCampaign {
    pub fn new() -> Self {
        Self {
            toml: CAMPAIGN.into(),
            log: runs(),
            residues: None,
        }
    }

    /// The first `from` of the campaign file becomes `to`.
    pub fn but(mut self, from: &str, to: &str) -> Self {
        assert!(self.toml.contains(from), "no `{from}`");
        self.toml = self.toml.replacen(from, to, 1);
        self
    }

    /// Without a whole table of the campaign file.
    pub fn without(mut self, table: &str) -> Self {
        let start = self.toml.find(table).expect("the table is there");
        let length = self.toml[start + 1..].find("\n[").map(|end| end + 2);
        let end = length.map_or(self.toml.len(), |length| start + length);
        self.toml.replace_range(start..end, "");
        self
    }

    /// With the log of the residue that each run left: what is not in its crop, and 20 g else of the feed, 50 g where
    /// residue with 30 g else was charged too.
    pub fn with_residue_left() -> Self {
        let mut residues = "run,mass,assay\n".to_string();
        for place in 0..16 {
            let (charged, repeat) = (place / 2 % 2, place / 4);
            let share = 1.0 - YIELDS[charged] - SCATTER[repeat];
            let oxide = share * [80.0, 100.0][charged];
            let mass = oxide + [20.0, 50.0][charged];
            let assay = oxide / mass;
            residues.push_str(&format!("R{:02},{mass:.6},{assay:.8}\n", place + 1));
        }
        let logs = "runs = \"runs.csv\"";
        Self {
            residues: Some(residues),
            ..Self::new().but(logs, &format!("{logs}\nresidues = \"residues.csv\""))
        }
    }

    pub fn folder(&self) -> CampaignFolder {
        let folder = CampaignFolder::new()
            .with("campaign.toml", &self.toml)
            .with("runs.csv", &self.log);
        match &self.residues {
            Some(log) => folder.with("residues.csv", log),
            None => folder,
        }
    }
}

/// The gain of a charged run [EUR].
pub fn gain(found: &Value) -> f64 {
    number(&found["gain_per_run"], "value")
}

/// What a call that was done prints.
pub fn text(name: &str, folder: &Path) -> String {
    let place = CampaignFolder::new();
    let outcome = call(name, folder, &place.path().join("reports"), &[]);
    assert_eq!(outcome.exit_code, 0, "{name}: {}", outcome.stderr);
    outcome.stdout
}

/// The report on the campaign as Markdown; it is made, and holds no figure that is none.
pub fn report(folder: &Path) -> String {
    let place = CampaignFolder::new();
    let out = place.path().join("reports");
    let outcome = call("report", folder, &out, &[]);
    assert_eq!(outcome.exit_code, 0, "report: {}", outcome.stderr);
    let page = std::fs::read_to_string(outcome.stdout.trim()).expect("the report is where it says");
    all_are_figures(&page);
    page
}

fn all_are_figures(text: &str) {
    for word in text.split(|c: char| !c.is_ascii_alphabetic()) {
        assert!(!["NaN", "inf", "Infinity"].contains(&word), "{text}");
    }
}

/// The answer about residue, as text and as JSON; what was given is still answered, and the report is made.
pub fn recycled(campaign: &MoneyCampaign) -> (String, Value) {
    let folder = campaign.folder();
    let said = text("recycle", folder.path());
    all_are_figures(&said);
    let found = residuum_json("recycle", folder.path())["recycling"].clone();
    assert!(
        without_links(&report(folder.path()))
            .contains("**1 What did the runs give?** Contained yield")
    );
    (said, found)
}
