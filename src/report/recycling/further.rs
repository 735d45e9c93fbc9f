//! What stands behind answer 5: what is counted, how much each figure matters, each route, other responses, the loop.
//!
//! In: the answer. Out: that part of the appendix.
//! This module never computes a gain.

use super::table;
use super::words::{best_policy, not_counted, signed, with_half_width};
use crate::decide::{BLEEDS, Cycle, Cycles, DRAWS_OF_GAIN, Money, Policies, Recycling};
use crate::pipeline::Analysis;
use crate::report::costs::impurities;
use crate::report::print::cost_names::limit;
use crate::report::print::{Cell, Page, around, capital, count, fixed, percent, plain, whole};
use crate::report::reasons;

/// Writes all that stands behind what residue is worth.
pub fn write(page: &mut Page, analysis: &Analysis) {
    worth(page, analysis);
    shelf(page, analysis);
    liquor(page, analysis);
}

/// What mother liquor carried on brings.
fn liquor(page: &mut Page, analysis: &Analysis) {
    let found = match &analysis.findings.liquor_gain {
        None => return,
        Some(Err(missing)) => {
            let why = reasons::liquor_untold(missing);
            page.heading(3, "Does it pay to carry mother liquor on?");
            return page.paragraph(&format!("This cannot be said: {why}."));
        }
        Some(Ok(found)) => found,
    };
    let currency = analysis.campaign.currency();
    page.answer(&table::ways_of(&found.ways, currency));
    page.paragraph(&format!(
        "{} charged mother liquor of earlier runs, {} mL per g of fresh feed in the middle. At that ratio, and with all else at the reference mix of the model of yield, a run of {} g fresh feed gives {} g more product than one without. Its content is product already and takes no oxidant; disposal of liquor is not counted. By their intervals alone: unlike the answers of the first screen, these are not held against drift, a bend or doubted runs, and what a liquor gathers in time is not followed.",
        capital(&count(found.reference.charged_runs, "run")),
        fixed(found.reference.ratio, 2),
        fixed(found.reference.feed_mass, 0),
        with_half_width(&found.extra_product),
    ));
}

fn worth(page: &mut Page, analysis: &Analysis) {
    let recycling = analysis.findings.recycling.as_ref();
    let asked = analysis.findings.residue_is_asked;
    let Some(recycling) = recycling.ok().filter(|_| asked) else {
        return;
    };
    if let Ok(money) = &recycling.money {
        self::money(page, recycling, money);
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
            page.paragraph(&the_loop(recycling, cycles));
            page.table(&table);
            impurities::build_up(page, cycles);
            if !cycles.kept_by_route.is_empty() {
                page.answer(&table::kept_by_route(cycles));
            }
            if let (Some(policies), Ok(money)) = (&cycles.policies, &recycling.money) {
                self::policies(page, policies, &money.currency);
            }
        }
        Err(reason) => page.paragraph(&format!(
            "This cannot be followed: {}.",
            reasons::no_cycles(reason)
        )),
    }
}

/// Most stocks that are listed.
const MOST_STOCKS: usize = 8;

/// What stands on the shelf, and what it is worth.
fn shelf(page: &mut Page, analysis: &Analysis) {
    let Some(shelf) = &analysis.findings.shelf else {
        return;
    };
    page.answer(&table::shelf(&analysis.runs, MOST_STOCKS));
    let money = analysis.findings.recycling.as_ref().ok();
    let currency = money.and_then(|of| Some(of.money.as_ref().ok()?.currency.as_str()));
    let worth = shelf.worth.as_ref().zip(currency).map(|(worth, currency)| {
        format!(
            ", charged as in this campaign worth {} {currency}",
            signed(worth)
        )
    });
    page.marked(&format!(
        "The largest stocks stand here, all in `tables/residue-shelf.csv`. In all {} kg should be left, by `residue_from` and both masses{}; what was thrown away is not logged.",
        fixed(0.001 * shelf.now, 2),
        worth.unwrap_or_default()
    ));
}

fn money(page: &mut Page, recycling: &Recycling, money: &Money) {
    let currency = &money.currency;
    page.table(&table::counted(money));
    page.paragraph(&format!(
        "That is {} {currency} per kg of residue, and {} {currency} over the {} of this campaign. {} The interval comes from {} seeded draws of coefficients, assays and prices together.{}",
        signed(&money.per_kilogram),
        signed(&money.per_campaign),
        count(recycling.reference.charged_runs, "charged run"),
        match money.terms.labour == 0.0 {
            true => "Heat is paid by the run and the labour of a run is not saved, so neither stands here.",
            false => "Heat is paid by the run, so it does not stand here; of the labour of a run counts what charged runs log more.",
        },
        whole(DRAWS_OF_GAIN),
        around(" Not counted: ", &not_counted(money), ".")
    ));
    page.answer(&table::ranking(money));
}

/// Charging every run held against charging less often.
fn policies(page: &mut Page, policies: &Policies, currency: &str) {
    let table = table::policies(policies, currency);
    page.heading(3, &table.question);
    let month = policies.runs_a_month.map_or_else(
        || " How many runs a month has cannot be told without dates; state it as `[recycling] runs_a_month`.".into(),
        |runs| format!(" A month has {} runs, as stated or by the dates of the log.", plain(runs)),
    );
    page.marked(&format!(
        "{}{month} What runs leave is collected, and all of it is charged when it is time, up to the largest charge that is allowed; {} charges are followed, and what then stands on the shelf counts nothing. The ways share assays, prices and models, so their differences are surer than each gain; but none of it is surer than the answer about residue, and how well the shares on the filter are known is left out.",
        best_policy(policies, currency),
        policies.each.first().map_or(0, |policy| policy.charges.len()),
    ));
    page.table(&table);
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
fn the_loop(recycling: &Recycling, cycles: &Cycles) -> String {
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
    format!(
        "In {}, {} of the followed element that fresh feed brings and {} of what residue brings stayed on the filter, and {} and {} of everything else. With {} of the residue thrown away each time, {steady}.{stopped}{best} The model knows residue as these {} charged runs had it, mostly of first pass; what has gone round often may give less, so look at the first cycles before believing the last. The ± leaves out how well these shares are known.",
        count(retained.runs, "run"),
        percent(retained.element.of_feed, 0),
        percent(retained.element.of_residue, 0),
        percent(retained.inert.of_feed, 0),
        percent(retained.inert.of_residue, 0),
        percent(cycles.bleed, 0),
        recycling.reference.charged_runs
    )
}
