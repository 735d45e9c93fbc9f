//! Does the page of HTML say what the Markdown says, and need nothing else?
//!
//! In: the demo campaigns, a campaign full of marks. Out: tests of the page; `tests/page/check.py` asks a browser besides.
//! This module never looks into a figure: the other tests of reports do.

use super::{CAMPAIGNS, campaign, read, text};
use crate::markdown::events;
use crate::support::{CampaignFolder, residuum};
use pulldown_cmark::Event;

/// The page with the report that was written beside it.
fn page_of(campaign: &std::path::Path) -> super::Files {
    let out = CampaignFolder::new();
    let outcome = residuum(&[
        "report".as_ref(),
        "--quiet".as_ref(),
        "--page".as_ref(),
        "--out".as_ref(),
        out.path().as_os_str(),
        campaign.as_os_str(),
    ]);
    assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
    let name = campaign.file_name().expect("a name");
    read(&out.path().join(name))
}

/// The words between the tags, entities undone.
fn words(html: &str) -> String {
    let mut out = String::new();
    let mut rest = html;
    while let Some((before, behind)) = rest.split_once('<') {
        out.push_str(before);
        out.push(' ');
        rest = behind.split_once('>').map_or("", |(_, rest)| rest);
    }
    out.push_str(rest);
    let plain = [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&amp;", "&"),
    ];
    for (entity, mark) in plain {
        out = out.replace(entity, mark);
    }
    out.split_whitespace().collect()
}

#[test]
fn the_page_has_every_text_of_the_report_in_its_order() {
    for name in CAMPAIGNS {
        let files = page_of(&campaign(name));
        let page = text(&files, "report.html");
        let main = page.split_once("<main").expect("a main part").1;
        let mut rest = &words(main)[..];
        for event in events(text(&files, "report.md")) {
            let (Event::Text(text) | Event::Code(text)) = event else {
                continue;
            };
            let text: String = text.split_whitespace().collect();
            let place = rest.find(&text);
            let place = place.unwrap_or_else(|| panic!("{name}: `{text}` is missing"));
            rest = &rest[place + text.len()..];
        }
    }
}

#[test]
fn the_page_needs_no_other_file_and_each_link_leads_to_a_place_in_it() {
    for name in CAMPAIGNS {
        let files = page_of(&campaign(name));
        let page = text(&files, "report.html");
        for part in [" src=", "url(", "@import", "<link", "<iframe", "<object"] {
            assert!(!page.contains(part), "{name}: {part}");
        }
        let charts = files.keys().filter(|path| path.starts_with("charts/"));
        let drawn = page.matches("<svg ").count();
        assert!(drawn > 10 && drawn <= charts.count(), "{name}: {drawn}");
        let targets = page.split("href=\"").skip(1);
        for target in targets.filter_map(|rest| rest.split('"').next()) {
            let place = target.strip_prefix('#');
            let place = place.unwrap_or_else(|| panic!("{name}: {target} leads out"));
            assert!(
                page.contains(&format!("id=\"{place}\"")),
                "{name}: {target}"
            );
        }
        let mut ids: Vec<&str> = page.split(" id=\"").skip(1).collect();
        ids.iter_mut()
            .for_each(|id| *id = id.split('"').next().unwrap_or_default());
        let all = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), all, "{name}");
    }
}

#[test]
fn the_page_is_a_file_of_the_report_like_any_other() {
    let files = page_of(&campaign("iodate"));
    let result: serde_json::Value = serde_json::from_slice(&files["result.json"]).expect("JSON");
    let listed = result["manifest"].as_object().expect("a manifest");
    assert!(listed.contains_key("report.html"));
    // Once more without it: the old report is replaced whole, the page with it.
    let out = CampaignFolder::new();
    for also in [Some("--page"), None] {
        let there = out.path().to_str().expect("UTF-8");
        let iodate = campaign("iodate");
        let iodate = iodate.to_str().expect("UTF-8");
        let arguments = ["report", "--quiet", "--out", there, iodate];
        let outcome = residuum(&arguments.into_iter().chain(also).collect::<Vec<_>>());
        assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
        let page = out.path().join("iodate/report.html");
        assert_eq!(page.is_file(), also.is_some());
    }
}

#[test]
fn names_full_of_marks_stay_text() {
    let folder = CampaignFolder::new()
        .with(
            "campaign.toml",
            "[campaign]\ntitle = \"<script>alert(1)</script> & \\\"co\\\"\"\n\
             [logs]\nruns = \"runs.csv\"\n\
             [responses]\ncrystals = { unit = \"g\" }\n\
             [factors.bath]\nkind = \"choice\"\nbaseline = \"<img src=x onerror=a>\"\n\
             [model]\nresponses = [\"crystals\"]\neffects = [\"bath\"]\n",
        )
        .with(
            "runs.csv",
            "run,bath,crystals\n\"a\"\"><b>\",<img src=x onerror=a>,41.2\nA2,\"</svg></style><i>\",37.9\n\
             A3,<img src=x onerror=a>,40.6\nA4,\"</svg></style><i>\",38.3\nA5,<img src=x onerror=a>,41.0\nA6,\"</svg></style><i>\",37.5\n",
        );
    let files = page_of(folder.path());
    let page = text(&files, "report.html");
    for alive in ["<img", "<script>alert", "<b>", "<i>", "onerror=a>"] {
        assert!(!page.contains(alive), "{alive}");
    }
    assert_eq!(page.matches("<script>").count(), 1);
    assert_eq!(page.matches("</style>").count(), 1);
    assert_eq!(
        page.matches("<svg ").count(),
        page.matches("</svg>").count()
    );
}
