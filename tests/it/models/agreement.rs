//! Do the tables on levels and scatter say what the JSON says, and the sentences what the tables say?
//!
//! In: the committed reports. Out: [`Report`], read by section, and a test a table or sentence.
//! This module never works out a figure; `reports/first_screen.rs` holds the first screen against the tables.

use std::path::Path;

use serde_json::Value;

use crate::support::{check_printed, list, member, number, without_links};

/// Yields and purities are fractions in the JSON and printed in points.
const POINTS: f64 = 100.0;

/// A committed report with its result.
pub struct Report {
    text: String,
    result: Value,
}

/// What reading decimals into binary64 may add to half a unit of a printed figure.
const READING: f64 = 1e-9;

/// `+5.5 ± 1.4`, as printed.
#[derive(Debug, PartialEq)]
struct Printed {
    value: String,
    half_width: String,
}

impl Report {
    /// The report on a demo campaign.
    pub fn committed(name: &str) -> Self {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("reports")
            .join(name);
        let read = |file: &str| std::fs::read_to_string(folder.join(file)).expect("a report");
        Self {
            text: without_links(&read("report.md")),
            result: serde_json::from_str(&read("result.json")).expect("JSON"),
        }
    }

    /// The line of the first screen that answers this question.
    pub fn answer(&self, question: &str) -> &str {
        let screen = self.text.split("\n## ").next().expect("a first screen");
        let start = format!("- **{question}** ");
        screen
            .lines()
            .find_map(|line| line.strip_prefix(&start))
            .unwrap_or_else(|| panic!("no answer to `{question}`"))
    }

    /// What stands below a heading of the second level.
    pub fn section(&self, heading: &str) -> &str {
        let start = format!("\n{heading}\n");
        let section = self.text.split_once(&start).expect("the section").1;
        section.split("\n## ").next().expect("its text")
    }

    /// The model of this response.
    pub fn model(&self, response: &str) -> &Value {
        member(list(&self.result, "models"), "response", response).expect("the model")
    }

    fn responses(&self) -> Vec<&str> {
        list(&self.result, "models")
            .iter()
            .map(|model| model["response"].as_str().expect("a name"))
            .collect()
    }
}

/// The rows of the first table after a heading, without its headings.
fn table<'a>(section: &'a str, heading: &str) -> Vec<Vec<&'a str>> {
    let below = section.split_once(&format!("{heading}\n"));
    first_table(below.unwrap_or_else(|| panic!("no `{heading}`")).1)
}

/// The rows of the first table of a text, which in a section on a response is that of all changes.
fn first_table(text: &str) -> Vec<Vec<&str>> {
    text.lines()
        .skip_while(|line| !line.starts_with('|'))
        .take_while(|line| line.starts_with('|'))
        .skip(2)
        .map(cells)
        .collect()
}

fn cells(row: &str) -> Vec<&str> {
    row.trim_matches('|').split('|').map(str::trim).collect()
}

fn printed(text: &str) -> Printed {
    let words: Vec<&str> = text.split(' ').collect();
    let [value, "±", half_width] = words[..3] else {
        panic!("not a figure with its ±: {text}");
    };
    let ascii = |text: &str| text.replace('−', "-").replace('+', "");
    Printed {
        value: ascii(value),
        half_width: ascii(half_width),
    }
}

fn check_probability(what: &str, text: &str, p: f64) {
    match text {
        "below 0.1 %" => assert!(p < 0.001, "{what}: {p}"),
        "above 99.9 %" => assert!(p > 0.999, "{what}: {p}"),
        figure => {
            let percent = figure.strip_suffix(" %").expect("a chance in per cent");
            check_printed(what, 100.0 * p, percent);
        }
    }
}

/// Half the distance of the ends of an interval.
fn half_width(interval: &Value) -> f64 {
    let [low, high] = [0, 1].map(|end: usize| interval[end].as_f64().expect("an end"));
    (high - low) / 2.0
}

/// The heading below which the pairs and the scatter of a response stand.
fn behind(response: &str) -> String {
    format!("## Behind answer 3 {response}")
}

fn levels_heading(factor: &str) -> String {
    let (first, rest) = factor.split_at(1);
    let first = first.to_uppercase();
    format!("### {first}{rest}: which levels differ, all pairs taken together?")
}

fn compared<'a>(model: &'a Value, factor: &str) -> Vec<&'a Value> {
    list(model, "comparisons")
        .iter()
        .filter(|pair| pair["factor"] == factor)
        .collect()
}

fn choices(model: &Value) -> Vec<&String> {
    let means = model["adjusted_means"].as_object().expect("means");
    means.keys().collect()
}

fn check_pairs(report: &Report, response: &str, model: &Value) {
    let changes = first_table(report.section(&format!("## 3 What moves {response}?")));
    let section = report.section(&behind(response));
    for factor in choices(model) {
        let mut alone = 0;
        let pairs = compared(model, factor);
        let rows = table(section, &levels_heading(factor));
        assert_eq!(rows.len(), pairs.len(), "{factor}: each pair once");
        for (row, pair) in rows.iter().zip(pairs) {
            let [level, against] =
                ["level", "against"].map(|key| pair[key].as_str().expect("a level"));
            let what = format!("{level} against {against}");
            assert_eq!(row[0], what);
            let cell = printed(row[1]);
            check_printed(&what, POINTS * number(pair, "value"), &cell.value);
            let half = half_width(&pair["interval"]);
            check_printed(&what, POINTS * half, &cell.half_width);
            check_probability(&what, row[2], number(pair, "p"));
            // The same change stands in the table of changes where its interval holds for that line alone.
            let line = format!("{factor}: {what}");
            if let Some(change) = changes.iter().find(|change| change[0] == line) {
                check_wider(&what, &cell, &printed(change[1]));
                alone += 1;
            }
        }
        // Every level that can be told stands there once, against the baseline.
        let baseline = list(model, "against_baseline").iter();
        let against_baseline = baseline.filter(|pair| pair["factor"] == **factor).count();
        assert_eq!(alone, against_baseline, "{factor}");
    }
}

/// Intervals that hold together are no narrower than those that hold one by one, about the same value.
fn check_wider(what: &str, together: &Printed, alone: &Printed) {
    let width = |printed: &Printed| printed.half_width.parse::<f64>().expect("a width");
    let value = |printed: &Printed| printed.value.parse::<f64>().expect("a value");
    // A wider interval may be printed with a digit less.
    let apart = (value(together) - value(alone)).abs();
    let decimals = together
        .value
        .split_once('.')
        .map_or(0, |(_, after)| after.len());
    assert!(
        apart <= 0.5 * 10f64.powi(-(decimals as i32)) + READING,
        "{what}: {apart}"
    );
    assert!(width(together) >= width(alone), "{what}");
}

#[test]
fn the_tables_of_pairs_say_what_the_comparisons_say() {
    for name in ["bluestone", "iodate"] {
        let report = Report::committed(name);
        for response in report.responses() {
            let model = report.model(response);
            assert!(!choices(model).is_empty(), "{name} compares nothing");
            check_pairs(&report, response, model);
        }
    }
}

#[test]
fn the_pairs_that_cannot_be_told_are_those_of_the_level_that_cannot() {
    let report = Report::committed("bluestone");
    for response in report.responses() {
        let section = report.section(&behind(response));
        let heading = levels_heading("heating");
        let below = section.split_once(&heading).expect("the table").1;
        let sentence = below
            .lines()
            .find_map(|line| line.split_once("Not to be told from this log: "))
            .expect("pairs that cannot be told")
            .1
            .trim_end_matches('.');
        let pairs: Vec<&str> = sentence.split(", ").collect();
        // Four levels make six pairs; three of them need the kiln.
        assert_eq!(pairs.len(), 3, "{pairs:?}");
        assert!(pairs.iter().all(|pair| pair.contains("kiln")), "{pairs:?}");
        let means = list(&report.model(response)["adjusted_means"], "heating");
        for mean in means {
            let cannot = mean["level"] == "kiln";
            assert_eq!(mean["value"].is_null(), cannot, "{mean}");
            assert_eq!(mean["reason"].is_string(), cannot, "{mean}");
        }
    }
}

#[test]
fn the_table_of_scatter_says_what_the_variance_components_say() {
    for name in ["bluestone", "iodate"] {
        let report = Report::committed(name);
        for response in report.responses() {
            let parts = list(report.model(response), "variance_components");
            if parts.len() < 2 {
                continue;
            }
            let section = report.section(&behind(response));
            let rows = table(section, "### Where does the scatter come from?");
            assert_eq!(rows.len(), parts.len(), "{name}, {response}");
            for (row, part) in rows.iter().zip(parts) {
                let named = match part["name"].as_str().expect("a name") {
                    "run to run" => "from run to run, beyond measurement".to_string(),
                    "measurement" => "measurement, as stated".to_string(),
                    block => format!("from one {block} to the next"),
                };
                assert_eq!(row[0], named);
                check_printed(&named, POINTS * number(part, "sd"), row[1]);
                let ends: Vec<&str> = row[2].split(" to ").collect();
                if part["interval"].is_null() {
                    assert_eq!(ends, ["–"], "{named}");
                } else {
                    for (end, printed) in list(part, "interval").iter().zip(ends) {
                        let end = end.as_f64().expect("an end");
                        check_printed(&named, POINTS * end, printed);
                    }
                }
            }
        }
    }
    let parts = list(
        Report::committed("bluestone").model("yield"),
        "variance_components",
    )
    .len();
    assert_eq!(parts, 3, "run to run, lots and measurement side by side");
}

/// What the first screen says of levels against another: `hob −4.9 ± 1.3 points, torch −2.4 ± 1.3 over muffle`.
fn said_of_levels(answer: &str) -> Vec<(String, Printed, String)> {
    let mut said = Vec::new();
    for part in answer.split("; ").flat_map(|part| part.split(". ")) {
        let Some((levels, against)) = part.split_once(" over ") else {
            continue;
        };
        let levels = levels.replace(" points", "");
        for level in levels.split(", ").filter(|level| level.contains(" ± ")) {
            let (name, figure) = level.split_once(' ').expect("a level and its change");
            said.push((name.to_lowercase(), printed(figure), against.to_string()));
        }
    }
    said
}

#[test]
fn what_the_first_screen_says_of_levels_stands_in_the_tables_below() {
    for (name, fewest) in [("bluestone", 3), ("iodate", 1)] {
        let report = Report::committed(name);
        let mut found = 0;
        for response in report.responses() {
            let answer = report.answer(&format!("3 What moves {response}?"));
            let section = report.section(&format!("## 3 What moves {response}?"));
            for (level, figure, against) in said_of_levels(answer) {
                let pair = format!(": {level} against {against}");
                let row = first_table(section)
                    .into_iter()
                    .find(|row| row[0].ends_with(&pair))
                    .unwrap_or_else(|| panic!("{name}: no row `{pair}`"));
                assert_eq!(printed(row[1]), figure, "{name}: {pair}");
                let reading = if figure.value.starts_with('-') {
                    "lowers it"
                } else {
                    "raises it"
                };
                assert_eq!(row[3], reading, "{name}: {pair}");
                found += 1;
            }
        }
        assert!(found >= fewest, "{name} says something of {found} pairs");
    }
}

/// `chill 3.8 ± 1.4 points less`: the lead of the best route over another, as all pairs together allow for it.
#[test]
fn the_lead_of_the_best_route_is_that_of_the_comparisons() {
    let report = Report::committed("bluestone");
    let answer = report.answer("4 Which route?").to_lowercase();
    let best = answer.split(',').next().expect("a route");
    let pairs = compared(report.model("yield"), "route");
    let mut leads = 0;
    for pair in pairs {
        let [level, against] = ["level", "against"].map(|key| pair[key].as_str().expect("a level"));
        let (sign, other) = match best {
            route if route == level => (1.0, against),
            route if route == against => (-1.0, level),
            _ => continue,
        };
        let said = answer
            .split(&format!("{other} "))
            .nth(1)
            .expect("the other route");
        let figure = printed(said);
        let way = match said
            .split([' ', ';', ',', '.'])
            .find(|word| ["less", "more"].contains(word))
        {
            Some("less") => 1.0,
            _ => -1.0,
        };
        check_printed(
            &answer,
            way * sign * POINTS * number(pair, "value"),
            &figure.value,
        );
        check_printed(
            &answer,
            POINTS * half_width(&pair["interval"]),
            &figure.half_width,
        );
        leads += 1;
    }
    assert_eq!(leads, 2, "{best} against both other routes");
}
