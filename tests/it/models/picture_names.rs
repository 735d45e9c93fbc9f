//! Does a picture of what is left over name the runs that the diagnostics call out, and no others?
//!
//! In: a plain campaign, as it is and with a slip in one run. Out: a test each.
//! This module never takes the slip from residuum: the test makes it.

use std::ffi::OsStr;

use super::plain::{HEADINGS, folder};
use crate::support::{CampaignFolder, residuum};

/// The run that gets the slip.
const SLIPPED: &str = "R17";

/// Forty runs of a straight line with a small scatter that repeats itself every seven runs.
fn rows(slip: f64) -> Vec<String> {
    (1..=40)
        .map(|run| {
            let name = format!("R{run:02}");
            let heating = ["hob", "muffle"][run % 2];
            let time = (run * 7) % 11;
            let scatter = ((run * run) % 7) as f64 / 10.0;
            let slip = if name == SLIPPED { slip } else { 0.0 };
            let colour = 20.0 + 0.5 * time as f64 + scatter + slip;
            format!("{name},{heating},{time},{colour}")
        })
        .collect()
}

/// The pictures of what is left over, as SVG.
fn pictures(slip: f64) -> Vec<String> {
    let campaign = folder("effects = [\"heating\", \"time\"]\n", HEADINGS, &rows(slip));
    let out = CampaignFolder::new();
    let outcome = residuum(&[
        OsStr::new("report"),
        campaign.path().as_os_str(),
        OsStr::new("--out"),
        out.path().as_os_str(),
    ]);
    assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
    let report = outcome.stdout.trim();
    let charts = std::path::Path::new(report).with_file_name("charts");
    let files = std::fs::read_dir(charts).expect("pictures");
    files
        .map(|file| file.expect("a file").path())
        .filter(|path| path.to_string_lossy().contains("left-over"))
        .map(|path| std::fs::read_to_string(path).expect("an SVG"))
        .collect()
}

#[test]
fn a_run_with_a_slip_is_named_alone() {
    let pictures = pictures(9.0);
    assert_eq!(pictures.len(), 2);
    for picture in pictures {
        assert!(picture.contains("\nR17\n"));
        assert_eq!(picture.matches("\nR").count(), 1);
        assert!(picture.contains("named: runs further off than chance explains"));
    }
}

#[test]
fn nobody_is_named_where_nothing_slipped() {
    let pictures = pictures(0.0);
    assert_eq!(pictures.len(), 2);
    for picture in pictures {
        assert_eq!(picture.matches("\nR").count(), 0);
        assert!(picture.contains("no run lies further off than chance explains"));
    }
}
