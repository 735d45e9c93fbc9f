//! Does the report answer question 8?
//!
//! In: a campaign with a step, and one without. Out: tests of the first screen, the section, the pictures and the table.
//! This module never reads a committed report.

use std::ffi::OsStr;
use std::fs;

use super::stepped::{Process, campaign};
use crate::support::{residuum, without_links};

const SEED: u64 = 404_015;

/// Limits so wide that nothing flags by luck.
const WIDE: &str = "[drift]\nlimits = 8\ncusum = { decision = 40 }\n";

/// Files of the one report that is written for a process.
struct Written {
    page: String,
    table: String,
    pictures: Vec<String>,
}

fn report(process: Process, drift: &str) -> Written {
    let invented = campaign(process, SEED, 0);
    let folder = invented
        .edited(|text| text.replace("[drift]\n", drift))
        .folder();
    let out = tempfile::tempdir().expect("a temporary folder can be made");
    let arguments = [
        OsStr::new("report"),
        folder.path().as_os_str(),
        OsStr::new("--out"),
        out.path().as_os_str(),
        OsStr::new("--quiet"),
    ];
    let outcome = residuum(&arguments);
    assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
    let page = outcome.stdout.trim_end().to_string();
    let home = std::path::Path::new(&page)
        .parent()
        .expect("a folder")
        .to_path_buf();
    let read = |name: &str| fs::read_to_string(home.join(name)).expect("a file of the report");
    let mut pictures: Vec<String> = fs::read_dir(home.join("charts"))
        .expect("a folder of pictures")
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| name.starts_with("drift-"))
        .collect();
    pictures.sort();
    Written {
        page: read("report.md"),
        table: read("tables/drift.csv"),
        pictures,
    }
}

fn answer(page: &str) -> String {
    let mut lines = page.lines().map(without_links);
    let found = lines.find_map(|line| {
        let answer = line.strip_prefix("- **8 Does it drift?** ");
        answer.map(str::to_string)
    });
    found.expect("a line of the first screen")
}

#[test]
fn a_step_stands_on_the_first_screen_with_run_size_and_cause() {
    let written = report(
        Process {
            step: 2.5,
            ..Process::STEPPED
        },
        "[drift]
",
    );
    let line = answer(&written.page);
    assert!(line.starts_with("Output "), "{line}");
    assert!(line.contains(" SD) high at S-"), "{line}");
    assert!(line.ends_with("*open*"), "{line}");
    let section = written.page.split_once("\n## 8 Does it drift?\n");
    let section = section.expect("a section").1;
    assert!(
        section.contains("Output: flagged at S-") && section.contains(" SD) high since about S-")
    );
    assert!(section.contains("candidate cause") || section.contains("nothing in the log"));
    assert!(written.page.contains("Taken out: heating: hob, excess."));
}

#[test]
fn every_chart_has_its_picture_and_its_rows() {
    let written = report(
        Process {
            step: 0.0,
            lots: 0.0,
            ..Process::STEPPED
        },
        WIDE,
    );
    let names = ["added-up", "recent", "single"].map(|what| format!("drift-response-1-{what}.svg"));
    assert_eq!(written.pictures, names);
    for name in &names {
        assert!(
            written.page.contains(&format!("](charts/{name})")),
            "{name}"
        );
    }
    // 64 runs in three charts, and the heading.
    assert_eq!(written.table.lines().count(), 3 * 64 + 1);
    assert!(
        written
            .table
            .starts_with("response,unit,chart,run,lot,value,charted,statistic,")
    );
    let line = answer(&written.page);
    assert!(line.starts_with("No flag in output. "), "{line}");
    assert!(
        written
            .page
            .contains("Nothing out of the ordinary in output (centre ")
    );
    assert!(line.ends_with("*settled*"), "{line}");
}
