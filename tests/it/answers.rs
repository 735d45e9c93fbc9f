//! Are all nine questions always answered, or is it said why not?
//!
//! In: the demo campaigns, whole and with parts taken away. Out: tests of `answers` in `result.json` and of the first screen.
//! This module never asks whether an answer is right.

use std::fs;

use serde_json::{Value, json};

use crate::routes::demo;
use crate::support::{CampaignFolder, list, residuum, without_links};

const STATUSES: [&str; 5] = ["settled", "partly open", "open", "in doubt", "not asked"];

/// What a report holds: `result.json`, and the lines of the first screen.
struct Told {
    result: Value,
    screen: Vec<String>,
}

/// The report on the campaign in that folder.
fn told(campaign: &CampaignFolder) -> Told {
    let place = CampaignFolder::new();
    let out = place.path();
    let arguments = [
        "report".into(),
        campaign.path().display().to_string(),
        "--out".into(),
        out.display().to_string(),
        "--quiet".into(),
    ];
    let done = residuum(&arguments);
    assert_eq!(done.exit_code, 0, "{}{}", done.stdout, done.stderr);
    let folders = fs::read_dir(out).expect("the folder of reports can be listed");
    let report = folders.map(|entry| entry.expect("it can be listed").path());
    let report = report
        .filter(|path| path.is_dir())
        .collect::<Vec<_>>()
        .remove(0);
    let read =
        |file: &str| fs::read_to_string(report.join(file)).expect("the report has this file");
    let page = read("report.md");
    let mut screen: Vec<String> = page
        .lines()
        .take_while(|line| !line.starts_with("## "))
        .filter(|line| line.starts_with("- **"))
        .map(without_links)
        .collect();
    // A small log leads with question 7; here all stand in their order.
    screen.sort_by_key(|line| line.chars().nth("- **".len()));
    Told {
        result: serde_json::from_str(&read("result.json")).expect("JSON"),
        screen,
    }
}

/// The campaign file of a demo, edited, beside its logs.
fn edited(name: &str, edit: impl Fn(&str) -> String) -> Told {
    let text = fs::read_to_string(demo(name).join("campaign.toml")).expect("a campaign file");
    let demo = CampaignFolder::copy_of(&demo(name)).with("campaign.toml", &edit(&text));
    told(&demo)
}

/// The text without this table and what stands below it.
fn without(text: &str, table: &str) -> String {
    let mut inside = false;
    let mut kept = String::new();
    for line in text.lines() {
        if line.starts_with('[') {
            inside = line.starts_with(&format!("[{table}]"));
        }
        if !inside {
            kept.push_str(line);
            kept.push('\n');
        }
    }
    kept
}

/// Asks what holds for every report, and gives the status of each question.
#[track_caller]
fn statuses(told: &Told) -> Vec<(String, String)> {
    let answers = list(&told.result, "answers");
    let doubts = list(&told.result, "caveats").len();
    assert_eq!(answers.len(), told.screen.len(), "{:#?}", told.screen);
    let mut statuses = Vec::new();
    for (answer, line) in answers.iter().zip(&told.screen) {
        let text = |key: &str| answer[key].as_str().expect("a text").to_string();
        let (question, status) = (text("question"), text("status"));
        assert!(STATUSES.contains(&status.as_str()), "{answer}");
        assert_eq!(status == "settled", answer["reason"].is_null(), "{answer}");
        assert!(text("headline").ends_with('.'), "{answer}");
        let number = question.split(' ').next().expect("a number");
        assert!(line.starts_with(&format!("- **{number} ")), "{line}");
        assert!(line.ends_with(&format!(" *{status}*")), "{line}");
        for doubt in list(answer, "doubts") {
            let position = doubt.as_u64().expect("a position");
            assert!(usize::try_from(position).is_ok_and(|place| place < doubts));
        }
        for figure in list(answer, "figures") {
            assert!(figure["value"].is_number(), "{figure}");
        }
        statuses.push((question, status));
    }
    for number in 1..=9 {
        let begins = |(question, _): &&(String, String)| question.starts_with(&number.to_string());
        assert!(statuses.iter().any(|known| begins(&known)), "{number}");
    }
    statuses
}

#[track_caller]
fn check(told: &Told, expected: &[(&str, &str)]) {
    let statuses = statuses(told);
    for (question, status) in expected {
        let found = statuses.iter().find(|(asked, _)| asked == question);
        assert_eq!(
            found.map(|(_, found)| found.as_str()),
            Some(*status),
            "{question}"
        );
    }
}

fn as_it_is(text: &str) -> String {
    text.to_string()
}

#[test]
fn all_nine_questions_of_bluestone_have_an_answer() {
    check(
        &edited("bluestone", as_it_is),
        &[
            ("2", "in doubt"),
            ("3 yield", "partly open"),
            ("5", "open"),
            ("7", "open"),
        ],
    );
}

#[test]
fn what_iodate_never_measured_never_did_and_never_priced_is_said_so() {
    let told = edited("iodate", as_it_is);
    check(
        &told,
        &[
            ("1", "settled"),
            ("2", "open"),
            ("5", "not asked"),
            ("9", "partly open"),
        ],
    );
    let second = &list(&told.result, "answers")[1];
    assert_eq!(second["figures"], json!([]));
    assert_eq!(list(second, "to_do").len(), 1, "{second}");
}

#[test]
fn without_a_model_its_questions_are_not_asked() {
    let told = edited("iodate", |text| without(text, "model"));
    check(
        &told,
        &[
            ("1", "settled"),
            ("3", "not asked"),
            ("4", "open"),
            ("6", "not asked"),
            ("7", "not asked"),
        ],
    );
}

#[test]
fn without_prices_the_cost_is_not_asked_and_the_worth_of_residue_stays_open() {
    let told = edited("bluestone", |text| without(text, "prices"));
    check(&told, &[("5", "open"), ("9", "not asked")]);
}

#[test]
fn a_campaign_without_chemistry_and_with_one_run_says_of_each_question_why_not() {
    let place = CampaignFolder::new()
        .with(
            "campaign.toml",
            "[campaign]\ntitle = \"One\"\n[logs]\nruns = \"runs.csv\"\n[responses]\ncrystals = { unit = \"g\" }\n",
        )
        .with("runs.csv", "run,crystals\nA1,41.2\n");
    check(
        &told(&place),
        &[
            ("1", "not asked"),
            ("2", "not asked"),
            ("3", "not asked"),
            ("5", "not asked"),
            ("9", "not asked"),
        ],
    );
}

/// A campaign of one response with the choices `bath` and `stir` and these runs.
fn of_two_choices(runs: &str) -> Told {
    let campaign = CampaignFolder::new()
        .with(
            "campaign.toml",
            "[campaign]\ntitle = \"Two\"\n[logs]\nruns = \"runs.csv\"\n[responses]\ncrystals = { unit = \"g\" }\n[factors.bath]\nkind = \"choice\"\nbaseline = \"ice\"\n[factors.stir]\nkind = \"choice\"\nbaseline = \"slow\"\n[model]\nresponses = [\"crystals\"]\neffects = [\"bath\", \"stir\"]\n",
        )
        .with("runs.csv", &format!("run,bath,stir,crystals\n{runs}"));
    told(&campaign)
}

/// What is asked about and never varied is not settled, whatever else is.
#[test]
fn a_factor_that_never_varied_keeps_the_question_what_moves_open() {
    let told = of_two_choices(
        "A1,ice,slow,41.2\nA2,air,slow,37.9\nA3,ice,slow,40.6\nA4,air,slow,38.3\nA5,ice,slow,41\nA6,air,slow,37.5\n",
    );
    check(&told, &[("3 crystals", "partly open")]);
    assert!(
        told.screen[2].contains("Nothing can be told of stir: it never varied."),
        "{}",
        told.screen[2]
    );
    check(
        &of_two_choices("A1,ice,slow,41.2\n"),
        &[("3 crystals", "open")],
    );
    check(
        &of_two_choices("A1,ice,slow,41.2\nA2,air,slow,37.9\nA3,ice,fast,40.6\n"),
        &[("3 crystals", "open")],
    );
}

/// A lead that may be luck is settled only where the routes are alike by the margin, and then that is said.
#[test]
fn routes_alike_within_the_margin_are_settled_and_said_to_be_alike() {
    let first_runs = |margin: &str| {
        let text =
            fs::read_to_string(demo("bluestone").join("campaign.toml")).expect("a campaign file");
        let text = text
            .replace("purity_spec = 0.985", "")
            .replace("yield = 0.02,", margin);
        let log = fs::read_to_string(demo("bluestone").join("runs.csv")).expect("a runs log");
        let log: Vec<&str> = log.lines().take(34).collect();
        let campaign = CampaignFolder::copy_of(&demo("bluestone"))
            .with("campaign.toml", &text)
            .with("runs.csv", &log.join("\n"));
        told(&campaign)
    };
    let wide = first_runs("yield = 0.1,");
    check(&wide, &[("4", "settled")]);
    let fourth = wide.screen.iter().find(|line| line.starts_with("- **4 "));
    let fourth = fourth.expect("the fourth question");
    let alike = "could be best lie within 10 points: take whichever suits.";
    assert!(fourth.contains(alike), "{fourth}");
    check(&first_runs("yield = 0.001,"), &[("4", "open")]);
}

#[test]
fn a_name_stands_raw_in_the_headline_and_harmless_on_the_page() {
    let place = CampaignFolder::new()
        .with(
            "campaign.toml",
            "[campaign]\ntitle = \"Six\"\n[logs]\nruns = \"runs.csv\"\n[responses]\ncrystals = { unit = \"g\" }\n[factors.bath]\nkind = \"choice\"\nbaseline = \"ice\"\n[model]\nresponses = [\"crystals\"]\neffects = [\"bath\"]\n",
        )
        .with(
            "runs.csv",
            "run,bath,crystals\nA1,ice,41.2\nA2,<b>air</b>,37.9\nA3,ice,40.6\nA4,<b>air</b>,38.3\nA5,ice,41.0\nA6,<b>air</b>,37.5\n",
        );
    let told = told(&place);
    check(&told, &[("3 crystals", "settled")]);
    let third = &list(&told.result, "answers")[2];
    let headline = third["headline"].as_str().expect("a text");
    assert!(headline.contains("<b>air</b> −3.0"), "{headline}");
    let line = &told.screen[2];
    assert!(line.contains("&lt;b>air&lt;/b> −3.0"), "{line}");
}
