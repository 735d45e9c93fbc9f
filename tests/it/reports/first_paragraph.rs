//! Does the first paragraph of a report say what its tables say?
//!
//! In: a committed report. Out: one test a campaign, which reads the sentences back and works out each figure from
//! `tables/*.csv`, and finds it again in the table of the section that it sums up.
//! This module never takes a figure from `result.json`, which another test compares with the rest.

use std::collections::BTreeMap;

use super::{Files, campaign, committed, text};
use crate::support::check_printed;

/// How much the ends of a range, printed with four digits, may change a difference: half a unit of 1000 at each end.
const ROUNDING_OF_THE_ENDS: f64 = 0.001;

/// Rows of a CSV table, each cell under its heading.
type Rows = Vec<BTreeMap<String, String>>;

/// What one sentence about an effect says.
#[derive(Debug)]
struct Sentence {
    factor: String,
    compared: Compared,
    /// Level at which an amount was varied.
    at: Option<Level>,
    /// The difference with its sign, as printed.
    change: String,
    /// Half the width of its interval, as printed.
    half_width: String,
}

#[derive(Debug)]
enum Compared {
    Levels { level: String, against: String },
    Range { from: f64, to: f64, ends: String },
}

#[derive(Debug)]
struct Level {
    factor: String,
    level: String,
}

fn rows(files: &Files, path: &str, separator: char) -> Rows {
    let text = text(files, path).trim_start_matches('\u{feff}');
    let mut lines = text.lines().map(|line| cells(line, separator));
    let headings = lines.next().expect("a line of headings");
    lines
        .map(|cells| headings.iter().cloned().zip(cells).collect())
        .collect()
}

fn cells(line: &str, separator: char) -> Vec<String> {
    let mut quoted = false;
    line.split(|letter| {
        quoted ^= letter == '"';
        letter == separator && !quoted
    })
    .map(|cell| cell.trim_matches('"').to_string())
    .collect()
}

fn figure(row: &BTreeMap<String, String>, heading: &str) -> Option<f64> {
    row[heading].parse().ok()
}

fn sentence(text: &str) -> Sentence {
    let (left, right) = text.split_once(" gave ").expect("a finding");
    let words: Vec<&str> = right.split(' ').collect();
    let ["points", direction] = words[3..5] else {
        panic!("not in points: {text}");
    };
    let sign = match direction {
        "more" => '+',
        "less" => '−',
        other => panic!("`{other}` in: {text}"),
    };
    let (at, left) = match left.split_once(", ") {
        Some((place, rest)) => (Some(place), rest),
        None => (None, left),
    };
    let at = at.map(|place| {
        let (factor, level) = place
            .strip_prefix("With ")
            .and_then(|place| place.split_once(' '))
            .expect("a factor and its level");
        Level {
            factor: factor.to_string(),
            level: level.to_string(),
        }
    });
    let range = left
        .get(1..)
        .and_then(|rest| rest.strip_prefix("oing from "));
    let (factor, compared) = match range {
        Some(range) => {
            let (ends, factor) = range.rsplit_once(' ').expect("a range and a factor");
            let numbers: Vec<f64> = ends
                .split(' ')
                .filter_map(|word| word.parse().ok())
                .collect();
            let compared = Compared::Range {
                from: numbers[0],
                to: numbers[1],
                ends: ends.to_string(),
            };
            (factor.to_string(), compared)
        }
        None => {
            let (factor, level) = left.split_once(' ').expect("a factor and its level");
            let against = right.rsplit_once(" than ").expect("a baseline").1;
            let compared = Compared::Levels {
                level: level.to_string(),
                against: against.to_string(),
            };
            (factor.to_lowercase(), compared)
        }
    };
    Sentence {
        factor,
        compared,
        at,
        change: format!("{sign}{}", words[0]),
        half_width: words[2].to_string(),
    }
}

impl Sentence {
    /// How the table of the section calls the same comparison.
    fn label(&self) -> String {
        match (&self.compared, &self.at) {
            (Compared::Levels { level, against }, _) => {
                format!("{}: {level} against {against}", self.factor)
            }
            (Compared::Range { ends, .. }, None) => format!("{} from {ends}", self.factor),
            (Compared::Range { ends, .. }, Some(at)) => {
                format!(
                    "{} from {ends} with {} {}",
                    self.factor, at.factor, at.level
                )
            }
        }
    }

    fn change(&self) -> f64 {
        ascii(&self.change).parse().expect("a number")
    }
}

fn ascii(printed: &str) -> String {
    printed.replace('−', "-").replace('+', "")
}

/// The difference that the terms or the adjusted means come to [points].
fn from_tables(files: &Files, said: &Sentence) -> f64 {
    match &said.compared {
        Compared::Levels { level, against } => {
            let means = rows(files, "tables/adjusted-means.csv", ',');
            let mean = |level: &str| {
                let row = means.iter().find(|row| {
                    row["response"] == "yield"
                        && row["factor"] == said.factor
                        && row["level"] == level
                });
                row.and_then(|row| figure(row, "mean")).expect("a mean")
            };
            100.0 * (mean(level) - mean(against))
        }
        Compared::Range { from, to, .. } => {
            let terms = rows(files, "tables/terms.csv", ',');
            let value = |name: &str| {
                let row = terms
                    .iter()
                    .find(|row| row["response"] == "yield" && row["term"] == name);
                row.and_then(|row| figure(row, "value")).unwrap_or(0.0)
            };
            let joint = said.at.as_ref().map_or(0.0, |at| {
                let level = format!("{}: {}", at.factor, at.level);
                value(&format!("{level} with {}", said.factor))
                    + value(&format!("{} with {level}", said.factor))
            });
            let slope = value(&said.factor) + joint;
            let square = value(&format!("{} to the 2", said.factor));
            assert!(slope != 0.0, "no term of {}", said.factor);
            100.0 * (slope * (to - from) + square * (to * to - from * from))
        }
    }
}

fn check_finding(name: &str, files: &Files, text: &str) {
    let said = sentence(text);
    let what = format!("{name}: {text}");
    let decimals = said
        .change
        .split_once('.')
        .map_or(0, |(_, after)| after.len());
    let expected = from_tables(files, &said);
    let unit = 10f64.powi(-(decimals as i32));
    let room = 0.5 * unit + ROUNDING_OF_THE_ENDS * expected.abs();
    assert!(
        (said.change() - expected).abs() <= room,
        "{what}: {expected}"
    );
    let row = format!(
        "| {} | {} ± {} points |",
        said.label(),
        said.change,
        said.half_width
    );
    assert!(
        self::text(files, "report.md").contains(&row),
        "{what}: no row `{row}`"
    );
}

/// Half the width of the interval of a slope that is a term by itself, against the sentence about it.
fn check_half_width_of_the_baseline(files: &Files, text: &str) {
    let said = sentence(text);
    let Compared::Range { from, to, .. } = said.compared else {
        panic!("no range: {text}");
    };
    let terms = rows(files, "tables/terms.csv", ',');
    let term = terms
        .iter()
        .find(|row| row["response"] == "yield" && row["term"] == said.factor)
        .expect("the slope at the baseline");
    let [low, high] = ["low", "high"].map(|end| figure(term, end).expect("an end"));
    check_printed(text, 50.0 * (high - low) * (to - from), &said.half_width);
}

/// Smallest, largest and middle contained yield [%] of the runs that these words say something of.
fn check_spread(words: &str, mut yields: Vec<f64>) {
    let printed: Vec<&str> = words
        .split([' ', ','])
        .filter(|word| word.parse::<f64>().is_ok())
        .collect();
    yields.sort_by(f64::total_cmp);
    let half = yields.len() / 2;
    let middle = if yields.len() % 2 == 1 {
        yields[half]
    } else {
        (yields[half - 1] + yields[half]) / 2.0
    };
    let expected = [yields[0], yields[yields.len() - 1], middle];
    for (printed, expected) in printed.iter().zip(expected) {
        check_printed(words, 100.0 * expected, printed);
    }
    assert!(printed.len() >= 3, "{words}");
}

/// Contained yield of each run that fits may use.
fn contained(files: &Files) -> Vec<(String, f64)> {
    rows(files, "tables/yields.csv", ',')
        .iter()
        .filter(|row| row["set_aside"].is_empty())
        .filter_map(|row| Some((row["run"].clone(), figure(row, "contained")?)))
        .collect()
}

/// The sentences of the first paragraph, the one about the spread first.
fn sentences(files: &Files) -> Vec<String> {
    let paragraph = text(files, "report.md")
        .lines()
        .find(|line| line.starts_with("Run by run, "))
        .expect("a first paragraph");
    let paragraph = paragraph.strip_suffix('.').expect("a full stop");
    paragraph.split(". ").map(str::to_string).collect()
}

fn check_findings(name: &str, files: &Files) {
    let findings = &sentences(files)[1..];
    assert!(!findings.is_empty(), "{name} tells no finding");
    for finding in findings {
        check_finding(name, files, finding);
    }
    let sizes: Vec<f64> = findings
        .iter()
        .map(|text| sentence(text).change().abs())
        .collect();
    assert!(
        sizes.is_sorted_by(|a, b| a >= b),
        "{name}: largest first: {sizes:?}"
    );
}

#[test]
fn the_first_paragraph_of_bluestone_agrees_with_its_tables() {
    let files = committed("bluestone");
    let yields = contained(&files).into_iter().map(|(_, value)| value);
    check_spread(&sentences(&files)[0], yields.collect());
    check_findings("bluestone", &files);
    let at_the_baseline: Vec<String> = sentences(&files)
        .into_iter()
        .filter(|text| text.starts_with("With route chill, "))
        .collect();
    assert_eq!(at_the_baseline.len(), 1);
    check_half_width_of_the_baseline(&files, &at_the_baseline[0]);
}

#[test]
fn the_first_paragraph_of_iodate_agrees_with_its_tables() {
    let files = committed("iodate");
    let log = super::read(&campaign("iodate"));
    let routes: BTreeMap<String, String> = rows(&log, "charges.csv", ';')
        .iter()
        .map(|row| (row["Charge"].clone(), row["Way taken"].clone()))
        .collect();
    let spread = &sentences(&files)[0];
    let parts: Vec<&str> = spread.split("; ").collect();
    // The ceilings of data-demo/iodate/campaign.toml: a sixth and all of the iodine.
    for (part, [route, ceiling]) in parts.iter().zip([["lye", "16.7"], ["chlorate", "100.0"]]) {
        let yields = contained(&files)
            .into_iter()
            .filter(|(run, _)| routes[run] == route);
        check_spread(part, yields.map(|(_, value)| value).collect());
        let words = format!(" by {route}, which allows {ceiling} %");
        assert!(part.ends_with(&words), "{part}");
    }
    assert_eq!(parts.len(), 2);
    check_findings("iodate", &files);
    let at_the_baseline: Vec<String> = sentences(&files)
        .into_iter()
        .filter(|text| text.starts_with("With route lye, "))
        .collect();
    assert_eq!(at_the_baseline.len(), 1);
    check_half_width_of_the_baseline(&files, &at_the_baseline[0]);
}
