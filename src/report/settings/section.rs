//! The section of question 6: which settings are best.
//!
//! In: the best settings. Out: its section of the report.
//! This module never shows a setting outside the declared limits.

use super::words::{headline, stationary, table};
use crate::decide::BestSettings;
use crate::pipeline::Analysis;
use crate::report::doubts_and_gaps::{gaps, missing};
use crate::report::print::aim_names::{self, Called, demand, place};
use crate::report::print::{Page, around, capital, count};

/// Writes the best settings, or what is missing for them.
pub fn write(page: &mut Page, analysis: &Analysis) {
    let Some(found) = &analysis.findings.settings else {
        return;
    };
    let best = match found {
        Ok(best) => best,
        Err(gaps) => {
            page.paragraph("No settings can be recommended from this log.");
            page.list(gaps.iter().map(missing));
            return;
        }
    };
    let called: Called = &|name| analysis.campaign.called(name);
    page.show("settings");
    page.table(&table(best, called));
    page.paragraph(&headline(best, &analysis.findings.recycling, called));
    page.paragraph("Because these are the best of many, make a run or two there before relying on them, and set amounts to 2 digits: what is good is a region, not a point.");
    gaps(page, 6, &best.gaps);
}

/// Writes how they were found, and what was left aside.
pub fn further(page: &mut Page, analysis: &Analysis) {
    let Some(Ok(best)) = &analysis.findings.settings else {
        return;
    };
    let called: Called = &|name| analysis.campaign.called(name);
    page.paragraph(&how(best));
    page.paragraph(&stationary(best, called).unwrap_or_default());
    if let Some(present) = &best.present {
        page.paragraph(&format!(
            "The best of the runs made that still may be proposed is {}: {}, expected {}.",
            present.run,
            place(&present.settings, called),
            aim_names::shown(&best.aim).mean(&present.mean)
        ));
    }
    if !best.untold.is_empty() {
        page.heading(3, "Levels that were left aside");
        page.list(best.untold.iter().map(|settings| {
            let place = place(settings, called);
            format!("{place}: the runs cannot tell it from something else")
        }));
    }
}

fn how(best: &BestSettings) -> String {
    let demand = demand(&best.aim).filter(|_| best.reaches.is_some());
    format!(
        "{} were looked at, all within the declared limits and none less certain than the least certain of the runs made.{} The figure behind ± is for the mean; one new run scatters more.",
        capital(&count(best.looked_at, "setting")),
        around(" They must give ", &demand.unwrap_or_default(), ".")
    )
}
