//! What a round says about one campaign.
//!
//! In: records and what changed between them, or why there are none. Out: [`Entry`], its line, its row of the index.
//! This module never works anything out.

use residuum::error::Faults;
use residuum::history::{Flag, Record, Since, Verdict};
use residuum::report::{
    IndexRow, in_short, one_line, verdict_in_words, verdict_with_texts, with_texts,
};
use serde::{Deserialize, Serialize, Serializer};
use serde_json::{Value, json};

/// What was done with a campaign in a round.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Standing {
    /// Analysed for the first time.
    #[default]
    New,
    /// Analysed because its inputs changed.
    Changed,
    /// Its inputs are the same, but its report was damaged or missing and was made anew.
    Remade,
    /// Nothing to do.
    Unchanged,
    /// Its files were being written; left to the next round.
    Busy,
    /// It needs work, which this round was not to do.
    Due,
    /// It could not be analysed; an older report stays.
    Failed,
    /// Its folder is not there any more; its report stays.
    Gone,
}

impl Standing {
    /// The one word that a line begins with.
    pub fn word(self) -> &'static str {
        match self {
            Standing::New => "new",
            Standing::Changed => "changed",
            Standing::Remade => "remade",
            Standing::Unchanged => "unchanged",
            Standing::Busy => "busy",
            Standing::Due => "due",
            Standing::Failed => "failed",
            Standing::Gone => "gone",
        }
    }
}

/// One fault that kept a campaign from being analysed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Fault {
    /// What is wrong, and where.
    pub what: String,
    /// What to do about it.
    pub hint: Option<String>,
}

/// One campaign in `rounds.json`.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub(super) struct Entry {
    /// Its path below the folder of all campaigns.
    pub campaign: String,
    /// What was done with it.
    pub standing: Standing,
    /// Path of its report below the output folder, where there is one.
    pub report: Option<String>,
    /// Whether that report is older than the inputs.
    pub stale: bool,
    /// Why it could not be analysed, all faults.
    pub faults: Vec<Fault>,
    /// Why somebody should look at it, after this round.
    pub flags: Vec<Flag>,
    /// Something that was mended on the way.
    pub remark: Option<String>,
    /// Its title.
    pub title: String,
    /// Runs of its log.
    pub runs: Option<usize>,
    /// Rows that a fault leaves out.
    pub left_out: usize,
    /// Runs set aside on purpose.
    #[serde(default)]
    pub set_aside: usize,
    /// Doubts that travel with the result.
    pub caveats: usize,
    /// Position of its last record in its history.
    pub round: u64,
    /// Digest of the inputs of its last record.
    pub inputs: Option<String>,
    /// What its last record says; written with its texts besides.
    #[serde(serialize_with = "verdicts_with_texts")]
    pub verdicts: Vec<Verdict>,
    /// What changed when its result last changed; written with its texts besides.
    #[serde(serialize_with = "since_with_texts")]
    pub since: Option<Since>,
}

impl Entry {
    /// A campaign that nothing is known of yet.
    pub fn unknown(campaign: &str, standing: Standing) -> Entry {
        Entry {
            campaign: campaign.to_string(),
            standing,
            ..Entry::default()
        }
    }

    /// A campaign with its last record.
    pub fn of(campaign: &str, standing: Standing, record: &Record, since: Option<Since>) -> Entry {
        Entry {
            report: Some(format!("{campaign}/report.md")),
            title: record.title.clone(),
            runs: Some(record.runs.len()),
            left_out: record.left_out.len(),
            set_aside: record.set_aside,
            caveats: record.caveats,
            round: record.round,
            inputs: Some(record.inputs.digest.clone()),
            verdicts: record.verdicts.clone(),
            since,
            ..Entry::unknown(campaign, standing)
        }
    }

    /// The same campaign after faults kept it from being analysed; what was known of it stays.
    pub fn failed(self, faults: &Faults) -> Entry {
        let told = faults.errors().iter().map(|error| Fault {
            what: error.message().to_string(),
            hint: error.advice().map(str::to_string),
        });
        Entry {
            standing: Standing::Failed,
            stale: self.report.is_some(),
            faults: told.collect(),
            ..self.at_rest()
        }
    }

    /// The same campaign without what only the round before said of it.
    pub fn at_rest(self) -> Entry {
        Entry {
            faults: Vec::new(),
            flags: Vec::new(),
            remark: None,
            stale: false,
            ..self
        }
    }

    /// Whether it calls for a look in this round.
    pub fn calls(&self) -> bool {
        !self.flags.is_empty()
            || matches!(
                self.standing,
                Standing::Busy | Standing::Due | Standing::Failed
            )
    }

    /// Why somebody should look at it now, in words.
    pub fn reasons(&self) -> Vec<String> {
        let kept = match self.report {
            Some(_) => "the report is that of before",
            None => "there is no report",
        };
        match self.standing {
            Standing::Failed => {
                let first = self.faults.first().map_or("", |fault| &fault.what);
                let more = match self.faults.len() {
                    0 | 1 => String::new(),
                    n => format!(" (and {} more)", n - 1),
                };
                vec![format!("{first}{more}"), kept.to_string()]
            }
            Standing::Busy => vec![
                "its files changed while they were read, so it was left to the next round".into(),
                kept.to_string(),
            ],
            Standing::Due => vec!["it still needs work".into(), kept.to_string()],
            _ if self.flags.is_empty() => Vec::new(),
            Standing::Gone => vec![
                "its folder is not there any more".into(),
                "its report was kept".into(),
            ],
            _ => self.since.as_ref().map(in_short).unwrap_or_default(),
        }
    }

    /// How many runs are new in a campaign that changed.
    fn new_runs(&self) -> usize {
        let since = self.since.as_ref();
        let since = since.filter(|_| self.standing == Standing::Changed);
        since.map_or(0, |since| since.new_runs.len())
    }

    /// Its line on the standard output, without an end.
    pub fn line(&self) -> String {
        let runs = self.runs.unwrap_or(0);
        let mut details = match (self.standing, self.new_runs()) {
            (Standing::Changed, new @ 1..) => vec![format!("{runs} runs, {new} new")],
            (Standing::New | Standing::Changed | Standing::Remade, _) => {
                vec![format!("{runs} runs")]
            }
            _ => Vec::new(),
        };
        details.extend(self.reasons());
        details.extend(self.remark.clone());
        let text = format!(
            "{:<9}  {}{}{}",
            self.standing.word(),
            self.campaign,
            if details.is_empty() { "" } else { ": " },
            details.join("; ")
        );
        one_line(&text)
    }

    /// Its line as one JSON object, for logs that are searched by programs.
    pub fn json_line(&self) -> Value {
        json!({
            "campaign": self.campaign,
            "standing": self.standing,
            "flags": self.flags,
            "runs": self.runs,
            "new_runs": self.new_runs(),
            "reasons": self.reasons(),
            "faults": self.faults,
            "remark": self.remark,
            "report": self.report,
            "stale": self.stale,
        })
    }

    /// Its row of the index page.
    pub fn row(&self) -> IndexRow {
        let mut reasons = self.reasons();
        if !reasons.is_empty() {
            reasons.extend(self.remark.clone());
        }
        IndexRow {
            name: self.campaign.clone(),
            title: self.title.clone(),
            standing: self.standing.word().to_string(),
            is_stale: self.stale,
            has_report: self.report.is_some(),
            has_page: false,
            runs: self.runs,
            left_out: self.left_out,
            set_aside: self.set_aside,
            verdicts: self.verdicts.iter().map(verdict_in_words).collect(),
            changes: self.since.as_ref().map(changes).unwrap_or_default(),
            reasons,
        }
    }
}

fn verdicts_with_texts<S: Serializer>(verdicts: &[Verdict], to: S) -> Result<S::Ok, S::Error> {
    to.collect_seq(verdicts.iter().map(verdict_with_texts))
}

fn since_with_texts<S: Serializer>(since: &Option<Since>, to: S) -> Result<S::Ok, S::Error> {
    since.as_ref().map(with_texts).serialize(to)
}

fn changes(since: &Since) -> Vec<String> {
    let new = match since.new_runs.len() {
        0 => None,
        1 => Some("1 new run".to_string()),
        n => Some(format!("{n} new runs")),
    };
    new.into_iter().chain(in_short(since)).collect()
}
