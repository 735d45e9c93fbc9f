//! The section of question 6: which settings are best.
//!
//! In: the best settings. Out: its section of the report.
//! This module never shows a setting outside the declared limits.

use super::words::{headline, stationary, table};
use crate::decide::BestSettings;
use crate::pipeline::Analysis;
use crate::report::beside::{all_missing, gaps, picture};
use crate::report::print::aim_words::{self, demand, place};
use crate::report::print::{Page, Pictures, capital, count, markdown, plain};

/// Writes the best settings, or what is missing for them.
pub fn write(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    let Some(found) = &analysis.findings.settings else {
        return;
    };
    page.heading(2, "6 Which settings are best?");
    let best = match found {
        Ok(best) => best,
        Err(gaps) => {
            page.paragraph("No settings can be recommended from this log.");
            page.list(&all_missing(gaps, markdown));
            return;
        }
    };
    page.paragraph(&headline(best, &analysis.findings.recycling, markdown));
    picture(page, pictures, "settings");
    page.table(&table(best));
    page.paragraph(&how(best));
    if let Some(text) = stationary(best, markdown) {
        page.paragraph(&text);
    }
    if let Some(present) = &best.present {
        let shown = aim_words::shown(&best.aim, markdown);
        page.paragraph(&format!(
            "The best of the runs made that still may be proposed is {}: {}, expected {}.",
            markdown(&present.run),
            place(&present.settings, markdown),
            shown.mean(&present.mean)
        ));
    }
    if !best.untold.is_empty() {
        page.heading(3, "Levels that were left aside");
        let items: Vec<String> = best
            .untold
            .iter()
            .map(|settings| {
                format!(
                    "{}: the runs cannot tell it from something else",
                    place(settings, markdown)
                )
            })
            .collect();
        page.list(&items);
    }
    gaps(page, 6, &best.gaps);
}

fn how(best: &BestSettings) -> String {
    let purity = demand(&best.aim)
        .filter(|_| best.reaches.is_some())
        .map_or_else(String::new, |demand| format!(" They must give {demand}."));
    format!(
        "{} were looked at, all within the declared limits and none less certain than the least certain of the runs made.{purity} The figure behind ± is for the mean; one new run scatters more. Because these are the best of many, make a run or two there before relying on them. Set amounts to {} digits: what is good is a region, not a point.",
        capital(&count(best.looked_at, "setting")),
        plain(2.0)
    )
}
