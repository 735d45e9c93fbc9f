//! What does a sound campaign look like, and how is it spoilt?
//!
//! In: edits of its files. Out: a campaign folder.
//! This module never knows what the program says about a spoilt campaign.

use std::path::Path;

use crate::support::CampaignFolder;

/// Copper oxide purified by way of a salt and back: product and assay formula are the same, so theory is feed times
/// assay and every expected yield fits into a comment.
pub const CAMPAIGN: &str = r#"[campaign]
title = "Copper oxide purified from scale"
product = "CuO"
followed = "Cu"
assay_as = "CuO"
purity_spec = 0.98

[logs]
runs = "runs.csv"
lots = "lots.csv"
crops = "crops.csv"
titres = "titres.csv"
titrants = "titrants.csv"
residues = "residues.csv"

[factors.heating]
kind = "choice"
baseline = "muffle"

[model]
responses = ["yield"]
effects = ["heating"]
method = "plain"
blocks = []
[uncertainty]
feed_mass = "0.1 g"
crop_mass = "0.1 g"
sample_mass = "0.0002 g"
titre = "0.03 mL"
residue_mass = "0.1 g"
residue_assay = "0.005"

[titration]
analyte = "CuO"
titrant = "T1"
ratio = 1.0
"#;

pub const RUNS: &str = "\
run,date,lot,feed_mass,heating,bath
R1,2025-03-03,A,100,muffle,60
R2,2025-03-04,A,100,hob,70
R3,2025-03-05,B,200,muffle,80
R4,2025-03-06,B,200,hob,65
R5,2025-03-07,A,100,muffle,75
R6,2025-03-10,B,200,hob,85
R7,2025-03-11,A,100,hob,80
R8,2025-03-12,B,200,muffle,70
";

pub const LOTS: &str = "\
lot,assay,u_assay
A,0.80,0.004
B,0.75,0.004
";

pub const CROPS: &str = "\
run,crop,mass
R1,1,60
R2,1,56
R3,1,117
R4,1,108
R5,1,62
R6,1,105
R7,1,57
R8,1,120
";

/// Each titre means 20.00 mL · 0.1 mol/L · 79.545 g/mol / 1000 / 0.1600 g = 0.9943125.
pub const TITRES: &str = "\
run,crop,sample_mass,titre
R1,1,0.1600,20.00
R2,1,0.1600,20.00
R3,1,0.1600,20.00
R4,1,0.1600,20.00
R5,1,0.1600,20.00
R6,1,0.1600,20.00
R7,1,0.1600,20.00
R8,1,0.1600,20.00
";

pub const TITRANTS: &str = "\
titrant,date,concentration,u_concentration
T1,2025-03-01,0.1,0.0001
";

/// Chosen so that each balance closes within 0.2 %: for R1, 60 · 0.9943 + 34 · 0.60 = 80.06 of 80 g.
pub const RESIDUES: &str = "\
run,mass,assay
R1,34,0.60
R2,40.5,0.60
R3,56,0.60
R4,71,0.60
R5,30.5,0.60
R6,76,0.60
R7,39,0.60
R8,51,0.60
";

/// Names of all runs of the sound campaign.
pub const ALL_RUNS: [&str; 8] = ["R1", "R2", "R3", "R4", "R5", "R6", "R7", "R8"];

/// One thing done to one file of the sound campaign.
pub enum Edit {
    /// The first place where one text stands holds another.
    Change {
        file: &'static str,
        from: &'static str,
        to: String,
    },
    /// The file has this content.
    Whole { file: &'static str, bytes: Vec<u8> },
    /// The file is missing.
    Gone { file: &'static str },
}

/// The first `from` of a file becomes `to`.
pub fn change(file: &'static str, from: &'static str, to: impl Into<String>) -> Edit {
    Edit::Change {
        file,
        from,
        to: to.into(),
    }
}

/// A file has another content.
pub fn whole(file: &'static str, content: impl Into<Vec<u8>>) -> Edit {
    Edit::Whole {
        file,
        bytes: content.into(),
    }
}

/// A file is missing.
pub fn gone(file: &'static str) -> Edit {
    Edit::Gone { file }
}

/// The sound campaign after some edits, made one after the other.
pub fn campaign(edits: &[Edit]) -> CampaignFolder {
    let folder = CampaignFolder::new();
    write_campaign(folder.path(), edits);
    folder
}

/// Writes the sound campaign after some edits into a folder.
pub fn write_campaign(folder: &Path, edits: &[Edit]) {
    std::fs::create_dir_all(folder).expect("a folder can be made below a temporary folder");
    for (name, text) in [
        ("campaign.toml", CAMPAIGN),
        ("runs.csv", RUNS),
        ("lots.csv", LOTS),
        ("crops.csv", CROPS),
        ("titres.csv", TITRES),
        ("titrants.csv", TITRANTS),
        ("residues.csv", RESIDUES),
    ] {
        write(&folder.join(name), text.as_bytes());
    }
    for edit in edits {
        match edit {
            Edit::Change { file, from, to } => {
                let path = folder.join(file);
                let text = std::fs::read_to_string(&path).expect("the file is text");
                assert!(text.contains(from), "`{file}` does not hold `{from}`");
                write(&path, text.replacen(from, to, 1).as_bytes());
            }
            Edit::Whole { file, bytes } => write(&folder.join(file), bytes),
            Edit::Gone { file } => {
                std::fs::remove_file(folder.join(file)).expect("the file is there");
            }
        }
    }
}

/// A log with one more column, whose cell is `value` in the row of one run and empty in the others.
pub fn with_column(log: &str, column: &str, run: &str, value: &str) -> String {
    let mut lines = log.lines();
    let mut text = format!("{},{column}\n", lines.next().unwrap_or_default());
    for line in lines {
        let cell = if line.split(',').next() == Some(run) {
            value
        } else {
            ""
        };
        text.push_str(&format!("{line},{cell}\n"));
    }
    text
}

fn write(path: &Path, bytes: &[u8]) {
    std::fs::write(path, bytes).expect("a file can be written to a temporary folder");
}
