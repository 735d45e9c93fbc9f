//! The section of question 5: whether it pays to feed the residue forward.
//!
//! In: the answer. Out: its section of the report.
//! This module never computes a gain.

use super::table;
use super::words::{
    exact_chances, not_counted, settling, signed, specification, too_much, verdict_clause, why,
    with_half_width,
};
use crate::decide::{BLEEDS, Cycle, Cycles, DRAWS_OF_GAIN, Money, Recycling, Unanswered};
use crate::pipeline::Analysis;
use crate::report::print::cost_names::limit;
use crate::report::print::{
    Cell, Page, around, capital, count, fixed, percent, plus_minus, probability, when, whole,
};
use crate::report::reasons;

/// Writes the section.
pub fn write(page: &mut Page, analysis: &Analysis) {
    if !analysis.findings.residue_is_asked {
        return;
    }
    page.heading(2, "5 Does it pay to feed the residue forward?");
    match &analysis.findings.recycling {
        Err(missing) => unanswered(page, missing),
        Ok(recycling) => answered(page, analysis, recycling),
    }
}

fn unanswered(page: &mut Page, missing: &Unanswered) {
    let still = capital(reasons::unanswered(missing).still);
    page.paragraph(&format!("This cannot be said: {} {still}.", why(missing)));
}

fn answered(page: &mut Page, analysis: &Analysis, recycling: &Recycling) {
    let reference = &recycling.reference;
    let promise = &recycling.of_promise;
    page.paragraph(&format!(
        "{} charged residue, {} g per g of fresh feed in the middle. At that ratio, and with all else at the reference mix of the model of yield, a run of {} g fresh feed gives {} g more product than one without residue: {} % of what the content of the residue would give at the conversion of fresh feed.",
        capital(&count(reference.charged_runs, "run")),
        fixed(reference.ratio, 2),
        fixed(reference.feed_mass, 0),
        with_half_width(&recycling.extra_product),
        plus_minus(100.0 * promise.value, 100.0 * (promise.high - promise.low) / 2.0)
    ));
    // The fresh feed saved, where that is what counts and all product is worth the same.
    if recycling.feed_saved != 0.0 && !recycling.money.as_ref().is_ok_and(exact_chances) {
        page.paragraph(&format!(
            "For equal product a charged run takes {} g {} fresh feed; that is what is valued here.",
            fixed(recycling.feed_saved.abs(), 0),
            if recycling.feed_saved > 0.0 { "less" } else { "more" }
        ));
    }
    match &recycling.money {
        Err(missing) => unanswered(page, missing),
        Ok(money) => self::money(page, recycling, money),
    }
    if !recycling.by_level.is_empty() {
        page.answer(&table::by_level(recycling));
        page.paragraph("Each line stands by itself; they are not compared with one another.");
    }
    page.answer(&table::responses(recycling));
    let table = table::cycles(recycling);
    page.heading(3, &table.question);
    match &recycling.cycles {
        Ok(cycles) => {
            page.show("residue-going-round");
            page.paragraph(&the_loop(analysis, recycling, cycles));
            page.table(&table);
        }
        Err(reason) => page.paragraph(&format!(
            "This cannot be followed: {}.",
            reasons::no_cycles(reason)
        )),
    }
}

fn money(page: &mut Page, recycling: &Recycling, money: &Money) {
    let currency = &money.currency;
    page.paragraph(&format!(
        "It {}: {} {currency} for each charged run, {} {currency} per kg of residue, {} {currency} over the {} of this campaign. The chance of a gain is {}.{}{}",
        verdict_clause(money.verdict),
        signed(&money.gain),
        signed(&money.per_kilogram),
        signed(&money.per_campaign),
        count(recycling.reference.charged_runs, "charged run"),
        probability(money.chance_positive),
        settling(money),
        too_much(recycling)
    ));
    page.table(&table::counted(money));
    page.paragraph(&format!(
        "Heat is paid by the run and the labour of a run is not saved, so neither stands here. The interval comes from {} seeded draws of coefficients, assays and prices together.{}{}",
        whole(DRAWS_OF_GAIN),
        around(" Not counted: ", &not_counted(money), "."),
        specification(money)
    ));
    let table = table::break_even(recycling);
    page.heading(3, &table.question);
    page.show("where-residue-pays");
    page.table(&table);
    let exact = when(
        exact_chances(money),
        " Here, in the picture, with each route and in the cycles below, the chances of meeting the specification count as exact, so these intervals and verdicts are surer than the gain above, which counts how well the chances are known.",
    );
    page.paragraph(&format!("Each figure is followed alone, all else as it is; between the two ends in brackets the verdict is not settled.{exact}"));
    page.answer(&table::ranking(money));
}

/// Which cycles lose: all from one on, or some of them.
fn losing(cycles: &Cycles) -> String {
    let each = || cycles.cycles.iter();
    let gains = |cycle: &&Cycle| cycle.gain.is_some_and(|gain| gain.value >= 0.0);
    let loses = |cycle: &&Cycle| cycle.gain.is_some_and(|gain| gain.value < 0.0);
    let Some(first) = each().find(loses).map(|cycle| cycle.cycle) else {
        return String::new();
    };
    let last = each().rfind(loses).map_or(first, |cycle| cycle.cycle);
    if each().rfind(gains).is_none_or(|gain| gain.cycle <= first) {
        return format!(" From cycle {first} on a run loses by it.");
    }
    let which = match first == last {
        true => format!("cycle {first}"),
        false => format!(
            "{} of the cycles, the last of them cycle {last},",
            each().filter(loses).count()
        ),
    };
    format!(" By the best estimate {which} loses by it and the others gain.")
}

/// The loop in words: what stays in it, where it settles, whether it loses.
fn the_loop(analysis: &Analysis, recycling: &Recycling, cycles: &Cycles) -> String {
    let retained = &cycles.retained;
    let steady = match cycles.steady {
        Some(steady) => format!(
            "the charge settles at {} g of residue with an assay of {}",
            fixed(steady.residue, 0),
            percent(steady.assay, 1)
        ),
        None => "the charge grows without end".into(),
    };
    let stopped = around(
        " It is stopped before that by ",
        cycles.limited_by.map(limit).unwrap_or_default(),
        "; what does not fit is thrown away.",
    );
    let best = match (&recycling.money, cycles.best_bleed) {
        (Ok(money), Some(best)) => {
            let losing = match cycles.turns_at {
                Some(_) => losing(cycles),
                None => " No cycle looked at loses by it.".into(),
            };
            let step = percent(1.0 / BLEEDS as f64, 0);
            let best = match best.bleed < 1.0 {
                true => format!(
                    " The best share to throw away, in steps of {step}, is {}: {} {} a run in the mean of {}.",
                    percent(best.bleed, 0),
                    Cell::fixed(best.mean_gain, 3).signed(),
                    money.currency,
                    count(cycles.cycles.len(), "cycle")
                ),
                false => format!(
                    " Of the shares to throw away, looked at in steps of {step}, none is better than all of it."
                ),
            };
            losing + &best
        }
        _ => String::new(),
    };
    let charged = analysis.runs.results.iter();
    format!(
        "In {}, {} of the followed element that fresh feed brings and {} of what residue brings stayed on the filter, and {} and {} of everything else. With {} of the residue thrown away each time, {steady}.{stopped}{best} The model knows residue as these {} charged runs had it, mostly of first pass; what has gone round often may give less, so look at the first cycles before believing the last. The ± leaves out how well these shares are known.",
        count(retained.runs, "run"),
        percent(retained.element.of_feed, 0),
        percent(retained.element.of_residue, 0),
        percent(retained.inert.of_feed, 0),
        percent(retained.inert.of_residue, 0),
        percent(cycles.bleed, 0),
        charged.filter(|run| run.charge.residue_mass > 0.0).count()
    )
}
