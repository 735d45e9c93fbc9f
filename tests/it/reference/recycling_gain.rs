//! Does an independent calculation of what residue gains agree?
//!
//! In: `tests/data/recycling_gain.json`, worked out from the logs of the bluestone campaign by
//! `tests/check-scripts/recycling_gain.py` with numpy, scipy and uncertainties. Out: a test of `residuum recycle`.
//! This module never asks whether the true effects of the simulation were found.

use std::path::{Path, PathBuf};

use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::support::{
    CampaignFolder, check_digits, data_json, list, number, residuum, residuum_json,
};

/// Digits asked of what no fit enters but by rounding.
const DIGITS: f64 = 12.0;
/// Digits asked of what rests on the fitted yields: the fit that knows the measurement stops where a value moves by less than
/// 1e-10 of its standard error, and the gain is a small difference of such values.
const DIGITS_OF_FIT: f64 = 7.0;
/// Digits asked of errors that come from differences of large sums.
const DIGITS_OF_ERRORS: f64 = 10.0;

fn bluestone() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone")
}

fn independent() -> Value {
    data_json("recycling_gain.json")
}

#[test]
fn the_independent_gain_was_worked_out_from_the_logs_as_they_are_now() {
    for (name, expected) in independent()["sha256"]
        .as_object()
        .expect("digests by file")
    {
        let bytes = std::fs::read(bluestone().join(name)).expect("a file of the demo campaign");
        let digest: String = Sha256::digest(&bytes)
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        assert_eq!(
            expected, &digest,
            "`{name}` has changed: run `python tests/check-scripts/recycling_gain.py` again"
        );
    }
}

#[test]
fn the_gain_and_its_uncertainty_are_those_of_an_independent_calculation() {
    let found = residuum_json("recycle", &bluestone())["recycling"].take();
    let expected = &independent()["expected"];
    let check = |what: &str, value: &Value, key: &str, digits: f64| {
        let value = value.as_f64().expect("a number");
        check_digits(what, value, number(expected, key), digits);
    };
    let terms = &found["terms"];
    check("  ratio", &found["ratio"], "ratio", DIGITS);
    for (name, key) in [
        ("oxidant", "oxidant_term"),
        ("further_reagents", "reagents_term"),
        ("handling", "handling_term"),
        ("labour", "labour_term"),
        ("disposal", "disposal_term"),
    ] {
        check(name, &terms[name], key, DIGITS);
    }
    for (part, key) in [("value", ""), ("u", "_u")] {
        let of = |name: &str| format!("{name}{key}");
        let (extra, gain) = (&found["extra_product"][part], &found["gain_per_run"][part]);
        check(
            "  extra product",
            extra,
            &of("extra_product"),
            DIGITS_OF_FIT,
        );
        check("  gain", gain, &of("gain"), DIGITS_OF_FIT);
    }
    check(
        "  product",
        &terms["product"],
        "product_term",
        DIGITS_OF_FIT,
    );
}

#[test]
fn charging_less_often_gains_what_an_independent_calculation_says() {
    let found = residuum_json("recycle", &bluestone())["recycling"].take();
    let expected = &independent()["expected"];
    let policies = list(&found, "policies");
    let names = [
        "every_1",
        "every_2",
        "every_3",
        "every_4",
        "every_5",
        "every_6",
        "when_full",
    ];
    assert_eq!(policies.len(), names.len());
    for (policy, name) in policies.iter().zip(names) {
        let every = &policy["every"];
        let called = every
            .as_u64()
            .map_or("when_full".into(), |runs| format!("every_{runs}"));
        assert_eq!(called, name);
        let gain = &policy["gain_per_run"];
        let last = list(policy, "cycles").last().expect("a charge");
        for (key, value, digits) in [
            ("gain", number(gain, "value"), DIGITS_OF_FIT),
            ("gain_u", number(gain, "u"), DIGITS_OF_FIT),
            ("runs", number(policy, "runs"), DIGITS),
            ("residue", number(last, "residue"), DIGITS),
            ("assay", number(last, "assay"), DIGITS),
        ] {
            let key = format!("{name}_{key}");
            check_digits(&key, value, number(expected, &key), digits);
        }
    }
    // Runs of a month by the dates of the log.
    let month = number(&policies[0]["gain_per_month"], "value");
    let a_run = number(&policies[0]["gain_per_run"], "value");
    let text = std::fs::read_to_string(bluestone().join("runs.csv")).expect("the log");
    let dates: Vec<&str> = text
        .lines()
        .skip(1)
        .filter_map(|line| line.split(',').nth(1))
        .collect();
    let day = |date: &str| {
        let parts: Vec<f64> = date
            .split('-')
            .filter_map(|part| part.parse().ok())
            .collect();
        // Days of a year that is no leap year, from its first.
        let before = [
            0.0, 31.0, 59.0, 90.0, 120.0, 151.0, 181.0, 212.0, 243.0, 273.0, 304.0, 334.0,
        ];
        before[parts[1] as usize - 1] + parts[2]
    };
    let (first, last) = (
        dates.iter().min().expect("a date"),
        dates.iter().max().expect("a date"),
    );
    assert_eq!(first[..4], last[..4]);
    let runs = (dates.len() - 1) as f64 / (day(last) - day(first)) * 365.25 / 12.0;
    check_digits("a month", month / a_run, runs, 10.0);
}

#[test]
fn the_gain_valued_as_feed_and_as_runs_is_that_of_an_independent_calculation() {
    let found = residuum_json("recycle", &bluestone())["recycling"].take();
    let expected = &independent()["expected"];
    for (way, key) in [
        ("product", "gain"),
        ("feed", "gain_by_feed"),
        ("runs", "gain_by_runs"),
    ] {
        let value = &found["ways"][way]["gain_per_run"]["value"];
        let value = value.as_f64().expect("a number");
        check_digits(way, value, number(expected, key), DIGITS_OF_FIT);
    }
    // The campaign file says which way counts, so that the verdict is that of this way.
    assert_eq!(found["verdict"], "not settled");
    assert_eq!(found["ways"]["feed"]["verdict"], "does not pay");
}

/// What bluestone says of residue, and what a gram costs in all, with another line in place of one.
fn with_line(from: &str, to: &str) -> [Value; 2] {
    let text = std::fs::read_to_string(bluestone().join("campaign.toml")).expect("a file");
    assert_eq!(text.matches(from).count(), 1, "{from}");
    let folder = CampaignFolder::copy_of(&bluestone());
    let folder = folder.with("campaign.toml", &text.replace(from, to));
    let mut result = residuum_json("report", folder.path());
    ["recycling", "costs"].map(|key| result[key].take())
}

#[test]
fn the_gain_with_handling_in_the_log_and_with_time_that_is_attended_is_an_independent_one() {
    let expected = &independent()["expected"];
    let handling = "handling = \"extra\"";
    let attended = "handling = \"extra\"\nattended = [\"filter_time\"]";
    let [extra, before] = with_line(handling, handling);
    let [logged, _] = with_line(handling, "handling = \"logged\"");
    let [by_time, after] = with_line(handling, attended);
    for (found, key) in [
        (&extra, "gain"),
        (&logged, "gain_logged"),
        (&by_time, "gain_attended"),
    ] {
        for (part, end) in [("value", ""), ("u", "_u")] {
            let value = found["gain_per_run"][part].as_f64().expect("a number");
            let expected = number(expected, &format!("{key}{end}"));
            check_digits(key, value, expected, DIGITS_OF_FIT);
        }
    }
    // The time at the filter is in the cost of a gram too, once.
    let [before, after] = [before, after].map(|costs| {
        let per_gram = &costs["campaign"]["per_gram"]["value"];
        per_gram.as_f64().expect("a cost")
    });
    let more = number(expected, "attended_per_gram");
    check_digits("  attended", after - before, more, DIGITS_OF_FIT);
}

#[test]
fn the_cost_of_a_gram_made_holds_how_runs_differ_as_an_independent_calculation_has_it() {
    let costs = residuum_json("report", &bluestone())["costs"].take();
    let (campaign, expected) = (&costs["campaign"], &independent()["expected"]);
    let choice = &campaign["make_or_buy"];
    for (found, key) in [
        (&campaign["per_gram"], "cost_per_gram"),
        (
            &campaign["per_gram_on_specification"],
            "cost_to_specification",
        ),
        (&choice["with_labour"]["per_gram"], "cost_to_specification"),
        (&choice["without_labour"]["per_gram"], "cost_without_labour"),
    ] {
        check_digits(key, number(found, "value"), number(expected, key), DIGITS);
        let u = number(expected, &format!("{key}_u"));
        check_digits("  u", number(found, "u"), u, DIGITS_OF_ERRORS);
    }
    // Bought at 18 a kilogram, with 24 for an hour: the hours that the difference pays.
    let without = number(expected, "cost_without_labour");
    let hours = number(&choice["hours"], "value");
    check_digits("  hours", hours, (18.0 - 1000.0 * without) / 24.0, DIGITS);
    assert_eq!(choice["with_labour"]["choice"], "buy");
}

#[test]
fn the_gain_with_a_price_off_specification_and_with_rework_follows_from_independent_masses() {
    let expected = &independent()["expected"];
    let of = |key: &str| number(expected, key);
    let off_spec = "off_spec = \"sold\"";
    for (line, kept, brings) in [
        ("off_spec = \"12 /kg\"", 0.0, 0.012),
        ("off_spec = { cost = \"3 /kg\", loss = 0.04 }", 0.96, -0.003),
        ("off_spec = \"worthless\"", 0.0, 0.0),
    ] {
        let [found, _] = with_line(off_spec, line);
        // How often the specification is met is checked with the models of purity; here it is taken as it is stated.
        let chance = |key: &str| number(&found["specification"], key);
        let missed = [
            of("product_with") * (1.0 - chance("chance_with_residue")),
            of("product_without") * (1.0 - chance("chance_without")),
        ];
        let less = (missed[0] - missed[1]) * (0.018 * (1.0 - kept) - brings);
        let value = found["gain_per_run"]["value"].as_f64().expect("a gain");
        check_digits(line, value, of("gain") - less, DIGITS_OF_FIT);
        // Whatever becomes of it now, the price at which the gain is zero is the same.
        let zero = 18.0 - 1000.0 * of("gain") / (missed[0] - missed[1]);
        let flips = number(&found["break_even"]["off_spec_price"], "value");
        check_digits("  break-even", flips, zero, DIGITS_OF_FIT - 1.0);
    }
}

#[test]
fn what_ten_kilograms_take_with_residue_and_without_is_an_independent_figure() {
    let expected = &independent()["expected"];
    let [found, _] = with_line("[aim]\n", "[aim]\nquantity = \"10 kg\"\n");
    let quantity = &found["quantity"];
    for way in ["without", "with"] {
        for what in ["runs", "cost", "labour"] {
            let value = quantity[way][what]["value"].as_f64().expect("a figure");
            let key = format!("ten_{what}_{way}");
            check_digits(&key, value, number(expected, &key), DIGITS_OF_FIT);
            let ends = &quantity[way][what]["interval"];
            assert!(ends[0].as_f64() < Some(value) && Some(value) < ends[1].as_f64());
        }
    }
    let residue = number(quantity, "residue");
    check_digits(
        "  residue",
        residue,
        number(expected, "ten_residue"),
        DIGITS_OF_FIT,
    );
    // What the shelf holds is enough for more runs than these.
    let enough = number(quantity, "enough_for");
    assert!(enough > number(expected, "ten_runs_with"), "{enough}");
}

#[test]
fn a_quantity_that_is_none_is_told_and_one_that_the_shelf_is_too_small_for_says_so() {
    let text = std::fs::read_to_string(bluestone().join("campaign.toml")).expect("a file");
    let with = |line: &str| {
        let folder = CampaignFolder::copy_of(&bluestone());
        let aim = format!("[aim]\n{line}\n");
        folder.with("campaign.toml", &text.replacen("[aim]\n", &aim, 1))
    };
    for wrong in [
        "\"10 L\"",
        "\"0 kg\"",
        "\"\"",
        "\"ten kg\"",
        "\"-3 kg\"",
        "true",
    ] {
        let folder = with(&format!("quantity = {wrong}"));
        let outcome = residuum(&["check".as_ref(), folder.path().as_os_str()]);
        let told = outcome.stdout + &outcome.stderr;
        assert!(
            told.contains("aim.quantity") && told.contains("line 123"),
            "{wrong}: {told}"
        );
        assert!(told.contains("hint:"), "{wrong}: {told}");
    }
    let folder = with("quantity = \"400 kg\"");
    let out = tempfile::tempdir().expect("a temporary folder");
    let path = out.path().to_string_lossy().into_owned();
    let campaign = folder.path().to_string_lossy().into_owned();
    residuum(&["report", &campaign, "--quiet", "--out", &path]);
    let name = folder.path().file_name().expect("a name");
    let report = std::fs::read_to_string(out.path().join(name).join("report.md"));
    let report = report.expect("a report");
    assert!(report.contains("What do 400 kg of product take?"));
    assert!(report.contains("should stand on the shelf, enough for"));
}
