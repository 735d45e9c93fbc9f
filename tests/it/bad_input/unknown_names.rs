//! Are names of the campaign file that nobody knows, and figures that nothing can have, told with their line?
//!
//! In: campaign files with one such entry. Out: tests of the whole message.
//! This module never tries `[limits]`; `limits/refused.rs` does.

use super::bench::{Edit, campaign, change};
use super::promises::{check_stops, fault, faults_of};
use crate::support::list;

const FILE: &str = "campaign.toml";

fn after(place: &'static str, more: &str) -> [Edit; 1] {
    [change(FILE, place, format!("{place}\n{more}"))]
}

#[test]
fn a_level_with_a_ceiling_or_a_price_that_no_run_has_stops() {
    check_stops(
        &after("baseline = \"muffle\"", "ceiling = { Muffle = 0.9 }"),
        &[fault(
            "unknown level `Muffle` of `heating` in `factors.heating.ceiling`, in `campaign.toml` line 19",
            "did you mean `muffle`?",
        )
        .in_file(FILE)
        .on_line(19)
        .in_column("heating")],
    );
    check_stops(
        &after(
            "ratio = 1.0",
            "[prices]\nheat = { heating = { muffle = \"1 /run\", kiln = \"2 /run\" } }",
        ),
        &[fault(
            "unknown level `kiln` of `heating` in `prices.heat`, in `campaign.toml` line 38",
            "levels of `heating`: hob, muffle; one that is yet to be run goes under `levels`",
        )
        .in_file(FILE)
        .on_line(38)
        .in_column("heating")],
    );
}

#[test]
fn a_lot_on_the_shelf_that_the_lots_log_does_not_have_stops() {
    for (lot, hint) in [
        ("a", "did you mean `A`?"),
        (
            "scale of May",
            "add the lot to the lots log, or take it off the shelf",
        ),
    ] {
        check_stops(
            &after(
                "ratio = 1.0",
                &format!("[shelf]\nlots = [\"A\", \"{lot}\"]"),
            ),
            &[fault(
                &format!("unknown lot `{lot}` in `shelf.lots`, in `campaign.toml` line 38"),
                hint,
            )
            .in_file(FILE)
            .on_line(38)],
        );
    }
}

#[test]
fn figures_that_nothing_can_have_stop() {
    check_stops(
        &after("ratio = 1.0", "[aim]\nmargin = { yield = 2 }"),
        &[fault(
            "`aim.margin.yield` is 2, in `campaign.toml` line 38",
            "it must lie between 0 and 1",
        )
        .in_file(FILE)
        .on_line(38)],
    );
    check_stops(
        &after(
            "baseline = \"muffle\"",
            "[factors.bath]\nkind = \"amount\"\nlow = 10\nhigh = 1e20",
        ),
        &[fault(
            "`factors.bath.high` is 1e20, in `campaign.toml` line 22",
            "no amount is beyond 1e12: look for a slip in the exponent, or use a larger unit",
        )
        .in_file(FILE)
        .on_line(22)],
    );
    check_stops(
        &[change(
            FILE,
            "residue_assay = \"0.005\"",
            "residue_assay = \"5\"",
        )],
        &[fault(
            "`uncertainty.residue_assay` is `5`, in `campaign.toml` line 31",
            "the uncertainty of a fraction is at most 1; percent are written `0.5 %`",
        )
        .in_file(FILE)
        .on_line(31)],
    );
}

#[test]
fn an_uncertainty_of_a_fraction_above_one_is_a_fault_of_its_log() {
    let folder = campaign(&[change("lots.csv", "A,0.80,0.004", "A,0.80,1e5")]);
    let faults = faults_of(folder.path());
    let first = &list(&faults, "left_out")[0];
    assert_eq!(
        first["reason"],
        "column `u_assay` in `lots.csv` line 2 is out of all range: `1e5`"
    );
    assert_eq!(
        first["hint"],
        "the uncertainty of a fraction is at most 1; percent are written `0.5 %`, or with the unit in the heading"
    );
}
