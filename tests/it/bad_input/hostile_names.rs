//! Are names from the logs shown as what they are, and do they do nothing?
//!
//! In: campaigns whose runs, lots, levels or titrants have names with markup, formulas, paths and control characters.
//! Out: tests of every file of the report and of the terminal.
//! This module never judges how a name looks.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use pulldown_cmark::{Event, Tag};
use serde_json::Value;

use super::bench::{CAMPAIGN, write_campaign};
use super::output::files_below;
use super::promises::call;
use super::reading::{cells, elements};
use crate::markdown::{emphasised, events};
use crate::support::{CampaignFolder, list};

/// Names that would do harm where they are shown; `hostile_calls.rs` puts them where a message shows them.
pub const HOSTILE: [&str; 35] = [
    "</text><script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "a|b",
    "`code`",
    "[x](y)",
    "![x](y)",
    "=1+1",
    "+1",
    "-1",
    "@x",
    "../../x",
    "line\nbreak",
    "\u{1f9ea}",
    "\"quoted\"",
    "<!--",
    "]]>",
    "&lt",
    "\u{1b}[31mred\u{1}",
    "\u{9b}31mred",
    "\u{1b}]0;owned\u{7}",
    "left\u{202e}thgir",
    "\u{2066}apart\u{2069}",
    "no\u{200b}where",
    "wipe\u{8}\u{7f}",
    "para\u{2029}graph",
    "http://a.test/x_y",
    "www.a.test",
    "post@a.test",
    "_leans_",
    "__stands__",
    "*leans*",
    "~~gone~~",
    "$x^2$",
    "a;=cmd()",
    "a\t@cmd()",
];

/// Whether a character would steer a terminal or turn the direction of reading.
///
/// # Source
/// Unicode 16: category Cc, and the marks of Unicode Standard Annex 9, section 2.
pub fn steers(c: char) -> bool {
    let turns = "\u{61c}\u{200e}\u{200f}\u{202a}\u{202b}\u{202c}\u{202d}\u{202e}\u{2066}\u{2067}\u{2068}\u{2069}";
    turns.contains(c)
        || "\u{200b}\u{2028}\u{2029}\u{feff}".contains(c)
        || (c.is_control() && !"\n\t".contains(c))
}

/// A text as it is shown, what steers as JSON writes it.
pub fn shown(text: &str) -> String {
    let shown = text.chars().map(|c| match steers(c) {
        true => format!("\\u{:04x}", u32::from(c)),
        false => c.to_string(),
    });
    shown.collect()
}

/// What is hostile in a campaign.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Hostile {
    Runs,
    Lots,
    Levels,
    Titrants,
}

const EVERYTHING: [Hostile; 4] = [
    Hostile::Runs,
    Hostile::Lots,
    Hostile::Levels,
    Hostile::Titrants,
];

/// All names that a log may hold: what nobody sees is refused there (`words.rs`), and for lots `;` parts those of a run.
fn names(hostile: Hostile) -> Vec<String> {
    let mut names: Vec<String> = HOSTILE.iter().map(ToString::to_string).collect();
    names.push("n".repeat(200));
    names.retain(|name| !name.contains(['\u{200b}', '\u{2029}', '\u{202e}', '\u{2066}']));
    names.retain(|name| hostile != Hostile::Lots || !name.contains(';'));
    names
}

fn quoted(cell: &str) -> String {
    format!("\"{}\"", cell.replace('"', "\"\""))
}

/// A campaign of two runs for each name; everything but what is hostile has a plain name.
fn write_hostile(folder: &Path, hostile: Hostile) {
    let names = names(hostile);
    let name = |kind: Hostile, run: usize, plain: &str| {
        if kind == hostile {
            quoted(&names[run % names.len()])
        } else {
            plain.to_string()
        }
    };
    let mut runs = String::from("run,lot,feed_mass,heating\n");
    let mut lots = String::from("lot,assay,u_assay\n");
    let mut crops = String::from("run,crop,mass\n");
    let mut titres = String::from("run,crop,sample_mass,titrant,titre\n");
    let mut titrants = String::from("titrant,concentration,u_concentration\n");
    let mut residues = String::from("run,mass,assay\n");
    for position in 0..2 * names.len() {
        let run = if position < names.len() {
            name(Hostile::Runs, position, &format!("R{position}"))
        } else {
            format!("R{position}")
        };
        let lot = name(Hostile::Lots, position, "A");
        let level = name(Hostile::Levels, position, ["muffle", "hob"][position % 2]);
        let titrant = name(Hostile::Titrants, position, "T1");
        runs.push_str(&format!("{run},{lot},100,{level}\n"));
        crops.push_str(&format!("{run},1,{}\n", 58 + position % 5));
        titres.push_str(&format!("{run},1,0.1600,{titrant},20.00\n"));
        residues.push_str(&format!("{run},{},0.60\n", 36 - position % 5));
        if position < names.len() && (position == 0 || hostile == Hostile::Lots) {
            lots.push_str(&format!("{lot},0.80,0.004\n"));
        }
        if position < names.len() && (position == 0 || hostile == Hostile::Titrants) {
            titrants.push_str(&format!("{titrant},0.1,0.0001\n"));
        }
    }
    write_campaign(folder, &[]);
    for (file, text) in [
        (
            "campaign.toml",
            CAMPAIGN.replace("baseline = \"muffle\"\n", ""),
        ),
        ("runs.csv", runs),
        ("lots.csv", lots),
        ("crops.csv", crops),
        ("titres.csv", titres),
        ("titrants.csv", titrants),
        ("residues.csv", residues),
    ] {
        std::fs::write(folder.join(file), text)
            .expect("a file can be written to a temporary folder");
    }
}

/// The files of a report by their path below its folder.
fn report(hostile: Hostile) -> BTreeMap<String, String> {
    let place = CampaignFolder::new();
    let campaign = place.path().join("scale");
    write_hostile(&campaign, hostile);
    let out = place.path().join("out");
    let outcome = call("report", &campaign, &out, &["--quiet"]);
    assert_eq!(outcome.exit_code, 0, "{hostile:?}: {}", outcome.stderr);
    let below = |path: PathBuf| {
        path.strip_prefix(&out)
            .expect("the file is below the output folder")
            .to_string_lossy()
            .into_owned()
    };
    files_below(&out)
        .into_iter()
        .map(|(path, bytes)| {
            (
                below(path),
                String::from_utf8(bytes).expect("each file is UTF-8"),
            )
        })
        .collect()
}

#[test]
fn no_path_of_a_report_holds_a_name_from_a_log() {
    for hostile in EVERYTHING {
        for path in report(hostile).keys() {
            // A digit counts the pictures of one kind.
            let plain = |c: char| matches!(c, 'a'..='z' | '0'..='9' | '/' | '-' | '.');
            assert!(path.chars().all(plain), "{hostile:?}: {path}");
            for part in ["..", "script", "code", "quoted", "nnn", "red"] {
                assert!(!path.contains(part), "{hostile:?}: {path}");
            }
        }
    }
}

#[test]
fn no_file_of_a_report_steers_the_terminal_that_shows_it() {
    for hostile in EVERYTHING {
        for (path, text) in report(hostile) {
            assert_eq!(
                text.chars().find(|c| steers(*c)),
                None,
                "{hostile:?}: {path}"
            );
        }
    }
}

#[test]
fn names_are_inert_in_the_page() {
    for hostile in EVERYTHING {
        let page = &report(hostile)["scale/report.md"];
        for event in events(page) {
            match event {
                Event::Html(html) | Event::InlineHtml(html) => {
                    assert_eq!(&*html, "<br>", "{hostile:?}: a tag");
                }
                Event::Start(Tag::Link { dest_url, .. }) => {
                    assert!(dest_url.starts_with('#'), "{hostile:?}: {dest_url}");
                }
                Event::Start(Tag::Image { dest_url, .. }) => {
                    assert!(dest_url.starts_with("charts/"), "{hostile:?}: {dest_url}");
                }
                Event::Start(Tag::Strikethrough) => panic!("{hostile:?}: struck out"),
                Event::InlineMath(text) | Event::DisplayMath(text) => panic!("{hostile:?}: {text}"),
                _ => {}
            }
        }
        let leans = emphasised(page).iter().any(|text| text.contains("lean"));
        assert!(!leans, "{hostile:?}: a name leans");
        for address in ["http://a.test/x_y", "www.a.test", "post@a.test"] {
            let all = page.matches(address).count();
            let in_code = |event: Event| match event {
                Event::Code(code) => code.matches(address).count(),
                _ => 0,
            };
            let as_code: usize = events(page).map(in_code).sum();
            assert_eq!(all, as_code, "{hostile:?}: {address} is no code");
        }
    }
}

#[test]
fn names_of_runs_are_readable_in_the_page() {
    let page = &report(Hostile::Runs)["scale/report.md"];
    for shown in [
        "&lt;/text>&lt;script>alert(1)&lt;/script>",
        "a&#124;b",
        "`code`",
        "&#91;x&#93;(y)",
        "../../x",
        "line break",
        "\u{1f9ea}",
        "&amp;lt",
        "&#92;u001b&#91;31mred&#92;u0001",
        "`http://a.test/x_y`",
        "&#95;leans&#95;",
        "&#36;x^2&#36;",
    ] {
        assert!(page.contains(shown), "{shown}");
    }
}

#[test]
fn names_are_inert_in_every_picture() {
    for hostile in EVERYTHING {
        for (path, text) in report(hostile) {
            if path.ends_with(".svg") {
                let elements = elements(&text);
                for element in ["script", "img", "a", "foreignObject"] {
                    assert!(
                        !elements.iter().any(|name| name == element),
                        "{path}: <{element}>"
                    );
                }
            }
        }
    }
}

#[test]
fn no_cell_of_a_table_is_a_formula() {
    for hostile in EVERYTHING {
        for (path, text) in report(hostile) {
            if !path.ends_with(".csv") {
                continue;
            }
            let rows = cells(&text);
            // Also where a spreadsheet splits at something else, and minds no quotes.
            let cells = rows.iter().flatten().map(String::as_str);
            let pieces = text.split([';', '\t', '\n', ',']);
            for cell in cells.chain(pieces) {
                let cell = cell.trim_matches(['"', ' ']);
                assert!(!cell.starts_with(['=', '+', '@']), "{path}: {cell}");
                assert!(
                    !cell.starts_with('-') || cell.parse::<f64>().is_ok(),
                    "{path}: {cell}"
                );
            }
            assert!(
                rows.iter().all(|row| row.len() == rows[0].len()),
                "{path} is ragged"
            );
        }
    }
}

#[test]
fn names_of_runs_stand_in_the_table_of_yields_with_an_apostrophe_where_needed() {
    let rows = cells(&report(Hostile::Runs)["scale/tables/yields.csv"]);
    let first: Vec<&str> = rows.iter().map(|row| row[0].as_str()).collect();
    for guarded in [
        "'=1+1",
        "'+1",
        "'-1",
        "'@x",
        "a|b",
        "line\nbreak",
        "\"quoted\"",
        "a;'=cmd()",
        "a\t'@cmd()",
        "\\u001b[31mred\\u0001",
    ] {
        assert!(first.contains(&guarded), "{guarded:?} is not in {first:?}");
    }
    assert!(!first.contains(&"-1"));
}

#[test]
fn the_result_carries_every_name_as_it_was_logged() {
    for hostile in EVERYTHING {
        let result: Value =
            serde_json::from_str(&report(hostile)["scale/result.json"]).expect("JSON");
        let found: Vec<&Value> = match hostile {
            Hostile::Runs => list(&result, "yields")
                .iter()
                .map(|line| &line["run"])
                .collect(),
            Hostile::Lots => list(&result, "yields")
                .iter()
                .map(|line| &line["lot"])
                .collect(),
            Hostile::Titrants => list(&result, "titrants")
                .iter()
                .map(|line| &line["titrant"])
                .collect(),
            Hostile::Levels => list(&result["models"][0]["adjusted_means"], "heating")
                .iter()
                .map(|level| &level["level"])
                .collect(),
        };
        for name in &names(hostile) {
            assert!(
                found.iter().any(|value| *value == name),
                "{hostile:?}: {name:?}"
            );
        }
    }
}

#[test]
fn a_name_can_neither_colour_nor_split_a_line_of_the_terminal() {
    let place = CampaignFolder::new();
    for hostile in EVERYTHING {
        let campaign = place.path().join(format!("{hostile:?}"));
        write_hostile(&campaign, hostile);
        for name in ["yields", "fit", "check"] {
            let outcome = call(name, &campaign, place.path(), &[]);
            let told = format!("{}{}", outcome.stdout, outcome.stderr);
            let odd = told.chars().find(|c| steers(*c) || *c == '\t');
            assert_eq!(odd, None, "{name}: {hostile:?}");
            assert!(!told.contains("line\nbreak"), "{name}: {hostile:?}");
        }
        let yields = call("yields", &campaign, place.path(), &["--quiet"]);
        // A line for the headings, one a run, one that says what ± is.
        assert_eq!(yields.stdout.lines().count(), 2 * names(hostile).len() + 2);
    }
}

#[test]
fn a_hostile_title_is_inert_too() {
    let place = CampaignFolder::new();
    let campaign = place.path().join("scale");
    write_campaign(&campaign, &[]);
    let toml = CAMPAIGN.replace(
        "Copper oxide purified from scale",
        "<script>a|b</script> `x` [x](y)",
    );
    std::fs::write(campaign.join("campaign.toml"), toml).expect("a file can be written");
    let out = place.path().join("out");
    assert_eq!(call("report", &campaign, &out, &["--quiet"]).exit_code, 0);
    let page = std::fs::read_to_string(out.join("scale/report.md")).expect("the report is text");
    assert!(!page.contains("<script") && !page.contains("a|b") && !page.contains("[x](y)"));
    assert!(page.contains("&lt;script>a&#124;b"));
}
