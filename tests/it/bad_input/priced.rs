//! What does a campaign look like that can answer every question about money, and what does each call owe when it is spoilt?
//!
//! In: edits of its files. Out: [`Asked`]: what each call said, after a check that none of it is a number that is none.
//! This module never knows what the program says about a spoilt campaign.

use std::path::Path;

use serde_json::Value;

use super::files_below;
use super::promises::call;
use crate::support::{CampaignFolder, Outcome, without_links};

/// Product and assay formula are the same, so theory is feed times assay; purities are logged beside the crops.
pub const PRICED: &str = r#"[campaign]
title = "Copper oxide purified from scale, residue fed forward"
product = "CuO"
followed = "Cu"
assay_as = "CuO"
purity_spec = 0.98

[logs]
runs = "runs.csv"
lots = "lots.csv"
residues = "residues.csv"

[factors.heating]
kind = "choice"
baseline = "muffle"

[factors.route]
kind = "choice"
baseline = "chill"
stands_for = "route"

[factors.bath]
kind = "amount"
unit = "degC"
low = 60
high = 80

[factors.residue_ratio]
kind = "amount"
low = 0
high = 0.4
stands_for = "residue"

[model]
responses = ["yield", "purity"]
effects = ["heating", "route", "bath", "residue_ratio"]

[uncertainty]
feed_mass = "0.1 g"
crop_mass = "0.1 g"
purity = "0.001"
residue_mass = "0.1 g"
residue_assay = "0.01"

[prices]
currency = "EUR"
feed = "4.20 /kg"
product = "18 /kg"
labour = "24 /h"
heat = { heating = { muffle = "1.9 /run", hob = "0.6 /run" } }
residue_handling = "0.1 min/run"

[recycling]
vessel_solids = "900 g"
cycles = 4
bleed = 0.2
handling = "extra"
"#;

/// Two lots, heatings and routes, each with and without residue.
pub const PRICED_RUNS: &str = "\
run,lot,feed_mass,heating,route,bath,residue_mass,residue_assay,labour,crop1_mass,purity
R1,A,100,muffle,chill,70,0,,61,56.2,0.992
R2,A,100,muffle,chill,80,30,0.4,62,64.1,0.989
R3,A,100,muffle,boil,60,0,,83,60.0,0.985
R4,A,100,muffle,boil,70,30,0.4,80,70.4,0.987
R5,A,100,hob,chill,80,0,,61,54.3,0.991
R6,A,100,hob,chill,60,30,0.4,62,58.2,0.991
R7,A,100,hob,boil,70,0,,83,55.8,0.989
R8,A,100,hob,boil,80,30,0.4,80,66.0,0.987
R9,B,100,muffle,chill,60,0,,61,51.0,0.985
R10,B,100,muffle,chill,70,30,0.4,62,59.1,0.989
R11,B,100,muffle,boil,80,0,,83,58.9,0.986
R12,B,100,muffle,boil,60,30,0.4,80,65.3,0.984
R13,B,100,hob,chill,70,0,,61,49.5,0.991
R14,B,100,hob,chill,80,30,0.4,62,55.4,0.995
R15,B,100,hob,boil,60,0,,83,53.6,0.990
R16,B,100,hob,boil,70,30,0.4,80,60.5,0.984
";

pub const PRICED_LOTS: &str = "lot,assay,u_assay\nA,0.80,0.004\nB,0.75,0.004\n";

/// So that each balance closes at about 99 % of the charge.
const PRICED_RESIDUES: &str = "\
run,mass,assay
R1,59.7,0.40
R2,70.4,0.40
R3,51.5,0.40
R4,55.4,0.40
R5,64.5,0.40
R6,84.5,0.40
R7,61.1,0.40
R8,66.1,0.40
R9,61.0,0.40
R10,70.3,0.40
R11,41.7,0.40
R12,56.0,0.40
R13,63.9,0.40
R14,78.5,0.40
R15,54.0,0.40
R16,67.6,0.40
";

/// Calls that answer a question about money or decisions; each works on its own.
pub const MONEY_CALLS: [&str; 5] = ["recycle", "routes", "settings", "next", "report"];

/// The sound campaign file with some texts replaced; each must stand there.
pub fn edited(edits: &[(&str, &str)]) -> String {
    edits.iter().fold(PRICED.to_string(), |text, (from, to)| {
        assert!(text.contains(from), "the campaign does not hold `{from}`");
        text.replacen(from, to, 1)
    })
}

/// One table of the campaign file, from its heading to the next.
pub fn table(heading: &str) -> String {
    let start = PRICED.find(heading).expect("the campaign has the table");
    let rest = &PRICED[start..];
    let length = rest.find("\n\n").map_or(rest.len(), |end| end + 2);
    rest[..length].to_string()
}

/// The runs log with one column changed, from its cell and the name of the run.
pub fn with_cells(column: &str, cell: impl Fn(&str) -> String) -> String {
    let place = PRICED_RUNS
        .lines()
        .next()
        .and_then(|headings| headings.split(',').position(|name| name == column))
        .expect("the log has the column");
    let changed = |(line, row): (usize, &str)| {
        let mut cells: Vec<String> = row.split(',').map(String::from).collect();
        if line > 0 {
            cells[place] = cell(&cells[place]);
        }
        cells.join(",") + "\n"
    };
    PRICED_RUNS.lines().enumerate().map(changed).collect()
}

/// The runs log with the rows that are wanted.
pub fn with_rows(wanted: impl Fn(&str) -> bool) -> String {
    let rows = PRICED_RUNS.lines().enumerate();
    rows.filter(|(line, row)| *line == 0 || wanted(row))
        .map(|(_, row)| format!("{row}\n"))
        .collect()
}

/// Product in the crops of some runs [g], from the log itself.
pub fn contained(runs: &str, wanted: impl Fn(&[&str]) -> bool) -> f64 {
    let rows = runs.lines().skip(1).map(|row| row.split(',').collect());
    rows.filter(|cells: &Vec<&str>| wanted(cells))
        .map(|cells| {
            let [mass, purity] = [cells.len() - 2, cells.len() - 1].map(|at| cells[at]);
            mass.parse::<f64>().expect("a mass") * purity.parse::<f64>().expect("a purity")
        })
        .sum()
}

/// A folder with the campaign.
pub fn priced(campaign: &str, runs: &str, lots: &str) -> CampaignFolder {
    CampaignFolder::new()
        .with("campaign/campaign.toml", campaign)
        .with("campaign/runs.csv", runs)
        .with("campaign/lots.csv", lots)
        .with("campaign/residues.csv", PRICED_RESIDUES)
}

/// What the calls said about one campaign.
pub struct Asked {
    folder: CampaignFolder,
}

impl Asked {
    /// Asks every call for text and JSON: all are done, and what they write holds no number that is none.
    pub fn of(campaign: &str, runs: &str) -> Self {
        Self::with_lots(campaign, runs, PRICED_LOTS)
    }

    /// As [`Self::of`], with a lots log.
    pub fn with_lots(campaign: &str, runs: &str, lots: &str) -> Self {
        let asked = Self {
            folder: priced(campaign, runs, lots),
        };
        for name in MONEY_CALLS {
            for options in [&[][..], &["--json"][..]] {
                let outcome = asked.call(name, options);
                assert_eq!(outcome.exit_code, 0, "{name}: {}", outcome.stderr);
                no_number_that_is_none(name, &outcome.stdout);
                no_number_that_is_none(name, &outcome.stderr);
            }
        }
        for (path, bytes) in files_below(&asked.out()) {
            no_number_that_is_none(
                &path.display().to_string(),
                &String::from_utf8_lossy(&bytes),
            );
        }
        asked
    }

    fn out(&self) -> std::path::PathBuf {
        self.folder.path().join("reports")
    }

    /// One call.
    pub fn call(&self, name: &str, options: &[&str]) -> Outcome {
        call(
            name,
            &self.folder.path().join("campaign"),
            &self.out(),
            options,
        )
    }

    /// What one call prints as text.
    pub fn text(&self, name: &str) -> String {
        self.call(name, &[]).stdout
    }

    /// The object under a key of what one call prints.
    pub fn json(&self, name: &str, key: &str) -> Value {
        self.call(name, &["--json"]).json()[key].clone()
    }

    /// The line of a question on the first screen of the report, with its entities read as a browser does.
    pub fn line(&self, question: &str) -> String {
        let path: &Path = &self.out().join("campaign/report.md");
        let report = std::fs::read_to_string(path).expect("the report is there");
        let start = format!("- **{question} ");
        let mut lines = report.lines().map(without_links);
        let found = lines.find(|line| line.starts_with(&start));
        found.unwrap_or_else(|| panic!("no line of question {question}"))
    }
}

fn no_number_that_is_none(place: &str, text: &str) {
    let words = text.split(|c: char| !(c.is_alphanumeric() || c == '_'));
    for word in words {
        let none = ["NaN", "nan", "inf", "Infinity", "infinity", "panicked"].contains(&word);
        assert!(!none, "{place} holds `{word}`:\n{text}");
    }
}
