//! Is what may not be pooled told with campaign, file, line and reason?
//!
//! In: invented campaigns with something wrong. Out: tests of what is told.
//! This module never takes a figure from the program.

use serde_json::Value;

use super::{call, folder, three, together};
use crate::support::{list, member};

/// What is told of the one thing that is not pooled.
fn not_pooled(campaigns: &[(String, String)]) -> Value {
    let found = together(campaigns, &[]);
    let [one] = list(&found, "not_pooled") else {
        panic!("{found}");
    };
    one.clone()
}

fn refused(campaigns: &[(String, String)], options: &[&str]) -> String {
    let folder = folder(campaigns);
    let outcome = call(
        folder.path(),
        campaigns.len(),
        &[options, &["--json"]].concat(),
    );
    assert_eq!(outcome.exit_code, 2, "{}", outcome.stdout);
    assert_eq!(outcome.stdout, "");
    outcome.stderr
}

fn changed(of: usize, from: &str, to: &str) -> Vec<(String, String)> {
    let mut campaigns = three();
    assert!(campaigns[of].0.contains(from));
    campaigns[of].0 = campaigns[of].0.replace(from, to);
    campaigns
}

#[test]
fn a_factor_in_a_unit_that_cannot_be_converted_is_not_pooled() {
    let told = not_pooled(&changed(1, "unit = \"%\"", "unit = \"mol\""));
    assert_eq!(told["campaign"], "Summer");
    assert_eq!(
        (&told["file"], &told["line"]),
        (&"campaign.toml".into(), &10.into())
    );
    let reason = told["reason"].as_str().expect("a reason");
    for part in ["Summer", "`campaign.toml` line 10", "`mol`", "`%`"] {
        assert!(reason.contains(part), "{reason}");
    }
    // It still counts within each campaign, so that heating gets no credit for it.
    let found = together(&changed(1, "unit = \"%\"", "unit = \"mol\""), &[]);
    let terms = list(&list(&found, "models")[0], "terms");
    assert!(
        member(terms, "term", "Summer: excess").is_some(),
        "{terms:?}"
    );
    assert!(member(list(&found, "effects"), "term", "excess").is_none());
}

#[test]
fn a_factor_without_a_unit_is_not_taken_for_one_with() {
    let told = not_pooled(&changed(2, "unit = \"%\"\n", ""));
    assert!(
        told["reason"].to_string().contains("without a unit"),
        "{told}"
    );
}

#[test]
fn a_choice_with_another_baseline_is_not_pooled() {
    let told = not_pooled(&changed(1, "baseline = \"muffle\"", "baseline = \"hob\""));
    assert_eq!(told["line"], 7);
    let reason = told["reason"].to_string();
    assert!(
        reason.contains("`hob` there") && reason.contains("`muffle` in the first"),
        "{reason}"
    );
}

#[test]
fn a_choice_is_no_amount() {
    let to = "[factors.excess]\nkind = \"choice\"\n";
    let told = not_pooled(&changed(
        1,
        "[factors.excess]\nkind = \"amount\"\nunit = \"%\"\n",
        to,
    ));
    assert!(
        told["reason"].to_string().contains("a choice in the other"),
        "{told}"
    );
}

#[test]
fn a_level_that_not_all_have_is_told() {
    let mut campaigns = three();
    campaigns[0].1 = campaigns[0]
        .1
        .replace("R4,2026-03-04,B,muffle", "R4,2026-03-04,B,kiln");
    campaigns[0].1 = campaigns[0]
        .1
        .replace("R9,2026-03-09,A,muffle", "R9,2026-03-09,A,kiln");
    let told = not_pooled(&campaigns);
    assert_eq!(told["campaign"], "Summer");
    assert!(told["what"].to_string().contains("kiln"), "{told}");
    let found = together(&campaigns, &[]);
    let kiln = member(list(&found, "effects"), "term", "heating: kiln").expect("kiln");
    assert_ne!(kiln["status"], "settled");
}

#[test]
fn a_factor_that_a_campaign_lacks_is_told() {
    let mut campaigns = changed(2, "[factors.excess]\nkind = \"amount\"\nunit = \"%\"\n", "");
    campaigns[2].0 = campaigns[2]
        .0
        .replace("\"heating\", \"excess\"", "\"heating\"");
    let told = not_pooled(&campaigns);
    assert!(
        told["reason"].to_string().contains("does not have it"),
        "{told}"
    );
}

#[test]
fn where_no_effect_is_left_each_reason_is_a_fault() {
    let mut campaigns = changed(1, "baseline = \"muffle\"", "baseline = \"hob\"");
    campaigns[1].0 = campaigns[1].0.replace("unit = \"%\"", "unit = \"mol\"");
    let told = refused(&campaigns, &[]);
    for part in [
        "the effect of `heating`",
        "the effect of `excess`",
        "Summer",
        "hint:",
    ] {
        assert!(told.contains(part), "{told}");
    }
}

#[test]
fn another_formula_is_another_matter() {
    let chemistry = |product: &str, assay_as: &str| {
        let to = format!(
            "product = \"{product}\"\nfollowed = \"Cu\"\nassay_as = \"{assay_as}\"\n[logs]"
        );
        let mut campaigns = three();
        for (place, (file, _)) in campaigns.iter_mut().enumerate() {
            let own = match place {
                1 => to.as_str(),
                _ => "product = \"CuSO4·5H2O\"\nfollowed = \"Cu\"\nassay_as = \"CuO\"\n[logs]",
            };
            *file = file.replace("[logs]", own);
        }
        for (_, text) in &mut campaigns {
            let rows = text.lines().enumerate().map(|(line, row)| match line {
                0 => format!("{row},feed_mass,feed_assay,crop1_mass,purity\n"),
                _ => format!("{row},100,0.8,90,0.98\n"),
            });
            *text = rows.collect();
        }
        campaigns
    };
    let told = refused(&chemistry("CuSO4", "CuO"), &[]);
    for part in ["`Summer` is about another product", "line 3", "`CuSO4`"] {
        assert!(told.contains(part), "{told}");
    }
    // Assays stated otherwise touch the yield alone, and that is not asked for here.
    let found = together(&chemistry("CuSO4·5H2O", "Cu"), &[]);
    assert_eq!(list(&found, "not_pooled").len(), 0);
    let mut asked = chemistry("CuSO4·5H2O", "Cu");
    asked[0].0 = asked[0]
        .0
        .replace("[\"crystals\"]", "[\"crystals\", \"yield\"]");
    let told = not_pooled(&asked);
    assert_eq!(told["line"], 5);
    let reason = told["reason"].to_string();
    assert!(
        reason.contains("`Cu` there") && reason.contains("`CuO` in the first"),
        "{reason}"
    );
}

#[test]
fn a_campaign_without_the_response_is_told() {
    let campaigns = changed(
        1,
        "[responses.crystals]\nunit = \"g\"\n",
        "[responses.colour]\ncolumn = \"excess\"\n",
    );
    let mut campaigns = campaigns;
    campaigns[1].0 = campaigns[1].0.replace("[\"crystals\"]", "[\"colour\"]");
    let told = refused(&campaigns, &[]);
    assert!(
        told.contains("the response `crystals` is not pooled: Summer"),
        "{told}"
    );
    let campaigns = changed(1, "unit = \"g\"", "unit = \"min\"");
    let told = refused(&campaigns, &[]);
    assert!(told.contains("in `min` there and in `g`"), "{told}");
    let told = refused(&three(), &["--response", "colour"]);
    assert!(told.contains("unknown response `colour`"), "{told}");
}

#[test]
fn one_campaign_and_one_named_twice_are_refused() {
    let told = refused(&three()[..1], &[]);
    assert!(told.contains("one campaign alone"), "{told}");
    let once = three().remove(0);
    let told = refused(&[once.clone(), once.clone()], &[]);
    for part in [
        "two campaigns have the title `Spring`",
        "the same runs stand in two campaigns",
    ] {
        assert!(told.contains(part), "{told}");
    }
    // A copy under another title is seen by its runs.
    let copy = (once.0.replace("Spring", "Other"), once.1.clone());
    let told = refused(&[once, copy], &[]);
    assert!(told.contains("`Spring` and `Other`: 12 with"), "{told}");
}

#[test]
fn a_faulty_campaign_stops_all_and_is_named() {
    let mut campaigns = three();
    campaigns[1].1 = "run,date\n".into();
    campaigns[2].0 = campaigns[2]
        .0
        .replace("kind = \"amount\"", "kind = \"amuont\"");
    let told = refused(&campaigns, &[]);
    for part in ["c2`:", "c3`:", "amuont"] {
        assert!(told.contains(part), "{told}");
    }
    assert!(!told.contains("c1`:"), "{told}");
}

#[test]
fn a_first_campaign_without_a_model_and_a_factor_of_our_name_are_refused() {
    let mut campaigns = three();
    let (before, _) = campaigns[0].0.split_once("[model]").expect("a model");
    campaigns[0].0 = before.to_string();
    let told = refused(&campaigns, &[]);
    assert!(
        told.contains("`Spring`, the first campaign, has no `[model]`"),
        "{told}"
    );
    let mut campaigns = changed(
        1,
        "[model]",
        "[factors.campaign]\nkind = \"choice\"\n[model]",
    );
    campaigns[1].1 = campaigns[1].1.replace("lot,", "campaign,");
    let told = refused(&campaigns, &[]);
    assert!(
        told.contains("a factor of `Summer` is called `campaign`"),
        "{told}"
    );
    let told = refused(&three(), &["--differ", "heatin"]);
    assert!(told.contains("did you mean `heating`?"), "{told}");
}
