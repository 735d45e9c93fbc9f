//! The section of question 5: whether it pays to feed the residue forward.
//!
//! In: the answer. Out: its section of the report.
//! This module never computes a gain.

use super::table;
use super::words::{
    exact_chances, in_percent, settling, signed, specification, too_much, with_half_width,
};
use crate::decide::{BLEEDS, Cycles, Money, Recycling, RecyclingVerdict, Unanswered};
use crate::pipeline::Analysis;
use crate::report::beside::picture;
use crate::report::print::money_words::{limit, verdict};
use crate::report::print::{Page, Pictures, capital, count, fixed, markdown, probability, whole};
use crate::report::reasons;

/// Writes the section.
pub fn write(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    if !analysis.findings.residue_is_asked {
        return;
    }
    page.heading(2, "5 Does it pay to feed the residue forward?");
    match &analysis.findings.recycling {
        Err(missing) => unanswered(page, missing),
        Ok(recycling) => answered(page, analysis, recycling, pictures),
    }
}

fn unanswered(page: &mut Page, missing: &Unanswered) {
    let missing = reasons::unanswered(missing);
    page.paragraph(&format!(
        "This cannot be said: {}. What to do: {}. {}.",
        markdown(&missing.missing),
        markdown(&missing.advice),
        capital(&markdown(missing.still))
    ));
}

fn answered(page: &mut Page, analysis: &Analysis, recycling: &Recycling, pictures: &Pictures) {
    let reference = &recycling.reference;
    page.paragraph(&format!(
        "{} charged residue, {} g per g of fresh feed in the middle. At that ratio, and with all else at the reference mix of the model of yield, a run of {} g fresh feed gives {} g more product than one without residue: {} % of what the content of the residue would give at the conversion of fresh feed.",
        capital(&count(reference.charged_runs, "run")),
        fixed(reference.ratio, 2),
        fixed(reference.feed_mass, 0),
        with_half_width(&recycling.extra_product),
        in_percent(&recycling.of_promise),
    ));
    if let Some(text) = feed_saved(recycling) {
        page.paragraph(&text);
    }
    match &recycling.money {
        Err(missing) => unanswered(page, missing),
        Ok(money) => self::money(page, recycling, money, pictures),
    }
    by_level(page, recycling);
    responses(page, recycling);
    cycles(page, analysis, recycling, pictures);
}

/// The fresh feed saved, where that is what counts and all product is worth the same.
fn feed_saved(recycling: &Recycling) -> Option<String> {
    if recycling.feed_saved == 0.0 || recycling.money.as_ref().is_ok_and(exact_chances) {
        return None;
    }
    let less = if recycling.feed_saved > 0.0 {
        "less"
    } else {
        "more"
    };
    Some(format!(
        "For equal product a charged run takes {} g {less} fresh feed; that is what is valued here.",
        fixed(recycling.feed_saved.abs(), 0)
    ))
}

fn money(page: &mut Page, recycling: &Recycling, money: &Money, pictures: &Pictures) {
    let currency = markdown(&money.currency);
    page.paragraph(&format!(
        "It {}: {} {currency} for each charged run, {} {currency} per kg of residue, {} {currency} over the {} of this campaign. The chance of a gain is {}.{}{}",
        match money.verdict {
            RecyclingVerdict::Pays => "pays".to_string(),
            RecyclingVerdict::DoesNotPay => "does not pay".to_string(),
            other => format!("is {}", verdict(other)),
        },
        signed(&money.gain),
        signed(&money.per_kilogram),
        signed(&money.per_campaign),
        count(recycling.reference.charged_runs, "charged run"),
        probability(money.chance_positive),
        settling(money, markdown),
        too_much(recycling)
    ));
    page.table(&table::counted(money));
    let not = if money.not_counted.is_empty() {
        String::new()
    } else {
        let items: Vec<String> = money
            .not_counted
            .iter()
            .map(|item| markdown(&reasons::not_counted(item)))
            .collect();
        format!(" Not counted: {}.", items.join(", "))
    };
    page.paragraph(&format!(
        "Heat is paid by the run and the labour of a run is not saved, so neither stands here. The interval comes from {} seeded draws of coefficients, assays and prices together.{not}{}",
        whole(crate::decide::DRAWS_OF_GAIN),
        specification(money)
    ));
    let table = table::break_even(recycling);
    page.heading(3, &table.question);
    picture(page, pictures, "where-residue-pays");
    page.table(&table);
    let exact = if exact_chances(money) {
        " Here, in the picture, with each route and in the cycles below, the chances of meeting the specification count as exact, so these intervals and verdicts are surer than the gain above, which counts how well the chances are known."
    } else {
        ""
    };
    page.paragraph(&format!("Each figure is followed alone, all else as it is; between the two ends in brackets the verdict is not settled.{exact}"));
    let table = table::ranking(money);
    page.heading(3, &table.question);
    page.table(&table);
}

/// Money with a sign and three decimals.
fn money_text(value: f64) -> String {
    let sign = if value > 0.0 { "+" } else { "" };
    format!("{sign}{}", fixed(value, 3))
}

fn by_level(page: &mut Page, recycling: &Recycling) {
    if recycling.by_level.is_empty() {
        return;
    }
    let table = table::by_level(recycling);
    page.heading(3, &table.question);
    page.table(&table);
    page.paragraph("Each line stands by itself; they are not compared with one another.");
}

fn responses(page: &mut Page, recycling: &Recycling) {
    if recycling.responses.is_empty() {
        return;
    }
    let table = table::responses(recycling);
    page.heading(3, &table.question);
    page.table(&table);
}

fn cycles(page: &mut Page, analysis: &Analysis, recycling: &Recycling, pictures: &Pictures) {
    let table = table::cycles(recycling);
    page.heading(3, &table.question);
    let cycles = match &recycling.cycles {
        Ok(cycles) => cycles,
        Err(reason) => {
            page.paragraph(&format!(
                "This cannot be followed: {}.",
                markdown(&reasons::no_cycles(reason))
            ));
            return;
        }
    };
    picture(page, pictures, "residue-going-round");
    page.paragraph(&around(analysis, recycling, cycles));
    page.table(&table);
}

/// Which cycles lose: all from one on, or some of them.
fn losing(cycles: &Cycles) -> String {
    let gains = || {
        cycles
            .cycles
            .iter()
            .filter(|cycle| cycle.gain.is_some_and(|gain| gain.value >= 0.0))
    };
    let losses = || {
        cycles
            .cycles
            .iter()
            .filter(|cycle| cycle.gain.is_some_and(|gain| gain.value < 0.0))
    };
    let (Some(first), Some(last)) = (losses().next(), losses().next_back()) else {
        return String::new();
    };
    match gains().next_back() {
        Some(gain) if gain.cycle > first.cycle => {
            let which = if first.cycle == last.cycle {
                format!("cycle {}", first.cycle)
            } else {
                format!(
                    "{} of the cycles, the last of them cycle {},",
                    losses().count(),
                    last.cycle
                )
            };
            format!(" By the best estimate {which} loses by it and the others gain.")
        }
        _ => format!(" From cycle {} on a run loses by it.", first.cycle),
    }
}

fn around(analysis: &Analysis, recycling: &Recycling, cycles: &Cycles) -> String {
    let retained = &cycles.retained;
    let mut text = format!(
        "In {}, {} % of the followed element that fresh feed brings and {} % of what residue brings stayed on the filter, and {} % and {} % of everything else. With {} % of the residue thrown away each time, ",
        count(retained.runs, "run"),
        fixed(100.0 * retained.element.of_feed, 0),
        fixed(100.0 * retained.element.of_residue, 0),
        fixed(100.0 * retained.inert.of_feed, 0),
        fixed(100.0 * retained.inert.of_residue, 0),
        fixed(100.0 * cycles.bleed, 0),
    );
    text.push_str(&match cycles.steady {
        Some(steady) => format!(
            "the charge settles at {} g of residue with an assay of {} %.",
            fixed(steady.residue, 0),
            fixed(100.0 * steady.assay, 1)
        ),
        None => "the charge grows without end.".to_string(),
    });
    if let Some(by) = cycles.limited_by {
        text.push_str(&format!(
            " It is stopped before that by {}; what does not fit is thrown away.",
            limit(by)
        ));
    }
    if let (Ok(_), Some(best)) = (&recycling.money, cycles.best_bleed) {
        text.push_str(&match cycles.turns_at {
            Some(_) => losing(cycles),
            None => " No cycle looked at loses by it.".to_string(),
        });
        let currency = recycling.money.as_ref().map_or("", |money| &money.currency);
        text.push_str(&if best.bleed < 1.0 {
            format!(
                " The best share to throw away, in steps of {} %, is {} %: {} {} a run in the mean of {}.",
                fixed(100.0 / BLEEDS as f64, 0),
                fixed(100.0 * best.bleed, 0),
                money_text(best.mean_gain),
                markdown(currency),
                count(cycles.cycles.len(), "cycle")
            )
        } else {
            format!(
                " Of the shares to throw away, looked at in steps of {} %, none is better than all of it.",
                fixed(100.0 / BLEEDS as f64, 0)
            )
        });
    }
    let generations = analysis
        .runs
        .results
        .iter()
        .filter(|run| run.charge.residue_mass > 0.0)
        .count();
    text.push_str(&format!(
        " The model knows residue as these {generations} charged runs had it, mostly of first pass; what has gone round often may give less, so look at the first cycles before believing the last. The ± leaves out how well these shares are known."
    ));
    text
}
