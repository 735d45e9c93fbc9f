//! The section of question 5: whether it pays to feed the residue forward.
//!
//! In: the answer. Out: its section of the report.
//! This module never computes a gain.

use super::table;
use super::words::{exact_chances, headline, why, with_half_width};
use crate::decide::{Money, Recycling, Unanswered};
use crate::pipeline::Analysis;
use crate::report::print::{Page, capital, count, fixed, plus_minus, when};
use crate::report::reasons;

/// Writes the section.
pub fn write(page: &mut Page, analysis: &Analysis) {
    if !analysis.findings.residue_is_asked {
        return;
    }
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
    match &recycling.money {
        Err(missing) => unanswered(page, missing),
        Ok(money) => {
            page.show("where-residue-pays");
            page.table(&table::break_even(recycling));
            turning(page, money);
            page.paragraph(&headline(&analysis.findings.recycling));
            ways(page, money);
            for_quantity(page, money);
        }
    }
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
}

/// What the quantity that is asked for takes, with residue and without.
fn for_quantity(page: &mut Page, money: &Money) {
    let Some(of) = &money.for_quantity else {
        return;
    };
    page.answer(&table::quantity(of, &money.currency));
    let shelf = of.on_the_shelf.zip(of.enough_for).map(|(grams, runs)| {
        let enough = match grams < of.residue {
            true => "enough for",
            false => "more than they take, enough for",
        };
        format!(
            ": {} kg should stand on the shelf, {enough} {} of them, what they leave themselves not counted",
            fixed(0.001 * grams, 2),
            fixed(runs, 1)
        )
    });
    page.paragraph(&format!(
        "The charged runs take {} kg of residue{}.",
        fixed(0.001 * of.residue, 2),
        shelf.unwrap_or_default()
    ));
}

/// The gain in other ways to value residue, where there are prices for more than one, and with its handling logged or not.
fn ways(page: &mut Page, money: &Money) {
    if !money.handled.is_empty() {
        page.table(&table::handled(money));
    }
    if money.ways.len() < 2 {
        return;
    }
    page.table(&table::ways(money));
    if money.opposite().next().is_some() {
        page.paragraph(match money.way_is_stated {
            true => "Valued in another way the same log says the opposite: what is short decides, feed, product or time, and `[recycling] value` says which.",
            false => "Valued in another way the same log says the opposite, and the campaign file does not say which counts: state under `[recycling]` whether `value` is `\"product\"`, `\"feed\"` or `\"runs\"`.",
        });
    }
}

/// How the values at which the verdict turns are to be read.
fn turning(page: &mut Page, money: &Money) {
    let exact = when(
        exact_chances(money),
        " Here, in the picture, with each route and in the cycles, the chances of meeting the specification count as exact, so these intervals and verdicts are surer than the gain, which counts how well the chances are known.",
    );
    page.paragraph(&format!("Each figure is followed alone, at that charge and all else as it is; between the two ends in brackets the verdict is not settled.{exact}"));
}
