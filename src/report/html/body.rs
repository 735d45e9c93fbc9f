//! The sections of a page: Markdown turned into HTML, its pictures put in and its tables given room to be moved.
//!
//! In: Markdown, pictures. Out: a [`Body`].
//! This module never lets raw HTML through: the Markdown of a report holds none.

use pulldown_cmark::{CowStr, Event, HeadingLevel, Options, Parser, Tag, TagEnd, html::push_html};

use crate::report::print::{Picture, anchor};

/// What stands before the first section, and the sections.
#[derive(Debug, Default)]
pub(super) struct Body {
    /// The title and what stands below it.
    pub opening: String,
    /// From each heading of the second level to the next one.
    pub sections: Vec<Section>,
}

/// A heading of the second level and what stands below it, as HTML.
#[derive(Debug, Default)]
pub(super) struct Section {
    /// Its heading.
    pub heading: Heading,
    /// All of it.
    pub text: String,
}

impl Section {
    /// What stands below the heading.
    pub fn below(&self) -> &str {
        self.text
            .strip_prefix(self.heading.marked.as_str())
            .unwrap_or(&self.text)
    }
}

/// A heading.
#[derive(Debug, Default, Clone)]
pub(super) struct Heading {
    /// As plain text.
    pub text: String,
    /// What links lead to.
    pub anchor: String,
    /// As HTML.
    pub marked: String,
}

/// Turns Markdown into sections; `taken` are the anchors of the page so far.
pub(super) fn body(markdown: &str, pictures: &[Picture], taken: &mut Vec<String>) -> Body {
    let mut events = Parser::new_ext(markdown, Options::ENABLE_TABLES).peekable();
    let mut body = Body::default();
    let mut last_heading = String::new();
    while let Some(event) = events.next() {
        match event {
            Event::Start(Tag::Heading { level, .. }) => {
                let inside: Vec<Event> = until(&mut events, TagEnd::Heading(level));
                let heading = heading(level, &inside, taken);
                last_heading = heading.text.clone();
                let marked = heading.marked.clone();
                if level == HeadingLevel::H2 {
                    let text = String::new();
                    body.sections.push(Section { heading, text });
                }
                *body.last() += &marked;
            }
            Event::Start(Tag::Paragraph) => {
                let inside = until(&mut events, TagEnd::Paragraph);
                let shown = shown(&inside, pictures);
                let text = match shown {
                    None => written([Event::Start(Tag::Paragraph)], inside, TagEnd::Paragraph),
                    Some(picture) => {
                        // Below a picture stands its caption, a paragraph of its own.
                        events.next_if(|event| matches!(event, Event::Start(Tag::Paragraph)));
                        until(&mut events, TagEnd::Paragraph);
                        figure(picture)
                    }
                };
                *body.last() += &text;
            }
            Event::Start(Tag::Table(columns)) => {
                let inside = until(&mut events, TagEnd::Table);
                let start = [Event::Start(Tag::Table(columns))];
                let table = written(start, inside, TagEnd::Table);
                *body.last() += &maud::html! {
                    div.wide tabindex="0" role="group" aria-label={ "Table: " (last_heading) } {
                        (maud::PreEscaped(table))
                    }
                }
                .into_string();
            }
            other => push_html(body.last(), std::iter::once(other)),
        }
    }
    body
}

impl Body {
    /// Where text is added.
    fn last(&mut self) -> &mut String {
        match self.sections.last_mut() {
            Some(section) => &mut section.text,
            None => &mut self.opening,
        }
    }
}

/// Everything up to the end of what has begun, which is taken too.
fn until<'a>(events: &mut impl Iterator<Item = Event<'a>>, end: TagEnd) -> Vec<Event<'a>> {
    events
        .take_while(|event| *event != Event::End(end))
        .collect()
}

fn written<'a>(start: [Event<'a>; 1], inside: Vec<Event<'a>>, end: TagEnd) -> String {
    let mut text = String::new();
    let all = start.into_iter().chain(inside).chain([Event::End(end)]);
    push_html(&mut text, all);
    text
}

/// A heading with an anchor that no other one has.
fn heading(level: HeadingLevel, inside: &[Event], taken: &mut Vec<String>) -> Heading {
    let text: String = inside
        .iter()
        .filter_map(|event| match event {
            Event::Text(text) | Event::Code(text) => Some(text.as_ref()),
            _ => None,
        })
        .collect();
    let plain = anchor(&text);
    let further = (1..).map(|number| format!("{plain}-{number}"));
    let anchor = std::iter::once(plain.clone())
        .chain(further)
        .find(|anchor| !taken.contains(anchor))
        .unwrap_or_default();
    taken.push(anchor.clone());
    let tag = Tag::Heading {
        level,
        id: Some(CowStr::from(anchor.clone())),
        classes: Vec::new(),
        attrs: Vec::new(),
    };
    let marked = written([Event::Start(tag)], inside.to_vec(), TagEnd::Heading(level));
    Heading {
        text,
        anchor,
        marked,
    }
}

/// The picture that a paragraph is made of.
fn shown<'a>(inside: &[Event], pictures: &'a [Picture]) -> Option<&'a Picture> {
    let Some(Event::Start(Tag::Image { dest_url, .. })) = inside.first() else {
        return None;
    };
    let file = dest_url.strip_prefix("charts/")?;
    pictures.iter().find(|picture| picture.file == file)
}

fn figure(picture: &Picture) -> String {
    maud::html! {
        figure {
            div.wide tabindex="0" role="group" aria-label={ "Picture: " (picture.question) } {
                (maud::PreEscaped(picture.svg.as_str()))
            }
            figcaption { (picture.caption) }
        }
    }
    .into_string()
}
