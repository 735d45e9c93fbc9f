//! Which doubts travel with a result, while the run stays in?
//!
//! In: logs that can be read and still look wrong. Out: tests of the whole doubt with the number that triggered it,
//! worked out by hand beside each.
//! This module never spoils a cell so that it can't be read.

use serde_json::Value;

use super::bench::{CAMPAIGN, Edit, RUNS, TITRES, campaign, change, whole, with_column};
use super::promises::{Doubt, call, check_doubts, yield_of};
use crate::support::{check_digits, list, number, residuum_json};

/// Digits asked of products and ratios of a few logged numbers, where each step rounds once in binary64.
const DIGITS: f64 = 12.0;

const UNTITRATED: Doubt = Doubt {
    kind: "no contained yield",
    about: "run R3",
    seen: "run R3 has no contained yield: crop 1 has no titre",
    advice: "titrate the crop while some of it is left; until then the run is in no model of yield or purity",
};

const NOT_STATED: &str = "add them to `[uncertainty]` in the campaign file, or log `u_` columns";

#[test]
fn a_purity_above_one_beyond_its_uncertainty_is_a_doubt() {
    // 20.24 · 0.1 · 79.545 / 1000 / 0.1600 = 1.00624; its relative u is that of titre (0.03 / 20.24), sample
    // (0.0002 / 0.16) and strength (0.0001 / 0.1): 0.0022, twice which is 100.6 ± 0.4 %. Without its residue there is no balance
    // that could be doubtful too.
    check_doubts(
        &[
            change("titres.csv", "R3,1,0.1600,20.00", "R3,1,0.1600,20.24"),
            change("residues.csv", "R3,56,0.60\n", ""),
        ],
        &[Doubt {
            kind: "purity above 1",
            about: "run R3",
            seen: "purity of run R3 is 100.6 ± 0.4 %, above 100 % beyond its uncertainty",
            advice: "look for effloresced hydrate, a substance that uses up titrant too, or a wrong sample mass",
        }],
    );
}

#[test]
fn a_purity_above_one_within_its_uncertainty_is_none() {
    // 20.15 mL give 1.00177, with u = 0.0022.
    let line = yield_of(
        "R3",
        &[change(
            "titres.csv",
            "R3,1,0.1600,20.00",
            "R3,1,0.1600,20.15",
        )],
    );
    check_digits(
        "purity",
        number(&line["purity"], "value"),
        1.001769843750,
        DIGITS,
    );
    check_doubts_none(&[change(
        "titres.csv",
        "R3,1,0.1600,20.00",
        "R3,1,0.1600,20.15",
    )]);
}

fn check_doubts_none(edits: &[Edit]) {
    let result = residuum_json("check", campaign(edits).path());
    assert_eq!(result["caveats"], Value::Array(Vec::new()));
}

#[test]
fn the_sound_campaign_raises_no_doubt() {
    check_doubts_none(&[]);
}

#[test]
fn a_closure_above_one_beyond_its_uncertainty_is_a_doubt_that_names_the_entry() {
    // Crops 117 · 0.9943125 = 116.33 g, residue 156 · 0.60 = 93.6 g, charged 200 · 0.75 = 150 g: 209.93 / 150 = 140.0 %.
    // u² = (1.39956 · 0.005357)² for the charge + (0.2739 / 150)² for crops + (0.7823 / 150)² for residue = 0.0093².
    // Residue of the others, in % of the charge: 25.5, 30.375, 28.4, 22.875, 30.4, 29.25, 20.4; 28.4 in the middle.
    check_doubts(
        &[change("residues.csv", "R3,56,", "R3,156,")],
        &[Doubt {
            kind: "impossible entry",
            about: "run R3",
            seen: "residue_mass 156 g of run R3 (residues.csv line 4): it makes 140.0 ± 1.9 % of what went in come out",
            advice: "it is withheld with what uses it: correct it; if it is right, `[check] accept = [\"R3 residue_mass\"]`",
        }],
    );
}

#[test]
fn a_missing_titre_leaves_the_contained_yield_open_with_its_reason() {
    for titres in [
        TITRES.replace("R3,1,0.1600,20.00\n", ""),
        TITRES.replace("R3,1,0.1600,20.00\n", "R3,1,0.1600,\n"),
        TITRES.replace("R3,1,0.1600,20.00\n", "R3,1,,\n"),
    ] {
        let edits = [whole("titres.csv", titres)];
        check_doubts(&edits, &[UNTITRATED]);
        let line = yield_of("R3", &edits);
        assert_eq!(line["contained"], Value::Null);
        assert_eq!(line["purity"], Value::Null);
        assert_eq!(line["reason"], "crop 1 has no titre");
        // 117 g of 200 g, and of 200 · 0.75 g.
        check_digits("gross", number(&line["gross"], "value"), 0.585, DIGITS);
        check_digits(
            "assay-adjusted",
            number(&line["assay_adjusted"], "value"),
            0.78,
            DIGITS,
        );
    }
}

#[test]
fn titres_further_apart_than_their_scatter_allows_are_a_doubt_and_all_are_kept() {
    // Each crop once more with 20.02 mL, R3 with 20.60 mL. Relative to their mean, a pair 20.00/20.02 has the variance
    // 2 · (0.01 / 20.01)² = 4.995e-7 and R3 has 2 · (0.30 / 20.30)² = 4.368e-4; pooled over 8 pairs the standard
    // deviation is √((7 · 4.995e-7 + 4.368e-4) / 8) = 0.0074187. R3 has 99.43 and 102.41 %, 2.98 points apart;
    // 2.8 · 0.0074187 · 1.00923 = 2.10 points are allowed. One in twenty of 8 pairs is none.
    let again: String = TITRES
        .lines()
        .skip(1)
        .map(|row| {
            format!(
                "{}\n",
                row.replace(
                    "20.00",
                    if row.starts_with("R3") {
                        "20.60"
                    } else {
                        "20.02"
                    }
                )
            )
        })
        .collect();
    let edits = [whole("titres.csv", format!("{TITRES}{again}"))];
    check_doubts(
        &edits,
        &[Doubt {
            kind: "discordant titres",
            about: "run R3",
            seen: "2 titres of crop 1 of run R3 lie 2.98 points apart, more than the 2.10 points that their scatter allows",
            advice: "titrate once more; all titres were kept, and of 8 samples with replicates about 0 look so by luck",
        }],
    );
    let line = yield_of("R3", &edits);
    // (20.00 + 20.60) / 2 · 0.1 · 79.545 / 1000 / 0.1600.
    check_digits(
        "mean of both",
        number(&line["purity"], "value"),
        1.0092271875,
        DIGITS,
    );
}

#[test]
fn a_single_pair_of_titres_far_apart_is_a_doubt_by_the_stated_uncertainty() {
    // 0.60 mL where one titre is stated to 0.03 mL: 20 / √2 = 14 standard deviations of a difference.
    let edits = [whole("titres.csv", format!("{TITRES}R3,1,0.1600,20.60\n"))];
    let result = residuum_json("check", campaign(&edits).path());
    let kinds: Vec<&Value> = list(&result, "caveats")
        .iter()
        .map(|doubt| &doubt["kind"])
        .collect();
    assert_eq!(kinds, ["discordant titres"]);
}

#[test]
fn an_input_without_uncertainty_is_a_doubt_and_stands_in_the_budget() {
    let edits = [change("campaign.toml", "feed_mass = \"0.1 g\"\n", "")];
    check_doubts(
        &edits,
        &[Doubt {
            kind: "input without uncertainty",
            about: "campaign",
            seen: "no uncertainty is stated for feed mass in 8 runs, so the ± of these runs is a lower bound",
            advice: NOT_STATED,
        }],
    );
    let line = yield_of("R3", &edits);
    let entry = list(&line, "budget")
        .iter()
        .find(|entry| entry["source"] == "feed mass")
        .expect("the source stands in the budget");
    assert_eq!(entry["share"], Value::Null);
    assert_eq!(entry["stated"], false);
}

#[test]
fn an_assay_that_a_supplier_claims_is_a_doubt() {
    let claim = Doubt {
        kind: "assay without uncertainty",
        about: "lot A",
        seen: "the lots log states an assay of 0.8 for lot A without an uncertainty, as a supplier's claim would be",
        advice: "titrate the lot, or state what is known under `u_assay`; until then `[uncertainty] assay` counts, if it is there",
    };
    check_doubts(
        &[
            change("lots.csv", "A,0.80,0.004", "A,0.80,"),
            change(
                "campaign.toml",
                "[uncertainty]",
                "[uncertainty]\nassay = \"0.01\"",
            ),
        ],
        &[claim],
    );
}

#[test]
fn residue_charged_without_an_assay_leaves_the_yield_on_fresh_feed_with_a_doubt() {
    // R3 charged 20 g of residue from nowhere; its yield stays 117 · 0.9943125 / (200 · 0.75).
    let edits = [whole(
        "runs.csv",
        with_column(RUNS, "residue_mass", "R3", "20"),
    )];
    let line = yield_of("R3", &edits);
    check_digits(
        "contained",
        number(&line["contained"], "value"),
        0.77556375,
        DIGITS,
    );
    assert_eq!(line["closure"], Value::Null);
    let result = residuum_json("check", campaign(&edits).path());
    let doubts = list(&result, "caveats");
    assert_eq!(doubts.len(), 1, "{doubts:?}");
    assert_eq!(doubts[0]["kind"], "residue without assay");
    assert_eq!(doubts[0]["about"], "run R3");
    assert_eq!(
        doubts[0]["seen"],
        "run R3 charged 20 g of residue but its content is unknown (the residue charged has neither an assay nor a run it came from), so its yields count fresh feed only"
    );
}

#[test]
fn a_run_without_a_level_of_a_factor_is_in_no_model_and_a_doubt_says_so() {
    let edits = [change("runs.csv", "200,muffle,80", "200,,80")];
    let folder = campaign(&edits);
    let result = residuum_json("fit", folder.path());
    assert_eq!(result["models"][0]["runs"], 7);
    let doubts = list(&result, "caveats");
    assert_eq!(doubts[0]["kind"], "run without a factor");
    assert_eq!(doubts[0]["about"], "model of yield");
    assert_eq!(
        doubts[0]["seen"],
        "1 runs are in no model of yield: R3 (no heating)"
    );
    assert_eq!(
        doubts[0]["advice"],
        "fill in the cells of the runs log, or take the factor out of the model"
    );
}

#[test]
fn a_run_above_the_ceiling_of_its_route_is_a_doubt() {
    // R8 gave 120 · 0.9943125 / 150 = 79.545 % where 78.5 % are allowed: 101.3 %; u = 0.4678 % / 0.785 = 0.6 %.
    let ceiling = CAMPAIGN.replace(
        "baseline = \"muffle\"",
        "baseline = \"muffle\"\nceiling = { muffle = 0.785, hob = 1.0 }\nstands_for = \"route\"",
    );
    let result = residuum_json("check", campaign(&[whole("campaign.toml", ceiling)]).path());
    let doubts = list(&result, "caveats");
    let own = doubts
        .iter()
        .find(|doubt| doubt["about"] == "run R8")
        .expect("the run is doubted");
    assert_eq!(own["kind"], "above the ceiling");
    assert_eq!(
        own["seen"],
        "run R8 gave 101.3 ± 1.2 % of what the stoichiometry of its route allows"
    );
}

#[test]
fn more_titrant_in_the_blank_than_in_the_sample_is_no_purity_without_a_doubt() {
    // 20.00 mL less a blank of 25.00 mL would be a purity of −24.9 %.
    let edits = [whole(
        "titres.csv",
        with_column(TITRES, "blank", "R3", "25.00"),
    )];
    let folder = campaign(&edits);
    let outcome = call("check", folder.path(), folder.path(), &["--json"]);
    let result: Value = serde_json::from_str(&outcome.stdout).expect("check prints JSON");
    let told = list(&result, "left_out").len() + list(&result, "caveats").len();
    assert!(told > 0, "nothing is said about a negative purity");
}

#[test]
fn an_assay_of_one_charge_a_hundred_times_off_the_others_is_not_taken_without_a_word() {
    // 117 · 0.9943125 / (200 · 0.0075) would be a yield of 7756 %.
    let edits = [
        whole("runs.csv", with_column(RUNS, "feed_assay", "R3", "0.0075")),
        change(
            "campaign.toml",
            "[uncertainty]",
            "[uncertainty]\nfeed_assay = \"0.00004\"",
        ),
        change("residues.csv", "R3,56,0.60\n", ""),
    ];
    let folder = campaign(&edits);
    let outcome = call("check", folder.path(), folder.path(), &["--json"]);
    let result: Value = serde_json::from_str(&outcome.stdout).expect("check prints JSON");
    let told = list(&result, "left_out").len() + list(&result, "caveats").len();
    assert!(told > 0, "nothing is said about a yield of 7756 %");
}

#[test]
fn a_level_written_in_two_ways_is_a_doubt() {
    check_doubts(
        &[change("runs.csv", "B,200,hob,85", "B,200,Hob,85")],
        &[
            Doubt {
                kind: "levels spelt alike",
                about: "campaign",
                seen: "levels of heating are spelt alike and count as different: hob (3 runs) and Hob (1 run)",
                advice: "write `same_as = { hob = [\"Hob\"] }` under `[factors.heating]` if they mean the same",
            },
            Doubt {
                kind: "only runs with a term",
                about: "model of yield",
                seen: "in the model of yield nothing checks R6: it is the only run to show some term",
                advice: "repeat it",
            },
        ],
    );
}
