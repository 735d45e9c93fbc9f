//! Is each entry of `[limits]` that cannot be meant told with its line and a hint?
//!
//! In: a small campaign with one entry. Out: tests of the whole message.
//! This module never checks what a sound entry forbids.

use crate::support::{CampaignFolder, residuum};

const CAMPAIGN: &str = r#"[campaign]
title = "Slurry tests"
[logs]
runs = "runs.csv"
[factors.excess]
kind = "amount"
unit = "%"
low = 10
high = 120
[factors.heating]
kind = "choice"
[responses.rate]
column = "rate"
[model]
responses = ["rate"]
effects = ["excess", "heating"]
[limits]
"#;
const LOG: &str = "run,excess,heating,lot,rate\na,20,muffle,A,4.1\nb,80,hob,A,5.3\nc,110,muffle,A,4.4\nd,60,hob,A,5.9\ne,20,hob,A,4.7\nf,110,hob,A,5.2\n";
const RANGES: &str =
    "write a range: `\"> 80\"`, `\"< 10\"`, `\"at least 80\"`, `\"at most 80\"` or `\"60 to 80\"`";

fn told(never: &str) -> (i32, String) {
    let folder = CampaignFolder::new()
        .with("campaign.toml", &format!("{CAMPAIGN}never = [{never}]\n"))
        .with("runs.csv", LOG);
    let path = folder.path().display().to_string();
    let outcome = residuum(&["settings", path.as_str(), "--json", "--quiet"]);
    if outcome.exit_code != 0 {
        assert_eq!(outcome.stdout, "");
    }
    (outcome.exit_code, outcome.stderr)
}

fn check(never: &str, reason: &str, hint: &str) {
    let (exit_code, stderr) = told(never);
    assert_eq!(
        stderr,
        format!("error: {reason}, in `campaign.toml` line 18\n\nhint: {hint}\n"),
        "{never}"
    );
    assert_eq!(exit_code, 2, "{never}");
}

#[test]
fn each_way_to_write_a_range_is_taken() {
    for never in [
        "{ excess = \"> 80\" }",
        "{ excess = \"> 80 %\", heating = \"hob\" }",
        "{ excess = \"<= 15\" }",
        "{ excess = \"at least 80%\" }",
        "{ excess = \"at most 15\" }",
        "{ excess = \"60 to 80\" }",
        "{ excess = \"60 % to 80 %\", lot = \"A\" }",
        "{ heating = \"hob\" }",
    ] {
        assert_eq!(told(never), (0, String::new()), "{never}");
    }
}

#[test]
fn names_that_nobody_knows_are_told_with_the_nearest() {
    check(
        "{ heatin = \"hob\" }",
        "unknown factor `heatin` in `limits.never`",
        "did you mean `heating`?",
    );
    check(
        "{ heating = \"Muffle\" }",
        "unknown level `Muffle` of `heating` in `limits.never`",
        "did you mean `muffle`?",
    );
    check(
        "{ heating = \"furnace\", excess = \"> 80\" }",
        "unknown level `furnace` of `heating` in `limits.never`",
        "levels of `heating`: hob, muffle; one that is yet to be run goes under `levels`",
    );
    check(
        "{ lot = \"a\" }",
        "unknown level `a` of `lot` in `limits.never`",
        "did you mean `A`?",
    );
}

#[test]
fn an_entry_that_forbids_nothing_or_all_is_told() {
    check(
        "{}",
        "an entry of `limits.never` names no factor: `{}`",
        "write `{ heating = \"hob\", route = \"boildown\" }`, or take the entry out",
    );
}

#[test]
fn a_bare_number_or_text_on_an_amount_is_told_how_a_range_is_written() {
    check(
        "{ excess = 120 }",
        "`excess` in `limits.never` is a bare number: 120",
        &format!("{RANGES}; one value alone is `\"120 to 120\"`"),
    );
    for text in ["high", "120", "above 80", "60-80", "> ", ""] {
        check(
            &format!("{{ excess = \"{text}\" }}"),
            &format!("`excess` in `limits.never` is no range of an amount: `{text}`"),
            RANGES,
        );
    }
    check(
        "{ excess = [80] }",
        "`excess` in `limits.never` is neither level nor range",
        RANGES,
    );
    check(
        "{ excess = \"> 80,5\" }",
        "`excess` in `limits.never` is no range of an amount: `> 80,5`",
        "use a decimal point, such as `\"> 12.5\"`, whatever the logs use",
    );
    check(
        "{ excess = \"80 to 60\" }",
        "`excess` in `limits.never` is no range of an amount: `80 to 60`",
        "the range goes down: write `\"60 to 80\"`",
    );
}

#[test]
fn another_unit_than_that_of_the_amount_is_told() {
    for (range, unit) in [("> 80 g", "g"), ("60 to 80 percents", "percents")] {
        check(
            &format!("{{ excess = \"{range}\" }}"),
            &format!("a limit of `excess` is in `{unit}`"),
            "write it in `%`, the unit of `excess`",
        );
    }
}
