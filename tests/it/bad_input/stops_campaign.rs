//! Which faults of the campaign file stop the work, and what is said about them?
//!
//! In: campaign files with one fault each. Out: tests of the whole message.
//! This module never asks for what only the logs can answer; `stops_asked_for.rs` does.

use super::bench::{CAMPAIGN, Edit, campaign, change, whole};
use super::promises::{Fault, check_stops, fault, faults_of};

const FILE: &str = "campaign.toml";

/// Bytes that a hint without names may have: what a terminal of common width shows on one line.
const ONE_LINE: usize = 80;

fn edit(from: &'static str, to: &str) -> [Edit; 1] {
    [change(FILE, from, to)]
}

fn campaign_fault<'a>(line: u64, reason: &'a str, hint: &'a str) -> Fault<'a> {
    fault(reason, hint).in_file(FILE).on_line(line)
}

#[test]
fn a_campaign_file_that_is_not_toml_stops_with_each_line_of_it() {
    check_stops(
        &[
            change(FILE, "\"CuO\"\nfollowed", "CuO\nfollowed"),
            change(FILE, "ratio = 1.0", "ratio 1.0"),
        ],
        &[
            campaign_fault(
                3,
                "this is not TOML: string values must be quoted, expected literal string, in `campaign.toml` line 3",
                "check quotes, brackets and doubled keys on that line",
            ),
            campaign_fault(
                36,
                "this is not TOML: key with no value, expected `=`, in `campaign.toml` line 36",
                "check quotes, brackets and doubled keys on that line",
            ),
        ],
    );
}

#[test]
fn a_key_that_nobody_knows_stops_with_the_one_that_was_meant() {
    check_stops(
        &edit("purity_spec", "purity_spek"),
        &[campaign_fault(
            6,
            "unknown key `campaign.purity_spek`, in `campaign.toml` line 6",
            "did you mean `purity_spec`?",
        )],
    );
    check_stops(
        &edit("[uncertainty]", "[uncertanty]"),
        &[campaign_fault(
            25,
            "unknown key `uncertanty`, in `campaign.toml` line 25",
            "did you mean `uncertainty`?",
        )],
    );
    check_stops(
        &edit("crop_mass = \"0.1 g\"", "crops_mass = \"0.1 g\""),
        &[campaign_fault(
            27,
            "unknown key `uncertainty.crops_mass`, in `campaign.toml` line 27",
            "did you mean `crop_mass`?",
        )],
    );
}

#[test]
fn a_key_like_no_other_stops_with_those_that_are_known() {
    check_stops(
        &edit("analyte = \"CuO\"", "analyte = \"CuO\"\nweather = \"fine\""),
        &[campaign_fault(
            35,
            "unknown key `titration.weather`, in `campaign.toml` line 35",
            "known here: aliquot, analyte, assay_analyte, assay_ratio, back_ratio, control, correct_bias, flask, liquor_as, ratio, repeatability, residue_sample, sample, titrant",
        )],
    );
}

#[test]
fn values_of_the_wrong_type_stop_with_the_type_that_is_wanted() {
    check_stops(
        &edit("purity_spec = 0.98", "purity_spec = \"0.98\""),
        &[campaign_fault(
            6,
            "`campaign.purity_spec` is of type string, in `campaign.toml` line 6",
            "write a finite number without quotes",
        )],
    );
    check_stops(
        &edit("purity_spec = 0.98", "purity_spec = nan"),
        &[campaign_fault(
            6,
            "`campaign.purity_spec` is of type float, in `campaign.toml` line 6",
            "write a finite number without quotes",
        )],
    );
    check_stops(
        &edit(
            "method = \"plain\"",
            "method = \"plain\"\nconstant = \"yes\"",
        ),
        &[campaign_fault(
            24,
            "`model.constant` is of type string, in `campaign.toml` line 24",
            "write true or false",
        )],
    );
    check_stops(
        &edit("effects = [\"heating\"]", "effects = [1]"),
        &[campaign_fault(
            22,
            "`model.effects` is of type array, in `campaign.toml` line 22",
            "write a text, or a list of texts",
        )],
    );
}

#[test]
fn numbers_out_of_range_stop_with_their_range() {
    check_stops(
        &edit("purity_spec = 0.98", "purity_spec = 98"),
        &[campaign_fault(
            6,
            "`campaign.purity_spec` is 98, in `campaign.toml` line 6",
            "it must lie between 0 and 1",
        )],
    );
}

#[test]
fn the_range_of_a_number_above_zero_fits_on_a_line() {
    let folder = campaign(&edit("ratio = 1.0", "ratio = -1.0"));
    let stops = faults_of(folder.path())["stops"].clone();
    assert_eq!(
        stops[0]["reason"],
        "`titration.ratio` is -1, in `campaign.toml` line 36"
    );
    let hint = stops[0]["hint"].as_str().expect("the fault has a hint");
    assert!(hint.len() <= ONE_LINE, "{} bytes", hint.len());
}

#[test]
fn a_formula_with_an_unknown_element_stops_with_the_element() {
    check_stops(
        &edit("analyte = \"CuO\"", "analyte = \"CuJ\""),
        &[campaign_fault(
            34,
            "`titration.analyte`: unknown element `J` in formula `CuJ`, in `campaign.toml` line 34",
            "check the symbol; upper and lower case count",
        )],
    );
}

#[test]
fn a_charge_in_a_formula_stops_with_its_sign() {
    check_stops(
        &edit("analyte = \"CuO\"", "analyte = \"Cu2+\""),
        &[campaign_fault(
            34,
            "`titration.analyte`: a charge (`+`) in formula `Cu2+`, in `campaign.toml` line 34",
            "name the neutral compound that is weighed, such as `KMnO4` for permanganate",
        )],
    );
}

#[test]
fn a_faulty_product_stops_without_faults_that_only_follow_from_it() {
    check_stops(
        &edit("product = \"CuO\"", "product = \"CuO-\""),
        &[campaign_fault(
            3,
            "`campaign.product`: a charge (`-`) in formula `CuO-`, in `campaign.toml` line 3",
            "name the neutral compound that is weighed, such as `KMnO4` for permanganate",
        )],
    );
}

#[test]
fn brackets_nested_beyond_all_chemistry_are_a_fault_of_the_formula() {
    let nested = format!("{}Cu{}", "(".repeat(200_000), ")".repeat(200_000));
    let folder = campaign(&[change(
        FILE,
        "analyte = \"CuO\"",
        format!("analyte = \"{nested}\""),
    )]);
    let stops = faults_of(folder.path())["stops"].clone();
    assert_eq!(stops[0]["line"], 34);
    assert_eq!(stops[0]["file"], FILE);
}

#[test]
fn a_followed_element_that_the_product_lacks_stops_with_those_it_has() {
    check_stops(
        &edit("followed = \"Cu\"", "followed = \"Zn\""),
        &[
            campaign_fault(
                4,
                "the followed element `Zn` is not in `product`: `CuO`, in `campaign.toml` line 4",
                "its elements are Cu, O",
            ),
            campaign_fault(
                4,
                "the followed element `Zn` is not in `assay_as`: `CuO`, in `campaign.toml` line 4",
                "its elements are Cu, O",
            ),
        ],
    );
}

#[test]
fn a_unit_that_does_not_fit_stops_with_those_that_do() {
    check_stops(
        &edit("feed_mass = \"0.1 g\"", "feed_mass = \"0.1 mL\""),
        &[campaign_fault(
            26,
            "`uncertainty.feed_mass` is `0.1 mL`, in `campaign.toml` line 26",
            "`mL` is none of the units that fit: g, kg, mg, t",
        )],
    );
}

#[test]
fn every_fault_of_the_campaign_file_is_told_in_one_go_and_in_order() {
    check_stops(
        &[
            change(FILE, "title = \"Copper oxide purified from scale\"\n", ""),
            change(FILE, "purity_spec = 0.98", "purity_spec = 9.8"),
            change(
                FILE,
                "kind = \"choice\"",
                "kind = \"choice\"\nstands_for = \"rout\"",
            ),
            change(FILE, "\"plain\"", "\"plane\""),
            change(FILE, "effects = [\"heating\"]", "effects = [\"heatin\"]"),
            change(FILE, "ratio = 1.0", "ratio = 1.0\nrepeatability = -1"),
        ],
        &[
            campaign_fault(
                1,
                "`campaign.title` is missing, in `campaign.toml` line 1",
                "add `[campaign]` with `title = \"...\"`",
            ),
            campaign_fault(
                5,
                "`campaign.purity_spec` is 9.8, in `campaign.toml` line 5",
                "it must lie between 0 and 1",
            ),
            campaign_fault(
                17,
                "`factors.heating.stands_for` is `rout`, in `campaign.toml` line 17",
                "a choice can stand for `route`, an amount for `residue` or `liquor`",
            ),
            campaign_fault(
                22,
                "unknown factor `heatin` in `model.effects`, in `campaign.toml` line 22",
                "did you mean `heating`?",
            ),
            campaign_fault(
                23,
                "`model.method` is `plane`, in `campaign.toml` line 23",
                "write `measured` or `plain`",
            ),
            campaign_fault(
                37,
                "`titration.repeatability` is -1, in `campaign.toml` line 37",
                "it must lie between 0 and 1",
            ),
        ],
    );
}

#[test]
fn a_campaign_file_in_another_encoding_stops_with_its_name() {
    let text = CAMPAIGN.replace("oxide", "oxyd f\u{fc}r");
    let latin: Vec<u8> = text.chars().map(|c| c as u8).collect();
    check_stops(
        &[whole(FILE, latin)],
        &[fault("`campaign.toml` is not UTF-8 text", "save it as UTF-8").in_file(FILE)],
    );
}
