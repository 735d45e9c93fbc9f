//! What may the text of a number be, and what is said of one that could be two, or none?
//!
//! In: cells with thousands, limits, guesses, ± and currencies. Out: tests of figures and of whole messages.
//! This module never asks for a unit.

use serde_json::Value;

use super::bench::{Edit, LOTS, RESIDUES, RUNS, TITRES, campaign, change, whole};
use super::priced::{Asked, PRICED, PRICED_RUNS, edited};
use super::promises::{Fault, call, check_as_sound, check_left_out, check_stops, fault, faults_of};
use crate::support::{CampaignFolder, check_digits, list, member, number, residuum_json};

/// Digits asked of sums and ratios of a few logged numbers, where each step rounds once in binary64.
const DIGITS: f64 = 12.0;

const UNCLEAR: &str =
    "it can mean 200000 or 200: write the one that is meant, without a mark between thousands";

/// The runs log with its charges in milligrams, those of some runs as they are written here.
fn in_milligrams(separator: char, written: &[(&str, &str)]) -> Edit {
    let rows = RUNS.lines().skip(1).map(|row| {
        let mut cells: Vec<String> = row.split(',').map(str::to_string).collect();
        let own = written.iter().find(|(run, _)| *run == cells[0]);
        cells[3] = match own {
            Some((_, text)) if text.contains(separator) => format!("\"{text}\""),
            Some((_, text)) => (*text).to_string(),
            None => format!("{}000", cells[3]),
        };
        cells.join(&separator.to_string()) + "\n"
    });
    let heading = "run,date,lot,feed_mass / mg,heating,bath\n".replace(',', &separator.to_string());
    whole("runs.csv", heading + &rows.collect::<String>())
}

fn charge<'a>(line: u64, run: &'a str, reason: &'a str, hint: &'a str) -> Fault<'a> {
    fault(reason, hint)
        .in_file("runs.csv")
        .on_line(line)
        .of_run(run)
}

#[test]
fn thousands_are_read_whatever_parts_them() {
    for written in [
        "200,000.0",
        "200 000",
        "200\u{a0}000",
        "200\u{2009}000.0",
        "200\u{202f}000.0",
        "200'000.0",
    ] {
        check_as_sound(&[in_milligrams(',', &[("R3", written)])]);
    }
}

#[test]
fn one_group_alone_is_refused_with_both_readings() {
    let reason = "column `feed_mass / mg` in `runs.csv` line 4 is not a number: `200,000`";
    check_left_out(
        &[in_milligrams(',', &[("R3", "200,000")])],
        &[charge(4, "R3", reason, UNCLEAR)],
        &["R3"],
    );
}

#[test]
fn one_group_is_read_where_another_cell_shows_thousands() {
    let clear = ("R1", "100,000.0");
    check_as_sound(&[in_milligrams(',', &[clear, ("R3", "200,000")])]);
    // A slip among them is refused itself and unsettles nothing.
    let slip = ("R5", "100000,5");
    check_left_out(
        &[in_milligrams(',', &[clear, ("R3", "200,000"), slip])],
        &[charge(
            6,
            "R5",
            "column `feed_mass / mg` in `runs.csv` line 6 is not a number: `100000,5`",
            "use a decimal point, `100000.5`, or set `decimal = \",\"` in the campaign file",
        )],
        &["R5"],
    );
}

#[test]
fn a_number_the_other_way_round_unsettles_what_its_table_shows() {
    let written = [("R1", "100,000.0"), ("R3", "200,000"), ("R5", "100.000,0")];
    check_left_out(
        &[in_milligrams(',', &written)],
        &[
            charge(
                4,
                "R3",
                "column `feed_mass / mg` in `runs.csv` line 4 is not a number: `200,000`",
                UNCLEAR,
            ),
            charge(
                6,
                "R5",
                "column `feed_mass / mg` in `runs.csv` line 6 is not a number: `100.000,0`",
                "point and comma stand the other way round here: write `100000`, or set `decimal = \",\"` in the campaign file",
            ),
        ],
        &["R3", "R5"],
    );
}

/// The sound campaign with decimal commas, which need another separator in the logs that have some.
fn with_commas(runs: Edit) -> Vec<Edit> {
    let comma = |text: &str| text.replace(',', ";").replace('.', ",");
    vec![
        change("campaign.toml", "[logs]", "[logs]\ndecimal = \",\""),
        runs,
        whole("lots.csv", comma(LOTS)),
        whole("crops.csv", comma(super::bench::CROPS)),
        whole("titres.csv", comma(TITRES)),
        whole("titrants.csv", comma(super::bench::TITRANTS)),
        whole("residues.csv", comma(RESIDUES)),
    ]
}

#[test]
fn under_a_decimal_comma_the_point_parts_thousands() {
    let clear = ("R1", "100.000,0");
    let runs = in_milligrams(';', &[clear, ("R3", "200.000"), ("R4", "200 000,0")]);
    check_as_sound(&with_commas(runs));
    let runs = in_milligrams(';', &[("R3", "200.000")]);
    let reason = "column `feed_mass / mg` in `runs.csv` line 4 is not a number: `200.000`";
    check_left_out(
        &with_commas(runs),
        &[charge(4, "R3", reason, UNCLEAR)],
        &["R3"],
    );
}

#[test]
fn a_limit_and_a_guess_are_no_figures() {
    let below = "what is below all that the method sees is no figure: leave the cell empty, or write half of it with half of it as a rectangular ±: `0.25 %`, with `0.25 %`/√3 = `0.1443 %` in the `u_` column";
    let about = "a number that is about right is none: write what was weighed or read, or give the run a reason under `set_aside`";
    let above = "what is above all that the method sees is no figure: measure it again in another range, or leave the cell empty";
    for (written, hint) in [("<0.5 %", below), ("~12", about), ("> 99 %", above)] {
        let reason =
            format!("column `assay` in `residues.csv` line 4 is not a number: `{written}`");
        check_left_out(
            &[change(
                "residues.csv",
                "R3,56,0.60",
                format!("R3,56,{written}"),
            )],
            &[fault(&reason, hint)
                .in_file("residues.csv")
                .on_line(4)
                .of_run("R3")],
            &["R3"],
        );
    }
}

/// Lots whose assays state their ± in the cell, with what the campaign file says of it.
fn with_plus_minus(key: &str, first: &str, second: &str) -> Vec<Edit> {
    vec![
        change("campaign.toml", "[logs]", format!("[logs]\n{key}")),
        whole("lots.csv", format!("lot,assay\nA,{first}\nB,{second}\n")),
    ]
}

#[test]
fn a_plus_minus_in_a_cell_is_what_the_campaign_file_says() {
    let sound = residuum_json("yields", campaign(&[]).path());
    for (meaning, first, second) in [
        ("standard", "0.80 ± 0.004", "75 % ± 0.4 %"),
        ("k=2", "0.80 +/- 0.008", "75.0±0.8 %"),
        // 0.004 · √3 = 0.006928203230275509.
        (
            "rectangular",
            "0.80 ± 0.006928203230275509",
            "0.75 ± 0.006928203230275509",
        ),
    ] {
        let key = format!("plus_minus = \"{meaning}\"");
        let folder = campaign(&with_plus_minus(&key, first, second));
        let yields = residuum_json("yields", folder.path());
        assert_eq!(yields["left_out"], Value::Array(Vec::new()), "{meaning}");
        for run in ["R1", "R3"] {
            let of = |result: &Value| {
                let line = member(list(result, "yields"), "run", run).cloned();
                line.expect("the run is there")["contained"].clone()
            };
            for part in ["value", "u"] {
                let (own, expected) = (of(&yields), of(&sound));
                check_digits(meaning, number(&own, part), number(&expected, part), DIGITS);
            }
        }
    }
}

/// R3 alone is charged from a third lot, whose row is refused.
fn check_third_lot(edits: &[Edit], row: &str, reason: &str, hint: &str) {
    let mut all = vec![
        whole(
            "lots.csv",
            format!("lot,assay,u_assay\nA,0.80,0.004\nB,0.75,0.004\n{row}\n"),
        ),
        change("runs.csv", "R3,2025-03-05,B", "R3,2025-03-05,C"),
    ];
    for edit in edits {
        if let Edit::Change { file, from, to } = edit {
            all.push(change(file, from, to.clone()));
        }
    }
    check_left_out(
        &all,
        &[
            fault(reason, hint).in_file("lots.csv").on_line(4),
            charge(
                4,
                "R3",
                "lot `C` of run `R3` in `runs.csv` line 4 has no usable assay",
                "correct `lots.csv` line 4",
            ),
        ],
        &["R3"],
    );
}

#[test]
fn a_plus_minus_that_nothing_explains_is_refused() {
    check_third_lot(
        &[],
        "C,28.4 ± 0.4 %,",
        "column `assay` in `lots.csv` line 4 is not a number: `28.4 ± 0.4 %`",
        "say what stands behind ± by `plus_minus = \"standard\"`, `\"k=2\"` or `\"rectangular\"` under `[logs]`, or write its standard uncertainty into the column `u_assay`",
    );
}

#[test]
fn two_uncertainties_of_one_number_are_refused() {
    check_third_lot(
        &[change(
            "campaign.toml",
            "[logs]",
            "[logs]\nplus_minus = \"standard\"",
        )],
        "C,0.75 ± 0.004,0.004",
        "column `assay` in `lots.csv` line 4 has two uncertainties: `0.75 ± 0.004`",
        "leave out the ± or the cell under `u_assay`",
    );
    check_third_lot(
        &[change(
            "campaign.toml",
            "[logs]",
            "[logs]\nplus_minus = \"standard\"",
        )],
        "C,75 % ± 0.4,",
        "column `assay` in `lots.csv` line 4 is not a number: `75 % ± 0.4`",
        "write `%` behind the ± too, or behind it alone",
    );
}

#[test]
fn a_meaning_of_plus_minus_that_is_none_stops() {
    let hint = "write `standard` for k = 1, `k=2` for 95 %, or `rectangular` for a half-width";
    for text in ["95 %", "", "k=3", "triangular"] {
        check_stops(
            &[change(
                "campaign.toml",
                "[logs]",
                format!("[logs]\nplus_minus = \"{text}\""),
            )],
            &[fault(
                &format!("`logs.plus_minus` is `{text}`, in `campaign.toml` line 9"),
                hint,
            )
            .in_file("campaign.toml")
            .on_line(9)],
        );
    }
    check_stops(
        &[change("campaign.toml", "[logs]", "[logs]\nplus_minus = 2")],
        &[fault(
            "`logs.plus_minus` is of type integer, in `campaign.toml` line 9",
            "write a text in quotes",
        )
        .in_file("campaign.toml")
        .on_line(9)],
    );
}

#[test]
fn per_cents_in_a_column_of_other_numbers_are_refused() {
    let runs = RUNS.replace("hob,70", "hob,7 %");
    let bath = [
        whole("runs.csv", runs),
        change(
            "campaign.toml",
            "[model]",
            "[factors.bath]\nkind = \"amount\"\n\n[model]",
        ),
    ];
    check_left_out(
        &bath,
        &[charge(
            3,
            "R2",
            "column `bath` in `runs.csv` line 3 is not a number: `7 %`",
            "other cells of this column have no `%` and are above 1: write the unit behind its heading, `/ %`, or in all cells",
        )],
        &["R2"],
    );
}

/// Costs of the priced campaign with these lots.
fn feed_costs(heading: &str, [first, second]: [&str; 2]) -> [f64; 2] {
    let lots =
        format!("lot,assay,u_assay,{heading}\nA,0.80,0.004,{first}\nB,0.75,0.004,{second}\n");
    let costs = Asked::with_lots(PRICED, PRICED_RUNS, &lots).json("report", "costs");
    [0, 15].map(|run| number(&list(&costs, "runs")[run]["parts"], "feed"))
}

#[test]
fn a_price_may_carry_its_currency_and_what_it_is_per() {
    for (heading, cells) in [
        ("price", ["€8.40", "4.20 EUR"]),
        ("price", ["EUR 8.40", "4.20 €/kg"]),
        ("Price €/kg", ["8.40", "4.20"]),
        ("price (per t)", ["8400", "€4 200"]),
        ("price / EUR/t", ["8400.0", "4200"]),
        ("price [€]", ["8.40", "4.20 ± 0.30"]),
    ] {
        let heading = heading.replacen("Price", "price", 1);
        // Runs 1 and 16 are charged with 100 g of lot A and of lot B.
        let costs = feed_costs(&heading, cells);
        check_digits(&heading, costs[0], 0.84, DIGITS);
        check_digits(&heading, costs[1], 0.42, DIGITS);
    }
}

#[test]
fn a_price_that_says_another_thing_than_its_heading_is_not_used() {
    let lots = "lot,assay,u_assay,price €/t\nA,0.80,0.004,8400\nB,0.75,0.004,5 €/kg\n";
    let outcome = Asked::with_lots(PRICED, PRICED_RUNS, lots).call("recycle", &[]);
    let told = "doubt: the price of lot B in lots.csv line 3 is no price: 5 €/kg\n  hint: the heading says per t and the cell per kg: leave out the one that is wrong; until then the feed price of the campaign file counts\n";
    assert!(outcome.stderr.contains(told), "{}", outcome.stderr);
}

/// The priced campaign with these lots stops with this alone.
fn check_lots_stop(lots: &str, reason: &str, hint: &str) {
    let folder = super::priced::priced(PRICED, PRICED_RUNS, lots);
    let faults = faults_of(&folder.path().join("campaign"));
    let stops = list(&faults, "stops");
    assert_eq!(stops.len(), 1, "{stops:?}");
    assert_eq!(
        (&stops[0]["reason"], &stops[0]["hint"]),
        (&reason.into(), &hint.into())
    );
    let out = CampaignFolder::new();
    let outcome = call("report", &folder.path().join("campaign"), out.path(), &[]);
    assert_eq!(outcome.exit_code, 2, "{}", outcome.stderr);
}

#[test]
fn a_currency_that_contradicts_the_campaign_file_stops() {
    check_lots_stop(
        "lot,assay,u_assay,price\nA,0.80,0.004,8.40\nB,0.75,0.004,$4.20\n",
        "column `price` in `lots.csv` line 3 is in another currency than the prices before it, EUR: `$4.20`",
        "write all prices in one currency, which `currency` under `[prices]` names",
    );
    check_lots_stop(
        "lot,assay,u_assay,price / $/kg\nA,0.80,0.004,8.40\nB,0.75,0.004,4.20\n",
        "column `price / $/kg` in `lots.csv` has a unit that does not fit: `$/kg`",
        "the prices of the campaign file are in EUR: write these in it, or correct `currency` under `[prices]`",
    );
    check_lots_stop(
        "lot,assay,u_assay,price / bag\nA,0.80,0.004,8.40\nB,0.75,0.004,4.20\n",
        "column `price / bag` in `lots.csv` has a unit that does not fit: `bag`",
        "write what a price is per: `€/kg`, `EUR/kg`, `per t` or a currency alone",
    );
    let campaign = edited(&[("\"18 /kg\"", "\"£18 /kg\"")]);
    let folder = super::priced::priced(&campaign, PRICED_RUNS, super::priced::PRICED_LOTS);
    let faults = faults_of(&folder.path().join("campaign"));
    let stop = &list(&faults, "stops")[0];
    assert!(
        stop["reason"]
            .as_str()
            .is_some_and(|reason| reason.starts_with("`prices.product` is `£18 /kg`"))
    );
    assert_eq!(
        stop["hint"],
        "the other prices are in EUR: write this one in it, or correct `currency`"
    );
}
