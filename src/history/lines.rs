//! The records of a campaign as lines of text.
//!
//! In: the text of a history file, one JSON object a line. Out: [`History`], with what a torn last line left behind.
//! This module never throws away a line: it says which bytes are whole, and the program keeps the others aside.

use serde::Deserialize;
use serde_json::Value;

use super::Record;

/// The records of one campaign, oldest first.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct History {
    /// Records that can be read.
    pub records: Vec<Record>,
    /// Bytes at the start of the file that are whole lines.
    pub whole: usize,
    /// Bytes behind them: a last line that was cut short.
    pub torn: usize,
    /// Whole lines that are no records; they stay where they are.
    pub unreadable: usize,
}

impl History {
    /// Reads the bytes of a history file.
    ///
    /// A last line without its end, or one that ends and is no record, was cut short while it was written.
    pub fn read(bytes: &[u8]) -> History {
        let mut history = History::default();
        let mut start = 0;
        while let Some(length) = bytes[start..].iter().position(|byte| *byte == b'\n') {
            let end = start + length;
            let is_last = end + 1 == bytes.len();
            match record(&bytes[start..end]) {
                Ok(record) => history.records.push(record),
                Err(_) if is_last => break,
                Err(_) => history.unreadable += 1,
            }
            start = end + 1;
        }
        history.whole = start;
        history.torn = bytes.len() - start;
        history
    }

    /// The newest record.
    pub fn last(&self) -> Option<&Record> {
        self.records.last()
    }

    /// The record that a new result on these inputs is compared with: that of the report in place, else the newest
    /// one that was worked out from anything else.
    pub fn before(&self, inputs: &str, in_place: Option<&str>) -> Option<&Record> {
        let newest = || self.records.iter().rev();
        let mut others = newest().filter(|record| record.inputs.digest != inputs);
        let is_in_place = |record: &&Record| Some(record.inputs.digest.as_str()) == in_place;
        let reported = newest().find(is_in_place);
        reported
            .filter(|record| record.inputs.digest != inputs)
            .or_else(|| others.next())
    }

    /// The records up to a new one, which comes last and in place of one on the same inputs.
    pub fn up_to<'a>(&'a self, new: &'a Record) -> Vec<&'a Record> {
        let records = self.records.iter();
        let others = records.filter(|record| record.inputs.digest != new.inputs.digest);
        others.chain([new]).collect()
    }

    /// Position of the record that comes next.
    pub fn next_round(&self) -> u64 {
        self.last().map_or(1, |record| record.round + 1)
    }
}

/// The record of a line, which knows whether all that the line says could be read.
fn record(line: &[u8]) -> Result<Record, serde_json::Error> {
    let written: Value = serde_json::from_slice(line)?;
    let mut record: Record = Record::deserialize(&written)?;
    let lists = [
        ("verdicts", record.verdicts.len()),
        ("figures", record.figures.len()),
        ("drift", record.drift.len()),
    ];
    let length = |key: &str| written[key].as_array().map_or(0, Vec::len);
    record.is_partial = lists.iter().any(|(key, read)| length(key) > *read);
    Ok(record)
}

/// A record as the line that is appended, its end included.
pub fn line(record: &Record) -> String {
    // A record holds texts and numbers alone, and those can always be written.
    let mut text = serde_json::to_string(record).unwrap_or_default();
    text.push('\n');
    text
}

#[cfg(test)]
mod tests {
    use super::super::{Decided, Flag, FlaggedPoint, Inputs, Says, Since, Verdict};
    use super::*;
    use crate::result::WholeResult;

    fn record(digest: &str, round: u64) -> Record {
        let inputs = Inputs {
            digest: digest.to_string(),
            program: "1".to_string(),
            parts: Vec::new(),
        };
        Record::of(&WholeResult::default(), inputs, round)
    }

    #[test]
    fn a_line_reads_back_as_the_record_it_was() {
        let kept = record("a", 1);
        let history = History::read(line(&kept).as_bytes());
        assert_eq!(history.records, [kept]);
        assert_eq!(history.torn, 0);
    }

    #[test]
    fn wherever_the_last_line_is_cut_the_lines_before_it_stay() {
        let first = line(&record("a", 1));
        let second = line(&record("b", 2));
        for cut in 1..second.len() {
            let torn = format!("{first}{}", &second[..cut]);
            let history = History::read(torn.as_bytes());
            assert_eq!(history.records.len(), 1, "cut at {cut}");
            assert_eq!(history.whole, first.len());
            assert_eq!(history.torn, cut);
        }
    }

    #[test]
    fn a_damaged_line_in_the_middle_hides_none_of_the_others() {
        let text = format!("{}?\n{}", line(&record("a", 1)), line(&record("b", 2)));
        let history = History::read(text.as_bytes());
        assert_eq!(history.records.len(), 2);
        assert_eq!(history.unreadable, 1);
        assert_eq!(history.torn, 0);
    }

    #[test]
    fn a_result_is_compared_with_what_the_reader_saw_last() {
        let history = History {
            records: vec![record("a", 1), record("b", 2)],
            ..History::default()
        };
        let before = |inputs, in_place| history.before(inputs, in_place).map(|found| found.round);
        assert_eq!(before("c", Some("b")), Some(2));
        assert_eq!(before("c", Some("a")), Some(1), "`b` was never published");
        assert_eq!(
            before("b", Some("b")),
            Some(1),
            "made anew, it says the same as before"
        );
        assert_eq!(before("b", None), Some(1));
        assert_eq!(before("c", None), Some(2));
        assert_eq!(History::default().before("a", None), None);
        assert_eq!(history.next_round(), 3);
    }

    /// A line as version 0.1 wrote it, with texts where data stand now.
    #[test]
    fn of_a_line_of_an_earlier_version_the_runs_are_kept_and_nothing_is_called_changed() {
        let earlier = r#"{"round":1,"inputs":{"digest":"a","program":"0.1.0","parts":[]},"title":"","runs":[],"left_out":[],"caveats":0,"verdicts":[{"about":"yield: lot: D and heating: kiln","says":"cannot be told apart","interval":null}],"figures":[],"drift":["yield, single values chart, B-01"]}"#;
        let history = History::read(format!("{earlier}\n").as_bytes());
        let before = history.last().expect("it is a record");
        assert!(before.is_partial && before.verdicts.is_empty());
        let mut now = record("b", 2);
        now.verdicts = vec![Verdict {
            about: Decided::Apart {
                response: "yield".into(),
                terms: Vec::new(),
            },
            says: Says::CannotBeToldApart,
            interval: None,
        }];
        now.drift = vec![FlaggedPoint {
            response: "yield".into(),
            chart: "single values".into(),
            run: "B-01".into(),
        }];
        assert_eq!(Since::between(before, &now).flags(), []);
        let same_form = record("a", 1);
        let flags = Since::between(&same_form, &now).flags();
        assert_eq!(flags, [Flag::Verdict, Flag::Drift]);
    }
}
