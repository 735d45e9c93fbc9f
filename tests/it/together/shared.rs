//! What is said of effects that hold, that differ, and that no campaign varied?
//!
//! In: invented campaigns. Out: tests of verdicts, of the report and of what is converted.
//! This module never takes a figure from the program.

use serde_json::Value;

use super::{call, folder, runs, three, titled, together};
use crate::support::{check_digits, check_finite, list, member, number};

fn effect<'a>(found: &'a Value, term: &str) -> &'a Value {
    member(list(found, "effects"), "term", term).unwrap_or_else(|| panic!("no `{term}`: {found}"))
}

fn reasons(effect: &Value) -> String {
    effect["reasons"].to_string()
}

#[test]
fn an_effect_that_is_the_same_everywhere_is_settled() {
    let found = together(&three(), &[]);
    assert_eq!(
        found["campaigns"],
        serde_json::json!(["Spring", "Summer", "Autumn"])
    );
    let hob = effect(&found, "heating: hob");
    assert_eq!(hob["status"], "settled", "{hob}");
    let value = number(&hob["common"], "value");
    assert!((value + 3.0).abs() < 0.3, "{value}");
    assert_eq!(list(hob, "own").len(), 3);
    let differs = member(list(&found, "differs"), "term", "heating").expect("a test");
    assert_eq!(differs["differs"], false);
}

#[test]
fn two_campaigns_say_little_however_well_each_is_known() {
    let found = together(&three()[..2], &[]);
    for term in ["heating: hob", "excess"] {
        let effect = effect(&found, term);
        let [common, across] = ["common", "across"].map(|of| {
            let ends = list(&effect[of], "interval");
            ends[1].as_f64().expect("an end") - ends[0].as_f64().expect("an end")
        });
        assert!(across > 4.0 * common, "{term}: {across} beside {common}");
    }
}

#[test]
fn an_effect_that_turns_in_one_campaign_differs_and_is_not_settled() {
    let mut campaigns = three();
    campaigns.push((titled("Winter"), runs(41.0, 3.0)));
    let found = together(&campaigns, &[]);
    let differs = member(list(&found, "differs"), "term", "heating").expect("a test");
    assert_eq!(differs["differs"], true);
    let hob = effect(&found, "heating: hob");
    assert_ne!(hob["status"], "settled");
    assert!(
        reasons(hob).contains("differs among the campaigns"),
        "{hob}"
    );
    let found = together(&campaigns, &["--differ", "heating"]);
    let hob = effect(&found, "heating: hob");
    assert!(hob["common"].is_null() && hob["status"] == "open", "{hob}");
    let own = member(list(hob, "own"), "campaign", "Winter").expect("its own");
    assert!((number(own, "value") - 3.0).abs() < 0.5);
    let terms = list(&list(&found, "models")[0], "terms");
    let joint = |term: &&Value| {
        let name = term["term"].as_str().unwrap_or_default();
        name.contains("heating: hob") && name.contains("campaign: Winter")
    };
    assert!(terms.iter().any(|term| joint(&term)), "{terms:?}");
}

#[test]
fn what_only_changed_between_campaigns_is_never_settled() {
    // The scale is another in each campaign, and crystals go up with it exactly.
    let campaigns = [10.0, 20.0, 30.0, 40.0, 50.0].map(|scale| {
        let file = titled(&format!("At {scale}")).replace(
            "[model]",
            "[factors.scale]\nkind = \"amount\"\nunit = \"kg\"\n[model]",
        );
        let file = file.replace("\"excess\"]", "\"excess\", \"scale\"]");
        let runs = runs(scale, -3.0);
        let mut lines = runs.lines();
        let head = lines.next().expect("headings");
        let rows = lines.map(|row| format!("{row},{scale}\n"));
        (file, format!("{head},scale\n{}", rows.collect::<String>()))
    });
    let found = together(&campaigns, &[]);
    let scale = effect(&found, "scale");
    assert_ne!(scale["status"], "settled", "{scale}");
    assert!(
        reasons(scale).contains("between campaigns alone"),
        "{scale}"
    );
    assert_eq!(effect(&found, "heating: hob")["status"], "settled");
}

#[test]
fn units_that_can_be_are_converted() {
    let plain = together(&three(), &[]);
    let mut campaigns = three();
    let (file, text) = &mut campaigns[1];
    *file = file
        .replace("unit = \"%\"", "unit = \"1\"")
        .replace("unit = \"g\"", "unit = \"kg\"");
    let rows = text.lines().map(|row| {
        let mut cells: Vec<String> = row.split(',').map(str::to_string).collect();
        for (place, by) in [(4, 100.0), (5, 1000.0)] {
            if let Ok(value) = cells[place].parse::<f64>() {
                cells[place] = format!("{}", value / by);
            }
        }
        cells.join(",") + "\n"
    });
    *text = rows.collect();
    let converted = together(&campaigns, &[]);
    for term in ["heating: hob", "excess"] {
        let [one, other] =
            [&plain, &converted].map(|of| number(&effect(of, term)["common"], "value"));
        check_digits(term, other, one, 9.0);
    }
    assert_eq!(list(&converted, "not_pooled").len(), 0);
}

#[test]
fn an_effect_that_one_campaign_has_for_itself_counts_there_alone() {
    // On the second campaign the route moved crystals by 5 and went half with the heating.
    let mut campaigns = three();
    let (file, text) = &mut campaigns[1];
    *file = file
        .replace(
            "[model]",
            "[factors.route]\nkind = \"choice\"\nbaseline = \"chill\"\n[model]",
        )
        .replace("\"excess\"]", "\"excess\", \"route\"]");
    let rows = text.lines().enumerate().map(|(line, row)| {
        let mut cells: Vec<String> = row.split(',').map(str::to_string).collect();
        let route = match line {
            0 => "route",
            _ if (cells[3] == "hob") == (line % 3 > 0) => "boildown",
            _ => "chill",
        };
        if route == "boildown" {
            let crystals: f64 = cells[5].parse().expect("a number");
            cells[5] = format!("{:.3}", crystals + 5.0);
        }
        format!("{},{route}\n", cells.join(","))
    });
    *text = rows.collect();
    let found = together(&campaigns, &[]);
    let value = number(&effect(&found, "heating: hob")["common"], "value");
    assert!((value + 3.0).abs() < 0.4, "{value}");
    let not_pooled = list(&found, "not_pooled");
    assert_eq!(not_pooled.len(), 1);
    assert_eq!(not_pooled[0]["campaign"], "Summer");
    let terms = list(&list(&found, "models")[0], "terms");
    assert!(
        member(terms, "term", "Summer: route: boildown").is_some(),
        "{terms:?}"
    );
}

#[test]
fn a_report_of_its_own_is_written_whole_and_exchanged() {
    let folder = folder(&three());
    let out = folder.path().join("out");
    let options = ["--out", out.to_str().expect("UTF-8")];
    for _ in 0..2 {
        let outcome = call(folder.path(), 3, &options);
        assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
        assert!(
            outcome.stdout.ends_with("report.md\n"),
            "{}",
            outcome.stdout
        );
    }
    let report = out.join("together");
    let page = std::fs::read_to_string(report.join("report.md")).expect("a page");
    check_finite("report.md", &page);
    for said in [
        "3 campaigns in one model",
        "Spring (12 runs)",
        "in all campaigns (settled",
    ] {
        assert!(page.contains(said), "no `{said}` in {page}");
    }
    for chart in ["effect-1-1.svg", "effect-1-2.svg"] {
        assert!(page.contains(chart));
        let picture = std::fs::read_to_string(report.join("charts").join(chart)).expect("a chart");
        assert!(picture.contains("\nAutumn\n") && picture.contains("the same in all"));
    }
    let result = std::fs::read_to_string(report.join("result.json")).expect("a result");
    let result: Value = serde_json::from_str(&result).expect("JSON");
    assert_eq!(result["answers"][0]["question"], "3 crystals");
    assert_eq!(result["campaign"]["runs"], 36);
    assert_eq!(list(&result["together"], "campaigns").len(), 3);
    // Of other campaigns it does not take the place.
    let outcome = call(folder.path(), 2, &options);
    assert_eq!(outcome.exit_code, 2);
    assert!(
        outcome.stderr.contains("another campaign"),
        "{}",
        outcome.stderr
    );
}
