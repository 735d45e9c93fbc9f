//! What several campaigns say together, in words, pictures and as data.
//!
//! In: what was found. Out: the page of its report, text for a terminal, a fault where nothing may be pooled.
//! This module never works out an effect.

mod pictures;
mod refused;
mod table;
pub mod terminal;
pub mod words;

pub use refused::refused;

use super::cautions;
use super::doubts_and_gaps::doubt;
use super::effects::further;
use super::print::{Page, Picture, capital, fixed};
use crate::error::Error;
use crate::together::Together;

/// The page on several campaigns and its pictures; `hazards` are those of all.
///
/// # Errors
/// What a chart cannot draw.
pub fn page(found: &Together, hazards: &[String]) -> Result<(String, Vec<Picture>), Error> {
    let pictures = pictures::pictures(found)?;
    let mut page = Page::with(&pictures);
    page.heading(1, "Campaigns put together");
    page.marked(&cautions::opening(hazards));
    page.paragraph(&words::runs_used(found));
    page.list(found.responses.iter().flat_map(words::effects));
    for (position, of) in found.responses.iter().enumerate() {
        let response = &of.model.response;
        page.heading(2, &words::question(response));
        page.table(&table::effects(of));
        page.paragraph(words::HOW_TO_READ);
        for effect in 0..of.effects.len() {
            page.show(&pictures::name(position, effect));
        }
        page.answer(&table::by_campaign(found, of));
        page.answer(&table::differing(of));
        page.paragraph(&words::scatter(of));
        let doubts: Vec<String> = of.caveats.iter().map(doubt).collect();
        if !doubts.is_empty() {
            page.heading(3, &format!("Doubts about {response}"));
            page.list(doubts);
        }
    }
    if !found.not_pooled.is_empty() {
        page.heading(2, "What was not pooled");
        page.list(
            found
                .not_pooled
                .iter()
                .map(|not| capital(&words::not_pooled(found, not)) + "."),
        );
    }
    for of in &found.responses {
        page.heading(2, &format!("Behind the model of {}", of.model.response));
        further::of_model(&mut page, &of.model, &of.further, &str::to_string);
    }
    page.heading(2, "Method");
    let percent = fixed(100.0 * found.confidence, 0);
    page.paragraph(&words::method(&percent));
    cautions::section(&mut page, hazards);
    page.marked(&format!(
        "Written by residuum {}. The same as data: `result.json`.",
        env!("CARGO_PKG_VERSION")
    ));
    let text = page.finish();
    Ok((text, pictures))
}
