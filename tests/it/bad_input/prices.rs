//! What do prices that cannot be read, or that no logged figure goes with, do to what a run and a gram cost?
//!
//! In: the priced campaign with a price spoilt, missing or without its column. Out: tests of the whole message and of the
//! cost that is left, summed by hand.
//! This module never takes a figure from the program, except to see that another answer has not moved.

use serde_json::json;

use super::priced::{
    Asked, MONEY_CALLS, PRICED, PRICED_LOTS, PRICED_RUNS, contained, edited, priced, with_cells,
};
use super::promises::call;
use crate::support::{CampaignFolder, check_digits, list, number};

/// Digits asked of sums of a few dozen logged numbers, each rounded once in binary64.
const DIGITS: f64 = 12.0;

#[test]
fn a_lot_whose_price_cannot_be_read_takes_that_of_the_campaign_with_a_doubt() {
    for (text, why) in [
        (
            "cheap",
            "write a figure, such as `4.20`, `€4.20` or `4.20 ± 0.30 /kg`",
        ),
        ("-4 /kg", "a price is not negative"),
        ("4 /h", "feed is counted per kg"),
    ] {
        let lots = format!("lot,assay,u_assay,price\nA,0.80,0.004,8.40\nB,0.75,0.004,{text}\n");
        let asked = Asked::with_lots(PRICED, PRICED_RUNS, &lots);
        let told = format!(
            "doubt: the price of lot B in lots.csv line 3 is no price: {text}\n  hint: {why}; until then the feed price of the campaign file counts\n"
        );
        let outcome = asked.call("recycle", &[]);
        assert!(outcome.stderr.contains(&told), "{}", outcome.stderr);
        let costs = asked.json("report", "costs");
        // 100 g of lot A at 8.40, of lot B at 4.20 a kilogram.
        for (run, cost) in [(0, 0.84), (15, 0.42)] {
            check_digits(
                "feed",
                number(&list(&costs, "runs")[run]["parts"], "feed"),
                cost,
                DIGITS,
            );
        }
    }
}

#[test]
fn prices_that_are_none_stop_with_what_to_write() {
    let shape = "write a figure and what it is per: `4.20 /kg`, `24 /h` or `1.9 /run`, with `± 0.30` between them if it is uncertain";
    for (key, sound, text, hint) in [
        ("product", "18 /kg", "4.20", shape),
        ("product", "18 /kg", "", shape),
        ("product", "18 /kg", "4.20 /lb", shape),
        ("product", "18 /kg", "-1 /kg", "a price is not negative"),
        ("product", "18 /kg", "4 ± -1 /kg", "a price is not negative"),
        ("product", "18 /kg", "4.20 /h", "it is counted per kg"),
        ("labour", "24 /h", "24 /kg", "it is counted per h"),
        (
            "heat.heating.hob",
            "0.6 /run",
            "0.6 /h",
            "it is counted per run",
        ),
        (
            "product",
            "18 /kg",
            "4,20 /kg",
            "`4,20` is not a finite number; use a decimal point",
        ),
        (
            "product",
            "18 /kg",
            "NaN /kg",
            "`NaN` is not a finite number; use a decimal point",
        ),
        (
            "product",
            "18 /kg",
            "1e300 /kg",
            "no price of a bench is so large: look for a slip in the exponent or the unit",
        ),
        (
            "residue_handling",
            "0.1 min/run",
            "1 min",
            "write a time per run, such as `6 min/run`",
        ),
        (
            "residue_handling",
            "0.1 min/run",
            "-1 min/run",
            "a time is not negative",
        ),
    ] {
        let quoted = |text: &str| format!("\"{text}\"");
        let campaign = edited(&[(&quoted(sound), &quoted(text))]);
        let before = campaign.split(&quoted(text)).next().unwrap_or_default();
        let line = before.matches('\n').count() + 1;
        let folder = priced(&campaign, PRICED_RUNS, PRICED_LOTS);
        let out = CampaignFolder::new();
        for name in MONEY_CALLS {
            let reports = out.path().join("reports");
            let outcome = call(name, &folder.path().join("campaign"), &reports, &[]);
            assert_eq!(
                outcome.stderr,
                format!(
                    "error: `prices.{key}` is `{text}`, in `campaign.toml` line {line}\n\nhint: {hint}\n"
                ),
                "{name}"
            );
            assert_eq!(
                (outcome.exit_code, outcome.stdout.as_str()),
                (2, ""),
                "{name}"
            );
            assert!(!reports.exists(), "{name}");
        }
    }
}

#[test]
fn labour_that_has_a_price_and_is_not_logged_is_named_and_not_counted() {
    let runs = with_cells("labour", |_| String::new());
    let asked = Asked::of(PRICED, &runs);
    let costs = asked.json("report", "costs");
    assert!(list(&costs, "not_counted").contains(&json!("labour (no run logs `labour`)")));
    // 16 charges of 100 g at 4.20 a kilogram, 8 runs at 1.90 and 8 at 0.60 for heat, 8 times 0.1 min at 24 an hour.
    let total = 6.72 + 20.0 + 0.32;
    check_digits(
        "total",
        number(&costs["campaign"]["total"], "value"),
        total,
        DIGITS,
    );
    check_digits(
        "per gram",
        number(&costs["campaign"]["per_gram"], "value"),
        total / contained(&runs, |_| true),
        DIGITS,
    );
    assert!(asked.line("9").contains("labour (no run logs `labour`)"));
}

#[test]
fn runs_at_a_level_without_a_price_of_heat_are_counted_out_by_name() {
    let kiln = "baseline = \"muffle\"\nlevels = [\"kiln\"]";
    for (from, to, levels) in [
        ("muffle = \"1.9 /run\", ", "", "baseline = \"muffle\""),
        ("muffle = \"1.9 /run\"", "kiln = \"1.9 /run\"", kiln),
    ] {
        let edits = [(from, to), ("baseline = \"muffle\"", levels)];
        let asked = Asked::of(&edited(&edits), PRICED_RUNS);
        let reason = "8 of 16 runs (heat has no price with heating muffle)";
        let costs = asked.json("report", "costs");
        assert_eq!(costs["without_a_cost"], json!([reason]));
        assert!(asked.line("9").contains(reason), "{}", asked.line("9"));
        assert_eq!(costs["campaign"]["runs"], 8);
        // 8 charges of 100 g, 8 times 0.60 for heat, 4 times 0.1 min, and the labour of the runs on the hob.
        let on_hob = |cells: &[&str]| cells[3] == "hob";
        let rows = PRICED_RUNS
            .lines()
            .skip(1)
            .map(|row| row.split(',').collect());
        let hob = rows.filter(|cells: &Vec<&str>| on_hob(cells));
        let labour: f64 = hob.filter_map(|cells| cells[8].parse::<f64>().ok()).sum();
        let total = 3.36 + 4.8 + 0.16 + 0.4 * labour;
        check_digits(
            "per gram",
            number(&costs["campaign"]["per_gram"], "value"),
            total / contained(PRICED_RUNS, on_hob),
            DIGITS,
        );
        // What residue gains does not hang on heat, which the run pays and only a run not made saves; which runs would settle
        // it hangs on the levels that they may have.
        let [found, sound] = [asked, Asked::of(PRICED, PRICED_RUNS)].map(|asked| {
            let mut recycling = asked.json("recycle", "recycling");
            recycling["ways"]["runs"].take();
            recycling["settling"].take();
            recycling
        });
        assert_eq!(found, sound);
    }
}

#[test]
fn heat_that_is_priced_by_what_no_run_logs_is_not_counted() {
    let asked = Asked::of(
        &edited(&[("heat = { heating", "heat = { oven")]),
        PRICED_RUNS,
    );
    let costs = asked.json("report", "costs");
    assert!(list(&costs, "not_counted").contains(&json!("heat (no run names its oven)")));
    assert_eq!(costs["without_a_cost"], json!([]));
}
