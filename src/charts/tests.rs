//! What holds for every kind of chart.
//!
//! In: charts of all kinds from few, many, equal, missing and hostile inputs. Out: checks on their documents.
//! This module never compares a whole picture: pictures are looked at.

use super::*;

const HOSTILE: &str = "</text><script>alert('x')</script> a|b `[x](y)` \"q\" & \u{0}µ°±·";

fn bar(value: f64) -> Bar {
    Bar {
        value,
        low: value - 1.5,
        high: value + 1.5,
    }
}

fn point(x: f64, y: f64, name: &str) -> ScatterPoint {
    ScatterPoint {
        x,
        y,
        x_bar: Some(bar(x)),
        y_bar: Some(bar(y)),
        name: Some(name.to_string()),
    }
}

/// A slot for each value, all of one name and one group.
fn slots<T>(values: &[f64], name: &str, shown: impl Fn(f64) -> T) -> Vec<Slot<T>> {
    let slot = |value: &f64| Slot {
        name: name.to_string(),
        group: Some(name.to_string()),
        shown: shown(*value),
    };
    values.iter().map(slot).collect()
}

/// Every kind of chart over the same values, with one name for everything that has a name.
fn documents(values: &[f64], name: &str) -> Vec<String> {
    let text = || name.to_string();
    let line = || {
        vec![ReferenceLine {
            value: 98.5,
            label: text(),
        }]
    };
    let points = || -> Vec<ScatterPoint> {
        let numbered = values.iter().enumerate();
        numbered
            .map(|(position, value)| point(position as f64, *value, name))
            .collect()
    };
    let run_chart = RunChart {
        question: text(),
        y_label: text(),
        series: vec![text()],
        runs: slots(values, name, |value| vec![Some(bar(value))]),
    };
    let effect_chart = EffectChart {
        question: text(),
        x_label: text(),
        rows: values
            .iter()
            .map(|value| EffectRow {
                group: text(),
                label: format!("{name} row"),
                bar: bar(*value),
            })
            .collect(),
        interval: text(),
    };
    let level = |value: f64| Level {
        mean: Some(bar(value)),
        points: vec![value; 3],
        ..Level::default()
    };
    let level_chart = LevelChart {
        failing: String::new(),
        question: text(),
        y_label: text(),
        levels: slots(values, name, level),
        interval: text(),
    };
    let scatter_chart = ScatterChart {
        question: text(),
        x_label: text(),
        y_label: text(),
        series: vec![
            ScatterSeries {
                name: text(),
                points: points(),
            };
            6
        ],
        horizontal: line(),
        note: text(),
    };
    let stack_chart = StackChart {
        question: text(),
        y_label: text(),
        layers: vec![text(); 8],
        runs: slots(values, name, |value| vec![value; 8]),
        lines: line(),
    };
    let curve_chart = CurveChart {
        question: text(),
        x_label: text(),
        y_label: text(),
        curve: values
            .iter()
            .enumerate()
            .map(|(position, value)| CurvePoint {
                x: position as f64,
                middle: *value,
                low: value - 1.0,
                high: value + 1.0,
            })
            .collect(),
        points: points(),
        band: text(),
        vertical: line(),
    };
    let mark = |value: f64| ControlMark {
        value,
        flagged: value > 98.0,
    };
    let control_run = |value: f64| ControlRun {
        low: value - 1.0,
        high: value + 1.0,
        marks: vec![mark(value); 2],
        single: Some(value),
    };
    let control_chart = ControlChart {
        question: text(),
        y_label: text(),
        statistics: vec![text(); 2],
        runs: slots(values, name, control_run),
        joined: true,
        single_name: text(),
        centre: line().remove(0),
    };
    [
        control_chart.svg(),
        run_chart.svg(),
        effect_chart.svg(),
        level_chart.svg(),
        scatter_chart.svg(),
        stack_chart.svg(),
        curve_chart.svg(),
    ]
    .into_iter()
    .map(|document| document.expect("every chart can be drawn"))
    .collect()
}

/// The texts between the tags of a document; fails on a tag that the drawing does not use.
fn texts(document: &str) -> String {
    let mut found = String::new();
    for part in document.split('<').skip(1) {
        let (tag, text) = part.split_once('>').expect("every tag is closed");
        let element = tag.trim_start_matches('/').split([' ', '/']).next();
        let known = [
            "svg", "title", "rect", "polyline", "polygon", "circle", "text",
        ];
        assert!(known.contains(&element.unwrap_or("")), "{tag}");
        found.push_str(text);
    }
    found
}

#[test]
fn hostile_names_are_inert() {
    for document in documents(&[60.0, 70.0, 80.0], HOSTILE) {
        assert!(!document.contains(['|', '`', '[', ']', '\u{0}']));
        let texts = texts(&document);
        assert!(texts.contains("&lt;/text&gt;&lt;script&gt;"));
        assert!(!texts.contains(['"', '\'']));
        assert!(!texts.contains("&amp;lt;") && !texts.contains("&amp;#"));
    }
}

#[test]
fn without_a_value_a_chart_says_so() {
    for values in [vec![], vec![f64::NAN, f64::INFINITY]] {
        for document in documents(&values, "B-001") {
            assert!(document.contains("nothing to show"));
            assert!(document.contains("<title>B-001</title>"));
        }
    }
}

#[test]
fn no_coordinate_is_ever_out_of_range() {
    let many: Vec<f64> = (0..300).map(|run| 60.0 + f64::from(run % 17)).collect();
    let odd = vec![
        f64::NAN,
        1e-320,
        -1e149,
        1e149,
        f64::MAX,
        f64::INFINITY,
        0.0,
    ];
    for values in [vec![71.4], vec![0.0; 5], vec![-3.0; 64], many, odd] {
        for document in documents(&values, "B-001") {
            texts(&document);
            assert!(!document.contains("NaN") && !document.contains("inf"));
            assert!(!document.contains(&i32::MAX.to_string()));
            assert!(!document.contains(&i32::MIN.to_string()));
        }
    }
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let values = [60.0, 72.5, 81.25];
    assert_eq!(documents(&values, "B-001"), documents(&values, "B-001"));
}

#[test]
fn sizes_of_letters_are_whole_units() {
    for document in documents(&[60.0, 70.0], "B-001") {
        for size in document.split("font-size=\"").skip(1) {
            let (size, _) = size.split_once('"').expect("an attribute is closed");
            assert!(size.parse::<u32>().is_ok(), "{size}");
        }
    }
}
