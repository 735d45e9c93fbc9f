//! Does the answer say so where residue pays in one way of valuing it and not in another?
//!
//! In: bluestone with other words under `[recycling] value`. Out: tests of verdict, status and what is said.
//! This module never works out a gain: `reference/recycling_gain.rs` does.

use std::path::Path;

use serde_json::Value;

use crate::support::{CampaignFolder, list, member, residuum, residuum_json};

/// Bluestone with this line in place of the one that says what is valued.
fn valued(line: &str) -> CampaignFolder {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone");
    let folder = CampaignFolder::copy_of(&demo);
    let path = folder.path().join("campaign.toml");
    let text = std::fs::read_to_string(&path).expect("the campaign file");
    let mut replaced = 0;
    let lines = text.lines().map(|old| match old.starts_with("value = ") {
        true => {
            replaced += 1;
            line
        }
        false => old,
    });
    let text = lines.collect::<Vec<_>>().join("\n") + "\n";
    assert_eq!(replaced, 1);
    // At this price the gain is firm beside what the labour of charged runs is not known to.
    let text = text.replace("product = \"18 /kg\"", "product = \"36 /kg\"");
    std::fs::write(&path, text).expect("it can be written");
    folder
}

fn answer(folder: &CampaignFolder) -> (Value, Value) {
    let result = residuum_json("recycle", folder.path());
    let answer = member(list(&result, "answers"), "question", "5").expect("answer 5");
    (answer.clone(), result["recycling"].clone())
}

#[test]
fn nothing_is_settled_where_ways_disagree_and_none_is_stated() {
    let (answer, recycling) = answer(&valued(""));
    assert_eq!(answer["status"], "partly open");
    let reason = answer["reason"].as_str().expect("a reason");
    assert!(reason.contains("`[recycling] value`"), "{reason}");
    assert_eq!(recycling["verdict"], "pays");
    let headline = answer["headline"].as_str().expect("a headline");
    assert!(headline.contains("as feed saved"), "{headline}");
}

#[test]
fn the_way_that_is_stated_decides_and_the_other_is_named() {
    for (way, verdict, other) in [
        ("product", "pays", "feed saved"),
        ("feed", "does not pay", "extra product"),
        ("runs", "pays", "feed saved"),
    ] {
        let (answer, recycling) = answer(&valued(&format!("value = \"{way}\"")));
        assert_eq!(recycling["verdict"], verdict, "{way}");
        assert_ne!(answer["status"], "partly open", "{way}");
        let headline = answer["headline"].as_str().expect("a headline");
        assert!(headline.contains(other), "{way}: {headline}");
        let own = &recycling["ways"][way]["gain_per_run"];
        assert_eq!(own, &recycling["gain_per_run"], "{way}");
    }
}

#[test]
fn a_way_that_is_none_is_told() {
    for (line, told) in [
        ("value = \"time\"", "`product` or `feed` or `runs`"),
        ("value = \"\"", "`product` or `feed` or `runs`"),
        ("value = 1", "recycling.value"),
        ("valeu = \"feed\"", "did you mean `value`?"),
    ] {
        let folder = valued(line);
        let outcome = residuum(&["recycle".as_ref(), folder.path().as_os_str()]);
        assert_eq!(outcome.exit_code, 2, "{line}");
        assert!(outcome.stderr.contains(told), "{line}: {}", outcome.stderr);
    }
}

#[test]
fn without_a_price_of_feed_only_product_is_valued() {
    let folder = valued("");
    let lots = folder.path().join("lots.csv");
    let text = std::fs::read_to_string(&lots).expect("the lots");
    std::fs::write(&lots, text.replace("price", "cost")).expect("it can be written");
    let path = folder.path().join("campaign.toml");
    let text = std::fs::read_to_string(&path).expect("the campaign file");
    let lines = text.lines().filter(|line| !line.starts_with("feed = "));
    std::fs::write(&path, lines.collect::<Vec<_>>().join("\n")).expect("it can be written");
    let (answer, recycling) = answer(&folder);
    let ways = recycling["ways"].as_object().expect("ways");
    assert_eq!(ways.keys().collect::<Vec<_>>(), ["product"]);
    assert_ne!(answer["status"], "partly open");
}

#[test]
fn the_settings_to_run_at_leave_residue_to_its_own_line_whatever_declares_it() {
    let folder = valued("");
    let path = folder.path().join("campaign.toml");
    let text = std::fs::read_to_string(&path).expect("the campaign file");
    let lines = text
        .lines()
        .filter(|line| !line.starts_with("stands_for = \"residue\""));
    std::fs::write(&path, lines.collect::<Vec<_>>().join("\n")).expect("it can be written");
    let out = CampaignFolder::new();
    let outcome = residuum(&[
        "report".as_ref(),
        "--quiet".as_ref(),
        "--out".as_ref(),
        out.path().as_os_str(),
        folder.path().as_os_str(),
    ]);
    assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
    let report = std::fs::read_to_string(outcome.stdout.trim()).expect("a report");
    let to_do = report.lines().find(|line| line.starts_with("- Run at "));
    let to_do = to_do.expect("settings to run at");
    assert!(!to_do.contains("residue"), "{to_do}");
    assert!(!report.contains("- Charge "), "residue is open");
}
