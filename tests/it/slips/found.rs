//! The one door through which these tests see how entries are judged: the JSON of a report.
//!
//! In: doubts. Out: [`Slip`]s, each an entry with the kind of its doubt, and [`Other`] doubts as people read them.
//! This module never judges an entry.

use residuum::caveat::{Caveat, Doubt};
use residuum::report::json;
use serde_json::Value;

/// How an entry is doubted, the gravest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    Impossible,
    Unlikely,
    Odd,
}

/// An entry that is doubted; of what is off in all runs alike, the column says which result.
#[derive(Debug, Clone)]
pub struct Slip {
    pub file: String,
    pub line: usize,
    pub column: String,
    pub value: String,
    pub kind: Kind,
    /// What was likely meant, and the doubt in words.
    pub likely: String,
    pub run: String,
}

/// Another doubt: what tells it from others, and all that it says.
#[derive(Debug, Clone)]
pub struct Other {
    pub key: String,
    pub text: String,
}

/// The entries of a campaign that are doubted. Among them are results that are off in all runs, because no answer is then settled,
/// and results of one run that an answer must hold without.
pub fn slips(caveats: &[Caveat]) -> Vec<Slip> {
    let entries = json::slips(caveats);
    let text = |value: &Value| value.as_str().unwrap_or_default().to_string();
    let mut slips: Vec<Slip> = entries
        .iter()
        .map(|entry| Slip {
            file: text(&entry["file"]),
            line: entry["line"].as_u64().unwrap_or_default() as usize,
            column: text(&entry["column"]),
            value: text(&entry["value"]),
            kind: match entry["kind"].as_str() {
                Some("impossible") => Kind::Impossible,
                Some("unlikely") => Kind::Unlikely,
                Some("odd") => Kind::Odd,
                other => panic!("no kind {other:?}"),
            },
            likely: text(&entry["likely"]),
            run: text(&entry["run"]),
        })
        .collect();
    for (caveat, said) in caveats.iter().zip(json::caveats(caveats)) {
        let kind = match caveat.doubt {
            Doubt::AllOff { .. } => Kind::Impossible,
            _ if is_of_a_result(&caveat.doubt) => Kind::Odd,
            _ => continue,
        };
        slips.push(Slip {
            file: String::new(),
            line: 0,
            column: text(&said["kind"]),
            value: String::new(),
            kind,
            likely: format!("{} {}", text(&said["seen"]), text(&said["advice"])),
            run: caveat.about.name().to_string(),
        });
    }
    slips
}

/// Whether a doubt about the result of one run makes it a run that an answer must hold without.
fn is_of_a_result(doubt: &Doubt) -> bool {
    matches!(
        doubt,
        Doubt::PurityAboveOne { .. }
            | Doubt::AboveTheCeiling { .. }
            | Doubt::BalanceLeavesNoResidue { .. }
            | Doubt::ClosureAboveOne { .. }
            | Doubt::ClosureBelowOthers { .. }
    )
}

impl Slip {
    /// Whether it says that a result is off in all runs alike.
    pub fn of_all_runs(&self) -> bool {
        self.file.is_empty() && self.run.is_empty()
    }

    /// What tells it from others.
    pub fn key(&self) -> String {
        format!("{:?} {} {} {}", self.kind, self.file, self.column, self.run)
    }

    /// All that it says.
    pub fn text(&self) -> String {
        format!(
            "{:?} {} line {} {} {} = {}: {}",
            self.kind, self.file, self.line, self.run, self.column, self.value, self.likely
        )
    }
}

/// Other doubts that name any of these runs, lots or titrants; all doubts, where there is none.
pub fn doubts_naming(caveats: &[Caveat], any_of: &[String]) -> Vec<Other> {
    let is_word = |text: &str, name: &str| {
        let mut words = text.split(|c: char| !c.is_alphanumeric() && c != '-');
        words.any(|word| word == name)
    };
    let said = json::caveats(caveats);
    let others = caveats.iter().zip(said).filter_map(|(caveat, said)| {
        let is_a_slip = matches!(caveat.doubt, Doubt::Entry(_) | Doubt::AllOff { .. });
        if is_a_slip || is_of_a_result(&caveat.doubt) {
            return None;
        }
        let text = ["about", "seen", "advice"].map(|key| said[key].as_str().unwrap_or_default());
        let named = any_of.iter().any(|name| is_word(&text.join(" "), name));
        let of_balance = caveat.doubt.is_about_the_balance();
        (any_of.is_empty() || named).then(|| Other {
            // How far balances are open is what tells, where they are a little open always.
            key: match of_balance {
                true => text.concat(),
                false => format!("{} {} {named}", said["kind"], said["about"]),
            },
            text: text.join(" | "),
        })
    });
    others.collect()
}
