//! What do the tests of `rounds` work on?
//!
//! In: names of campaigns. Out: [`Place`]: small campaigns, an output folder, and what a round left there.
//! This module never expects anything but that files can be written.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::support::{CampaignFolder, Outcome};

/// A campaign without a model, so that it is worked out in a moment: contained yields are 60 and 62 % of theory.
const CAMPAIGN: &str = r#"[campaign]
title = "Small"
product = "CuO"
followed = "Cu"
assay_as = "CuO"

[logs]
runs = "runs.csv"

[uncertainty]
feed_mass = "0.1 g"
crop_mass = "0.1 g"
feed_assay = "0.004"
purity = "0.001"
"#;

const RUNS: &str = "\
run,feed_mass,feed_assay,crop1_mass,purity
R1,100,0.80,48,1.00
R2,100,0.80,49.6,1.00
";

/// A folder of campaigns and one for their reports.
pub struct Place {
    folder: CampaignFolder,
}

impl Place {
    /// A place with campaigns of these names below `all`.
    pub fn with(names: &[&str]) -> Self {
        let place = Place {
            folder: CampaignFolder::new(),
        };
        for name in names {
            place.add(&format!("all/{name}"));
        }
        place
    }

    /// Writes a campaign into a folder of the place.
    pub fn add(&self, folder: &str) {
        self.write(&format!("{folder}/campaign.toml"), CAMPAIGN);
        self.write(&format!("{folder}/runs.csv"), RUNS);
    }

    /// Writes a file of the place.
    pub fn write(&self, name: &str, text: &str) {
        let path = self.at(name);
        let parent = path.parent().expect("the file is in a folder");
        fs::create_dir_all(parent).expect("a folder can be made");
        fs::write(path, text).expect("a file can be written");
    }

    /// Writes the log of a campaign anew, with one run more and this mass of its crop in g.
    pub fn log_a_run(&self, campaign: &str, run: &str, crop: f64) {
        let name = format!("all/{campaign}/runs.csv");
        let log = self.read(&name);
        self.write(&name, &format!("{log}{run},100,0.80,{crop},1.00\n"));
    }

    /// The text of a file of the place.
    pub fn read(&self, name: &str) -> String {
        let path = self.at(name);
        fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
    }

    /// A path in the place.
    pub fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// `residuum rounds all --out out` with further options.
    pub fn command(&self, options: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_residuum"));
        command.args(self.arguments(options));
        command
    }

    fn arguments(&self, options: &[&str]) -> Vec<OsString> {
        let mut arguments: Vec<OsString> = vec!["rounds".into(), self.at("all").into()];
        if !options.contains(&"--out") {
            arguments.extend(["--out".into(), self.at("out").into()]);
        }
        arguments.extend(options.iter().map(OsString::from));
        arguments
    }

    /// Runs a round.
    pub fn round(&self, options: &[&str]) -> Outcome {
        crate::support::residuum(&self.arguments(options))
    }

    /// Runs a round and asks for its exit code and for the first words of its lines, `standing name`.
    #[track_caller]
    pub fn check(&self, exit_code: i32, lines: &[&str]) -> Outcome {
        let outcome = self.round(&[]);
        let told: Vec<String> = outcome.stdout.lines().map(beginning).collect();
        assert_eq!(told, lines, "{}{}", outcome.stdout, outcome.stderr);
        assert_eq!(outcome.exit_code, exit_code, "{}", outcome.stdout);
        outcome
    }

    /// The entry of a campaign in `rounds.json`.
    pub fn entry(&self, campaign: &str) -> Value {
        let result: Value = serde_json::from_str(&self.read("out/rounds.json")).expect("JSON");
        let entries = result["campaigns"].as_array().expect("a list").clone();
        entries
            .into_iter()
            .find(|entry| entry["campaign"] == campaign)
            .unwrap_or_else(|| panic!("no entry `{campaign}` in {result}"))
    }

    /// Files of the output folder that are the same for whoever makes the same round: all but the lock and what is
    /// kept to save time.
    pub fn kept(&self, out: &str) -> BTreeMap<PathBuf, Vec<u8>> {
        let folder = self.at(out);
        files_below(&folder)
            .into_iter()
            .filter(|(path, _)| !path.ends_with("lock") && !path.ends_with("seen.json"))
            .map(|(path, bytes)| {
                let below = path.strip_prefix(&folder).expect("it lies below");
                (below.to_path_buf(), bytes)
            })
            .collect()
    }
}

/// `changed a` of `changed    a: 3 runs`.
fn beginning(line: &str) -> String {
    let (standing, rest) = line.split_once(' ').unwrap_or((line, ""));
    let name = rest.trim_start().split(": ").next().unwrap_or_default();
    format!("{standing} {name}")
}

/// Every file below a folder with its content.
pub fn files_below(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    crate::bad_input::files_below(folder)
}

/// Whether a report has exactly the files of its manifest with their digests; the digest of its inputs if so.
pub fn whole(report: &Path) -> Result<String, String> {
    let result = fs::read(report.join("result.json")).map_err(|error| error.to_string())?;
    let result: Value = serde_json::from_slice(&result).map_err(|error| error.to_string())?;
    let manifest = result["manifest"].as_object().ok_or("no manifest")?;
    let files = files_below(report);
    if files.len() != manifest.len() + 1 {
        return Err(format!("{} files, {} listed", files.len(), manifest.len()));
    }
    for (file, digest) in manifest {
        let bytes = files.get(&report.join(file)).ok_or(format!("no {file}"))?;
        let found: String = Sha256::digest(bytes)
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        if digest != found.as_str() {
            return Err(format!("{file} is another"));
        }
    }
    let inputs = result["inputs"].as_str().ok_or("no digest of its inputs")?;
    Ok(inputs.to_string())
}
