//! Question 6: which settings are best?
//!
//! In: the best settings. Out: its section of the report.
//! This module never shows a setting outside the declared limits.

use super::aim_words::{self, demand, missing, place};
use super::escape::markdown;
use super::numbers::plain;
use super::pictures::Pictures;
use super::print::page::Page;
use super::residue_beside;
use super::route_tables;
use super::sections::picture;
use super::settings_words::{sentences, stationary};
use super::words::{capital, count};
use crate::decide::{BestSettings, Gap, Recycling, Unanswered};

/// Writes the best settings, or what is missing for them.
pub(super) fn settings(
    page: &mut Page,
    found: &Result<BestSettings, Vec<Gap>>,
    residue: &Result<Recycling, Unanswered>,
    pictures: &Pictures,
) {
    page.heading(2, "6 Which settings are best?");
    let best = match found {
        Ok(best) => best,
        Err(gaps) => {
            page.paragraph("No settings can be recommended from this log.");
            page.list(&missing(gaps, markdown));
            return;
        }
    };
    let mut text: Vec<String> = sentences(best, markdown)
        .iter()
        .map(|s| capital(s))
        .collect();
    text.extend(residue_beside::sentence(best, residue, markdown));
    page.paragraph(&text.join(" "));
    picture(page, pictures, "settings");
    page.table(&route_tables::settings(best));
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
    if !best.gaps.is_empty() {
        page.heading(3, "What is missing for question 6");
        page.list(&missing(&best.gaps, markdown));
    }
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
