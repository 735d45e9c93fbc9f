//! A page as a reader of Markdown sees it, for tests that must not trust who wrote it.
//!
//! In: Markdown. Out: its events, the texts that it sets apart.
//! This module never knows residuum.

use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

/// What a reader of Markdown makes of a page, tables, struck out text and formulas among it.
pub fn events(page: &str) -> impl Iterator<Item = Event<'_>> {
    let kinds = Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH | Options::ENABLE_MATH;
    Parser::new_ext(page, kinds)
}

/// Texts that are emphasised.
pub fn emphasised(page: &str) -> Vec<String> {
    let (mut texts, mut depth) = (Vec::new(), 0);
    for event in events(page) {
        match event {
            Event::Start(Tag::Emphasis | Tag::Strong) => {
                depth += 1;
                texts.push(String::new());
            }
            Event::End(TagEnd::Emphasis | TagEnd::Strong) => depth -= 1,
            Event::Text(text) if depth > 0 => texts.extend([text.to_string()]),
            _ => {}
        }
    }
    texts
}
