//! How does a test work out a campaign through the library, without a file?
//!
//! In: the text of a campaign file and of its logs. Out: [`InMemory`], the runs on one footing, or a folder with the
//! same files for a test that goes through the program.
//! This module never knows what the right answer is.

use std::path::Path;

use residuum::campaign::{Campaign, CampaignDraft, FileText, LogKind};
use residuum::intake::LogFile;
use residuum::measured::Measured;
use residuum::pipeline::{self, Normalised};
use residuum::runs::{RunResult, Runs};

use crate::support::CampaignFolder;

/// Logs whose one file is named after them, which is all but the furnace readings.
const NAMED_AFTER_THEMSELVES: [LogKind; 7] = [
    LogKind::Runs,
    LogKind::Lots,
    LogKind::Crops,
    LogKind::Titres,
    LogKind::Titrants,
    LogKind::Blanks,
    LogKind::Residues,
];

/// A campaign file and its logs, each in the file named after it, such as `runs.csv`.
#[derive(Clone)]
pub struct InMemory {
    campaign: String,
    logs: Vec<LogFile>,
}

/// A campaign that could be worked out.
pub struct WorkedOut {
    /// The checked campaign file.
    pub campaign: Campaign,
    /// Its logs and its runs.
    pub normalised: Normalised,
}

impl InMemory {
    /// A campaign file without logs.
    pub fn new(campaign: &str) -> Self {
        Self {
            campaign: campaign.to_string(),
            logs: Vec::new(),
        }
    }

    /// The campaign with one more log, or with this text for it.
    pub fn with(mut self, kind: LogKind, text: &str) -> Self {
        self.logs.retain(|log| log.kind != kind);
        self.logs.push(LogFile {
            kind,
            file: file_name(kind),
            part: None,
            bytes: text.as_bytes().to_vec(),
        });
        self
    }

    /// The campaign with another text of its campaign file.
    pub fn edited(mut self, edit: impl Fn(&str) -> String) -> Self {
        self.campaign = edit(&self.campaign);
        self
    }

    /// A campaign folder with every log but the furnace readings.
    pub fn of_folder(folder: &Path) -> Self {
        let text = |name: &str| std::fs::read_to_string(folder.join(name));
        let mut campaign = Self::new(&text("campaign.toml").expect("the folder is a campaign"));
        for kind in NAMED_AFTER_THEMSELVES {
            if let Ok(log) = text(&file_name(kind)) {
                campaign = campaign.with(kind, &log);
            }
        }
        campaign
    }

    /// The text of one of its logs.
    pub fn text(&self, kind: LogKind) -> &str {
        let log = self.logs.iter().find(|log| log.kind == kind);
        let bytes = &log.expect("the campaign has that log").bytes;
        std::str::from_utf8(bytes).expect("the logs were given as text")
    }

    /// The text of the campaign file, and the logs.
    pub fn into_files(self) -> (String, Vec<LogFile>) {
        (self.campaign, self.logs)
    }

    /// The runs on one footing.
    ///
    /// Panics with every fault if there is one that stops the work.
    pub fn work_out(&self) -> WorkedOut {
        let campaign = self.checked();
        let normalised =
            pipeline::normalise(&campaign, &self.logs).unwrap_or_else(|faults| panic!("{faults}"));
        WorkedOut {
            campaign,
            normalised,
        }
    }

    /// The checked campaign file alone.
    ///
    /// Panics with every fault if there is one.
    pub fn checked(&self) -> Campaign {
        let file = FileText {
            file: "campaign.toml".into(),
            text: self.campaign.clone(),
        };
        CampaignDraft::read(file)
            .and_then(CampaignDraft::check)
            .unwrap_or_else(|faults| panic!("{faults}"))
    }

    /// The same files in a folder.
    pub fn folder(&self) -> CampaignFolder {
        let folder = CampaignFolder::new().with("campaign.toml", &self.campaign);
        self.logs.iter().fold(folder, |folder, log| {
            folder.with(&log.file, self.text(log.kind))
        })
    }
}

impl WorkedOut {
    /// The runs.
    pub fn runs(&self) -> &Runs {
        &self.normalised.runs
    }

    /// One run.
    pub fn run(&self, name: &str) -> &RunResult {
        self.runs()
            .results
            .iter()
            .find(|run| run.run == name)
            .unwrap_or_else(|| panic!("no run `{name}` among the results"))
    }

    /// The contained yield of one run.
    pub fn contained(&self, name: &str) -> &Measured {
        self.run(name)
            .contained
            .as_ref()
            .unwrap_or_else(|reason| panic!("run `{name}` has no contained yield: {reason:?}"))
    }
}

fn file_name(kind: LogKind) -> String {
    format!("{}.csv", kind.key())
}
