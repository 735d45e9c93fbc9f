//! Entries that cannot be right, or hardly are, in words.
//!
//! In: a [`Slip`]. Out: what was seen, the likely slip, and what to do.
//! This module never escapes a name and never judges an entry.

use super::clauses::plus_minus_percent;
use crate::caveat::{Against, Likely, Part, PlusMinus, ResultOf, Slip, SlipOf, Weight, WouldBe};
use crate::report::print::aim_names::spelt;
use crate::report::print::numbers::{plain, significant};
use crate::report::print::words::around;

/// What stands there and where: `residue_mass 1072 g of run B-054 (residues.csv line 55)`.
fn stands(slip: &Slip) -> String {
    let of_run = slip.run.as_deref().map(|run| format!(" of run {run}"));
    let value = around(" ", &around("", &shown(&slip.value), unit(slip)), "");
    format!(
        "{}{value}{} ({} line {})",
        slip.column,
        of_run.unwrap_or_default(),
        slip.place.file,
        slip.place.line,
    )
}

/// What stands there, and what was likely meant.
pub(super) fn in_short(slip: &Slip) -> String {
    let likely = slip.likely.as_ref();
    let would_be = likely.map_or_else(String::new, would_be);
    stands(slip) + &around(", likely ", &would_be, "")
}

/// What was seen and what to do, side by side.
pub(super) fn entry(slip: &Slip) -> [String; 2] {
    let likely = slip.likely.as_ref().map_or_else(String::new, likely);
    let seen = format!(
        "{}: {}{}",
        stands(slip),
        against(&slip.against),
        around("; likely ", &likely, ""),
    );
    let name = slip.run.as_deref().unwrap_or(&slip.place.file);
    let accept = format!("`[check] accept = [\"{name} {}\"]`", slip.column);
    let advice = match (slip.accepted, slip.weight) {
        (true, _) => "accepted in the campaign file, so it counts like any other".to_string(),
        (_, Weight::Impossible) => {
            format!("it is withheld with what uses it: correct it; if it is right, {accept}")
        }
        (_, Weight::Unlikely) => format!(
            "it stays in, and an answer must hold without the run: correct it; if it is right, {accept}"
        ),
        (_, Weight::Odd) => format!("look at it; if it is right, {accept}"),
    };
    [seen, advice]
}

/// Unit of the value that stands there, with a space before it; none of what has no number.
fn unit(slip: &Slip) -> &str {
    if slip.value.parse::<f64>().is_err() {
        return "";
    }
    let stated = match &slip.against {
        Against::DeclaredRange { unit, .. } => unit.as_str(),
        Against::Others { unit, .. } | Against::Range { unit, .. } => unit,
        _ => slip.part.map_or("", Part::unit),
    };
    match stated {
        "g" => " g",
        "mL" => " mL",
        "min" => " min",
        "degC" | "°C" => " °C",
        "g/L" => " g/L",
        "mol/L" => " mol/L",
        "%" => " %",
        _ => "",
    }
}

/// A number as it is told: to six digits; any other text as it is.
fn shown(value: &str) -> String {
    match value.parse::<f64>() {
        Ok(number) => plain(number),
        Err(_) => value.to_string(),
    }
}

fn against(against: &Against) -> String {
    let of = |value: f64| significant(value);
    match against {
        Against::Others {
            low, high, like, ..
        } => {
            let like = like.as_ref().map_or_else(
                || "such entries".to_string(),
                |like| format!("those with {like}"),
            );
            format!("{like} lie from {} to {}", of(*low), of(*high))
        }
        Against::Beyond {
            what,
            value,
            half_width,
        } => {
            let (part, bound) = match what {
                ResultOf::Yield => ("gives", "what its charge and its route allow"),
                ResultOf::Purity => ("gives a purity of", "1"),
                ResultOf::Closure => ("makes", "what went in come out"),
            };
            match what {
                ResultOf::Purity => format!(
                    "it {part} {:.1} ± {:.1} %",
                    100.0 * value,
                    100.0 * half_width
                ),
                _ => format!(
                    "it {part} {:.1} ± {:.1} % of {bound}",
                    100.0 * value,
                    100.0 * half_width
                ),
            }
        }
        Against::ResultOfOthers {
            what,
            value,
            low,
            high,
        } => format!(
            "it makes a {} of {} % where such runs have {} to {} %",
            result(*what),
            of(100.0 * value),
            of(100.0 * low),
            of(100.0 * high)
        ),
        Against::Range { low, high, .. } => {
            format!("such a reading lies from {} to {}", of(*low), of(*high))
        }
        Against::DeclaredRange { low, high, .. } => {
            let low = low.map(|low| format!("from {}", of(low)));
            let high = high.map(|high| format!("to {}", of(high)));
            let ends: Vec<String> = low.into_iter().chain(high).collect();
            format!("the factor is declared {}", ends.join(" "))
        }
        Against::Empty { counts_as, filled } => format!(
            "it is empty where {filled} others are not{}",
            counts_as.map_or_else(String::new, |value| format!(
                ", and counts as {}",
                of(value)
            ))
        ),
        Against::Titration { times, low, high } => format!(
            "this titration finds {} times what the others find in the middle, which lie from {} to {} times",
            of(*times),
            of(*low),
            of(*high)
        ),
        Against::Uncertain { part } => {
            format!("the uncertainty is {} % of the value", of(100.0 * part))
        }
        Against::OfMany { entries, first } => {
            format!(
                "{entries} entries of this column are like it: {}",
                self::against(first)
            )
        }
        Against::Price { times } => format!("another such price is {} times as high", of(*times)),
        Against::OfAllThatShare { runs, what } => format!(
            "the {} of {runs} runs that share it is off, and of the others it is not",
            result(*what)
        ),
        Against::MoreTaken { from, left, taken } => format!(
            "of the residue of {from}, which left {} g, {} g were taken in all",
            of(*left),
            of(*taken)
        ),
        Against::MoreLiquorTaken { from, left, taken } => format!(
            "of the mother liquor of {from}, which left {} mL, {} mL were taken in all",
            of(*left),
            of(*taken)
        ),
        Against::FromLater { from } => format!("{from} was made later"),
        Against::Circle => "its residue comes from itself, by way of other runs".into(),
        Against::HeavierThanCharge { charged } => {
            format!("feed and residue charged were {} g together", of(*charged))
        }
        Against::Exchanged => "it is out of line here, and would be in line there".into(),
        Against::FarDate { days } => format!("the nearest other run is {days} days away"),
        Against::OutOfOrder { beside } => {
            format!(
                "out of order with {beside} beside it, where runs are named in the order of their dates"
            )
        }
        Against::AfterItsRuns { run } => format!("run {run} used it before"),
        Against::TimeGoesBack => "the time goes back there, or stands twice".into(),
    }
}

/// What a result is called.
pub(in crate::report) fn result(what: ResultOf) -> &'static str {
    match what {
        ResultOf::Yield => "yield",
        ResultOf::Purity => "purity",
        ResultOf::Closure => "balance",
    }
}

/// What would be in line; empty where nobody knows.
fn would_be(likely: &Likely) -> String {
    match &likely.would_be {
        Some(WouldBe::Number(number, unit)) => {
            let unit = match *unit {
                "1" => "",
                unit => spelt(unit),
            };
            format!("{}{}", significant(*number), around(" ", unit, ""))
        }
        Some(WouldBe::Text(text)) => text.clone(),
        None => String::new(),
    }
}

/// The likely slip: `a decimal point lost: 212.4 g would be in line`.
pub(in crate::report) fn likely(likely: &Likely) -> String {
    let how = match &likely.how {
        SlipOf::DecimalPoint => "a decimal point lost or misplaced".to_string(),
        SlipOf::Kilograms => "kg and g mixed up".into(),
        SlipOf::Litres => "L and mL mixed up".into(),
        SlipOf::Hours => "hours and minutes mixed up".into(),
        SlipOf::PerCent => "per cent and fraction mixed up".into(),
        SlipOf::Kelvin => "kelvin typed as degrees Celsius".into(),
        SlipOf::Millimoles => "mmol/L and mol/L mixed up".into(),
        SlipOf::Aliquot => {
            "an aliquot of the dissolved sample was titrated, and none is logged".into()
        }
        SlipOf::Dilution => "the sample was diluted, and no dilution is logged".into(),
        SlipOf::Ratio => "`ratio` of `[titration]` the other way round".into(),
        SlipOf::StandardRatio { ratio } => {
            format!("`standard_ratio` left out, such as {}", significant(*ratio))
        }
        SlipOf::Formula { reckoned, stated } => {
            format!("stated as {stated} or {reckoned} and reckoned as the other")
        }
        SlipOf::LiquorFormula { stated } => format!(
            "`liquor_conc` is g of {stated} per litre: say so by `liquor_as = \"{stated}\"` under `[titration]`"
        ),
        SlipOf::ZeroForUnknown => "an assay of 0 written for residues that were not assayed".into(),
        SlipOf::Swapped { with } => format!("swapped with {with}"),
        SlipOf::DayAndMonth => "day and month exchanged".into(),
        SlipOf::Year => "another year".into(),
    };
    format!(
        "{how}{}",
        around(" (", &would_be(likely), " would be in line)")
    )
}

/// A result that is off in all runs alike.
pub(super) fn all_off(
    what: ResultOf,
    middle: f64,
    runs: usize,
    cause: Option<&Likely>,
) -> [String; 2] {
    let cause = cause.map_or_else(String::new, likely);
    let check = match what {
        ResultOf::Purity => {
            "check `[titration]`, the strength of the titrant (`concentration`, `standard`, `standard_ratio`), the columns `sample_mass`, `aliquot` and `dilution`, and `product` under `[campaign]`"
        }
        ResultOf::Yield => {
            "check `product` and `assay_as` under `[campaign]`, and the units of `feed_mass`, `assay` and the crop masses (`mass`, `crop1_mass`)"
        }
        ResultOf::Closure => {
            "check `assay_as`, the assays of feed and residue, and unit and formula of `liquor_conc`"
        }
    };
    [
        format!(
            "the {} of {runs} runs is {middle:.3} in the middle, which cannot be{}",
            result(what),
            around("; likely ", &cause, "")
        ),
        format!("{check}: one cause is enough for all runs"),
    ]
}

/// A factor outside its declared range in the middle of all runs.
pub(super) fn outside_range(
    factor: &str,
    unit: &str,
    middle: f64,
    [low, high]: [Option<f64>; 2],
) -> [String; 2] {
    let end = |word: &str, end: Option<f64>| {
        end.map_or_else(String::new, |end| format!(" {word} {}", plain(end)))
    };
    [
        format!(
            "{factor} is {} {unit} in the middle of all runs, outside its declared range{}{} {unit}",
            plain(middle),
            end("from", low),
            end("to", high)
        ),
        "check the range, the unit of its column, and for `oxidant_excess` the table `[oxidant]`"
            .into(),
    ]
}

/// A loss or gain that the balances of all runs show.
pub(super) fn balance_open(runs: usize, missing: PlusMinus, cause: Option<&Likely>) -> [String; 2] {
    let (what, advice) = if missing.value > 0.0 {
        (
            "is accounted for nowhere",
            "look for splashes, wash water, filters and vessels that keep some back; until then every yield may be low by that much at most",
        )
    } else {
        (
            "came out beyond what went in",
            "look at the assays of feed and liquor and at the balance for an error that all runs share",
        )
    };
    let size = plus_minus_percent(PlusMinus {
        value: missing.value.abs(),
        ..missing
    });
    let cause = cause.map_or_else(String::new, likely);
    [
        format!(
            "in the middle of {runs} runs {size} of the charge {what}{}",
            around("; likely ", &cause, "")
        ),
        advice.into(),
    ]
}
