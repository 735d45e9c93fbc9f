//! What is said about money, routes and settings when a price, a model, a factor or a logged figure is missing?
//!
//! In: a campaign that can answer everything, with one thing taken away. Out: tests of the whole sentence, and of what is
//! answered all the same.
//! This module never takes a figure from the program: they are sums of a few logged numbers, or those of the sound campaign.

use serde_json::{Value, json};

use super::priced::{
    Asked, PRICED, PRICED_LOTS, PRICED_RUNS, contained, edited, priced, table, with_cells,
    with_rows,
};
use super::promises::call;
use crate::support::{check_digits, list, number, without_links};

/// Digits asked of sums of a few dozen logged numbers, each rounded once in binary64.
const DIGITS: f64 = 12.0;

const IN_GRAMS: &str = "what the residue gives in grams of product stands all the same";
const YIELDS: &str = "yields and balances of the runs stand as they are";

/// Question 5 has no answer, in the same words as text, JSON and on the first screen of the report.
fn check_unanswered(asked: &Asked, missing: &str, advice: &str, still: &str) {
    let answer = asked.json("recycle", "recycling");
    let told = json!({ "missing": missing, "advice": advice, "still": still });
    assert_eq!(answer, json!({ "verdict": null, "unanswered": told }));
    let sentence = format!("Cannot be said: {missing}. What to do: {advice}.");
    let (first, rest) = still.split_at(1);
    assert_eq!(
        asked.text("recycle"),
        format!("{sentence}\n{}{rest}.\n", first.to_uppercase())
    );
    assert_eq!(
        asked.line("5"),
        format!("- **5 Does residue pay?** {sentence} *open*")
    );
}

/// The product gained stands as in the sound campaign, and its worth is missing.
fn check_worth_unanswered(asked: &Asked, missing: &str, advice: &str) {
    let answer = asked.json("recycle", "recycling");
    assert_eq!(answer["verdict"], Value::Null);
    assert_eq!(
        answer["unanswered"],
        json!({ "missing": missing, "advice": advice, "still": IN_GRAMS })
    );
    let sound = Asked::of(PRICED, PRICED_RUNS).json("recycle", "recycling");
    assert_eq!(answer["extra_product"], sound["extra_product"]);
    let end = format!("what that is worth cannot be said: {missing}. What to do: {advice}.");
    let text = asked.text("recycle");
    assert!(
        text.lines().next().unwrap_or_default().ends_with(&end),
        "{text}"
    );
    let line = asked.line("5");
    let begins = format!("What it is worth cannot be said: {missing}. What to do: {advice}.");
    assert!(line.contains(&begins), "{line}");
    assert!(asked.line("6").contains(": yield "));
}

#[test]
fn without_prices_the_grams_stand_and_their_worth_is_missing() {
    let asked = Asked::of(&PRICED.replace(&table("[prices]"), ""), PRICED_RUNS);
    check_worth_unanswered(
        &asked,
        "there are no prices",
        "add `[prices]` with `product`, and what else is paid for",
    );
    assert_eq!(
        asked.line("9"),
        "- **9 What does it cost?** There are no prices. Add `[prices]` to the campaign file; what is absent there is named and not counted. *not asked*"
    );
}

#[test]
fn without_the_price_of_the_product_the_grams_stand_and_a_gram_still_has_a_cost() {
    let asked = Asked::of(&edited(&[("product = \"18 /kg\"\n", "")]), PRICED_RUNS);
    check_worth_unanswered(
        &asked,
        "the product has no price",
        "state `product` under `[prices]`",
    );
    let costs = asked.json("report", "costs");
    assert!(list(&costs, "not_counted").contains(&json!("what the product is worth (no price)")));
    assert!(number(&costs["campaign"]["per_gram"], "value") > 0.0);
    assert_eq!(costs["campaign"]["gained_by_making"], Value::Null);
}

#[test]
fn feed_that_is_saved_is_worth_nothing_known_without_its_price() {
    let campaign = edited(&[
        ("bleed = 0.2", "bleed = 0.2\nvalue = \"feed\""),
        ("feed = \"4.20 /kg\"\n", ""),
    ]);
    let asked = Asked::of(&campaign, PRICED_RUNS);
    check_worth_unanswered(
        &asked,
        "the feed has no price",
        "state `feed` under `[prices]`",
    );
}

#[test]
fn residue_that_no_run_charged_leaves_the_question_open() {
    let bare = with_cells("residue_mass", |_| String::new()).replace(",0.4,", ",,");
    for runs in [with_rows(|row| row.contains(",0,,")), bare] {
        check_unanswered(
            &Asked::of(PRICED, &runs),
            "no run charged residue",
            "charge residue in some runs and not in others of the same lot and settings, and log `residue_mass` with `residue_from` or `residue_assay`",
            "what the residue on the shelf holds stands under question 2",
        );
    }
}

#[test]
fn residue_always_charged_at_one_ratio_has_nothing_to_be_held_against() {
    let runs = PRICED_RUNS.replace(",0,,", ",30,0.4,");
    check_unanswered(
        &Asked::of(PRICED, &runs),
        "every run charged residue at the same ratio (0.300 g/g), so there is nothing to hold it against",
        "make some runs without residue on the same lot and settings",
        "yields on the total basis show what such runs give, not what the residue adds",
    );
}

#[test]
fn settings_are_not_tempted_by_residue_of_which_nobody_knows_what_it_holds() {
    let asked = Asked::of(PRICED, &with_cells("residue_assay", |_| String::new()));
    let found = asked.json("settings", "settings");
    // What the residue gives counts as gained from fresh feed alone, so that more of it would look better and better.
    assert_eq!(found["at"]["residue_ratio"].as_f64(), Some(0.0), "{found}");
    assert!(
        found["missing"].to_string().contains("has no assay"),
        "{found}"
    );
}

#[test]
fn residue_charged_without_any_assay_promises_nothing_known() {
    check_unanswered(
        &Asked::of(PRICED, &with_cells("residue_assay", |_| String::new())),
        "no residue that was charged has an assay, so nobody knows what it could give",
        "log `residue_assay`, or `residue_from` together with the assay in the residues log",
        "yields count fresh feed only, as their doubts say",
    );
}

#[test]
fn residue_that_no_factor_stands_for_is_told_in_the_report_too() {
    let campaign = PRICED
        .replace(&table("[factors.residue_ratio]"), "")
        .replace(", \"residue_ratio\"]", "]");
    check_unanswered(
        &Asked::of(&campaign, PRICED_RUNS),
        "no factor stands for residue fed forward",
        "declare `[factors.residue_ratio]` with `kind = \"amount\"` and `stands_for = \"residue\"`, and log `residue_mass`",
        YIELDS,
    );
}

#[test]
fn a_residue_factor_that_is_no_effect_cannot_be_told() {
    check_unanswered(
        &Asked::of(&edited(&[(", \"residue_ratio\"]", "]")]), PRICED_RUNS),
        "the model cannot tell a charged run from one without residue: the model has no factor `residue_ratio`",
        "name `residue_ratio` among the effects of `[model]`, and vary it within lots and settings",
        YIELDS,
    );
}

#[test]
fn without_a_model_the_calls_say_so_and_the_report_answers_the_rest() {
    let campaign = PRICED.replace(&table("[model]"), "");
    let folder = priced(&campaign, PRICED_RUNS, PRICED_LOTS);
    let (place, out) = (
        folder.path().join("campaign"),
        folder.path().join("reports"),
    );
    for (name, what, hint) in [
        (
            "recycle",
            "",
            "add `[model]` with `effects = [...]`; `effects = []` fits the constant alone",
        ),
        (
            "routes",
            "",
            "add `[model]` with `effects = [...]`; `effects = []` fits the constant alone",
        ),
        (
            "settings",
            "",
            "add `[model]` with `effects = [...]`; `effects = []` fits the constant alone",
        ),
        (
            "next",
            " to plan runs for",
            "add `[model]` with `effects = [...]`: the runs are chosen to teach most about its terms",
        ),
    ] {
        let outcome = call(name, &place, &out, &[]);
        assert_eq!(
            (outcome.exit_code, outcome.stdout.as_str()),
            (2, ""),
            "{name}"
        );
        assert_eq!(
            outcome.stderr,
            format!("error: `campaign.toml` has no `[model]`{what}\n\nhint: {hint}\n"),
            "{name}"
        );
    }
    let report = call("report", &place, &out, &["--json"]).json();
    assert_eq!(
        report["recycling"]["unanswered"]["missing"],
        "there is no model of yield"
    );
    let written = std::fs::read_to_string(out.join("campaign/report.md")).expect("a report");
    let told =
        "- **4 Which route?** The routes cannot be compared: there is no model of yield. *open*";
    assert!(
        written.lines().any(|line| without_links(line) == told),
        "{written}"
    );
    // 6.72 for feed, 20 for heat, 0.32 for handling and 0.4 a minute of labour, over all that the crops held.
    let labour: f64 = PRICED_RUNS
        .lines()
        .skip(1)
        .filter_map(|row| row.split(',').nth(8)?.parse::<f64>().ok())
        .sum();
    let per_gram = (6.72 + 20.0 + 0.32 + 0.4 * labour) / contained(PRICED_RUNS, |_| true);
    check_digits(
        "cost",
        number(&report["costs"]["campaign"]["per_gram"], "value"),
        per_gram,
        DIGITS,
    );
}

#[test]
fn one_route_alone_has_nothing_to_be_compared_with() {
    let asked = Asked::of(PRICED, &with_rows(|row| row.contains(",chill,")));
    let sentence = "Only chill was run, so there is nothing to compare it with.";
    let text = asked.text("routes");
    assert_eq!(text.lines().next(), Some(sentence));
    assert!(text.ends_with(
        "missing:\n  Only one route was run: chill: its own means and its chance of meeting the specification stand here; make runs on another route to compare\n"
    ));
    assert_eq!(
        asked.line("4"),
        format!("- **4 Which route?** {sentence} *open*")
    );
    let routes = asked.json("routes", "routes");
    assert_eq!(list(&routes, "levels").len(), 1);
    assert!(number(&list(&routes, "levels")[0]["yield"], "value") > 0.0);
}

#[test]
fn an_aim_without_its_model_is_named_while_routes_meet_the_specification() {
    let campaign = format!(
        "{}\n[aim]\nminimise = \"cost\"\n",
        PRICED.replace(&table("[prices]"), "")
    );
    let asked = Asked::of(&campaign, PRICED_RUNS);
    let missing = "There is no model of cost: it needs `[prices]`, and runs with the masses that are paid for: yield and purity can still be compared; state prices, or aim at another response";
    let routes = asked.text("routes");
    assert_eq!(
        routes.lines().next(),
        Some("No route can be judged for least cost.")
    );
    assert!(
        routes.ends_with(&format!("missing:\n  {missing}\n")),
        "{routes}"
    );
    assert_eq!(
        asked.text("settings"),
        format!("No settings can be recommended.\n\nmissing:\n  {missing}\n")
    );
    assert_eq!(list(&asked.json("routes", "routes"), "levels").len(), 2);
}

#[test]
fn without_limits_settings_stay_within_the_runs_made() {
    let campaign = edited(&[("low = 60\nhigh = 80\n", ""), ("low = 0\nhigh = 0.4\n", "")]);
    let asked = Asked::of(&campaign, PRICED_RUNS);
    let gap = |factor: &str, range: &str| {
        format!(
            "  No limits of {factor} declared: settings stay within the runs made, {range}; declare `low` and `high` under `[factors.{factor}]`\n"
        )
    };
    let text = asked.text("settings");
    let told = format!(
        "missing:\n{}{}",
        gap("bath", "60 to 80"),
        gap("residue_ratio", "0 to 0.3")
    );
    assert!(text.ends_with(&told), "{text}");
    let at = asked.json("settings", "settings")["at"].clone();
    assert!((60.0..=80.0).contains(&number(&at, "bath")), "{at}");
    assert!((0.0..=0.3).contains(&number(&at, "residue_ratio")), "{at}");
}

#[test]
fn product_off_specification_is_worthless_only_where_a_specification_says_what_that_is() {
    let worthless = ("bleed = 0.2", "bleed = 0.2\noff_spec = \"worthless\"");
    let none = Asked::of(
        &edited(&[worthless, ("purity_spec = 0.98\n", "")]),
        PRICED_RUNS,
    );
    let answer = none.json("recycle", "recycling");
    let not = "product off specification (no `purity_spec` is stated)";
    assert!(
        list(&answer, "not_counted").contains(&json!(not)),
        "{answer}"
    );
    assert_eq!(answer["specification"], Value::Null);
    assert!(none.text("recycle").contains(not));
    // The chance of meeting it is asked for even where purity is no response of the model.
    let without = ("[\"yield\", \"purity\"]", "[\"yield\"]");
    for campaign in [edited(&[worthless]), edited(&[worthless, without])] {
        let asked = Asked::of(&campaign, PRICED_RUNS);
        let answer = asked.json("recycle", "recycling");
        assert_eq!(answer["specification"]["counts_as_money"], true);
        let text = asked.text("recycle");
        assert!(
            text.lines()
                .any(|line| line.ends_with(", which is counted.")),
            "{text}"
        );
    }
}
