//! One page to hand on: a report as HTML that needs no other file.
//!
//! In: Markdown as [`Page`](super::print::Page) writes it, and its pictures. Out: one HTML document with everything inside.
//! This module never says anything that the Markdown does not say.

mod body;

use maud::{DOCTYPE, PreEscaped, html};

use super::print::Picture;
use body::{Body, Heading, body};

/// How it looks: by daylight, in the dark, on paper.
const LOOK: &str = include_str!("page.css");

/// What lets a reader sort a table and opens what a link leads to; the page is whole without it.
const MANNERS: &str = include_str!("page.js");

/// Nothing is fetched from elsewhere, whatever a log holds.
const ALLOWED: &str = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

/// The page; what stands in `behind` is folded away, section by section.
pub(super) fn page(title: &str, front: &str, behind: &str, pictures: &[Picture]) -> String {
    let mut taken = Vec::new();
    let front = body(front, pictures, &mut taken);
    let behind = body(behind, pictures, &mut taken);
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content=(ALLOWED);
                title { (title) }
                style { (PreEscaped(LOOK)) }
            }
            body {
                a.skip href="#answers" { "To the answers" }
                (contents(&front, &behind))
                main #answers tabindex="-1" {
                    (PreEscaped(front.opening.as_str()))
                    @for section in &front.sections {
                        section { (PreEscaped(section.text.as_str())) }
                    }
                    @if !behind.sections.is_empty() {
                        h2 #appendix { "Appendix" }
                        @for section in &behind.sections {
                            details {
                                summary { (PreEscaped(section.heading.marked.as_str())) }
                                (PreEscaped(section.below()))
                            }
                        }
                    }
                }
                script { (PreEscaped(MANNERS)) }
            }
        }
    };
    page.into_string() + "\n"
}

fn contents(front: &Body, behind: &Body) -> maud::Markup {
    let item =
        |heading: &Heading| html! { li { a href={ "#" (heading.anchor) } { (heading.text) } } };
    html! {
        nav aria-label="Contents" {
            details {
                summary { "Contents" }
                ol {
                    @for section in &front.sections { (item(&section.heading)) }
                }
                @if !behind.sections.is_empty() {
                    p { "Appendix" }
                    ol {
                        @for section in &behind.sections { (item(&section.heading)) }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture() -> Picture {
        Picture {
            name: "a".into(),
            file: "a.svg".into(),
            question: "How <much>?".into(),
            caption: "Runs & means.".into(),
            svg: "<svg xmlns=\"http://www.w3.org/2000/svg\"><title>How?</title></svg>".into(),
        }
    }

    #[test]
    fn a_picture_stands_in_the_page_with_its_caption_and_no_link_leads_out() {
        let front = "# T\n\n- **[1 What?](#1-what)** Some.\n\n## 1 What?\n\n![How?](charts/a.svg)\n\n*Runs and means.*\n";
        let text = page("T", front, "## Words\n\nText.\n", &[picture()]);
        assert!(
            text.contains("<figure") && text.contains("<figcaption>Runs &amp; means.</figcaption>"),
            "{text}"
        );
        assert!(text.contains("<svg") && !text.contains("charts/a.svg"));
        assert!(text.contains("id=\"1-what\"") && text.contains("href=\"#1-what\""));
        assert!(text.contains("<details><summary><h2 id=\"words\">Words</h2>"));
    }

    #[test]
    fn what_a_log_holds_stays_text() {
        let front = "# a\n\n## &lt;script&gt;x\n\n| a&#124;b |\n| --- |\n| &lt;img src=x&gt; |\n";
        let text = page("<b>", front, "", &[]);
        assert!(text.contains("<title>&lt;b&gt;</title>"));
        assert!(
            !text.contains("<img") && !text.contains("<script>x"),
            "{text}"
        );
        assert!(text.contains("<td>&lt;img src=x&gt;</td>"));
    }

    #[test]
    fn headings_that_are_alike_get_anchors_that_are_not() {
        let text = page("t", "# t\n\n## A\n\n### B\n\n## C\n\n### B\n", "", &[]);
        assert!(
            text.contains("id=\"b\"") && text.contains("id=\"b-1\""),
            "{text}"
        );
    }
}
