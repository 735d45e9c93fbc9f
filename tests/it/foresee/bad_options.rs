//! What is said of a call that nothing can be foreseen for?
//!
//! In: options that cannot be read or that the campaign has no figures for. Out: tests of message and hint.
//! This module never accepts a figure beside a fault.

use super::{call, campaign};
use crate::support::CampaignFolder;

/// The call ends with 2, prints nothing, and says what is wrong and what to do.
#[track_caller]
fn check_refused(name: &str, options: &[&str], what: &str, hint: &str) {
    let outcome = call(&campaign(name), options);
    assert_eq!((outcome.exit_code, outcome.stdout.as_str()), (2, ""));
    let told = &outcome.stderr;
    assert!(told.contains(what) && told.contains(hint), "{told}");
}

#[test]
fn a_liquor_is_not_boiled_down_to_more_than_there_is() {
    let from = [
        "--chill-to",
        "0",
        "--from",
        "300 mL",
        "--saturated-at",
        "0",
        "--boil-to",
        "400 mL",
    ];
    let what = "the liquor of 300 mL cannot be boiled down to 400 mL, in `campaign.toml`";
    check_refused(
        "permanganate",
        &from,
        what,
        "hint: give a smaller volume to `--boil-to`",
    );
    let what = "no liquor of the log can be boiled down to 400 mL: the largest has 320 mL";
    check_refused(
        "permanganate",
        &["--chill-to", "0", "--boil-to", "400 mL"],
        what,
        "a smaller volume",
    );
}

#[test]
fn nothing_is_read_outside_the_table() {
    let what = "the solubility is known from 0 to 60 degC, not at -5 degC";
    let hint = "hint: nothing is read outside the table";
    for at in ["-5", "-5 degC", "−5 °C", "268.15 K"] {
        check_refused("permanganate", &["--chill-to", at], what, hint);
    }
    let warm = [
        "--chill-to",
        "0",
        "--from",
        "300 mL",
        "--saturated-at",
        "90",
    ];
    check_refused("permanganate", &warm, "not at 90 degC", hint);
    let wash = [
        "--wash",
        "1",
        "--portion",
        "1 mL",
        "--holds",
        "1 mL",
        "--wash-at",
        "90",
    ];
    check_refused("permanganate", &wash, "not at 90 degC", hint);
}

#[test]
fn without_a_solubility_no_crop_is_foreseen() {
    let text = "[campaign]\ntitle = \"Iodate\"\nproduct = \"KIO3\"\nfollowed = \"I\"\nassay_as = \"I2\"\n\n[logs]\nruns = \"runs.csv\"\n";
    let folder = CampaignFolder::new()
        .with("campaign.toml", text)
        .with("runs.csv", "run,feed_mass,crop1_mass\n1,100,20\n2,100,21\n");
    let outcome = call(folder.path(), &["--chill-to", "0"]);
    assert_eq!(outcome.exit_code, 2);
    let what = "error: nothing is known of the solubility of `KIO3`, in `campaign.toml`\n\nhint: add `[solubility]` with `points = {";
    assert!(outcome.stderr.contains(what), "{}", outcome.stderr);
    let outcome = call(folder.path(), &[]);
    let what = "nothing is asked for, and `campaign.toml` declares no `[routes.NAME]`";
    assert!(outcome.stderr.contains(what), "{}", outcome.stderr);
}

#[test]
fn without_a_logged_liquor_there_is_none_to_boil_down() {
    let text = "[campaign]\ntitle = \"Permanganate\"\nproduct = \"KMnO4\"\nfollowed = \"Mn\"\nassay_as = \"MnO2\"\n\n[logs]\nruns = \"runs.csv\"\n";
    let folder = CampaignFolder::new()
        .with("campaign.toml", text)
        .with("runs.csv", "run,feed_mass,crop1_mass\n1,100,20\n2,100,21\n");
    let outcome = call(folder.path(), &["--chill-to", "0"]);
    assert_eq!(outcome.exit_code, 2);
    let what = "no run logs its liquor: neither volume and strength, nor volume and temperature of a filtration";
    assert!(outcome.stderr.contains(what), "{}", outcome.stderr);
    let hint = "log `liquor_volume` and `liquor_conc` in the runs log, or give a liquor";
    assert!(outcome.stderr.contains(hint), "{}", outcome.stderr);
}

#[test]
fn figures_that_cannot_be_read_are_told_all_at_once() {
    let options = [
        "--boil-to",
        "12,5 mL",
        "--chill-to",
        "0,5",
        "--from",
        "300",
        "--saturated-at",
        "cold",
        "--wash",
        "3",
        "--portion",
        "100 g",
        "--holds",
        "0 mL",
    ];
    let outcome = call(&campaign("permanganate"), &options);
    assert_eq!(outcome.exit_code, 2);
    for told in [
        "`--boil-to` is `12,5 mL`\n\nhint: use a decimal point",
        "`--chill-to` is `0,5`\n\nhint: use a decimal point",
        "`--from` is `300`\n\nhint: add the unit, such as `300 mL`",
        "`--saturated-at` is `cold`",
        "`--portion` is `100 g`\n\nhint: `g` is none of the units that fit: mL, L",
        "`--holds` is `0 mL`\n\nhint: it must be above zero",
    ] {
        assert!(outcome.stderr.contains(told), "{told}\n{}", outcome.stderr);
    }
}

#[test]
fn what_goes_together_is_asked_for_together() {
    check_refused(
        "permanganate",
        &["--chill-to", "0", "--from", "300 mL"],
        "`--from` does not say how strong the liquor is",
        "hint: add `--saturated-at 20` or `--strength \"80 g/L\"`",
    );
    check_refused(
        "permanganate",
        &["--chill-to", "0", "--strength", "30 g/L"],
        "a strength stands there without a liquor",
        "hint: add `--from \"300 mL\"`",
    );
    check_refused("permanganate", &["--boil-to", "100 mL"], "--chill-to", "");
    check_refused("permanganate", &["--wash", "3"], "--portion", "");
    check_refused("permanganate", &["--wash", "0"], "0 is not in 1..=1000", "");
}

#[test]
fn a_route_that_is_not_declared_is_told_with_the_nearest() {
    check_refused(
        "permanganate",
        &["--route", "chlorin"],
        "`campaign.toml` declares no route `chlorin`",
        "hint: did you mean `chlorine`?",
    );
    check_refused(
        "permanganate",
        &["--route", "ozone"],
        "declares no route `ozone`",
        "hint: declare it: `[routes.ozone]` with `equation` or `ceiling`",
    );
}
